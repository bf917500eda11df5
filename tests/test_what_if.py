"""What a millimetre or a point more does: a straight beaker by plane geometry, the rest against edited files."""

from __future__ import annotations

import json
import math
from collections.abc import Callable
from dataclasses import astuple
from pathlib import Path

import pytest

from profiler.measures import measured
from profiler.settings import Settings
from profiler.what_if import Numbers, WhatIf, what_if
from tests.pieces import DEMO_DESIGNS, demo_piece, piece_from

Command = Callable[..., tuple[int, str, str]]

CHANGES = ["wall", "floor", "foot_depth", "width", "shrinkage"]
BEAKER = """clay="stoneware"
sized="{sized}"
[form]
kind="points"
outside=[[{r},0],[{r},{h}]]
[wall]
rim={wall}
foot={wall}
[floor]
thickness={floor}
"""
# The shipped stoneware's figures: 12 % in all, 1.95 g/cm³, 21 % water, 6 % loss; points lose 7 % in throwing.
KEPT, DENSITY, DRY, BURNT, LOST = 0.88, 1.95, 0.79, 0.94, 0.07


def _of(text: str) -> WhatIf:
    return what_if(measured(piece_from(text), Settings()), Settings())


def _moves(found: WhatIf) -> dict[str, Numbers | None]:
    return {change.name: change.moves for change in found.changes}


SIZES = {"r": 40.0, "h": 100.0, "wall": 5.0, "floor": 6.0}


def _beaker(sized: str = "fired", *, shrunk: float = 1.0, wall: float = SIZES["wall"]) -> str:
    sizes = {name: size / shrunk for name, size in (SIZES | {"wall": wall}).items()}
    return BEAKER.format(sized=sized, **sizes)


def _by_hand(clay_mm3: float, room_mm3: float, high: float, wide: float, kept: float = KEPT) -> Numbers:
    """A piece that is not trimmed, from its fired clay, room, height and width."""
    wet_cm3 = clay_mm3 / kept**3 / 1000
    damp = wet_cm3 * DENSITY
    return Numbers(damp / (1 - LOST), damp * DRY * BURNT, room_mm3 / 1000, 0.0, high / kept, wide / kept)


def _tube(r: float, h: float, wall: float, floor: float, kept: float = KEPT) -> Numbers:
    room = math.pi * (r - wall) ** 2 * (h - floor)
    return _by_hand(math.pi * r**2 * h - room, room, h, 2 * r, kept)


def _alike(found: Numbers | None, wanted: Numbers) -> None:
    """Differences of some hundreds of g, ml and mm, each good to rounding: 1e-8 of them at the most."""
    assert found is not None
    assert astuple(found) == pytest.approx(astuple(wanted), abs=1e-6)


def test_a_straight_beaker_by_hand() -> None:
    found = _of(_beaker())
    designed = _tube(40, 100, 5, 6)
    _alike(found.designed, designed)
    moves = _moves(found)
    assert list(moves) == CHANGES
    _alike(moves["wall"], _tube(40, 100, 6, 6).less(designed))
    _alike(moves["floor"], _tube(40, 100, 5, 7).less(designed))
    assert moves["foot_depth"] is None  # it stands flat
    _alike(moves["shrinkage"], _tube(40, 100, 5, 6, kept=0.87).less(designed))
    # 1 mm of wall by hand: π (35² - 34²) 94 = 20,376.4 mm³ of clay more and of room less
    assert moves["wall"] is not None
    assert moves["wall"].capacity_ml == pytest.approx(-20.3764, abs=5e-5)  # its last digit


def test_a_millimetre_is_fired_whatever_state_the_sizes_are_in() -> None:
    fired, thrown = _moves(_of(_beaker())), _moves(_of(_beaker("wet", shrunk=KEPT)))
    for name in ("wall", "floor"):
        made = fired[name]
        assert made is not None
        _alike(thrown[name], made)
    # sized wet, it is thrown as before when its clay shrinks more, and comes out smaller: 0.87³ of it, not 0.88³
    less = thrown["shrinkage"]
    assert less is not None
    room = math.pi * 35**2 * 94 / 1000
    _alike(less, Numbers(0.0, 0.0, room * ((0.87 / 0.88) ** 3 - 1), 0.0, 0.0, 0.0))


def test_inches_are_no_other_pot() -> None:
    inches = _of('units="in"\n' + _beaker(shrunk=25.4))
    for one, other in zip(_of(_beaker()).changes, inches.changes, strict=True):
        if one.moves is None:
            assert other.moves is None
        else:
            _alike(other.moves, one.moves)


DRAWN = """clay="stoneware"
[form]
kind="points"
outside=[[40,0],[40,100]]
inside=[[35,10],[35,100]]
[foot_ring]
width=6
depth=4
edge=0
"""


def test_a_pot_whose_inside_was_measured_has_no_wall_or_floor_to_change() -> None:
    found = _of(DRAWN)
    moves = _moves(found)
    assert moves["wall"] is None
    assert moves["floor"] is None
    room, recess = math.pi * 35**2 * 90, math.pi * 34**2
    clay = math.pi * 40**2 * 100 - room - 4 * recess
    designed = _by_hand(clay, room, 100, 80)
    _alike(found.designed, designed)
    # a millimetre of ring: that much recess more, nothing else
    _alike(moves["foot_depth"], _by_hand(clay - recess, room, 100, 80).less(designed))
    # a rim wider by 1 mm: two frustums, h/3 π (a² + a b + b²)
    outer = math.pi * 100 / 3 * (40**2 + 40 * 40.5 + 40.5**2)
    inner = math.pi * 90 / 3 * (35**2 + 35 * 35.5 + 35.5**2)
    _alike(moves["width"], _by_hand(outer - inner - 4 * recess, inner, 100, 81).less(designed))


def test_what_cannot_be_made_is_a_dash() -> None:
    # a wall of 38.5 in a radius of 40 leaves a hole; a millimetre more, next to none
    moves = _moves(_of(_beaker(wall=38.5)))
    assert moves["wall"] is None
    assert moves["floor"] is not None


@pytest.mark.parametrize(
    ("stem", "name", "edits"),
    [
        ("porridge_bowl", "wall", {"rim = 4.5": "rim = 5.5", "foot = 5\n": "foot = 6\n"}),
        ("porridge_bowl", "foot_depth", {"depth = 5": "depth = 6"}),
        ("porridge_bowl", "width", {"rim_diameter = 155": "rim_diameter = 156"}),
        ("supper_plate", "floor", {"thickness = 6": "thickness = 7"}),
        ("jam_jar", "width", {"rim_diameter = 82": "rim_diameter = 83"}),
        ("mustard_pot", "width", {"belly_diameter = 84": "belly_diameter = 85"}),
    ],
)
def test_it_is_what_measure_says_of_the_edited_file(
    stem: str, name: str, edits: dict[str, str], command: Command, tmp_path: Path
) -> None:
    path = next(path for path in DEMO_DESIGNS if path.stem == stem)
    text = path.read_text(encoding="utf-8")
    for old, new in edits.items():
        assert text.count(old) == 1
        text = text.replace(old, new)
    edited = tmp_path / "edited.toml"
    edited.write_text(text, encoding="utf-8")
    before, after = (json.loads(command("measure", place, "--json")[1]) for place in (path, edited))
    moves = _moves(what_if(measured(demo_piece(path), Settings()), Settings()))[name]
    assert moves is not None

    def moved(*keys: str) -> float:
        a, b = before, after
        for key in keys:
            a, b = a[key], b[key]
        return float(str(b)) - float(str(a))

    # the same sums from the same curves, but for a size written with twelve decimals
    assert moves.ball_g == pytest.approx(moved("ball_g"), abs=1e-6)
    assert moves.fired_g == pytest.approx(moved("states", "fired", "mass_g"), abs=1e-6)
    assert moves.capacity_ml == pytest.approx(moved("states", "fired", "capacity_ml"), abs=1e-6)
    assert moves.trimmed_g == pytest.approx(moved("trimming", "removed_g"), abs=1e-6)
    assert moves.thrown_height_mm == pytest.approx(moved("thrown", "height_mm"), abs=1e-6)
    if stem != "mustard_pot":  # thrown shut, it is as wide as its belly, which `thrown` does not name
        assert moves.thrown_across_mm == pytest.approx(moved("thrown", "rim_diameter_mm"), abs=1e-6)


@pytest.mark.parametrize("path", DEMO_DESIGNS, ids=lambda path: path.stem)
def test_every_demo_has_its_table(path: Path) -> None:
    piece = demo_piece(path)
    found = what_if(measured(piece, Settings()), Settings())
    made = json.loads(json.dumps(found.json, allow_nan=False))
    assert list(made["changes"]) == CHANGES
    without = {name for name, moves in made["changes"].items() if moves is None}
    # only a foot that has no ring has no depth
    assert without == ({"foot_depth"} if not piece.asked.ring.depth else set())
    for name, moves in made["changes"].items():
        if moves is not None:
            assert set(moves) == set(made["designed"])
            assert moves["ball_g"] > 0, name  # each is more clay
    wall, width = made["changes"]["wall"], made["changes"]["width"]
    assert wall["capacity_ml"] < 0 < width["capacity_ml"]
    # a fired millimetre as thrown, whatever the clay
    assert width["thrown_across_mm"] == pytest.approx(1 / (1 - piece.body.shrinkage.fired), abs=1e-6)
