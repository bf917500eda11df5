"""One piece on the wheel sheet: what it is, how many, each ball's section and figures, and boxes to tick."""

from __future__ import annotations

from dataclasses import dataclass

from ..clay.states import State
from ..lengths import mm
from ..measures import PartMeasures
from ..piece import Cast
from ..sheets.face import folded, width_mm
from ..sheets.ink import Ink
from ..sheets.page import Page
from ..templates.drawing import bounds_of
from ..templates.thrown_view import thrown_view
from .block import Block, at_both_ends, beside, under
from .counted import Counted

_BAND = Ink(0.0, "", fill="#efe9df")
_BOX = Ink(0.3, "#3d3a37")

_TITLE, _COUNT, _NOTE, _LABEL, _VALUE = 4.6, 3.7, 2.8, 2.8, 4.1
"""Font sizes, mm; all grow with the sheet's own size."""

_ROW = 5.3
_TICK, _TICK_GAP, _TICK_ROWS = 3.4, 1.1, 2
_SMALLEST = 2.4
"""No lettering is smaller, mm: read at an arm's length over the wheel (common practice, no source)."""

_SHARES = (0.21, 0.17, 0.17, 0.17, 0.28)
"""Of the five figures in a strip."""


@dataclass(frozen=True)
class Look:
    """How the cells of a sheet look.

    Attributes:
        width: of a cell, mm.
        size: what all lettering is multiplied with.
        part_of: sections are drawn at 1 to this.
        says_clay: whether a cell names its clay.
    """

    width: float
    size: float
    part_of: int
    says_clay: bool


def cell_of(counted: Counted, look: Look) -> Block | None:
    """All that is said of a piece; None where it is too wide for a cell at that scale."""
    balls = _balls(counted)
    pictures = [_picture(cast, look.part_of) for _, cast, _ in balls]
    rows = [figures(cast, part) for _, cast, part in balls]
    names = [name for name, _, _ in balls]
    gap = 3.0 * look.size
    strips = [_strip(name, row, look) for name, row in zip(names, rows, strict=True)]
    side_by_side, table = beside(pictures, gap, low=True), _table(names, rows, look)
    bodies = [
        at_both_ends(side_by_side, table, gap, look.width),
        at_both_ends(under(pictures, gap), table, gap, look.width),
        under([side_by_side, *strips], gap / 2),
        under([block for pair in zip(pictures, strips, strict=True) for block in pair], gap / 2),
    ]
    fitting = [body for body in bodies if body.width <= look.width + 1e-9]
    if not fitting:
        return None
    body = min(fitting, key=lambda block: block.height)
    return under([_head(counted, look), body, _ticks(counted, names, look)], 2.0 * look.size)


def figures(cast: Cast, part: PartMeasures) -> list[tuple[str, str]]:
    """What she throws a ball to, in words: wet, and what comes off at leather-hard; mm."""
    thrown, cut = part.thrown, part.trimming
    across = ("rim", thrown.rim_diameter_mm)
    if cast.shape.closes:
        across = ("widest", max(part.states[State.WET].widest_diameter_mm, thrown.base_diameter_mm))
    floor = "solid" if cast.shape.solid else "open"
    below = cast.scale(State.LEATHER_HARD)[1] * (float(cast.shape.base.start[1]) - cast.bat)
    trimmed = cut.removed_cm3 > 1e-6
    return [
        ("ball", f"{part.weigh_out_g:g} g"),
        ("height", mm(thrown.height_mm)),
        (across[0], mm(across[1])),
        ("floor", floor if thrown.floor_mm is None else mm(thrown.floor_mm)),
        ("trim base, side", f"{mm(below)}, {mm(cut.side_cut_mm)}" if trimmed else "–"),
    ]


def _balls(counted: Counted) -> list[tuple[str, Cast, PartMeasures]]:
    measures = counted.job.measures
    pairs = zip(measures.piece.thrown, measures.balls.items(), strict=True)
    return [(name, cast, part) for cast, (name, part) in pairs]


def _picture(cast: Cast, part_of: int) -> Block:
    drawing = thrown_view(cast, part_of)
    left, bottom, right, top = bounds_of(item.curve for item in drawing.lines)
    return Block(right - left, top - bottom, lambda page, x, y: page.draw(drawing, x - left, y - top))


def _head(counted: Counted, look: Look) -> Block:
    """Title, how many, and what else must be known before the first ball."""
    size = look.size
    said = f"make {counted.count}" + (f", throw {counted.to_throw}" if counted.to_throw != counted.count else "")
    title, titled = _title(counted.job.piece.design.title, look.width - _said_wide(said, size), size)
    notes = "; ".join(_notes(counted, says_clay=look.says_clay))
    lines = folded(notes, look.width, _NOTE * size) if notes else []
    high = 1.05 * _TITLE * size + titled * (1.2 * len(title) - 0.95)

    def draw(page: Page, x: float, top: float) -> None:
        page.text(said, x + look.width, top - _TITLE * size, _COUNT * size, bold=True, anchor="end")
        for number, text in enumerate(title):
            page.text(text, x, top - _TITLE * size - 1.2 * titled * number, titled, bold=True)
        for number, text in enumerate(lines):
            page.text(text, x, top - high - (1.3 * number + 0.9) * _NOTE * size, _NOTE * size)

    return Block(look.width, high + 1.3 * _NOTE * size * len(lines), draw)


def _said_wide(said: str, size: float) -> float:
    return width_mm(said, _COUNT * size, bold=True) + 3 * size


def _title(text: str, room: float, size: float) -> tuple[list[str], float]:
    """A title's lines and their size: one line, or smaller and as many as it takes."""
    for share in (1.0, 0.85):
        if width_mm(text, share * _TITLE * size, bold=True) <= room:
            return [text], share * _TITLE * size
    return folded(text, room, 0.75 * _TITLE * size, bold=True), 0.75 * _TITLE * size


def _notes(counted: Counted, *, says_clay: bool) -> list[str]:
    piece = counted.job.piece
    found = []
    if says_clay:
        lid = piece.design.lid_body
        other = f", lid of {lid.name}" if lid.digest_text() != piece.body.digest_text() else ""
        found.append(f"{piece.body.name}{other}")
    if piece.whole is not None:
        found.append("thrown closed, its lid cut from it")
    found += [f"{cast.name} thrown upside down" for cast in piece.thrown if cast.flipped]
    found += [f"{extra.name} of its own clay, {extra.weight_g:g} g" for extra in piece.design.head.extras]
    return found


def _table(names: list[str], balls: list[list[tuple[str, str]]], look: Look) -> Block:
    """Labels, and a column of figures for each ball."""
    size = look.size
    labels = [label for label, _ in balls[0]]
    first = max(width_mm(label, _LABEL * size) for label in labels) + 2 * size
    cells = [
        [(name, _LABEL), *((value, _VALUE) for _, value in ball)] for name, ball in zip(names, balls, strict=True)
    ]
    wide = [max(width_mm(text, s * size, bold=True) for text, s in column) + 3 * size for column in cells]
    head = 0.8 * _ROW * size if any(names) else 0.0

    def draw(page: Page, x: float, top: float) -> None:
        for number, label in enumerate(labels):
            y = top - head - number * _ROW * size
            if number % 2 == 0:
                page.rect(x, y - _ROW * size, first + sum(wide), _ROW * size, _BAND)
            page.text(label, x + size, y - 0.7 * _ROW * size, _LABEL * size)
        right = x + first
        for column, room in zip(cells, wide, strict=True):
            right += room
            for number, (text, s) in enumerate(column[0 if head else 1 :]):
                y = top - (
                    0.6 * _ROW * size if head and not number else head + (number - bool(head) + 0.7) * _ROW * size
                )
                page.text(text, right - size, y, s * size, anchor="end", bold=True)

    return Block(first + sum(wide), head + _ROW * size * len(labels), draw)


def _strip(name: str, ball: list[tuple[str, str]], look: Look) -> Block:
    """The figures from left to right, each under its label."""
    size, high = look.size, 9.6 * look.size

    def draw(page: Page, x: float, top: float) -> None:
        page.rect(x, top - high, look.width, high, _BAND)
        for number, ((label, value), share) in enumerate(zip(ball, _SHARES, strict=True)):
            wide = share * look.width
            text = f"{name} {label}".strip() if number == 0 else label
            middle, room = x + wide / 2, wide - size
            page.text(text, middle, top - 3.4 * size, _LABEL * size, anchor="middle", room=room, smallest=_SMALLEST)
            page.text(
                value, middle, top - 8.2 * size, _VALUE * size, anchor="middle", bold=True, room=room, smallest=3.0
            )
            x += wide

    return Block(look.width, high, draw)


def _ticks(counted: Counted, names: list[str], look: Look) -> Block:
    """A box to tick for each ball; where there are too many, a place to write how many are thrown."""
    size, step = look.size, (_TICK + _TICK_GAP) * look.size
    lead = max(width_mm(f"{name} ".strip(), _NOTE * size) for name in names) + 1.5 * size * any(names)
    across = int((look.width - lead) / (5 * step + _TICK_GAP * size)) * 5
    rows = -(-counted.to_throw // across)
    boxed = rows <= _TICK_ROWS
    high = step * (rows if boxed else 1)

    def draw(page: Page, x: float, top: float) -> None:
        for name in names:
            page.text(name, x, top - 0.85 * _TICK * size, _NOTE * size)
            if not boxed:
                page.text(f"thrown ______ of {counted.to_throw}", x + lead, top - 0.85 * _TICK * size, _NOTE * size)
            for number in range(counted.to_throw if boxed else 0):
                row, column = divmod(number, across)
                left = x + lead + column * step + column // 5 * _TICK_GAP * size
                page.rect(left, top - row * step - _TICK * size, _TICK * size, _TICK * size, _BOX)
            top -= high

    return Block(look.width, high * len(names), draw)
