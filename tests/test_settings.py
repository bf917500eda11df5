"""Settings: where they stand, what they hold. No test reads the user's own."""

from __future__ import annotations

from pathlib import Path

import pytest

from profiler.faults import Fault, Faults
from profiler.settings import Printer, Settings, load_settings, settings_place


def _write(folder: Path, text: str) -> Path:
    path = folder / "settings.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_place_by_platform(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Path, "home", lambda: tmp_path)
    end = Path("profiler") / "settings.toml"
    # XDG Base Directory Specification: $XDG_CONFIG_HOME, by default ~/.config; relative paths are ignored.
    assert settings_place({}, "linux") == tmp_path / ".config" / end
    assert settings_place({"XDG_CONFIG_HOME": "/x"}, "linux") == Path("/x") / end
    assert settings_place({"XDG_CONFIG_HOME": "x"}, "linux") == tmp_path / ".config" / end
    assert settings_place({"APPDATA": "/roam"}, "win32") == Path("/roam") / end
    assert settings_place({}, "win32") == tmp_path / "AppData" / "Roaming" / end
    assert settings_place({}, "darwin") == tmp_path / "Library" / "Application Support" / end
    assert settings_place({"PROFILER_SETTINGS": "/mine.toml"}, "linux") == Path("/mine.toml")


def test_absent_file_is_the_defaults(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PROFILER_SETTINGS", str(tmp_path / "none.toml"))
    assert load_settings() == Settings()
    assert (Settings().scales_step_g, Settings().bat_thickness_mm, Settings().bag_kg) == (10, 12, 12.5)
    # a guess at a common wheel and knife (no source)
    wheel = (Settings().head_over_table_mm, Settings().turning_radius_mm, Settings().knife_mm)
    assert wheel == (50, 160, 1)


def test_a_file_named_outright_must_be_there(tmp_path: Path) -> None:
    with pytest.raises(Fault, match="no such file"):
        load_settings(tmp_path / "none.toml")


def test_everything_set(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = _write(
        tmp_path,
        'units = "in"\npaper = "Letter"\nscales_step_g = 5\nbat_thickness_mm = "1/2 in"\n'
        'cutters_mm = [9, "1/2 in"]\nbag_kg = 10\n'
        'head_over_table_mm = 85\nturning_radius_mm = "7 in"\nknife_mm = 0\n'
        '[printers."Hut 2.0"]\nacross = 99.2\nup = 100.3\n',
    )
    monkeypatch.setenv("PROFILER_SETTINGS", str(path))
    settings = load_settings()
    # A key that ends in _mm is in mm whatever `units` says; half an inch is 12.7 mm exactly.
    assert (settings.units, settings.paper, settings.cutters_mm) == ("in", "Letter", (9, 12.7))
    assert settings.bat_thickness_mm == 12.7
    assert (settings.head_over_table_mm, settings.turning_radius_mm, settings.knife_mm) == (85, 7 * 25.4, 0)
    assert settings.printers == {"Hut 2.0": Printer(across=99.2, up=100.3)}


@pytest.mark.parametrize(
    ("text", "field", "line"),
    [
        ("\npapr = 'A4'", "papr", 2),
        ("paper = 'A5'", "paper", 1),
        ("scales_step_g = 0", "scales_step_g", 1),
        ("turning_radius_mm = 0", "turning_radius_mm", 1),
        ("knife_mm = -1", "knife_mm", 1),
        ("scales_step_g = '10'", "scales_step_g", 1),
        ("cutters_mm = [\n9,\n0]", "cutters_mm.1", 3),
        ("[printers.hut]\nacross = 992", "printers.hut.across", 2),
        ("[printers.hut]\nacros = 99", "printers.hut.acros", 2),
    ],
)
def test_bad_settings_are_named(tmp_path: Path, text: str, field: str, line: int) -> None:
    with pytest.raises(Faults) as caught:
        load_settings(_write(tmp_path, text))
    assert [(f.field, f.line) for f in caught.value.faults] == [(field, line)]
