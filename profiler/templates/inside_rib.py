"""The inside rib: the working tool for the inside of bowls and plates, from the axis to the rim, used wet."""

from __future__ import annotations

from ..clay.states import State
from ..geometry.curve import Curve
from ..lengths import mm
from ..piece import Cast, Piece
from .drawing import Drawing
from .frame import (
    CORNER_MM,
    PAST_AXIS_MM,
    Body,
    Mark,
    finished,
    legs,
    lettering,
    normal_into,
    past_axis,
    point,
    run_on,
)

HAND_MM = 90.0
"""The narrowest mouth, wet, that a hand with a rib goes through (common practice, no source)."""
GRIP_HEIGHT_MM, NARROW_HEIGHT_MM = 72.0, 95.0
"""Least height of the body over the floor: a slot for four fingers; a narrow one is held over the rim."""
_NARROW_MM = 70.0


def inside_rib(piece: Piece, cast: Cast) -> Drawing | None:
    """The rib in mm wet, standing in the pot as thrown, its left edge just past the axis; None if not made."""
    if "inside" not in cast.ribs or why_no_inside_rib(piece, cast) is not None:
        return None
    edge = cast.shape.inside.mapped(*piece.scale(State.WET))
    grip = NARROW_HEIGHT_MM if edge.highest(0)[1] < _NARROW_MM else GRIP_HEIGHT_MM
    rim = cast.shape.rim.reversed().mapped(*piece.scale(State.WET))
    corners = run_on(edge, rim, float(edge.start[1]) + grip, clay_left=False)
    top = corners[-1][1]
    lift = past_axis(edge)
    back = point(lift.start)
    outline = legs([*corners, (back[0], top, CORNER_MM), (*back, 0.0)]) + lift
    middle = (float(edge.end[0]) / 2, top - 28.0)
    return finished(
        "inside_rib",
        Body(
            profile=edge,
            outline=outline,
            marks=(
                Mark(point(edge.end), normal_into(edge, len(edge), left=True), "rim"),
                Mark(point(edge.start), (0.0, 1.0), "axis"),
            ),
            hang=(back[0] + 12.0, top - 12.0),
            grip=middle,
        ),
        lettering(piece, cast, "inside rib", State.WET, (_rim_note(piece, cast), _floor_note(piece, cast))),
    )


def why_no_inside_rib(piece: Piece, cast: Cast) -> str | None:
    """Why a part that asks for an inside rib gets none, as a sentence; None where it gets one."""
    if "inside" not in cast.ribs:
        return None
    if cast.open_foot:
        return "No inside rib: the part has no floor for it to follow."
    edge = cast.shape.inside.mapped(*piece.scale(State.WET))
    mouth = 2 * _mouth(edge)
    if mouth < HAND_MM:
        return (
            f"No inside rib: the mouth is {mm(mouth)} mm across wet, and no hand goes in "
            f"under about {HAND_MM:.0f} mm. Throw to the outside, or use a stick."
        )
    wide = edge.highest(0)[1] + PAST_AXIS_MM
    if wide > mouth:
        return (
            f"No inside rib: it would be {mm(wide)} mm wide and cannot pass the mouth of {mm(mouth)} mm (both wet)."
        )
    return None


def _mouth(edge: Curve) -> float:
    """The narrowest radius from the widest place of the inside up, mm."""
    widest = edge.highest(0)[0]
    if widest > len(edge) - 1e-6:
        return float(edge.end[0])
    return edge.part(widest, float(len(edge))).lowest(0)[1]


def _rim_note(piece: Piece, cast: Cast) -> str:
    return f"rim {mm(cast.shape.rim_diameter * piece.scale(State.WET)[0])} mm across, wet"


def _floor_note(piece: Piece, cast: Cast) -> str:
    floor = (float(cast.shape.inside.start[1]) - cast.bat) * piece.scale(State.WET)[1]
    return f"floor {mm(floor)} mm over the bat"
