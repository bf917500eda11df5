"""Breaking what a template says into lines of text: words stay whole, and a number stays with its unit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from re import compile as pattern

from ..sheets.face import ASCENT, DESCENT, missing, width_mm
from .lettering import Lettering

NOTE_MM, LEAST_MM = 3.6, 3.0
"""Font sizes: of a note; the least that is read at arm's length."""

_TITLE_MM, _TOOL_MM, _KEY_MM = 5.5, 4.2, 4.7
_PITCH = 1.3  # of lines, in font sizes
_INDENT_MM = 2.5
_HEAD_SCALES, _HEAD_WIDTHS = (1.0, 0.88, 0.78), (120.0, 78.0, 58.0, 46.0, 38.0)
_MOST_TITLE = 3  # lines
_CRAMPED_SCALES, _CRAMPED_WIDTHS = (0.78, 0.62), (78.0, 58.0, 44.0, 32.0)
_NOTE_WIDTHS = (100.0, 72.0, 55.0, 44.0, 36.0)
# What it costs to have a head a size smaller, a line more in it, or the key among the notes.
_SMALL, _BROKEN, _CRAMPED = 0.5, 0.3, 5.0
_BETWEEN = pattern(r"(?<!±) (?! *(?:mm|%|±))")
_WIDER = 0.06  # a character that the sheets' face lacks comes from a viewer's own face, a full size wide


@dataclass(frozen=True)
class Row:
    """A line of text as it is set: font size and indent in mm."""

    text: str
    size: float
    bold: bool = False
    indent: float = 0.0

    @property
    def width(self) -> float:
        """With its indent, mm."""
        return self.indent + wide(self.text, self.size, self.bold)


def wide(text: str, size: float, bold: bool = False) -> float:
    """Room to keep for a line of text, mm."""
    return size * _em(text, bold)


@lru_cache(4096)
def _em(text: str, bold: bool) -> float:
    lacking = missing(text)
    return width_mm(text, 1.0, bold) + _WIDER * sum(c in lacking for c in text)


def longest(text: str, size: float, bold: bool = False) -> float:
    """Width of the widest part of a text that a line's end should not break, mm."""
    return max(wide(word, size, bold) for word in _BETWEEN.split(text))


def wrapped(text: str, width: float, size: float, bold: bool = False, indent: float = 0.0) -> tuple[Row, ...]:
    """A text in lines no wider than so many mm; lines after the first are indented, a long word is broken.

    >>> [row.text for row in wrapped("tip on the floor", 20, 4)]
    ['tip on the', 'floor']
    """
    rows: list[Row] = []
    now = ""
    for word in _BETWEEN.split(text):
        room = width - (indent if rows else 0.0)
        longer = f"{now} {word}" if now else word
        if now and wide(longer, size, bold) > room:
            rows.append(Row(now, size, bold, indent if rows else 0.0))
            longer, room = word, width - indent
        while wide(longer, size, bold) > room and len(longer) > 1:
            fits = next(n for n in range(len(longer) - 1, 0, -1) if n == 1 or wide(longer[:n], size, bold) <= room)
            rows.append(Row(longer[:fits], size, bold, indent if rows else 0.0))
            longer, room = longer[fits:], width - indent
        now = longer
    return (*rows, Row(now, size, bold, indent if rows else 0.0))


def shortened(rows: Sequence[Row], most: int) -> tuple[Row, ...]:
    """So many rows at most, the last one with a … where some went.

    >>> [row.text for row in shortened(wrapped("Mountain hut bowl", 40, 5), 1)]
    ['Mountain h…']
    """
    if len(rows) <= most:
        return tuple(rows)
    last = rows[most - 1]
    return (*rows[: most - 1], Row(last.text[: max(len(last.text) - 2, 1)].rstrip() + "…", last.size, last.bold))


def high(rows: Sequence[Row]) -> float:
    """Height of lines one under the other, mm."""
    return sum(_PITCH * row.size for row in rows[1:]) + (ASCENT + DESCENT) * rows[0].size


def baselines(rows: Sequence[Row]) -> list[float]:
    """How far under the top of their block each line stands, mm."""
    downs = [ASCENT * rows[0].size]
    for row in rows[1:]:
        downs.append(downs[-1] + _PITCH * row.size)
    return downs


@dataclass(frozen=True)
class Head:
    """A way to break the head into lines.

    Attributes:
        rows: its lines.
        cost: how much worse than the best way it is.
        cramped: whether it is for a body that has no room for the others.
        notes: what is left to say.
    """

    rows: tuple[Row, ...]
    cost: float
    notes: tuple[str, ...]
    cramped: bool = False


@lru_cache(256)
def heads(says: Lettering) -> tuple[Head, ...]:
    """Ways to break head and key into lines, the best first; last those for a body with hardly any room."""
    found: dict[tuple[Row, ...], float] = {}
    for step, scale in enumerate(_HEAD_SCALES):
        tool, key = max(_TOOL_MM * scale, LEAST_MM), _KEY_MM * scale
        for width in _HEAD_WIDTHS:
            if max(longest(says.notes[0], key, bold=True), *(longest(text, tool) for text in says.head[1:])) > width:
                continue
            whole = wrapped(says.head[0], width, _TITLE_MM * scale, bold=True)
            title = shortened(whole, _MOST_TITLE)
            below = (*_lines(says.head[1:], width, tool), *wrapped(says.notes[0], width, key, bold=True))
            found.setdefault((*title, *below), _SMALL * step + _BROKEN * (len(whole) + len(below) - 4))
    best = sorted(found.items(), key=lambda one: one[1])
    cramped = [
        (
            *shortened(wrapped(says.head[0], width, _TITLE_MM * scale, bold=True), most),
            *_lines(says.head[1:], width, LEAST_MM),
        )
        for most in (2, 1)
        for scale in _CRAMPED_SCALES
        for width in _CRAMPED_WIDTHS
    ]
    return (
        *(Head(rows, cost, says.notes[1:]) for rows, cost in best),
        *(Head(rows, _CRAMPED + n, says.notes, cramped=True) for n, rows in enumerate(dict.fromkeys(cramped))),
    )


@lru_cache(1024)
def broken(notes: tuple[str, ...], scale: float) -> tuple[tuple[tuple[Row, ...], float, float], ...]:
    """Ways to break notes into lines at a share of their size, the widest first, each with width and height in mm."""
    size = max(NOTE_MM * scale, LEAST_MM)
    found: dict[tuple[Row, ...], None] = {}
    for width in _NOTE_WIDTHS:
        if not found or max(longest(note, size) for note in notes) <= width - _INDENT_MM:
            found[tuple(row for note in notes for row in wrapped(note, width, size, indent=_INDENT_MM))] = None
    return tuple((rows, max(row.width for row in rows), high(rows)) for rows in found)


def _lines(texts: Sequence[str], width: float, size: float) -> list[Row]:
    return [row for text in texts for row in wrapped(text, width, size)]
