"""What stands round the drawings on a sheet: bars that prove its size, its name, the stamp, and a map of tiles."""

from __future__ import annotations

from ..lengths import MM_PER_INCH
from ..templates.drawing import Words
from .ink import Ink
from .page import HAIR, Page
from .paper import BOTTOM_MM, LEFT_MM, RIGHT_MM, Correction, Leaf
from .tiles import LABEL_MM, OVERLAP_MM, Tile

BAR_MM = 100.0
MEASURE = "Print at actual size, then measure this bar"
_ACROSS, _UP = "ACROSS, short edge", "UP, long edge"

_BAR = Ink(0.25, "#000000")
_CROSS = Ink(0.18, "#b3261e")
_HERE = Ink(0.2, "#3d3a37", fill="#6d665e")
_CELL = Ink(0.2, "#3d3a37", fill="#ffffff")

_BAR_X, _BAR_Y, _INCH_Y, _FOOT_Y = LEFT_MM, 16.8, 11.8, 5.6
_UP_X, _UP_Y = 7.5, 27.0
_BARS_END = _BAR_X + 4 * MM_PER_INCH + 14
"""Where the bars end and the sheet's own name begins, mm."""

_NAME_LOW, _NAME_HIGH = 9.2, 23.4
"""Where the name stands beside the bars, mm."""


def margins(page: Page, leaf: Leaf, name: str, correction: Correction | None) -> None:
    """The bars, the sheet's name, and what it is corrected for."""
    _bars(page)
    beside = leaf.foot == BOTTOM_MM
    anchor, right = "end" if beside else "start", page.width - RIGHT_MM
    paragraphs = [Words(name, 0, 0, 4.5, anchor, bold=True)]
    if correction is not None:
        paragraphs.append(Words(correction.words, 0, 0, 3.2, anchor))
    if beside:
        page.block(paragraphs, _BARS_END, _NAME_LOW, right, _NAME_HIGH)
    else:
        page.block(paragraphs, _BAR_X, BOTTOM_MM - 2, right, leaf.foot - 2.5)


def foot(page: Page, stamp: str, number: str) -> None:
    """The stamp on the left, the sheet's number on the right."""
    right = page.width - RIGHT_MM
    width = page.text(f"sheet {number}", right, _FOOT_Y, 3.0, anchor="end")
    page.text(f"actual size, 1:1   {stamp}", _BAR_X, _FOOT_Y, 3.0, room=right - _BAR_X - width - 6)


def _bars(page: Page) -> None:
    """100 mm across and up, and 4 in across."""
    # a lying page goes through the printer turned, so a bar is named by the edge of the paper it runs along
    ways = (_UP, _ACROSS) if page.width > page.height else (_ACROSS, _UP)
    _bar(page, (_BAR_X, _BAR_Y), BAR_MM, across=True)
    page.text(f"100 mm {ways[0]}", _BAR_X + 1, _BAR_Y + 2.0, bold=True)
    page.text(MEASURE, _BAR_X + 3, _INCH_Y + 1.4, 3.0)
    inches = 4 * MM_PER_INCH
    _bar(page, (_BAR_X, _INCH_Y), inches, across=True, mark="bar_inches")
    page.text("4 in", _BAR_X + inches + 2, _INCH_Y - 1.1, bold=True)
    _bar(page, (_UP_X, _UP_Y), BAR_MM, across=False)
    page.text(f"100 mm {ways[1]}", _UP_X + 4.2, _UP_Y + BAR_MM / 2, anchor="middle", bold=True, turned=90)


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


def joining(page: Page) -> None:
    """How parts are put together, up the left edge."""
    hint = f"lay cross on cross: {OVERLAP_MM:g} mm overlap"
    page.text(hint, _UP_X + 4.2, _UP_Y + BAR_MM + 8, turned=90, room=page.height - BAR_MM - _UP_Y - 16)


def frame(page: Page, tile: Tile, name: str, x: float, y: float) -> None:
    """The edge of a part of a drawing whose origin is at (x, y), its crosses, and over it its name and a map."""
    left, bottom, right, top = tile.box
    page.rect(left + x, bottom + y, right - left, top - bottom, HAIR, mark="part")
    arm = 0.4 * OVERLAP_MM
    for across, up in tile.crosses():
        page.line([(across + x - arm, up + y), (across + x + arm, up + y)], _CROSS, mark="cross")
        page.line([(across + x, up + y - arm), (across + x, up + y + arm)], _CROSS, mark="cross")
    high = LABEL_MM - 1.5
    cell = min(high / tile.rows, 1.4 * high / tile.columns)
    for row in range(tile.rows):
        for column in range(tile.columns):
            ink = _HERE if (row, column) == (tile.row, tile.column) else _CELL
            where = right + x - (tile.columns - column) * cell, top + y + 1 + (tile.rows - 1 - row) * cell
            page.rect(*where, cell, cell, ink)
    ends = right + x - tile.columns * cell - 2
    page.block([Words(name, 0, 0, 3.2, bold=True)], left + x, top + y + 0.5, ends, top + y + LABEL_MM)
