"""The turning stick: stands on the wheel head beside the upturned pot and reaches over to its middle."""

from __future__ import annotations

from ..chuck import chuck
from ..clay.states import State
from ..geometry.curve import chained
from ..lengths import mm
from ..piece import Cast, Piece
from .drawing import Drawing
from .frame import CORNER_MM, Body, Mark, grown, legs, past_axis, point
from .holds import Hold
from .lettering import is_lid, lettering, right_when, top_of
from .tongue import foot_edge

_CLEAR_MM = 6.0
_LEG_MM, _ARM_MM = 48.0, 37.0
_MOST_MM = 60.0  # the widest leg or arm a hand holds
_OVER_POT_MM = 4.0
_INNER_CORNER_MM = 8.0
_STANDS = ("stands beside the upturned pot", "pot straight on the wheel head, no wads under its rim")
_LID_STANDS = ("stands beside the lid", "lid straight on the wheel head, no wads under it")


def turning_stick(piece: Piece, cast: Cast) -> Drawing | None:
    """The stick in mm leather-hard, the wheel head at y = 0, the axis at x = 0; None if not made."""
    if cast.blend is None or why_no_turning_stick(cast) is not None:
        return None
    k_r, k_z = cast.scale(State.LEATHER_HARD)
    high = k_z * cast.shape.rim.highest(1)[1]
    first, rest = foot_edge(cast, k_r, k_z)
    edge = first.moved(0.0, high)
    outer = (k_r * cast.shape.stands_on, high)
    over = high + _OVER_POT_MM
    inner = k_r * cast.thrown.outline.highest(0)[1] + _CLEAR_MM
    lift = past_axis(edge)
    back = point(lift.start)
    lead = [] if rest is None else [rest.moved(0.0, high)]

    def body(more: float) -> Body:
        right, top = inner + min(_LEG_MM + 0.4 * more, _MOST_MM), over + min(_ARM_MM + more, _MOST_MM)
        outline = legs(
            [
                *((*point(one.end), 0.0) for one in lead),
                (*outer, 0.0),
                (outer[0] + _OVER_POT_MM, over, 0.0),
                (inner, over, _INNER_CORNER_MM),
                (inner, 0.0, 0.0),
                (right, 0.0, 2.0),
                (right, top, CORNER_MM),
                (back[0], top, CORNER_MM),
                (*back, 0.0),
            ]
        )
        return Body(
            profile=edge,
            outline=chained([*lead, outline, lift]),
            marks=(Mark(point(edge.start), (0.0, 1.0), "axis"),),
            labels=(("on the wheel head", ((inner + right) / 2, 4.0)),),
            hang=(right - 11.0, top - 11.0),
            text=(back[0] + 4.5, top - 4.5),
        )

    lid = is_lid(cast)
    figures = f"{top_of(piece, cast)} {mm(high)} mm high"
    if cast.shape.recess is not None:
        figures = f"ring {mm(high)}, recess {mm(float(edge.start[1]))} mm high"
    notes = (figures, right_when(cast), *(_LID_STANDS if lid else _STANDS))
    how = "lid right way up" if lid else "pot upside down"
    says = lettering(piece, cast, f"turning stick, {how}", State.LEATHER_HARD, notes)
    return grown("turning_stick", body, says, (Hold.BODY,))


def why_no_turning_stick(cast: Cast) -> str | None:
    """Why a trimmed part gets no stick, as a sentence; None where it gets one, or nothing is trimmed."""
    if cast.blend is None:
        return None
    if cast.open_foot:
        return "No turning stick: the part has no floor to measure."
    held = chuck(cast)
    if held is None:
        return None
    what = f"the {'lid' if is_lid(cast) else 'pot'} does not stand {held.why}"
    deep = f" and over {mm(held.deep_mm)} mm deep" if held.deep_mm else ""
    return (
        f"No turning stick: {what}. Turn it in a chuck about {mm(held.wide_mm)} mm wide inside{deep}, "
        f"and measure {'what is left' if is_lid(cast) else 'the floor'} with a needle."
    )
