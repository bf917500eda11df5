"""Cubic Béziers as bare numbers: many at once as arrays (n, 4, 2), or one as a list of its four points."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

from .tolerance import JOIN_MM

Floats = NDArray[np.float64]

Four = Sequence[float]
"""One coordinate of a cubic's four control points, or what each of them weighs."""

# Gauss-Legendre with 8 nodes is exact for polynomials to degree 15; here z·r²·dz of cubics has 11.
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(8)
GAUSS_NODES: Floats = (_NODES + 1) / 2
GAUSS_WEIGHTS: Floats = _WEIGHTS / 2

# With 16 nodes the length of a well-shaped cubic is right at once.
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(16)
LONG_NODES: Floats = (_NODES + 1) / 2
LONG_WEIGHTS: Floats = _WEIGHTS / 2

_ROOT = 1e-9
"""A root so far past a cubic's end counts as at its end, and so small an imaginary part as none."""
_CLEAR_MM = 1e-5
"""An end further than this from nought has no root in its reach: no cubic here is longer than 10 m."""


def bernstein(t: Floats) -> Floats:
    """Cubic Bernstein basis at t, shape (..., 4)."""
    s = 1 - t
    basis = np.empty((*t.shape, 4))
    tt, ss = t * t, s * s
    basis[..., 0] = ss * s
    basis[..., 1] = 3 * t * ss
    basis[..., 2] = 3 * tt * s
    basis[..., 3] = tt * t
    return basis


def bernstein_slope(t: Floats) -> Floats:
    """Derivative of the cubic Bernstein basis at t, shape (..., 4)."""
    s = 1 - t
    basis = np.empty((*t.shape, 4))
    tt, ss, st = 3 * t * t, 3 * s * s, 6 * s * t
    basis[..., 0] = -ss
    basis[..., 1] = ss - st
    basis[..., 2] = st - tt
    basis[..., 3] = tt
    return basis


def bernstein_bend(t: Floats) -> Floats:
    """Second derivative of the cubic Bernstein basis at t, shape (..., 4)."""
    s = 1 - t
    basis = np.empty((*t.shape, 4))
    basis[..., 0] = 6 * s
    basis[..., 1] = 6 * t - 12 * s
    basis[..., 2] = 6 * s - 12 * t
    basis[..., 3] = 6 * t
    return basis


def weights(t: float) -> Four:
    """`bernstein` at a single t."""
    s = 1 - t
    return s * s * s, 3 * t * s * s, 3 * t * t * s, t * t * t


def slope_weights(t: float) -> Four:
    """`bernstein_slope` at a single t."""
    s = 1 - t
    return -3 * s * s, 3 * s * s - 6 * s * t, 6 * s * t - 3 * t * t, 3 * t * t


def bend_weights(t: float) -> Four:
    """`bernstein_bend` at a single t."""
    s = 1 - t
    return 6 * s, 6 * t - 12 * s, 6 * s - 12 * t, 6 * t


def weighed(cubic: Sequence[Sequence[float]], weight: Four) -> tuple[float, float]:
    """The sum of a cubic's four points, each by its weight."""
    (r0, z0), (r1, z1), (r2, z2), (r3, z3) = cubic
    w0, w1, w2, w3 = weight
    return w0 * r0 + w1 * r1 + w2 * r2 + w3 * r3, w0 * z0 + w1 * z1 + w2 * z2 + w3 * z3


_BASIS = bernstein(GAUSS_NODES)
_SLOPE = bernstein_slope(GAUSS_NODES)
# a cubic at the nodes of the whole of it, of its first half and of its second half
_THRICE = np.concatenate([LONG_NODES, LONG_NODES / 2, (LONG_NODES + 1) / 2])
_BASIS_THRICE, _SLOPE_THRICE = bernstein(_THRICE), bernstein_slope(_THRICE)
_BY_PART = np.kron(np.diag([1.0, 0.5, 0.5]), LONG_WEIGHTS)


def arc_lengths(cubics: Floats) -> Floats:
    """Length of each cubic, (n,) mm, each halved until it changes by less than 1e-10 of the whole."""

    def speeds(some: Floats) -> Floats:
        return np.asarray(np.hypot(_SLOPE_THRICE @ some[:, :, 0].T, _SLOPE_THRICE @ some[:, :, 1].T))

    return _refined(cubics, speeds)


def refined_surface(cubics: Floats) -> float:
    """∫ r ds over the cubics, mm², each halved until it changes by less than 1e-10 of the whole."""

    def rings(some: Floats) -> Floats:
        r, z = some[:, :, 0].T, some[:, :, 1].T
        return np.asarray((_BASIS_THRICE @ r) * np.hypot(_SLOPE_THRICE @ r, _SLOPE_THRICE @ z))

    return float(_refined(cubics, rings).sum())


def _refined(cubics: Floats, integrand: Callable[[Floats], Floats], depth: int = 12) -> Floats:
    """Integrate each cubic, halving those that still change by more than 1e-10 of the whole.

    Args:
        cubics: (n, 4, 2).
        integrand: its values at the places `_THRICE` of each cubic, (48, n).
        depth: how often they may be halved.
    """
    whole, first, second = _BY_PART @ integrand(cubics)
    if depth == 0:
        return np.asarray(whole)
    parts: Floats = first + second
    rough = np.abs(parts - whole) > 1e-10 * max(float(np.abs(parts).sum()), JOIN_MM)
    if rough.any():
        again = cubics[rough]
        both = _refined(np.concatenate([halved(again, 0), halved(again, 1)]), integrand, depth - 1)
        parts[rough] = both[: len(again)] + both[len(again) :]
    return parts


def moment(cubics: Floats, power_r: int, power_z: int) -> float:
    """∫ r^power_r · z^power_z dz along the cubics, exact to rounding for powers that sum to at most 3."""
    points = np.einsum("gk,nkd->ngd", _BASIS, cubics)
    dz = np.einsum("gk,nk->ng", _SLOPE, cubics[:, :, 1])
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


def started(cubic: Sequence[Sequence[float]], t: float) -> list[tuple[float, float]]:
    """The part of a cubic from its start to t, by de Casteljau."""

    def between(p: Sequence[float], q: Sequence[float]) -> tuple[float, float]:
        return p[0] + t * (q[0] - p[0]), p[1] + t * (q[1] - p[1])

    start, first, second, end = cubic
    a, b, c = between(start, first), between(first, second), between(second, end)
    d, e = between(a, b), between(b, c)
    return [(start[0], start[1]), a, d, between(d, e)]


def zeros(p: Four) -> list[float]:
    """Where one coordinate of a cubic is nought, in [0, 1]; none where it is nought all along.

    Args:
        p: the coordinate of its four control points, mm.
    """
    a, b, c, d = p
    first, second, third = b - a, c - b, d - c
    rises, falls = min(first, second, third) >= 0, max(first, second, third) <= 0
    if (rises or falls) and a * d < 0 and min(abs(a), abs(d)) > _CLEAR_MM:
        return [_only_zero(p)]
    power = [d - 3 * c + 3 * b - a, 3 * c - 6 * b + 3 * a, 3 * first, a]
    most = max(map(abs, power))
    if most < JOIN_MM:
        return []  # runs along: its ends belong to the neighbours
    power = [0.0 if abs(x) < 1e-13 * most else x for x in power]
    if power[0] == power[1] == 0:
        roots = [complex(-power[3] / power[2])] if power[2] else []
    else:
        roots = [complex(root) for root in np.roots(power)]
    found = [_polished(power, root.real) for root in roots if abs(root.imag) < _ROOT]
    return [min(max(t, 0.0), 1.0) for t in found if -_ROOT <= t <= 1 + _ROOT]


def _only_zero(p: Four) -> float:
    """Where a coordinate that only rises or only falls, from one side of nought to the other, is nought."""
    low, high, falls = 0.0, 1.0, p[0] > 0
    t = p[0] / (p[0] - p[3])
    for _ in range(60):  # Newton, and the middle where that leaves what is known
        value = sum(map(float.__mul__, weights(t), p))
        low, high = (t, high) if (value > 0) == falls else (low, t)
        slope = sum(map(float.__mul__, slope_weights(t), p))
        wanted = t - value / slope if slope else low
        if not low < wanted < high:
            wanted = (low + high) / 2
        settled = abs(wanted - t) < 1e-13  # the step after would be its square
        t = wanted
        if settled:
            break
    return t


def _polished(power: Four, t: float) -> float:
    a, b, c, d = power
    for _ in range(3):
        slope = (3 * a * t + 2 * b) * t + c
        if slope == 0:
            break
        t -= (((a * t + b) * t + c) * t + d) / slope
    return t


def peaks(p: Four) -> list[float]:
    """Where within (0, 1) one coordinate of a cubic turns from rising to falling or back."""
    a, b, c = p[1] - p[0], p[2] - p[1], p[3] - p[2]
    return [t for t in _quadratic_roots(a - 2 * b + c, 2 * (b - a), a) if 0 < t < 1]


def _quadratic_roots(a: float, b: float, c: float) -> tuple[float, ...]:
    """Real roots of a t² + b t + c, without the cancellation of the school formula."""
    within = b * b - 4 * a * c
    if within < 0:
        return ()
    q = -(b + math.copysign(math.sqrt(within), b)) / 2
    return tuple(top / bottom for top, bottom in ((q, a), (c, q)) if bottom != 0)
