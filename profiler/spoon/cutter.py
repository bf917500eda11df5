"""The cutter for the notch: pressed in at leather-hard, so that the handle passes when the pot is fired."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ..clay.body import Body
from ..clay.states import State
from ..faults import Fault
from ..lengths import tenth_up

_ROUNDING_MM = 1e-9

_CENTIMETRES = 0.25
"""Of what is needed: a box whose widest cutter is less is in another unit (common sense, no source)."""


@dataclass(frozen=True)
class Cutter:
    """A cutter for a notch.

    Attributes:
        needed_mm: width at leather-hard that leaves just the clearance asked for.
        cutter_mm: the next she owns; None if she has named none.
        clearance_mm: what that cutter leaves on each side of the handle, fired; None without one.
    """

    needed_mm: float
    cutter_mm: float | None
    clearance_mm: float | None


def needed_width(handle_width: float, clearance: float, body: Body) -> float:
    """Width of the notch at leather-hard, mm: (handle + 2 clearance)(1 - S_leather)/(1 - S_fired).

    Args:
        handle_width: of the spoon where it crosses the rim, mm; metal, so it never shrinks.
        clearance: on each side, fired, mm.
        body: the clay; a notch is as wide as it is across the axis.
    """
    return (handle_width + 2 * clearance) * body.scale(State.FIRED, State.LEATHER_HARD)[0]


def least_clearance(handle_width: float, play: float, points: float, body: Body) -> float:
    """Clearance to ask for, so that the handle still has some play if the clay shrinks more than its figures say.

    The notch is pressed in at leather-hard: of what is asked for, (1 - S_fired - points)/(1 - S_fired) comes out.

    Args:
        handle_width: mm.
        play: left on each side, fired, mm.
        points: by how many the fired shrinkage may be larger.
        body: the clay.
    """
    left = 1 - body.shrinkage.at(State.FIRED)
    return ((handle_width + 2 * play) * left / (left - points / 100) - handle_width) / 2


def cutter_for(handle_width: float, clearance: float, body: Body, owned: Sequence[float]) -> Cutter:
    """The narrowest cutter in her box that clears the handle; the rest as `needed_width`.

    Args:
        handle_width: mm.
        clearance: on each side, fired, mm.
        body: the clay.
        owned: widths of her cutters, mm, in any order.

    Raises:
        Fault: she has cutters and all are too narrow.
    """
    needed = needed_width(handle_width, clearance, body)
    if not owned:
        return Cutter(needed, None, None)
    wide_enough = [width for width in owned if width >= needed - _ROUNDING_MM]
    if not wide_enough:
        what = f"no cutter is wide enough for a handle of {handle_width:g} mm with {clearance:g} mm on each side"
        if max(owned) < _CENTIMETRES * needed:
            what += "; are they in cm or inches?"
        raise Fault(
            what,
            f"{max(owned):g} mm at most",
            f"one of {tenth_up(needed):.1f} mm or more at leather-hard",
            "notch.cutters",
        )
    width = min(wide_enough)
    fired = width * body.scale(State.LEATHER_HARD, State.FIRED)[0]
    return Cutter(needed, width, (fired - handle_width) / 2)
