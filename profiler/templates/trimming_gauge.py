"""The trimming gauge: laid on the upturned foot at leather-hard, it shows ring, recess and wall at once."""

from __future__ import annotations

import numpy as np

from ..clay.states import State
from ..geometry.curve import Curve, Floats, chained
from ..lengths import mm
from ..lids.sizes import GalleryLid
from ..piece import Cast, Piece
from .drawing import Drawing
from .frame import CORNER_MM, Body, Mark, grown, legs, past_axis, point
from .holds import Hold
from .lettering import is_lid, lettering, right_when, top_of
from .tongue import SIDE_MM, foot_edge

_ABOVE_MM, _ABOVE_NARROW_MM, _NARROW_MM = 42.0, 55.0, 120.0
_MOST_ABOVE_MM = 58.0  # as high as a hand holds it
_LEG_MM = 28.0
_OVER_MM = CORNER_MM + 1.0
_HOLLOW_MM = 0.1


def trimming_gauge(piece: Piece, cast: Cast) -> Drawing | None:
    """The gauge in mm leather-hard, foot up, standing face at y = 0; None if not made."""
    if cast.blend is None or why_no_trimming_gauge(piece, cast) is not None:
        return None
    k_r, k_z = cast.scale(State.LEATHER_HARD)
    first, rest = foot_edge(cast, k_r, k_z)
    wall = _wall(cast, cast.blend).mapped(k_r, -k_z)
    if rest is None:
        edge, foot = chained([first, wall]), None
    else:
        face = Curve(cast.shape.base.cubics[-1:]).mapped(k_r, -k_z)
        half = chained([first, rest])
        edge, foot = chained([face, wall]), chained([half.mapped(-1, 1).reversed(), half])
    end, begin = point(edge.end), point(edge.start if foot is None else foot.start)
    # in a hollow underside the gauge is half a one: it lifts off the clay just past the axis
    lift = past_axis(edge) if foot is None and begin[1] < -_HOLLOW_MM else None

    def body(more: float) -> Body:
        right = edge.highest(0)[1] + _LEG_MM
        left = -k_r * cast.shape.foot_diameter / 2 - _OVER_MM - more if lift is None else float(lift.start[0])
        top = min((_ABOVE_MM if right - left > _NARROW_MM else _ABOVE_NARROW_MM) + 0.5 * more, _MOST_ABOVE_MM)
        corners = [(right, end[1]), (right, top), (left, top), *([(left, 0.0)] if lift is None else [])]
        back = begin if lift is None else point(lift.start)
        outline = legs([(*end, 0.0), *((x, y, CORNER_MM) for x, y in corners), (*back, 0.0)])
        close = foot if lift is None else lift
        return Body(
            profile=edge,
            outline=outline if close is None else chained([outline, close]),
            marks=(
                Mark(point(first.start), (0.0, 1.0), "axis"),
                Mark(end, _between(edge), "trim to here", off=2.2),
            ),
            hang=(left + 11.0, top - 11.0),
            text=(left + 19.0, top - 4.5),
        )

    ring = cast.asked.ring
    up = top_of(piece, cast)
    notes = [right_when(cast)]
    if not is_lid(cast):
        notes.append(f"base {mm(k_r * cast.shape.foot_diameter)} mm across")
    elif cast.flipped:
        notes.append(_top_across(piece, cast, k_r))
    if foot is not None:
        notes[1] = f"ring {mm(k_z * ring.depth)} deep, {mm(k_r * ring.width)} mm wide"
    says = lettering(piece, cast, f"trimming gauge, {up} up", State.LEATHER_HARD, notes)
    return grown("trimming_gauge", body, says, (Hold.BODY,))


def why_no_trimming_gauge(piece: Piece, cast: Cast) -> str | None:
    """Why a trimmed part gets no gauge, as a sentence; None where it gets one, or nothing is trimmed."""
    if cast.blend is None:
        return None
    if cast.shape.solid and not isinstance(piece.design.head.lid, GalleryLid):
        deep = cast.scale(State.LEATHER_HARD)[1] * float(cast.shape.base.start[1])
        return (
            "No trimming gauge: none can be let down over both sides of what hangs under this lid. Turn the "
            f"underside {mm(deep)} mm deep in the middle, leather-hard, and try the width with the lid card."
        )
    if cast.shape.recess is None:
        return None
    wall = _wall(cast, cast.blend).mapped(*cast.scale(State.LEATHER_HARD))
    narrowing = float(wall.sampled(40)[:, 0].max() - wall.end[0])
    if narrowing > SIDE_MM:
        return (
            f"No trimming gauge: the wall draws in by {mm(narrowing)} mm over the foot, "
            "and a gauge with a tongue in the ring cannot be laid on it."
        )
    return None


def _top_across(piece: Piece, cast: Cast, k_r: float) -> str:
    """How wide what is uppermost of an upturned lid is, where callipers go round it: a knob over its rounded edge."""
    lid = piece.design.head.lid
    if lid is None or lid.knob is None:
        return f"flat of the crown {mm(k_r * cast.shape.foot_diameter)} mm across"
    return f"knob {mm(k_r * lid.knob.diameter)} mm at its widest"


def _between(edge: Curve) -> tuple[float, float]:
    """Half way between the edge, seen from its end, and the level underside of the leg."""
    way = [1.0, 0.0] - edge.direction(len(edge))
    return point(way / np.hypot(*way))


def _wall(cast: Cast, blend: Floats) -> Curve:
    """The finished outside from the foot to where it takes over from the waste."""
    outside = cast.shape.outside
    return outside.part(0.0, float(outside.crossings(1, float(blend[1]))[-1]))
