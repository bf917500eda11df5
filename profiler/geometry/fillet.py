"""Rounding the corner where one curve ends and the next begins."""

from __future__ import annotations

import numpy as np

from .curve import Curve, Floats, arc
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
    side = np.sign(turn) * radius
    backward = first.reversed()
    # how far along each the circle touches, in mm for a first guess, then Newton on the two places
    reach = radius * np.tan(abs(turn) / 2)
    places = np.array([_place(backward, reach), _place(second, reach)])
    for _ in range(_STEPS):
        centre_a, slope_a = _centre(backward, places[0], -side)
        centre_b, slope_b = _centre(second, places[1], side)
        gap = centre_a - centre_b
        if np.abs(gap).max() < 1e-11:
            break
        jacobian = np.stack([slope_a, -slope_b], axis=1)
        if abs(np.linalg.det(jacobian)) < 1e-12:
            raise NoRoomError(f"a rounding of {radius:.1f} mm does not fit the corner")
        step = np.linalg.solve(jacobian, -gap)
        places = np.clip(places + step, 0.0, [len(backward), len(second)])
    else:
        raise NoRoomError(f"a rounding of {radius:.1f} mm does not fit the corner")
    if not (0 < places[0] < len(backward) and 0 < places[1] < len(second)):
        raise NoRoomError(f"a rounding of {radius:.1f} mm does not fit the corner")
    before = first.part(0.0, len(first) - float(places[0]))
    after = second.part(float(places[1]), float(len(second)))
    begin = before.end - centre_a
    angle = float(np.arctan2(begin[1], begin[0]))
    swept = turn_between(before, after)
    rounding = arc(centre_a, radius, angle, angle + swept)
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


def _centre(curve: Curve, u: float, side: float) -> tuple[Floats, Floats]:
    """The point `side` to the left of the curve at u, and its derivative by u."""
    slope = curve.slope(u)
    speed = np.hypot(*slope)
    tangent = slope / speed
    normal = np.array([-tangent[1], tangent[0]])
    return curve.at(u) + side * normal, slope * (1 - side * float(curve.curvature(u)))
