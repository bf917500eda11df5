"""Free room on a template's body: where a hole, a scale bar or a line of text can go."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..geometry.curve import Curve, Floats

CELL_MM = 1.0
"""Side of a cell of the grid that room is looked for on: what an edge passes through counts as taken whole."""


@dataclass(frozen=True)
class Box:
    """An upright rectangle, mm."""

    left: float
    bottom: float
    right: float
    top: float

    @property
    def middle(self) -> tuple[float, float]:
        """Its centre, mm."""
        return (self.left + self.right) / 2, (self.bottom + self.top) / 2

    @property
    def width(self) -> float:
        """From left to right, mm."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """From bottom to top, mm."""
        return self.top - self.bottom


class Room:
    """What is still free inside a closed outline.

    A rectangle is free where no cell it covers lies outside the outline, on it, or on something taken.
    """

    def __init__(self, outline: Curve) -> None:
        points = dense(outline)
        self._corner = points.min(axis=0) - CELL_MM
        across, up = np.ceil((points.max(axis=0) - self._corner) / CELL_MM).astype(int) + 1
        # In cells from the corner. Points lie under half a cell apart, so a step passes the middle of one row at
        # most; along a row, each passing turns outside to inside or back.
        p = (points - self._corner) / CELL_MM - 0.5
        q = np.roll(p, -1, axis=0)
        rows = np.ceil(np.minimum(p[:, 1], q[:, 1]))
        over = rows < np.maximum(p[:, 1], q[:, 1])
        p, q, rows = p[over], q[over], rows[over]
        columns = np.ceil(p[:, 0] + (rows - p[:, 1]) / (q[:, 1] - p[:, 1]) * (q[:, 0] - p[:, 0]))
        passings = np.zeros((up, across), dtype=np.int32)
        np.add.at(passings, (rows.astype(int), columns.astype(int)), 1)
        self._taken: NDArray[np.bool_] = passings.cumsum(axis=1) % 2 == 0
        self._total: NDArray[np.int32] | None = None
        self.take_curve(outline)

    def copy(self) -> Room:
        """The same room, to try something in."""
        made = object.__new__(Room)
        made._corner, made._taken, made._total = self._corner, self._taken.copy(), self._total
        return made

    def take_curve(self, curve: Curve) -> None:
        """Take the cells a curve passes through."""
        x, y = ((dense(curve) - self._corner) / CELL_MM).astype(int).T
        up, across = self._taken.shape
        inside = (x >= 0) & (x < across) & (y >= 0) & (y < up)
        self._taken[y[inside], x[inside]] = True
        self._total = None

    def take(self, box: Box) -> None:
        """Take the cells of a rectangle."""
        left, bottom = (np.array([box.left, box.bottom]) - self._corner) / CELL_MM
        right, top = (np.array([box.right, box.top]) - self._corner) / CELL_MM
        self._taken[max(int(bottom), 0) : int(top) + 1, max(int(left), 0) : int(right) + 1] = True
        self._total = None

    def find(
        self, width: float, height: float, near: Sequence[tuple[float, float]], margin: float
    ) -> tuple[Box, float] | None:
        """The free rectangle of a size whose centre is nearest to one of some points, and how far off it is.

        Args:
            width: of the rectangle, mm.
            height: of the rectangle, mm.
            near: where its centre is wanted, mm.
            margin: kept free round it, mm.

        Returns:
            The rectangle and the distance in mm, or None if there is no room.
        """
        nx = int(np.ceil((width + 2 * margin) / CELL_MM))
        ny = int(np.ceil((height + 2 * margin) / CELL_MM))
        if nx > self._taken.shape[1] or ny > self._taken.shape[0]:
            return None
        total = self._sums()
        full = total[ny:, nx:] - total[:-ny, nx:] - total[ny:, :-nx] + total[:-ny, :-nx]
        rows, columns = np.nonzero(full == 0)
        if not len(rows):
            return None
        half = np.array([nx, ny]) / 2
        best, least = 0, np.inf
        for at in near:
            a, b = (np.array(at) - self._corner) / CELL_MM - half
            away = (columns - a) ** 2 + (rows - b) ** 2
            nearest = int(away.argmin())
            if away[nearest] < least:
                best, least = nearest, float(away[nearest])
        x, y = self._corner + (np.array([columns[best], rows[best]]) + half) * CELL_MM
        left, bottom = float(x) - width / 2, float(y) - height / 2
        return Box(left, bottom, left + width, bottom + height), CELL_MM * float(np.sqrt(least))

    def _sums(self) -> NDArray[np.int32]:
        """How many cells are taken below and left of each corner of the grid, kept until more is taken."""
        if self._total is None:
            total = np.zeros((self._taken.shape[0] + 1, self._taken.shape[1] + 1), dtype=np.int32)
            np.cumsum(self._taken, axis=0, dtype=np.int32, out=total[1:, 1:])
            np.cumsum(total[1:, 1:], axis=1, out=total[1:, 1:])
            self._total = total
        return self._total


def dense(curve: Curve) -> Floats:
    """Points of a curve no further apart than half a cell, (n, 2) mm."""
    # a cubic's parameter hurries by no more than three times its longest handle
    reach = 3 * np.hypot(*np.diff(curve.cubics, axis=1).transpose(2, 0, 1)).max(axis=1)
    steps = (reach / (CELL_MM / 2)).astype(int) + 1
    first = np.repeat(np.arange(len(steps)), steps)
    places = first + (np.arange(steps.sum()) - np.repeat(np.cumsum(steps) - steps, steps)) / np.repeat(steps, steps)
    return np.concatenate([curve.at(places), curve.end[None]])
