"""The plan to hang beside the kiln: each time it is filled, the stack from the side and each shelf from above."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from ..lengths import mm
from .load import Load, Shelf
from .plan import columns_said, numbers_of, shelf_plan, shelf_size, side_room, side_view
from .ware import Firing, Ware

if TYPE_CHECKING:
    from ..sheets.page import Document, Page

_MARGIN, _GAP = 12.0, 6.0
_TEXT, _ROW, _CAUTION, _CAUTION_ROW = 3.0, 4.6, 2.7, 3.6
_CAPTION_ROWS, _CAPTION_ROW = 2, 4.0
_SCALES = (2, 2.5, 3, 4, 5, 6, 7, 8, 10, 12, 15, 20, 25, 30, 40, 50)
_BAR_REAL_MM = 200.0

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

    @property
    def scale(self) -> float:
        """Mm of paper to a mm: two shelves side by side, and the view from the side beside its list."""
        return 1 / next(s for s in _SCALES if self._fits(1 / s) or s == _SCALES[-1])

    def _fits(self, scale: float) -> bool:
        kiln, room = self.load.kiln, self.size[0] - 2 * _MARGIN
        width, depth = shelf_size(kiln)
        return (
            2 * scale * width + _GAP <= room
            and side_room(kiln, scale) + _GAP + 80 <= room
            and scale * max(depth, kiln.clear_height) <= 0.36 * self.size[1]
        )

    @contextmanager
    def _page(self, *, first: bool) -> Iterator[tuple[Page, float]]:
        from ..sheets.face import folded

        width, height = self.size
        right, room = width - _MARGIN, width - 2 * _MARGIN
        with self.document.page(width, height) as page:
            y = height - _MARGIN - 5
            page.text(self.title, _MARGIN, y, 6.0, bold=True, room=room)
            y -= 6.2
            for text in folded(self._said(first=first), room, 3.4):
                page.text(text, _MARGIN, y, 3.4)
                y -= 4.8
            page.line([(_MARGIN, y + 2), (right, y + 2)])
            yield page, y - 1
            self._foot(page)

    def _said(self, *, first: bool) -> str:
        load = self.load
        firing = f"{load.firing.capitalize()} firing" + (f" ({load.name})" if load.name else "")
        many = len(load.kilnfuls)
        said = [f"{firing}, kiln load {self.number + 1} of {many}" if many else f"{firing}: nothing goes in"]
        if not first:
            said[0] += ", continued"
        said.append(f"sizes {load.firing.state.words}, as they go in, mm")
        said.append(f"drawn 1:{1 / self.scale:g}")
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
        rows = [["", "kind", "pieces", "high"]]
        for ware in self._here():
            pieces = sum(place.pieces for shelf in self.shelves for place in shelf.places if place.ware == ware)
            name = ware.name
            if self.load.firing is Firing.BISQUE:
                name += f" ({columns_said(self.shelves, ware)})"
            rows.append([str(self.numbers[ware.name]), name, str(pieces), mm(ware.height_mm)])
        low = page.table(rows, left, y, [8, room - 36, 14, 14], size=_TEXT, leading=_ROW, right=(0, 2, 3))
        return min(base - scale * kiln.shelf_thickness, low) - _GAP

    def _here(self) -> list[Ware]:
        """The kinds in this kiln load, by number."""
        wares = {place.ware for shelf in self.shelves for place in shelf.places}
        return sorted(wares, key=lambda ware: self.numbers[ware.name])

    def _shelves(self, page: Page, y: float, left: list[tuple[int, Shelf]]) -> list[tuple[int, Shelf]]:
        """As many shelves as the page has room for, two to a row; returns the others."""
        from ..sheets.face import folded

        kiln, scale = self.load.kiln, self.scale
        width, depth = (scale * size for size in shelf_size(kiln))
        column = (page.width - 2 * _MARGIN - _GAP) / 2
        high = depth + _CAPTION_ROWS * _CAPTION_ROW + 2
        while left and y - high >= self._bottom():
            for place, (number, shelf) in enumerate(left[:2]):
                x = _MARGIN + place * (column + _GAP)
                said = folded(self._shelf_said(number, shelf), column, _TEXT)
                for row, text in enumerate(said[:_CAPTION_ROWS]):
                    page.text(text, x, y - _TEXT - row * _CAPTION_ROW, _TEXT, bold=not row)
                drawing = shelf_plan(shelf, kiln, self.numbers, scale)
                page.draw(drawing, x + width / 2, y - high + depth / 2)
            left = left[2:]
            y -= high + _GAP
        return left

    def _shelf_said(self, number: int, shelf: Shelf) -> str:
        pieces = sum(place.pieces for place in shelf.places)
        said = f"Shelf {number}: {pieces} {'piece' if pieces == 1 else 'pieces'}, tallest {mm(shelf.tallest_mm)}"
        if shelf.posts_mm:
            return f"{said}; posts {' + '.join(mm(post) for post in shelf.posts_mm)} on it"
        return said

    def _cautions(self) -> list[str]:
        from ..sheets.face import folded

        return [line for text in CAUTIONS for line in folded(text, self.size[0] - 2 * _MARGIN, _CAUTION)]

    def _bottom(self) -> float:
        return _MARGIN + 12 + _CAUTION_ROW * len(self._cautions())

    def _foot(self, page: Page) -> None:
        from ..sheets.ink import Ink

        right, y = page.width - _MARGIN, self._bottom() - 4
        bar = self.scale * _BAR_REAL_MM
        page.line([(_MARGIN, y), (_MARGIN + bar, y)], Ink(0.5, "#000000"), "scale_bar")
        for x in (_MARGIN, _MARGIN + bar):
            page.line([(x, y - 1), (x, y + 1)], Ink(0.3, "#000000"))
        page.text(f"{_BAR_REAL_MM:g} mm in the kiln", _MARGIN + bar + 3, y - 1, 2.8)
        key = "solid circle: rim and handles; dashed: foot; small circle at the edge: post; front below"
        page.text(key, right, y - 1, 2.8, anchor="end")
        y -= 3
        page.line([(_MARGIN, y), (right, y)])
        for text in self._cautions():
            y -= _CAUTION_ROW
            page.text(text, _MARGIN, y, _CAUTION)
        page.text(self.stamp, right, _MARGIN - 4, 2.7, anchor="end")
