"""Rounding the corner where one curve ends and the next begins."""

from __future__ import annotations

import math

import numpy as np

from .curve import Curve, arc
from .tolerance import STRAIGHT_RADIANS

_STEPS = 40


class NoRoomError(ValueError):
    """The radius does not fit between the two curves."""


def turn_between(first: Curve, second: Curve) -> float:
    """Signed turn from the end of one curve to the start of the next, radians, left positive."""
    a, b = first.direction(len(first)), second.direction(0.0)
    return float(np.arctan2(a[0] * b[1] - a[1] * b[0], a @ b))


def filleted(first: Curve, second: Curve, radius: float) -> tuple[Curve, Curve, Curve] | None:
    """Two curves that meet in a corner, shortened, and the arc between them: (first, arc, second).

    None where they meet straight enough to need no rounding, or the radius is nil.

    Raises:
        NoRoomError: no circle of that radius touches both on their length.
    """
    turn = turn_between(first, second)
    if radius <= 0 or abs(turn) < STRAIGHT_RADIANS:
        return None
    side = math.copysign(radius, turn)
    backward = first.reversed()
    # how far along each the circle touches, in mm for a first guess, then Newton on the two places
    reach = radius * math.tan(abs(turn) / 2)
    u, v = _place(backward, reach), _place(second, reach)
    for _ in range(_STEPS):
        centre, along_a = _centre(backward, u, -side)
        other, along_b = _centre(second, v, side)
        gap = centre[0] - other[0], centre[1] - other[1]
        if max(abs(gap[0]), abs(gap[1])) < 1e-11:
            break
        across = along_b[0] * along_a[1] - along_a[0] * along_b[1]
        if abs(across) < 1e-12:
            raise NoRoomError(f"a rounding of {radius:.1f} mm does not fit the corner")
        u += (gap[0] * along_b[1] - gap[1] * along_b[0]) / across
        v += (gap[0] * along_a[1] - gap[1] * along_a[0]) / across
        u, v = min(max(u, 0.0), float(len(backward))), min(max(v, 0.0), float(len(second)))
    else:
        raise NoRoomError(f"a rounding of {radius:.1f} mm does not fit the corner")
    if not (0 < u < len(backward) and 0 < v < len(second)):
        raise NoRoomError(f"a rounding of {radius:.1f} mm does not fit the corner")
    before = first.part(0.0, len(first) - u)
    after = second.part(v, float(len(second)))
    begin = before.end - centre
    angle = float(np.arctan2(begin[1], begin[0]))
    swept = turn_between(before, after)
    rounding = arc(centre, radius, angle, angle + swept)
    cubics = rounding.cubics.copy()
    cubics[0, 0], cubics[-1, 3] = before.end, after.start
    return before, Curve(cubics), after


def rounded(curves: list[Curve], radii: list[float]) -> Curve:
    """A chain of curves with each of its corners rounded; radii[i] belongs to the corner after curve i.

    Raises:
        NoRoomError: a rounding does not fit.
    """
    chain, current = [], curves[0]
    for following, radius in zip(curves[1:], radii, strict=True):
        made = filleted(current, following, radius)
        if made is None:
            chain.append(current)
            current = following
        else:
            chain += [made[0], made[1]]
            current = made[2]
    return Curve(np.concatenate([c.cubics for c in [*chain, current]]))


def _place(curve: Curve, length: float) -> float:
    """The place about that far along, inside the curve."""
    lengths = curve.arc_lengths
    place = float(np.interp(length, lengths, np.arange(len(lengths))))
    return min(max(place, 1e-6), len(curve) - 1e-6)


def _centre(curve: Curve, u: float, side: float) -> tuple[tuple[float, float], tuple[float, float]]:
    """The point `side` to the left of the curve at u, and its derivative by u."""
    (r, z), (dr, dz), (ddr, ddz) = curve.jet(u)
    speed = math.hypot(dr, dz)
    nears = 1 - side * (dr * ddz - dz * ddr) / speed**3
    return (r - side * dz / speed, z + side * dr / speed), (nears * dr, nears * dz)
