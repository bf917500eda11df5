"""An open chain of cubic Béziers, the one curve type of the project."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .cubics import (
    LONG_NODES,
    LONG_WEIGHTS,
    Floats,
    Four,
    arc_lengths,
    bend_weights,
    bernstein,
    bernstein_bend,
    bernstein_slope,
    peaks,
    slope_weights,
    started,
    weighed,
    weights,
    zeros,
)
from .tolerance import ARC_RADIANS, JOIN_MM

__all__ = ["Curve", "Floats", "arc", "chained", "cubic", "line", "polyline", "quarter_handle"]


@dataclass(frozen=True, eq=False)
class Curve:
    """A chain of cubics, each starting where the last one ends.

    A place on the chain is one number `u` in [0, n]: the whole part counts cubics, the rest is the
    cubic's own parameter.

    Attributes:
        cubics: (n, 4, 2) float, control points in (r, z), mm.
    """

    cubics: Floats

    def __post_init__(self) -> None:
        cubics = np.array(self.cubics, dtype=np.float64)
        if cubics.ndim != 3 or cubics.shape[1:] != (4, 2) or not len(cubics):
            raise ValueError(f"a curve is (n, 4, 2) with n > 0, not {cubics.shape}")
        if not np.isfinite(cubics).all():
            raise ValueError("a curve has a control point that is not a number")
        if len(cubics) > 1:
            gaps = np.abs(cubics[1:, 0] - cubics[:-1, 3]).max()
            if gaps > JOIN_MM:
                raise ValueError(f"a curve is broken: a gap of {gaps:.3g} mm between two of its cubics")
            cubics[1:, 0] = cubics[:-1, 3]
        cubics.setflags(write=False)
        object.__setattr__(self, "cubics", cubics)

    def __len__(self) -> int:
        return len(self.cubics)

    def __add__(self, other: Curve) -> Curve:
        return Curve(np.concatenate([self.cubics, other.cubics]))

    @property
    def start(self) -> Floats:
        """First point (r, z), mm."""
        point: Floats = self.cubics[0, 0]
        return point

    @property
    def end(self) -> Floats:
        """Last point (r, z), mm."""
        point: Floats = self.cubics[-1, 3]
        return point

    @cached_property
    def arc_lengths(self) -> Floats:
        """Length along the chain at each join, from 0 to the whole, (n + 1,) mm, good to 1e-9 of it."""
        return np.concatenate([[0.0], np.cumsum(arc_lengths(self.cubics))])

    @property
    def length(self) -> float:
        """Length, mm."""
        return float(self.arc_lengths[-1])

    @cached_property
    def _missed(self) -> Floats:
        """What 16 nodes miss of the length of a cubic that hurries and lingers, (n,) mm."""
        slope = bernstein_slope(LONG_NODES) @ self.cubics
        return np.diff(self.arc_lengths) - np.hypot(slope[..., 0], slope[..., 1]) @ LONG_WEIGHTS

    def arc_length_at(self, u: ArrayLike) -> Floats:
        """Length from the start to the places u, mm."""
        index, t = self._split(np.asarray(u, dtype=np.float64))
        p = self.cubics[index]
        # the derivative as a polynomial: (a·t + b)·t + c
        c = 3 * (p[..., 1, :] - p[..., 0, :])
        b = 6 * (p[..., 2, :] - p[..., 1, :]) - 2 * c
        a = 3 * (p[..., 3, :] - p[..., 2, :]) - b - c
        at = t[..., None] * LONG_NODES
        slope_r = (a[..., 0, None] * at + b[..., 0, None]) * at + c[..., 0, None]
        slope_z = (a[..., 1, None] * at + b[..., 1, None]) * at + c[..., 1, None]
        run: Floats = t * (np.hypot(slope_r, slope_z) @ LONG_WEIGHTS)
        # what the quadrature misses is spread over the cubic, so that joins agree
        return self.arc_lengths[index] + run + t * self._missed[index]

    @cached_property
    def _points(self) -> list[list[list[float]]]:
        """The control points as plain numbers: for a single place they are quicker than arrays."""
        points: list[list[list[float]]] = self.cubics.tolist()
        return points

    def _split(self, places: Floats) -> tuple[NDArray[np.intp], Floats]:
        index = np.minimum(np.maximum(places.astype(np.intp), 0), len(self.cubics) - 1)
        return index, places - index

    def _on(self, u: ArrayLike, of_many: Callable[[Floats], Floats], of_one: Callable[[float], Four]) -> Floats:
        """The control points at the places u, weighed by a basis."""
        if isinstance(u, float | int):
            which = min(max(int(u), 0), len(self.cubics) - 1)
            return np.array(weighed(self._points[which], of_one(u - which)))
        index, t = self._split(np.asarray(u, dtype=np.float64))
        points: Floats = (of_many(t)[..., None, :] @ self.cubics[index])[..., 0, :]
        return points

    def at(self, u: ArrayLike) -> Floats:
        """Points at the places u, shape (..., 2), mm."""
        return self._on(u, bernstein, weights)

    def slope(self, u: ArrayLike) -> Floats:
        """First derivative by u, shape (..., 2), mm."""
        return self._on(u, bernstein_slope, slope_weights)

    def bend(self, u: ArrayLike) -> Floats:
        """Second derivative by u, shape (..., 2), mm."""
        return self._on(u, bernstein_bend, bend_weights)

    def jet(self, u: float) -> tuple[tuple[float, float], tuple[float, float], tuple[float, float]]:
        """Point, first and second derivative by u at a single place, as plain numbers, mm."""
        which = min(max(int(u), 0), len(self.cubics) - 1)
        cubic, t = self._points[which], u - which
        return weighed(cubic, weights(t)), weighed(cubic, slope_weights(t)), weighed(cubic, bend_weights(t))

    def direction(self, u: ArrayLike) -> Floats:
        """Unit tangents at the places u, shape (..., 2)."""
        slope = self.slope(u)
        unit: Floats = slope / np.hypot(slope[..., 0], slope[..., 1])[..., None]
        return unit

    def curvature(self, u: ArrayLike) -> Floats:
        """Signed curvature at the places u, 1/mm, positive where the curve turns left."""
        first, second = self.slope(u), self.bend(u)
        cross = first[..., 0] * second[..., 1] - first[..., 1] * second[..., 0]
        bent: Floats = cross / np.hypot(first[..., 0], first[..., 1]) ** 3
        return bent

    def sampled(self, per_cubic: int) -> Floats:
        """Points spread evenly by parameter, both ends included, (n * per_cubic + 1, 2) mm."""
        points = _evenly(per_cubic) @ self.cubics
        return np.concatenate([points.reshape(-1, 2), self.cubics[-1:, 3]])

    def places(self, per_cubic: int) -> Floats:
        """The places of `sampled`, (n * per_cubic + 1,)."""
        return np.arange(len(self) * per_cubic + 1) / per_cubic

    def reversed(self) -> Curve:
        """The same chain, walked from its end."""
        return Curve(self.cubics[::-1, ::-1])

    def mapped(self, scale_r: float, scale_z: float) -> Curve:
        """The chain with r and z multiplied: exact, since an affine map of a Bézier maps its handles."""
        return Curve(self.cubics * np.array([scale_r, scale_z]))

    def moved(self, dr: float, dz: float) -> Curve:
        """The chain shifted by (dr, dz), mm."""
        return Curve(self.cubics + np.array([dr, dz]))

    def part(self, first: float, last: float) -> Curve:
        """The chain between two places, first < last, split exactly."""
        if not 0 <= first < last <= len(self):
            raise ValueError(f"no part of the curve lies between {first} and {last}")
        begin, finish = int(first), int(np.ceil(last))
        cubics = self.cubics[begin:finish].copy()
        if last < finish:
            cubics[-1] = started(cubics[-1].tolist(), last - (finish - 1))
            if finish - begin == 1 and first > begin:
                first = begin + (first - begin) / (last - begin)
        if first > begin:
            cubics[0] = started(cubics[0][::-1].tolist(), 1 - (first - begin))[::-1]
        return Curve(cubics)

    def crossings(self, axis: int, value: float) -> Floats:
        """Places where a coordinate (axis 0 is r, 1 is z) takes a value, in order, each once."""
        p = self.cubics[:, :, axis] - value
        may_cross = (p.min(axis=1) <= JOIN_MM) & (p.max(axis=1) >= -JOIN_MM)
        found = sorted(index + t for index in np.flatnonzero(may_cross).tolist() for t in zeros(p[index].tolist()))
        once = [u for i, u in enumerate(found) if not i or u - found[i - 1] > 1e-7]
        return np.array(once, dtype=np.float64)

    def highest(self, axis: int = 1) -> tuple[float, float]:
        """The place and value of the largest coordinate (axis 0 is r, 1 is z), mm."""
        return _highest(self.cubics[:, :, axis])

    def lowest(self, axis: int = 1) -> tuple[float, float]:
        """The place and value of the smallest coordinate (axis 0 is r, 1 is z), mm."""
        place, value = _highest(-self.cubics[:, :, axis])
        return place, -value


@lru_cache
def _evenly(per_cubic: int) -> Floats:
    """The basis at places spread evenly over a cubic, without its end, (per_cubic, 4)."""
    return bernstein(np.arange(per_cubic) / per_cubic)


def _highest(p: Floats) -> tuple[float, float]:
    """Place and value of the largest of one coordinate of a chain's control points, (n, 4) mm."""
    best = int(p[:, 0].argmax())
    place, value = float(best), float(p[best, 0])
    if p[-1, 3] > value:
        place, value = float(len(p)), float(p[-1, 3])
    # a cubic lies within its handles, so only one with a handle over the best end can rise over it
    for index in np.flatnonzero(p.max(axis=1) > value).tolist():
        own = p[index].tolist()
        for t in peaks(own):
            height = sum(weight * x for weight, x in zip(weights(t), own, strict=True))
            if height > value:
                place, value = index + t, height
    return place, value


def line(start: ArrayLike, end: ArrayLike) -> Curve:
    """A straight run as a cubic with its handles at thirds."""
    p, q = np.asarray(start, dtype=np.float64), np.asarray(end, dtype=np.float64)
    return Curve(np.stack([p, p + (q - p) / 3, q - (q - p) / 3, q])[None])


def polyline(points: Sequence[ArrayLike] | Floats) -> Curve:
    """Straight runs through two or more points, (n, 2) mm."""
    p = np.asarray(points, dtype=np.float64)
    return Curve(np.stack([p[:-1], p[:-1] + np.diff(p, axis=0) / 3, p[1:] - np.diff(p, axis=0) / 3, p[1:]], axis=1))


def cubic(start: ArrayLike, handle_out: ArrayLike, handle_in: ArrayLike, end: ArrayLike) -> Curve:
    """One cubic from its four control points."""
    return Curve(np.array([[start, handle_out, handle_in, end]], dtype=np.float64))


def chained(curves: Iterable[Curve]) -> Curve:
    """Join curves end to start."""
    return Curve(np.concatenate([c.cubics for c in curves]))


def quarter_handle(radians: float) -> float:
    """Handle length over radius of the cubic nearest to an arc of that turn.

    >>> round(quarter_handle(np.pi / 2), 6)
    0.552285
    """
    return float(4 / 3 * np.tan(radians / 4))


def arc(centre: ArrayLike, radius: float, first: float, last: float) -> Curve:
    """A circular arc from angle first to last (radians from +r), in cubics of about a quarter or less."""
    pieces = max(1, int(np.ceil(abs(last - first) / ARC_RADIANS)))
    angles = np.linspace(first, last, pieces + 1)
    unit = np.stack([np.cos(angles), np.sin(angles)], axis=1)
    ahead = np.stack([-unit[:, 1], unit[:, 0]], axis=1) * quarter_handle((last - first) / pieces)
    cubics = np.stack([unit[:-1], unit[:-1] + ahead[:-1], unit[1:] - ahead[1:], unit[1:]], axis=1)
    return Curve(np.asarray(centre, dtype=np.float64) + radius * cubics)
