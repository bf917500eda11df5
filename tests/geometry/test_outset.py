"""A contour moved outside or inside, against closed forms and against shapely's buffers."""

from __future__ import annotations

from itertools import pairwise
from math import pi, sin, sqrt, tan

import numpy as np
import pytest
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from profiler.geometry.curve import Curve, Floats, arc, chained, cubic, line, polyline
from profiler.geometry.fillet import rounded
from profiler.geometry.outset import ClosedUpError, clearance, outset, outset_runs
from profiler.geometry.section import Section, crossing_point

FIT = 1e-4
"""What the path may be off, as a share of the distance: its docstring's promise."""
ARC = 2.73e-4
"""A quarter arc drawn as one cubic lies at most this share of its radius outside the circle (see test_revolution)."""
PER_CUBIC = 60
SAGITTA = 1e-3
"""Share of its radius by which the chords below stay inside: (π/4/PER_CUBIC)²/2 is 9e-5, shapely's arcs 3e-4."""
QUAD_SEGMENTS = 32


def closed(*points: tuple[float, float]) -> Curve:
    return polyline([*points, points[0]])


def area(contour: Curve) -> float:
    return abs(Section(contour).area_mm2)


def polygon(contour: Curve) -> Polygon:
    return Polygon(contour.sampled(PER_CUBIC))


SQUARE = closed((0, 0), (10, 0), (10, 10), (0, 10))


@pytest.mark.parametrize("turned", [False, True], ids=["anticlockwise", "clockwise"])
@pytest.mark.parametrize(("radius", "distance"), [(3.0, 0.25), (3.0, -0.25), (40.0, 1.5), (3.0, -1.5)])
def test_a_circle_stays_one(radius: float, distance: float, turned: bool) -> None:
    ring = arc((5.0, -2.0), radius, 0.0, 2 * pi)
    path = outset(ring.reversed() if turned else ring, distance)
    radii = np.hypot(*(path.sampled(PER_CUBIC) - [5.0, -2.0]).T)
    # the ring is itself an arc drawn in cubics, and the fit adds its share
    assert np.abs(radii - (radius + distance)).max() <= ARC * radius + FIT * abs(distance)


@pytest.mark.parametrize("turned", [False, True], ids=["anticlockwise", "clockwise"])
@pytest.mark.parametrize("distance", [0.05, 0.25, 1.5])
def test_a_square_grows_by_sides_and_quarter_rounds(distance: float, turned: bool) -> None:
    path = outset(SQUARE.reversed() if turned else SQUARE, distance)
    # Steiner's formula for a convex body: area + perimeter d + π d²; FIT since the rounds are cubics
    assert area(path) == pytest.approx(100 + 40 * distance + pi * distance**2, abs=FIT * distance * 2 * pi * distance)


@pytest.mark.parametrize("distance", [-0.05, -1.5, -4.999])
def test_a_square_hole_shrinks_to_a_square(distance: float) -> None:
    path = outset(SQUARE, distance)
    # straight runs cross exactly: rounding only
    assert area(path) == pytest.approx((10 + 2 * distance) ** 2, abs=1e-9)
    assert len(path) == 4


def test_an_inner_corner_is_cut_at_the_true_crossing() -> None:
    bracket = closed((0, 0), (10, 0), (10, 4), (4, 4), (4, 10), (0, 10))
    path = outset(bracket, 1.0)
    meets = np.abs(path.cubics[:, 3] - [5.0, 5.0]).max(axis=1)
    assert meets.min() < 1e-9  # the crossing of two straight lines, refined to rounding


@pytest.mark.parametrize(("degrees", "distance"), [(90.0, 0.5), (60.0, 0.25), (135.0, 1.5)])
def test_the_web_of_an_inner_corner(degrees: float, distance: float) -> None:
    half = np.radians(degrees) / 2
    reach = 20.0
    corner = (0.0, 0.0)
    sides = [(reach * sin(half), reach * np.cos(half)), (-reach * sin(half), reach * np.cos(half))]
    path = outset(
        closed(sides[1], corner, sides[0], (40.0, 30.0), (40.0, -20.0), (-40.0, -20.0), (-40.0, 30.0)), distance
    )
    # a circle in a wedge of angle α stands d / sin(α/2) from its point
    assert clearance(np.array([corner]), path, 10 * distance)[0] == pytest.approx(distance / sin(half), abs=1e-9)


def test_a_feather_edge_is_gone_round() -> None:
    # two runs that leave a point along the same tangent, as a rib's toe under a rounded foot
    toe = chained(
        [cubic((0, 0), (3, 0), (6, 0), (9, 0)), line((9, 0), (9, 5)), cubic((9, 5), (5, 3), (4, 0), (0, 0))]
    )
    path = outset(toe, 0.5)
    assert path.lowest(0)[1] == pytest.approx(-0.5, abs=FIT * 0.5)
    assert polygon(toe).buffer(0.49).within(polygon(path))


def test_a_short_step_and_a_tight_rounding_are_swallowed() -> None:
    step = closed((0, 0), (20, 0), (20, 10), (12, 10), (12, 10.3), (11.7, 10.3), (11.7, 14), (0, 14))
    path = outset(step, 2.0)
    assert_like_buffer(step, path, 2.0)
    p = [(0.0, 5.0), (0.0, 0.0), (20.0, 0.0), (20.0, 5.0), (10.0, 5.0), (10.0, 15.0), (0.0, 15.0), (0.0, 5.0)]
    edges = [line(a, b) for a, b in pairwise(p)]
    tight = rounded(edges, [0.0, 0.0, 0.0, 0.8, 0.0, 0.0])
    # a rounding of 0.8 in an inner corner disappears under a distance of 1.5: the sharp corner's path is left
    sharp = outset(chained(edges), 1.5)
    assert area(outset(tight, 1.5)) == pytest.approx(area(sharp), abs=FIT)
    assert_like_buffer(tight, outset(tight, 0.8), 0.8)  # and just at its radius


WAIST = closed(
    *((0, 0), (4, 0), (4, 1.9), (9, 1.9), (9, 0), (13, 0)),
    *((13, 4), (9, 4), (9, 2.1), (4, 2.1), (4, 4), (0, 4)),
)
BAY = closed(
    *((0, 0), (20, 0), (20, 20), (10.4, 20), (10.4, 14), (15, 14)),
    *((15, 5), (5, 5), (5, 14), (9.6, 14), (9.6, 20), (0, 20)),
)


@pytest.mark.parametrize("degrees", range(15, 151, 5))
@pytest.mark.parametrize("radius", [2.98, 3.0, 3.02])
def test_a_rounding_as_tight_as_the_distance_becomes_a_point(degrees: float, radius: float) -> None:
    # drawn in cubics it is tighter than the distance in some places and wider in others
    turn = np.radians(degrees)
    p = [
        (-20.0, 60.0),
        (-20.0, 0.0),
        (30.0, 0.0),
        (30.0 + 40 * np.cos(turn), 40 * sin(turn)),
        (-20.0, 160.0),
        (-20.0, 60.0),
    ]
    edges = [line(a, b) for a, b in pairwise(p)]
    path, sharp = outset(rounded(edges, [0.0, radius, 0.0, 0.0]), -3.0), outset(chained(edges), -3.0)
    # the sharp corner's path less what a rounding of `radius - 3` takes off, at most (tan(θ/2) - θ/2) r²
    assert area(path) == pytest.approx(area(sharp), abs=(tan(turn / 2) - turn / 2) * 0.02**2 + FIT * 3.0 * 3.0)
    assert np.isfinite(clearance(path.sampled(5), sharp, 0.2)).all()


@pytest.mark.parametrize(
    ("contour", "distance", "near"),
    [
        pytest.param(SQUARE, -5.1, (0, 0), id="square closed up: where it starts"),
        pytest.param(arc((0, 0), 1.0, 0.0, 2 * pi), -1.2, (1, 0), id="round hole closed up: where it starts"),
        pytest.param(WAIST, -0.5, (6.5, 2), id="waist pinched off: at the waist"),
        pytest.param(BAY, 1.0, (10, 17), id="mouth of a bay closed: at the mouth"),
    ],
)
def test_what_closes_up_says_where(contour: Curve, distance: float, near: tuple[float, float]) -> None:
    # shapely agrees that there is no single ring
    whole = polygon(contour).buffer(distance)
    assert whole.is_empty or whole.geom_type != "Polygon" or whole.interiors
    with pytest.raises(ClosedUpError, match="closes on itself near") as caught:
        outset(contour, distance)
    # half the length of waist and mouth, and the distance itself
    assert np.hypot(caught.value.x_mm - near[0], caught.value.y_mm - near[1]) <= 3 + abs(distance)


def test_an_open_curve_is_refused() -> None:
    with pytest.raises(ValueError, match="not closed"):
        outset(polyline([(0, 0), (1, 0), (1, 1)]), 0.1)


def test_runs_know_what_they_go_along() -> None:
    runs = outset_runs(SQUARE, 1.0)
    assert [(run.of, run.turn) for run in runs] == [
        (0, False),
        (1, True),
        (1, False),
        (2, True),
        (2, False),
        (3, True),
        (3, False),
        (0, True),
    ]
    for before, after in pairwise([*runs, runs[0]]):
        assert (before.curve.end == after.curve.start).all()


def assert_like_buffer(contour: Curve, path: Curve, distance: float) -> None:
    """The path is the edge of shapely's buffer with round joins."""
    wanted, made = polygon(contour).buffer(distance, quad_segs=QUAD_SEGMENTS), polygon(path)
    assert made.is_valid
    assert crossing_point(path) is None
    # nothing but slivers along the edge: as thick as the chords stand off, on roundings of at most 6 mm, and the fit
    thick = SAGITTA * 6.0 + FIT * abs(distance)
    assert thickest(made.symmetric_difference(wanted)) <= thick
    assert made.area == pytest.approx(wanted.area, abs=thick * path.length)


def thickest(area_between: BaseGeometry) -> float:
    """How thick a region is at most, to within a factor of two above, mm: by what erosion leaves something of it."""
    depth = 1.0
    while depth > 1e-6 and area_between.buffer(-depth / 2).is_empty:
        depth /= 2
    return 2 * depth


@st.composite
def outlines(draw: st.DrawFn, concave: bool) -> Curve:
    """Polygons round the origin with some of their corners rounded, started in the middle of a side."""
    count = draw(st.integers(3, 9))
    turns = np.cumsum([draw(st.floats(0.6, 1.4)) for _ in range(count)])
    angles = 2 * pi * turns / turns[-1]
    radii = np.array([draw(st.floats(8, 40)) if concave else 30.0 for _ in range(count)])
    p: Floats = np.stack([radii * np.cos(angles), radii * np.sin(angles)], axis=1)
    assume(Polygon(p).is_valid and Polygon(p).exterior.is_ccw)
    middle = (p[-1] + p[0]) / 2
    edges = [line(a, b) for a, b in pairwise([middle, *p, middle])]
    rounds = []
    for before, at, after in zip(np.roll(p, 1, axis=0), p, np.roll(p, -1, axis=0), strict=True):
        a, b = at - before, after - at
        turn = abs(float(np.arctan2(a[0] * b[1] - a[1] * b[0], a @ b)))
        # at most a fifth of the shorter side, so that two roundings and the start have room on it
        room = 0.2 * min(float(np.hypot(*a)), float(np.hypot(*b))) / tan(turn / 2)
        rounds.append(min(draw(st.sampled_from([0.0, 0.3, 1.0, 3.0, 6.0])), room))
    return rounded(edges, rounds)


@settings(max_examples=40, deadline=None)
@given(contour=outlines(concave=False), distance=st.sampled_from([0.05, 0.25, 1.5, 5.0]))
def test_convex_outlines_follow_steiner(contour: Curve, distance: float) -> None:
    # closed form, no polygon needed: area + perimeter d + π d², good to FIT of the area that is added
    added = contour.length * distance + pi * distance**2
    assert area(outset(contour, distance)) - area(contour) == pytest.approx(added, rel=FIT)


@settings(max_examples=50, deadline=None)
@given(
    contour=outlines(concave=True),
    distance=st.sampled_from([-3.0, -0.5, -0.05, 0.05, 0.25, 1.5, 5.0]),
    turned=st.booleans(),
)
@example(contour=SQUARE, distance=0.25, turned=True)
def test_any_outline_follows_shapely_or_is_refused_with_it(contour: Curve, distance: float, turned: bool) -> None:
    whole = polygon(contour).buffer(distance, quad_segs=QUAD_SEGMENTS)
    single = whole.geom_type == "Polygon" and not whole.is_empty and not whole.interiors
    contour = contour.reversed() if turned else contour
    if single:
        assert_like_buffer(contour, outset(contour, distance), distance)
    else:
        with pytest.raises(ClosedUpError):
            outset(contour, distance)


@settings(max_examples=20, deadline=None)
@given(contour=outlines(concave=True), distance=st.sampled_from([-0.25, 0.25, 1.5]))
def test_clockwise_and_anticlockwise_give_the_same_path(contour: Curve, distance: float) -> None:
    one, other = outset(contour, distance), outset(contour.reversed(), distance)
    assert one.length == pytest.approx(other.length, rel=1e-6)  # each fitted from its own end
    assert area(one) == pytest.approx(area(other), rel=1e-6)
    assert np.isfinite(clearance(one.sampled(5), other, FIT * abs(distance) + 1e-9)).all()


def test_clearance_is_the_distance_to_the_nearest_place() -> None:
    points = np.array([[5.0, -1.0], [11.0, 11.0], [5.0, 3.0], [60.0, 0.0]])
    assert clearance(points, SQUARE, 5.0) == pytest.approx([1.0, sqrt(2), 3.0, np.inf], abs=1e-12)
