"""An open chain of cubic Béziers, the one curve type of the project."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .tolerance import ARC_RADIANS, JOIN_MM

Floats = NDArray[np.float64]

# Gauss-Legendre with 8 nodes is exact for polynomials to degree 15; here z·r²·dz of cubics has 11.
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(8)
GAUSS_NODES: Floats = (_NODES + 1) / 2
GAUSS_WEIGHTS: Floats = _WEIGHTS / 2

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(16)
_LONG_NODES: Floats = (_NODES + 1) / 2
_LONG_WEIGHTS: Floats = _WEIGHTS / 2


def bernstein(t: Floats) -> Floats:
    """Cubic Bernstein basis at t, shape (..., 4)."""
    s = 1 - t
    return np.stack([s * s * s, 3 * t * s * s, 3 * t * t * s, t * t * t], axis=-1)


def bernstein_slope(t: Floats) -> Floats:
    """Derivative of the cubic Bernstein basis at t, shape (..., 4)."""
    s = 1 - t
    return np.stack([-3 * s * s, 3 * s * s - 6 * s * t, 6 * s * t - 3 * t * t, 3 * t * t], axis=-1)


def bernstein_bend(t: Floats) -> Floats:
    """Second derivative of the cubic Bernstein basis at t, shape (..., 4)."""
    s = 1 - t
    return np.stack([6 * s, 6 * t - 12 * s, 6 * s - 12 * t, 6 * t], axis=-1)


_GAUSS_BASIS = bernstein(GAUSS_NODES)
_GAUSS_SLOPE = bernstein_slope(GAUSS_NODES)


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
        gaps = np.abs(cubics[1:, 0] - cubics[:-1, 3]).max(initial=0.0)
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
        lengths = _refined(self.cubics, _arc_length)
        return np.concatenate([[0.0], np.cumsum(lengths)])

    @property
    def length(self) -> float:
        """Length, mm."""
        return float(self.arc_lengths[-1])

    def arc_length_at(self, u: ArrayLike) -> Floats:
        """Length from the start to the places u, mm."""
        index, t = self._split(u)
        lengths = self.arc_lengths
        slope = bernstein_slope(t[..., None] * _LONG_NODES) @ self.cubics[index]
        run: Floats = t * (np.hypot(slope[..., 0], slope[..., 1]) @ _LONG_WEIGHTS)
        # what the quadrature misses on a cubic that hurries and lingers is spread over it, so that joins agree
        whole = bernstein_slope(_LONG_NODES) @ self.cubics
        missed = np.diff(lengths) - np.hypot(whole[..., 0], whole[..., 1]) @ _LONG_WEIGHTS
        return lengths[index] + run + t * missed[index]

    def _split(self, u: ArrayLike) -> tuple[NDArray[np.intp], Floats]:
        places = np.asarray(u, dtype=np.float64)
        index = np.clip(places.astype(np.intp), 0, len(self.cubics) - 1)
        return index, places - index

    def _on(self, basis: Floats, index: NDArray[np.intp]) -> Floats:
        points: Floats = (basis[..., None, :] @ self.cubics[index])[..., 0, :]
        return points

    def at(self, u: ArrayLike) -> Floats:
        """Points at the places u, shape (..., 2), mm."""
        index, t = self._split(u)
        return self._on(bernstein(t), index)

    def slope(self, u: ArrayLike) -> Floats:
        """First derivative by u, shape (..., 2), mm."""
        index, t = self._split(u)
        return self._on(bernstein_slope(t), index)

    def bend(self, u: ArrayLike) -> Floats:
        """Second derivative by u, shape (..., 2), mm."""
        index, t = self._split(u)
        return self._on(bernstein_bend(t), index)

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
        return self.at(self.places(per_cubic))

    def places(self, per_cubic: int) -> Floats:
        """The places of `sampled`, (n * per_cubic + 1,)."""
        return np.linspace(0.0, len(self), len(self) * per_cubic + 1)

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
            cubics[-1] = _left_half(cubics[-1], last - (finish - 1))
            if finish - begin == 1 and first > begin:
                first = begin + (first - begin) / (last - begin)
        if first > begin:
            cubics[0] = _left_half(cubics[0][::-1], 1 - (first - begin))[::-1]
        return Curve(cubics)

    def crossings(self, axis: int, value: float) -> Floats:
        """Places where a coordinate (axis 0 is r, 1 is z) takes a value, in order, each once."""
        p = self.cubics[:, :, axis] - value
        found: list[float] = []
        may_cross = (p.min(axis=1) <= JOIN_MM) & (p.max(axis=1) >= -JOIN_MM)
        for index in np.flatnonzero(may_cross):
            a, b, c, d = (float(x) for x in p[index])
            power = np.array([d - 3 * c + 3 * b - a, 3 * c - 6 * b + 3 * a, 3 * (b - a), a])
            if np.abs(power).max() < JOIN_MM:
                continue  # runs along the value: its ends belong to the neighbours
            power[np.abs(power) < 1e-13 * np.abs(power).max()] = 0.0
            for root in np.roots(power):
                if abs(root.imag) < 1e-9:
                    t = _polished(power, float(root.real))
                    if -1e-9 <= t <= 1 + 1e-9:
                        found.append(index + min(max(t, 0.0), 1.0))
        found.sort()
        once = [u for i, u in enumerate(found) if not i or u - found[i - 1] > 1e-7]
        return np.array(once, dtype=np.float64)

    def highest(self, axis: int = 1) -> tuple[float, float]:
        """The place and value of the largest coordinate (axis 0 is r, 1 is z), mm."""
        p = self.cubics[:, :, axis]
        ends = np.append(p[:, 0], p[-1, 3])
        best = int(np.argmax(ends))
        place, value = float(best), float(ends[best])
        # a cubic lies within its handles, so only one with a handle over the best end can rise over it
        for index in np.flatnonzero(p.max(axis=1) > value):
            a, b, c = (float(x) for x in np.diff(p[index]))
            for t in _quadratic_roots(a - 2 * b + c, 2 * (b - a), a):
                if 0 < t < 1:
                    height = float(bernstein(np.array(t)) @ p[index])
                    if height > value:
                        place, value = float(index + t), height
        return place, value

    def lowest(self, axis: int = 1) -> tuple[float, float]:
        """The place and value of the smallest coordinate (axis 0 is r, 1 is z), mm."""
        place, value = Curve(-self.cubics).highest(axis)
        return place, -value


def _arc_length(cubics: Floats) -> Floats:
    slope = np.einsum("gk,nkd->ngd", _GAUSS_SLOPE, cubics)
    return np.asarray(np.hypot(slope[..., 0], slope[..., 1]) @ GAUSS_WEIGHTS, dtype=np.float64)


def _refined(cubics: Floats, integral: Callable[[Floats], Floats], depth: int = 12) -> Floats:
    """Integrate each cubic, halving those that still change by more than 1e-10 of the whole."""
    whole = integral(cubics)
    if depth == 0:
        return whole
    halves = np.stack([halved(cubics, 0), halved(cubics, 1)])
    parts = integral(halves[0]) + integral(halves[1])
    rough = np.abs(parts - whole) > 1e-10 * max(float(np.abs(parts).sum()), JOIN_MM)
    if rough.any():
        parts[rough] = _refined(halves[0][rough], integral, depth - 1) + _refined(
            halves[1][rough], integral, depth - 1
        )
    return parts


def refined_surface(cubics: Floats) -> float:
    """∫ r ds over the cubics, mm², each halved until it changes by less than 1e-10 of the whole."""

    def integral(some: Floats) -> Floats:
        points = np.einsum("gk,nkd->ngd", _GAUSS_BASIS, some)
        slope = np.einsum("gk,nkd->ngd", _GAUSS_SLOPE, some)
        return np.asarray((points[..., 0] * np.hypot(slope[..., 0], slope[..., 1])) @ GAUSS_WEIGHTS)

    return float(_refined(cubics, integral).sum())


def moment(cubics: Floats, power_r: int, power_z: int) -> float:
    """∫ r^power_r · z^power_z dz along the cubics, exact to rounding for powers that sum to at most 3."""
    points = np.einsum("gk,nkd->ngd", _GAUSS_BASIS, cubics)
    dz = np.einsum("gk,nk->ng", _GAUSS_SLOPE, cubics[:, :, 1])
    return float(((points[..., 0] ** power_r * points[..., 1] ** power_z * dz) @ GAUSS_WEIGHTS).sum())


def halved(cubics: Floats, side: int) -> Floats:
    """The first (side 0) or second (side 1) half of each of the cubics, by de Casteljau."""
    p = cubics if side == 0 else cubics[:, ::-1]
    a = (p[:, 0] + p[:, 1]) / 2
    b = (p[:, 1] + p[:, 2]) / 2
    c = (p[:, 2] + p[:, 3]) / 2
    d, e = (a + b) / 2, (b + c) / 2
    half = np.stack([p[:, 0], a, d, (d + e) / 2], axis=1)
    return half if side == 0 else half[:, ::-1]


def _left_half(cubic: Floats, t: float) -> Floats:
    a, b, c = cubic[:-1] + t * np.diff(cubic, axis=0)
    d, e = a + t * (b - a), b + t * (c - b)
    return np.stack([cubic[0], a, d, d + t * (e - d)])


def _quadratic_roots(a: float, b: float, c: float) -> tuple[float, ...]:
    """Real roots of a t² + b t + c, without the cancellation of the school formula."""
    within = b * b - 4 * a * c
    if within < 0:
        return ()
    q = -(b + math.copysign(math.sqrt(within), b)) / 2
    return tuple(top / bottom for top, bottom in ((q, a), (c, q)) if bottom != 0)


def _polished(power: Floats, t: float) -> float:
    for _ in range(3):
        slope = np.polyval(np.polyder(power), t)
        if slope == 0:
            break
        t -= float(np.polyval(power, t) / slope)
    return t


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
