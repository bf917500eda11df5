"""The turning stick: stands on the wheel head beside the upturned pot and reaches over to its middle."""

from __future__ import annotations

from ..clay.states import State
from ..geometry.curve import chained
from ..lengths import mm
from ..piece import Cast, Piece
from .drawing import Drawing
from .frame import CORNER_MM, Body, Mark, finished, legs, lettering, past_axis, point, right_when
from .tongue import foot_edge

_CLEAR_MM = 6.0
_LEG_MM = 45.0
_ARM_MM = 32.0
_OVER_POT_MM = 4.0
_INNER_CORNER_MM = 8.0
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
    right, top = inner + _LEG_MM, over + _ARM_MM
    lift = past_axis(edge)
    back = point(lift.start)
    outline = legs(
        [
            *([] if rest is None else [(*point(rest.moved(0.0, high).end), 0.0)]),
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
    outline = chained([*([] if rest is None else [rest.moved(0.0, high)]), outline, lift])
    notes = [right_when(piece, cast), f"foot {mm(high)} mm high"]
    if cast.shape.recess is not None:
        notes[1] = f"ring {mm(high)}, recess {mm(float(edge.start[1]))} mm high"
    return finished(
        "turning_stick",
        Body(
            profile=edge,
            outline=outline,
            marks=(Mark(point(edge.start), (0.0, 1.0), "axis"),),
            labels=(("on the wheel head", ((inner + right) / 2, 4.0)),),
            hang=(right - 12.0, top - 12.0),
            grip=((inner + right) / 2, (over + top) / 2),
            upright=True,
        ),
        lettering(piece, cast, "turning stick, pot upside down", State.LEATHER_HARD, notes),
    )


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
