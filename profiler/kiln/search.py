"""Circles pushed apart until none overlaps: the search behind every shelf, round or rectangular, of one size or many.

Overlaps are squared and summed, and the sum is brought down from many starts at once by gradient steps whose length
follows Barzilai and Borwein (IMA Journal of Numerical Analysis 8, 1988). The best few are carried on.
The library's own minimisers were tried: on arrays as small as these their linear algebra, spread over threads, took
ten times as long as all the rest.
"""

from __future__ import annotations

import numpy as np

from ..geometry.curve import Floats
from .surface import TOUCH_MM, Surface

_STEPS, _FIRST_STEP = 100, 0.2
_LONGEST_STEP, _SHORTEST_STEP = 5.0, 0.05
"""Of the sum's gradient; one pair alone is parted by a quarter."""

_FINISHED = 16
"""Starts that are carried on after the first steps."""

_HOPELESS = 5e-3
"""Of the mean radius squared: what overlaps more after the first steps is given up. Of 430 searches, all that
succeeded were under a tenth of this, nine tenths of those that failed were over half of it."""

_STUCK, _LOOKS = 1e-9, 25
"""A start is given up when its slope, squared, is so small beside its overlap; how many steps between looks."""


class Circles:
    """Circles of given sizes that are to lie on a shelf apart.

    Args:
        radii: (n,) mm.
        inset: how far each middle keeps from the edge, (n,) mm.
        surface: the shelf.
    """

    def __init__(self, radii: Floats, inset: Floats, surface: Surface) -> None:
        self.surface = surface
        self.radii = np.asarray(radii, dtype=float)
        self.bounds = surface.bounds(inset)
        apart = self.radii[:, None] + self.radii[None, :] + surface.space
        np.fill_diagonal(apart, -1.0)
        self.apart = apart
        self.from_posts = surface.post_gap(self.radii)

    def worst(self, at: Floats) -> float:
        """The largest overlap of a layout (n, 2), mm; nought or below if there is none."""
        away = np.hypot(*np.moveaxis(at[:, None] - at[None, :], -1, 0))
        over = [self.surface.off_edge(at, self.bounds).max(), -self.surface.clear_of_posts(at, self.radii).min()]
        return float(max(*over, (self.apart - away).max() if len(at) > 1 else -np.inf))

    def together(self, starts: Floats, steps: int) -> Floats | None:
        """A layout (n, 2) without overlap, from the starts (b, n, 2); None if so many steps find none."""
        if self.bounds.min() < 0:
            return None
        at, overlap = self._stepped(starts, _STEPS)
        if overlap.min() > _HOPELESS * self.radii.mean() ** 2:
            return None
        if overlap.min() > TOUCH_MM**2:
            at, overlap = self._stepped(at[np.argsort(overlap, kind="stable")[:_FINISHED]], steps)
        found = at[int(np.argmin(overlap))]
        return np.asarray(found) if self.worst(found) <= 0 else None

    def _stepped(self, at: Floats, steps: int) -> tuple[Floats, Floats]:
        """The starts after some steps, less those that are stuck, and their sums of squared overlaps (b,)."""
        overlap, slope = self._overlap(at)
        step = np.full((len(at), 1, 1), _FIRST_STEP)
        for number in range(1, steps + 1):
            moved = -step * slope
            at = at + moved
            overlap, new = self._overlap(at)
            if overlap.min() < TOUCH_MM**2:
                break
            turned, slope = new - slope, new
            along = np.einsum("bij,bij->b", moved, turned)
            if number % 2:
                above, below = np.einsum("bij,bij->b", moved, moved), along
            else:
                above, below = along, np.einsum("bij,bij->b", turned, turned)
            known = (along > 0) & (below > 0)
            length = np.where(known, above / np.where(known, below, 1.0), _FIRST_STEP)
            step = np.clip(length, _SHORTEST_STEP, _LONGEST_STEP)[:, None, None]
            if number % _LOOKS == 0:
                moves = np.einsum("bij,bij->b", slope, slope) > _STUCK * overlap
                if not moves.any():
                    break
                at, overlap, slope, step = at[moves], overlap[moves], slope[moves], step[moves]
        return at, overlap

    def _overlap(self, at: Floats) -> tuple[Floats, Floats]:
        """Sum of squared overlaps (b,) and its gradient (b, n, 2).

        Everything is asked to be `TOUCH_MM` further apart than it must be, so that a sum under its square leaves
        no overlap at all.
        """
        x, y = at[..., 0], at[..., 1]
        dx, dy = x[:, :, None] - x[:, None, :], y[:, :, None] - y[:, None, :]
        away = np.sqrt(dx * dx + dy * dy) + _NEVER_0
        over = np.maximum(self.apart + TOUCH_MM - away, 0.0)
        total = 0.5 * np.einsum("bij,bij->b", over, over)
        over /= away
        slope = np.stack([np.einsum("bij,bij->bi", over, dx), np.einsum("bij,bij->bi", over, dy)], axis=-1)
        slope *= -2.0
        for post in self.surface.posts:
            off = at - post
            away = np.sqrt(off[..., 0] ** 2 + off[..., 1] ** 2) + _NEVER_0
            over = np.maximum(self.from_posts + TOUCH_MM - away, 0.0)
            total += (over * over).sum(axis=1)
            slope -= (2 * over / away)[..., None] * off
        if self.surface.shelf == "round":
            away = np.sqrt(x * x + y * y) + _NEVER_0
            over = np.maximum(away + TOUCH_MM - self.bounds[:, 0], 0.0)
            total += (over * over).sum(axis=1)
            slope += (2 * over / away)[..., None] * at
        else:
            beyond = np.maximum(np.abs(at) + TOUCH_MM - self.bounds, 0.0)
            total += (beyond * beyond).sum(axis=(1, 2))
            slope += 2 * beyond * np.sign(at)
        return total, slope


_NEVER_0 = 1e-12
"""mm; two middles in one place have no direction, but must not divide by nought."""
