"""The curve at a distance from another: a wall from its outside, or an outside from the inside."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from .curve import Curve, Floats, line
from .tolerance import FIT_SHARE, JOIN_MM

_PER_PIECE = 4
"""A cubic is looked at in its quarters."""

_MOST_PIECES = 64
_ROUNDING_MM = 1e-12
_LEFT = np.array([-1.0, 1.0])


class FoldError(ValueError):
    """The distance is larger than the radius of the curve, so the offset runs back over itself.

    Attributes:
        r_mm: where on the curve, distance from the axis.
        z_mm: where on the curve, height.
        radius_mm: of the curve there.
        distance_mm: asked for there.
    """

    def __init__(self, r_mm: float, z_mm: float, radius_mm: float, distance_mm: float) -> None:
        super().__init__(
            f"at height {z_mm:.1f} mm (radius {r_mm:.1f} mm) the curve turns with a radius of "
            f"{radius_mm:.1f} mm, less than the {distance_mm:.1f} mm asked for"
        )
        self.r_mm, self.z_mm, self.radius_mm, self.distance_mm = r_mm, z_mm, radius_mm, distance_mm


@dataclass(frozen=True)
class Taper:
    """A distance that changes evenly with the length of the curve it is measured along.

    Attributes:
        start_mm: at the curve's start.
        slope: change per mm of length; 0 keeps it even.
    """

    start_mm: float
    slope: float = 0.0

    def at(self, lengths: Floats) -> Floats:
        """The distance after these lengths of curve, mm."""
        return self.start_mm + self.slope * lengths


def offset(curve: Curve, distance: Taper, *, square_to_result: bool = False) -> Curve:
    """The curve at a distance to the left of another (negative: to the right).

    Each point is moved by the distance along the normal. With `square_to_result` the direction leans so
    that the distance is square to the new curve instead of the given one: the new curve is then the
    envelope of circles of that radius about the given one, direction sin φ = slope off the normal.

    The result is the cubic Hermite chain through exact points and slopes, halved until it lies within
    FIT_SHARE of the distance from the true offset; straight runs stay exact.

    Raises:
        FoldError: where the offset would run back over itself.
    """
    within = FIT_SHARE * float(np.abs(distance.at(curve.arc_lengths)).max())
    pieces = [_one(curve, index, distance, square_to_result, within) for index in range(len(curve))]
    for index in range(1, len(pieces)):
        if np.abs(pieces[index][0, 0] - pieces[index - 1][-1, 3]).max() > JOIN_MM:
            _mitre(curve, index, pieces, distance)
    return Curve(np.concatenate(pieces))


def _mitre(curve: Curve, index: int, pieces: list[Floats], distance: Taper) -> None:
    """Join two offset straight runs at the crossing of their lines, in place of a gap or an overlap."""
    before, after = pieces[index - 1], pieces[index]
    a, b = before[-1, 3] - before[0, 0], after[-1, 3] - after[0, 0]
    ends = np.stack([a, -b], axis=1)
    along = np.linalg.solve(ends, after[0, 0] - before[0, 0])
    corner = curve.at(index)
    if len(before) > 1 or len(after) > 1 or along[0] <= 0 or along[1] >= 1:
        d = float(distance.at(curve.arc_lengths[index]))
        raise FoldError(float(corner[0]), float(corner[1]), 0.0, abs(d))
    meet = before[0, 0] + along[0] * a
    pieces[index - 1] = line(before[0, 0], meet).cubics
    pieces[index] = line(meet, after[-1, 3]).cubics


def _one(curve: Curve, index: int, distance: Taper, lean: bool, within: float) -> Floats:
    piece = Curve(curve.cubics[index : index + 1])
    taper = Taper(float(distance.at(curve.arc_lengths[index])), distance.slope)
    return fitted(lambda t: _displaced(piece, t, taper, lean), within)


def fitted(true: Callable[[Floats], tuple[Floats, Floats]], within: float) -> Floats:
    """Cubics (n, 4, 2) through points and slopes of a curve, halved until they lie within a distance of it.

    Args:
        true: points and derivatives at parameters in [0, 1], each (..., 2).
        within: mm.
    """
    pieces = 1
    while True:
        # the joins, and between each two the places that are looked at: all asked for in one go
        points, slopes = true(np.linspace(0.0, 1.0, _PER_PIECE * pieces + 1))
        joins, step = points[::_PER_PIECE], slopes[::_PER_PIECE] / (3 * pieces)
        cubics = np.stack([joins[:-1], joins[:-1] + step[:-1], joins[1:] - step[1:], joins[1:]], axis=1)
        off = Curve(cubics).sampled(_PER_PIECE) - points
        if np.abs(off).max() <= max(within, _ROUNDING_MM) or pieces >= _MOST_PIECES:
            return cubics
        pieces *= 2


def _displaced(piece: Curve, t: Floats, taper: Taper, lean: bool) -> tuple[Floats, Floats]:
    """Points of the true offset of one cubic at t, and their derivatives by t, each (..., 2)."""
    slope, bend = piece.slope(t), piece.bend(t)
    speed = np.hypot(slope[..., 0], slope[..., 1])
    tangent = slope / speed[..., None]
    normal = tangent[..., ::-1] * _LEFT
    turn = (normal * bend).sum(axis=-1) / speed
    d = taper.at(piece.arc_length_at(t))
    sine = taper.slope if lean else 0.0
    cosine = np.sqrt(1 - sine * sine)
    # moving left from the given curve to one it is square to: back along the tangent as the distance grows
    way = cosine * normal - sine * tangent
    way_slope = (-cosine * tangent - sine * normal) * turn[..., None]
    slopes = slope + (taper.slope * speed)[..., None] * way + d[..., None] * way_slope
    along = (slopes * tangent).sum(axis=-1)
    if (along <= 0).any():
        worst = np.unravel_index(int(np.argmin(along)), along.shape)
        r, z = piece.at(t)[worst]
        radius = abs(float(speed[worst] / turn[worst])) if turn[worst] else np.inf
        raise FoldError(float(r), float(z), radius, abs(float(d[worst])))
    return piece.at(t) + d[..., None] * way, slopes
