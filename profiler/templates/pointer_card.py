"""The pointer card: stands on the bat and holds the fixed pointer's place, so that twelve come out alike; wet."""

from __future__ import annotations

import math
from dataclasses import dataclass

from ..clay.states import State
from ..geometry.curve import polyline
from ..lengths import mm
from ..piece import Cast, Piece
from .drawing import Drawing
from .frame import CORNER_MM, Body, Mark, grown, legs
from .holds import Hold
from .lettering import collar_mm, in_band, lettering, measured_at

BAT_MM = 12.0
"""Thickness of the bat unless said: from the wheel head to the face the clay is thrown on."""

_DROP_MM = 10.0  # how far the upright edge goes down beside the rim
_ARM_MM, _ARM_HEIGHT_MM = 46.0, 42.0
_LEG_MM, _MOST_MM = 54.0, 60.0  # no wider than a hand holds
_LEAST_HEIGHT_MM = 96.0
_CLEAR_MM = 6.0
_STEP_MM = 5.0  # the toe stands on a round figure, quick to find with a ruler
_INNER_CORNER_MM = 4.0
_SAMPLES = 200
_SAME_MM = 1e-6


@dataclass(frozen=True)
class _Rim:
    """Where the pointer's tip goes, mm wet.

    Attributes:
        radius: outside of the thrown rim.
        top: of the thrown rim.
        low: how far down an upright edge at that radius can go and still touch.
        widest: largest radius of the thrown part.
    """

    radius: float
    top: float
    low: float
    widest: float


def pointer_card(piece: Piece, cast: Cast, bat_mm: float = BAT_MM) -> Drawing | None:
    """The card in mm wet, standing on the bat with the wheel's middle at x = 0; None if not made.

    Its arm lies level on the rim and an upright edge stands beside it: the pointer's tip goes into the corner
    where the two meet, on an empty bat as well as over the first pot.

    Args:
        piece: what is thrown.
        cast: the part of it.
        bat_mm: thickness of the bat.
    """
    if why_no_pointer_card(piece, cast) is not None:
        return None
    rim = _rim(piece, cast)
    bat = cast.bat * cast.scale(State.WET)[1]
    toe = _STEP_MM * math.ceil((rim.widest + _CLEAR_MM) / _STEP_MM)
    left = max(rim.radius - _ARM_MM, 0.0)
    down = rim.top - rim.low > _SAME_MM
    edge = polyline([*([(rim.radius, rim.low)] if down else []), (rim.radius, rim.top), (left, rim.top)])
    slant = math.sqrt(0.5)

    def body(more: float) -> Body:
        right = toe + min(_LEG_MM + 0.3 * more, _MOST_MM)
        head = max(rim.top + min(_ARM_HEIGHT_MM + more, _MOST_MM), bat + _LEAST_HEIGHT_MM + more)
        outline = legs(
            [
                (left, rim.top, 0.0),
                (left, head, CORNER_MM),
                (right, head, CORNER_MM),
                (right, bat, 2.0),
                (toe, bat, 0.0),
                (toe, rim.low, _INNER_CORNER_MM),
                (rim.radius, rim.low, 0.0),
            ]
        )
        return Body(
            profile=edge,
            outline=outline,
            marks=(Mark((rim.radius, rim.top), (slant, slant), "pointer's tip"),),
            labels=(("on the bat", ((toe + right) / 2, bat + 4.0)),),
            hang=(right - 11.0, head - 11.0),
            text=(left + 4.5, head - 4.5),
        )

    high = rim.top - bat
    where = "collar" if collar_mm(piece, cast) else measured_at(cast)[0]
    notes = (
        f"height above bat {mm(high)} mm",
        f"above wheel head {mm(high + bat_mm)} mm with a bat of {mm(bat_mm)} mm",
        f"{where} {in_band(piece, cast, 2 * rim.radius)} mm across",
        f"toe {toe:g} mm from the middle of the bat",
    )
    return grown("pointer_card", body, lettering(piece, cast, "pointer card", State.WET, notes), (Hold.BODY,))


def why_no_pointer_card(piece: Piece, cast: Cast) -> str | None:
    """Why a part gets no pointer card, as a sentence; None where it gets one."""
    if cast.shape.closes or cast.shape.solid:
        return (
            "No pointer card: there is no rim to set a pointer to. The outside rib gauges height and width at once."
        )
    rim = _rim(piece, cast)
    points = cast.thrown.outline.mapped(*cast.scale(State.WET)).sampled(_SAMPLES)
    if (points[points[:, 1] > rim.low + _SAME_MM, 0] > rim.radius + _SAME_MM).any():
        return "No pointer card: the rim turns down, and nothing can stand beside its edge."
    return None


def _rim(piece: Piece, cast: Cast) -> _Rim:
    k_r, k_z = cast.scale(State.WET)
    outline, over = cast.thrown.outline.mapped(k_r, k_z), cast.thrown_rim.mapped(k_r, k_z)
    if collar := collar_mm(piece, cast):
        # it stands up inside the lid's edge, and it is what must fit: the pointer goes to it
        over = over.part(float(over.crossings(1, over.highest(1)[1] - k_z * collar / 2)[0]), float(len(over)))
    place, radius = over.highest(0)
    top, touch = outline.highest(1)[1], float(over.at(place)[1])
    low = min(touch, max(top - _DROP_MM, (top + cast.bat * k_z) / 2))
    points = outline.sampled(_SAMPLES)
    beside = points[points[:, 1] > low - _SAME_MM]
    if (beside[:, 0] > radius + _SAME_MM).any():
        low = touch  # the wall widens under the rim: the edge ends where it touches
    return _Rim(radius, top, low, outline.highest(0)[1])
