"""The inside stick: follows the inside where no hand goes in, held by a handle over the rim; used wet."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..clay.states import State
from ..geometry.curve import Curve, arc, chained
from ..lengths import mm
from ..piece import Cast, Piece
from .drawing import Drawing
from .frame import PAST_AXIS_MM, Body, Mark, grown, legs, normal_into, past_axis, point, run_on
from .holds import Hold
from .inside_rib import mouth_radius, why_no_inside_rib
from .lettering import accepted, lettering, measured_at

PLAY_MM = 4.0
"""How much narrower than the mouth the stick is, so that it goes in without scraping the rim."""
LEAST_MM = 14.0
"""The narrowest it may be anywhere: less bends."""
HANDLE_MM, OVER_RIM_MM = 28.0, 110.0
"""Width of the handle, and how far it stands over the rim: as wide and long as a fist holds."""

_SHOULDER_MM = 6.0  # over the rim the body goes over to the handle
_SAME_MM = 3.0  # a step smaller than this is left out
_SAMPLES = 200
_CLOSE_MM = 0.01
_END_MM = (PAST_AXIS_MM, 4.0, 3.0, 2.0, 1.0)  # roundings of the end, as large as the clay before it allows


@dataclass(frozen=True, eq=False)
class _Reach:
    """What a stick follows, mm wet.

    Attributes:
        edge: the inside from where it begins to the rim.
        lift: from the stick's left edge to the edge's start, leaving the clay at once.
        whole: whether the edge begins on the axis.
    """

    edge: Curve
    lift: Curve
    whole: bool


def inside_stick(piece: Piece, cast: Cast) -> Drawing | None:
    """The stick in mm wet, standing in the pot as thrown against its right wall; None if not made.

    It is let down through the mouth in the middle and then moved to the wall. Where the inside is wider than the
    mouth, a stick that reached from the axis to the wall would not pass: it begins further out.
    """
    if _why_a_stick(cast) is None:
        return None
    reach = _reach(cast.shape.inside.mapped(*cast.scale(State.WET)))
    if reach is None:
        return None
    edge, back = reach.edge, point(reach.lift.start)
    over = cast.shape.rim.reversed().mapped(*cast.scale(State.WET))
    brim = over.highest(1)[1]

    def body(more: float) -> Body:
        corners = run_on(edge, over, brim + OVER_RIM_MM + 2 * more, clay_left=False)
        right, top = corners[-1][0], corners[-1][1]
        left, shoulder = right - HANDLE_MM, max(brim, corners[1][1]) + _SHOULDER_MM
        if abs(left - back[0]) < _SAME_MM:
            left = back[0]
        half = (right - left) / 2
        down = legs(
            [
                (left, top - half, 0.0),
                *(
                    []
                    if left == back[0]
                    else [(left, shoulder + abs(left - back[0]), half), (back[0], shoulder, half)]
                ),
                (*back, 0.0),
            ]
        )
        up = legs([*corners[:-1], (right, top - half, 0.0)])
        return Body(
            profile=edge,
            outline=chained([up, arc((right - half, top - half), half, 0.0, np.pi), down, reach.lift]),
            marks=(
                Mark(point(edge.end), normal_into(edge, len(edge), left=True), measured_at(cast)[0]),
                Mark(point(edge.start), normal_into(edge, 0.0, left=True), "axis" if reach.whole else "begins here"),
            ),
            hang=(right - half, top - 11.0),
            text=(left + 2.5, shoulder + 4.0),
            along=True,
        )

    notes = [accepted(piece, cast), "let it down in the middle, then move it to the wall"]
    if not reach.whole:
        notes.append(f"begins {mm(float(edge.start[0]))} mm from the axis")
    floor = (float(cast.shape.inside.start[1]) - cast.bat) * cast.scale(State.WET)[1]
    notes.append(f"floor {mm(floor)} mm over the bat")
    return grown("inside_stick", body, lettering(piece, cast, "inside stick", State.WET, notes), (Hold.BODY,))


def why_no_inside_stick(cast: Cast) -> str | None:
    """Why a part that needs a stick inside gets none, as a sentence; None where it gets one or needs none."""
    if _why_a_stick(cast) is None:
        return None
    edge = cast.shape.inside.mapped(*cast.scale(State.WET))
    if _reach(edge) is not None:
        return None
    return (
        f"No inside stick: one that reaches the widest place and passes the mouth of {mm(2 * mouth_radius(edge))} mm "
        f"(wet) would be under {LEAST_MM:.0f} mm wide. Throw to the outside."
    )


def _why_a_stick(cast: Cast) -> str | None:
    """Why there is no rib, where it is that a hand or a rib does not go in."""
    return None if cast.open_foot else why_no_inside_rib(cast)


def _reach(edge: Curve) -> _Reach | None:
    """What a stick can follow of an inside; None where one that passes the mouth is too thin or reaches nothing."""
    r = edge.sampled(_SAMPLES)[:, 0]
    narrows = np.flatnonzero(np.diff(r) < 0)
    first = int(narrows[0]) if len(narrows) else len(r) - 1  # up to there the way out only widens
    narrowest = np.minimum.accumulate(r[::-1])[::-1]  # on the way out from each place
    narrowest[:first] = narrowest[first]
    # nowhere may it be wider than what it has to pass, less the play
    least = float((r - 2 * narrowest).max()) + PLAY_MM
    if least <= -PAST_AXIS_MM:
        lift = past_axis(edge)
        return _Reach(edge, lift, whole=True) if _thinnest(edge, float(lift.start[0])) >= LEAST_MM else None
    begins = least + 2 * PAST_AXIS_MM  # the rounding of its end takes no more than this
    crossed = edge.crossings(0, begins)
    return _cut_short(edge, float(crossed[0])) if len(crossed) else None


def _cut_short(edge: Curve, begins: float) -> _Reach | None:
    """The edge from a place on, with a rounded end that stays off the clay before it and keeps its thickness."""
    kept = edge.part(begins, float(len(edge)))
    before = edge.part(0.0, begins).sampled(_SAMPLES)
    climb = max(float(np.arctan2(*edge.direction(begins)[::-1])), 0.0)
    for radius in _END_MM:
        middle = kept.start + radius * np.array([-np.sin(climb), np.cos(climb)])
        bend = arc(middle, radius, np.pi, 1.5 * np.pi + climb).cubics.copy()
        bend[-1, 3] = kept.start
        lift = Curve(bend)
        r, z = lift.sampled(_SAMPLES).T
        clear = bool((z > np.interp(np.abs(r), *before.T) - _CLOSE_MM / 2).all())
        if clear:
            return _Reach(kept, lift, whole=False) if _thinnest(kept, float(lift.start[0])) >= LEAST_MM else None
    return None


def _thinnest(edge: Curve, left: float) -> float:
    """The least width of a stick between its left side and the part of its edge that is wall, mm."""
    points = edge.sampled(_SAMPLES)
    widest = int(np.argmax(points[:, 0]))
    return float(points[widest:, 0].min()) - left
