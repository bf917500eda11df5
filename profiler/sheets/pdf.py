"""Templates at 1:1 on paper: every page proves its size with two bars."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from ..lengths import MM_PER_INCH
from ..templates.drawing import Drawing
from . import face
from .extent import box_of
from .ink import Ink
from .layout import OVERLAP_MM, SharedPage, Tile, laid_out
from .page import HAIR, NOTE_MM, Document, Page
from .paper import LEFT_MM, RIGHT_MM, leaves, stretch

BAR_MM = 100.0
MEASURE = "Print at actual size, then measure this bar"

_BAR = Ink(0.25, "#000000")
_CROSS = Ink(0.18, "#b3261e")
_HERE = Ink(0.2, "#3d3a37", fill="#6d665e")
_CELL = Ink(0.2, "#3d3a37", fill="#ffffff")

_BAR_X, _BAR_Y, _INCH_Y, _FOOT_Y = LEFT_MM, 16.8, 11.8, 5.6
_UP_X, _UP_Y = 7.5, 27.0
_RIGHT_PART = _BAR_X + 4 * MM_PER_INCH + 14
"""Where the bars end and the sheet's own name begins, mm."""


def write_templates_pdf(
    drawings: Sequence[Drawing],
    path: Path,
    *,
    paper: str,
    stamp: str,
    correction: tuple[float, float] | None = None,
) -> None:
    """Write drawings at 1:1 to a PDF: small ones share a page, large ones are tiled.

    Args:
        drawings: mm, in the order they are wanted.
        path: the file.
        paper: a key of `PAPERS_MM`, in any case.
        stamp: version and digest, on every page.
        correction: what the bars across and up of an upright page measured on this printer, mm; the pages
            make up for it. None if they measured 100.

    Raises:
        ValueError: unknown paper, a correction that cannot be one, or no drawing.
    """
    if not drawings:
        raise ValueError("a PDF of templates needs at least one drawing")
    boxes = [box_of(drawing) for drawing in drawings]
    sizes = [(right - left, top - bottom) for left, bottom, right, top in boxes]
    pages = laid_out(sizes, leaves(paper, correction))
    document = Document(path, _titles(drawings), stamp)
    for number, sheet in enumerate(pages, 1):
        leaf = sheet.leaf
        with document.page(leaf.width, leaf.height, stretch(correction, landscape=leaf.landscape)) as page:
            if isinstance(sheet, Tile):
                here = [drawings[sheet.index]]
                left, bottom = boxes[sheet.index][:2]
                _tile(page, sheet, here[0].moved(sheet.x - left, sheet.y - bottom))
            else:
                here = [drawings[place.index] for place in sheet.places]
                _whole(page, sheet, drawings, boxes)
            _bars(page)
            _foot(page, here, stamp, f"{number} of {len(pages)}")
    document.save()


def _titles(drawings: Sequence[Drawing]) -> str:
    return " · ".join(dict.fromkeys(d.title for d in drawings))


def _named(drawing: Drawing) -> str:
    return drawing.name.replace("_", " ")


def _whole(
    page: Page,
    sheet: SharedPage,
    drawings: Sequence[Drawing],
    boxes: Sequence[tuple[float, float, float, float]],
) -> None:
    for place in sheet.places:
        left, bottom = boxes[place.index][:2]
        page.draw(drawings[place.index], place.x - left, place.y - bottom)
    room = page.width - RIGHT_MM - _RIGHT_PART
    names = ", ".join(_named(drawings[place.index]) for place in sheet.places)
    page.text(names, page.width - RIGHT_MM, _BAR_Y, 4.5, bold=True, anchor="end", room=room, smallest=NOTE_MM)
    page.text("actual size, 1:1", page.width - RIGHT_MM, _INCH_Y, anchor="end", room=room)


def _tile(page: Page, tile: Tile, drawing: Drawing) -> None:
    """A part of a drawing, its frame, the crosses to lay over the neighbour's, its name and the key map."""
    left, bottom, right, top = tile.leaf.window
    with page.clipped(left, bottom, right, top):
        page.draw(drawing, 0, 0)
    page.rect(left, bottom, right - left, top - bottom, HAIR)
    arm = 0.4 * OVERLAP_MM
    for x, y in tile.crosses():
        page.line([(x - arm, y), (x + arm, y)], _CROSS, mark="cross")
        page.line([(x, y - arm), (x, y + arm)], _CROSS, mark="cross")
    map_width = _key_map(page, tile)
    ends = right - map_width - 4
    room = ends - _RIGHT_PART
    page.text(f"{tile.name} of {_named(drawing)}", ends, _BAR_Y, 4.5, bold=True, anchor="end", room=room, smallest=3)
    where = f"row {tile.row + 1} of {tile.rows}, column {tile.column + 1} of {tile.columns}"
    page.text(where, ends, _INCH_Y, anchor="end", room=room)
    hint = f"lay cross on cross: {OVERLAP_MM:g} mm overlap"
    page.text(hint, _UP_X + 4.2, _UP_Y + BAR_MM + 8, turned=90, room=page.height - BAR_MM - _UP_Y - 16)


def _key_map(page: Page, tile: Tile) -> float:
    """Small map of all tiles with this one dark, in the lower right; returns its width, mm."""
    cell = min(26 / (tile.columns * tile.leaf.room[0]), 12.5 / (tile.rows * tile.leaf.room[1]))
    wide, high = cell * tile.leaf.room[0], cell * tile.leaf.room[1]
    right, top = page.width - RIGHT_MM, 22.8
    for row in range(tile.rows):
        for column in range(tile.columns):
            here = (row, column) == (tile.row, tile.column)
            x, y = right - (tile.columns - column) * wide, top - (row + 1) * high
            page.rect(x, y, wide, high, _HERE if here else _CELL)
    return tile.columns * wide


def _bars(page: Page) -> None:
    """100 mm across and up, and 4 in across."""
    _bar(page, (_BAR_X, _BAR_Y), BAR_MM, across=True)
    label = page.text("100 mm", _BAR_X + 1, _BAR_Y + 2.0, bold=True)
    page.text(MEASURE, _BAR_X + 1 + label + 2.5, _BAR_Y + 2.0, room=BAR_MM - label - 4.5)
    inches = 4 * MM_PER_INCH
    _bar(page, (_BAR_X, _INCH_Y), inches, across=True, mark="bar_inches")
    page.text("4 in", _BAR_X + inches + 2, _INCH_Y - 1.1, bold=True)
    _bar(page, (_UP_X, _UP_Y), BAR_MM, across=False)
    page.text("100 mm", _UP_X + 4.2, _UP_Y + BAR_MM / 2, anchor="middle", bold=True, turned=90)


def _bar(page: Page, start: tuple[float, float], length: float, *, across: bool, mark: str = "bar") -> None:
    (x, y), tick = start, 1.4
    if across:
        page.line([(x, y), (x + length, y)], _BAR, mark)
        for end in (x, x + length):
            page.line([(end, y - tick), (end, y + tick)], _BAR)
    else:
        page.line([(x, y), (x, y + length)], _BAR, mark)
        for end in (y, y + length):
            page.line([(x - tick, end), (x + tick, end)], _BAR)


def _foot(page: Page, here: Sequence[Drawing], stamp: str, number: str) -> None:
    """Titles on the left, the stamp and the sheet's number on the right; the names stand above them."""
    right = page.width - RIGHT_MM
    last = f"{stamp}   sheet {number}"
    text, size = face.fitted(last, 0.45 * (right - LEFT_MM), 3.0, 2.6)
    width = page.text(text, right, _FOOT_Y, size, anchor="end")
    page.text(_titles(here), _BAR_X, _FOOT_Y, 3.0, room=right - LEFT_MM - width - 6)
