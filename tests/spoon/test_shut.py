"""Lid shut over the spoon at rest, all four kinds: let down on polygons of jar, lid and spoon in another library."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from shapely import LineString, Point, Polygon, affinity, box
from shapely.geometry.base import BaseGeometry

from profiler.check import Level
from profiler.checks import checked
from profiler.clay.states import State
from profiler.lidded import standing
from profiler.measures import Measures, measured
from profiler.piece import Piece
from profiler.settings import Settings
from profiler.spoon.notch import depth_for
from profiler.spooned import SpoonMeasures, fired_jar, spoon_at_rest, spoon_of
from tests.pieces import piece_from

JAR = '[form]\nkind = "jar"\nrim_diameter = 82\nheight = 100\nbelly_diameter = 86\n'
CYLINDER = '[form]\nkind = "cylinder"\nrim_diameter = 84\nheight = 95\n'
CLOSED = '[form]\nkind = "closed"\nbelly_diameter = 95\nheight = 100\n'
SPOON = "[spoon]\nlength = 135\nhandle_width = 8\n"
LIDS = {
    "cut, plug": CLOSED + '[lid]\nkind = "cut"\nheight = 66\nangle = 38\nslope = "inward_down"\n',
    "cut, cap": CLOSED + '[lid]\nkind = "cut"\nheight = 66\nangle = 38\nslope = "inward_up"\n',
    **{
        f"{kind} on a {name}": f'{form}[lid]\nkind = "{kind}"\n'
        for kind in ("gallery", "flange", "cap")
        for name, form in (("jar", JAR), ("cylinder", CYLINDER))
    },
    # a low lid takes hardly a notch
    "low cap": JAR + '[lid]\nkind = "cap"\nrise = 2\n',
    "low flange": JAR + '[lid]\nkind = "flange"\nrise = 3\n',
}
WHERE = ("jar", "lid", "both")

NEAR_MM = 0.02
"""The program's points of lid and clay lie 0.1 mm apart; where a corner of the lid passes a steep handle between two
of them it is off by at most a tenth of that, and the chords here stray by 0.002 mm."""


def _measured(text: str) -> Measures:
    return measured(piece_from(text), Settings())


def _spoon(measures: Measures) -> SpoonMeasures:
    assert measures.spoon is not None
    return measures.spoon


def _around(piece: Piece, index: int, cut: BaseGeometry | None) -> BaseGeometry:
    """A part in the plane of the notch: near side less what the notch takes, and far side."""
    half = Polygon(standing(piece, piece.parts[index], State.FIRED).outline.sampled(100))
    near = half if cut is None else half.difference(cut)
    return shapely.union_all([near, affinity.scale(half, -1, 1, origin=(0, 0))])


def _parts(measures: Measures) -> tuple[BaseGeometry, BaseGeometry, BaseGeometry]:
    """Jar, shut lid, and spoon at rest."""
    piece, spoon = measures.piece, _spoon(measures)
    sections = [standing(piece, cast, State.FIRED).outline for cast in piece.parts]
    rim, edge = sections[0].highest(1)[1], sections[1].lowest(1)[1]
    cuts = (box(0, rim - spoon.jar_notch_mm, 500, 500), box(0, -500, 500, edge + spoon.lid_notch_mm))
    jar = _around(piece, 0, cuts[0] if spoon.jar_notch_mm else None)
    lid = _around(piece, 1, cuts[1] if spoon.lid_notch_mm else None)
    rest, table = spoon_at_rest(piece, spoon), piece.design.head.spoon
    assert rest is not None
    assert table is not None
    metal = spoon_of(table)
    handle = LineString([rest.bowl_at, rest.end_at]).buffer(metal.handle_thickness / 2, cap_style="flat")
    return jar, lid, handle.union(Point(rest.bowl_at).buffer(metal.bowl_radius_mm, 512))


def _comes_down_to(lid: BaseGeometry, spoon: BaseGeometry) -> float:
    """How far below its place, mm, a lid let down from above first meets the spoon; above its place below nought."""
    # coarsely from above, then halved
    steps = np.arange(60.0, -25.0, -0.25)
    met = next(up for up in steps if affinity.translate(lid, 0, up).intersects(spoon))
    high, low = met + 0.25, met
    while high - low > 1e-4:
        middle = (low + high) / 2
        low, high = (middle, high) if affinity.translate(lid, 0, middle).intersects(spoon) else (low, middle)
    return -float(high)


@pytest.mark.parametrize("where", WHERE)
@pytest.mark.parametrize("name", LIDS)
def test_the_room_over_the_spoon_is_how_far_the_lid_can_be_let_down(name: str, where: str) -> None:
    measures = _measured(f'{LIDS[name]}{SPOON}[notch]\nin = "{where}"\n')
    spoon = _spoon(measures)
    jar, lid, metal = _parts(measures)
    assert spoon.lid_gap_mm == pytest.approx(_comes_down_to(lid, metal), abs=NEAR_MM)
    # and the spoon lies clear of ledge, collar and skirt: 0.01 mm as elsewhere
    assert not metal.intersects(jar.buffer(-0.01))
    if where != "lid" or "low" not in name:
        assert spoon.lid_gap_mm is not None
        assert spoon.lid_gap_mm >= 1.0 - 2e-3  # the clearance asked for, which the search settles to 1e-3
        assert not metal.intersects(lid)


@pytest.mark.parametrize("name", LIDS)
def test_without_a_notch_the_lid_rides_up_by_what_it_is_held_off(name: str) -> None:
    measures = _measured(LIDS[name] + SPOON)
    _, lid, metal = _parts(measures)
    assert _spoon(measures).lid_gap_mm == pytest.approx(_comes_down_to(lid, metal), abs=NEAR_MM)
    assert metal.intersects(lid)


@pytest.mark.parametrize("where", ["jar", "lid"])
@pytest.mark.parametrize("name", [name for name in LIDS if not name.startswith("low")])
def test_a_notch_a_little_shallower_does_not_do(name: str, where: str) -> None:
    text = f'{LIDS[name]}{SPOON}[notch]\nin = "{where}"\n'
    measures = _measured(text)
    found = _spoon(measures)
    assert found.lid_gap_mm is not None
    if found.lid_gap_mm > 1.01:
        # the lid has more room than asked for: it is the handle that needs so much over the notch's floor
        assert where == "jar"
        jar = fired_jar(measures.piece.parts[0])
        wall = jar.notched(found.jar_notch_mm).wall_mm
        assert depth_for(2.0, found.angle_deg, wall, 1.0) == pytest.approx(found.jar_notch_mm, abs=2e-4)
        return
    depth = found.jar_notch_mm if where == "jar" else found.lid_notch_mm
    less = _spoon(_measured(f"{text}depth = {depth - 0.1}\n"))
    assert less.lid_gap_mm is not None
    assert less.lid_gap_mm < 1.0


def test_a_lid_too_low_for_a_notch_says_how_deep_one_in_the_jar_has_to_be() -> None:
    for name, where in (("low cap", "lid"), ("low flange", "lid"), ("cap on a jar", ""), ("gallery on a jar", "jar")):
        text = LIDS[name] + SPOON
        notch = f'[notch]\nin = "{where}"\n{"depth = 4" if where == "jar" else ""}\n' if where else ""
        measures = _measured(text + notch)
        (check,) = [check for check in checked(measures) if check.id == "lid_rides_up"]
        assert check.level is Level.WARNING
        said = check.message.split(" mm deep")[0].split()[-1]
        cured = _measured(f'{text}[notch]\nin = "jar"\ndepth = {said}\n')
        assert (_spoon(cured).lid_gap_mm or 0) >= 1.0
        assert not [check for check in checked(cured) if check.id == "lid_rides_up"]


def _turned_mm3(clay: BaseGeometry, width: float) -> float:
    """∬ 2 r asin(w/2r) dA over a polygon by columns a hundredth of a millimetre wide: what a chord's width takes."""
    left, low, right, high = clay.bounds
    edges = np.arange(left, right + 0.01, 0.01)
    total = 0.0
    for start in edges:
        column = clay.intersection(box(start, low - 1, start + 0.01, high + 1)).area
        r = start + 0.005
        total += 2 * r * float(np.arcsin(width / 2 / r)) * column
    return total


@pytest.mark.parametrize(
    ("name", "where", "taken_from"),
    [
        ("gallery on a jar", "jar", ("jar",)),
        ("flange on a jar", "jar", ("jar", "lid")),
        ("cap on a jar", "both", ("jar", "lid")),
        ("cut, plug", "both", ("jar", "lid")),
        ("gallery on a cylinder", "lid", ("lid",)),
    ],
)
def test_the_notch_takes_ledge_collar_and_skirt_too(name: str, where: str, taken_from: tuple[str, ...]) -> None:
    whole = _measured(LIDS[name])
    notched = _measured(f'{LIDS[name]}{SPOON}[notch]\nin = "{where}"\n')
    spoon = _spoon(notched)
    assert spoon.notch_width_mm is not None
    for index, part in enumerate(("jar", "lid")):
        outline = standing(whole.piece, whole.piece.parts[index], State.FIRED).outline
        half = Polygon(outline.sampled(200))
        level = (
            outline.highest(1)[1] - spoon.jar_notch_mm if part == "jar" else outline.lowest(1)[1] + spoon.lid_notch_mm
        )
        cut = half.intersection(box(0, level, 500, 500) if part == "jar" else box(0, -500, 500, level))
        before, after = (m.parts[part].states[State.FIRED].clay_volume_cm3 for m in (whole, notched))
        if part not in taken_from:
            assert after == before
            continue
        by_hand = _turned_mm3(cut, spoon.notch_width_mm)
        # columns of a hundredth and chords of 200 to a cubic: under a part in a thousand
        assert 1000 * (before - after) == pytest.approx(by_hand, rel=1e-3)
        assert by_hand > 10  # there is something to take
