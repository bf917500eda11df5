"""Numbers put into a design file: everything else in it stays to the letter."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from profiler.design.edited import edited, filled
from profiler.faults import Fault
from profiler.sizing.entry import Entry, numbers
from tests.pieces import DEMO_DESIGNS

POT = Path("pot.toml")
TEXT = """# A bowl for the hut.
units = "in"   # as grandmother measured

[form]
kind = "bowl"  # round
height = "2 3/4 in"    # to the brim
rim_diameter = 6.25

# What it stands on, turned by hand.
[foot_ring]
depth = 0.2

[[extras]]
name = "lug"
weight_g = 12
"""


def test_a_number_is_replaced_where_it_stands() -> None:
    made = edited(TEXT, {("form", "height"): 3.125, ("foot_ring", "depth"): 1}, POT)
    assert made == TEXT.replace('"2 3/4 in"', "3.125").replace("0.2", "1")


def test_a_key_left_out_goes_under_the_last_of_its_table() -> None:
    made = edited(TEXT, {("form", "fullness"): 0.45}, POT)
    assert made == TEXT.replace("rim_diameter = 6.25\n", "rim_diameter = 6.25\nfullness = 0.45\n")


def test_a_table_left_out_goes_to_the_end() -> None:
    made = edited(TEXT, {("wall", "rim"): 0.16}, POT)
    assert made == TEXT + "\n[wall]\nrim = 0.16\n"
    both = edited(TEXT, {("wall", "rim"): 0.16, ("wall", "foot"): 0.2}, POT)
    assert both == TEXT + "\n[wall]\nrim = 0.16\nfoot = 0.2\n"


def test_a_table_before_its_own_tables() -> None:
    text = '[lid]\nkind = "cap"\n\n# turned\n[lid.knob]\nheight = 12 # mm\n'
    made = edited(text, {("lid", "rise"): 4.5, ("lid", "knob", "height"): 13.25}, POT)
    assert made == '[lid]\nkind = "cap"\nrise = 4.5\n\n# turned\n[lid.knob]\nheight = 13.25 # mm\n'


def test_points_keep_their_rows_and_remarks() -> None:
    text = '[form]\noutside = [\n  [38, 0],   # foot\n  [46.5,25], # belly\n  [ 48, "2 in" ],\n] # top\n'
    made = edited(text, {("form", "outside", 0, 0): 40.25, ("form", "outside", 2, 1): 51.5}, POT)
    assert made == text.replace("38", "40.25").replace('"2 in"', "51.5")


@pytest.mark.parametrize(
    "text",
    [
        'form = { kind = "bowl", height = 60 }  # all in one\n',
        'form.kind = "bowl"\nform.height = 60 # dotted\n[wall]\nrim = 4\n',
        "[form]\nheight = 60 # no end of line",
        "[lid.knob]\nheight = 3\n[form]\nheight = 60\n[lid]\nkind = 'cap'\n",
    ],
)
def test_other_ways_to_write_it(text: str) -> None:
    made = edited(text, {("form", "height"): 61.5, ("form", "fullness"): 0.5}, POT)
    assert tomllib.loads(made) == filled(tomllib.loads(text), {("form", "height"): 61.5, ("form", "fullness"): 0.5})
    for remark in ("# all in one", "# dotted", "# no end of line"):
        assert (remark in made) == (remark in text)


def test_ends_of_lines_stay_as_they_are() -> None:
    made = edited(TEXT.replace("\n", "\r\n"), {("form", "height"): 3, ("wall", "rim"): 0.2}, POT)
    assert made.count("\r\n") == made.count("\n") == TEXT.count("\n") + 3


def test_a_file_that_cannot_be_changed_is_a_fault() -> None:
    with pytest.raises(Fault, match="cannot be changed here"):
        edited('lid = { kind = "cap" }\n', {("lid", "knob", "height"): 12}, POT)


@pytest.mark.parametrize("path", DEMO_DESIGNS, ids=lambda path: path.stem)
def test_every_remark_of_the_demo_stays(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    made = edited(text, {("wall", "rim"): 4.25, ("floor", "thickness"): 5.5}, path)
    assert [line for line in text.splitlines() if line.startswith("#")] == [
        line for line in made.splitlines() if line.startswith("#")
    ]
    assert tomllib.loads(made)["wall"]["rim"] == 4.25


def test_what_is_taken_out_goes_and_nothing_else() -> None:
    made = edited(TEXT, {("foot_ring", "depth"): None, ("form", "rim_diameter"): None, ("wall", "rim"): None}, POT)
    assert made == TEXT.replace("depth = 0.2\n", "").replace("rim_diameter = 6.25\n", "")
    assert "extras" not in edited(TEXT, {("extras",): None}, POT)
    assert filled({"wall": {"rim": 4}}, {("wall", "rim"): None, ("lid", "knob", "height"): None}) == {"wall": {}}


def test_an_entry_in_the_unit_of_its_file() -> None:
    """An inch is 25.4 mm by definition; a plain number has no unit."""
    height, full = Entry(("form", "height"), 25.4 * 2.75), Entry(("form", "fullness"), 0.123456, length=False)
    assert numbers([height, full], "in", 2) == {("form", "height"): 2.75, ("form", "fullness"): 0.12}
    assert numbers([height], "mm", 2) == {("form", "height"): 69.85}
    assert Entry(("x",), 1.0).number("in", 2) == 0.0394  # 1/25.4 = 0.03937
    assert repr(Entry(("x",), 60.0).number("mm", 2)) == "60"
