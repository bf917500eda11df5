"""The outside rib: held against the outside as thrown, its toe sliding on the bat, used wet."""

from __future__ import annotations

import numpy as np

from ..clay.states import State
from ..geometry.curve import Curve, line
from ..piece import Cast, Piece
from .drawing import Drawing
from .frame import CORNER_MM, Body, Mark, grown, legs, normal_into, point, run_on
from .holds import Hold
from .lettering import accepted, lettering

_BACK_MM, _MORE_BACK_MM = 54.0, 6.0
_EVEN_MM = 8.0  # behind an edge as upright as this the body is nowhere wider than a hand holds
_LEAST_HEIGHT_MM = 84.0
_RELIEF_MM = 3.0
_LEVEL, _ROOF_MM = 0.7, 45.0


def outside_rib(piece: Piece, cast: Cast) -> Drawing | None:
    """The rib in mm wet, standing on the bat to the right of the pot; None if not made."""
    if "outside" not in cast.ribs:
        return None
    k_r, k_z = cast.scale(State.WET)
    edge = cast.thrown_outside.mapped(k_r, k_z)
    toe = point(edge.start)
    over = cast.thrown_rim.mapped(k_r, k_z)
    # a dome's edge ends level or nearly so, over the clay: there the body goes up and over it
    domed = edge.direction(len(edge))[0] < -_LEVEL
    ends = "middle" if cast.shape.closes else "top" if cast.shape.solid else "rim"
    marks = [Mark(point(edge.end), normal_into(edge, len(edge), left=False), ends)]
    if cast.blend is not None:
        place = float(edge.crossings(1, float(cast.blend[1]) * k_z)[-1])
        marks.append(Mark(point(edge.at(place)), normal_into(edge, place, left=False), "trimmed below here"))
    labels: list[tuple[str, tuple[float, float]]] = []
    lines: list[Curve] = []
    if toe[1] < -0.3:
        lines.append(line([toe[0] + 12.0, 0.0], [toe[0] + 22.0, 0.0]))
        labels.append(("finished foot", (toe[0] + 38.0, toe[1] + 3.2)))
    relief = _relief(edge)
    if relief is not None:
        lines.append(relief)
        labels.append(("3 mm off if slip gathers", (toe[0] + 31.0, toe[1] + 9.6)))

    def body(more: float) -> Body:
        least = max(toe[1] + _LEAST_HEIGHT_MM, edge.highest(1)[1] + _ROOF_MM if domed else toe[1])
        corners = run_on(edge, over, least + more, clay_left=True)
        top = corners[-1][1]
        back = max(edge.highest(0)[1], *(x for x, _, _ in corners)) + _BACK_MM + min(0.4 * more, _MORE_BACK_MM)
        return Body(
            profile=edge,
            outline=legs([*corners, (back, top, CORNER_MM), (back, toe[1], CORNER_MM), (*toe, 0.0)]),
            marks=tuple(marks),
            lines=tuple(lines),
            labels=tuple(labels),
            hang=(back - 11.0, top - 11.0),
            grip=(back - 23.0, top - 23.0),
            text=(corners[-1][0] + 4.5, top - 5.0),
            upright=True,
        )

    narrow = edge.highest(0)[1] - edge.lowest(0)[1] < _EVEN_MM
    notes = [accepted(piece, cast), "lower edge flat on the bat"]
    if cast.shape.closes:
        notes.append("prick a pinhole when the shape is right; it stays open until the lid is cut")
    says = lettering(piece, cast, "outside rib", State.WET, notes)
    return grown("outside_rib", body, says, (Hold.FINGER, Hold.BODY) if narrow else (Hold.SLOT, Hold.FINGER))


def _relief(edge: Curve) -> Curve | None:
    """The middle of the line that takes 3 mm off the toe, square to it, or None where the toe is too thin.

    It keeps a millimetre off the edge and off the bat's side, so that nobody cuts into either by the mark.
    """
    points = edge.sampled(200)
    along = points[int(np.argmin(np.abs(np.hypot(*(points - edge.start).T) - 1.5 * _RELIEF_MM)))] - edge.start
    middle = along / np.hypot(*along) + [1.0, 0.0]
    middle = middle / np.hypot(*middle)
    across = np.array([-middle[1], middle[0]])
    places = edge.start + _RELIEF_MM * middle + np.linspace(-8.0, 8.0, 161)[:, None] * across
    from_edge = np.hypot(*(places[:, None] - points).transpose(2, 0, 1)).min(axis=1)
    # to the right of the edge at its own height, and over the bat
    right_of = places[:, 0] > np.interp(places[:, 1], points[:, 1], points[:, 0])
    kept = places[(from_edge > 1.0) & (places[:, 1] > edge.start[1] + 1.0) & right_of]
    return line(kept[0], kept[-1]) if len(kept) > 10 else None
