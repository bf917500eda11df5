"""Slab patterns against the published net of a frustum, and rolled up again."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from shapely.geometry import LineString, Point, Polygon, box

from profiler.geometry.curve import Floats
from profiler.piece import Piece
from profiler.sheets.face import ASCENT, DESCENT, width_mm
from profiler.templates.drawing import Drawing, Layer
from profiler.templates.slab import frustum_net, slab_disc, slab_wrap, why_no_slab_patterns
from tests.pieces import piece_from

PER_CUBIC = 40  # arcs of 0.4 radian: chords 2e-5 of the radius off
# A chord's and a cubic's distance from the arc at these radii, a tenth of what a knife follows.
CLOSE_MM = 0.01

CYLINDER = piece_from('title="Hut mug"\n[form]\nkind="cylinder"\nrim_diameter=82\nheight=95\n')
WIDENING = piece_from('title="Hut beaker"\n[form]\nkind="cylinder"\nrim_diameter=100\nheight=90\nbase_diameter=70\n')
NARROWING = piece_from('title="Hut pot"\n[form]\nkind="points"\noutside=[[80,0],[60,60]]\n')
GIVEN = piece_from('title="Hut box"\n[form]\nkind="points"\noutside=[[44,0],[52.8,88]]\ninside=[[40,5],[48.3,88]]\n')
SMALL = piece_from('title="Hut egg cup"\n[form]\nkind="cylinder"\nrim_diameter=48\nheight=50\n')
STRAIGHT = [CYLINDER, WIDENING, NARROWING, GIVEN, SMALL]


def patterns(piece: Piece) -> tuple[Drawing, Drawing]:
    (cast,) = piece.parts
    disc, wrap = slab_disc(piece, cast), slab_wrap(piece, cast, overlap_mm=8.0)
    assert disc is not None
    assert wrap is not None
    assert (disc.name, wrap.name) == ("slab_disc", "slab_wrap")
    return disc, wrap


def path_of(drawing: Drawing, name: str) -> Floats:
    (found,) = [line for line in drawing.lines if line.id == name]
    return found.curve.sampled(PER_CUBIC)


def body_of(drawing: Drawing) -> Polygon:
    return Polygon(np.concatenate([path_of(drawing, "profile"), path_of(drawing, "outline")[1:-1]]))


def seams(drawing: Drawing) -> list[LineString]:
    """The two longest straight marks, left one first."""
    marks = [LineString(ln.curve.sampled(1)) for ln in drawing.lines if ln.layer is Layer.MARK and len(ln.curve) == 1]
    return sorted(marks, key=lambda mark: mark.centroid.x)


def test_the_published_net() -> None:
    # ceemrr.com "Net of a Frustum": diameters 5 and 8 in, 4 in apart: 7.12 in, 11.39 in, 126.4 degrees
    inner, outer, degrees = frustum_net(5, 8, 4)
    assert (round(inner, 2), round(outer, 2), round(degrees, 1)) == (7.12, 11.39, 126.4)
    # the same by its formula, to the last figure printed in the sheet of facts
    assert (inner, outer) == pytest.approx((7.12000, 11.39200), abs=5e-6)
    assert degrees == pytest.approx(126.4044, abs=5e-5)
    assert frustum_net(8, 5, 4) == (inner, outer, degrees)


def test_a_net_rolls_up_to_its_circles_and_its_area() -> None:
    for d1, d2, height in ((60.0, 90.0, 80.0), (0.0, 50.0, 40.0), (80.0, 80.001, 100.0)):
        inner, outer, degrees = frustum_net(d1, d2, height)
        # its edges are as long as the circles are round
        assert math.radians(degrees) * outer == pytest.approx(math.pi * d2, rel=1e-12)
        assert math.radians(degrees) * inner == pytest.approx(math.pi * d1, rel=1e-12)
        # lateral area of a frustum: pi (R + r) l
        slant = math.hypot(height, (d2 - d1) / 2)
        area = math.radians(degrees) / 2 * (outer**2 - inner**2)
        # two nearly equal radii lose seven digits in the difference of their squares
        assert area == pytest.approx(math.pi * (d1 + d2) / 2 * slant, rel=1e-6)


def test_a_cylinder_has_no_apex() -> None:
    assert frustum_net(8, 8, 4) == (math.inf, math.inf, 0.0)
    for bad in ((0, 0, 4), (-1, 5, 4), (5, 8, 0), (5, 8, math.nan)):
        with pytest.raises(ValueError, match="no truncated cone"):
            frustum_net(*bad)


def test_a_cylinders_wrap_is_a_rectangle() -> None:
    _, wrap = patterns(CYLINDER)
    left, low, right, top = body_of(wrap).bounds
    # 12 % of the plastic length: fired sizes over 0.88. The mean wall of a cylinder is (3.8 + 4.3) / 2 fired,
    # measured where its straight part ends: a twentieth of the taper of 0.5 mm at each end
    middle = math.pi * (82 - 4.05) / 0.88
    assert right - left == pytest.approx(middle + 8.0, abs=math.pi * 0.05 / 0.88)
    assert top - low == pytest.approx(95 / 0.88, abs=CLOSE_MM)
    assert body_of(wrap).area == pytest.approx((right - left) * (top - low), rel=1e-9)
    assert len(path_of(wrap, "profile")) == PER_CUBIC + 1  # one straight run


@pytest.mark.parametrize("piece", [WIDENING, NARROWING, GIVEN])
def test_a_cones_wrap_is_the_ring_sector_of_its_mid_thickness(piece: Piece) -> None:
    _, wrap = patterns(piece)
    sizes = piece.design.sizes.model_dump()
    low, high = (
        (sizes["outside"][0], sizes["outside"][1])
        if sizes["kind"] == "points"
        else ((sizes["base_diameter"] / 2, 0.0), (sizes["rim_diameter"] / 2, sizes["height"]))
    )
    # any even wall of this lean, 3 to 5 mm fired thick: the middle lies half of it inside, square to the wall
    k = 1 / (1 - piece.body.shrinkage.at(piece.sized.FIRED))
    lean = math.atan2(high[0] - low[0], high[1])
    profile = LineString(path_of(wrap, "profile"))
    thick = 2 * (low[0] - profile.length / (2 * math.pi * k)) * math.cos(lean)
    assert 3.0 < thick < 5.0
    off = thick / 2 / math.cos(lean)
    inner, outer, degrees = frustum_net(2 * k * (low[0] - off), 2 * k * (high[0] - off), k * high[1])
    # the centre, from the sector itself: equally far from all of the lower edge
    points = path_of(wrap, "profile")
    edge = outer if low[0] > high[0] else inner
    centre = np.array([0.0, edge if low[0] > high[0] else -edge])
    # a rounded rim is widest half a wall (1.9 of 90 mm) under its top, which turns the lean by as much
    fair = 0.002 if sizes["kind"] == "points" else 0.03
    assert np.abs(np.hypot(*(points - centre).T) / edge - 1).max() < fair
    _, right = seams(wrap)
    turned = abs(_angle(right) - math.pi / 2) * 2
    assert math.degrees(turned) == pytest.approx(degrees, rel=fair)
    assert right.length + 3.0 == pytest.approx(outer - inner, rel=fair)


def _far(mark: LineString, place: Floats | tuple[float, ...]) -> float:
    """How far a place lies to the right of the whole line a mark lies on, looking up from the lower edge."""
    (x0, y0), (x1, y1) = mark.coords
    return float((y1 - y0) * (place[0] - x0) - (x1 - x0) * (place[1] - y0)) / mark.length


def _angle(mark: LineString) -> float:
    (x0, y0), (x1, y1) = mark.coords
    return math.atan2(abs(y1 - y0), abs(x1 - x0))


@pytest.mark.parametrize("piece", STRAIGHT)
def test_rolled_up_the_end_lies_on_its_seam_mark(piece: Piece) -> None:
    _, wrap = patterns(piece)
    body, (left, right) = body_of(wrap), seams(wrap)
    ends = path_of(wrap, "profile")[[0, -1]]
    # the overlap is 8 mm square to the mark on the right: both outer corners of that end lie so far from it
    tip = [p for p in body.exterior.coords if _far(right, p) > 8.0 - CLOSE_MM and Point(p).distance(right) < 9.0]
    assert len(tip) >= 2
    assert max(_far(right, p) for p in tip) < 8.0 + CLOSE_MM
    # turned once round the left mark is that end's edge, so the left end is as far from it
    assert _far(left, ends[0]) == pytest.approx(-8.0, abs=CLOSE_MM)
    long = max(Point(p).distance(Point(q)) for p in tip for q in tip)
    assert left.length + 3.0 == pytest.approx(long, abs=CLOSE_MM)
    assert right.distance(Point(ends[1])) == pytest.approx(1.5, abs=CLOSE_MM)  # marks keep off the cut


@pytest.mark.parametrize("piece", STRAIGHT)
def test_the_disc_reaches_to_the_outside_at_the_table(piece: Piece) -> None:
    disc, _ = patterns(piece)
    (cast,) = piece.parts
    k = 1 / (1 - piece.body.shrinkage.at(piece.sized.FIRED))
    points = np.concatenate([path_of(disc, "profile"), path_of(disc, "outline")])
    sizes = piece.design.sizes.model_dump()
    base = sizes["outside"][0][0] if sizes["kind"] == "points" else cast.shape.foot_diameter / 2
    radii = np.hypot(*points.T)
    assert np.ptp(radii) < CLOSE_MM
    # outside of the wall where it meets the table, before the base is rounded
    assert radii.mean() == pytest.approx(base * k, abs=CLOSE_MM)


@pytest.mark.parametrize("drawing", [drawing for piece in STRAIGHT for drawing in patterns(piece)])
def test_patterns_are_sound_and_their_words_legible(drawing: Drawing) -> None:
    profile, back = path_of(drawing, "profile"), path_of(drawing, "outline")
    assert np.abs(profile[-1] - back[0]).max() < 1e-9  # the same point, rounded
    assert np.abs(back[-1] - profile[0]).max() < 1e-9
    body = body_of(drawing)
    assert body.is_valid
    texts = []
    for w in drawing.words:
        wide = width_mm(w.text, w.size, w.bold)
        left = w.x - (wide / 2 if w.anchor == "middle" else 0.0)
        upright = box(left, w.y - DESCENT * w.size, left + wide, w.y + ASCENT * w.size)
        texts.append(shapely.affinity.rotate(upright, w.turned, origin=(w.x, w.y)))
    for i, text in enumerate(texts):
        assert body.contains(text), drawing.words[i].text
        # lines of one block may touch by their faces' full height, letters never
        assert all(text.intersection(other).area < 0.5 for other in texts[i + 1 :]), drawing.words[i].text
    for line in drawing.lines:
        if line.layer is Layer.MARK:
            assert body.contains(LineString(line.curve.sampled(20)))
    words = " ".join(w.text for w in drawing.words)
    assert "Hut" in words
    assert "wet" in words
    # a disc under 60 mm has room for its name and bars only; its wrap tells the bevel
    assert "45°" in words or body.bounds[2] < 30
    assert not any(line.id == "hand" for line in drawing.lines)


def test_who_gets_none() -> None:
    silent = (
        '[form]\nkind="bowl"\nrim_diameter=155\nheight=68\n',
        '[form]\nkind="cylinder"\nrim_diameter=82\nheight=95\nbelly=2\n',
        '[form]\nkind="points"\noutside=[[40,0],[60,25],[74,90]]\n',
    )
    for text in silent:
        piece = piece_from(text)
        (cast,) = piece.parts
        assert (slab_disc(piece, cast), slab_wrap(piece, cast)) == (None, None)
        assert why_no_slab_patterns(piece, cast) is None
    explained = {
        "foot ring": '[form]\nkind="cylinder"\nrim_diameter=100\nheight=90\n'
        "[foot_ring]\nouter_diameter=90\ndepth=5\n",
        "a slab is even": '[form]\nkind="points"\noutside=[[60,0],[60,80]]\ninside=[[45,6],[56,80]]\n',
        "under 30 mm": '[form]\nkind="points"\noutside=[[14,0],[60,80]]\n',
        "closes to a ring": '[form]\nkind="points"\noutside=[[30,0],[130,40]]\n',
    }
    for reason, text in explained.items():
        piece = piece_from(text)
        (cast,) = piece.parts
        assert (slab_disc(piece, cast), slab_wrap(piece, cast)) == (None, None)
        assert reason in (why_no_slab_patterns(piece, cast) or "")
