"""The crown of a lid that is thrown by itself, upside down: knob or flat on the bat, dome, and its underside."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..faults import Fault
from ..geometry.curve import Curve, cubic, line
from ..geometry.fillet import NoRoomError, filleted
from ..geometry.tolerance import JOIN_MM
from .sizes import Knob

FLAT_SHARE = 0.35
"""Diameter of the flat a knobless lid stands on while it is thrown, of its own diameter."""
_KNOB_EDGE_MM = 2.0
_NECK_MM = 3.0
_ROUND_SHARE = 0.2
_UPRIGHT = 1.25
"""A knob's side is upright beside its roundings, by so much more than their radius: so top and neck are as asked."""
_WIDEST_SHARE = 0.8
"""A knob wider than this share of its lid hides the lid's edge from the hand (memory)."""


@dataclass(frozen=True, eq=False)
class Crown:
    """The top of a lid in the frame it is thrown in: z = 0 on the bat, its underside up, mm.

    Attributes:
        base: from the axis to the edge of knob or flat.
        outside: from there to the edge of the lid.
        level: height of the crown's surface on the axis, that is the knob's height.
        stands_on: largest radius that touches the table.
    """

    base: Curve
    outside: Curve
    level: float
    stands_on: float


def crown(radius: float, rise: float, knob: Knob | None) -> Crown:
    """The dome as a parabola from the middle to the lid's edge, with its knob.

    Args:
        radius: where the dome ends, mm.
        rise: height of the dome, mm.
        knob: turned on it, or none.

    Raises:
        Fault: a knob that does not fit on the lid.
    """
    if knob is None:
        flat = FLAT_SHARE * radius
        return Crown(line([0.0, 0.0], [flat, 0.0]), parabola(flat, 0.0, radius, rise), 0.0, flat)
    dome = parabola(0.0, knob.height, radius, knob.height + rise)
    base, outside = knob_on(dome, knob, radius)[:2]
    return Crown(base, outside, knob.height, float(base.end[0]))


def knob_on(dome: Curve, knob: Knob, radius: float) -> tuple[Curve, Curve, Curve]:
    """A knob on the top of a lid that stands on its head: z = 0 is the knob's top.

    Args:
        dome: the lid's top, from the axis, at the knob's height, outwards.
        knob: its sizes.
        radius: of the lid, mm.

    Returns:
        The knob's top from the axis to its rounded edge; that edge, its side, the rounding at the neck and what
        is left of the dome; and that last by itself.

    Raises:
        Fault: it does not fit on the lid, or there is no room to round it in.
    """
    top, neck = knob.diameter / 2, (knob.neck_diameter or 0.7 * knob.diameter) / 2
    if neck > top or top > _WIDEST_SHARE * radius:
        raise Fault(
            "the knob does not fit on the lid",
            f"{knob.diameter:.1f} mm across, {2 * neck:.1f} at its neck, on a lid of {2 * radius:.1f} mm",
            f"a neck no wider than the knob, and a knob up to {2 * _WIDEST_SHARE * radius:.0f} mm",
            "lid.knob",
        )
    rest = dome.part(float(dome.crossings(0, neck)[0]), float(len(dome)))
    high = float(rest.start[1])
    if high <= JOIN_MM:
        raise Fault(
            "the knob does not rise out of the hollow of the top",
            f"{knob.height:.1f} mm over the middle, {knob.height - high:.1f} mm lower than the top at its neck",
            "a higher knob",
            "lid.knob",
        )
    edge, round_in = min(_KNOB_EDGE_MM, _ROUND_SHARE * high, 0.4 * top), min(_NECK_MM, _ROUND_SHARE * high)
    below, above = np.array([top, _UPRIGHT * edge]), rest.start - [0.0, _UPRIGHT * round_in]
    lean = np.array([0.0, 0.45 * (above[1] - below[1])])
    side = line([top, 0.0], below) + cubic(below, below + lean, above - lean, above) + line(above, rest.start)
    try:
        joined = filleted(side, rest, round_in)
        side, rest = (side, rest) if joined is None else (joined[0] + joined[1], joined[2])
        edged = filleted(line([0.0, 0.0], [top, 0.0]), side, edge)
    except NoRoomError as trouble:
        raise Fault(
            "the knob has no room to be rounded into the lid",
            f"{knob.height:.1f} mm high, {knob.diameter:.1f} mm across",
            "another one, or none and a pulled knob under [[extras]]",
            "lid.knob",
        ) from trouble
    base, side = (line([0.0, 0.0], [top, 0.0]), side) if edged is None else (edged[0], edged[1] + edged[2])
    return base, side + rest, rest


def parabola(start_r: float, start_z: float, end_r: float, end_z: float) -> Curve:
    """The parabola z = start_z + (end_z - start_z)·((r - start_r)/(end_r - start_r))², which one cubic is exactly."""
    run, rise = end_r - start_r, end_z - start_z
    return cubic(
        [start_r, start_z],
        [start_r + run / 3, start_z],
        [end_r - run / 3, start_z + rise / 3],
        np.array([end_r, end_z]),
    )
