"""The wheel sheet: all pieces of a set on a page to hang at the wheel, with true-scale sections."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from ..bench_card import CAUTIONS
from ..settings import Settings
from ..sheets.face import folded
from ..sheets.ink import Ink
from ..sheets.page import HAIR, Document, Page
from ..sheets.paper import paper_mm
from .block import Block
from .counted import Counted
from .wheel_cell import Look, cell_of

_MARGIN = 12.0
_GAP = 6.0
"""Between cells, mm."""

_LINE = Ink(0.4, "#3d3a37")

_LOOKS: tuple[tuple[int, float, tuple[int, ...]], ...] = (
    (1, 1.7, (2, 3, 4)),
    (1, 1.45, (2, 3, 4)),
    (1, 1.2, (2, 3, 4)),
    (2, 1.2, (3, 4, 5)),
    (2, 1.0, (3, 4, 5, 6)),
    (2, 0.9, (4, 5, 6)),
)
"""Columns, size of the lettering and scales, the first with which all is on one page."""

_SEVERAL = (4, 5, 6, 8, 10, 12, 15, 20, 25)
"""Scales of a set that takes several pages."""

_WORDS, _WORDS_ROW = 2.8, 3.7
_HEAD = 19.0
_NOTE_ROW = 7.0

_LEGEND = (
    "Height and width as thrown, wet, mm, from the bat. Floor: the needle's depth to the bat. Trim, leather-hard: "
    "what comes off under the middle of the base, and the most at the side. Balls are rounded up to {step:g} g. In the "
    "sections the clay that is trimmed off is light."
)


@dataclass(frozen=True, eq=False)
class _Plan:
    """The cells of a sheet where they go.

    Attributes:
        look: of all of them.
        pages: of each, its columns of cells.
    """

    look: Look
    pages: tuple[tuple[tuple[Block, ...], ...], ...]


def write_wheel_sheet(
    title: str, lines: Sequence[Counted], path: Path, *, settings: Settings, paper: str, stamp: str
) -> None:
    """Write the sheet as a PDF of one page, or more where a set is large.

    Args:
        title: of the set.
        lines: its pieces, in the order she wants them; one at least.
        path: the file.
        settings: of her workshop: the step of her scales.
        paper: a key of the paper sizes.
        stamp: version and digest.
    """
    width, height = paper_mm("Letter" if paper in ("Letter", "Tabloid") else "A4")
    room = width - 2 * _MARGIN
    texts = [_LEGEND.format(step=settings.scales_step_g), *CAUTIONS[:2]]
    said = [line for text in texts for line in folded(text, room, _WORDS)]
    foot = _MARGIN + 5.5 + _WORDS_ROW * len(said)
    plan = _planned(lines, room, height - _MARGIN - _HEAD - foot)
    document = Document(path, title, stamp)
    for number, columns in enumerate(plan.pages, 1):
        with document.page(width, height) as page:
            _head(page, title, plan.look.part_of)
            low = _cells(page, columns, height - _MARGIN - _HEAD)
            if number == len(plan.pages):
                _notes(page, low, foot)
            of = f"page {number} of {len(plan.pages)}" if len(plan.pages) > 1 else ""
            _foot(page, said, foot, of, stamp)
    document.save()


def _planned(lines: Sequence[Counted], room: float, high: float) -> _Plan:
    """The largest look with which all is on one page, or else several pages of the smallest."""
    says_clay = len({line.job.piece.body.digest_text() for line in lines}) > 1
    for columns, size, scales in _LOOKS:
        for part_of in scales:
            look = Look((room - _GAP * (columns - 1)) / columns, size, part_of, says_clay)
            pages = _pages(lines, look, columns, high)
            if pages is not None and len(pages) == 1:
                return _Plan(look, pages)
    for part_of in _SEVERAL:
        look = Look((room - _GAP) / 2, 1.0, part_of, says_clay)
        pages = _pages(lines, look, 2, high)
        if pages is not None:
            return _Plan(look, pages)
    raise ValueError("a piece is larger than a page at 1:25")


def _pages(
    lines: Sequence[Counted], look: Look, columns: int, high: float
) -> tuple[tuple[tuple[Block, ...], ...], ...] | None:
    """The cells filled in column after column; None where one of them does not fit."""
    cells = []
    for line in lines:
        cell = cell_of(line, look)
        if cell is None or cell.height > high:
            return None
        cells.append(cell)
    filled: list[list[Block]] = [[]]
    used = 0.0
    for cell in cells:
        if filled[-1] and used + cell.height > high:
            filled.append([])
            used = 0.0
        filled[-1].append(cell)
        used += cell.height + _GAP
    pages = [filled[at : at + columns] for at in range(0, len(filled), columns)]
    return tuple(tuple(tuple(column) for column in page) for page in pages)


def _head(page: Page, title: str, part_of: int) -> None:
    """Title, and the bar that says how large the sections are."""
    top, right, room = page.height - _MARGIN, page.width - _MARGIN, page.width - 2 * _MARGIN
    page.text(title, _MARGIN, top - 6, 7.0, bold=True, room=room - 62, smallest=4.0)
    page.text("date __________", right, top - 5, 3.2, anchor="end")
    page.text("At the wheel: what to weigh, throw and trim.", _MARGIN, top - 13, 3.2)
    long = 100 / part_of
    left, y = right - long - 12, top - 12.5
    page.text(f"sections 1:{part_of}", left - 5, y - 0.9, 3.2, anchor="end")
    page.line([(left, y), (left + long, y)], _LINE, mark="scale")
    for at, text in ((0.0, "0"), (0.5, ""), (1.0, "100 mm")):
        page.line([(left + at * long, y - 1.2), (left + at * long, y + 1.2)], _LINE)
        page.text(text, left + at * long, y - 4.3, 2.7, anchor="middle")
    page.line([(_MARGIN, top - 17.5), (right, top - 17.5)], _LINE)


def _cells(page: Page, columns: Sequence[Sequence[Block]], top: float) -> float:
    """All cells of a page, a hairline between them; returns the lower edge of the last."""
    x, low = _MARGIN, top
    for column in columns:
        y = top
        for number, cell in enumerate(column):
            if number:
                page.line([(x, y + _GAP / 2), (x + cell.width, y + _GAP / 2)], HAIR)
            cell.draw(page, x, y)
            y -= cell.height + _GAP
        low = min(low, y + _GAP)
        x += column[0].width + _GAP
    return low


def _notes(page: Page, top: float, bottom: float) -> None:
    """Lines to write on, where the page has room left."""
    rows = int((top - bottom - _GAP) / _NOTE_ROW)
    if rows >= 2:
        page.text("notes", _MARGIN, top - _GAP, 3.2)
        for row in range(1, rows + 1):
            y = top - _GAP - row * _NOTE_ROW + 2
            page.line([(_MARGIN + 14 * (row == 0), y), (page.width - _MARGIN, y)], HAIR)


def _foot(page: Page, said: Sequence[str], top: float, of: str, stamp: str) -> None:
    """What the figures mean, and cautions."""
    page.line([(_MARGIN, top), (page.width - _MARGIN, top)])
    y = top - _WORDS_ROW
    for text in said:
        page.text(text, _MARGIN, y, _WORDS)
        y -= _WORDS_ROW
    page.text(of, _MARGIN, _MARGIN - 1, _WORDS)
    page.text(stamp, page.width - _MARGIN, _MARGIN - 1, _WORDS, anchor="end")
