"""Balls and trims against what potters published: a table of throwing weights and one measured plate.

The pieces are the forms' own defaults with the size the table gives, wet, in the generic stoneware; walls,
floors, trims and losses were fixed before and are the same for every row. No row is tuned to the table.
"""

from __future__ import annotations

from dataclasses import dataclass

import pytest

from profiler.clay.body import load_body
from profiler.clay.states import State
from profiler.measures import Measures, measured
from profiler.settings import Settings
from tests.pieces import ROOT, piece_from

AGREES = 0.25
"""The table's own notes: potters differ by 25 % and more."""


@dataclass(frozen=True)
class Row:
    """One line of the table.

    Attributes:
        name: of the piece.
        kind: the form that makes it.
        clay_g: published, before throwing.
        height_mm: freshly thrown.
        width_mm: freshly thrown.
        miss: why the computed ball is off by more than AGREES; empty where it is not.
    """

    name: str
    kind: str
    clay_g: float
    height_mm: float
    width_mm: float
    miss: str = ""


_PLATE_MISS = (
    "the published ball less 12 % of slurry, spread evenly over the plate, is 12 mm of wet clay out to the very "
    "edge (exact); ours is 11 mm thick in the middle and thins to 5 mm under the rim, ready to turn"
)

# Lakeside Pottery, "Weights of clay needed", as copied at marianwilliamspottery.com, 2014.
TABLE = (
    Row("6 oz mug", "cylinder", 283, 76, 76),
    Row("8 oz mug", "cylinder", 397, 127, 76),
    Row("14 oz mug", "cylinder", 595, 178, 89),
    Row("saucer", "plate", 369, 25, 140),
    Row("large dinner plate", "plate", 1814, 32, 292, _PLATE_MISS),
    Row("medium dinner plate", "plate", 1361, 25, 254, _PLATE_MISS),
    Row("bread plate", "plate", 595, 19, 165, _PLATE_MISS),
    Row("large bowl", "bowl", 2608, 152, 305),
    Row(
        "medium bowl",
        "bowl",
        1814,
        114,
        254,
        "just outside; for its height times width the table gives this bowl a ninth more clay than its large one",
    ),
    Row(
        "storage jar",
        "jar",
        2268,
        305,
        127,
        "the published ball less 5 % of slurry, spread over side and floor, is a wall of 8 mm (exact), "
        "nearly twice the tableware wall of the defaults",
    ),
)


def _measured(row: Row) -> Measures:
    belly = f"belly_diameter = {row.width_mm}" if row.kind == "jar" else ""
    text = f"""sized = "wet"
clay = "stoneware"
[form]
kind = "{row.kind}"
rim_diameter = {row.width_mm}
height = {row.height_mm}
{belly}
"""
    return measured(piece_from(text), Settings())


def comparison() -> str:
    """The whole table, computed beside published."""
    lines = [f"{'piece':<20} {'published g':>11} {'computed g':>11} {'ratio':>6}"]
    for row in TABLE:
        ball = _measured(row).ball_g
        line = f"{row.name:<20} {row.clay_g:11.0f} {ball:11.0f} {ball / row.clay_g:6.2f}  {row.miss}"
        lines.append(line.rstrip())
    return "\n".join(lines)


@pytest.mark.parametrize("row", TABLE, ids=lambda row: row.name)
def test_balls_against_the_published_table(row: Row) -> None:
    off = abs(_measured(row).ball_g / row.clay_g - 1)
    if row.miss:
        assert off > AGREES, "it agrees now: take the reason out"
    else:
        assert off <= AGREES


def test_the_whole_comparison() -> None:
    table = comparison()
    print(table)  # noqa: T201 - pytest -s shows it
    assert all(row.name in table and row.miss in table for row in TABLE)


def test_the_reasons_of_the_misses_reckoned_again() -> None:
    by_name = {row.name: row for row in TABLE}
    pi = 3.141592653589793
    for name in ("large dinner plate", "medium dinner plate", "bread plate"):
        row = by_name[name]
        # 1.95 g/cm³; the figure in the reason is given to the millimetre
        assert row.clay_g * 0.88 / 1.95 / (pi * (row.width_mm / 20) ** 2) == pytest.approx(1.2, abs=0.06)
    jar = by_name["storage jar"]
    skin_cm2 = pi * jar.width_mm * jar.height_mm / 100 + pi * (jar.width_mm / 20) ** 2
    assert jar.clay_g * 0.95 / 1.95 / skin_cm2 == pytest.approx(0.8, abs=0.05)
    large, medium = by_name["large bowl"], by_name["medium bowl"]
    shares = [row.clay_g / row.height_mm / row.width_mm for row in (medium, large)]
    assert shares[0] / shares[1] == pytest.approx(1 + 1 / 9, abs=0.01)


# One potter's measured dinner plate, g: haaripottery, "plateweight", 2009.
READY_TO_TRIM_G, TRIMMED_G, GLAZED_AND_FIRED_G = 1500, 1000, 820


def test_the_measured_plate_from_trimmed_to_fired() -> None:
    body = load_body("stoneware", ROOT)
    bare = TRIMMED_G * body.mass_g(1.0, State.FIRED) / body.mass_g(1.0, State.LEATHER_HARD)
    # Glaze weighs 2 to 8 % of the bare pot (memory). The clay is not ours: water 19.5 to 22.5 % of damp weight
    # (Digitalfire, test CLWC) and 4 to 8 % lost in the fire (Digitalfire glossary) move the bare weight by 2.5 %
    # either way.
    assert bare * 1.02 * 0.975 <= GLAZED_AND_FIRED_G <= bare * 1.08 * 1.025


def test_a_dinner_plate_is_turned_down_by_about_a_third() -> None:
    # The measured plate loses a third of what was ready to trim; potters differ by 25 % and more (as above).
    plate = _measured(next(row for row in TABLE if row.name == "large dinner plate"))
    leather_g = plate.states[State.LEATHER_HARD].mass_g
    share = plate.trimming.removed_g / (leather_g + plate.trimming.removed_g)
    published = 1 - TRIMMED_G / READY_TO_TRIM_G
    assert share == pytest.approx(published, rel=AGREES)
