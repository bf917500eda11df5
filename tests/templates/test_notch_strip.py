"""The notch strip, against the published net of a frustum and rolled up again."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from shapely.geometry import LineString, Point, Polygon

from profiler.geometry.curve import Floats
from profiler.lengths import MM_PER_INCH
from profiler.templates.drawing import Drawing
from profiler.templates.notch_strip import OVERLAP_MM, RimNotch, notch_strip, why_no_notch_strip
from tests.templates.lid_tools import CLOSE_MM, EXACT_MM, NOTCHES, PER_CUBIC, STRIPS, body_of, marks_of, path_of, says


def test_the_published_net_of_a_frustum() -> None:
    # ceemrr.com "Net of a Frustum": diameters 5 and 8 in, 4 in apart: radii 7.12 and 11.39 in, 126.4 degrees
    notch = RimNotch(4 * MM_PER_INCH, 2.5 * MM_PER_INCH, 4 * MM_PER_INCH, 12.0, 10.0, overlap=0.0)
    for strip, rim in (
        (notch_strip(says("s"), notch), 11.39),
        (notch_strip(says("s"), replace(notch, rim_radius=2.5 * MM_PER_INCH, lower_radius=4 * MM_PER_INCH)), 7.12),
    ):
        edge, back = path_of(strip, "profile"), path_of(strip, "outline")
        centre, radius = circle_through(edge[0], edge[len(edge) // 2], edge[-1])
        # printed to two decimals of an inch and one of a degree
        assert radius / MM_PER_INCH == pytest.approx(rim, abs=0.005)
        other = np.hypot(*(back - centre).T) / MM_PER_INCH
        assert (other.min(), other.max()) == pytest.approx((7.12, 11.39), abs=0.005)
        a, b = edge[0] - centre, edge[-1] - centre
        turn = math.degrees(math.acos(float(a @ b) / radius**2))
        assert turn == pytest.approx(126.4, abs=0.05)
        # arcs in pieces of 0.4 radian stay within a hundredth of the circle
        assert np.abs(np.hypot(*(edge - centre).T) - radius).max() < CLOSE_MM


def circle_through(p: Floats, q: Floats, r: Floats) -> tuple[Floats, float]:
    """Centre and radius: equally far from all three."""
    centre = np.linalg.solve(2 * np.array([q - p, r - p]), np.array([q @ q - p @ p, r @ r - p @ p]))
    return centre, float(np.hypot(*(centre - p)))


def rim_marks(strip: Drawing) -> list[LineString]:
    """The short marks that start 1.5 mm under the rim line and are 6 mm long."""
    edge = LineString(path_of(strip, "profile"))
    return [
        m
        for m in marks_of(strip)
        if m.length == pytest.approx(6.0, abs=EXACT_MM) and m.distance(edge) == pytest.approx(1.5, abs=CLOSE_MM)
    ]


@pytest.mark.parametrize("name", NOTCHES)
def test_the_rim_is_marked_in_even_parts(name: str) -> None:
    strip, notch = STRIPS[name], NOTCHES[name]
    edge = LineString(path_of(strip, "profile"))
    round_mm = 2 * math.pi * notch.rim_radius
    # the rim line is as long as the rim is round; chords and cubics of arcs are 1e-6 of the length off
    assert edge.length == pytest.approx(round_mm, rel=1e-5)
    places = [edge.project(Point(m.coords[0])) for m in rim_marks(strip)]
    # with the notch in the middle, and with the seam where a mark falls on it
    places += [edge.length / 2, *([0.0] if notch.parts % 2 == 0 else [])]
    assert len(places) == notch.parts
    gaps = np.diff([*sorted(places), min(places) + edge.length])
    assert gaps == pytest.approx(np.full(notch.parts, round_mm / notch.parts), abs=CLOSE_MM)
    numbers = {w.text.split(":")[0] for w in strip.words}
    assert {str(k + 1) for k in range(notch.parts)} <= numbers


@pytest.mark.parametrize("name", NOTCHES)
def test_the_notch_has_the_cutters_width_and_a_round_bottom(name: str) -> None:
    strip, notch = STRIPS[name], NOTCHES[name]
    at_notch = [m for m in marks_of(strip) if m.length > 6.5 and abs(m.bounds[0] + m.bounds[2]) < 1e-6]
    (mark,) = [m for m in at_notch if m.coords[0][1] == pytest.approx(-1.5, abs=EXACT_MM)]
    left, low, right, high = mark.bounds
    assert (left, right) == pytest.approx((-notch.width / 2, notch.width / 2), abs=EXACT_MM)
    assert (low, high) == pytest.approx((-notch.depth, -1.5), abs=EXACT_MM)
    if notch.depth - 1.5 >= notch.width / 2:
        # area of a rectangle and half a disc; the cubic arc is 2.7e-4 of its radius off
        area = notch.width * (notch.depth - 1.5 - notch.width / 2) + math.pi * notch.width**2 / 8
        assert Polygon(mark.coords).area == pytest.approx(area, rel=1e-3)


@pytest.mark.parametrize("name", NOTCHES)
def test_rolled_up_the_left_end_lies_on_the_seam_line(name: str) -> None:
    strip, notch = STRIPS[name], NOTCHES[name]
    back, edge = path_of(strip, "outline"), path_of(strip, "profile")
    slant = math.hypot(notch.height, notch.rim_radius - notch.lower_radius)
    # the straight mark that ends 1.5 mm off both edges
    seams = [m for m in marks_of(strip) if m.length == pytest.approx(slant - 3.0, abs=CLOSE_MM)]
    (seam,) = [m for m in seams if m.bounds[0] > 10]
    assert seam.distance(Point(edge[-1])) == pytest.approx(1.5, abs=CLOSE_MM)
    # the left end is that long too, and the strip goes on past the line by the overlap
    assert float(np.hypot(*(back[-1] - back[-1 - PER_CUBIC]))) == pytest.approx(slant, abs=CLOSE_MM)
    assert LineString(back[: PER_CUBIC + 1]).length == pytest.approx(OVERLAP_MM, abs=CLOSE_MM)
    # lateral area of a frustum from rim to lower edge: pi (R + r) l, and the overlap's share of it
    share = 1 + OVERLAP_MM / (2 * math.pi * notch.rim_radius)
    area = math.pi * (notch.rim_radius + notch.lower_radius) * slant * share
    assert body_of(strip).area == pytest.approx(area, rel=1e-4)  # chords of its arcs


def test_a_notch_that_does_not_fit_gets_no_strip() -> None:
    good = NOTCHES["straight"]
    cases = {
        "a third of the rim": replace(good, width=110.0),
        "leaves less than 10 mm": replace(good, depth=31.0),
        "is no notch": replace(good, depth=1.0),
        "0 parts": replace(good, parts=0),
        "closes to a ring": replace(good, lower_radius=140.0, height=20.0),
    }
    for word, notch in cases.items():
        assert word in str(why_no_notch_strip(notch))
        with pytest.raises(ValueError, match=word):
            notch_strip(says("notch strip"), notch)
    assert why_no_notch_strip(good) is None
