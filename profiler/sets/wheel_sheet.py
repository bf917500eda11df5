"""The wheel sheet: all pieces of a set on a page to hang at the wheel, with true-scale sections."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from ..bench_card import CAUTIONS
from ..settings import Settings
from ..sheets.face import folded
from ..sheets.ink import Ink
from ..sheets.page import HAIR, Document, Page
from ..sheets.paper import paper_mm
from ..templates.drawing import Words
from .block import Block
from .counted import Counted
from .weigh_list import weigh_list
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

_SMALL = 6
"""No scale is smaller than 1 to this for the sake of a page less."""

_WORDS, _WORDS_ROW = 2.8, 3.7
_CLAY, _CLAY_ROW = 3.4, 4.8
_HEAD = 19.0
_NOTE_ROW = 7.0
_DATE = 36.0
"""Room for the date beside the title, mm."""

_LEGEND = (
    "Height and rim as thrown, wet, mm, from the bat. Floor: the needle's depth to the bat. Trim, leather-hard: "
    "what comes off under the middle of the base, and the most at the side. Balls are rounded up to {step:g} g. In "
    "the sections the clay that is trimmed off is light."
)


Pages = tuple[tuple[tuple[Block, ...], ...], ...]
"""The cells of a sheet where they go: of each page its columns."""


def write_wheel_sheet(
    title: str, lines: Sequence[Counted], path: Path, *, settings: Settings, paper: str, stamp: str
) -> None:
    """Write the sheet as a PDF of one page, or more where a set is large.

    Args:
        title: of the set.
        lines: its pieces, in the order she wants them; one at least.
        path: the file.
        settings: of her workshop: the step of her scales, what a bag holds.
        paper: a key of the paper sizes.
        stamp: version and digest.
    """
    width, height = paper_mm("Letter" if paper in ("Letter", "Tabloid") else "A4")
    room = width - 2 * _MARGIN
    texts = [_LEGEND.format(step=settings.scales_step_g), *CAUTIONS[:2]]
    said = [line for text in texts for line in folded(text, room, _WORDS)]
    clay = weigh_list(lines, settings.bag_kg).said
    foot = _MARGIN + 5.5 + _WORDS_ROW * len(said)
    low_end = foot + _CLAY_ROW * len(clay) + 1.5
    look, pages = _planned(lines, room, height - _MARGIN - _HEAD - low_end)
    document = Document(path, title, stamp)
    for number, columns in enumerate(pages, 1):
        with document.page(width, height) as page:
            _head(page, title, look.part_of)
            low = _cells(page, columns, height - _MARGIN - _HEAD)
            _notes(page, low, low_end)
            for row, text in enumerate(reversed(clay)):
                page.text(text, _MARGIN, foot + 2 + row * _CLAY_ROW, _CLAY, room=room)
            of = f"page {number} of {len(pages)}" if len(pages) > 1 else ""
            _foot(page, said, foot, of, stamp)
    document.save()


def _planned(lines: Sequence[Counted], room: float, high: float) -> tuple[Look, Pages]:
    """The largest look with which all is on one page, or else the fewest pages of a small one."""
    says_clay = len({line.job.piece.body.digest_text() for line in lines}) > 1
    for columns, size, scales in _LOOKS:
        for part_of in scales:
            look = Look((room - _GAP * (columns - 1)) / columns, size, part_of, says_clay)
            pages = _laid_out(lines, look, columns, high)
            if pages is not None and len(pages) == 1:
                return look, pages
    fewest: tuple[Look, Pages] | None = None
    for part_of in _SEVERAL:
        if fewest is not None and part_of > _SMALL:
            break
        look = Look((room - _GAP) / 2, 1.0, part_of, says_clay)
        pages = _laid_out(lines, look, 2, high)
        if pages is not None and (fewest is None or len(pages) < len(fewest[1])):
            fewest = look, pages
    if fewest is None:
        raise ValueError(f"a piece is larger than a page at 1:{_SEVERAL[-1]}")
    return fewest


def _laid_out(lines: Sequence[Counted], look: Look, columns: int, high: float) -> Pages | None:
    """The cells in columns about as high as each other; None where one of them does not fit."""
    cells = []
    for line in lines:
        cell = cell_of(line, look)
        if cell is None or cell.height > high:
            return None
        cells.append(cell)
    fewest, low = len(_filled(cells, columns, high)), max(cell.height for cell in cells)
    for _ in range(10):
        middle = (low + high) / 2
        low, high = (low, middle) if len(_filled(cells, columns, middle)) == fewest else (middle, high)
    return _filled(cells, columns, high)


def _filled(cells: Sequence[Block], columns: int, high: float) -> Pages:
    """The cells in their order, column after column."""
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
    top, right = page.height - _MARGIN, page.width - _MARGIN
    page.block([Words(title, 0.0, 0.0, 7.0, bold=True)], _MARGIN, top - 10, right - _DATE, top)
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
    rows = int((top - bottom - 1.5 * _GAP) / _NOTE_ROW)
    if rows >= 2:
        page.text("notes", _MARGIN, top - _GAP, 3.2)
        for row in range(1, rows + 1):
            y = top - _GAP - row * _NOTE_ROW + 2
            page.line([(_MARGIN, y), (page.width - _MARGIN, y)], HAIR)


def _foot(page: Page, said: Sequence[str], top: float, of: str, stamp: str) -> None:
    """What the figures mean, and cautions."""
    page.line([(_MARGIN, top), (page.width - _MARGIN, top)])
    y = top - _WORDS_ROW
    for text in said:
        page.text(text, _MARGIN, y, _WORDS)
        y -= _WORDS_ROW
    page.text(of, _MARGIN, _MARGIN - 1, _WORDS)
    page.text(stamp, page.width - _MARGIN, _MARGIN - 1, _WORDS, anchor="end")
