"""A closed contour moved to its outside or inside as a whole: the path of a cutter that runs round it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from .cubics import bernstein, bernstein_bend, bernstein_slope, halved, moment
from .curve import Curve, Floats, arc, chained, line
from .offset import Taper, offset
from .tolerance import JOIN_MM, STRAIGHT_RADIANS

Flags = NDArray[np.bool_]

_FINE_RADIANS = np.pi / 4
"""An arc this short drawn as one cubic is 4e-6 of its radius off the circle."""
_SWALLOWED_SHARE = 1e-4
"""A run nearer to the contour than the distance by this share is swallowed: four times what a fit may be off."""
_FOLD_SHARE = 1e-4
"""Where the moved run would turn with a radius under this share of the distance, it is taken for folded."""
_FOLD_SAMPLES = 257  # every place at which `offset` looks at a cubic
_NOISE_SHARE = 0.05
"""A cubic that folds and nowhere turns with more than this share is a rounding just as tight as the distance.

Drawn in cubics a rounding's curvature is up to 2 % off, so such a one folds in some places and not in others.
"""
_FLAT_MM = 1e-6
"""Two pieces this flat cross where their chords do, near enough to start Newton."""
_CURL_SHARE = 0.1
"""A loop shorter than this share of the distance is what is left of a fold, too shallow to count as swallowed."""
_SAME_MM = 1e-6
"""Two crossings this close are one: found at the end of one cubic and at the start of the next."""
_EDGE = 1e-6
"""A crossing may be found so far past a cubic's end, and a fold is kept so far away, in the cubic's parameter."""
_DOUBLED_RADIANS = 3.0
"""Runs that part at a greater turn double back, and only their sides tell a point from a crack."""
_SAMPLES, _ROUNDS = 33, 12
_TESTED_AT = np.array([0.1, 0.3, 0.5, 0.7, 0.9])


class ClosedUpError(ValueError):
    """Nothing is left of the contour, or a part of it is pinched off.

    Attributes:
        x_mm: where, across.
        y_mm: where, up.
    """

    def __init__(self, at: Floats, distance_mm: float) -> None:
        side = "outside" if distance_mm > 0 else "inside"
        self.x_mm, self.y_mm = float(at[0]), float(at[1])
        super().__init__(
            f"a path {abs(distance_mm):.3g} mm {side} the contour closes on itself "
            f"near ({self.x_mm:.1f}, {self.y_mm:.1f}) mm"
        )


@dataclass(frozen=True, eq=False)
class Run:
    """A stretch of a moved contour.

    Attributes:
        curve: the stretch, mm.
        of: index of the contour's cubic it goes along; for a turn, of the cubic that starts at the corner.
        turn: whether it goes round a corner.
    """

    curve: Curve
    of: int
    turn: bool = False


def outset(contour: Curve, distance: float) -> Curve:
    """A closed contour moved to its outside (negative: to its inside), whichever way round it is drawn.

    Where the moved runs part, an arc about the corner joins them: on it a round cutter touches the corner all
    the way, so the corner comes out sharp, and the path stays by the corner however sharp it is (a lengthened
    corner would run off to a point, and a laser that stops there to turn burns). Where they overlap, both end
    at their crossing, and what is swallowed whole (a rounding tighter than the distance, a short step) is left
    out. At corners under STRAIGHT_RADIANS the runs are only lengthened, to within 1e-4 of the distance.

    Args:
        contour: closed, not crossing itself, mm.
        distance: to the outside, mm.

    Returns:
        A closed chain within 1e-4 of the distance of the true path; where a rounding is just as tight as the
        distance, within what its cubics are off an arc. It starts beside the contour's start.

    Raises:
        ClosedUpError: nothing is left, or a part is cut off from the rest.
        ValueError: the contour is not closed.
    """
    return contour if distance == 0 else chained(run.curve for run in outset_runs(contour, distance))


def outset_runs(contour: Curve, distance: float) -> tuple[Run, ...]:
    """The same as `outset` for a distance other than nil, run by run in the contour's own order."""
    if np.abs(contour.start - contour.end).max() > JOIN_MM:
        raise ValueError("a contour is not closed")
    left = -distance if moment(contour.cubics, 1, 0) > 0 else distance
    raw = list(_raw(contour.cubics, left))
    parts = [part for part in _parts(raw, abs(distance)) if _is_clear(part, contour, abs(distance))]
    if not parts:
        raise ClosedUpError(contour.start, distance)
    for part, following in zip(parts, [*parts[1:], parts[0]], strict=True):
        if np.abs(part[-1].curve.end - following[0].curve.start).max() > _SAME_MM:
            raise ClosedUpError(part[-1].curve.end, distance)
    runs = [run for part in parts for run in part]
    starts = [run.curve.start for run in runs]
    runs = [
        replace(run, curve=_ended(run.curve, start))  # to the last digit
        for run, start in zip(runs, [*starts[1:], starts[0]], strict=True)
    ]
    path = chained(run.curve for run in runs)
    crossed = crossings(path.cubics, np.ones(len(path), dtype=bool))
    if len(crossed):
        raise ClosedUpError(path.at(crossed[0, 0]), distance)
    return tuple(runs)


def clearance(points: Floats, curve: Curve, reach: float) -> Floats:
    """Distance of points (n, 2) from a curve, mm, (n,); infinite where it is over the reach."""
    low, high = curve.cubics.min(axis=1), curve.cubics.max(axis=1)
    off = np.maximum(np.maximum(low[None] - points[:, None], points[:, None] - high[None]), 0.0)
    i, j = np.nonzero(np.hypot(off[..., 0], off[..., 1]) <= reach)
    p, c = points[i], curve.cubics[j]
    samples = np.linspace(0.0, 1.0, _SAMPLES)
    t = samples[np.argmin(((bernstein(samples) @ c - p[:, None]) ** 2).sum(axis=-1), axis=1)]
    for _ in range(_ROUNDS):  # Newton to the foot of the perpendicular, never far from the nearest sample
        gap, slope = _on(c, t) - p, _along(bernstein_slope(t), c)
        bent = (slope**2).sum(axis=1) + (gap * _along(bernstein_bend(t), c)).sum(axis=1)
        step = -(gap * slope).sum(axis=1) / np.where(bent > 0, bent, np.inf)
        t = np.clip(t + np.clip(step, -1 / _SAMPLES, 1 / _SAMPLES), 0.0, 1.0)
    found = np.full(len(points), np.inf)
    np.minimum.at(found, i, np.hypot(*(_on(c, t) - p).T))
    return np.asarray(np.where(found <= reach, found, np.inf))


def crossings(cubics: Floats, goes_on: Flags) -> Floats:
    """Where cubics (n, 4, 2) cross each other: (m, 2) places, each a cubic's index plus its parameter.

    Pairs are quartered until their control polygons part or both are flat, so that none is missed however
    short the overlap; then Newton.

    Args:
        cubics: none of them turns by half a turn, so that none crosses itself or the one it goes on into.
        goes_on: (n,) whether a cubic ends where the next starts, the last where the first does.
    """
    n = len(cubics)
    may = np.triu(_overlap(cubics[:, None], cubics[None]), 1)
    here = np.flatnonzero(goes_on)
    may[here, (here + 1) % n] = may[(here + 1) % n, here] = False
    i, j = np.nonzero(may)
    p, q = cubics[i], cubics[j]
    low = np.zeros((len(i), 2))  # where the pieces start on their cubics
    size, found = 1.0, []
    while len(i):
        flat = np.maximum(_bulge(p), _bulge(q)) <= _FLAT_MM
        for k in np.flatnonzero(flat):
            guess = low[k] + size * _chords(p[k], q[k])
            places = _newton(cubics[i[k]], cubics[j[k]], guess[0], guess[1])
            if places is not None and all(-_EDGE <= t <= 1 + _EDGE for t in places):
                found.append((i[k] + min(max(places[0], 0.0), 1.0), j[k] + min(max(places[1], 0.0), 1.0)))
        i, j, p, q, low = i[~flat], j[~flat], p[~flat], q[~flat], low[~flat]
        size /= 2
        quarters = [(halved(p, a), halved(q, b), low + size * np.array([a, b])) for a in (0, 1) for b in (0, 1)]
        p, q, low = (np.concatenate([quarter[k] for quarter in quarters]) for k in range(3))
        i, j = np.tile(i, 4), np.tile(j, 4)
        near = _overlap(p, q)
        i, j, p, q, low = i[near], j[near], p[near], q[near], low[near]
    return np.array(sorted(found)).reshape(-1, 2)


def _raw(cubics: Floats, left: float) -> Iterator[Run]:
    """Each cubic moved by itself, without what folds back, and an arc about each corner where they part."""
    for index in range(len(cubics)):
        following = (index + 1) % len(cubics)
        own, after = Curve(cubics[index][None]), Curve(cubics[following][None])
        for made in _forward(own, left):
            yield Run(made, index)
        turn = _turn(own, after, abs(left))
        if abs(turn) >= STRAIGHT_RADIANS and turn * left < 0:
            yield Run(_round(own, turn, left), following, turn=True)


def _forward(own: Curve, left: float) -> list[Curve]:
    """The offset of one cubic, as far as it runs forward."""

    def share(t: Floats) -> Floats:
        """Radius of the moved run over that of the cubic itself: negative where it runs back."""
        return np.asarray(1 - left * own.curvature(t))

    t = np.linspace(0.0, 1.0, _FOLD_SAMPLES)
    ahead = share(t) > _FOLD_SHARE
    if ahead.all():
        return [offset(own, Taper(left))]
    changes = np.flatnonzero(ahead[1:] != ahead[:-1])
    low, high = t[changes], t[changes + 1]
    for _ in range(50):
        middle = (low + high) / 2
        same = (share(middle) > _FOLD_SHARE) == ahead[changes]
        low, high = np.where(same, middle, low), np.where(same, high, middle)
    # short of the very fold, where the offset stands still
    ends = np.concatenate([[0.0], np.where(ahead[changes], low - _EDGE, high + _EDGE), [1.0]])
    stretches = [(float(a), float(b)) for k, (a, b) in enumerate(pairwise(ends)) if ahead[0] == (k % 2 == 0)]
    return [
        offset(own.part(a, b), Taper(left))
        for a, b in stretches
        if a < b and share(np.linspace(a, b, _SAMPLES)).max() > _NOISE_SHARE
    ]


def _turn(before: Curve, after: Curve, reach: float) -> float:
    """Signed turn at a corner, radians; where the runs double back, by the side on which the second lies."""
    a, b = before.direction(1.0), after.direction(0.0)
    turn = float(np.arctan2(a[0] * b[1] - a[1] * b[0], a @ b))
    if abs(turn) < _DOUBLED_RADIANS:
        return turn
    step = min(reach, before.length / 2, after.length / 2)
    back = before.end - before.at(1 - step / before.length)
    on = after.at(step / after.length) - after.start
    return float(np.copysign(turn, back[0] * on[1] - back[1] * on[0]))


def _round(before: Curve, turn: float, left: float) -> Curve:
    """The arc about the corner at the end of a run."""
    ahead = before.direction(1.0)
    first = float(np.arctan2(left * ahead[0], -left * ahead[1]))
    angles = first + turn * np.linspace(0.0, 1.0, int(np.ceil(abs(turn) / _FINE_RADIANS)) + 1)
    return chained(arc(before.end, abs(left), float(a), float(b)) for a, b in pairwise(angles))


def _met(raw: list[Run], distance: float) -> tuple[list[Run], Flags]:
    """The runs with those that nearly meet led to one point, and whether each of them goes on into the next."""
    curves, joined = [run.curve for run in raw], np.zeros(len(raw), dtype=bool)
    for index in range(len(curves)):
        following = (index + 1) % len(curves)
        before, after = curves[index], curves[following]
        gap = float(np.hypot(*(after.start - before.end)))
        joined[index] = gap <= 1.001 * STRAIGHT_RADIANS * distance
        if not joined[index]:
            continue
        a, b = before.cubics.copy(), after.cubics.copy()
        meet = _newton(a[-1], b[0], 1.0, 0.0) if gap > JOIN_MM and index != following else None
        ends = np.stack([before.end, after.start])
        if meet is not None and np.hypot(*(_at(a[-1], meet[0]) - ends).T).max() < 2 * gap:
            a[-1], b[0] = _between(a[-1], 0.0, meet[0]), _between(b[0], meet[1], 1.0)
            b[0, 0] = a[-1, 3]
            curves[index], curves[following] = Curve(a), Curve(b)
        elif gap > JOIN_MM:  # they run side by side: a straight bridge
            curves[index] = before + line(before.end, after.start)
        else:
            curves[index] = _ended(before, after.start)
    return [replace(run, curve=curve) for run, curve in zip(raw, curves, strict=True)], joined


def _parts(raw: list[Run], distance: float) -> Iterator[list[Run]]:
    """The raw runs cut wherever they cross, without the parts that start or end in the air.

    Those end at a corner or fold where runs overlap, so they lie on the swallowed side of a crossing.
    """
    if not raw:
        return
    raw, joined = _met(raw, distance)
    counts = [len(run.curve) for run in raw]
    cubics = np.concatenate([run.curve.cubics for run in raw])
    firsts = np.cumsum([0, *counts])
    goes_on = np.ones(len(cubics), dtype=bool)
    goes_on[firsts[1:] - 1] = joined
    in_air = {float(k + 1) for k in np.flatnonzero(~goes_on)} | ({0.0} if not goes_on[-1] else set())
    cuts = sorted({0.0, float(len(cubics)), *in_air, *crossings(cubics, goes_on).ravel().tolist()})
    for first, last in pairwise(cuts):
        if first in in_air or last in in_air:
            continue
        part = []
        for run, start in zip(raw, firsts, strict=False):
            low, high = max(first - start, 0.0), min(last - start, float(len(run.curve)))
            if low < high and np.abs(run.curve.at(high) - run.curve.at(low)).max() > JOIN_MM:
                part.append(replace(run, curve=run.curve.part(low, high)))
        if part:
            yield part


def _is_clear(part: list[Run], contour: Curve, distance: float) -> bool:
    """Whether a part keeps its distance from the whole contour, and is no mere curl."""
    path = chained(run.curve for run in part)
    if np.abs(path.end - path.start).max() <= _SAME_MM and path.length < _CURL_SHARE * distance:
        return False
    # by length, so that what a fold has left at an end does not decide over a long part
    tested = np.interp(_TESTED_AT * path.length, path.arc_lengths, np.arange(len(path) + 1.0))
    nearest = clearance(path.at(tested), contour, 1.1 * distance)
    return bool(nearest.min() >= (1 - _SWALLOWED_SHARE) * distance)


def _ended(curve: Curve, end: Floats) -> Curve:
    """The curve with its end laid exactly on a point beside it."""
    cubics = curve.cubics.copy()
    cubics[-1, 3] = end
    return Curve(cubics)


def _overlap(p: Floats, q: Floats) -> Flags:
    """Whether the boxes round the control points of cubics (..., 4, 2) touch."""
    apart = (p.min(axis=-2) > q.max(axis=-2)) | (q.min(axis=-2) > p.max(axis=-2))
    return np.asarray(~apart.any(axis=-1))


def _bulge(cubics: Floats) -> Floats:
    """How far the inner control points of (n, 4, 2) lie from the thirds of the chord, mm."""
    a, d = cubics[:, :1], cubics[:, 3:]
    thirds = np.concatenate([a + (d - a) / 3, d - (d - a) / 3], axis=1)
    return np.asarray(np.abs(cubics[:, 1:3] - thirds).max(axis=(1, 2), initial=0.0))


def _chords(p: Floats, q: Floats) -> Floats:
    """Where the chords of two cubics cross, as shares of them; their middles where they run side by side."""
    a, b = p[3] - p[0], q[3] - q[0]
    across = a[0] * b[1] - a[1] * b[0]
    if abs(across) < 1e-12 * float(np.hypot(*a) * np.hypot(*b)):
        return np.array([0.5, 0.5])
    way = q[0] - p[0]
    return np.array([(way[0] * b[1] - way[1] * b[0]) / across, (way[0] * a[1] - way[1] * a[0]) / across])


def _newton(p: Floats, q: Floats, t: float, s: float) -> tuple[float, float] | None:
    """Where two cubics (4, 2) or what continues them cross, from a guess, to rounding; None where they do not."""
    for _ in range(_ROUNDS):
        gap = _at(q, s) - _at(p, t)
        if np.abs(gap).max() < 1e-12:
            break
        a, b = bernstein_slope(np.array(t)) @ p, bernstein_slope(np.array(s)) @ q
        across = float(a[0] * b[1] - a[1] * b[0])
        if abs(across) < 1e-12 * float(np.hypot(*a) * np.hypot(*b)):
            return None
        t += float(gap[0] * b[1] - gap[1] * b[0]) / across
        s += float(gap[0] * a[1] - gap[1] * a[0]) / across
    return (t, s) if np.abs(_at(q, s) - _at(p, t)).max() < 1e-9 else None


def _between(cubic: Floats, first: float, last: float) -> Floats:
    """The cubic from one parameter to another, which may lie past its ends (blossoms of de Casteljau)."""

    def blossom(*parameters: float) -> Floats:
        points = cubic
        for t in parameters:
            points = points[:-1] + t * np.diff(points, axis=0)
        return np.asarray(points[0])

    a, b = first, last
    return np.stack([blossom(a, a, a), blossom(a, a, b), blossom(a, b, b), blossom(b, b, b)])


def _at(cubic: Floats, t: float) -> Floats:
    return np.asarray(bernstein(np.array(t)) @ cubic)


def _along(basis: Floats, cubics: Floats) -> Floats:
    return np.asarray((basis[:, None, :] @ cubics)[:, 0])


def _on(cubics: Floats, t: Floats) -> Floats:
    """A point of each of the cubics (n, 4, 2) at its own parameter."""
    return _along(bernstein(t), cubics)
