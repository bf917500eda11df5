"""Scooping: angles and what is left, by trigonometry in a cylinder and by trial in polygons."""

from __future__ import annotations

from dataclasses import replace
from math import asin, atan2, cos, degrees, hypot, pi, radians, tan

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, Point, Polygon, box
from shapely.geometry.base import BaseGeometry

from profiler.geometry.curve import polyline
from profiler.geometry.section import Section
from profiler.spoon.jar import Jar
from profiler.spoon.measured import Spoon
from profiler.spoon.scoop import left_mm3, scoop
from tests.spoon.jars import CHORDS_MM, JAM_SPOON, JARS, cylinder, half, halves, way

_LONG = replace(JAM_SPOON, length=200.0)


@pytest.mark.parametrize(("radius", "height"), [(38, 95), (55, 60), (30, 130)])
def test_angles_in_a_plain_cylinder(radius: float, height: float) -> None:
    # from the tip to the rim's inner edge; the handle's middle line passes 1 mm (half its thickness) over that
    deep = height - 5
    axis = atan2(deep, radius) + asin(1 / hypot(deep, radius))
    far = atan2(deep, 2 * radius) + asin(1 / hypot(deep, 2 * radius))
    found = scoop(cylinder(radius, height), _LONG)
    # corners are among the program's points, so these are exact
    assert found.axis_deg == pytest.approx(degrees(axis), abs=1e-9)
    assert found.far_deg == pytest.approx(degrees(far), abs=1e-9)
    assert found.far_at == pytest.approx((-radius, 5.0), abs=1e-9)


def test_a_spoon_that_does_not_reach_has_no_angle() -> None:
    # to the axis it is hypot(90, 38) = 97.7 mm, to the far corner hypot(90, 76) = 117.8 mm
    reach = [scoop(cylinder(38, 95), replace(JAM_SPOON, length=length)) for length in (90, 110, 130)]
    assert [(found.axis_deg is None, found.far_deg is None) for found in reach] == [
        (True, True),
        (False, True),
        (False, False),
    ]


def test_under_a_deep_shoulder_the_far_corner_is_out_of_reach() -> None:
    # a bottle: from (-60, 5) the neck's near edge (15, 80) lies at 45°, its far edge (-15, 45) at 41.6° hides it
    inside = polyline([[0, 5], [60, 5], [60, 35], [15, 45], [15, 80]])
    outside = polyline([[0, 0], [65, 0], [65, 40], [19, 50], [19, 80], [15, 80]])
    bottle = Jar(Section(outside + inside.reversed() + polyline([[0, 5], [0, 0]])), inside)
    found = scoop(bottle, _LONG)
    assert found.far_deg is None
    assert found.axis_deg is not None


def _clear(tip: np.ndarray, angle: float, spoon: Spoon, clay: BaseGeometry, rim: BaseGeometry) -> bool:
    """Whether a spoon with its tip there is clear of the clay: middle line everywhere, thickness over the rim."""
    spine = LineString([tip + CHORDS_MM * way(angle), tip + 300 * way(angle)])
    return not spine.intersects(clay) and spine.distance(rim) >= spoon.handle_thickness / 2 - CHORDS_MM


@pytest.mark.parametrize("name", JARS)
def test_no_flatter_angle_is_clear_and_this_one_is(name: str) -> None:
    jar, spoon, _ = JARS[name]
    spoon = replace(spoon, length=260.0)
    far, near = halves(jar, 0.0)
    clay = shapely.union_all([far, near]).buffer(-CHORDS_MM)
    rim = near.intersection(box(0, (jar.rim_mm + jar.floor_mm) / 2, 1e3, 1e3))
    found = scoop(jar, spoon)
    for tip, flattest in (((0.0, jar.floor_mm), found.axis_deg), (found.far_at, found.far_deg)):
        assert flattest is not None
        clear = [a for a in np.arange(0.0, 89.0, 0.1) if _clear(np.array(tip), radians(a), spoon, clay, rim)]
        # tried every 0.1 degree
        assert -0.01 <= clear[0] - flattest <= 0.11


def test_the_far_corner_of_a_rounded_inside_is_where_it_slopes_by_half_a_right_angle() -> None:
    jar = JARS["ladle crock"][0]
    place = scoop(jar, _LONG).far_at
    # touched by no line at 45° pushed further out and down
    assert half(jar).boundary.distance(Point(-place[0], place[1])) < 0.01
    inside = jar.inside.sampled(200)
    assert -place[0] - place[1] == pytest.approx((inside[:, 0] - inside[:, 1]).max(), abs=1e-3)


def _heap(radius: float, height: float, limit: float) -> float:
    """Volume under the cone in a cylinder with its floor at 5 and a handle 2 mm thick, by solid geometry, mm³."""
    slope = tan(radians(limit))
    peak = height + 1 / cos(radians(limit)) - radius * slope  # on the axis
    at_wall = peak - radius * slope
    if peak <= 5:
        return 0.0
    if at_wall <= 5:  # a cone standing on the floor
        heap = pi / 3 * ((peak - 5) / slope) ** 2 * (peak - 5)
    else:  # a cone on a cylinder
        heap = pi * radius**2 * (at_wall - 5) + pi / 3 * radius**2 * (peak - at_wall)
    over_rim = max(peak - height, 0.0)
    return heap - pi / 3 * (over_rim / slope) ** 2 * over_rim


@pytest.mark.parametrize("limit", [1.0, 20.0, 49.0, 55.0, 65.0, 70.0])
def test_what_is_left_in_a_cylinder_is_a_cone_a_cone_on_a_cylinder_or_nothing(limit: float) -> None:
    # the limits stand for: peak over the rim (1), cone on a cylinder (20, 49), cone (55, 65), nothing (70)
    left = left_mm3(cylinder(38, 95), JAM_SPOON, limit)
    # the sums run over terms of 4e5 mm³
    assert left == pytest.approx(_heap(38, 95, limit), rel=1e-9, abs=1e-6)


def test_held_level_all_is_left_and_a_fuller_jar_leaves_no_more_than_it_holds() -> None:
    jar = cylinder(38, 95)
    # at half a degree the handle, 1 mm over the near rim, still passes over the far one
    for limit in (0.0, 0.5):
        assert left_mm3(jar, JAM_SPOON, limit) == pytest.approx(pi * 38**2 * 90, rel=1e-12)
    assert left_mm3(jar, JAM_SPOON, 20.0, filled_to=30.0) == pytest.approx(pi * 38**2 * 25, rel=1e-12)
    assert left_mm3(jar, JAM_SPOON, 20.0, filled_to=4.0) == 0.0
    with pytest.raises(ValueError, match="under 90"):
        left_mm3(jar, JAM_SPOON, 90.0)


@settings(max_examples=25, deadline=None)
@given(name=st.sampled_from(sorted(JARS)), limit=st.floats(1, 80), steeper=st.floats(0.1, 8))
def test_held_steeper_it_leaves_less_until_the_axis_is_reached(name: str, limit: float, steeper: float) -> None:
    jar, spoon, _ = JARS[name]
    less, more = left_mm3(jar, spoon, limit + steeper), left_mm3(jar, spoon, limit)
    assert 0 <= less <= more
    axis = scoop(jar, replace(spoon, length=300.0)).axis_deg
    assert axis is not None
    # the floors of these jars are lowest at the axis or level there, so the heap is gone when the tip gets there
    assert (more > 1e-6) == (limit < axis) or abs(limit - axis) < 0.01


@pytest.mark.parametrize("limit", [25.0, 45.0, 60.0])
@pytest.mark.parametrize("name", ["jam jar", "cut lid, notch deeper than its joint", "porridge bowl"])
def test_what_is_left_is_what_no_trial_reaches(name: str, limit: float) -> None:
    jar, spoon, _ = JARS[name]
    far, near = halves(jar, 0.0)
    clay = shapely.union_all([far, near]).buffer(-CHORDS_MM)
    shapely.prepare(clay)
    rim = near.intersection(box(0, (jar.rim_mm + jar.floor_mm) / 2, 1e3, 1e3))
    filled = Polygon([*jar.inside.sampled(40), (0.0, jar.rim_mm)])
    # one place at random in each cell of a millimetre, so that slanting edges fall between cells fairly
    chance = np.random.default_rng(7)
    columns, rows = np.meshgrid(np.arange(near.bounds[2]), np.arange(jar.floor_mm, jar.rim_mm))
    r, z = (cells.ravel() + chance.random(cells.size) for cells in (columns, rows))
    inside = shapely.contains_xy(filled, r, z)
    r, z = r[inside], z[inside]
    reached = np.zeros(len(r), dtype=bool)
    # in these jars what can be reached at all can be at the limit; flatter ones are tried as well
    for angle in np.radians([limit, 0.7 * limit, 0.3 * limit]):
        tips = np.stack([-r, z], axis=1)
        spines = shapely.linestrings(np.stack([tips, tips + 300 * way(angle)], axis=1))
        over = shapely.distance(spines, rim) >= spoon.handle_thickness / 2
        reached |= over & ~shapely.intersects(clay, spines)
    # some 200 cells on the edges, each of up to 2π·70 mm³ and uncertain by a third of that: √200·150 mm³, 0.5 %
    counted = float((2 * pi * r[~reached]).sum())
    assert left_mm3(jar, spoon, limit) == pytest.approx(counted, abs=0.005 * float((2 * pi * r).sum()))
