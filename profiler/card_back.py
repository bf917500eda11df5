"""The back of a bench card: what a millimetre more would do, and a record to write what came out into."""

from __future__ import annotations

from . import card_tables
from .card_tables import Table
from .measures import Measures
from .sheets.ink import Ink
from .sheets.page import Page

MARGIN = 12.0

_SIZE, _ROW = 3.2, 5.2
_HEAD = 15.0
_REMARK, _REMARK_ROW = 3.0, 4.0

_LEAST_RECORD_ROW, _RECORD_ROW = 5.2, 10.0
"""Height of a row to write in with a pencil, at the least and where there is room, mm."""

_LABEL, _PLANNED = 52.0, 17.0
"""Widths of the record's first columns; those for the pots share the rest, mm."""

_SHARES = (0.24, 0.11, 0.11, 0.125, 0.125, 0.145, 0.145)
"""Of the room for the columns of the what-if table."""

_NOTE_ROW = 9.0
_RULE = Ink(0.15, "#8a857f")

SAID = (
    "One change alone, in fired millimetres; all else stays as the design file has it, and the piece is made anew.",
    "The numbers are by how much each one moves. A dash: the design has no such size, or no room for more.",
)
"""Under the what-if table."""

NEXT_TIME = "next time:"


def write_back(page: Page, measures: Measures, what_if: Table | None, remarks: list[str], stamp: str) -> None:
    """Draw the back of a card.

    Args:
        page: to draw on.
        measures: of the piece.
        what_if: the table of moves; None where it stands on the front.
        remarks: lines the front has no room for.
        stamp: version and digest.
    """
    room, bottom = page.width - 2 * MARGIN, MARGIN + 4
    y = _head(page, measures)
    if what_if is not None:
        y = write_what_if(page, what_if, y - 4) - 2
    for text in remarks:
        y -= _REMARK_ROW
        page.text(text, MARGIN, y, _REMARK)
    y -= 4
    rows = card_tables.record(measures)
    high = min(_RECORD_ROW, max(_LEAST_RECORD_ROW, (y - bottom) / len(rows)))
    pot = (room - _LABEL - _PLANNED) / card_tables.POTS
    widths = [_LABEL, _PLANNED] + [pot] * card_tables.POTS
    low = page.table(rows, MARGIN, y, widths, size=_SIZE, leading=high, right=(1,))
    for number in range(card_tables.POTS + 1):
        x = MARGIN + _LABEL + _PLANNED + number * pot
        page.line([(x, y - high), (x, low)], _RULE)
    y = low - _NOTE_ROW
    if y > bottom:
        page.text(NEXT_TIME, MARGIN, y + 1.2, _SIZE)
    while y > bottom:
        page.line([(MARGIN, y), (page.width - MARGIN, y)], _RULE)
        y -= _NOTE_ROW
    page.text(stamp, page.width - MARGIN, MARGIN - 1, 2.7, anchor="end")


def write_what_if(page: Page, table: Table, top: float) -> float:
    """The table of moves over the whole width, and what it says; returns its lower edge, mm."""
    room = page.width - 2 * MARGIN
    widths = [share * room for share in _SHARES]
    right = tuple(range(1, table.columns + 1))
    y = page.table(table.rows, MARGIN, top, widths, size=_SIZE, leading=_ROW, right=right)
    for text in SAID:
        y -= 3.8
        page.text(text, MARGIN, y, 2.7, room=room)
    return y - 1


def _head(page: Page, measures: Measures) -> float:
    top, right = page.height - MARGIN, page.width - MARGIN
    page.text(measures.piece.design.title, MARGIN, top - 6, 6.4, bold=True, room=right - MARGIN, smallest=5.2)
    page.text("clay batch ____________   firing ____________   date ____________", MARGIN, top - 12, _SIZE)
    page.line([(MARGIN, top - _HEAD), (right, top - _HEAD)], Ink(0.4, "#3d3a37"))
    return top - _HEAD
