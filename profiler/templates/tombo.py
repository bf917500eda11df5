"""The tombo: a cross of two sticks laid on the rim, for the depth and the inside width; held by hand, wet."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..clay.states import State
from ..geometry.curve import Curve, Floats, arc, chained, polyline
from ..lengths import mm
from ..piece import Cast, Piece
from .drawing import Drawing
from .frame import CORNER_MM, Body, Mark, grown, legs
from .holds import Hold
from .lettering import in_band, lettering, measured_at
from .room import Box

TIP_MM = 3.0
"""Radius of the tip."""
UPRIGHT_MM = 16.0
"""Width of the stick that hangs into the pot."""
PAST_RIM_MM = 20.0
"""How far the cross bar goes past the rim on each side, to be held by."""
STEP_MM = 3.0
"""Depth of the step under the bar that goes into the mouth."""
CLEAR_MM = 0.5
"""Play of that step on each side."""
LEAST_DEPTH_MM = 12.0
"""Inside depth, wet, under which a ruler across the rim serves better."""

_BAR_MM, _NARROW_BAR_MM, _MOST_MM = 42.0, 52.0, 60.0  # no higher than a hand holds
_TWO_PAGES_MM, _JOIN_MM = 270.0, 8.0  # a longer bar is put together from two sheets, joined at its middle
_NARROW_MM = 75.0  # a bar over a narrow pot is made higher, to have room for its words
_PLAY_MM = 2.0
_SAMPLES = 200
_SHARE = np.sqrt(0.5)  # the tip leaves its arc at 45 degrees
_NEAR_MM = 1e-3


@dataclass(frozen=True)
class _Mouth:
    """What the tombo is held to, mm wet.

    Attributes:
        floor: height of the inside on the axis.
        top: height of the thrown rim.
        rests: radius where the bar lies on the rim.
        step: radius of the step, which goes into the mouth with its play.
        outer: outside of the thrown rim.
    """

    floor: float
    top: float
    rests: float
    step: float
    outer: float


def tombo(piece: Piece, cast: Cast) -> Drawing | None:
    """The tombo in mm wet, hanging in the pot as thrown, the axis at x = 0; None if not made."""
    if why_no_tombo(cast) is not None:
        return None
    m = _mouth(cast)
    half = UPRIGHT_MM / 2
    tip, under = _tip(m.floor), m.top - STEP_MM
    side = polyline(
        [tip.end, (half, tip.end[1] + half - tip.end[0]), (half, under), (m.step, under), (m.step, m.top)]
    )
    edge = chained([tip, side, polyline([(m.step, m.top), (m.rests, m.top)])])
    reach = m.outer + PAST_RIM_MM

    def body(more: float) -> Body:
        head = m.top + min((_NARROW_BAR_MM if m.outer < _NARROW_MM else _BAR_MM) + more, _MOST_MM)
        over = legs(
            [
                (m.rests, m.top, 0.0),
                (reach, m.top, CORNER_MM),
                (reach, head, CORNER_MM),
                (-reach, head, CORNER_MM),
                (-reach, m.top, CORNER_MM),
                (-m.step, m.top, 0.0),
            ]
        )
        return Body(
            profile=edge,
            outline=chained([over, chained([tip, side]).mapped(-1.0, 1.0).reversed()]),
            marks=(
                Mark((m.rests, m.top), (0.0, 1.0), measured_at(cast)[0]),
                Mark((-m.rests, m.top), (0.0, 1.0), measured_at(cast)[0]),
            ),
            hang=(reach - 11.0, head - 11.0),
            text=(-reach + 5.5, head - 4.5),
            clear=(Box(-_JOIN_MM, m.floor, _JOIN_MM, head),) if 2 * reach > _TWO_PAGES_MM else (),
        )

    notes = (
        f"depth {mm(m.top - m.floor)} mm, inside {in_band(piece, cast, 2 * (m.step + CLEAR_MM))} mm",
        "right when tip and bar both touch",
        f"steps {CLEAR_MM} mm clear on each side",
    )
    return grown("tombo", body, lettering(piece, cast, "tombo", State.WET, notes), (Hold.BODY,))


def why_no_tombo(cast: Cast) -> str | None:
    """Why a part gets no tombo, as a sentence; None where it gets one."""
    if cast.open_foot:
        return "No tombo: the part has no floor to measure."
    if cast.shape.closes:
        return (
            "No inside rib, stick or tombo: the form closes over its inside, and no tool is left in it. "
            "Feel the floor with a needle before it closes."
        )
    if cast.shape.solid:
        return "No tombo: thrown with its knob up, the lid has no inside until it is turned."
    m = _mouth(cast)
    depth = m.top - m.floor
    if depth < LEAST_DEPTH_MM:
        return (
            f"No tombo: the inside is {mm(depth)} mm deep wet, and under {LEAST_DEPTH_MM:.0f} mm a ruler across "
            "the rim does."
        )
    if m.step < UPRIGHT_MM / 2 + _PLAY_MM:
        return (
            f"No tombo: the mouth is {mm(2 * (m.step + CLEAR_MM))} mm across wet, and the stick is "
            f"{UPRIGHT_MM:.0f} mm wide. Measure the depth with a thin rod."
        )
    if not _goes_in(_inside(cast), m.floor):
        return "No tombo: the inside is too narrow near the floor for the stick's tip. Use a thin rod."
    return None


def _inside(cast: Cast) -> Floats:
    """Places of the inside and over the rim, from the axis out, (n, 2) mm wet."""
    chain = chained([cast.shape.inside, cast.thrown_rim.reversed()])
    return chain.mapped(*cast.scale(State.WET)).sampled(_SAMPLES)


def _mouth(cast: Cast) -> _Mouth:
    k_r, k_z = cast.scale(State.WET)
    over = cast.thrown_rim.mapped(k_r, k_z)
    place, top = over.highest(1)
    inside = cast.shape.inside.mapped(k_r, k_z)
    # the step must pass what of inside and rim stands beside it: their own places there, and both its ends
    points = _inside(cast)
    beside = [float(r) for r, z in points if z > top - STEP_MM]
    beside += [float(inside.at(u)[0]) for u in inside.crossings(1, top - STEP_MM)]
    beside += [float(over.at(u)[0]) for u in over.crossings(1, top - STEP_MM) if over.at(u)[0] < over.at(place)[0]]
    return _Mouth(
        floor=float(inside.start[1]),
        top=top,
        rests=float(over.at(place)[0]),
        step=min(beside) - CLEAR_MM,
        outer=over.highest(0)[1],
    )


def _tip(floor: float) -> Curve:
    """The right half of the tip: from the axis to where it turns into a slope of 45 degrees."""
    made = arc((0.0, floor + TIP_MM), TIP_MM, -np.pi / 2, -np.pi / 4).cubics.copy()
    made[0, 0, 0] = 0.0  # on the axis exactly, not by a rounded cosine
    return Curve(made)


def _goes_in(inside: Floats, floor: float) -> bool:
    """Whether no place of the inside stands higher than the tip or beside the upright within its play."""
    r, z = inside.T
    round_to = TIP_MM * _SHARE
    bend = floor + TIP_MM - np.sqrt(np.maximum(TIP_MM**2 - r**2, 0.0))
    slope = floor + TIP_MM * (1 - _SHARE) + r - round_to
    allowed = np.where(r < round_to, bend, slope)
    under_tip = r < UPRIGHT_MM / 2
    shoulder = floor + TIP_MM * (1 - _SHARE) + UPRIGHT_MM / 2 - round_to
    beside = ~under_tip & (r < UPRIGHT_MM / 2 + _PLAY_MM) & (z > shoulder + _PLAY_MM)
    return not bool((under_tip & (z > allowed + _NEAR_MM)).any() or beside.any())
