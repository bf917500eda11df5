"""How many of one kind go on a shelf, and where."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from ..geometry.curve import Floats
from .search import Circles
from .surface import TOUCH_MM, Surface, surface_of
from .table import KilnTable
from .ware import Firing, Ware

Places = tuple[tuple[float, float], ...]
"""Middles on a shelf, x to the right and y to the back of its middle, mm."""

_OFFSETS = 12
_MOST_STARTS, _FEWEST_STARTS, _PAIRS = 256, 4, 25_600
"""Starts of a search: so many that they have some 25,600 pairs in all, a few tenths of a second."""


_FEW, _STEPS, _STEPS_FOR_MANY = 20, 4000, 600
"""Steps of a search: twelve in a circle take a thousand and more; over twenty, that is more than a few seconds."""


def fits(ware: Ware, kiln: KilnTable, firing: Firing = Firing.GLAZE) -> bool:
    """Whether a piece goes into the kiln at all: under its height, its rim where it may be, no posts beside it."""
    surface = surface_of(kiln, firing, posts=False)
    return bool(ware.height_mm <= kiln.clear_height + TOUCH_MM and surface.bounds(surface.inset(ware)).min() >= 0)


def per_shelf(ware: Ware, kiln: KilnTable, firing: Firing = Firing.GLAZE) -> Places:
    """Where pieces of one kind stand on a shelf that carries posts, as many as are found; none if it does not fit.

    Never fewer than the plain hexagonal or row layout; a wide rim over a low neighbour is not made use of.
    """
    if not fits(ware, kiln, firing):
        return ()
    surface = surface_of(kiln, firing)
    found = most(ware.reach_radius_mm, surface.inset(ware), surface)
    return tuple((float(x), float(y)) for x, y in found)


def most(radius: float, inset: float, surface: Surface, *, limit: int | None = None) -> Floats:
    """Middles (n, 2) of as many equal circles as are found to lie on a shelf, at most `limit`."""
    found = _in_rows(radius, inset, surface)
    bound = _bound(2 * radius + surface.space, surface.bounds(inset), surface)
    bound = bound if limit is None else min(bound, limit)
    while len(found) < bound:
        count = len(found) + 1
        circles = Circles(np.full(count, radius), np.full(count, inset), surface)
        more = circles.together(_starts(circles, found), _STEPS if count <= _FEW else _STEPS_FOR_MANY)
        if more is None:
            break
        found = more
    return found if limit is None else found[:limit]


def _bound(pitch: float, bounds: Floats, surface: Surface) -> int:
    """More points than this never lie a pitch apart in a convex region (Oler, Acta Mathematica 105, 1961; memory)."""
    x, y = float(bounds[0]), float(bounds[1])
    area, round_ = (math.pi * x * x, 2 * math.pi * x) if surface.shelf == "round" else (4 * x * y, 4 * (x + y))
    return math.floor(2 * area / (math.sqrt(3) * pitch**2) + round_ / (2 * pitch) + 1 + 1e-9)


def starts_for(count: int) -> int:
    """How many starts a search for so many circles has."""
    return int(min(_MOST_STARTS, max(_FEWEST_STARTS, _PAIRS // count**2)))


def _starts(circles: Circles, found: Floats) -> Floats:
    """Places at random (b, n, 2), and for many circles what was found with one more at random."""
    count = len(circles.radii)
    chance = np.random.default_rng(count)
    starts = scattered(circles, starts_for(count), chance)
    if count > _FEW:
        starts[: len(starts) // 2, :-1] = found
    return starts


def scattered(circles: Circles, number: int, chance: np.random.Generator) -> Floats:
    """Layouts at random within the bounds, (number, n, 2)."""
    shape = (number, len(circles.radii))
    if circles.surface.shelf == "round":
        away = circles.bounds[:, 0] * np.sqrt(chance.random(shape))
        turn = 2 * math.pi * chance.random(shape)
        return np.stack([away * np.cos(turn), away * np.sin(turn)], axis=-1)
    return np.asarray(circles.bounds * (2 * chance.random((*shape, 2)) - 1))


def _in_rows(radius: float, inset: float, surface: Surface) -> Floats:
    """The fullest of the layouts in rows, hexagonal and square, lying and upright, however they are shifted."""
    pitch, bounds = 2 * radius + surface.space, surface.bounds(inset)
    best = np.empty((0, 2))
    for points, cell in _lattices(pitch, float(np.hypot(*bounds))):
        steps = np.stack(np.meshgrid(*[np.arange(_OFFSETS) / _OFFSETS] * 2), axis=-1).reshape(-1, 2)
        corner = -bounds % np.abs(cell).max(axis=0)
        shifts = np.concatenate([steps @ cell, [cell.sum(axis=0) / 3], [corner], corner * [[1, 0], [0, 1]]])
        at = points[None] + shifts[:, None]
        lies = (surface.off_edge(at, bounds) <= TOUCH_MM / 100) & (
            surface.clear_of_posts(at, radius) >= -TOUCH_MM / 100
        )
        fullest = int(np.argmax(lies.sum(axis=1)))
        if lies[fullest].sum() > len(best):
            best = at[fullest][lies[fullest]]
    return best


def _lattices(pitch: float, reach: float) -> Iterator[tuple[Floats, Floats]]:
    """Points of each lattice (m, 2) out to a reach, and its cell (2, 2), by rows."""
    hexagonal = pitch * np.array([[1.0, 0.0], [0.5, math.sqrt(0.75)]])
    many = math.ceil(reach / (pitch * math.sqrt(0.75))) + 2
    for cell in (hexagonal, hexagonal[:, ::-1], pitch * np.eye(2)):
        along = np.arange(-2 * many, 2 * many + 1)
        places = np.stack(np.meshgrid(along, along), axis=-1).reshape(-1, 2) @ cell
        yield places[np.hypot(*places.T) <= reach + 2 * pitch], cell
