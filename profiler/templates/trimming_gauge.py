"""The trimming gauge: laid on the upturned foot at leather-hard, it shows ring, recess and wall at once."""

from __future__ import annotations

import numpy as np

from ..clay.states import State
from ..geometry.curve import Curve, Floats, chained
from ..lengths import mm
from ..piece import Cast, Piece
from .drawing import Drawing
from .frame import CORNER_MM, Body, Mark, finished, legs, lettering, point, right_when
from .tongue import SIDE_MM, foot_edge

_ABOVE_MM, _ABOVE_NARROW_MM, _NARROW_MM = 45.0, 60.0, 120.0
_LEG_MM = 28.0
_OVER_MM = CORNER_MM + 1.0


def trimming_gauge(piece: Piece, cast: Cast) -> Drawing | None:
    """The gauge in mm leather-hard, foot up, standing face at y = 0; None if not made."""
    if cast.blend is None or why_no_trimming_gauge(piece, cast) is not None:
        return None
    k_r, k_z = piece.scale(State.LEATHER_HARD)
    first, rest = foot_edge(piece, cast, k_r, k_z)
    wall = _wall(cast, cast.blend).mapped(k_r, -k_z)
    if rest is None:
        edge, foot = chained([first, wall]), None
    else:
        face = Curve(cast.shape.base.cubics[-1:]).mapped(k_r, -k_z)
        half = chained([first, rest])
        edge, foot = chained([face, wall]), chained([half.mapped(-1, 1).reversed(), half])
    right = edge.highest(0)[1] + _LEG_MM
    left = -k_r * cast.shape.foot_diameter / 2 - _OVER_MM
    top = _ABOVE_MM if right - left > _NARROW_MM else _ABOVE_NARROW_MM
    end, begin = point(edge.end), point(edge.start if foot is None else foot.start)
    outline = legs(
        [
            (*end, 0.0),
            (right, end[1], CORNER_MM),
            (right, top, CORNER_MM),
            (left, top, CORNER_MM),
            (left, 0.0, CORNER_MM),
            (*begin, 0.0),
        ]
    )
    if foot is not None:
        outline = chained([outline, foot])
    ring = piece.asked.ring
    notes = [right_when(piece, cast)]
    if foot is not None:
        notes.append(f"ring {mm(k_z * ring.depth)} deep, {mm(k_r * ring.width)} mm wide")
    else:
        notes.append(f"base {mm(k_r * cast.shape.foot_diameter)} mm across")
    return finished(
        "trimming_gauge",
        Body(
            profile=edge,
            outline=outline,
            marks=(
                Mark(point(first.start), (0.0, 1.0), "axis"),
                Mark(end, _between(edge), "trim to here", off=2.2),
            ),
            hang=(left + 12.0, top - 12.0),
            grip=((left + right) / 2, top / 2 + 6.0),
        ),
        lettering(piece, cast, "trimming gauge, foot up", State.LEATHER_HARD, notes),
    )


def why_no_trimming_gauge(piece: Piece, cast: Cast) -> str | None:
    """Why a trimmed part gets no gauge, as a sentence; None where it gets one, or nothing is trimmed."""
    if cast.blend is None or cast.shape.recess is None:
        return None
    wall = _wall(cast, cast.blend).mapped(*piece.scale(State.LEATHER_HARD))
    narrowing = float(wall.sampled(40)[:, 0].max() - wall.end[0])
    if narrowing > SIDE_MM:
        return (
            f"No trimming gauge: the wall draws in by {mm(narrowing)} mm over the foot, "
            "and a gauge with a tongue in the ring cannot be laid on it."
        )
    return None


def _between(edge: Curve) -> tuple[float, float]:
    """Half way between the edge, seen from its end, and the level underside of the leg."""
    way = [1.0, 0.0] - edge.direction(len(edge))
    return point(way / np.hypot(*way))


def _wall(cast: Cast, blend: Floats) -> Curve:
    """The finished outside from the foot to where it takes over from the waste."""
    outside = cast.shape.outside
    return outside.part(0.0, float(outside.crossings(1, float(blend[1]))[-1]))
