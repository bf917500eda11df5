"""A page that is being filled: where a shape still has room, and how what is left over is shared out."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property
from math import ceil, floor

import numpy as np
from numpy.typing import NDArray

from ..geometry.curve import Floats
from ..templates.drawing import Drawing
from .paper import Leaf
from .shapes import CELL_MM, GAP_MM, Shape, box_shape, shape_of
from .tiles import LABEL_MM, Tile

_SWEEPS = 24  # how often what is on a page is moved apart; most settle in half as many
_TINY = 1e-9


@dataclass(frozen=True)
class Place:
    """A drawing, or a part of one, on a page.

    Attributes:
        index: the drawing's number in the list.
        x: where the lower left of its box, or of the part's, goes, mm on the page.
        y: the same, upwards.
        turned: whether the drawing stands a quarter turned, anticlockwise.
        tile: which part it is, of a drawing too large for a page.
    """

    index: int
    x: float
    y: float
    turned: bool = False
    tile: Tile | None = None


@dataclass(frozen=True)
class Sheet:
    """A page with one or more drawings or parts."""

    leaf: Leaf
    places: tuple[Place, ...]


@dataclass(frozen=True, eq=False)
class Item:
    """A drawing, or a part of one, to be placed.

    Attributes:
        index: the drawing's number in the list.
        drawing: mm.
        tile: the part.
    """

    index: int
    drawing: Drawing
    tile: Tile | None = None

    @cached_property
    def level(self) -> Shape:
        """Its shape as it is drawn, or that of the part and its name."""
        if self.tile is None:
            return shape_of(self.drawing)
        left, bottom, right, top = self.tile.box
        return box_shape(right - left, top + LABEL_MM - bottom, turned=self.tile.turned)

    @cached_property
    def turned(self) -> Shape:
        """Its shape a quarter turned."""
        return shape_of(self.drawing, turned=True)

    def ways(self, pages: Sequence[Leaf], *, turning: bool) -> tuple[Shape, ...]:
        """The shapes it may stand in, level first; turned only if asked for, or if it fits no page level."""
        level = (self.level,) if any(spare(self.level, leaf) for leaf in pages) else ()
        if (level and not turning) or self.tile is not None:
            return level
        return (*level, self.turned) if any(spare(self.turned, leaf) for leaf in pages) else level


def grid(leaf: Leaf) -> tuple[int, int]:
    """Rows and columns of cells of a page with half a gap all round."""
    wide, high = (ceil((room + GAP_MM) / CELL_MM - _TINY) for room in leaf.room)
    return high, wide


def spare(shape: Shape, leaf: Leaf) -> tuple[int, int] | None:
    """Rows and columns of places a shape has on an empty page; None if it does not fit."""
    across, up = leaf.room[0] - shape.width, leaf.room[1] - shape.height
    if min(across, up) < -_TINY:
        return None
    return floor(up / CELL_MM + _TINY) + 1, floor(across / CELL_MM + _TINY) + 1


@dataclass
class _Setting:
    """A shape on a page that is being filled, by the row and column of its lowest left cell."""

    item: Item
    shape: Shape
    row: int
    column: int


class Filling:
    """A page that is being filled."""

    def __init__(self, leaf: Leaf) -> None:
        self.leaf = leaf
        self.searched = 0
        self._settings: list[_Setting] = []
        # A wall all round, a cell thick below and on the left, up to a multiple of eight, which transforms fast.
        rows, columns = grid(leaf)
        self._taken: NDArray[np.bool_] = np.ones([8 * ceil((n + 2) / 8) for n in (rows, columns)], dtype=np.bool_)
        self._taken[1 : rows + 1, 1 : columns + 1] = False
        self._spectrum: NDArray[np.complex128] | None = None

    def takes(self, item: Item, shape: Shape, *, snug: bool) -> bool:
        """Put the shape on the highest free place, or where it touches most; whether there is one."""
        if self._taken.sum() + shape.cells > self._taken.size:
            return False
        rows, columns = np.nonzero(self._free(shape))
        if not len(rows):
            return False
        touched = np.rint(self._met(shape.grown_spectrum)[rows, columns]) if snug else np.zeros(len(rows))
        first = np.lexsort((columns, -rows, -touched))[0]
        setting = _Setting(item, shape, int(rows[first]), int(columns[first]))
        self._settings.append(setting)
        self._mark(setting)
        return True

    @property
    def items(self) -> list[Item]:
        """What is on it."""
        return [setting.item for setting in self._settings]

    def sheet(self) -> Sheet:
        """The page with what is left over shared out evenly, so that nothing is stamped in a corner."""
        self._spread()
        left, bottom, right, top = self.leaf.window
        low = np.array([(s.column, s.row) for s in self._settings]) * CELL_MM + (left, bottom)
        high = low + [(s.shape.width, s.shape.height) for s in self._settings]
        # Cells are coarse: the whole is moved by one at most to stand in the very middle.
        over = ((left + right, bottom + top) - low.min(axis=0) - high.max(axis=0)) / 2
        low += over.clip(-CELL_MM, CELL_MM)
        places = [
            Place(s.item.index, float(x), float(y), s.shape.turned, s.item.tile)
            for s, (x, y) in zip(self._settings, low, strict=True)
        ]
        return Sheet(self.leaf, tuple(sorted(places, key=lambda place: place.index)))

    def _free(self, shape: Shape) -> NDArray[np.bool_]:
        """Whether the shape can stand with its lowest left cell in (row, column), all over the page."""
        rows, columns = spare(shape, self.leaf) or (0, 0)
        return np.asarray(self._met(shape.spectrum)[1 : rows + 1, 1 : columns + 1] < 0.5)

    def _met(self, spectrum: Callable[[tuple[int, int]], NDArray[np.complex128]]) -> Floats:
        """How many taken cells some cells meet that are laid over the page from each (row, column) on."""
        self.searched += self._taken.size
        size = self._taken.shape
        if self._spectrum is None:
            self._spectrum = np.fft.rfft2(self._taken)
        return np.asarray(np.fft.irfft2(self._spectrum * spectrum(size), size))

    def _mark(self, setting: _Setting) -> None:
        """Take what is free, or free what is taken: no two shapes share a cell."""
        cells = setting.shape.taken
        row, column = setting.row + 1, setting.column + 1
        self._taken[row : row + cells.shape[0], column : column + cells.shape[1]] ^= cells
        self._spectrum = None

    def _spread(self) -> None:
        """Move each to the middle of what it has up and down and to both sides, until all stand so."""
        for _ in range(_SWEEPS):
            before = [(s.row, s.column) for s in self._settings]
            for setting in self._settings:
                self._mark(setting)
                free = self._free(setting.shape)
                setting.column = _middle(free[setting.row], setting.column)
                setting.row = _middle(free[:, setting.column], setting.row)
                self._mark(setting)
            if before == [(s.row, s.column) for s in self._settings]:
                break


def _middle(free: NDArray[np.bool_], here: int) -> int:
    """The middle of the run of free places round one."""
    low = here - int(np.argmin(np.append(free[: here + 1][::-1], False))) + 1
    high = here + int(np.argmin(np.append(free[here:], False))) - 1
    return (low + high) // 2
