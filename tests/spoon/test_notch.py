"""What a notch takes off, and what the jar holds to it."""

from __future__ import annotations

from math import acos, asin, pi, sqrt

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from shapely.geometry.base import BaseGeometry

from profiler.faults import Fault
from profiler.geometry.curve import polyline
from profiler.geometry.section import Section
from profiler.spoon.notch import (
    capacity_mm3,
    depth_for,
    least,
    least_with_room,
    taken_from_jar_mm3,
    taken_from_lid_mm3,
)
from tests.spoon.jars import JARS, cylinder, half


def _strip(radius: float, width: float) -> float:
    """Area of a half disc within `width`/2 of the middle of its flat side: half the disc less half of two segments.

    A segment of height h: R² acos((R - h)/R) - (R - h) √(2 R h - h²) (school geometry).
    """
    height = radius - width / 2
    segment = radius**2 * acos((radius - height) / radius) - (radius - height) * sqrt(2 * radius * height - height**2)
    return pi * radius**2 / 2 - segment


@given(radius=st.floats(20, 80), wall=st.floats(2, 12), width=st.floats(1, 35), depth=st.floats(0.5, 30))
def test_in_a_plain_cylinder_it_is_a_difference_of_segments(
    radius: float, wall: float, width: float, depth: float
) -> None:
    jar = cylinder(radius, 95, wall)
    exact = depth * (_strip(radius + wall, width) - _strip(radius, width))
    # both are sums of a few terms of some 1e4 mm³
    assert taken_from_jar_mm3(jar.section, width, 95 - depth) == pytest.approx(exact, rel=1e-9, abs=1e-8)


def test_a_lid_is_cut_from_below() -> None:
    # an upturned dish: skirt from 30 to 34 hanging 12 mm under a plate
    skirt = polyline([[0, 12], [30, 12], [30, 0], [34, 0], [34, 16], [0, 16], [0, 12]])
    exact = 5 * (_strip(34, 9) - _strip(30, 9))
    assert taken_from_lid_mm3(Section(skirt), 9, 5.0) == pytest.approx(exact, rel=1e-9)


def test_clay_that_begins_just_beside_the_notch() -> None:
    # a wedge from r = 10.02 (the notch's half is 10) to 40, where the angle taken changes fastest; its height at r is
    # r - 10.02, and the angle at r is 2 asin(10/r)
    wedge = Section(polyline([[10.02, 0], [40, 0], [40, 29.98], [10.02, 0]]))
    exact, within = quad(lambda r: (r - 10.02) * 2 * r * asin(10 / r), 10.02, 40, epsabs=0, epsrel=1e-11)
    assert within < 1e-6
    assert taken_from_jar_mm3(wedge, 20.0, -1.0) == pytest.approx(exact, rel=1e-9)


def _sampled(section: BaseGeometry, width: float, level: float) -> float:
    """The same volume by counting: points of a box that lie in the turned section, on the side of the notch."""
    right, top = section.bounds[2], section.bounds[3]
    counts = (24, 300, 300)
    y = (np.arange(counts[0]) + 0.5) / counts[0] * width - width / 2
    x = (np.arange(counts[1]) + 0.5) / counts[1] * right
    z = level + (np.arange(counts[2]) + 0.5) / counts[2] * (top - level)
    grid = np.meshgrid(y, x, z, indexing="ij")
    shapely.prepare(section)
    hits = shapely.contains_xy(section, np.hypot(grid[0], grid[1]).ravel(), grid[2].ravel())
    return float(hits.mean()) * width * right * (top - level)


@pytest.mark.parametrize("name", ["jam jar", "cut lid, notch shallower than its joint", "ladle crock"])
def test_in_other_jars_it_is_what_sampling_finds(name: str) -> None:
    jar, _, depth = JARS[name]
    width, level = 10.8, jar.rim_mm - depth
    # cells of 0.14 x 0.04 mm: the edge of a section of 4 x 9 mm is uncertain by some 0.1 % of its area
    taken = taken_from_jar_mm3(jar.section, width, level)
    assert taken == pytest.approx(_sampled(half(jar), width, level), rel=3e-3)
    # and less than the same section pulled straight along by the width times how far the outside bends away
    cut = half(jar).intersection(shapely.box(0, level, 1e3, 1e3))
    assert taken > cut.area * width


def test_a_wider_deeper_notch_takes_more_and_leaves_less_in_the_jar() -> None:
    jar, _, _ = JARS["jam jar"]
    taken = [
        taken_from_jar_mm3(jar.section, width, jar.rim_mm - depth) for width, depth in ((8, 6), (12, 6), (12, 9))
    ]
    assert taken == sorted(taken)
    held = [capacity_mm3(jar, depth) for depth in (0, 6, 9)]
    assert held == sorted(held, reverse=True)


def test_capacity_of_a_notched_cylinder() -> None:
    # π r² h to the notch's floor: 38 mm, 95 - 8 - 5 = 82 mm
    assert capacity_mm3(cylinder(38, 95), 8.0) == pytest.approx(pi * 38**2 * 82, rel=1e-12)


def test_a_notch_wider_than_the_jar_is_refused() -> None:
    with pytest.raises(Fault) as caught:
        taken_from_jar_mm3(cylinder(5, 95).section, 14.0, 85.0)
    assert (caught.value.field, caught.value.found) == ("notch.cutters", "14.0 mm")


@pytest.mark.parametrize(
    ("angle", "needs"),
    [
        # level: only the handle and the clearance; by hand
        (0.0, 3.0),
        # 45°: 4·1 + 2·√2 + 1
        (45.0, 7.828427),
        # 60°: 4·√3 + 2·2 + 1
        (60.0, 11.928203),
    ],
)
def test_depth_over_the_floor(angle: float, needs: float) -> None:
    assert depth_for(2.0, angle, 4.0, 1.0) == pytest.approx(needs, abs=1e-6)


def test_room_that_grows_is_found_where_halving_finds_it_and_asked_for_less_often() -> None:
    def room(depth: float) -> float:
        asked.append(depth)
        return depth**1.5 - 11.3 if depth < 5.5 else depth

    for within in (1e-2, 1e-3, 1e-4):
        asked: list[float] = []
        found = least_with_room(room, 1.0, 21.0, within)
        quick, asked = len(asked), []
        assert found == least(lambda depth: room(depth) >= 0, 1.0, 21.0, within)
        assert quick < len(asked)
