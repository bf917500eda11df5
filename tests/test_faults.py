"""Bad files: one message a fault, with file, line, field, what was found and what is wanted; nothing written."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

import pytest

Command = Callable[..., tuple[int, str, str]]

BOWL = """title = "Bowl"
clay = "stoneware"
sized = "fired"

[form]
kind = "bowl"
rim_diameter = 155
height = 68

[wall]
rim = 4.5
foot = 5

[floor]
thickness = 4.5

[foot_ring]
outer_diameter = 70
width = 6
depth = 5

[thrown]
base_diameter = 80
blend_height = 25
"""
PLATE = """[form]
kind = "plate"
rim_diameter = 265
height = 25
rim_width = 36
rim_rise = 6

[foot_ring]
outer_diameter = 160
width = 7
inner_diameter = 60
inner_width = 6
"""
JAR = """[form]
kind = "jar"
belly_diameter = 110
rim_diameter = 82
height = 120
foot_diameter = 76
neck_diameter = 77
neck_height = 105
"""
STAND = """[form]
kind = "stand"
rim_diameter = 240
height = 120
joint_diameter = 80
waist_diameter = 68
"""
TUMBLER = """[form]
kind = "cylinder"
rim_diameter = 82
height = 95
belly = 2
base_corner = 3

[wall]
rim = 3.5
"""
POINTS = """[form]
kind = "points"
curve = "straight"
outside = [[38, 0], [46, 25], [48, 50], [43, 85], [40, 105], [42, 120]]

[wall]
rim = 4

[floor]
thickness = 5

[foot_ring]
depth = 0
"""
INSIDE = POINTS.replace("[wall]", "inside = [[30, 6], [42, 50], [36, 120]]\n\n[wall]")
SMOOTH = POINTS.replace("straight", "smooth")
BODY = """name = "Hut clay"

[shrinkage]
leather_hard = 5
bone_dry = 6
bisque = 6.5
fired = 12

[density]
plastic = 1.95

[weight]
water = 21
loss_on_ignition = 6
"""


class Bad(NamedTuple):
    """A good file with one thing changed, and the field and words its message must hold."""

    base: str
    old: str
    new: str
    field: str
    says: str


_RIM = "rim_diameter = 155"
_BLEND = "blend_height = 25"
_DEPTH = "depth = 5"

DESIGNS = {
    "a misspelt key": Bad(BOWL, _RIM, "rim_diametre = 155", "form.rim_diametre", "perhaps `rim_diameter`"),
    "a misspelt table": Bad(BOWL, "[foot_ring]", "[footring]", "footring", "perhaps `foot_ring`"),
    "a key of another form": Bad(BOWL, _RIM, f"{_RIM}\nbelly = 3", "form.belly", "one of"),
    "an unknown kind": Bad(BOWL, '"bowl"', '"boul"', "form.kind", "perhaps `bowl`"),
    "no kind": Bad(BOWL, 'kind = "bowl"\n', "", "form.kind", "one of bowl"),
    "an unknown clay": Bad(BOWL, '"stoneware"', '"stonewear"', "clay", "one of earthenware"),
    "a body file that is not there": Bad(BOWL, '"stoneware"', '"mine.toml"', "clay", "mine.toml"),
    "an unknown state": Bad(BOWL, '"fired"', '"glazed"', "sized", "'bisque'"),
    "an unknown unit": Bad(BOWL, 'sized = "fired"', 'units = "furlong"', "units", "'mm'"),
    "a weight for a length": Bad(BOWL, _RIM, 'rim_diameter = "15 kg"', "form.rim_diameter", "6 1/4 in"),
    "a fraction over nothing": Bad(BOWL, _RIM, 'rim_diameter = "6 1/0 in"', "form.rim_diameter", "over nothing"),
    "a fraction over one": Bad(BOWL, _RIM, 'rim_diameter = "6 5/4 in"', "form.rim_diameter", "one or more"),
    "a word for a length": Bad(BOWL, _RIM, 'rim_diameter = "wide"', "form.rim_diameter", "not a length"),
    "true for a length": Bad(BOWL, _RIM, "rim_diameter = true", "form.rim_diameter", "not a length"),
    "a list for a length": Bad(BOWL, _RIM, "rim_diameter = [155]", "form.rim_diameter", "not a length"),
    "a date for a length": Bad(BOWL, _RIM, "rim_diameter = 2024-05-01", "form.rim_diameter", "not a length"),
    "not a number": Bad(BOWL, _RIM, "rim_diameter = nan", "form.rim_diameter", "found nan"),
    "infinite": Bad(BOWL, _RIM, "rim_diameter = inf", "form.rim_diameter", "found inf"),
    "negative": Bad(BOWL, _RIM, "rim_diameter = -155", "form.rim_diameter", "more than 0"),
    "nothing": Bad(BOWL, _RIM, "rim_diameter = 0", "form.rim_diameter", "more than 0"),
    "absurdly large": Bad(BOWL, _RIM, "rim_diameter = 1e300", "form.rim_diameter", "at most 2000 mm"),
    "5,000 digits": Bad(BOWL, _RIM, "rim_diameter = " + "9" * 5000, "", "too many digits"),
    "a missing size": Bad(BOWL, f"{_RIM}\n", "", "form.rim_diameter", "missing"),
    "a number for a table": Bad(f"floor = 5\n{PLATE}", "floor = 5", "floor = 6", "floor", "a table"),
    "a number for a title": Bad(BOWL, 'title = "Bowl"', "title = 3", "title", "text in quotes"),
    "an empty title": Bad(BOWL, 'title = "Bowl"', 'title = ""', "title", "1 characters or more"),
    "a title without end": Bad(BOWL, 'title = "Bowl"', f'title = "{"x" * 201}"', "title", "200 characters at most"),
    "a fullness over one": Bad(BOWL, _RIM, f"{_RIM}\nfullness = 1.5", "form.fullness", "at most 1"),
    "a fullness in words": Bad(BOWL, _RIM, f'{_RIM}\nfullness = "full"', "form.fullness", "a number"),
    "a fullness that is none": Bad(BOWL, _RIM, f"{_RIM}\nfullness = nan", "form.fullness", "found nan"),
    "a rim that lies flat": Bad(BOWL, _RIM, f"{_RIM}\nrim_angle = 5", "form.rim_angle", "at least 30"),
    "all of it lost": Bad(BOWL, _BLEND, "loss_percent = 100", "thrown.loss_percent", "at most 60"),
    "a loss that is no number": Bad(BOWL, _BLEND, "loss_percent = nan", "thrown.loss_percent", "found nan"),
    "a negative loss": Bad(BOWL, _BLEND, "loss_percent = -5", "thrown.loss_percent", "at least 0"),
    "a negative skim": Bad(BOWL, _BLEND, "skim = -1", "thrown.skim", "0 or more"),
    "an unknown recess": Bad(BOWL, _DEPTH, 'depth = 5\nrecess = "round"', "foot_ring.recess", "'flat'"),
    "a foot wider than the pot": Bad(
        BOWL, "outer_diameter = 70", "outer_diameter = 190", "foot_ring.outer_diameter", "wider than the pot"
    ),
    "a ring that fills itself": Bad(BOWL, "width = 6", "width = 35", "foot_ring.width", "less than 34"),
    "a floor thinner than nothing": Bad(BOWL, "thickness = 4.5", "thickness = -1", "floor.thickness", "more than 0"),
    "a floor above the rim": Bad(BOWL, "thickness = 4.5", "thickness = 70", "form.height", "more than"),
    "a ring deeper than the bowl": Bad(BOWL, _DEPTH, "depth = 64", "form.height", "more than"),
    "a wall as thick as the bowl": Bad(BOWL, "foot = 5", "foot = 60", "", "closer together"),
    "an inner ring with no diameter": Bad(BOWL, _DEPTH, f"{_DEPTH}\ninner_width = 5", "foot_ring", "inner_diameter"),
    "an edge wider than its ring": Bad(BOWL, _DEPTH, f"{_DEPTH}\nedge = 4", "foot_ring.edge", "edge"),
    "a blend height above the rim": Bad(BOWL, _BLEND, "blend_height = 250", "thrown.blend_height", "not on the wall"),
    "a blend height in the foot": Bad(BOWL, _BLEND, "blend_height = 0.5", "thrown.blend_height", "not on the wall"),
    "a base beyond reason": Bad(BOWL, "base_diameter = 80", "base_diameter = 1500", "", "thrown"),
    "a plate lower than its floor": Bad(PLATE, "height = 25", "height = 9", "form.height", "more than"),
    "a rim that climbs out of the plate": Bad(PLATE, "rim_rise = 6", "rim_rise = 24", "form.rim_rise", "at most"),
    "a rim as wide as the plate": Bad(PLATE, "rim_width = 36", "rim_width = 130", "form.rim_width", "no well"),
    "an inner ring outside the outer": Bad(
        PLATE, "inner_diameter = 60", "inner_diameter = 150", "foot_ring.inner_diameter", "at most"
    ),
    "two foot diameters": Bad(
        JAR,
        "neck_height = 105",
        "neck_height = 105\n\n[foot_ring]\nouter_diameter = 70",
        "foot_ring.outer_diameter",
        "76.0 mm under [form]",
    ),
    "a neck wider than the belly": Bad(
        JAR, "neck_diameter = 77", "neck_diameter = 130", "form.neck_diameter", "no wider than the belly"
    ),
    "a neck above the rim": Bad(JAR, "neck_height = 105", "neck_height = 140", "form.neck_height", "below rim"),
    "a turned ring on a stand": Bad(
        STAND, "waist_diameter = 68", "waist_diameter = 68\n\n[foot_ring]\nwidth = 5", "foot_ring", "no turned ring"
    ),
    "a pedestal of no height": Bad(STAND, "height = 120", "height = 40", "form.height", "50 mm or more"),
    "a waist as thin as its wall": Bad(
        STAND, "waist_diameter = 68", "waist_diameter = 12", "form.waist_diameter", "no room inside"
    ),
    "a wall thicker than the curve": Bad(
        TUMBLER,
        "belly = 2\nbase_corner = 3\n\n[wall]\nrim = 3.5",
        "belly = 60\n\n[wall]\nrim = 20",
        "wall",
        "thicker than the curve allows: at height 47",  # where it swells most, half of 95
    ),
    "a waist that closes": Bad(TUMBLER, "belly = 2", "belly = -38", "wall", "no room inside"),
    "a wall that fills the tumbler": Bad(TUMBLER, "rim = 3.5", "rim = 60", "wall", "no room inside"),
    "a corner larger than the base": Bad(TUMBLER, "base_corner = 3", "base_corner = 60", "", "60.0 mm"),
    "an inside corner without room": Bad(
        TUMBLER, "base_corner = 3", "inside_corner = 60", "form.inside_corner", "does not fit"
    ),
    "points that hang in the air": Bad(POINTS, "[38, 0]", "[38, 3]", "form.outside", "on the table"),
    "one point": Bad(
        POINTS, ", [46, 25], [48, 50], [43, 85], [40, 105], [42, 120]", "", "form.outside", "2 entries or more"
    ),
    "a point of three numbers": Bad(POINTS, "[46, 25]", "[46, 25, 3]", "form.outside.1", "2"),
    "a point left of the axis": Bad(POINTS, "[46, 25]", "[-46, 25]", "form.outside.1.0", "0 or more"),
    "a point below the table": Bad(POINTS, "[46, 25]", "[46, -25]", "", "-25"),
    "a point twice": Bad(POINTS, "[46, 25]", "[46, 25], [46, 25]", "form.outside", "each point once"),
    "an outline that crosses itself": Bad(
        INSIDE, "[48, 50], [43, 85]", "[48, 85], [60, 50], [43, 50], [43, 85]", "form", "crosses"
    ),
    "an inside outside the outside": Bad(INSIDE, "[42, 50]", "[60, 50]", "form", "crosses itself"),
    "a smooth curve that swings out": Bad(SMOOTH, "[46, 25], [48, 50]", "[90, 2], [91, 3]", "form.outside", "swings"),
    "a recess through the floor": Bad(INSIDE, "depth = 0", "depth = 6.5", "foot_ring.depth", "less deep than 6.0"),
    "1,500 points": Bad(POINTS, "[46, 25]", ", ".join(["[46, 25]"] * 1500), "form.outside", "at most 1,000"),
}

CHECKS = {
    "a base narrower than the ring": Bad(
        BOWL, "base_diameter = 80", "base_diameter = 50", "thrown_contains_finished", "10.0 mm are missing"
    ),
    "a floor of next to nothing": Bad(
        BOWL, "thickness = 4.5", "thickness = 0.2", "breaks_through", "0.2 mm of clay left"
    ),
}
"""Designs that can be read and built, but stand against a check; the field is the check's id."""

BODIES = {
    "an unknown key in a body": Bad(BODY, "bisque = 6.5", "bisk = 6.5", "shrinkage.bisk", "perhaps `bisque`"),
    "a missing shrinkage": Bad(BODY, "fired = 12\n", "", "shrinkage.fired", "missing"),
    "a shrinkage out of this world": Bad(BODY, "fired = 12", "fired = 100", "shrinkage.fired", "at most 35"),
    "a shrinkage in words": Bad(BODY, "fired = 12", 'fired = "12 %"', "shrinkage.fired", "a number"),
    "clay that grows in the fire": Bad(BODY, "fired = 12", "fired = 1", "shrinkage.fired", "grows too much"),
    "leather-hard beyond bone-dry": Bad(
        BODY, "leather_hard = 5", "leather_hard = 8", "shrinkage.leather_hard", "at most 6"
    ),
    "clay lighter than water": Bad(BODY, "plastic = 1.95", "plastic = 0.9", "density.plastic", "at least 1.2"),
    "clay too dry to shrink": Bad(BODY, "water = 21", "water = 6", "weight.water", "for this leather-hard"),
    "nothing left after the fire": Bad(
        BODY, "loss_on_ignition = 6", "loss_on_ignition = 100", "weight.loss_on_ignition", "at most 30"
    ),
}

FILES: dict[str, tuple[bytes, int | None, str]] = {
    "an empty file": (b"", 1, "found nothing; wanted a [form] table"),
    "a body for a design": (BODY.encode(), 1, "a [form] table"),
    "not UTF-8": (b'title = "Sch\xfcssel"\n' + BOWL.encode(), 1, "UTF-8"),
    "a zero byte": (BOWL.encode() + b"\n\x00", 26, "zero byte"),
    "an unclosed string": (b'[form]\nkind = "bowl\n', 2, "not valid TOML"),
    "a key twice": (b'[form]\nkind = "bowl"\nkind = "bowl"\n', 3, "not valid TOML"),
    "5,000 brackets": (b"[form]\nrim_diameter = " + b"[" * 5000, 2, "nested too deep"),
    "a key of 40 kB": (b"[form]\n" + b"a." * 20000 + b"a = 1\n", 2, "too many dots"),
    "300 kB": (BOWL.encode() + b"#" * 300_000, None, "at most 256 kB"),
    "a table where the form stands": (b'form = "bowl"\n', 1, "a table"),
}


def _line_of(text: str, field: str) -> int | None:
    """Where a person finds the field: its own line, or that of the table around it."""
    for name in reversed([part for part in field.split(".") if part and not part.isdigit()]):
        for number, line in enumerate(text.splitlines(), 1):
            if re.match(rf"\[?{name}\b", line):
                return number
    return None


def _refused(command: Command, folder: Path, file: Path, line: int | None, field: str, says: str) -> None:
    """`make` and `measure` both end with code 2 and this message, and nothing is written."""
    before = sorted(folder.rglob("*"))
    for words in (("make", folder / "design.toml", "--out", folder / "out"), ("measure", folder / "design.toml")):
        code, out, err = command(*words)
        assert (code, out) == (2, "")
        assert "Traceback" not in err
        place = f"{file}:{line}: " if line else f"{file}:"
        message = next((m for m in err.splitlines() if m.startswith(place) and says in m), "")
        assert message, f"{err!r} has no message at {place!r} with {says!r}"
        assert field in message
        assert "(found " in message or "wanted " in message
    assert sorted(folder.rglob("*")) == before


@pytest.mark.parametrize("name", DESIGNS)
def test_a_bad_design_is_refused(name: str, command: Command, tmp_path: Path) -> None:
    bad = DESIGNS[name]
    assert bad.base.count(bad.old) == 1
    text = bad.base.replace(bad.old, bad.new)
    file = tmp_path / "design.toml"
    file.write_text(text, encoding="utf-8")
    _refused(command, tmp_path, file, _line_of(text, bad.field), bad.field, bad.says)


@pytest.mark.parametrize("name", BODIES)
def test_a_bad_body_is_refused_at_its_own_line(name: str, command: Command, tmp_path: Path) -> None:
    bad = BODIES[name]
    assert bad.base.count(bad.old) == 1
    text = bad.base.replace(bad.old, bad.new)
    body = tmp_path / "hut.toml"
    body.write_text(text, encoding="utf-8")
    (tmp_path / "design.toml").write_text(BOWL.replace('"stoneware"', '"hut.toml"'), encoding="utf-8")
    _refused(command, tmp_path, body, _line_of(text, bad.field), bad.field, bad.says)


@pytest.mark.parametrize("name", FILES)
def test_a_file_that_cannot_be_read_is_refused(name: str, command: Command, tmp_path: Path) -> None:
    raw, line, says = FILES[name]
    file = tmp_path / "design.toml"
    file.write_bytes(raw)
    _refused(command, tmp_path, file, line, "", says)


@pytest.mark.parametrize("name", CHECKS)
def test_a_check_that_stands_stops_the_templates(name: str, command: Command, tmp_path: Path) -> None:
    bad = CHECKS[name]
    assert bad.base.count(bad.old) == 1
    file = tmp_path / "design.toml"
    file.write_text(bad.base.replace(bad.old, bad.new), encoding="utf-8")
    code, out, err = command("make", file, "--out", tmp_path / "out")
    assert code == 1
    assert f"{file}: error: " in err
    assert bad.says in err
    assert [p.name for p in tmp_path.iterdir()] == ["design.toml"]
    code, out, err = command("measure", file, "--json")
    assert (code, err) == (1, "")
    assert f'"id": "{bad.field}"' in out


ABSURD = {
    "an extra wall of 200": BOWL.replace(_BLEND, f"{_BLEND}\nextra_wall = 200"),
    "a pot from a point": POINTS.replace("straight", "smooth").replace("[38, 0]", "[0, 0]"),
    "a wall of nothing to 50": STAND + "\n[wall]\nfoot = 0.1\nrim = 50\n",
    "a wall of 50 to nothing": STAND + "\n[wall]\nfoot = 50\nrim = 0.1\n",
    "a tumbler of a mouse": TUMBLER.replace("height = 95", "height = 1"),
    "a tumbler of a giant": TUMBLER.replace("height = 95", "height = 1900"),
    "a bowl of a hair's width": BOWL.replace(_RIM, "rim_diameter = 1e-300"),
    "a belly like a disc": JAR.replace("belly_diameter = 110", "belly_diameter = 1900"),
}


@pytest.mark.filterwarnings("error")
@pytest.mark.parametrize("name", ABSURD)
def test_what_no_one_would_throw_ends_in_words(name: str, command: Command, tmp_path: Path) -> None:
    """Found by changing the demo's sizes at random: each once ended in a crash, or could have."""
    (tmp_path / "design.toml").write_text(ABSURD[name], encoding="utf-8")
    code, out, err = command("measure", tmp_path / "design.toml")
    assert code in (0, 1, 2)
    assert bool(err) == (code == 2)
    assert ("error: " in out) == (code == 1)


def test_every_base_of_the_table_is_good_itself(command: Command, tmp_path: Path) -> None:
    (tmp_path / "hut.toml").write_text(BODY, encoding="utf-8")
    for number, base in enumerate((BOWL, PLATE, JAR, STAND, TUMBLER, POINTS, INSIDE, SMOOTH)):
        clay = "" if "clay" in base else 'clay = "hut.toml"\n'
        (tmp_path / f"good_{number}.toml").write_text(clay + base, encoding="utf-8")
    code, _, err = command("measure", tmp_path, "--json")
    assert (code, err.strip()) == (0, f"skipped, no design: {tmp_path / 'hut.toml'}")


def test_one_bad_file_among_good_ones_and_nothing_is_written(command: Command, tmp_path: Path) -> None:
    (tmp_path / "a_good.toml").write_text(BOWL, encoding="utf-8")
    (tmp_path / "b_bad.toml").write_text(BOWL.replace("height = 68", "hieght = 68"), encoding="utf-8")
    (tmp_path / "c_bad.toml").write_text(PLATE.replace("rim_rise = 6", "rim_rise = 24"), encoding="utf-8")
    (tmp_path / "d_bad.toml").write_bytes(b"\xff")
    code, _, err = command("make", tmp_path, "--out", tmp_path / "out")
    assert code == 2
    for name in ("b_bad.toml:8: form.hieght", "d_bad.toml:1: "):
        assert name in err
    assert not (tmp_path / "out").exists()


def test_shapes_of_several_designs_are_told_in_one_go(command: Command, tmp_path: Path) -> None:
    (tmp_path / "a.toml").write_text(PLATE.replace("rim_rise = 6", "rim_rise = 24"), encoding="utf-8")
    (tmp_path / "b.toml").write_text(STAND.replace("height = 120", "height = 40"), encoding="utf-8")
    code, _, err = command("measure", tmp_path)
    assert code == 2
    assert [line.split(" ")[0] for line in err.splitlines()] == [f"{tmp_path}/a.toml:6:", f"{tmp_path}/b.toml:4:"]


@pytest.mark.parametrize(
    "words",
    [
        ["make", "nowhere.toml"],
        ["measure", "empty"],
        ["make", "good.toml", "--paper", "A9"],
        ["make", "good.toml", "--out", "good.toml"],
        ["measure", "good.toml", "--settings", "nowhere.toml"],
        ["schema", "--out", "nowhere/schema.json"],
        ["measure"],
        ["fire", "good.toml"],
    ],
    ids=" ".join,
)
def test_bad_words_on_the_command_line(
    words: list[str], command: Command, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "good.toml").write_text(BOWL, encoding="utf-8")
    (tmp_path / "empty").mkdir()
    monkeypatch.chdir(tmp_path)
    code, out, err = command(*words)
    assert (code, out) == (2, "")
    assert err.strip()
    assert sorted(p.name for p in tmp_path.iterdir()) == ["empty", "good.toml"]


def test_what_a_terminal_may_take_for_markup_is_printed_as_it_is(command: Command, tmp_path: Path) -> None:
    folder = tmp_path / "[bold]"
    folder.mkdir()
    text = TUMBLER.replace("[form]", 'title = "Cup [/b] :cup: [red]"\n\n[form]')
    (folder / "[red]cup.toml").write_text(text, encoding="utf-8")
    (folder / "[notes.txt").write_text("pull handles on Friday", encoding="utf-8")
    code, out, err = command("make", folder, "--out", tmp_path / "out")
    assert (code, err) == (0, "")
    assert f"skipped, no design: {folder / '[notes.txt'}" in out
    assert "Cup [/b] :cup: [red]: weigh out " in out


def test_a_name_that_is_no_text_is_refused(command: Command, tmp_path: Path) -> None:
    name = os.fsencode(tmp_path) + b"/sch\xfcssel.toml"
    with open(name, "w", encoding="utf-8") as file:  # noqa: PTH123 - a path of bytes
        file.write(BOWL)
    code, out, err = command("measure", tmp_path)
    assert (code, out) == (2, "")
    assert "a file name that cannot name a folder" in err


@pytest.mark.parametrize("name", ["a misspelt key", "not a number", "a wall thicker than the curve", "one point"])
def test_the_program_itself_ends_with_two(name: str, tmp_path: Path) -> None:
    bad = DESIGNS[name]
    (tmp_path / "design.toml").write_text(bad.base.replace(bad.old, bad.new), encoding="utf-8")
    done = subprocess.run(
        [sys.executable, "-m", "profiler", "make", "design.toml"],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.startswith("design.toml")
    assert "Traceback" not in done.stderr
    assert [p.name for p in tmp_path.iterdir()] == ["design.toml"]


def test_a_terminal_without_the_letters_still_gets_the_numbers(tmp_path: Path) -> None:
    (tmp_path / "design.toml").write_text(
        TUMBLER.replace("[form]", 'title = "Hrníček ☕"\n\n[form]'), encoding="utf-8"
    )
    for words in (["measure", "design.toml"], ["measure", "design.toml", "--json"], ["make", "design.toml"]):
        done = subprocess.run(
            [sys.executable, "-m", "profiler", *words],
            cwd=tmp_path,
            env={**os.environ, "PYTHONIOENCODING": "ascii"},
            capture_output=True,
            text=True,
            timeout=60,
            check=False,
        )
        assert (done.returncode, done.stderr) == (0, "")
        assert "Hrn\\u00edček".encode("ascii", "backslashreplace").decode() in done.stdout.replace("\\xed", "\\u00ed")
