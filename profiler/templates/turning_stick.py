"""The turning stick: stands on the wheel head beside the upturned pot and reaches over to its middle."""

from __future__ import annotations

from ..clay.states import State
from ..geometry.curve import chained
from ..lengths import mm
from ..piece import Cast, Piece
from .drawing import Drawing
from .frame import CORNER_MM, Body, Mark, grown, legs, past_axis, point
from .holds import Hold
from .lettering import lettering, right_when
from .tongue import foot_edge

_CLEAR_MM = 6.0
_LEG_MM, _ARM_MM = 48.0, 37.0
_MOST_MM = 60.0  # the widest leg or arm a hand holds
_OVER_POT_MM = 4.0
_INNER_CORNER_MM = 8.0
_STANDS = ("stands beside the upturned pot", "pot straight on the wheel head, no wads under its rim")
_LEAST_RIM = 0.6
_CHUCK_PLAY_MM = 4.0


def turning_stick(piece: Piece, cast: Cast) -> Drawing | None:
    """The stick in mm leather-hard, the wheel head at y = 0, the axis at x = 0; None if not made."""
    if cast.blend is None or why_no_turning_stick(piece, cast) is not None:
        return None
    k_r, k_z = piece.scale(State.LEATHER_HARD)
    high = k_z * cast.shape.rim.highest(1)[1]
    first, rest = foot_edge(piece, cast, k_r, k_z)
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

    figures = f"foot {mm(high)} mm high"
    if cast.shape.recess is not None:
        figures = f"ring {mm(high)}, recess {mm(float(edge.start[1]))} mm high"
    notes = (figures, right_when(piece, cast), *_STANDS)
    says = lettering(piece, cast, "turning stick, pot upside down", State.LEATHER_HARD, notes)
    return grown("turning_stick", body, says, (Hold.BODY,))


def why_no_turning_stick(piece: Piece, cast: Cast) -> str | None:
    """Why a trimmed part gets no stick, as a sentence; None where it gets one, or nothing is trimmed."""
    if cast.blend is None:
        return None
    if cast.open_foot:
        return "No turning stick: the part has no floor to measure."
    rim, widest = cast.shape.rim_diameter, 2 * cast.shape.outside.highest(0)[1]
    if rim < _LEAST_RIM * max(widest, rim):
        chuck = rim * piece.scale(State.LEATHER_HARD)[0] + _CHUCK_PLAY_MM
        return (
            "No turning stick: the pot does not stand on a rim so narrow. Turn it in a chuck "
            f"about {mm(chuck)} mm wide inside, and measure the floor with a needle."
        )
    return None
