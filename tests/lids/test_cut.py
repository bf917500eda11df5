"""Cutting a closed form in two, against plane geometry and solids worked by hand."""

from __future__ import annotations

import re
from dataclasses import replace
from math import cos, inf, nan, pi, radians, sin, sqrt, tan
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.optimize import brentq

from profiler.faults import Fault
from profiler.forms.shape import Shape
from profiler.geometry.curve import Curve, chained, cubic, line, polyline
from profiler.geometry.section import crossing_point, volume_below
from profiler.lids.cut import Cut, CutPair, Slope, cut_apart

HAND = 1e-10
"""mm, for points and lengths worked by hand: the brief's figure for a crossing."""

EXACT = 1e-12
"""Relative, for volumes of straight runs and of curves split exactly: a few hundred additions of doubles."""

SLOPES: tuple[Slope, ...] = ("inward_down", "inward_up")


def closed_form(outside: Curve, inside: Curve) -> Shape:
    """A form without a mouth on a flat base, from its outside (foot to axis) and inside (axis to axis)."""
    foot = float(outside.start[0])
    return Shape(
        base=line((0, 0), outside.start),
        outside=outside,
        rim=line(outside.end, inside.end),
        inside=inside,
        wall_start=0.0,
        rim_diameter=0.0,
        foot_diameter=2 * foot,
        stands_on=foot,
    )


def straight(
    foot: float, shoulder: float, wall: float, height: float = 100, floor: float = 5, top: float = 6
) -> Shape:
    """Straight walls from the foot's radius to the shoulder's, `wall` thick along the radius, flat floor and top."""
    lean = (shoulder - foot) / height
    low, high = floor, height - top
    inside = [(0, low), (foot + lean * low - wall, low), (foot + lean * high - wall, high), (0, high)]
    return closed_form(polyline([(foot, 0), (shoulder, height), (0, height)]), polyline(inside))


def _smooth(*spine: tuple[float, float], bulge: float) -> Curve:
    """Foot, belly and top joined by two cubics, upright at the belly and level at the top."""
    foot, belly, top = (np.array(p, dtype=float) for p in spine)
    up, out = np.array([0.0, 1.0]), np.array([1.0, 0.0])
    low, high = belly[1] - foot[1], top[1] - belly[1]
    return chained(
        [
            cubic(foot, foot + 0.3 * (belly - foot), belly - 0.5 * low * up, belly),
            cubic(belly, belly + bulge * high * up, top + bulge * belly[0] * out, top),
        ]
    )


def dome(bulge: float) -> Shape:
    """A smooth closed form: pointed with a small bulge, round at 0.55, square in the shoulder above."""
    outside = _smooth((40, 0), (55, 45), (0, 105), bulge=bulge)
    inside = _smooth((35, 5), (50.5, 45), (0, 100), bulge=bulge)
    return closed_form(outside, line((0, 5), inside.start) + inside)


CYLINDER = straight(45, 45, 4)
TENT = straight(70, 20, 5)
FORMS = {
    "cylinder": CYLINDER,
    "leaning inwards": TENT,
    "leaning outwards": straight(40, 60, 5),
    "round dome": dome(0.55),
    "pointed dome": dome(0.3),
    "square dome": dome(0.8),
}


def frustum(first: float, second: float, height: float) -> float:
    """Volume of a cone's frustum, negative for a negative height."""
    return pi / 3 * height * (first**2 + first * second + second**2)


def test_the_frustum_of_the_textbook() -> None:
    # OpenStax Calculus: radii 1 and 4, height 3 hold 21π
    assert frustum(1, 4, 3) == pytest.approx(21 * pi, rel=EXACT)


@pytest.mark.parametrize(("slope", "inner_z"), [("inward_down", 56.0), ("inward_up", 64.0)])
def test_seat_in_a_vertical_wall(slope: Slope, inner_z: float) -> None:
    # wall 4 at 45 degrees: 4 in, 4 down or up, 4√2 along; a gap of 1.5 square to the joint is 1.5·√2 upright
    pair = cut_apart(CYLINDER, Cut(60, 45, slope, 1.5, 0.5))
    assert pair.outer == pytest.approx((45, 60), abs=HAND)
    assert pair.inner == pytest.approx((41, inner_z), abs=HAND)
    assert pair.seat_width == pytest.approx(4, abs=HAND)
    assert pair.centring_depth == pytest.approx(4, abs=HAND)
    assert pair.way_through_mm == pytest.approx(4 * sqrt(2), abs=HAND)
    assert pair.sink == pytest.approx(1.5 * sqrt(2), abs=HAND)
    # half the gap comes off each part: 0.75·√2 down from the middle and up from it
    half = 0.75 * sqrt(2)
    assert pair.jar.rim.start == pytest.approx((45, 60 - half), abs=HAND)
    assert pair.jar.rim.end == pytest.approx((41, inner_z - half), abs=HAND)
    assert pair.jar.rim_diameter == pytest.approx(90, abs=HAND)
    lowest = min(60, inner_z) + half
    assert pair.lid_cut_height == pytest.approx(lowest, abs=HAND)
    assert pair.lid_lift == pytest.approx(lowest - 2 * half, abs=HAND)
    assert pair.lid.base.end == pytest.approx((45, 60 + half - lowest), abs=HAND)
    assert pair.lid.base.start == pytest.approx((41, inner_z + half - lowest), abs=HAND)
    # a plug stands on its inner edge, a cap on its outer
    assert pair.lid.stands_on == pytest.approx(41 if slope == "inward_down" else 45, abs=HAND)


def test_seat_in_a_conical_wall() -> None:
    # outside r = 70 - z/2, inside r = 65 - z/2; the cut meets the outside at (40, 60) under 45 degrees.
    # Down: z = 20 + r, so 3r/2 = 55. Up: z = 100 - r, so r/2 = 15.
    down, up = (cut_apart(TENT, Cut(60, 45, slope, 0, 0)) for slope in SLOPES)
    assert down.inner == pytest.approx((110 / 3, 170 / 3), abs=HAND)
    assert up.inner == pytest.approx((30, 70), abs=HAND)
    # the way through is t / cos(α - β) down and t / cos(α + β) up, with tan β = 1/2 and t = 5 cos β
    lean = np.arctan(0.5)
    assert down.way_through_mm == pytest.approx(5 * cos(lean) / cos(pi / 4 - lean), abs=HAND)
    assert up.way_through_mm == pytest.approx(5 * cos(lean) / cos(pi / 4 + lean), abs=HAND)


def test_the_gap_in_a_conical_wall() -> None:
    # as above with 0.9 mm taken upright from each part: the jar's line is z = 19.1 + r, the lid's z = 20.9 + r
    pair = cut_apart(TENT, Cut(60, 45, "inward_down", 1.8 / sqrt(2), 0))
    assert pair.jar.rim.start == pytest.approx((40.3, 59.4), abs=HAND)
    assert pair.jar.rim.end == pytest.approx((55.45 / 1.5, 55.45 / 1.5 + 19.1), abs=HAND)
    inner = (54.55 / 1.5, 54.55 / 1.5 + 20.9)
    back = np.array([0, pair.lid_cut_height])
    assert pair.lid.base.start + back == pytest.approx(inner, abs=HAND)
    assert pair.lid.base.end + back == pytest.approx((39.7, 60.6), abs=HAND)
    assert pair.lid_lift == pytest.approx(inner[1] - 1.8, abs=HAND)


@pytest.mark.parametrize("slope", SLOPES)
@pytest.mark.parametrize("angle", [0, 25, 45])
@pytest.mark.parametrize(("foot", "shoulder"), [(45, 45), (70, 20), (40, 60)])
def test_volumes_of_straight_walls(foot: float, shoulder: float, angle: float, slope: Slope) -> None:
    gap, wall, lean = 1.5, 5.0, (shoulder - foot) / 100
    rise = tan(radians(angle)) * (1 if slope == "inward_down" else -1)
    r_cut = foot + lean * 60

    def edge(wall: float, upright: float) -> tuple[float, float]:
        # r = foot - wall + lean·z meets z = 60 + upright + rise·(r - r_cut)
        r = (foot - wall + lean * (60 + upright - rise * r_cut)) / (1 - lean * rise)
        return r, 60 + upright + rise * (r - r_cut)

    half = gap / 2 / cos(radians(angle))
    jar_outer, jar_inner = edge(0, -half), edge(wall, -half)
    lid_outer, lid_inner = edge(0, half), edge(wall, half)
    floor_r, top_r = foot - wall + lean * 5, foot - wall + lean * 94
    jar = (
        frustum(foot, jar_outer[0], jar_outer[1])
        + frustum(jar_outer[0], jar_inner[0], jar_inner[1] - jar_outer[1])
        - frustum(floor_r, jar_inner[0], jar_inner[1] - 5)
    )
    lid = (
        frustum(lid_outer[0], shoulder, 100 - lid_outer[1])
        - frustum(lid_outer[0], lid_inner[0], lid_inner[1] - lid_outer[1])
        - frustum(lid_inner[0], top_r, 94 - lid_inner[1])
    )
    pair = cut_apart(straight(foot, shoulder, wall), Cut(60, angle, slope, gap, 0))
    assert pair.jar.section.volume_mm3 == pytest.approx(jar, rel=EXACT)
    assert pair.lid.section.volume_mm3 == pytest.approx(lid, rel=EXACT)


def test_a_funnel_out_of_the_textbook() -> None:
    # a thick wall, radii 4 and 1, cut at 45 degrees without a gap: what the jar lacks below its rim is the well
    # to the funnel and the frustum of OpenStax Calculus, 21π
    pair = cut_apart(straight(4, 4, 3, height=20, floor=2, top=2), Cut(12, 45, "inward_down", 0, 0))
    assert pair.kerf is None
    assert pair.jar.section.volume_mm3 == pytest.approx(pi * (16 * 12 - 7) - 21 * pi, rel=EXACT)


def _off_the_joint(pair: CutPair, points: list[Any], middle: float) -> float:
    """How far points stand from the line `middle` above the middle line, square to it, mm."""
    slant = radians(pair.cut.angle) * (1 if pair.cut.slope == "inward_down" else -1)
    square = np.array([-sin(slant), cos(slant)])
    return max(abs(float((point - pair.outer) @ square) - middle) for point in points)


def _added_up(shape: Shape, pair: CutPair) -> None:
    """Jar, lid and what the knife takes are the closed form again; their edges lie on the two lines."""
    parts = [pair.jar.section, pair.lid.section] + ([pair.kerf] if pair.kerf else [])
    assert sum(part.volume_mm3 for part in parts) == pytest.approx(shape.section.volume_mm3, rel=EXACT)
    assert sum(part.area_mm2 for part in parts) == pytest.approx(shape.section.area_mm2, rel=EXACT)
    half = pair.cut.gap / 2
    back = np.array([0, pair.lid_cut_height])
    assert _off_the_joint(pair, [pair.jar.rim.start, pair.jar.rim.end], -half) < HAND
    assert _off_the_joint(pair, [pair.lid.base.start + back, pair.lid.base.end + back], half) < HAND
    # sunk by gap / cos α, the lid's face lies on the line of the jar's
    closed = np.array([0, pair.lid_lift])
    assert _off_the_joint(pair, [pair.lid.base.start + closed, pair.lid.base.end + closed], -half) < HAND
    assert pair.lid.section.outline.lowest(1)[1] == pytest.approx(0, abs=HAND)
    for part in (pair.jar, pair.lid):
        assert crossing_point(part.section.outline) is None
        assert part.section.area_mm2 > 0


@pytest.mark.parametrize("slope", SLOPES)
@pytest.mark.parametrize("name", FORMS)
def test_the_parts_are_the_whole_less_the_kerf(name: str, slope: Slope) -> None:
    _added_up(FORMS[name], cut_apart(FORMS[name], Cut(58, 40, slope, 1.5, 0.5)))


@settings(max_examples=60, deadline=None)  # each cut takes milliseconds; the first one also imports
@given(
    bulge=st.floats(0.3, 0.8),
    height=st.floats(28, 62),
    angle=st.floats(0, 40),  # at 45 an upper face 2 mm off the lower no longer comes out under a pointed top
    slope=st.sampled_from(SLOPES),
    gap=st.just(0.0) | st.floats(0.1, 2.5),
)
def test_any_cut_through_a_dome_adds_up(bulge: float, height: float, angle: float, slope: Slope, gap: float) -> None:
    shape = dome(bulge)
    _added_up(shape, cut_apart(shape, Cut(height, angle, slope, gap, 0)))


@pytest.mark.parametrize("slope", SLOPES)
@pytest.mark.parametrize("name", FORMS)
def test_the_kerf_as_the_band_between_two_cones(name: str, slope: Slope) -> None:
    # On a line of slant α, ∫ 2πr ds = π(r_o² - r_i²) / cos α; summed over the lines of the gap. The lines' ends
    # are found by another root finder on the curves as they stand.
    shape, gap = FORMS[name], 1.5
    pair = cut_apart(shape, Cut(58, 40, slope, gap, 0))
    slant = radians(40) * (1 if slope == "inward_down" else -1)
    square = np.array([-sin(slant), cos(slant)])

    def radius(curve: Curve, near: tuple[float, float], level: float) -> float:
        places = curve.places(200)
        centre = places[np.argmin(np.hypot(*(curve.at(places) - near).T))]

        def off(place: float) -> float:
            return float((curve.at(place) - pair.outer) @ square) - level

        place = brentq(off, max(centre - 0.1, 0), min(centre + 0.1, len(curve)), xtol=1e-14, rtol=1e-15)
        return float(curve.at(place)[0])

    def across(level: float) -> float:
        outer, inner = (radius(c, p, level) for c, p in ((shape.outside, pair.outer), (shape.inside, pair.inner)))
        return pi * (outer**2 - inner**2) / cos(slant)

    band, _ = quad(across, -gap / 2, gap / 2, epsabs=0, epsrel=1e-12)
    assert pair.kerf is not None
    assert pair.kerf.volume_mm3 == pytest.approx(band, rel=1e-11)  # the quadrature's, ten times over


@pytest.mark.parametrize("slope", SLOPES)
@pytest.mark.parametrize("name", FORMS)
def test_the_lower_the_cut_the_smaller_the_jar(name: str, slope: Slope) -> None:
    # common practice, no source: the lower the cut, the smaller the jar and the larger the lid
    pairs = [cut_apart(FORMS[name], Cut(height, 35, slope, 1.5, 0.5)) for height in (62, 50, 38, 26)]
    clay = [(pair.jar.section.volume_mm3, pair.lid.section.volume_mm3) for pair in pairs]
    holds = [volume_below(pair.jar.inside, float(pair.jar.inside.end[1])) for pair in pairs]
    tall = [pair.lid.section.outline.highest(1)[1] for pair in pairs]
    for before, after in zip(range(3), range(1, 4), strict=True):
        assert clay[after][0] < clay[before][0]
        assert clay[after][1] > clay[before][1]
        assert holds[after] < holds[before]
        assert tall[after] > tall[before]


@pytest.mark.parametrize("angle", range(10, 60, 3))
def test_a_cut_at_corners_of_the_wall_leaves_no_sliver(angle: float) -> None:
    # the wall has nodes just where either line of the cut meets it, as near as they can be written down
    rise, half = 4 * tan(radians(angle)), 0.75 / cos(radians(angle))
    outside = polyline([(45, 0), (45, 60 - half), (45, 60 + half), (45, 100), (0, 100)])
    inside = polyline([(0, 5), (41, 5), (41, 60 - rise - half), (41, 60 - rise + half), (41, 94), (0, 94)])
    pair = cut_apart(closed_form(outside, inside), Cut(60, angle, "inward_down", 1.5, 0.5))
    assert [len(c) for c in (pair.jar.outside, pair.jar.inside, pair.lid.outside, pair.lid.inside)] == [1, 2, 2, 2]


def test_a_level_cut_leaves_a_lid_that_stands_on_its_whole_joint() -> None:
    pair = cut_apart(CYLINDER, Cut(60, 0, "inward_down", 1.5, 0.5))
    assert pair.lid.stands_on == pytest.approx(45, abs=HAND)
    assert pair.lid_lift == pytest.approx(60.75 - 1.5, abs=HAND)


def test_a_wall_that_hangs_down_into_the_gap() -> None:
    # inside, a lip hangs from 60.5 down to 55 mm: between the two lines of a level cut it is neither jar nor lid
    inside = polyline([(0, 5), (41, 5), (41, 60.5), (38, 55), (38, 70), (41, 75), (41, 94), (0, 94)])
    with pytest.raises(Fault, match="wider than there is wall"):
        cut_apart(closed_form(CYLINDER.outside, inside), Cut(60, 0, "inward_down", 3, 0))


def test_a_sunken_top_is_cut_at_the_wall() -> None:
    # the outside comes down past 80 mm again in the middle: the lid is still the whole top
    outside = polyline([(50, 0), (50, 90), (30, 95), (10, 80), (0, 78)])
    inside = polyline([(0, 5), (46, 5), (46, 87), (30, 90), (10, 75), (0, 73)])
    pair = cut_apart(closed_form(outside, inside), Cut(80, 40, "inward_down", 1.5, 0.5))
    assert pair.outer == pytest.approx((50, 80), abs=HAND)
    _added_up(closed_form(outside, inside), pair)
    # its lowest place is the middle of the underside
    assert pair.lid_cut_height == pytest.approx(73, abs=HAND)


def test_a_level_ledge_at_the_height_of_the_cut() -> None:
    # the wall that climbs from the ledge's tip is the one to cut: upwards into it; downwards the knife slips out
    pair = cut_apart(LEDGED, replace(GOOD, slope="inward_up", gap=0))
    assert pair.outer == pytest.approx((48, 60), abs=HAND)
    assert pair.inner == pytest.approx((41, 60 + 7 * tan(radians(40))), abs=HAND)
    with pytest.raises(Fault, match="on the outside again"):
        cut_apart(LEDGED, GOOD)


GOOD = Cut(60, 40, "inward_down", 1.5, 0.5)
LEDGED = closed_form(
    polyline([(45, 0), (45, 60), (48, 60), (48, 100), (0, 100)]), polyline([(0, 5), (41, 5), (41, 94), (0, 94)])
)
RIDGED = closed_form(
    polyline([(45, 0), (45, 62), (48, 55), (48, 66), (45, 70), (45, 100), (0, 100)]),
    polyline([(0, 5), (41, 5), (41, 94), (0, 94)]),
)
CHAMFERED = replace(
    closed_form(polyline([(41, 0), (45, 4), (45, 100), (0, 100)]), polyline([(0, 5), (41, 5), (41, 94), (0, 94)])),
    wall_start=1.0,
)
WELLED = closed_form(  # solid but for a well down the axis, whose bottom the line from (45, 60) meets at 45 degrees
    polyline([(45, 0), (45, 100), (0, 100)]), polyline([(0, 15), (1, 40), (1, 94), (0, 94)])
)
OPEN = replace(CYLINDER, outside=CYLINDER.outside.part(0, 1), inside=CYLINDER.inside.part(0, 2))


@pytest.mark.parametrize(
    ("shape", "changed", "field", "words"),
    [
        (CYLINDER, {"height": 120}, "lid.height", "above the top"),
        (CYLINDER, {"height": 100}, "lid.height", "above the top"),
        (CYLINDER, {"height": -2}, "lid.height", "in or below the foot"),
        (CYLINDER, {"height": 3}, "lid.height", "under the foot"),
        (CYLINDER, {"height": 3, "angle": 0}, "lid.height", "ends on the axis"),
        (CYLINDER, {"height": 97, "angle": 0}, "lid.height", "ends on the axis"),
        (CYLINDER, {"height": 0.5, "angle": 45, "slope": "inward_up", "gap": 0}, "lid.height", "through the floor"),
        (CYLINDER, {"height": 0, "gap": 0}, "lid.height", "in or below the foot"),
        (CHAMFERED, {"height": 3, "slope": "inward_up", "gap": 0}, "lid.height", "in or below the foot"),
        (CHAMFERED, {"height": 4.3, "slope": "inward_up"}, "lid.height", "reaches into the foot"),
        (WELLED, {"angle": 45, "gap": 0}, "lid.angle", "ends on the axis"),
        (RIDGED, {}, "lid.height", "more than once"),
        (CYLINDER, {"height": nan}, "lid.height", "not a number"),
        (CYLINDER, {"angle": 90}, "lid.angle", "held at"),
        (CYLINDER, {"angle": -5}, "lid.angle", "held at"),
        (CYLINDER, {"angle": inf}, "lid.angle", "not a number"),
        (CYLINDER, {"angle": 89.5}, "lid.angle", "under the foot"),
        (CYLINDER, {"angle": 89.5, "slope": "inward_up"}, "lid.angle", "on the outside again"),
        (TENT, {"angle": 70, "slope": "inward_up"}, "lid.angle", "never goes into the clay"),
        (dome(0.55), {"height": 88, "slope": "inward_up"}, "lid.angle", "on the outside again"),
        (CYLINDER, {"gap": 130}, "lid.gap", "wider than there is wall"),
        (CYLINDER, {"height": 9, "gap": 3}, "lid.gap", "wider than there is wall"),
        (WELLED, {"height": 61, "angle": 45, "gap": sqrt(2)}, "lid.gap", "wider than there is wall"),
        (CYLINDER, {"gap": -1}, "lid.gap", "below nought"),
        (CYLINDER, {"edge": -0.5}, "lid.edge", "below nought"),
        (CYLINDER, {"slope": "sideways"}, "lid.slope", "unknown slope"),
        (OPEN, {"height": 40}, "lid.kind", "closed form"),
    ],
)
def test_a_cut_that_cannot_be_made(shape: Shape, changed: dict[str, Any], field: str, words: str) -> None:
    with pytest.raises(Fault) as caught:
        cut_apart(shape, replace(GOOD, **changed))
    assert caught.value.field == field
    assert words in caught.value.what
    assert caught.value.found
    assert caught.value.wanted


def test_where_no_height_will_do_none_is_told() -> None:
    with pytest.raises(Fault) as caught:
        cut_apart(CYLINDER, Cut(120, 40, "inward_down", 120, 0.5))
    assert "clear of floor and top" in caught.value.wanted
    assert not re.search("[0-9]", caught.value.wanted)
