"""A shelf that is being filled with ware of many sizes."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from ..geometry.curve import Floats
from .one_kind import most, scattered, starts_for
from .search import Circles
from .surface import TOUCH_MM, Surface
from .ware import Ware

_PUSHES, _STEPS = 3, 500
"""Searches that may fail on one shelf before it counts as full, and the steps of each: a tenth of a second or so."""

_LEAST_SPREAD_MM, _SPREADS, _SPREAD_STARTS = 1.0, 15, 4
"""Further apart by so much is tried, up to the width of the shelf, in so many steps."""


@dataclass(frozen=True)
class Column:
    """Pieces of a kind on each other; one, in a glaze firing."""

    ware: Ware
    pieces: int

    @property
    def height_mm(self) -> float:
        """Of all of it."""
        return self.ware.stack_mm(self.pieces)


class Filling:
    """Columns on a shelf, none too near another.

    Attributes:
        surface: the shelf.
        columns: what stands on it.
        at: their middles, (n, 2) mm.
    """

    def __init__(self, surface: Surface) -> None:
        self.surface = surface
        self.columns: list[Column] = []
        self.at: Floats = np.empty((0, 2))
        self._pushes = _PUSHES

    @property
    def tallest_mm(self) -> float:
        """Height of its tallest column."""
        return max(column.height_mm for column in self.columns)

    def takes(self, column: Column) -> bool:
        """Find a place for a column: touching what is there, else by moving all of it; whether there is one."""
        place = self._beside(column.ware)
        if place is not None:
            self.at = np.concatenate([self.at, place[None]])
        else:
            moved = self._all_moved(column.ware)
            if moved is None:
                return False
            self.at = moved
        self.columns.append(column)
        return True

    def spread(self) -> None:
        """Share out what room is left: all further apart, and further from the edge, as far as that goes."""
        if len(self.columns) == 1 and self.surface.clear_of_posts(np.zeros((1, 2)), self._sizes()[0]).min() >= 0:
            self.at = np.zeros((1, 2))
            return
        radii, inset = self._sizes()
        room = min(self.surface.half)
        gaps = np.geomspace(_LEAST_SPREAD_MM, 2 * room, _SPREADS)
        low, high = 0, len(gaps)
        while low < high:
            middle = (low + high) // 2
            wider = replace(self.surface, space=self.surface.space + gaps[middle])
            circles = Circles(radii, np.minimum(inset + gaps[middle] / 2, room), wider)
            starts = scattered(circles, _SPREAD_STARTS, np.random.default_rng(0))
            starts[0] = self.at
            layout = circles.together(starts, _STEPS)
            if layout is None:
                high = middle
            else:
                self.at, low = layout, middle + 1

    def _sizes(self, more: tuple[Ware, ...] = ()) -> tuple[Floats, Floats]:
        wares = [*(column.ware for column in self.columns), *more]
        return (
            np.array([ware.reach_radius_mm for ware in wares]),
            np.array([self.surface.inset(ware) for ware in wares]),
        )

    def _beside(self, ware: Ware) -> Floats | None:
        """A free place as far out as there is: against two of what stands there, posts and the edge."""
        radius, surface = ware.reach_radius_mm, self.surface
        bounds = surface.bounds(surface.inset(ware))
        if bounds.min() < 0:
            return None
        radii, _ = self._sizes()
        middles = np.concatenate([self.at, surface.posts])
        away = np.concatenate([radii + radius + surface.space, np.full(len(surface.posts), surface.post_gap(radius))])
        if surface.shelf == "round":
            ring = np.zeros((1, 2)), bounds[:1]
            middles, away = np.concatenate([middles, ring[0]]), np.concatenate([away, ring[1]])
            spots = np.concatenate([_crossings(middles, away), [[0.0, 0.0], [0.0, -bounds[0]]]])
        else:
            spots = np.concatenate([_crossings(middles, away), _on_frame(middles, away, bounds)])
        free = (surface.off_edge(spots, bounds) <= TOUCH_MM / 100) & (
            surface.clear_of_posts(spots, radius) >= -TOUCH_MM / 100
        )
        spots = spots[free]
        if len(self.at) and len(spots):
            gaps = np.hypot(*np.moveaxis(spots[:, None] - self.at, -1, 0)) - radii - radius - surface.space
            spots = spots[gaps.min(axis=1) >= -TOUCH_MM / 100]
        if not len(spots):
            return None
        outwards = np.round(surface.off_edge(spots, bounds), 3)
        return np.asarray(spots[np.lexsort((spots[:, 0], spots[:, 1], -outwards))[0]])

    def _all_moved(self, ware: Ware) -> Floats | None:
        """Middles of all with one more; None if none are found."""
        if not self._pushes:
            return None
        radii, inset = self._sizes((ware,))
        if len({column.ware for column in self.columns} | {ware}) == 1:
            found = most(radii[0], inset[0], self.surface, limit=len(radii))
            if len(found) == len(radii):
                return found
        else:
            circles = Circles(radii, inset, self.surface)
            chance = np.random.default_rng(len(radii))
            starts = scattered(circles, max(4, starts_for(len(radii)) // 2), chance)
            starts[: len(starts) // 2, :-1] = self.at
            layout = circles.together(starts, _STEPS)
            if layout is not None:
                return layout
        self._pushes -= 1
        return None


def _crossings(middles: Floats, radii: Floats) -> Floats:
    """Where circles cross each other, (m, 2)."""
    one, other = np.triu_indices(len(middles), 1)
    way = middles[other] - middles[one]
    apart = np.hypot(*way.T)
    meet = (apart > TOUCH_MM) & (apart <= radii[one] + radii[other]) & (apart >= np.abs(radii[one] - radii[other]))
    one, other, way, apart = one[meet], other[meet], way[meet], apart[meet]
    along = (apart**2 + radii[one] ** 2 - radii[other] ** 2) / (2 * apart)
    across = np.sqrt(np.maximum(radii[one] ** 2 - along**2, 0.0))
    way = way / apart[:, None]
    foot, side = middles[one] + along[:, None] * way, across[:, None] * way[:, ::-1] * [-1, 1]
    return np.concatenate([foot + side, foot - side])


def _on_frame(middles: Floats, radii: Floats, bounds: Floats) -> Floats:
    """Where circles cross the sides of a rectangle about the origin, and its corners, (m, 2)."""
    found = [bounds * [sx, sy] for sx in (-1, 1) for sy in (-1, 1)]
    for axis in (0, 1):
        for side in (-bounds[axis], bounds[axis]):
            off = np.abs(middles[:, axis] - side)
            meet = off <= radii
            half = np.sqrt(radii[meet] ** 2 - off[meet] ** 2)
            for sign in (-1, 1):
                spots = np.full((int(meet.sum()), 2), side)
                spots[:, 1 - axis] = middles[meet, 1 - axis] + sign * half
                found += list(spots)
    return np.array(found)
