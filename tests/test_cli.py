"""The commands as the contract has them: exit codes, keys of the JSON, files of `make`."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from profiler.clay.body import load_body
from profiler.clay.states import State
from tests.lidded.pots import LID_KEYS, SPOON_KEYS
from tests.pieces import DEMO_DESIGNS

Command = Callable[..., tuple[int, str, str]]

DEMO = Path(__file__).resolve().parents[1] / "designs_demo"
LIDDED = {"mustard_pot": "cut", "jam_jar": "gallery", "butter_jar": "flange", "tea_caddy": "cap"}
STATES = ["wet", "leather_hard", "bone_dry", "bisque", "fired"]
HEAD = {"title", "form", "clay", "sized", "states", "thrown", "trimming", "ball_g", "weigh_out_g", "checks"}
SIZES = {
    "height_mm",
    "rim_diameter_mm",
    "widest_diameter_mm",
    "foot_diameter_mm",
    "clay_volume_cm3",
    "capacity_ml",
    "mass_g",
}
BOWL = """title = "{title}"
clay = "{clay}"
sized = "{sized}"

[form]
kind = "bowl"
rim_diameter = {rim}
height = {height}

[wall]
rim = {wall}
foot = {foot}

[floor]
thickness = {floor}

[foot_ring]
outer_diameter = {ring}
width = {width}
depth = {depth}
edge = {edge}

[thrown]
base_diameter = {base}
blend_height = {blend}
skim = {skim}
"""
FIRED_MM = {
    "rim": 155.0,
    "height": 68.0,
    "wall": 4.5,
    "foot": 5.0,
    "floor": 4.5,
    "ring": 70.0,
    "width": 6.0,
    "depth": 5.0,
    "edge": 0.8,
    "base": 80.0,
    "blend": 25.0,
    "skim": 1.0,
}


def _bowl(folder: Path, name: str, **other: Any) -> Path:
    path = folder / f"{name}.toml"
    head = {"title": name, "clay": "stoneware", "sized": "fired"}
    path.write_text(BOWL.format(**(head | FIRED_MM | other)), encoding="utf-8")
    return path


def _measured(command: Command, *words: str | Path) -> dict[str, Any]:
    code, out, err = command("measure", *words, "--json")
    assert (code, err) == (0, "")
    found: dict[str, Any] = json.loads(out, parse_constant=lambda word: pytest.fail(f"{word} in the JSON"))
    return found


def _has_contract(found: dict[str, Any]) -> None:
    """The names of DESIGN, section 12, and their kinds."""
    assert list(found["states"]) == STATES
    for state in found["states"].values():
        assert set(state) == SIZES
        assert all(isinstance(state[key], float) for key in SIZES - {"capacity_ml"})
    assert set(found["thrown"]) >= {"clay_volume_cm3", "mass_g", "floor_mm"}
    assert set(found["trimming"]) >= {"removed_cm3", "removed_g", "floor_left_mm"}
    assert isinstance(found["ball_g"], float)
    assert found["weigh_out_g"] >= found["ball_g"]


def test_the_json_of_one_design(command: Command) -> None:
    found = _measured(command, DEMO / "porridge_bowl.toml")
    assert set(found) >= HEAD
    assert "parts" not in found
    _has_contract(found)
    assert (found["title"], found["form"], found["sized"]) == ("Porridge bowl", "bowl", "fired")
    assert (found["states"]["fired"]["rim_diameter_mm"], found["states"]["fired"]["height_mm"]) == pytest.approx(
        (155.0, 68.0), abs=1e-9
    )
    assert isinstance(found["states"]["fired"]["capacity_ml"], float)


def test_the_json_of_several_is_a_list_under_pieces(command: Command) -> None:
    found = _measured(command, *DEMO_DESIGNS)
    assert list(found) == ["pieces"]
    assert len(found["pieces"]) == len(DEMO_DESIGNS) >= 6
    for piece in found["pieces"]:
        assert set(piece) >= HEAD
        _has_contract(piece)


def test_the_stand_has_two_parts_with_numbers_of_their_own(command: Command) -> None:
    found = _measured(command, DEMO / "fruit_stand.toml")
    assert set(found["parts"]) == {"dish", "pedestal"}
    for part in found["parts"].values():
        _has_contract(part)
    dish, pedestal = found["parts"]["dish"], found["parts"]["pedestal"]
    assert dish["states"]["fired"]["capacity_ml"] > 0
    assert all(state["capacity_ml"] is None for state in pedestal["states"].values())
    for state in STATES:  # the joint is one circle, and dish on pedestal is as high as the stand
        d, p, whole = dish["states"][state], pedestal["states"][state], found["states"][state]
        assert d["foot_diameter_mm"] == pytest.approx(p["rim_diameter_mm"], rel=1e-12)
        assert d["height_mm"] + p["height_mm"] == pytest.approx(whole["height_mm"], rel=1e-12)
        assert d["mass_g"] + p["mass_g"] == pytest.approx(whole["mass_g"], rel=1e-12)
    assert found["ball_g"] == pytest.approx(dish["ball_g"] + pedestal["ball_g"], rel=1e-12)


def test_floor_to_the_bat_is_floor_and_ring_and_skim(command: Command, tmp_path: Path) -> None:
    found = _measured(command, _bowl(tmp_path, "bowl"))
    # wet = fired / (1 - 0.12), the stoneware's total shrinkage
    assert found["thrown"]["floor_mm"] == pytest.approx((4.5 + 5 + 1) / 0.88, rel=1e-12)
    assert found["trimming"]["floor_left_mm"] == pytest.approx(4.5 * 0.95 / 0.88, rel=1e-12)


@pytest.mark.parametrize("state", STATES)
@pytest.mark.parametrize("clay", ["earthenware", "stoneware", "porcelain"])
def test_one_pot_sized_in_any_state(clay: str, state: str, command: Command, tmp_path: Path) -> None:
    shrinkage = load_body(clay, tmp_path).shrinkage
    factor = (1 - shrinkage.at(State(state))) / (1 - shrinkage.fired)
    converted = {key: size * factor for key, size in FIRED_MM.items()}
    fired = _measured(command, _bowl(tmp_path, "fired", clay=clay))
    other = _measured(command, _bowl(tmp_path, "other", clay=clay, sized=state, **converted))
    assert other["sized"] == state
    for key in STATES:  # 1e-9 relative: a few thousand roundings of a double, far under a speck of dust
        assert other["states"][key] == pytest.approx(fired["states"][key], rel=1e-9)
    for key in ("thrown", "trimming"):
        # the places of the cut are read off curves to 1e-6 mm; volumes and weights are integrals
        assert other[key] == pytest.approx(fired[key], rel=1e-9, abs=1e-6)
    assert other["ball_g"] == pytest.approx(fired["ball_g"], rel=1e-9)


def test_defaults_are_fired_figures_in_whatever_state_the_sizes_hold(command: Command, tmp_path: Path) -> None:
    fired = tmp_path / "fired.toml"
    fired.write_text('[form]\nkind = "bowl"\nrim_diameter = 150\nheight = 60\n', encoding="utf-8")
    wet = tmp_path / "wet.toml"
    wet.write_text(
        f'sized = "wet"\n[form]\nkind = "bowl"\nrim_diameter = {150 / 0.88}\nheight = {60 / 0.88}\n', encoding="utf-8"
    )
    a, b = _measured(command, fired), _measured(command, wet)
    assert b["states"]["fired"] == pytest.approx(a["states"]["fired"], rel=1e-9)
    assert b["thrown"] == pytest.approx(a["thrown"], rel=1e-9)


def test_inches_with_fractions_are_the_same_pot(command: Command, tmp_path: Path) -> None:
    mm = _measured(command, _bowl(tmp_path, "mm", rim=158.75, height=69.85))  # 6.25 and 2.75 times 25.4
    text = _measured(command, _bowl(tmp_path, "inches", rim='"6 1/4 in"', height='"2 3/4 in"'))
    assert text["states"] == mm["states"]
    plain = tmp_path / "plain.toml"
    plain.write_text('units = "in"\n[form]\nkind = "bowl"\nrim_diameter = "6 1/4"\nheight = 2.75\n', encoding="utf-8")
    other = tmp_path / "other.toml"
    other.write_text('[form]\nkind = "bowl"\nrim_diameter = 158.75\nheight = 69.85\n', encoding="utf-8")
    assert _measured(command, plain)["states"] == _measured(command, other)["states"]


@pytest.mark.parametrize("stem", ["porridge_bowl", "tumbler", "jam_jar", "side_plate"])
def test_an_extra_wall_is_thrown_and_the_finished_pot_stays(stem: str, command: Command, tmp_path: Path) -> None:
    text = (DEMO / f"{stem}.toml").read_text(encoding="utf-8")
    with_it = f"{text}\n[thrown]\nextra_wall = 1\n"
    if "[thrown]" in text:
        with_it = text.replace("[thrown]\n", "[thrown]\nextra_wall = 1\n")
    (tmp_path / "thick.toml").write_text(with_it, encoding="utf-8")
    plain, thick = _measured(command, DEMO / f"{stem}.toml"), _measured(command, tmp_path / "thick.toml")
    assert thick["states"] == plain["states"]
    if "parts" in plain:  # the lid is thrown as it was
        assert thick["parts"]["lid"] == plain["parts"]["lid"]
        plain, thick = plain["parts"]["jar"], thick["parts"]["jar"]
    more = thick["thrown"]["clay_volume_cm3"] - plain["thrown"]["clay_volume_cm3"]
    # at most a skin of 1 mm, wet, over the whole outside; the whole surface is more than that
    assert 0 < more < 0.1 / 0.85 * plain["surface_cm2"] / 0.85**2


def test_a_body_file_is_found_beside_its_design(
    command: Command, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "clay").mkdir()
    (tmp_path / "clay" / "hut.toml").write_text(
        'name = "Hut clay"\n[shrinkage]\nleather_hard = 4\nbone_dry = 5\nbisque = 5\nfired = 10\n'
        "[density]\nplastic = 1.9\n[weight]\nwater = 22\nloss_on_ignition = 5\n",
        encoding="utf-8",
    )
    path = _bowl(tmp_path, "bowl", clay="clay/hut.toml")
    monkeypatch.chdir("/")
    found = _measured(command, path)
    assert found["clay"] == "Hut clay"
    assert found["states"]["wet"]["rim_diameter_mm"] == pytest.approx(155 / 0.9, rel=1e-9)
    wet, fired = found["states"]["wet"], found["states"]["fired"]
    assert wet["mass_g"] == pytest.approx(1.9 * wet["clay_volume_cm3"], rel=1e-12)
    assert fired["mass_g"] == pytest.approx(wet["mass_g"] * 0.78 * 0.95, rel=1e-12)


def test_the_table_fits_a_terminal_of_eighty(command: Command, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    code, out, _ = command("measure", DEMO)
    assert code == 0
    assert max(len(line) for line in out.splitlines()) <= 80
    for words in ("Porridge bowl", "wet", "leather-hard", "weigh out", "trim off", "brimful"):
        assert words in out


@pytest.mark.parametrize(
    "words",
    [[], ["make"], ["measure"], ["study"], ["schema"], ["proof"], ["printer"], ["note"], ["compare"]],
    ids=" ".join,
)
def test_help_fits_one_screen(words: list[str], command: Command, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    code, out, _ = command(*words, "--help")
    assert code == 0
    assert len(out.splitlines()) <= 24  # a terminal as it opens: 80 by 24
    assert max(len(line) for line in out.splitlines()) <= 80


def test_the_demo_has_every_key_of_lid_and_spoon(command: Command) -> None:
    """The names of DESIGN, section 12, and of the issue."""
    found = {kind: _measured(command, DEMO / f"{stem}.toml") for stem, kind in LIDDED.items()}
    for kind, pot in found.items():
        lid = pot["lid"]
        assert lid["kind"] == kind
        assert (lid["clearance_mm"] is None) == (kind == "cut")
        assert set(lid) >= LID_KEYS
        assert lid["centring_depth_mm"] > 0
        assert set(pot["parts"]) == {"jar", "lid"}
        for part in pot["parts"].values():
            assert list(part["states"]) == STATES
            assert all(set(state) == SIZES for state in part["states"].values())
            assert ("ball_g" in part) == (kind != "cut")  # thrown in one, it has one ball
    spoon = found["cut"]["spoon"]
    assert set(spoon) >= SPOON_KEYS
    # (6 + 2 x 1)(1 - S_leather)/(1 - S_fired), and the next of 6, 8, 10, 12 mm
    shrinkage = load_body("stoneware", DEMO).shrinkage
    needed = 8 * (1 - shrinkage.leather_hard) / (1 - shrinkage.fired)
    assert (spoon["cutter_needed_mm"], spoon["cutter_mm"]) == (pytest.approx(needed, rel=1e-12), 10)


def test_what_is_no_design_is_named_and_skipped(command: Command, tmp_path: Path) -> None:
    _bowl(tmp_path, "bowl")
    (tmp_path / "notes.txt").write_text("centre lower", encoding="utf-8")
    (tmp_path / "week.toml").write_text('[monday]\nglaze = "bowls"\n', encoding="utf-8")
    for flag in ([], ["--json"]):
        code, out, err = command("measure", tmp_path, *flag)
        assert code == 0
        for name in ("notes.txt", "week.toml"):
            assert f"skipped, no design: {tmp_path / name}" in err
            assert name not in out


def test_two_designs_of_one_stem_are_refused(command: Command, tmp_path: Path) -> None:
    (tmp_path / "a").mkdir()
    (tmp_path / "b").mkdir()
    first, second = _bowl(tmp_path / "a", "bowl"), _bowl(tmp_path / "b", "bowl")
    code, out, err = command("make", first, second, "--out", tmp_path / "out")
    assert (code, out) == (2, "")
    assert err.startswith(f"{second}: two designs have one name")
    assert str(first) in err
    assert not (tmp_path / "out").exists()


def test_the_settings_change_the_step_of_the_scales(command: Command, tmp_path: Path) -> None:
    path = _bowl(tmp_path, "bowl")
    (tmp_path / "my.toml").write_text("scales_step_g = 50\n", encoding="utf-8")
    ball = _measured(command, path)["ball_g"]
    code, out, _ = command("measure", path, "--json", "--settings", tmp_path / "my.toml")
    weighed = json.loads(out)["weigh_out_g"]
    assert code == 0
    assert weighed % 50 == 0
    assert 0 <= weighed - ball < 50


def test_measure_with_the_solid_agrees(command: Command) -> None:
    found = _measured(command, DEMO / "tumbler.toml", "--solid")
    assert set(found["solid"]) == {"finished", "thrown", "trimmed_off"}
    for solid in found["solid"].values():
        assert abs(solid["relative_to_integral"]) < 1e-9  # the contract's bound
    code, out, _ = command("measure", DEMO / "tumbler.toml", "--solid")
    assert code == 0
    assert out.count(", agrees") == 3


def test_the_quick_path_never_loads_the_modeller() -> None:
    script = (
        "import sys\n"
        "from profiler import cli\n"
        "try: cli.main()\n"
        "except SystemExit: pass\n"
        "modeller = {'cadquery', 'OCP', 'vtk', 'casadi'}\n"
        "print(sorted(modeller & {name.split('.')[0] for name in sys.modules}), file=sys.stderr)\n"
    )
    study = ["study", str(DEMO / "mustard_pot.toml"), "--heights", "64:66", "--angles", "40"]
    for words in (["measure", str(DEMO)], ["measure", str(DEMO / "tumbler.toml"), "--json"], ["schema"], study):
        done = subprocess.run(
            [sys.executable, "-c", script, *words], capture_output=True, text=True, timeout=60, check=True
        )
        assert done.stderr.splitlines()[-1] == "[]"


def test_a_reader_that_stops_reading_is_no_trouble() -> None:
    with subprocess.Popen(
        [sys.executable, "-m", "profiler", "measure", str(DEMO), "--json"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    ) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        process.stdout.close()
        said = process.stderr.read()
    assert "Traceback" not in said


def test_make_tells_warnings_too_but_no_notes(command: Command, tmp_path: Path) -> None:
    path = tmp_path / "pot.toml"
    text = (DEMO / "mustard_pot.toml").read_text(encoding="utf-8")
    path.write_text(text.replace("angle = 40", "angle = 65"), encoding="utf-8")
    code, _, err = command("make", path, "--template", "tombo", "--out", tmp_path / "out")
    assert code == 0
    assert f"{path}: warning: a joint of 65.0° jams" in err
    assert ": note: " not in err
