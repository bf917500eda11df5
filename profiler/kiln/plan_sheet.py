"""The plan to hang beside the kiln: each time it is filled, the stack from the side and each shelf from above."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from ..lengths import mm
from .load import Load, Shelf
from .plan import numbers_of, shelf_plan, shelf_size, side_room, side_view, stacks_said
from .ware import Firing, Ware

if TYPE_CHECKING:
    from ..sheets.page import Document, Page

_MARGIN, _GAP = 12.0, 6.0
_TEXT, _ROW, _CAUTION, _CAUTION_ROW = 3.0, 4.6, 2.7, 3.6
_CAPTION_HIGH = 9.5
_LIST, _STACKS, _LEAST_COLUMN = 66.0, 19.0, 56.0
"""Least widths of the list of kinds, of its column of stacks, and of the words over a shelf, mm."""
_SCALES = (2, 2.5, 3, 3.5, 4, 4.5, 5, 5.5, 6, 6.5, 7, 7.5, 8, 9, 10, 12, 15, 20, 25, 30, 40, 50)
_SMALLEST = 10
_BAR_REAL_MM = 200.0

_KEY = "A filled circle: rim and handles; dashed in it: foot; small and empty at the edge: post. The front is below."

CAUTIONS = (
    "Sizes are computed: hold a piece against its circle before the shelf is full. Circles of a rim take in its "
    "handles; a wide rim over a low neighbour is not counted on.",
    "Follow the kiln's manual for clearances and cones, vent it outdoors, have it wired by a licensed electrician "
    "under the local code. Shelves are heavy and stay hot for hours: open it only when its manual says so.",
)


def write_kiln_plan(title: str, loads: Sequence[Load], path: Path, *, paper: str, stamp: str) -> None:
    """Write the plan as a PDF, A4 or Letter: for each firing, each time the kiln is filled.

    Args:
        title: of the set.
        loads: one for each firing.
        path: the file.
        paper: a key of the paper sizes; Letter for the American ones, else A4.
        stamp: version and digest.
    """
    from ..sheets.page import Document
    from ..sheets.paper import paper_mm

    size = paper_mm("Letter" if paper in ("Letter", "Tabloid") else "A4")
    document = Document(path, f"{title}: kiln plan", stamp)
    numbers = numbers_of(loads)
    for load in loads:
        for number in range(max(1, len(load.kilnfuls))):
            _Sheet(document, size, title, load, number, numbers, stamp).write()
    document.save()


@dataclass
class _Sheet:
    """The pages of one filling of the kiln."""

    document: Document
    size: tuple[float, float]
    title: str
    load: Load
    number: int
    numbers: dict[str, int]
    stamp: str

    def write(self) -> None:
        """Write them."""
        left = list(enumerate(self.shelves, start=1))
        with self._page(first=True) as (page, y):
            y = self._overview(page, y)
            left = self._shelves(page, y, left)
        while left:
            with self._page(first=False) as (page, y):
                left = self._shelves(page, y, left)

    @property
    def shelves(self) -> tuple[Shelf, ...]:
        """From the lowest up."""
        return self.load.kilnfuls[self.number] if self.load.kilnfuls else ()

    @cached_property
    def scale(self) -> float:
        """Mm of paper to a mm: the largest with which all is on one page, if that can be read; else two to a row."""
        whole = [1 / s for s in _SCALES if s <= _SMALLEST and self._high(1 / s) <= self._room_mm]
        return max((s for s in whole if self._beside(s)), default=self._in_pairs())

    def _in_pairs(self) -> float:
        """The largest scale with two shelves side by side."""
        width, depth = shelf_size(self.load.kiln)
        tall = max(depth, self.load.kiln.clear_height)
        fit = (1 / s for s in _SCALES if self._beside(1 / s) and tall / s <= 0.36 * self.size[1])
        return next((s for s in fit if 2 * s * width + _GAP <= self._across), 1 / _SCALES[-1])

    @property
    def _across(self) -> float:
        return self.size[0] - 2 * _MARGIN

    @property
    def _room_mm(self) -> float:
        """Height between head and foot of a first page."""
        return self.size[1] - _MARGIN - 5 - 6.2 - 4.8 * len(self._head(first=True)) + 1 - self._bottom()

    def _beside(self, scale: float) -> bool:
        """Whether the list of kinds has room beside the view from the side."""
        return (
            side_room(self.load.kiln, scale) + _GAP + _LIST + _STACKS * (self.load.firing is Firing.BISQUE)
            <= self._across
        )

    def _columns(self, scale: float) -> int:
        width = scale * shelf_size(self.load.kiln)[0]
        return max(1, int((self._across + _GAP) / (max(width, _LEAST_COLUMN) + _GAP)))

    def _row_high(self, scale: float) -> float:
        return scale * shelf_size(self.load.kiln)[1] + _CAPTION_HIGH + _GAP

    def _high(self, scale: float) -> float:
        """Height the whole kiln load takes, mm of paper."""
        kiln, rows = self.load.kiln, -(-len(self.shelves) // self._columns(scale))
        side = 4 + scale * (kiln.clear_height + kiln.shelf_thickness)
        return max(side, _ROW * (1 + len(self._here()))) + _GAP + rows * self._row_high(scale)

    @contextmanager
    def _page(self, *, first: bool) -> Iterator[tuple[Page, float]]:
        width, height = self.size
        right, room = width - _MARGIN, width - 2 * _MARGIN
        with self.document.page(width, height) as page:
            y = height - _MARGIN - 5
            page.text(f"{self.title}: kiln plan", _MARGIN, y, 6.0, bold=True, room=room)
            y -= 6.2
            for text in self._head(first=first):
                page.text(text, _MARGIN, y, 3.4)
                y -= 4.8
            page.line([(_MARGIN, y + 2), (right, y + 2)])
            yield page, y - 1
            self._foot(page)

    def _head(self, *, first: bool) -> list[str]:
        from ..sheets.face import folded

        return folded(self._said(first=first), self._across, 3.4)

    def _said(self, *, first: bool) -> str:
        load = self.load
        firing = f"{load.firing.capitalize()} firing" + (f" “{load.name}”" if load.name else "")
        many = len(load.kilnfuls)
        said = [f"{firing}, kiln load {self.number + 1} of {many}" if many else f"{firing}: nothing goes in"]
        if not first:
            said[0] += ", continued"
        said.append(f"sizes {load.firing.state.words}, as they go in, mm")
        if load.left_out and self.number == 0 and first:
            names = ", ".join(ware.name for ware in load.left_out)
            said.append(f"too large for this kiln: {names}")
        return "; ".join(said)

    def _overview(self, page: Page, y: float) -> float:
        """The view from the side, and beside it what each number is; returns the lower edge."""
        kiln, scale = self.load.kiln, self.scale
        side = side_view(self.shelves, kiln, scale)
        width, _ = shelf_size(kiln)
        base = y - 4 - scale * kiln.clear_height
        page.draw(side, _MARGIN + 6 + scale * width / 2, base)
        left = _MARGIN + side_room(kiln, scale) + _GAP
        room = page.width - _MARGIN - left
        bisque = self.load.firing is Firing.BISQUE
        rows = [["", "kind", "high", "pieces", *(["stacks of"] if bisque else [])]]
        for ware in self._here():
            pieces = sum(place.pieces for shelf in self.shelves for place in shelf.places if place.ware == ware)
            row = [str(self.numbers[ware.name]), ware.name, mm(ware.height_mm), str(pieces)]
            rows.append([*row, stacks_said(self.shelves, ware)] if bisque else row)
        widths = [8.0, room - 35 - _STACKS * bisque, 13.0, 14.0, *([_STACKS] if bisque else [])]
        low = page.table(rows, left, y, widths, size=_TEXT, leading=_ROW, right=(0, 2, 3))
        return min(base - scale * kiln.shelf_thickness, low) - _GAP

    def _here(self) -> list[Ware]:
        """The kinds in this kiln load, by number."""
        wares = {place.ware for shelf in self.shelves for place in shelf.places}
        return sorted(wares, key=lambda ware: self.numbers[ware.name])

    def _shelves(self, page: Page, y: float, left: list[tuple[int, Shelf]]) -> list[tuple[int, Shelf]]:
        """As many shelves as the page has room for, two to a row; returns the others."""
        kiln, scale = self.load.kiln, self.scale
        width, depth = (scale * size for size in shelf_size(kiln))
        columns, high = self._columns(scale), self._row_high(scale)
        step = (self._across + _GAP) / columns
        while left and y - high + _GAP >= self._bottom() - 1e-6:
            for place, (number, shelf) in enumerate(left[:columns]):
                x = _MARGIN + place * step
                pieces = sum(place.pieces for place in shelf.places)
                page.text(
                    f"Shelf {number}: {pieces} {'piece' if pieces == 1 else 'pieces'}", x, y - 3, 3.2, bold=True
                )
                page.text(_under(shelf), x, y - 7.2, _TEXT, room=step - _GAP)
                drawing = shelf_plan(shelf, kiln, self.numbers, scale)
                page.draw(drawing, x + width / 2, y - _CAPTION_HIGH - depth / 2)
            left = left[columns:]
            y -= high
        return left

    def _cautions(self) -> list[str]:
        from ..sheets.face import folded

        return [line for text in CAUTIONS for line in folded(text, self.size[0] - 2 * _MARGIN, _CAUTION)]

    def _bottom(self) -> float:
        return _MARGIN + 15.5 + _CAUTION_ROW * len(self._cautions())

    def _foot(self, page: Page) -> None:
        from ..sheets.ink import Ink

        right, y = page.width - _MARGIN, self._bottom() - 4
        bar = self.scale * _BAR_REAL_MM
        page.line([(_MARGIN, y), (_MARGIN + bar, y)], Ink(0.5, "#000000"), "scale_bar")
        for x in (_MARGIN, _MARGIN + bar):
            page.line([(x, y - 1), (x, y + 1)], Ink(0.3, "#000000"))
        page.text(f"{_BAR_REAL_MM:g} mm, drawn 1:{1 / self.scale:g}", _MARGIN + bar + 3, y - 1, 2.8)
        page.text(_KEY, _MARGIN, y - 5.5, 2.8)
        y -= 7.5
        page.line([(_MARGIN, y), (right, y)])
        for text in self._cautions():
            y -= _CAUTION_ROW
            page.text(text, _MARGIN, y, _CAUTION)
        page.text(self.stamp, right, _MARGIN - 4, 2.7, anchor="end")


def _under(shelf: Shelf) -> str:
    """What a shelf's words say in their second line."""
    posts = " + ".join(mm(post) for post in shelf.posts_mm)
    return f"tallest {mm(shelf.tallest_mm)}" + (f"; posts {posts} on it" if posts else "; nothing over it")
