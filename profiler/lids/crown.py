"""The crown of a lid that is thrown by itself, upside down: knob or flat on the bat, dome, and its underside."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..faults import Fault
from ..forms.foot import edged_foot
from ..geometry.curve import Curve, cubic, line
from ..geometry.fillet import NoRoomError, filleted
from .sizes import Knob

FLAT_SHARE = 0.35
"""Diameter of the flat a knobless lid stands on while it is thrown, of its own diameter."""
_KNOB_EDGE_MM = 2.0
_NECK_MM = 3.0


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
    top, neck = knob.diameter / 2, (knob.neck_diameter or 0.7 * knob.diameter) / 2
    if neck > top or top > 0.8 * radius:
        raise Fault(
            "the knob does not fit on the lid",
            f"{knob.diameter:.1f} mm across, {2 * neck:.1f} at its neck, on a lid of {2 * radius:.1f} mm",
            f"a neck no wider than the knob, and a knob up to {1.6 * radius:.0f} mm",
            "lid.knob",
        )
    dome = parabola(0.0, knob.height, radius, knob.height + rise)
    at = float(dome.crossings(0, neck)[0])
    rest = dome.part(at, float(len(dome)))
    high = float(rest.start[1])
    side = cubic([top, 0.0], [top, 0.35 * high], [neck, 0.6 * high], rest.start)
    try:
        joined = filleted(side, rest, min(_NECK_MM, 0.3 * high))
        outside = side + rest if joined is None else joined[0] + joined[1] + joined[2]
        base, outside = edged_foot(line([0.0, 0.0], [top, 0.0]), outside, min(_KNOB_EDGE_MM, 0.25 * high, 0.4 * top))
    except NoRoomError as trouble:
        raise Fault(
            "the knob is too small to be rounded into the lid",
            f"{knob.height:.1f} mm high, {knob.diameter:.1f} mm across",
            "a larger one, or none and a pulled knob under [[extras]]",
            "lid.knob",
        ) from trouble
    return Crown(base, outside, knob.height, float(base.end[0]))


def parabola(start_r: float, start_z: float, end_r: float, end_z: float) -> Curve:
    """The parabola z = start_z + (end_z - start_z)·((r - start_r)/(end_r - start_r))², which one cubic is exactly."""
    run, rise = end_r - start_r, end_z - start_z
    return cubic(
        [start_r, start_z],
        [start_r + run / 3, start_z],
        [end_r - run / 3, start_z + rise / 3],
        np.array([end_r, end_z]),
    )
