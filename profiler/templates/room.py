"""Free room on a template's body: where a hole, a scale bar or a line of text can go."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..geometry.curve import Curve, Floats

CELL_MM = 0.5
"""Side of a cell of the grid that room is looked for on: well under any margin asked for."""


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


class Room:
    """What is still free inside a closed outline.

    A rectangle is free where no cell it covers lies outside the outline, on it, or on something taken.
    """

    def __init__(self, outline: Curve) -> None:
        points = dense(outline)
        self._corner = points.min(axis=0) - CELL_MM
        across, up = np.ceil((points.max(axis=0) - self._corner) / CELL_MM).astype(int) + 1
        self._taken: NDArray[np.bool_] = np.ones((up, across), dtype=bool)
        p, q = points, np.roll(points, -1, axis=0)
        middles = self._corner[0] + (np.arange(across) + 0.5) * CELL_MM
        for row in range(up):
            level = self._corner[1] + (row + 0.5) * CELL_MM
            over = (p[:, 1] > level) != (q[:, 1] > level)
            a, b = p[over], q[over]
            crossed = np.sort(a[:, 0] + (level - a[:, 1]) / (b[:, 1] - a[:, 1]) * (b[:, 0] - a[:, 0]))
            self._taken[row] = np.searchsorted(crossed, middles) % 2 == 0
        self.take_curve(outline)

    def take_curve(self, curve: Curve) -> None:
        """Take the cells a curve passes through."""
        x, y = ((dense(curve) - self._corner) / CELL_MM).astype(int).T
        up, across = self._taken.shape
        inside = (x >= 0) & (x < across) & (y >= 0) & (y < up)
        self._taken[y[inside], x[inside]] = True

    def take(self, box: Box) -> None:
        """Take the cells of a rectangle."""
        left, bottom = (np.array([box.left, box.bottom]) - self._corner) / CELL_MM
        right, top = (np.array([box.right, box.top]) - self._corner) / CELL_MM
        self._taken[max(int(bottom), 0) : int(top) + 1, max(int(left), 0) : int(right) + 1] = True

    def find(self, width: float, height: float, near: tuple[float, float], margin: float) -> Box | None:
        """The free rectangle of a size, with a margin round it, whose centre is nearest to a point; None if none."""
        nx = int(np.ceil((width + 2 * margin) / CELL_MM)) + 1
        ny = int(np.ceil((height + 2 * margin) / CELL_MM)) + 1
        if nx > self._taken.shape[1] or ny > self._taken.shape[0]:
            return None
        total = np.zeros((self._taken.shape[0] + 1, self._taken.shape[1] + 1), dtype=np.int64)
        total[1:, 1:] = self._taken.cumsum(axis=0).cumsum(axis=1)
        full = total[ny:, nx:] - total[:-ny, nx:] - total[ny:, :-nx] + total[:-ny, :-nx]
        rows, columns = np.nonzero(full == 0)
        if not len(rows):
            return None
        x = self._corner[0] + (columns + nx / 2) * CELL_MM
        y = self._corner[1] + (rows + ny / 2) * CELL_MM
        best = int(np.argmin(np.hypot(x - near[0], y - near[1])))
        left, bottom = float(x[best]) - width / 2, float(y[best]) - height / 2
        return Box(left, bottom, left + width, bottom + height)


def dense(curve: Curve) -> Floats:
    """Points of a curve no further apart than half a cell, (n, 2) mm."""
    parts = [
        Curve(one[None]).at(np.linspace(0.0, 1.0, int(_reach(one) / (CELL_MM / 2)) + 2)[:-1]) for one in curve.cubics
    ]
    return np.concatenate([*parts, curve.end[None]])


def _reach(cubic: Floats) -> float:
    """Length of a cubic's control polygon times the most its parameter hurries (3), mm."""
    return 3 * float(np.hypot(*np.diff(cubic, axis=0).T).max())
