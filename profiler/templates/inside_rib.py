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
    grown,
    legs,
    normal_into,
    past_axis,
    point,
    run_on,
)
from .holds import Hold
from .lettering import accepted, is_lid, lettering

HAND_MM = 90.0
"""The narrowest mouth, wet, that a hand with a rib goes through (common practice, no source)."""
SHALLOW_MM = 30.0
"""Inside what is no deeper than this, wet, such as a lid, the rib works with the hand over the rim (the same)."""
GRIP_HEIGHT_MM, NARROW_HEIGHT_MM = 72.0, 95.0
"""Least height of the body over the floor: room for a hole to hold by; a narrow one is held over the rim."""
_NARROW_MM = 70.0
_SAME_MM, _OVER_BRIM_MM = 1e-6, 5.0
_ENDS = {"gallery": "face", "flange": "collar", "cap": "skirt"}
_GRIP_MM = 62.0  # a body no wider than this is held as it is


def inside_rib(piece: Piece, cast: Cast) -> Drawing | None:
    """The rib in mm wet, standing in the pot as thrown, its left edge just past the axis; None if not made."""
    if "inside" not in cast.ribs or why_no_inside_rib(cast) is not None:
        return None
    edge = cast.shape.inside.mapped(*cast.scale(State.WET))
    rim = cast.shape.rim.reversed().mapped(*cast.scale(State.WET))
    lid = piece.design.head.lid
    ends = "rim" if lid is None or not is_lid(cast) else _ENDS[lid.kind]

    def body(more: float) -> Body:
        least = NARROW_HEIGHT_MM if edge.highest(0)[1] < _NARROW_MM else GRIP_HEIGHT_MM
        corners = run_on(edge, rim, float(edge.start[1]) + least + more, clay_left=False)
        top = corners[-1][1]
        lift = past_axis(edge)
        back = point(lift.start)
        if is_lid(cast) and corners[-1][0] - back[0] < _GRIP_MM - 2 * CORNER_MM:
            # of a small lid's rib only the edge is narrow: over the rim there is room for a hand and for words
            wide, (x, y, _), brim = back[0] + _GRIP_MM, corners[1], rim.highest(1)[1]
            over = y if y > brim - _SAME_MM else brim + _OVER_BRIM_MM
            corners = [corners[0], (x, over, CORNER_MM), (wide, over, CORNER_MM), (wide, top, CORNER_MM)]
        return Body(
            profile=edge,
            outline=legs([*corners, (back[0], top, CORNER_MM), (*back, 0.0)]) + lift,
            marks=(
                Mark(point(edge.end), normal_into(edge, len(edge), left=True), ends),
                Mark(point(edge.start), (0.0, 1.0), "axis"),
            ),
            hang=(back[0] + 11.0, top - 11.0),
            grip=(back[0] + 23.0, top - 23.0),
            text=(back[0] + 19.0, top - 5.0),
        )

    narrow = edge.highest(0)[1] + PAST_AXIS_MM < _GRIP_MM
    floor = (float(cast.shape.inside.start[1]) - cast.bat) * cast.scale(State.WET)[1]
    notes = (accepted(piece, cast), f"floor {mm(floor)} mm over the bat")
    says = lettering(piece, cast, "inside rib", State.WET, notes)
    return grown("inside_rib", body, says, (Hold.FINGER, Hold.BODY) if narrow else (Hold.SLOT, Hold.FINGER))


def why_no_inside_rib(cast: Cast) -> str | None:
    """Why a part that asks for an inside rib gets none, as a sentence; None where it gets one."""
    if "inside" not in cast.ribs:
        return None
    if cast.open_foot:
        return "No inside rib: the part has no floor for it to follow."
    edge = cast.shape.inside.mapped(*cast.scale(State.WET))
    mouth = 2 * mouth_radius(edge)
    if mouth < HAND_MM and edge.end[1] - edge.start[1] > SHALLOW_MM:
        return (
            f"No inside rib: the mouth is {mm(mouth)} mm across wet, and no hand goes in "
            f"under about {HAND_MM:.0f} mm: use the inside stick."
        )
    wide = edge.highest(0)[1] + PAST_AXIS_MM
    if wide > mouth:
        return (
            f"No inside rib: it would be {mm(wide)} mm wide and cannot pass the mouth of {mm(mouth)} mm, both wet: "
            "use the inside stick."
        )
    return None


def mouth_radius(edge: Curve) -> float:
    """The narrowest radius from the widest place of the inside up, mm."""
    widest = edge.highest(0)[0]
    if widest > len(edge) - 1e-6:
        return float(edge.end[0])
    return edge.part(widest, float(len(edge))).lowest(0)[1]
