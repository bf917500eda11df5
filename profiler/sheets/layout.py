"""Which drawing goes where: small ones share a page, a large one is tiled. Numbers only, no file format."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

from .paper import Leaf

GAP_MM = 8.0
"""Kept free between two drawings on a page: room for scissors."""

OVERLAP_MM = 10.0
"""How much two neighbouring tiles both show."""


@dataclass(frozen=True)
class Place:
    """A drawing on a page: its number in the list, and where its box's lower left goes, mm on the page."""

    index: int
    x: float
    y: float


@dataclass(frozen=True)
class SharedPage:
    """A page with one or more whole drawings."""

    leaf: Leaf
    places: tuple[Place, ...]


@dataclass(frozen=True)
class Tile:
    """A page with one part of a drawing too large for it.

    Attributes:
        leaf: the page.
        index: the drawing's number in the list.
        column: from the left, from 0.
        row: from the top, from 0.
        columns: how many in all.
        rows: how many in all.
        x: where the lower left of the drawing's whole box goes, mm on the page.
        y: the same, upwards.
    """

    leaf: Leaf
    index: int
    column: int
    row: int
    columns: int
    rows: int
    x: float
    y: float

    @property
    def name(self) -> str:
        """Row letter and column number, the top left one A1."""
        return f"{row_letters(self.row)}{self.column + 1}"

    def crosses(self) -> list[tuple[float, float]]:
        """Where crosses go, mm on the page: the middles of the overlaps' corners, shared with a neighbour."""
        left, bottom, right, top = self.leaf.window
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


def laid_out(sizes: Sequence[tuple[float, float]], pages: tuple[Leaf, Leaf]) -> list[SharedPage | Tile]:
    """Pages for drawings of the given widths and heights (mm), in their order, upright pages preferred."""
    shared: list[_Shelves] = []
    order: list[_Shelves | list[Tile]] = []
    for index, size in enumerate(sizes):
        if any(shelves.takes(index, size) for shelves in shared):
            continue
        leaf = next((p for p in pages if size[0] <= p.room[0] and size[1] <= p.room[1]), None)
        if leaf is None:
            order.append(_tiles(index, size, pages))
        else:
            shelves = _Shelves(leaf)
            shelves.takes(index, size)
            shared.append(shelves)
            order.append(shelves)
    result: list[SharedPage | Tile] = []
    for entry in order:
        result.extend([entry.page()] if isinstance(entry, _Shelves) else entry)
    return result


class _Shelves:
    """A page that is being filled: shelves from the top down, each filled from the left."""

    def __init__(self, leaf: Leaf) -> None:
        self.leaf = leaf
        self.shelves: list[list[tuple[int, float, float]]] = []

    def takes(self, index: int, size: tuple[float, float]) -> bool:
        """Put the drawing on a shelf if one has room, or on a new one."""
        wide, high = self.leaf.room
        for shelf in self.shelves:
            others = self._height() - max(h for _, _, h in shelf)
            used = sum(w + GAP_MM for _, w, _ in shelf)
            if used + size[0] <= wide and others + max(size[1], *(h for _, _, h in shelf)) <= high:
                shelf.append((index, *size))
                return True
        fresh = self._height() + (GAP_MM if self.shelves else 0) + size[1]
        if size[0] <= wide and fresh <= high:
            self.shelves.append([(index, *size)])
            return True
        return False

    def _height(self) -> float:
        return sum(max(h for _, _, h in shelf) for shelf in self.shelves) + GAP_MM * max(0, len(self.shelves) - 1)

    def page(self) -> SharedPage:
        """The page with what is left over shared out evenly, so that nothing is stamped in a corner."""
        left, _, right, top = self.leaf.window
        spare = (self.leaf.room[1] - self._height()) / (len(self.shelves) + 1)
        places = []
        for shelf in self.shelves:
            high = max(h for _, _, h in shelf)
            top -= spare
            between = (right - left - sum(w + GAP_MM for _, w, _ in shelf) + GAP_MM) / (len(shelf) + 1)
            x = left + between
            for index, wide, h in shelf:
                places.append(Place(index, x, top - (high + h) / 2))
                x += wide + GAP_MM + between
            top -= high + GAP_MM
        return SharedPage(self.leaf, tuple(places))


def _tiles(index: int, size: tuple[float, float], pages: tuple[Leaf, Leaf]) -> list[Tile]:
    leaf = min(pages, key=lambda p: _count(size[0], p.room[0]) * _count(size[1], p.room[1]))
    (wide, high), (left, bottom, _, _) = leaf.room, leaf.window
    columns, rows = _count(size[0], wide), _count(size[1], high)
    step_x, step_y = wide - OVERLAP_MM, high - OVERLAP_MM
    # The whole grid is a little larger than the drawing, which stands in its middle.
    margin_x = (columns * step_x + OVERLAP_MM - size[0]) / 2
    margin_y = (rows * step_y + OVERLAP_MM - size[1]) / 2
    return [
        Tile(
            leaf,
            index,
            column,
            row,
            columns,
            rows,
            left + margin_x - column * step_x,
            bottom + margin_y - (rows - 1 - row) * step_y,
        )
        for row in range(rows)
        for column in range(columns)
    ]


def _count(length: float, room: float) -> int:
    return max(1, ceil((length - OVERLAP_MM) / (room - OVERLAP_MM)))
