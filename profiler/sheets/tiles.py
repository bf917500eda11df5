"""A drawing too large for a page, cut into parts: as few as can be, and where they part no word is cut."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

import numpy as np
from numpy.typing import NDArray

from ..geometry.curve import Floats
from ..templates.drawing import Drawing
from .extent import Box, box_of, box_of_words
from .paper import Leaf

OVERLAP_MM = 10.0
"""How much two neighbouring parts both show."""

LABEL_MM = 7.0
"""Kept free above each part for its name."""

_LEAST_MM = 50.0  # a part at the end is no narrower: its name stands over it
_SHIFT_MM = 2.0  # how finely the grid's place is tried
_NEAR_MM = 6.0  # a corner so near to a part's edge may get lost in the joint
_BOLD = 3.0  # a title cut in two is worse than a note


@dataclass(frozen=True)
class Tile:
    """One part of a drawing too large for a page.

    Attributes:
        turned: whether it is of the drawing a quarter turned, anticlockwise.
        column: from the left, from 0.
        row: from the top, from 0.
        columns: how many in all.
        rows: how many in all.
        box: what it shows, mm in the drawing as it stands, turned or not.
    """

    turned: bool
    column: int
    row: int
    columns: int
    rows: int
    box: Box

    @property
    def name(self) -> str:
        """Row letter and column number, the top left one A1."""
        return f"{row_letters(self.row)}{self.column + 1}"

    def crosses(self) -> list[tuple[float, float]]:
        """Where crosses go, mm in the drawing: the middles of the overlaps' corners, shared with a neighbour."""
        left, bottom, right, top = self.box
        half = OVERLAP_MM / 2
        found = []
        for x, across in ((left + half, self.column > 0), (right - half, self.column < self.columns - 1)):
            for y, up in ((bottom + half, self.row < self.rows - 1), (top - half, self.row > 0)):
                if across or up:
                    found.append((x, y))
        return found


def row_letters(row: int) -> str:
    """A for row 0, Z for 25, then AA.

    >>> row_letters(0), row_letters(27)
    ('A', 'AB')
    """
    return (row_letters(row // 26 - 1) if row >= 26 else "") + chr(ord("A") + row % 26)


def tiled(drawing: Drawing, pages: tuple[Leaf, Leaf], *, clean: bool = True) -> list[Tile]:
    """The parts of a drawing, row by row from the top left, each of which fits one of the pages with its name.

    Args:
        drawing: mm.
        pages: the leaf upright and lying.
        clean: whether the seams that spoil the least print are wanted; else parts for an upright page, if none of
            its words is cut in two by that.
    """
    grids = [
        _Grid(
            (leaf.room[0], leaf.room[1] - LABEL_MM),
            turned,
            box_of(stands),
            _kept_whole(stands),
        )
        for turned, stands in ((False, drawing), (True, drawing.quarter_turned()))
        for leaf in pages
    ]
    fewest = min(grid.columns * grid.rows for grid in grids)
    # Of equals the first: level before turned, upright before lying.
    settled = [(grid, *grid.best()) for grid in grids if grid.columns * grid.rows == fewest]
    grid, _, _, x, y = min(settled, key=lambda found: found[1 : 3 if clean else 2])
    return [grid.tile(x, y, column, row) for row in range(grid.rows) for column in range(grid.columns)]


@dataclass(frozen=True)
class _Printed:
    """A line of text or a corner: where it is, mm, and how much it matters that it stays in one piece."""

    box: Box
    weight: float


def _kept_whole(drawing: Drawing) -> tuple[_Printed, ...]:
    """What a seam had better not cross: words, and the corners of the working edge, such as the tip of a stick."""
    words = [_Printed(box_of_words(w), w.size * (_BOLD if w.bold else 1.0)) for w in drawing.words]
    joints = [] if drawing.profile is None else drawing.profile.cubics[1:, 0].tolist()
    corners = [_Printed((x - _NEAR_MM, y - _NEAR_MM, x + _NEAR_MM, y + _NEAR_MM), 1.0) for x, y in joints]
    return (*words, *corners)


@dataclass(frozen=True)
class _Grid:
    """A drawing of a box and words under a grid of rooms that is a little larger than the box, mm."""

    room: tuple[float, float]
    turned: bool
    box: Box
    words: tuple[_Printed, ...]

    @property
    def columns(self) -> int:
        return _count(self.box[2] - self.box[0], self.room[0])

    @property
    def rows(self) -> int:
        return _count(self.box[3] - self.box[1], self.room[1])

    def best(self) -> tuple[float, float, float, float]:
        """How much print is cut in two, how much stands on two parts, and how far the box then stands in.

        The last two are mm from the grid's lower left.
        """
        xs, whole_x, clear_x = self._along(0, self.columns)
        ys, whole_y, clear_y = self._along(1, self.rows)
        weights = np.array([words.weight for words in self.words])
        cut = ~(whole_x[:, None] & whole_y[None]) @ weights
        twice = ~(clear_x[:, None] & clear_y[None]) @ weights
        far = np.abs(xs - xs[0])[:, None] + np.abs(ys - ys[0])[None]
        best = np.lexsort((far.ravel(), twice.ravel(), cut.ravel()))[0]
        across, up = np.unravel_index(best, far.shape)
        return float(cut[across, up]), float(twice[across, up]), float(xs[across]), float(ys[up])

    def tile(self, x: float, y: float, column: int, row: int) -> Tile:
        """A part, with the box standing so far in, mm."""
        left = self.box[0] - x + column * (self.room[0] - OVERLAP_MM)
        bottom = self.box[1] - y + (self.rows - 1 - row) * (self.room[1] - OVERLAP_MM)
        shown = (
            max(left, self.box[0]),
            max(bottom, self.box[1]),
            min(left + self.room[0], self.box[2]),
            min(bottom + self.room[1], self.box[3]),
        )
        return Tile(self.turned, column, row, self.columns, self.rows, shown)

    def _along(self, axis: int, count: int) -> tuple[Floats, NDArray[np.bool_], NDArray[np.bool_]]:
        """Shifts (n), the middle first; whether words are whole on a tile, and clear of edges, (n, words)."""
        length, room = self.box[axis + 2] - self.box[axis], self.room[axis]
        step = room - OVERLAP_MM
        middle = (count * step + OVERLAP_MM - length) / 2
        # The outermost parts are narrower by the shift; with one part there is nothing to shift.
        most = max(0.0, min(middle, room - middle - _LEAST_MM)) if count > 1 else 0.0
        each = _SHIFT_MM * np.arange(1, int(most / _SHIFT_MM) + 1)
        shifts: Floats = np.concatenate([[middle], middle - each, middle + each])
        ends = np.array([(p.box[axis], p.box[axis + 2]) for p in self.words]).reshape(-1, 2) - self.box[axis]
        low = shifts[:, None, None] + ends[None, :, None, 0]
        high = shifts[:, None, None] + ends[None, :, None, 1]
        begins = step * np.arange(count)
        whole = ((low >= begins) & (high <= begins + room)).any(axis=2)
        edges = np.concatenate([begins[1:], begins[:-1] + room])
        clear = ~((low < edges) & (edges < high)).any(axis=2)
        return shifts, np.asarray(whole), np.asarray(clear)


def _count(length: float, room: float) -> int:
    return max(1, ceil((length - OVERLAP_MM) / (room - OVERLAP_MM)))
