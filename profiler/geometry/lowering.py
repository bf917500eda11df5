"""One profile let down on another along the axis they share: how low it comes, and where it comes to rest."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .cubics import Floats, bernstein, bernstein_slope
from .tolerance import JOIN_MM

Whole = NDArray[np.intp]

SAME_MM = 1e-6
"""Two places that stop the upper one at heights this close stop it together: ten times what two joins leave."""

_PARTS = 8
"""Each run of a cubic is looked at in so many parts, so that boxes round them tell which pairs cannot meet."""

_SAMPLES = (1 - np.cos(np.linspace(0.0, np.pi, 9))) / 2  # closer at the ends, where a rounding may run upright
_AROUND = np.array([-0.1, -1e-2, -1e-3, 0.0, 1e-3, 1e-2, 0.1])
_ROUNDS = 3
_HALVINGS, _ON_MM = 60, 1e-12
"""Nearer than a thousandth of what rounding leaves of a join no radius is looked for."""


@dataclass(frozen=True)
class Contact:
    """Where the upper profile comes to rest.

    Attributes:
        lower: index of the lower profile's cubic.
        upper: index of the upper profile's cubic.
        r: distance from the axis, mm.
        z: height on the lower profile, mm.
        lean: of the lower profile there, radians from level, 0 to a quarter turn.
    """

    lower: int
    upper: int
    r: float
    z: float
    lean: float


def lowered(lower: Floats, upper: Floats) -> tuple[float, tuple[Contact, ...]]:
    """The rise of the upper profile at which it comes to rest on the lower one.

    Let down from far above, it stops where at some radius its lowest place meets the highest of the lower one. So
    the rise is the most, over all radii and all pairs of cubics, of the lower one's height less the upper one's;
    no outline has to be found first, and what hides under an edge takes no part by itself.

    Args:
        lower: (n, 4, 2) cubics, (r, z) in mm.
        upper: (m, 4, 2) cubics, likewise.

    Returns:
        The rise, mm, and each pair of cubics that stops it, from the axis out; minus infinity and none where no
        radius is common to both.
    """
    (p, of_p), (q, of_q) = _rising(lower), _rising(upper)
    first = np.maximum(p[:, None, 0, 0], q[None, :, 0, 0])
    last = np.minimum(p[:, None, 3, 0], q[None, :, 3, 0])
    common = first <= last
    if not common.any():
        return -np.inf, ()
    below, above = p[:, :, 1], q[:, :, 1]
    least = np.where(common, below.min(axis=1)[:, None] - above.max(axis=1), -np.inf)
    most = below.max(axis=1)[:, None] - above.min(axis=1)
    i, j = np.nonzero(common & (most >= least.max() - SAME_MM))
    r, rise = _highest(p[i], q[j], first[i, j], last[i, j])
    best = float(rise.max())
    found = []
    for k in np.flatnonzero(rise.max(axis=1) >= best - SAME_MM):
        at = int(np.flatnonzero(rise[k] >= best - SAME_MM)[-1])  # the outermost of a run that touches all along
        t = _place(p[i[k]][None], np.array([[r[k, at]]]))[0, 0]
        on, way = bernstein(t) @ p[i[k]], bernstein_slope(t) @ p[i[k]]
        lean = float(np.arctan2(abs(way[1]), abs(way[0])))
        found.append(Contact(int(of_p[i[k]]), int(of_q[j[k]]), float(on[0]), float(on[1]), lean))
    return best, tuple(sorted(found, key=lambda contact: contact.r))


def _rising(cubics: Floats) -> tuple[Floats, Whole]:
    """The cubics in parts along which r rises, some of them turned round, and the index of the one each came from.

    Upright runs are left out: their ends are the ends of others.
    """
    a, b, c = (d[:, 0] for d in np.moveaxis(np.diff(cubics, axis=1), 1, 0))
    square, linear = a - 2 * b + c, 2 * (b - a)
    with np.errstate(divide="ignore", invalid="ignore"):
        root = np.sqrt(linear**2 - 4 * square * a)
        half = -(linear + np.copysign(root, linear)) / 2
        turns = np.stack([half / square, a / half], axis=1)
    turns = np.sort(np.where((turns > 0) & (turns < 1), turns, 1.0), axis=1)
    cuts = np.concatenate([np.zeros((len(cubics), 1)), turns, np.ones((len(cubics), 1))], axis=1)
    index, which = np.nonzero(np.diff(cuts, axis=1) > 0)
    steps = np.linspace(0.0, 1.0, _PARTS + 1)
    whole = cuts[index, which][:, None] + (cuts[index, which + 1] - cuts[index, which])[:, None] * steps
    index = np.repeat(index, _PARTS)
    parts = _between(cubics[index], whole[:, :-1].ravel(), whole[:, 1:].ravel())
    falls = parts[:, 0, 0] > parts[:, 3, 0]
    parts[falls] = parts[falls, ::-1]
    parts[:, 1:3, 0] = np.clip(parts[:, 1:3, 0], parts[:, :1, 0], parts[:, 3:, 0])  # what cutting left of rounding
    kept = parts[:, 3, 0] - parts[:, 0, 0] > JOIN_MM
    return parts[kept], index[kept]


def _between(cubics: Floats, first: Floats, last: Floats) -> Floats:
    """Each cubic from one parameter to another, exact (blossoms of de Casteljau)."""

    def blossom(*parameters: Floats) -> Floats:
        points = cubics
        for t in parameters:
            points = points[:, :-1] + t[:, None, None] * np.diff(points, axis=1)
        return points[:, 0]

    a, b = first, last
    return np.stack([blossom(a, a, a), blossom(a, a, b), blossom(a, b, b), blossom(b, b, b)], axis=1)


def _gap(p: Floats, q: Floats, r: Floats) -> Floats:
    """Height of each p less that of each q at radii (n, k), mm."""
    a, b = (_risen(_powers(c[:, :, 1]), _place(c, r)) for c in (p, q))
    return a - b


def _place(cubics: Floats, r: Floats) -> Floats:
    """Parameter at which each cubic with rising r comes to radii (n, k), by Newton held between halvings."""
    first, last = cubics[:, 0, 0, None], cubics[:, 3, 0, None]
    powers = _powers(cubics[:, :, 0])
    slopes = [powers[1], 2 * powers[2], 3 * powers[3]]
    low, high = np.zeros_like(r), np.ones_like(r)
    t = np.clip((r - first) / (last - first), 0.0, 1.0)
    for _ in range(_HALVINGS):
        off = _risen(powers, t) - r
        if np.abs(off).max() < _ON_MM:
            break
        over = off > 0
        high, low = np.where(over, t, high), np.where(over, low, t)
        with np.errstate(divide="ignore", invalid="ignore"):
            step = t - off / _risen(slopes, t)
        t = np.where((step >= low) & (step <= high), step, (low + high) / 2)
    # where a rounding ends upright, r tells little of the place
    return np.where(r <= first, 0.0, np.where(r >= last, 1.0, t))


def _powers(b: Floats) -> list[Floats]:
    """Coefficients of 1, t, t², t³ of cubics (n, 4) in Bernstein's form, (n, 1) each."""
    b = b[..., None]
    return [
        b[:, 0],
        3 * (b[:, 1] - b[:, 0]),
        3 * (b[:, 2] - 2 * b[:, 1] + b[:, 0]),
        b[:, 3] - b[:, 0] + 3 * (b[:, 1] - b[:, 2]),
    ]


def _risen(powers: list[Floats], t: Floats) -> Floats:
    """A polynomial at t."""
    value = powers[-1]
    for power in reversed(powers[:-1]):
        value = value * t + power
    return value


def _highest(p: Floats, q: Floats, first: Floats, last: Floats) -> tuple[Floats, Floats]:
    """Of each pair the radii of its ends and its highest place, and the gaps there, (n, 3) each."""
    r = first[:, None] + (last - first)[:, None] * _SAMPLES
    rise = _gap(p, q, r)
    ends_r, ends, rows = r[:, [0, -1]], rise[:, [0, -1]], np.arange(len(r))
    for _ in range(_ROUNDS):
        at = np.clip(rise.argmax(axis=1), 1, r.shape[1] - 2)
        near = [(r[rows, at + k], rise[rows, at + k]) for k in (-1, 0, 1)]
        low, high = near[0][0], near[2][0]
        around = np.clip(_vertex(*near)[:, None] + (high - low)[:, None] * _AROUND, low[:, None], high[:, None])
        r = np.sort(np.concatenate([around, near[1][0][:, None]], axis=1), axis=1)
        rise = _gap(p, q, r)
    at = rise.argmax(axis=1)
    radii = np.stack([ends_r[:, 0], r[rows, at], ends_r[:, 1]], axis=1)
    return radii, np.stack([ends[:, 0], rise[rows, at], ends[:, 1]], axis=1)


def _vertex(*near: tuple[Floats, Floats]) -> Floats:
    """Where the parabola through three places, x and y each, is highest; the middle one where they lie in line."""
    (a, u), (b, v), (c, w) = near
    with np.errstate(divide="ignore", invalid="ignore"):
        top = b - ((b - a) ** 2 * (v - w) - (b - c) ** 2 * (v - u)) / (2 * ((b - a) * (v - w) - (b - c) * (v - u)))
    return np.where((top >= a) & (top <= c), top, b)
