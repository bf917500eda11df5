"""`profiler study` as a potter types it, held against `measure`."""

from __future__ import annotations

import json
import math
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

Command = Callable[..., tuple[int, str, str]]

DEMO = Path(__file__).resolve().parents[2] / "designs_demo"


def test_a_study_tells_where_to_cut_and_what_the_jar_then_takes(
    command: Command, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    monkeypatch.chdir(tmp_path)
    words = ["study", DEMO / "mustard_pot.toml", "--heights", "58:74", "--angles", "40", "--lid-height", "45"]
    code, out, err = command(*words)
    assert (code, err) == (0, "")
    assert max(len(line) for line in out.splitlines()) <= 80
    told = " ".join(out.split())
    low, high, at, takes = re.findall(
        r"between ([0-9.]+) and ([0-9.]+) mm everything holds; at ([0-9.]+) mm the jar takes ([0-9.]+) ml", told
    )[0]
    assert high == "74"  # where the range ends
    assert at == "66"  # the design's own
    assert list(tmp_path.iterdir()) == []  # nothing is written unless a folder is named
    # `measure` goes another way: cut there, the lid with its knob of 14 mm is 45 mm high, and the jar takes as much
    lid, _ = _recut(command, tmp_path, float(low))
    assert lid["states"]["fired"]["height_mm"] + 14 == pytest.approx(45, abs=0.1)  # told to 0.1 mm, a steep slant
    assert lid["states"]["fired"]["height_mm"] + 14 <= 45
    lid, _ = _recut(command, tmp_path, float(low) - 0.1)
    assert lid["states"]["fired"]["height_mm"] + 14 > 45
    _, holds = _recut(command, tmp_path, 66)
    assert holds == pytest.approx(float(takes), abs=0.5)  # told to whole ml


def test_a_study_finds_the_cut_for_a_wanted_capacity(command: Command, tmp_path: Path) -> None:
    words = ["--heights", "50:80", "--angles", "40", "--capacity", "200", "--out", tmp_path / "out"]
    code, out, err = command("study", DEMO / "mustard_pot.toml", *words)
    assert (code, err) == (0, "")
    height = float(re.findall(r"For 200 ml cut at ([0-9.]+) mm and 40°", " ".join(out.split()))[0])
    _, holds = _recut(command, tmp_path, height)
    # the height is told to a twentieth of a millimetre, in a jar that is no wider than 84 mm outside
    assert holds == pytest.approx(200, abs=0.025 * math.pi * 42**2 / 1000)
    assert {path.name for path in (tmp_path / "out").iterdir()} == {"study.svg", "study.pdf"}


def _recut(command: Command, folder: Path, height: float) -> tuple[dict[str, Any], float]:
    """The lid of the mustard pot cut at another height, and what its jar then holds, to its notch, fired."""
    text = (DEMO / "mustard_pot.toml").read_text(encoding="utf-8")
    path = folder / "recut.toml"
    path.write_text(text.replace("height = 66", f"height = {height}"), encoding="utf-8")
    found = json.loads(command("measure", path, "--json")[1])
    path.unlink()
    return found["parts"]["lid"], found["parts"]["jar"]["states"]["fired"]["capacity_ml"]


def test_a_study_holds_the_cut_to_its_spoon(command: Command, tmp_path: Path) -> None:
    """Where the spoon no longer lies in the jar, the study ends, and so does `measure`."""
    text = (DEMO / "mustard_pot.toml").read_text(encoding="utf-8")
    (tmp_path / "pot.toml").write_text(text.replace("length = 112", "length = 84"), encoding="utf-8")
    code, out, _ = command("study", tmp_path / "pot.toml", "--heights", "60:80", "--angles", "40")
    assert code == 0
    told = " ".join(out.split())
    assert "Higher, the spoon falls in." in told
    last = float(re.findall(r"between 60 and ([0-9.]+) mm everything holds", told)[0])
    for height, wanted in ((last, 0), (last + 0.2, 1)):  # told to 0.1 mm, rounded down
        (tmp_path / "cut.toml").write_text(
            (tmp_path / "pot.toml").read_text(encoding="utf-8").replace("height = 66", f"height = {height}"),
            encoding="utf-8",
        )
        assert command("measure", tmp_path / "cut.toml")[0] == wanted


@pytest.mark.parametrize(
    ("stem", "words", "said"),
    [
        ("tumbler", [], "lid.kind: a study is of a lid that is cut from a closed form (found no [lid]"),
        ("jam_jar", [], "lid.kind: a study is of a lid that is cut from a closed form"),
        ("mustard_pot", ["--heights", "80:50"], "--heights: the heights are no range"),
        ("mustard_pot", ["--heights", "high:low"], "--heights: "),
        ("mustard_pot", ["--heights", "200:300"], "--heights: the heights miss the form"),
        ("mustard_pot", ["--angles", "95"], "--angles: the slants are no range a knife can be held at"),
        ("mustard_pot", ["--capacity", "-3"], "--capacity: not an amount"),
        ("mustard_pot", ["--at-least", "300", "--at-most", "200"], "--at-least: the jar cannot take both"),
        ("mustard_pot", ["--lid-height", "tall"], "--lid-height: "),
        ("mustard_pot", ["--paper", "B5"], "--paper: unknown paper"),
        ("mustard_pot", ["--settings", "nowhere.toml"], "nowhere.toml"),
        ("nothing_there", [], "nothing_there.toml"),
    ],
)
def test_what_cannot_be_studied_is_refused(
    stem: str, words: list[str], said: str, command: Command, tmp_path: Path
) -> None:
    code, out, err = command("study", DEMO / f"{stem}.toml", *words, "--out", tmp_path / "out")
    assert (code, out) == (2, "")
    assert said in err
    assert "Traceback" not in err
    assert not (tmp_path / "out").exists()


def test_its_help_says_that_a_single_height_will_do(command: Command, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    code, out, _ = command("study", "--help")
    assert code == 0
    heights = " ".join(out.split()).split("--heights")[1].split("--angles")[0]
    assert "or at one, as in 70" in heights
