"""Every registered form's section, measured with another library: wall, floor, ring and rim are what was asked.

The section is handed to shapely as a polygon with 400 corners a cubic; a chord of a 30 mm cubic then lies
within 1e-4 mm of the curve. From there on rays and distances are shapely's.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pytest
from scipy.optimize import brentq
from shapely.geometry import LineString, Point, Polygon

from profiler.forms import FORMS
from profiler.geometry.curve import Curve
from profiler.piece import Cast
from tests.pieces import piece_from

OFF_MM = 0.01
"""The issue's figure for everything here: a tenth of what callipers show."""

HEIGHTS = 50


@dataclass(frozen=True)
class Asked:
    """What a part's design says, mm, written out by hand.

    Attributes:
        wall: foot, rim.
        along: the curve the wall runs evenly along: "inside" from the foot on, or the whole "outside".
        foot_diameter: outside at the table, before its edge is rounded.
        height: of this part.
        rim_diameter: outside, within the rounding of the rim; None where the part has no rim of its own.
        floor: on the axis; None for an open foot.
        top: on the axis of a form that closes over it, which has no mouth and no rim; None where there is a mouth.
        corner: rounding between floor and wall inside.
        edge: rounding of the outside at the table.
        ring: width and depth.
        inner: outer diameter and width of an inner ring, and how far it stands short.
        recess: "flat" or "domed".
    """

    wall: tuple[float, float]
    along: str
    foot_diameter: float
    height: float
    rim_diameter: float | None
    floor: float | None
    top: float | None = None
    corner: float = 0.0
    edge: float = 0.0
    ring: tuple[float, float] | None = None
    inner: tuple[float, float, float] | None = None
    recess: str = "flat"


SHARP = "[foot_ring]\nedge = 0\n"
"""Rings are measured at their corners, so these have none rounded."""

BATTERY: dict[str, dict[str, tuple[str, dict[str, Asked]]]] = {
    "bowl": {
        "domed": (
            "rim_diameter=155\nheight=68\n[wall]\nrim=4.5\nfoot=6\n[floor]\nthickness=4\n"
            + SHARP
            + "outer_diameter=70\nwidth=6\ndepth=5\nrecess='domed'\n",
            {"": Asked((6, 4.5), "inside", 70, 68, 155, 4, ring=(6, 5), recess="domed")},
        ),
        "flat, turned in": (
            "rim_diameter=120\nheight=80\nrim_angle=98\nfullness=0.6\n[wall]\nrim=3\nfoot=5\n[floor]\nthickness=5\n"
            + SHARP
            + "outer_diameter=60\nwidth=7\ndepth=6\nrecess='flat'\n",
            {"": Asked((5, 3), "inside", 60, 80, 120, 5, ring=(7, 6))},
        ),
        "rounded foot": (
            "rim_diameter=200\nheight=70\n[wall]\nrim=4\nfoot=6\n[floor]\nthickness=5\n"
            "[foot_ring]\nouter_diameter=90\nedge=1\n",
            {"": Asked((6, 4), "inside", 90, 70, 200, 5)},
        ),
    },
    "plate": {
        "two rings": (
            "rim_diameter=265\nheight=27\nrim_width=36\n[wall]\nrim=4.5\nfoot=6\n[floor]\nthickness=5.5\n"
            + SHARP
            + "outer_diameter=160\nwidth=7\ndepth=4\ninner_diameter=70\ninner_width=6\ninner_short=0.4\n",
            {"": Asked((6, 4.5), "inside", 160, 27, 265, 5.5, ring=(7, 4), inner=(70, 6, 0.4))},
        ),
        "steep": (
            "rim_diameter=190\nheight=28\nrim_width=20\nrim_rise=9\n[wall]\nrim=4\nfoot=5\n[floor]\nthickness=5\n"
            + SHARP
            + "outer_diameter=110\nwidth=6\ndepth=4\n",
            {"": Asked((5, 4), "inside", 110, 28, 190, 5, ring=(6, 4))},
        ),
    },
    "cylinder": {
        "tapered, bellied": (
            "rim_diameter=82\nheight=95\nbase_diameter=74\nbelly=3\ninside_corner=8\nbase_corner=3\n"
            "[wall]\nrim=3\nfoot=6\n[floor]\nthickness=5\n",
            {"": Asked((6, 3), "outside", 74, 95, 82, 5, corner=8, edge=3)},
        ),
        "waisted, on a ring": (
            "rim_diameter=80\nheight=100\nbase_diameter=84\nbelly=-3\ninside_corner=6\n"
            "[wall]\nrim=3.5\nfoot=4.5\n[floor]\nthickness=5\n" + SHARP + "width=6\ndepth=3\n",
            {"": Asked((4.5, 3.5), "outside", 84, 100, 80, 5, corner=6, ring=(6, 3))},
        ),
    },
    "jar": {
        "flared": (
            "belly_diameter=110\nrim_diameter=92\nheight=120\nfoot_diameter=76\nneck_diameter=84\n"
            "inside_corner=10\nbase_corner=2\n[wall]\nrim=3.5\nfoot=6\n[floor]\nthickness=5\n",
            {"": Asked((6, 3.5), "outside", 76, 120, 92, 5, corner=10, edge=2)},
        ),
        "on a ring": (
            "belly_diameter=110\nrim_diameter=92\nheight=120\nfoot_diameter=76\n"
            "[wall]\nrim=4\nfoot=5\n[floor]\nthickness=5\n" + SHARP + "width=7\ndepth=4\n",
            {"": Asked((5, 4), "outside", 76, 120, 92, 5, corner=10, ring=(7, 4))},
        ),
    },
    "closed": {
        "round": (
            "belly_diameter=95\nheight=100\nfoot_diameter=70\nbase_corner=2\ninside_corner=8\n"
            "[wall]\nrim=4\nfoot=6\n[floor]\nthickness=5\n",
            {"": Asked((6, 4), "outside", 70, 100, None, 5, top=4, corner=8, edge=2)},
        ),
        "square, on a ring": (
            "belly_diameter=110\nheight=90\nfoot_diameter=84\nshoulder=0.8\nbelly_height=35\ninside_corner=10\n"
            "[wall]\nrim=5\nfoot=5\n[floor]\nthickness=6\n" + SHARP + "width=7\ndepth=4\n",
            {"": Asked((5, 5), "outside", 84, 90, None, 6, top=5, corner=10, ring=(7, 4))},
        ),
    },
    "stand": {
        "plain": (
            "rim_diameter=240\nheight=120\ndish_depth=30\njoint_diameter=80\nfoot_diameter=124\n"
            "[wall]\nrim=4.5\nfoot=6\n[floor]\nthickness=6\n",
            {
                "dish": Asked((6, 4.5), "inside", 80, 36, 240, 6),
                "pedestal": Asked((6, 4.5), "outside", 124, 84, None, None, edge=0.8),
            },
        ),
    },
    "points": {
        "straight": (
            "outside=[[36,0],[46,110]]\n[wall]\nrim=3\nfoot=6\n[floor]\nthickness=5\n[foot_ring]\nwidth=6\ndepth=3\n",
            {"": Asked((6, 3), "outside", 72, 110, 92, 5, ring=(6, 3))},
        ),
        "smooth": (
            "curve='smooth'\noutside=[[38,0],[46,25],[48,50],[43,85],[40,105],[42,120]]\n"
            "[wall]\nrim=4\nfoot=6\n[floor]\nthickness=5\n",
            {"": Asked((6, 4), "outside", 76, 120, 84, 5)},
        ),
        "smooth, closed": (
            "curve='smooth'\noutside=[[40,0],[46,30],[44,60],[36,85],[20,97],[0,100]]\n"
            "[wall]\nrim=4\nfoot=6\n[floor]\nthickness=5\n",
            {"": Asked((6, 4), "outside", 80, 100, None, 5, top=4)},
        ),
    },
}

CASES = [
    pytest.param(kind, name, part, id=f"{kind}, {name}{', ' * bool(part)}{part}")
    for kind, made in BATTERY.items()
    for name, (_, parts) in made.items()
    for part in parts
]


def test_every_registered_form_is_measured() -> None:
    assert set(BATTERY) == set(FORMS)


def _part(kind: str, name: str, part: str) -> tuple[Cast, Asked]:
    text, asked = BATTERY[kind][name]
    casts = {cast.name: cast for cast in piece_from(f"[form]\nkind='{kind}'\n{text}").parts}
    assert set(casts) == set(asked)
    return casts[part], asked[part]


def _line(curve: Curve) -> LineString:
    return LineString(curve.sampled(400))


def _polygon(cast: Cast) -> Polygon:
    polygon = Polygon(cast.section.outline.sampled(400))
    assert polygon.is_valid
    return polygon


def _spot(line: LineString, run: float) -> np.ndarray:
    return np.array(line.interpolate(run).coords[0])


def _way(line: LineString, run: float) -> np.ndarray:
    """Unit tangent, from two points a tenth of a millimetre apart: its error is the curve's third order."""
    run = min(max(run, 0.05), line.length - 0.05)
    step = _spot(line, run + 0.05) - _spot(line, run - 0.05)
    return np.asarray(step / np.hypot(*step))


def _foot_run(inside: LineString, asked: Asked) -> float:
    """How far along the inside its wall starts: there the outside, `foot` away, is as wide as the foot.

    A wall that grows by k a millimetre is the envelope of circles of its thickness about the inside; the one
    about p touches it at p - t (k T + sqrt(1 - k²) N), T along the inside and N to its left.
    """
    foot, rim = asked.wall

    def beyond(run: float) -> float:
        k = (rim - foot) / (inside.length - run)
        along = _way(inside, run)
        left = np.array([-along[1], along[0]])
        return float(
            _spot(inside, run)[0] - foot * (k * along + np.sqrt(1 - k * k) * left)[0] - asked.foot_diameter / 2
        )

    return float(brentq(beyond, asked.foot_diameter / 4, inside.length - 2 * foot))


@pytest.mark.parametrize(("kind", "name", "part"), CASES)
def test_the_wall_square_to_the_outside(kind: str, name: str, part: str) -> None:
    cast, asked = _part(kind, name, part)
    polygon, inside, outside = _polygon(cast), _line(cast.shape.inside), _line(cast.shape.outside)
    foot, rim = asked.wall
    start = _foot_run(inside, asked) if asked.along == "inside" else 0.0
    measured = []
    for run in _runs(cast, asked, outside):
        spot, way = _spot(outside, run), _way(outside, run)
        into = np.array([-way[1], way[0]])  # the outside runs up, so the clay is to its left
        ray = LineString([spot + 1e-4 * into, spot + 40 * into])
        through = polygon.intersection(ray)
        pieces = getattr(through, "geoms", [through])
        piece = min(pieces, key=lambda some: some.distance(Point(spot)))
        end = max(piece.coords, key=lambda place: float(np.hypot(*(np.array(place) - spot))))
        assert inside.distance(Point(end)) < 1e-3, "the ray left the clay elsewhere than through the inside"
        if asked.along == "inside":
            share = (inside.project(Point(end)) - start) / (inside.length - start)
        else:
            share = 1 - (outside.length - run) / _sharp_length(outside, asked.edge)
        thickness = 1e-4 + piece.length
        assert thickness == pytest.approx(foot + (rim - foot) * share, abs=OFF_MM), f"at height {spot[1]:.1f}"
        measured.append(share)
    assert len(measured) == HEIGHTS
    assert max(measured) - min(measured) > 0.8  # it was looked at nearly all the way from foot to rim


def _sharp_length(outside: LineString, edge: float) -> float:
    """Length of the outside with its lower edge left sharp: the arc of the rounding stands for one tangent length."""
    way = _way(outside, 4 * edge)
    turn = float(np.arctan2(way[1], way[0]))  # the base runs level outwards
    return float(outside.length + edge * (np.tan(turn / 2) - turn))


def _runs(cast: Cast, asked: Asked, outside: LineString) -> list[float]:
    """Places on the outside at 50 heights, from where the wall is a wall to where the rim's rounding begins."""
    low = float(cast.shape.outside.at(cast.shape.wall_start)[1])
    high = float(cast.shape.outside.end[1])
    foot, rim = asked.wall
    if asked.along == "outside":
        # below its corner a floor lies inside the wall, and a ray meets that
        low = max(low, 3 * asked.edge, (asked.ring or (0, 0))[1] + (asked.floor or 0.0) + asked.corner)
        way = _way(outside, outside.length)
        # the inside of a wall that leans in ends lower than its outside
        low += foot * max(0.0, -float(_way(outside, 5.0)[0])) + 0.5
        if cast.shape.rim.end[1] == pytest.approx(high):
            high -= rim * abs(float(way[0])) + 0.1  # under a level rim, up to where a ray meets the inside
    runs = []
    for height in np.linspace(low + 0.01, high - 0.01, HEIGHTS):
        level = outside.intersection(LineString([(0.0, height), (1000.0, height)]))
        widest = max(getattr(level, "geoms", [level]), key=lambda point: point.x)
        runs.append(outside.project(widest))
    return runs


@pytest.mark.parametrize(("kind", "name", "part"), CASES)
def test_height_rim_and_floor(kind: str, name: str, part: str) -> None:
    cast, asked = _part(kind, name, part)
    polygon = _polygon(cast)
    _, lowest, _, highest = polygon.bounds
    assert lowest == pytest.approx(0.0, abs=OFF_MM)
    assert highest == pytest.approx(asked.height, abs=OFF_MM)
    if asked.rim_diameter is not None:
        assert 2 * _line(cast.shape.rim).bounds[2] == pytest.approx(asked.rim_diameter, abs=OFF_MM)
    axis = polygon.intersection(LineString([(1e-3, -1.0), (1e-3, 1000.0)]))
    clay = sorted(getattr(axis, "geoms", [] if axis.is_empty else [axis]), key=lambda piece: float(piece.bounds[1]))
    # an open foot leaves nothing on the axis, an open mouth the floor; a form that closes has its top there too
    thick = [thickness for thickness in (asked.floor, asked.top) if thickness is not None]
    assert [piece.length for piece in clay] == pytest.approx(thick, abs=OFF_MM)
    if asked.ring is not None:
        assert clay[0].bounds[1] == pytest.approx(asked.ring[1], abs=OFF_MM)
    if asked.top is not None:
        assert clay[-1].bounds[3] == pytest.approx(asked.height, abs=OFF_MM)


def _clay_at(polygon: Polygon, height: float) -> list[tuple[float, float]]:
    """Radii between which there is clay at a height, from the axis out."""
    level = polygon.intersection(LineString([(0.0, height), (1000.0, height)]))
    return sorted((some.bounds[0], some.bounds[2]) for some in getattr(level, "geoms", [level]))


RINGED = [case for case in CASES if BATTERY[str(case.values[0])][str(case.values[1])][1][str(case.values[2])].ring]


@pytest.mark.parametrize(("kind", "name", "part"), RINGED)
def test_the_ring(kind: str, name: str, part: str) -> None:
    cast, asked = _part(kind, name, part)
    assert asked.ring is not None
    width, _ = asked.ring
    polygon = _polygon(cast)
    # 1 µm above the table, where nothing is rounded
    rings = _clay_at(polygon, 1e-3)
    assert len(rings) == 1
    (first, last), outer = rings[0], asked.foot_diameter / 2
    assert (first, last) == pytest.approx((outer - width, outer), abs=OFF_MM)
    if asked.inner:
        diameter, inner_width, short = asked.inner
        radius = diameter / 2
        assert _clay_at(polygon, short - 2 * OFF_MM) == [pytest.approx((outer - width, outer), abs=OFF_MM)]
        found = _clay_at(polygon, short + 1e-3)
        assert found[0] == pytest.approx((radius - inner_width, radius), abs=OFF_MM)
        assert len(found) == 2


@pytest.mark.parametrize(("kind", "name", "part"), RINGED)
def test_the_face_inside_the_ring(kind: str, name: str, part: str) -> None:
    cast, asked = _part(kind, name, part)
    assert asked.ring is not None
    assert asked.floor is not None
    polygon, inside = _polygon(cast), _line(cast.shape.inside)
    width, depth = asked.ring
    # from the axis to where the face turns down into the ring, 2 mm of rounding in an acute corner; an inner
    # ring interrupts it
    last = asked.foot_diameter / 2 - width - 4
    if asked.inner:
        last = asked.inner[0] / 2 - asked.inner[1] - 4
    for radius in np.linspace(0.5, last, 20):
        clay = polygon.intersection(LineString([(radius, -1.0), (radius, 1000.0)]))
        lowest = min(getattr(clay, "geoms", [clay]), key=lambda some: some.bounds[1]).bounds[1]
        if asked.recess == "flat":
            assert lowest == pytest.approx(depth, abs=OFF_MM)
        else:  # parallel to the inside, the floor's thickness away from it
            assert inside.distance(Point(radius, lowest)) == pytest.approx(asked.floor, abs=OFF_MM)
