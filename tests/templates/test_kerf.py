"""What a cutter leaves that follows a compensated template, worked out with shapely."""

from __future__ import annotations

from functools import cache
from itertools import pairwise
from math import pi, sin, tan

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray
from shapely.geometry import LineString, Polygon

from profiler.geometry.curve import Curve, Floats, arc, polyline
from profiler.geometry.fillet import turn_between
from profiler.sheets import face
from profiler.templates.catalogue import templates_of
from profiler.templates.drawing import Drawing, Layer, Line, Words
from profiler.templates.kerf import MAX_KERF_MM, for_kerf
from tests.pieces import DEMO_DESIGNS, demo_piece

KERFS_MM = (0.1, 0.2, 0.5)
LEFT_MM = 0.01
"""What a finished edge may be off: the project's measure for a profile. Sampling takes up to half, see below."""
CHORD_MM = 0.2
"""Spacing of samples: on a radius of 1 mm their chords are 0.2²/8 = 0.005 mm off, on 7 mm under 0.001."""
ROUND_SEGMENTS = 32
"""To a quarter of the cutter: 3e-4 of half a kerf off."""
CORNER_RADIANS = 0.02
"""A turn over this is a corner: the project's own measure of a straight joint."""


@cache
def templates() -> tuple[tuple[str, Drawing], ...]:
    made = [
        (f"{path.stem} {drawing.name}", drawing)
        for path in DEMO_DESIGNS
        for drawing in templates_of(demo_piece(path))
    ]
    assert len(made) > 30
    return tuple(made)


def names() -> list[str]:
    return [path.stem for path in DEMO_DESIGNS]


def drawings(stem: str) -> list[Drawing]:
    found = [drawing for name, drawing in templates() if name.split()[0] == stem]
    assert found
    return found


def dense(curve: Curve) -> Floats:
    """Samples no further apart than CHORD_MM, and 24 to a cubic at least, for small roundings."""
    runs = []
    for one, length in zip(curve.cubics, np.diff(curve.arc_lengths), strict=True):
        runs.append(Curve(one[None]).at(np.linspace(0, 1, max(24, int(length / CHORD_MM) + 1))[:-1]))
    return np.concatenate([*runs, curve.end[None]])


def left_standing(path: Curve, kerf: float) -> Polygon:
    """The material inside a path that a round cutter on it does not take."""
    points = dense(path)
    left = Polygon(points).difference(LineString(points).buffer(kerf / 2, quad_segs=ROUND_SEGMENTS))
    assert isinstance(left, Polygon)  # in one piece
    return left


def cut_open(path: Curve, kerf: float) -> Polygon:
    """The opening a round cutter makes that follows a path round a hole."""
    points = dense(path)
    opened = Polygon(points).union(LineString(points).buffer(kerf / 2, quad_segs=ROUND_SEGMENTS))
    assert isinstance(opened, Polygon)
    return opened


def inner_corners(contour: Curve) -> list[tuple[Floats, float]]:
    """Corners whose material is on more than half a turn, and the angle of the gap, radians."""
    anticlockwise = Polygon(dense(contour)).exterior.is_ccw
    singles = [Curve(one[None]) for one in contour.cubics]
    found = []
    for before, after in pairwise([*singles, singles[0]]):
        turn = turn_between(before, after) * (1 if anticlockwise else -1)
        if -3.0 < turn < -CORNER_RADIANS:  # a turn of pi is an outer point that doubles back
            found.append((after.start, pi + turn))
    return found


def web(angle: float, kerf: float) -> float:
    """Depth of what a round cutter leaves in a gap of an angle: its centre stands (k/2)/sin(α/2) from the corner."""
    return (1 / sin(angle / 2) - 1) * kerf / 2


def clear_of(points: Floats, corners: list[tuple[Floats, float]], kerf: float) -> NDArray[np.bool_]:
    """Which points the webs do not reach: a web ends (k/2)/tan(α/2) along each side of its corner."""
    keep = np.ones(len(points), dtype=bool)
    for corner, angle in corners:
        keep &= np.hypot(*(points - corner).T) > kerf / 2 / tan(angle / 2) + LEFT_MM
    assert keep.mean() > 0.9  # nearly all of the edge is looked at
    return keep


def off(points: Floats, ring: Floats) -> Floats:
    """How far points lie from the polygon through others, mm."""
    sides = shapely.STRtree(np.asarray(shapely.linestrings(np.stack([ring[:-1], ring[1:]], axis=1))).tolist())
    _, away = sides.query_nearest(shapely.points(points), all_matches=False, return_distance=True)
    return np.asarray(away)


@pytest.mark.parametrize("kerf", KERFS_MM)
@pytest.mark.parametrize("stem", names())
def test_what_is_left_is_the_true_template(stem: str, kerf: float) -> None:
    for drawing in drawings(stem):
        made = for_kerf(drawing, kerf)
        assert drawing.body is not None
        assert drawing.profile is not None
        assert made.body is not None
        corners = inner_corners(drawing.body)
        deepest = max((web(angle, kerf) for _, angle in corners), default=0.0)
        left, true = shapely.get_coordinates(left_standing(made.body, kerf).exterior), dense(drawing.body)
        # each edge lies on the other, both ways, but for the webs, which are no deeper than the formula says
        for points, ring in ((left, true), (true, left), (dense(drawing.profile), left)):
            away = off(points, ring)
            assert away.max() <= deepest + LEFT_MM
            assert away[clear_of(points, corners, kerf)].max() <= LEFT_MM
        for corner, angle in corners:
            assert off(corner[None], left)[0] == pytest.approx(web(angle, kerf), abs=LEFT_MM)


@pytest.mark.parametrize("kerf", KERFS_MM)
@pytest.mark.parametrize("stem", names())
def test_holes_come_out_true(stem: str, kerf: float) -> None:
    for drawing in drawings(stem):
        made = for_kerf(drawing, kerf)
        assert len(made.holes) == len(drawing.holes) > 0
        for path, hole in zip(made.holes, drawing.holes, strict=True):
            opened, true = cut_open(path, kerf), Polygon(dense(hole))
            edge = shapely.get_coordinates(opened.exterior)
            assert max(off(edge, dense(hole)).max(), off(dense(hole), edge).max()) <= LEFT_MM
            assert Polygon(dense(path)).within(true)


@pytest.mark.parametrize("stem", names())
def test_each_line_is_drawn_once_and_the_chain_closes(stem: str) -> None:
    for drawing in drawings(stem):
        made = for_kerf(drawing, 0.2)
        assert [(line.id, line.layer) for line in made.lines] == [(line.id, line.layer) for line in drawing.lines]
        assert made.profile is not None
        rest = next(line.curve for line in made.lines if line.id == "outline")
        assert (made.profile.end == rest.start).all()
        assert (rest.end == made.profile.start).all()
        for before, after in zip(drawing.lines, made.lines, strict=True):
            if before.layer is Layer.MARK:
                assert after is before
            elif before.id not in ("profile", "outline"):
                assert after.closed


@pytest.mark.parametrize("stem", names())
def test_the_profile_is_the_path_beside_the_working_edge(stem: str) -> None:
    kerf = 0.5
    for drawing in drawings(stem):
        made = for_kerf(drawing, kerf)
        assert made.profile is not None
        assert drawing.profile is not None
        nearest = off(dense(made.profile), dense(drawing.profile))
        # it keeps half a kerf from the edge itself, and so do the turns about its inner corners; chords: CHORD_MM
        assert np.abs(nearest - kerf / 2).max() <= LEFT_MM
        # and it covers the edge: both ends lie beside the edge's ends or where an inner corner trims the path
        for end, wanted in ((made.profile.start, drawing.profile.start), (made.profile.end, drawing.profile.end)):
            assert np.hypot(*(end - wanted)) <= kerf  # up to (k/2)/sin(30°), the sharpest gap that is not refused


@pytest.mark.parametrize("stem", names())
def test_it_says_that_it_is_no_gauge_as_printed(stem: str) -> None:
    for drawing in drawings(stem):
        made = for_kerf(drawing, 0.15)
        assert made.title == f"{drawing.title}, for a cutter 0.15\u00a0mm wide"
        assert made.words[: len(drawing.words)] == drawing.words
        note = made.words[len(drawing.words) :]
        said = " ".join(words.text for words in note)
        assert said == "cut edges allow for a cutter 0.15\u00a0mm wide: not a gauge as printed"
        assert drawing.body is not None
        body = Polygon(dense(drawing.body), [dense(hole) for hole in drawing.holes])
        others = [box(words) for words in drawing.words]
        for one in map(box, note):
            # whole on the body, or clear below it; on no other words either way
            assert one.within(body) or one.bounds[3] < body.bounds[1]
            assert not any(one.intersects(other) for other in others)


def box(words: Words) -> Polygon:
    wide = face.width_mm(words.text, words.size, words.bold)
    left = words.x - {"start": 0.0, "middle": 0.5, "end": 1.0}[words.anchor] * wide
    upright = shapely.box(left, words.y - 0.2 * words.size, left + wide, words.y + 0.8 * words.size)
    return shapely.affinity.rotate(upright, words.turned, origin=(words.x, words.y))


def template(edge: list[tuple[float, float]], rest: list[tuple[float, float]], *holes: Curve) -> Drawing:
    lines = (
        Line(polyline(edge), Layer.CUT, id="profile"),
        Line(polyline([edge[-1], *rest, edge[0]]), Layer.CUT, id="outline"),
        *(Line(hole, Layer.CUT, id="hang") for hole in holes),
    )
    return Drawing("gauge", "Hut mug: gauge", lines)


PLATE = ([(0.0, 0.0), (80.0, 0.0)], [(80.0, 50.0), (0.0, 50.0)])


def test_turns_at_the_ends_of_the_edge_belong_to_the_outline() -> None:
    made = for_kerf(template(*PLATE), 0.5)
    assert made.profile is not None
    assert made.profile.cubics[0, 0] == pytest.approx([0.0, -0.25])
    assert made.profile.cubics[-1, 3] == pytest.approx([80.0, -0.25])
    backwards = for_kerf(template([(80.0, 0.0), (0.0, 0.0)], [(0.0, 50.0), (80.0, 50.0)]), 0.5)
    assert backwards.profile is not None
    assert backwards.profile.cubics[0, 0] == pytest.approx([80.0, -0.25])


@pytest.mark.parametrize("kerf", [0.0, -0.1, MAX_KERF_MM + 0.001, float("nan"), float("inf")])
def test_a_width_that_cannot_be_is_refused(kerf: float) -> None:
    with pytest.raises(ValueError, match="must be over 0 and at most 3 mm"):
        for_kerf(template(*PLATE), kerf)


def test_a_hole_the_cutter_does_not_fit_is_refused() -> None:
    hole = arc((40.0, 25.0), 1.0, 0.0, 2 * pi)
    for_kerf(template(*PLATE, hole), 1.9)
    with pytest.raises(ValueError, match="does not fit the hole `hang`"):
        for_kerf(template(*PLATE, hole), 2.1)


def test_a_gap_narrower_than_the_cutter_is_refused() -> None:
    slotted = template([(0.0, 0.0), (39.5, 0.0), (39.5, 8.0), (40.5, 8.0), (40.5, 0.0), (80.0, 0.0)], PLATE[1])
    for_kerf(slotted, 0.9)
    with pytest.raises(ValueError, match=r"cannot follow the edge near \((39|40)\.\d, \d\.\d\)"):
        for_kerf(slotted, 1.1)


def test_an_edge_swallowed_whole_is_refused() -> None:
    # 0.1 mm at the bottom of a wide notch: the path goes from one slope to the other
    notched = template(
        [(40.05, 10.0), (39.95, 10.0)], [(20.0, 0.0), (0.0, 0.0), (0.0, 50.0), (80.0, 50.0), (80.0, 0.0), (60.0, 0.0)]
    )
    for_kerf(notched, 0.1)
    with pytest.raises(ValueError, match="leaves nothing of the working edge"):
        for_kerf(notched, 3.0)


def test_a_picture_is_refused() -> None:
    with pytest.raises(ValueError, match="not a template"):
        for_kerf(Drawing("section", "Section", (Line(polyline([(0, 0), (1, 1)]), Layer.MARK),)), 0.2)
