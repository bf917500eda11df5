"""How the spoon lies: hand geometry in a plain cylinder, a brute-force search over polygons in the others."""

from __future__ import annotations

import math
from dataclasses import replace
from math import asin, atan2, cos, degrees, hypot, radians, sin, sqrt, tan

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import affinity, box

from profiler.faults import Fault
from profiler.geometry.curve import polyline
from profiler.geometry.section import Section
from profiler.spoon import rest as resting
from profiler.spoon.jar import Jar
from profiler.spoon.measured import Spoon
from profiler.spoon.notch import depth_for, fitting_depth
from profiler.spoon.rest import Rest, at_rest, upright_gap
from tests.spoon.jars import CHORDS_MM, JAM_SPOON, JARS, LEDGED, PEAKED, cylinder, funnel, halves, way

_PLACE_MM = 1e-3
"""The program takes the clay as points 0.1 mm apart, between which a bowl of 20 mm radius sinks 6e-5 mm; the angle
magnifies that to under this."""
_ANGLE_DEG = 2e-3
"""That much over a handle of 40 mm to the notch."""


def _in_corner(radius: float, height: float, depth: float, spoon: Spoon) -> tuple[float, tuple[float, float], float]:
    """By trigonometry: angle (rad), centre of the bowl and the way from it to where the handle bears.

    In a cylinder (floor 5) the bowl lies in the far corner, on floor and wall. From its centre to the notch's inner
    edge it is D; the handle's underside, half its thickness below the line through the centre, meets that edge.
    """
    bowl = spoon.bowl_length / 2
    centre = (-(radius - bowl), 5.0 + bowl)
    across, up = radius - centre[0], height - depth - centre[1]
    distance = hypot(across, up)
    half = spoon.handle_thickness / 2
    return atan2(up, across) + asin(half / distance), centre, sqrt(distance**2 - half**2)


@pytest.mark.parametrize(("radius", "height", "depth"), [(38, 95, 8), (38, 95, 0), (45, 70, 5), (30, 110, 12)])
def test_in_a_plain_cylinder_it_lies_as_trigonometry_says(radius: float, height: float, depth: float) -> None:
    spoon = JAM_SPOON
    angle, centre, _ = _in_corner(radius, height, depth, spoon)
    rest = at_rest(cylinder(radius, height), spoon, depth)
    assert rest.angle_deg == pytest.approx(degrees(angle), abs=_ANGLE_DEG)
    assert rest.bowl_at == pytest.approx(centre, abs=_PLACE_MM)
    # a disc on a floor of points 0.1 mm apart may touch the one up to half of that aside
    assert [pytest.approx(place, abs=0.06) for place in rest.touches] == [(-radius, centre[1]), (centre[0], 5.0)]
    assert rest.handle_at == pytest.approx((radius, height - depth), abs=1e-9)
    along = spoon.length - spoon.bowl_length / 2
    out = along - (radius + 4.0 - centre[0]) / cos(angle)
    assert rest.sticks_out_mm == pytest.approx(out, abs=5 * _PLACE_MM)
    ahead = spoon.balance_mm - spoon.bowl_length / 2
    at = (centre[0] + ahead * cos(angle), centre[1] + ahead * sin(angle))
    assert rest.balance_at == pytest.approx(at, abs=5 * _PLACE_MM)
    assert rest.overhang_mm == pytest.approx(at[0] - radius, abs=5 * _PLACE_MM)


def test_a_round_bowl_in_a_round_pot_lies_at_the_bottom() -> None:
    # inside a half sphere of 60 mm the bowl (radius 20) keeps to a circle of 40 mm about the sphere's centre.
    # Where on it the weight is lowest is found along the one freedom left, φ, by a plain scan.
    angles = np.linspace(0, np.pi / 2, 61)
    inside = polyline(np.stack([60 * np.sin(angles), 65 - 60 * np.cos(angles)], axis=1))
    outside = polyline([[0, 0], [64, 0], [64, 65], [60, 65]])
    jar = Jar(Section(outside + inside.reversed() + polyline([[0, 5], [0, 0]])), inside)
    spoon = Spoon(150, 8, 2, 40, 30, balance=62)
    phi = np.linspace(-1.5, 1.5, 300_001)
    x, z = 40 * np.sin(phi), 65 - 40 * np.cos(phi)
    across, up = 60 - x, 65 - z
    theta = np.arctan2(up, across) + np.arcsin(1 / np.hypot(across, up))
    height = z + (62 - 20) * np.sin(theta)
    best = int(np.argmin(height))
    rest = at_rest(jar, spoon, 0.0)
    # the polygon of 60 chords lies up to 60·(1 - cos 0.75°) = 0.005 mm inside its circle
    assert rest.balance_at[1] == pytest.approx(float(height[best]), abs=0.01)
    # near its lowest the height hardly changes, so the same 0.005 mm leaves half a chord's turn open
    assert rest.angle_deg == pytest.approx(math.degrees(theta[best]), abs=1.0)


def _placed(spoon: Spoon, angle: float, across: float, along: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Centres and handles (corner points) of spoons slid along one line."""
    ahead, up = way(angle), np.array([-sin(angle), cos(angle)])
    centres = across * up + along[:, None] * ahead
    half, handle = spoon.handle_thickness / 2 * up, (spoon.length - spoon.bowl_length / 2) * ahead
    corners = [centres - half, centres + half, centres + half + handle, centres - half + handle]
    return centres, np.stack(corners, axis=1)


def _searched(jar: Jar, spoon: Spoon, depth: float) -> tuple[float, float]:
    """Lowest centre of mass and its angle among spoons on a grid of angles and places, tried against polygons."""
    far, near = halves(jar, depth)
    clay = shapely.union_all([far, near])
    shapely.prepare(clay)
    upper = near.intersection(box(0, (jar.rim_mm + jar.floor_mm) / 2, 1e3, 1e3))
    # a hair of overlap is none: the polygons' chords lie in the clay or out of it by so much
    body = clay.buffer(-CHORDS_MM)
    shapely.prepare(body)
    best = (math.inf, 0.0)
    lows, highs, steps, grain = 0.0, radians(88), 89, 1.0
    for _ in range(3):
        for angle in np.linspace(lows, highs, steps):
            # turned until the handle is level, it lies on the highest place of the near side
            turned = affinity.rotate(upper, -angle, origin=(0, 0), use_radians=True)
            across = turned.bounds[3] + spoon.handle_thickness / 2
            along = np.arange(-90, float(np.dot(way(angle), (near.bounds[2], jar.rim_mm))), grain)
            centres, handles = _placed(spoon, float(angle), across, along)
            inside = (np.abs(centres[:, 0]) < near.bounds[2]) & (centres[:, 1] > jar.inside.lowest(1)[1])
            centres, handles = centres[inside], handles[inside]
            clear = shapely.distance(clay, shapely.points(centres)) >= spoon.bowl_length / 2 - CHORDS_MM
            clear[clear] = ~shapely.intersects(body, shapely.polygons(handles[clear]))
            heights = centres[clear, 1] + (spoon.balance_mm - spoon.bowl_length / 2) * sin(angle)
            if len(heights) and heights.min() < best[0]:
                best = (float(heights.min()), float(angle))
        step = (highs - lows) / (steps - 1)
        lows, highs, steps, grain = max(0.0, best[1] - 2 * step), best[1] + 2 * step, 33, grain / 6
    return best


_SEARCHED = {**JARS, **LEDGED, "peaked floor": PEAKED}


@pytest.mark.parametrize("name", _SEARCHED)
def test_no_spoon_on_a_grid_of_positions_lies_lower(name: str) -> None:
    jar, spoon, depth = _SEARCHED[name]
    height, angle = _searched(jar, spoon, depth)
    rest = at_rest(jar, spoon, depth)
    # the grid ends at 1/36 mm along the handle and 0.016 degrees (0.03 mm at the bowl); the polygons allow 0.008 mm
    # of overlap, which in a corner gains up to three times that; in a bowl the height hardly changes with the angle
    assert rest.balance_at[1] == pytest.approx(height, abs=0.05)
    assert rest.angle_deg == pytest.approx(degrees(angle), abs=0.1 if "bowl" not in name else 0.5)


@pytest.mark.parametrize("name", _SEARCHED)
def test_no_part_of_it_is_in_the_clay_and_it_touches(name: str) -> None:
    jar, spoon, depth = _SEARCHED[name]
    rest = at_rest(jar, spoon, depth)
    clay = shapely.union_all(halves(jar, depth))
    handle = _handle(rest, spoon)
    # 0.01: chords of the polygons, 0.008 mm, and the program's points, 0.0001 mm
    assert not handle.intersects(clay.buffer(-0.01))
    assert handle.distance(clay) < 0.01
    assert clay.distance(shapely.Point(rest.bowl_at)) == pytest.approx(spoon.bowl_length / 2, abs=0.01)
    assert rest.touches
    for place in rest.touches:
        assert math.dist(place, rest.bowl_at) == pytest.approx(spoon.bowl_length / 2, abs=2 * _PLACE_MM)
        assert clay.boundary.distance(shapely.Point(place)) < 0.01


def _handle(rest: Rest, spoon: Spoon) -> shapely.Polygon:
    line = shapely.LineString([rest.bowl_at, rest.end_at])
    return line.buffer(spoon.handle_thickness / 2, cap_style="flat")


def test_in_a_cut_joint_deeper_than_the_notch_it_bears_on_the_inner_edge() -> None:
    # the joint falls from (38.5, 88.5) to (34, 84): the handle meets that edge before the floor of a notch 3 mm deep
    jar, spoon, depth = JARS["cut lid, notch shallower than its joint"]
    assert at_rest(jar, spoon, depth).handle_at == pytest.approx((34.0, 84.0), abs=1e-9)
    jar, spoon, depth = JARS["cut lid, notch deeper than its joint"]
    assert at_rest(jar, spoon, depth).handle_at[1] == pytest.approx(79.5, abs=1e-9)


def test_a_short_spoon_falls_in() -> None:
    angle, _, to_notch = _in_corner(38, 95, 8, JAM_SPOON)
    long_enough = to_notch + JAM_SPOON.bowl_length / 2
    # measured from the bowl, so that only the handle gets shorter
    spoon = replace(JAM_SPOON, balance=45.0)
    jar = cylinder(38, 95)
    reaches = at_rest(jar, replace(spoon, length=long_enough + 0.1), 8)
    assert not reaches.falls_in
    # it ends in the notch: the wall (4 mm) is still ahead, and the middle line, 1 mm over the edge, is 1·tan θ behind
    lacks = 4 / cos(angle) + tan(angle) - 0.1
    assert reaches.sticks_out_mm == pytest.approx(-lacks, abs=5 * _PLACE_MM)
    assert at_rest(jar, replace(spoon, length=long_enough - 0.1), 8).falls_in


def test_a_spoon_longer_than_sense_tips_out() -> None:
    angle, centre, _ = _in_corner(38, 60, 8, JAM_SPOON)
    # its weight is over the notch's edge where centre + ahead·cos θ = radius
    ahead = (38 - centre[0]) / cos(angle)
    turns = ahead + JAM_SPOON.bowl_length / 2
    jar, spoon = cylinder(38, 60), replace(JAM_SPOON, length=250.0)
    stays, tips = (at_rest(jar, replace(spoon, balance=turns + by), 8) for by in (-0.5, 0.5))
    assert not stays.tips_out
    assert tips.tips_out
    assert stays.overhang_mm == pytest.approx(-0.5 * cos(angle), abs=0.01)
    # on its way out it may already have slid up the far wall, so that more of it is outside
    assert tips.overhang_mm >= 0.5 * cos(angle) - 0.01


def test_a_bowl_too_wide_or_too_long_for_the_jar_says_so() -> None:
    with pytest.raises(Fault) as wide:
        at_rest(cylinder(25, 90), replace(JAM_SPOON, bowl_width=50), 8)
    assert (wide.value.field, wide.value.found) == ("spoon.bowl_width", "50 mm")
    with pytest.raises(Fault) as long:
        at_rest(cylinder(20, 90), replace(JAM_SPOON, bowl_length=60), 8)
    assert long.value.field == "spoon.bowl_length"


@pytest.mark.parametrize("short", [0.005, 0.05, 0.2])
def test_a_bowl_a_hair_higher_than_its_handle_may_lie_finds_no_room(short: float) -> None:
    # level, the handle's middle lies 1 mm over the notch's floor, and the bowl (radius 15) needs it 20 mm up
    jar, spoon = cylinder(34, 30), Spoon(135, 8, 2, 30, 20)
    assert at_rest(jar, spoon, 11.0 - short).bowl_at[1] == pytest.approx(20, abs=_PLACE_MM)
    with pytest.raises(Fault) as caught:
        at_rest(jar, spoon, 11.0 + short)
    assert caught.value.field == "spoon.bowl_length"


def test_a_notch_below_the_upper_half_is_refused() -> None:
    with pytest.raises(Fault, match=r"notch\.depth"):
        at_rest(cylinder(38, 95), JAM_SPOON, 60)


_RADIUS, _DEPTH = st.floats(32, 50), st.floats(0, 12)


@settings(max_examples=15, deadline=None)
@given(radius=_RADIUS, height=st.floats(70, 110), depth=_DEPTH, deeper=st.floats(1, 15))
def test_deeper_jars_hold_it_steeper(radius: float, height: float, depth: float, deeper: float) -> None:
    # a balance point this near the bowl is over the inside in all of them
    spoon = replace(JAM_SPOON, balance=50.0)
    shallow = at_rest(cylinder(radius, height), spoon, depth)
    deep = at_rest(cylinder(radius, height + deeper), spoon, depth)
    assert deep.angle_deg > shallow.angle_deg
    assert deep.sticks_out_mm < shallow.sticks_out_mm
    # a notch deeper by as much undoes it
    again = at_rest(cylinder(radius, height + deeper), spoon, depth + deeper)
    assert again.angle_deg == pytest.approx(shallow.angle_deg, abs=_ANGLE_DEG)


@settings(max_examples=15, deadline=None)
@given(name=st.sampled_from(sorted(JARS)), longer=st.floats(1, 60))
def test_a_longer_handle_sticks_out_by_what_it_is_longer(name: str, longer: float) -> None:
    jar, spoon, depth = JARS[name]
    spoon = replace(spoon, balance=spoon.balance_mm)
    short, long = at_rest(jar, spoon, depth), at_rest(jar, replace(spoon, length=spoon.length + longer), depth)
    assert long.angle_deg == short.angle_deg
    assert long.sticks_out_mm - short.sticks_out_mm == pytest.approx(longer, abs=1e-9)


@settings(max_examples=10, deadline=None)
@given(factor=st.floats(0.6, 1.8))
def test_everything_larger_lies_at_the_same_angle(factor: float) -> None:
    jar, spoon, depth = JARS["jam jar"]
    larger = Jar(jar.section.mapped(factor, factor), jar.inside.mapped(factor, factor))
    grown = Spoon(*(factor * size for size in (135, 8, 2, 42, 30)))
    rest, large = at_rest(jar, spoon, depth), at_rest(larger, grown, factor * depth)
    assert large.angle_deg == pytest.approx(rest.angle_deg, abs=2 * _ANGLE_DEG)
    assert large.sticks_out_mm == pytest.approx(factor * rest.sticks_out_mm, abs=10 * _PLACE_MM)


def _flat_lid(radius: float, level: float, thickness: float = 5.0) -> Section:
    return Section(
        polyline([[0, level], [radius, level], [radius, level + thickness], [0, level + thickness], [0, level]])
    )


@pytest.mark.parametrize(("in_jar", "in_lid"), [(12.0, 0.0), (8.0, 0.0), (8.0, 3.0), (6.0, 1.0)])
def test_room_under_a_flat_lid_is_what_is_left_of_the_depth(in_jar: float, in_lid: float) -> None:
    # the lid lies on the rim; the handle is highest over the outside of the wall, t tan θ + h/cos θ over the floor
    jar = cylinder(38, 95)
    rest = at_rest(jar, JAM_SPOON, in_jar)
    angle, _, _ = _in_corner(38, 95, in_jar, JAM_SPOON)
    needs = 4 * tan(angle) + 2 / cos(angle)
    gap = upright_gap(rest, JAM_SPOON, _flat_lid(42, 95), in_lid)
    assert gap == pytest.approx(in_jar + in_lid - needs, abs=5 * _PLACE_MM)
    assert needs == pytest.approx(depth_for(2, degrees(angle), 4, 0), abs=1e-9)


def test_the_lid_is_held_off_by_what_it_sinks() -> None:
    jar = cylinder(38, 95)
    rest = at_rest(jar, JAM_SPOON, 12)
    flat = _flat_lid(42, 95)
    gaps = [upright_gap(rest, JAM_SPOON, flat.moved(-sink), 0.0) for sink in (0.0, 1.5)]
    assert gaps[0] - gaps[1] == pytest.approx(1.5, abs=1e-9)


def test_a_low_lid_meets_the_bowl() -> None:
    # in a low wide dish the bowl (radius 21 on a floor of 5) stands up to 47, higher than the rim at 40
    rest = at_rest(cylinder(70, 40), replace(JAM_SPOON, balance=40.0), 4)
    assert rest.bowl_at == pytest.approx((-49, 26), abs=_PLACE_MM)
    gap = upright_gap(rest, JAM_SPOON, _flat_lid(74, 40), 4.0)
    # the lid's underside is taken every 0.1 mm: 0.05²/42 beside the top of the disc
    assert gap == pytest.approx(40 - 47, abs=2 * _PLACE_MM)


@pytest.mark.parametrize("name", ["cylinder", "jam jar", "ladle crock"])
def test_the_fitting_depth_leaves_just_the_clearance(name: str) -> None:
    jar, spoon, _ = JARS[name]
    depth = fitting_depth(jar, spoon, 1.0)
    rest = at_rest(jar, spoon, depth)
    wall = jar.notched(depth).wall_mm
    # the depth settles to 1e-4 mm
    assert depth_for(spoon.handle_thickness, rest.angle_deg, wall, 1.0) == pytest.approx(depth, abs=2e-4)


def test_where_the_notch_comes_into_a_ledge_the_fitting_depth_is_the_least_that_will_do() -> None:
    jar = LEDGED["gallery, notch into its ledge"][0]
    depth = fitting_depth(jar, JAM_SPOON, 1.0)
    # through the ledge the handle would cross wall and ledge, 5 mm more; the notch ends where its underside runs out
    assert jar.notched(8.0).wall_mm - jar.notched(depth).wall_mm > 2
    tried = np.arange(0.25, depth + 1, 0.25)
    enough = [
        tries
        for tries in tried
        if depth_for(2.0, at_rest(jar, JAM_SPOON, tries).angle_deg, jar.notched(tries).wall_mm, 1.0) <= tries
    ]
    assert 0 <= enough[0] - depth <= 0.25 + 2e-4


def test_the_fitting_depth_closes_a_flat_lid() -> None:
    depth = fitting_depth(cylinder(38, 95), JAM_SPOON, 1.0)
    gap = upright_gap(at_rest(cylinder(38, 95), JAM_SPOON, depth), JAM_SPOON, _flat_lid(42, 95), 0.0)
    assert gap == pytest.approx(1.0, abs=5 * _PLACE_MM)


def test_a_handle_no_notch_is_deep_enough_for() -> None:
    # through a wall of 40 mm the handle rises by more than half of what the jar is deep
    with pytest.raises(Fault) as caught:
        fitting_depth(cylinder(24, 130, wall=40), replace(JAM_SPOON, bowl_width=20, balance=50.0), 1.0)
    assert caught.value.field == "notch.depth"


@pytest.mark.parametrize("depth", [0.0, 6.5, 11.0])
def test_no_place_is_missed_by_asking_few_points_first(depth: float, monkeypatch: pytest.MonkeyPatch) -> None:
    jars = [cylinder(40, 90), funnel()]
    quick = [at_rest(jar, JAM_SPOON, depth) for jar in jars]
    monkeypatch.setattr(resting, "_THINNED", 1)
    assert quick == [at_rest(jar, JAM_SPOON, depth) for jar in jars]
