"""A shelf as the search sees it: where the middles of circles may lie."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from ..geometry.curve import Floats
from .table import POST_FOOT_MM, KilnTable
from .ware import Firing, Ware

TOUCH_MM = 1e-7
"""Circles that overlap by less touch: far under what a shelf is measured to, well over what sums of doubles leave."""


@dataclass(frozen=True, eq=False)
class Surface:
    """A shelf, its middle at the origin, x to the right and y to the back, mm.

    Attributes:
        shelf: round or rectangular.
        half: half its width and depth; both the radius of a round one.
        posts: middles of the posts that stand on it, (k, 2).
        beyond: how far a rim may stand out over the edge; below nought, how far it keeps away from it.
        space: between two rims, and between a rim and a post.
    """

    shelf: str
    half: tuple[float, float]
    posts: Floats
    beyond: float
    space: float

    def inset(self, ware: Ware) -> float:
        """How far a piece's middle keeps from the edge, mm: its foot on the shelf, its rim as allowed."""
        return max(ware.foot_radius_mm, ware.reach_radius_mm - self.beyond)

    def bounds(self, inset: ArrayLike) -> Floats:
        """How far from the origin middles may lie, (n, 2) across and up; for a round shelf both are the radius."""
        return np.asarray(self.half - np.asarray(inset, dtype=np.float64)[..., None])

    def off_edge(self, at: Floats, bounds: Floats) -> Floats:
        """How far middles lie outside their bounds, mm: (..., n) from (..., n, 2)."""
        if self.shelf == "round":
            return np.asarray(np.hypot(at[..., 0], at[..., 1]) - bounds[..., 0])
        return np.asarray((np.abs(at) - bounds).max(axis=-1))

    def post_gap(self, radii: ArrayLike) -> Floats:
        """How far middles keep from a post's middle, (n,) mm."""
        return np.asarray(radii, dtype=np.float64) + POST_FOOT_MM / 2 + self.space

    def clear_of_posts(self, at: Floats, radii: ArrayLike) -> Floats:
        """How far each circle is from where a post would be too near, (..., n) mm; below 0 one is."""
        if not len(self.posts):
            return np.full(at.shape[:-1], np.inf)
        away = np.hypot(*np.moveaxis(at[..., None, :] - self.posts, -1, 0)).min(axis=-1)
        return np.asarray(away - self.post_gap(radii))


def surface_of(kiln: KilnTable, firing: Firing, *, posts: bool = True) -> Surface:
    """A shelf of a kiln, with the posts of the shelf above on it or without."""
    half = (kiln.diameter or kiln.width or 0.0) / 2, (kiln.diameter or kiln.depth or 0.0) / 2
    outwards = kiln.edge_to_wall - kiln.wall_space
    return Surface(
        shelf=kiln.shelf,
        half=half,
        posts=post_places(kiln) if posts else np.empty((0, 2)),
        beyond=outwards if kiln.rim == "overhang" else min(0.0, outwards),
        space=kiln.space if firing is Firing.GLAZE else 0.0,
    )


def post_places(kiln: KilnTable) -> Floats:
    """Middles of the posts of a shelf, (k, 2) mm: at its edge, and straight over each other from shelf to shelf.

    On a round shelf they are evenly spaced, one at the back. On a rectangular one they stand in the corners, with
    three in the middle of the back and the front's corners; further ones along the longer sides.
    """
    count, foot = kiln.posts, POST_FOOT_MM / 2
    if kiln.diameter is not None:
        turn = math.pi / 2 + 2 * math.pi * np.arange(count) / max(count, 1)
        return np.asarray((kiln.diameter / 2 - foot) * np.stack([np.cos(turn), np.sin(turn)], axis=1))
    x, y = (kiln.width or 0.0) / 2 - foot, (kiln.depth or 0.0) / 2 - foot
    if count == 3:
        return np.array([[-x, -y], [x, -y], [0.0, y]])
    corners = [(-x, -y), (x, -y), (-x, y), (x, y)]
    more = [(0.0, y), (0.0, -y), (-x, 0.0), (x, 0.0)] if x >= y else [(-x, 0.0), (x, 0.0), (0.0, y), (0.0, -y)]
    return np.array([*corners, *more][:count]).reshape(-1, 2)
