"""The inside stick, taken through the mouth and laid against the wall; sizes are invented."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from shapely.affinity import translate
from shapely.geometry import LineString, box

from profiler.clay.states import State
from profiler.piece import Cast, Piece
from profiler.templates.inside_rib import inside_rib, why_no_inside_rib
from profiler.templates.inside_stick import inside_stick, why_no_inside_stick
from tests.pieces import piece_from
from tests.templates.laid import CLOSE_MM, DESIGNS, PER_CUBIC, Held, body_of, held, part

POTS = {
    name: piece_from(f'title="Hut {name}"\n{DESIGNS[name]}')
    for name in ("beaker of points", "belly", "bottle", "egg cup", "thicker", "bowl", "jar", "stand")
} | {
    "tall": piece_from(
        'title="Hut tall"\n[form]\nkind="points"\ncurve="smooth"\noutside=[[40,0],[48,60],[40,140],[36,220]]\n'
    ),
    "waist": piece_from(
        'title="Hut waist"\n[form]\nkind="points"\noutside=[[46,0],[50,40],[40,60],[48,100],[42,120]]\n'
    ),
}
STICKS = held(POTS, {"inside_stick": inside_stick})


def inside(piece: Piece, cast: Cast) -> np.ndarray:
    return cast.shape.inside.mapped(*piece.scale(State.WET)).sampled(PER_CUBIC)


def test_a_stick_is_made_where_no_rib_goes_in() -> None:
    assert {h.drawing.title.split(":")[0] for h in STICKS} == {
        f"Hut {name}" for name in ("beaker of points", "belly", "bottle", "egg cup", "tall", "waist")
    }
    for piece in POTS.values():
        for cast in piece.parts:
            stick, rib = inside_stick(piece, cast), inside_rib(piece, cast)
            assert stick is None or rib is None
            wants = why_no_inside_rib(cast) is not None and not cast.open_foot
            assert (stick is not None) == (wants and why_no_inside_stick(cast) is None)


@pytest.mark.parametrize("h", STICKS, ids=lambda h: h.name)
def test_it_passes_the_mouth(h: Held) -> None:
    points = inside(h.piece, h.cast)
    body, brim = h.body, h.clay.bounds[3]
    left = body.bounds[0]
    for u in range(len(points) - 1, 0, -20):
        r, z = points[u]
        if points[u:, 0].min() < r - CLOSE_MM or z < points[:, 1].min() + 1.0:
            continue  # not the narrowest on the way out from there
        # all of it that is below this place has gone through it: its whole width is less than the place is wide
        below = body.intersection(box(-500, -500, 500, z))
        if not below.is_empty and r < points[: u + 1, 0].max() - CLOSE_MM:
            assert below.bounds[2] - below.bounds[0] <= 2 * r - 4.0 + CLOSE_MM, (z, r)
    mouth = 2 * float(points[int(np.argmax(points[:, 0])) :, 0].min())
    under_brim = body.intersection(box(-500, -500, 500, brim))
    for y in np.linspace(under_brim.bounds[1], brim, 60):
        across = under_brim.intersection(LineString([(left - 1, y), (500, y)]))
        assert across.is_empty or across.bounds[2] - across.bounds[0] <= mouth, y


@pytest.mark.parametrize("h", STICKS, ids=lambda h: h.name)
def test_it_touches_along_its_whole_edge_and_cuts_in_nowhere(h: Held) -> None:
    body, clay = h.body, h.clay
    assert body.is_valid
    assert body.intersection(clay).buffer(-CLOSE_MM).area == 0
    away = shapely.distance(shapely.points(part(h.drawing, "profile")), clay)
    assert away.max() < CLOSE_MM
    # up to the rim, and from the axis or from where its left side comes down
    points = inside(h.piece, h.cast)
    assert part(h.drawing, "profile")[-1] == pytest.approx(points[-1], abs=1e-9)
    start, left = part(h.drawing, "profile")[0], body.intersection(box(-500, -500, 500, points[-1, 1])).bounds[0]
    # its end is rounded by 5 mm at most, so its left side is up to 10 mm further in where the edge climbs
    assert start[0] == pytest.approx(0.0, abs=1e-9) or 0.0 < start[0] - left <= 10.0


@pytest.mark.parametrize("h", STICKS, ids=lambda h: h.name)
def test_it_comes_to_the_wall_from_the_middle_without_meeting_clay(h: Held) -> None:
    """Level towards the axis it meets nothing on the wall's side: it can be let down there and moved over."""
    right = h.clay.intersection(box(0, -500, 500, 500))
    floor = float(inside(h.piece, h.cast)[0, 1])
    for step in (2.0, 5.0, 10.0):
        away = translate(h.body, xoff=-step).intersection(box(0, floor + 12.0, 500, 500))
        assert away.intersection(right).buffer(-CLOSE_MM).area == 0, step


@pytest.mark.parametrize("h", STICKS, ids=lambda h: h.name)
def test_its_handle_is_long_narrow_and_round(h: Held) -> None:
    brim, top = h.clay.bounds[3], h.body.bounds[3]
    assert top - brim >= 110.0 - CLOSE_MM
    for y in np.linspace(top - 60, top - 18, 7):
        across = h.body.intersection(LineString([(-500, y), (500, y)]))
        assert 24.0 <= across.length <= 32.0
    # a round end: near the top half the handle's width at 14 - sqrt(14² - 7²) = 1.88 mm under it
    across = h.body.intersection(LineString([(-500, top - 1.88), (500, top - 1.88)]))
    assert across.length == pytest.approx(14.0, abs=2.0)


def test_it_says_where_it_begins() -> None:
    begins = 0
    for h in STICKS:
        start = float(part(h.drawing, "profile")[0, 0])
        labels = {w.text for w in h.drawing.words if w.size == 3.2}
        assert ("axis" in labels) == (start < 1e-9)
        if start > 1e-9:
            begins += 1
            assert "begins here" in labels
            assert f"begins {np.floor(2 * start + 0.5) / 2:g} mm from the axis" in h.said
        assert "move it to the wall" in h.said
    assert begins >= 2


def test_pots_without_one() -> None:
    # a belly of 76 under a mouth of 20: what passes the mouth and reaches the belly is a wire
    flask = piece_from('[form]\nkind="points"\noutside=[[35,0],[38,60],[14,90]]\n')
    (cast,) = flask.parts
    assert inside_stick(flask, cast) is None
    assert "does not" not in (why_no_inside_rib(cast) or "does not")
    assert "under 14 mm wide" in (why_no_inside_stick(cast) or "")
    for name in ("bowl", "jar", "stand"):
        for cast in POTS[name].parts:
            assert inside_stick(POTS[name], cast) is None
            assert why_no_inside_stick(cast) is None


def test_it_hangs_by_a_hole() -> None:
    for h in STICKS:
        (hole,) = h.drawing.holes
        assert body_of(h.drawing).contains(shapely.Polygon(hole.sampled(50)))
