"""What a tool is held and hung by: a slot, a hole for a finger, or its own body and a small hole for the nail."""

from __future__ import annotations

import math
from enum import Enum

import numpy as np

from ..geometry.curve import Curve, arc, chained, line
from .drawing import Layer, Line
from .placing import Setting
from .room import Box

_HOLE_MM, _ROUND_HOLE_MM = 6.0, 6.5
_SLOT_MM, _ROUND_SLOT_MM = (80.0, 25.0), 14.0
_FINGER_MM, _ROUND_FINGER_MM = 24.0, 11.0
_ROUND_TEXT_MM = 1.0


class Hold(Enum):
    """What a hand holds a tool by."""

    SLOT = "a slot for four fingers"
    FINGER = "a hole for a finger or the thumb"
    BODY = "the body itself, where it is as narrow as a grip"


def cut(
    made: Setting,
    hold: Hold,
    near: tuple[float, float],
    *,
    upright: bool = False,
    within_mm: float = math.inf,
) -> bool:
    """Cut a hold, or the hole a body that is its own hold hangs by, where there is room nearest to a place.

    Returns:
        Whether there was room; a body may go without its hole.
    """
    if hold is Hold.BODY:
        found = made.room.find(_HOLE_MM, _HOLE_MM, [near], _ROUND_HOLE_MM)
        shape, name = (None if found is None else _ring(found[0].middle, _HOLE_MM / 2)), "hang"
    elif hold is Hold.FINGER:
        found = made.room.find(_FINGER_MM, _FINGER_MM, [near], _ROUND_FINGER_MM)
        shape, name = (None if found is None else _ring(found[0].middle, _FINGER_MM / 2)), "hand"
    else:
        long, wide = _SLOT_MM
        found = made.room.find(*((wide, long) if upright else (long, wide)), [near], _ROUND_SLOT_MM)
        shape, name = (None if found is None else _stadium(found[0])), "hand"
    if found is None or shape is None or math.dist(found[0].middle, near) > within_mm:
        return hold is Hold.BODY
    box = found[0]
    made.lines.append(Line(shape, Layer.CUT, id=name))
    made.room.take(
        Box(
            box.left - _ROUND_TEXT_MM,
            box.bottom - _ROUND_TEXT_MM,
            box.right + _ROUND_TEXT_MM,
            box.top + _ROUND_TEXT_MM,
        )
    )
    return True


def _ring(middle: tuple[float, float], radius: float) -> Curve:
    return _closed(arc(middle, radius, 0, 2 * np.pi))


def _closed(curve: Curve) -> Curve:
    """The curve with its last point laid exactly on its first."""
    cubics = curve.cubics.copy()
    cubics[-1, 3] = cubics[0, 0]
    return Curve(cubics)


def _stadium(box: Box) -> Curve:
    """A slot with round ends that fills a box."""
    x, y = box.middle
    upright = box.height > box.width
    radius = min(box.width, box.height) / 2
    reach = max(box.width, box.height) / 2 - radius
    ends = ((x, y + reach), (x, y - reach)) if upright else ((x + reach, y), (x - reach, y))
    first = 0.0 if upright else -np.pi / 2
    one = arc(ends[0], radius, first, first + np.pi)
    other = arc(ends[1], radius, first + np.pi, first + 2 * np.pi)
    return _closed(chained([one, line(one.end, other.start), other, line(other.end, one.start)]))
