"""The lid card: a plug for a seat and a gap for a lid, each with a step that goes and one that must not.

It is held upright across the middle: the plug is let down into the mouth, the gap over the edge of the lid. Used
wet, the wheel standing still, and again leather-hard.

What goes is as drawn: no mouth that passes is narrower than that and no lid wider, so that a jar and a lid that both
pass have at least the play that was asked for.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from ..geometry.curve import Curve, line
from ..lengths import mm
from .drawing import Drawing
from .frame import CORNER_MM, Body, finished, legs
from .lettering import Lettering

LEATHER_HARD_BAND_MM = 0.5
"""How much wider than drawn a leather-hard mouth may be across, or narrower a lid, from the step that goes to the one
that must not; wet it is `SEAT_BAND_MM` (common practice, no source).

It is the band in all, not to each side: both parts give theirs to the play, and with twice as much a pair that passes
both wet cards could be 4 mm looser than drawn, which rattles. Nobody throws to
less than half a millimetre.
"""
STEP_MM = 8.0
"""Depth of a step: deep enough to be felt, and to be written on."""
LEAST_STEP_MM = 2.0
"""A step that is less deep is not felt."""
TIP_MM = 2.0
"""Rounding of what meets soft clay first."""

_SHORT_MM = 1.0  # the first step stops so far over a ledge, so that the second is tried before the card lands
_OVER_MM = 4.0  # play over a knob, a dome or a flange
_LEG_MM, _SHOULDER_MM = 36.0, 14.0
_LEAST_WIDTH_MM, _LEAST_PLUG_MM = 124.0, 24.0
_WEB_MM, _STICK_WEB_MM, _STICK_OVER_MM = 62.0, 48.0, 170.0
_INNER_CORNER_MM = 3.0
_OFF_MM = 1.5  # a mark keeps off the cut by so much
_LINED_MM = 5.4  # words reach no higher over the plug's tip: a shallower step has them on both sides of its line
_WORDS_MM = 20.0  # half of the room that words on the middle of the plug take across


@dataclass(frozen=True)
class Tried:
    """A width that is tried, in the state the card is used in.

    Attributes:
        what: whose it is, as the card says it, such as "mouth over the gallery".
        diameter_mm: as it should be.
        deep_mm: how far a gauge can go past its edge before it meets something else: to the ledge of a gallery,
            to the foot of a flange or a neck.
    """

    what: str
    diameter_mm: float
    deep_mm: float = math.inf

    @property
    def step_mm(self) -> float:
        """Depth of the step that goes."""
        return min(STEP_MM, self.deep_mm - _SHORT_MM)


@dataclass(frozen=True)
class Seats:
    """What a lid card is made for.

    Attributes:
        inside: tried with the plug: a gallery, a mouth, a cap from below.
        outside: tried with the gap: a lid, its flange, a neck.
        band_mm: how much wider across the inside may be, and narrower the outside; `SEAT_BAND_MM` or
            `LEATHER_HARD_BAND_MM`. To the other side neither may be off, which would take from their play.
        rises_mm: how high clay stands over the edge that the gap is let down on, as the part stands when it is
            tried: a knob, a dome, the flange of a lid that is tried at its outside.
    """

    inside: Tried
    outside: Tried
    band_mm: float
    rises_mm: float = 0.0

    @property
    def inside_mm(self) -> tuple[float, float]:
        """The narrowest and the widest inside that is accepted, mm: what goes in, and what must not."""
        return self.inside.diameter_mm, self.inside.diameter_mm + self.band_mm

    @property
    def outside_mm(self) -> tuple[float, float]:
        """The narrowest and the widest outside that is accepted, mm: what must not go over, and what does."""
        return self.outside.diameter_mm - self.band_mm, self.outside.diameter_mm


def lid_card(says: Lettering, seats: Seats) -> Drawing:
    """The card in mm, plug down, gap up; its middle at x = 0, the plug's tip at y = 0.

    The plug's first step is the narrowest width that is accepted, the second the widest: within the band the
    first enters and the second does not. The gap is the same the other way round. The second step stands out by
    half the band on each side alone, and keeps its corner: rounded, it would lead itself in.

    Args:
        says: what it says besides its widths.
        seats: what it is made for.

    Raises:
        ValueError: `why_no_lid_card` tells why not.
    """
    why = why_no_lid_card(seats)
    if why is not None:
        raise ValueError(why)
    goes, stops = seats.inside_mm
    holds, passes = seats.outside_mm
    step, shoulder = seats.inside.step_mm, seats.inside.step_mm + STEP_MM
    plug = legs(
        [
            (-stops / 2, shoulder, 0.0),
            (-stops / 2, step, 0.0),
            (-goes / 2, step, 0.0),
            (-goes / 2, 0.0, TIP_MM),
            (goes / 2, 0.0, TIP_MM),
            (goes / 2, step, 0.0),
            (stops / 2, step, 0.0),
            (stops / 2, shoulder, 0.0),
        ]
    )
    half = max(passes / 2 + _LEG_MM, stops / 2 + _SHOULDER_MM, _LEAST_WIDTH_MM / 2)
    stick = max(stops, passes) > _STICK_OVER_MM
    floor = shoulder + (_STICK_WEB_MM if stick else _WEB_MM)
    ledge = floor + seats.rises_mm + _OVER_MM + STEP_MM
    top = ledge + seats.outside.step_mm
    outline = legs(
        [
            (stops / 2, shoulder, 0.0),
            (half, shoulder, CORNER_MM),
            (half, top, CORNER_MM),
            (passes / 2, top, TIP_MM),
            (passes / 2, ledge, 0.0),
            (holds / 2, ledge, 0.0),
            (holds / 2, floor, _INNER_CORNER_MM),
            (-holds / 2, floor, _INNER_CORNER_MM),
            (-holds / 2, ledge, 0.0),
            (-passes / 2, ledge, 0.0),
            (-passes / 2, top, TIP_MM),
            (-half, top, CORNER_MM),
            (-half, shoulder, CORNER_MM),
            (-stops / 2, shoulder, 0.0),
        ]
    )
    leg = -(half + passes / 2) / 2
    inside, outside = seats.inside, seats.outside
    first = (
        f"plug: {inside.what} between {mm(goes)} and {mm(stops)}; "
        f"gap: {outside.what} between {mm(holds)} and {mm(passes)} mm"
    )
    how = "let it down upright across the middle of the still wheel"
    return finished(
        "lid_card",
        Body(
            profile=plug,
            outline=outline,
            lines=(*_between_steps(goes, step), *_beside_gap(seats, passes, half, ledge)),
            labels=(
                (f"goes in: {mm(goes)}", (0.0, step / 2)),
                (f"must not go in: {mm(stops)}", (0.0, step + STEP_MM / 2)),
                (f"goes over: {mm(passes)}", (leg, (ledge + top) / 2)),
                (f"must not: {mm(holds)}", (leg, ledge - STEP_MM / 2)),
            ),
            hang=(half - 12.0, floor - 12.0),
            # a stick's head goes to the left, so that its notes find room beside it
            grip=(-half / 2 if stick else 0.0, (shoulder + floor) / 2),
        ),
        replace(says, notes=(first, *says.notes[:-1], how, *says.notes[-1:])),
    )


def why_no_lid_card(seats: Seats) -> str | None:
    """Why there is no card for these seats, as a sentence; None where there is one."""
    for tried, (least, _) in ((seats.inside, seats.inside_mm), (seats.outside, seats.outside_mm)):
        if least < _LEAST_PLUG_MM:
            return (
                f"No lid card: {tried.what} is {mm(tried.diameter_mm)} mm across, and under "
                f"{_LEAST_PLUG_MM:.0f} mm callipers serve better."
            )
        if tried.step_mm < LEAST_STEP_MM:
            return (
                f"No lid card: {tried.what} is {mm(tried.deep_mm)} mm deep, and a step under "
                f"{LEAST_STEP_MM:.0f} mm is not felt. Use callipers."
            )
    return None


def _between_steps(goes: float, step: float) -> tuple[Curve, ...]:
    """The line between what is written on the plug's two steps, on a shallow step only beside the words.

    None where they have no room on their own side of it.
    """
    reach = goes / 2 - _OFF_MM
    if step >= STEP_MM:
        return (line((-reach, step), (reach, step)),)
    if step < _LINED_MM or reach - _WORDS_MM < _OFF_MM:
        return ()
    return tuple(line((side * _WORDS_MM, step), (side * reach, step)) for side in (-1.0, 1.0))


def _beside_gap(seats: Seats, passes: float, half: float, ledge: float) -> tuple[Curve, ...]:
    """The same on the left leg of the gap."""
    if seats.outside.step_mm < STEP_MM:
        return ()
    return (line((-half + _OFF_MM, ledge), (-passes / 2 - _OFF_MM, ledge)),)
