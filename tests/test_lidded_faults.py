"""What cannot be cut, pressed in, laid in or put on: one clear message, by the command line, and nothing written."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

import pytest

Command = Callable[..., tuple[int, str, str]]

DEMO = Path(__file__).resolve().parents[1] / "designs_demo"


class Bad(NamedTuple):
    """A demo design with one line spoilt, and what is said of it."""

    stem: str
    old: str
    new: str
    field: str
    words: tuple[str, ...]


REFUSED = {
    "a cut above the top": Bad(
        "mustard_pot",
        "height = 66",
        "height = 95",
        "lid.height",
        ("above the top", "found 95.0 mm"),
    ),
    "a cut under the floor": Bad(
        "mustard_pot",
        "height = 66",
        "height = 3",
        "lid.height",
        ("found 3.0 mm", "wanted between ", "where everything holds at that slant"),
    ),
    "a cut whose height is left open": Bad(
        "mustard_pot",
        "height = 66\nangle",
        "angle",
        "lid.height",
        ("a key is missing", "wanted the height of the cut", "`profiler study` finds one"),
    ),
    "a cut under the table": Bad("mustard_pot", "height = 66", "height = -3", "lid.height", ("found -3 mm",)),
    "a knife that never comes out": Bad(
        "mustard_pot", "angle = 40", "angle = 89", "lid.angle", ("found 89 degrees", "wanted a flatter cut")
    ),
    "a knife held upright": Bad("mustard_pot", "angle = 40", "angle = 90", "lid.angle", ("wanted less than 90",)),
    "a slope that is none": Bad(
        "mustard_pot", '"inward_down"', '"downhill"', "lid.slope", ("'inward_down' or 'inward_up'",)
    ),
    "cutters all too small": Bad(
        "mustard_pot",
        "cutters = [6, 8, 10, 12]",
        "cutters = [6, 8]",
        "notch.cutters",
        # (6 + 2 x 1)(1 - 0.05)/(1 - 0.12) = 8.636, rounded up so that it will do
        ("handle of 6 mm", "found 8 mm at most", "8.7 mm or more at leather-hard"),
    ),
    "a spoon of three metres": Bad(
        "mustard_pot", "length = 112", "length = 3000", "spoon.length", ("found 3000", "wanted at most")
    ),
    "a spoon that is all bowl": Bad(
        "mustard_pot", "bowl_length = 30", "bowl_length = 130", "spoon.bowl_length", ("found 130 mm", "less than 112")
    ),
    "a spoon without its unit": Bad(
        "mustard_pot", "length = 112", 'length = "5 5/8"', "spoon.length", ("is a unit missing", "at least 60 mm")
    ),
    "a spoon in centimetres": Bad(
        "mustard_pot", "length = 112", "length = 14.2", "spoon.length", ("found 14.2 mm", "cm or inches")
    ),
    "a handle whose point has slipped": Bad(
        "mustard_pot", "handle_width = 6", "handle_width = 75", "spoon.handle_width", ("found 75 mm", "at most 40 mm")
    ),
    "a bowl wider than the mouth": Bad(
        "mustard_pot", "bowl_width = 19", "bowl_width = 80", "spoon.bowl_width", ("found 80 mm", "mouth")
    ),
    "a notch down to the floor": Bad(
        "mustard_pot",
        "clearance = 1\n",
        "clearance = 1\ndepth = 60\n",
        "notch.depth",
        ("found 60.0 mm", "wanted from 0"),
    ),
    "a lid larger than its seat": Bad(
        "butter_jar", "clearance = 1.2", "clearance = -1.2", "lid.clearance", ("found -1.2 mm", "wanted 0 or more")
    ),
    "a collar deeper than the jar": Bad(
        "butter_jar", "collar_depth = 9", "collar_depth = 90", "lid.collar_depth", ("wanted a shorter reach",)
    ),
    "a ledge that closes the mouth": Bad(
        "jam_jar", "ledge_width = 5", "ledge_width = 60", "lid.ledge_width", ("found 60.0 mm wide", "narrower")
    ),
    "a lid nobody makes": Bad(
        "tea_caddy",
        'kind = "cap"',
        'kind = "cork"',
        "lid.kind",
        ("'cork'", "wanted one of cut, gallery, flange, cap)"),
    ),
    "a lid cut from an open jar": Bad(
        "tea_caddy",
        'kind = "cap"\nskirt_depth = 16\nclearance = 1.2\nrise = 4',
        'kind = "cut"\nheight = 60',
        "lid.kind",
        ("closed form only", "found a form with a mouth"),
    ),
    "a misspelt key of the lid": Bad("mustard_pot", "gap = 1.5", "gpa = 1.5", "lid.gpa", ("perhaps `gap`",)),
    "a misspelt key of a lid that is one of several": Bad(
        "butter_jar", "overhang = 2", "overhnag = 2", "lid.overhnag", ("perhaps `overhang`",)
    ),
    "a misspelt key of what is stuck on": Bad(
        "mustard_pot", "weight_g = 12", "weigth_g = 12", "extras.0.weigth_g", ("perhaps `weight_g`",)
    ),
}


def _spoilt(bad: Bad, folder: Path) -> Path:
    text = (DEMO / f"{bad.stem}.toml").read_text(encoding="utf-8")
    assert text.count(bad.old) == 1
    path = folder / "pot.toml"
    path.write_text(text.replace(bad.old, bad.new), encoding="utf-8")
    return path


@pytest.mark.parametrize("name", REFUSED)
def test_a_pair_that_cannot_be_is_refused(name: str, command: Command, tmp_path: Path) -> None:
    bad = REFUSED[name]
    path = _spoilt(bad, tmp_path)
    for words in (["measure"], ["make", "--out", tmp_path / "out"]):
        code, out, err = command(*words, path)
        assert (code, out) == (2, "")
        said = next(line for line in err.splitlines() if f": {bad.field}" in line)
        assert re.match(rf"{re.escape(str(path))}:[1-9][0-9]*: {re.escape(bad.field)}", said)
        assert [word for word in bad.words if word not in said] == []
    assert not (tmp_path / "out").exists()


STANDS = {
    "a spoon longer than sense": (
        Bad("mustard_pot", "length = 112", "length = 400", "", ("tips out", "mm or shorter")),
        ("balance = 46", "balance = 180"),
    ),
    "a spoon that falls in": (
        Bad("mustard_pot", "length = 112", "length = 60", "", ("falls in", "mm or longer")),
        ("balance = 46", "balance = 27"),
    ),
    # sized wet, the jar shrinks by 14 % and the lid by 7 %: over a radius of 50 mm they end 3.5 mm apart
    "a lid that has become larger than its seat": (
        Bad(
            "butter_jar",
            'clay = "stoneware"',
            'clay = "porcelain"\nsized = "wet"',
            "lid_binds",
            ("larger than its seat",),
        ),
        ('kind = "flange"', 'kind = "flange"\nclay = "earthenware"'),
    ),
}


@pytest.mark.parametrize("name", STANDS)
def test_a_pair_that_will_fail_is_told_with_its_cure_and_gets_no_templates(
    name: str, command: Command, tmp_path: Path
) -> None:
    bad, (old, new) = STANDS[name]
    path = _spoilt(bad, tmp_path)
    path.write_text(path.read_text(encoding="utf-8").replace(old, new), encoding="utf-8")
    code, out, err = command("measure", path)
    assert (code, err) == (1, "")
    told = " ".join(out.split())
    assert "error: " in told
    assert [word for word in bad.words if word not in told] == []
    code, out, err = command("make", "--out", tmp_path / "out", path)
    assert (code, out) == (1, "")
    assert f"{path}: error: " in err
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize("length", [400, 60])
def test_the_spoon_that_is_told_as_the_cure_is_one(length: int, command: Command, tmp_path: Path) -> None:
    text = (DEMO / "mustard_pot.toml").read_text(encoding="utf-8").replace("balance = 46\n", "")

    def measured(millimetres: float) -> tuple[int, str]:
        path = tmp_path / "pot.toml"
        path.write_text(text.replace("length = 112", f"length = {millimetres}"), encoding="utf-8")
        code, out, _ = command("measure", path)
        return code, " ".join(out.split())

    code, told = measured(length)
    cure = float(re.findall(r"([0-9.]+) mm or (?:shorter|longer)", told)[0])
    assert (code, measured(cure)[0]) == (1, 0)


def test_a_level_cut_slides_and_says_so(command: Command, tmp_path: Path) -> None:
    path = _spoilt(Bad("mustard_pot", "angle = 40", "angle = 0", "", ()), tmp_path)
    code, out, _ = command("measure", path)
    assert code == 0
    assert "slide" in out
    assert "30 to 45°" in out


def test_a_steep_cut_jams_and_says_so(command: Command, tmp_path: Path) -> None:
    path = _spoilt(Bad("mustard_pot", "angle = 40", "angle = 65", "", ()), tmp_path)
    code, out, _ = command("measure", path)
    assert code == 0
    assert "warning: a joint of 65.0° jams" in " ".join(out.split())
