"""The bench card: a page to hang at the wheel, with drawing and numbers of a piece, and a back to write on."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

from . import card_tables
from .card_back import MARGIN as _MARGIN
from .card_back import write_back, write_what_if
from .card_tables import Table
from .checks import Check, Level
from .clay.states import State
from .lengths import mm
from .measures import Measures
from .sheets.extent import box_of
from .sheets.face import folded, width_mm
from .sheets.ink import Ink
from .sheets.page import Document, Page
from .sheets.paper import paper_mm
from .templates.drawing import Drawing
from .what_if import WhatIf

_BOX = Ink(0.4, "#3d3a37")
_BAND = Ink(0.0, "", fill="#efe9df")

_PICTURE = 126.0
"""Most height of the drawing, mm."""

_FAIR_SHARE = 0.75
"""Of what it could be high: the drawing gives up no more for the what-if table."""

_HARDLY_A_PICTURE = 33.0
"""Its height where the tables leave it no room, mm."""

_LEAST_LETTERING = 2.4
"""The drawing is not made smaller than its smallest words can be read at, mm."""

_SETTINGS = ((3.2, 5.2), (3.1, 4.8), (3.0, 4.4), (2.9, 4.1), (2.8, 3.8), (2.7, 3.6))
"""Font size and row of the tables, mm: the first with which all fits."""

_TITLES = ((7.5, 1), (6.4, 2), (5.2, 3))
"""Font size of a title, and the lines it may run to at that size, mm."""

_BESIDE = 62.0
"""What a short title leaves for `to make` beside it, mm."""

_SHOWN = 4
"""Remarks a card has room for."""

_MUST_SAY = ("register", "pinhole")
"""Notes that are of no use once the knife is in: before any other note."""

_CHECK, _CHECK_ROW = 3.0, 4.0
_CAUTION, _CAUTION_ROW = 2.7, 3.6
_WHAT_IF_HIGH = 54.0
"""Room for the what-if table and what it says, mm."""

_WHAT_IF_LARGE = 2
"""The what-if table stands on the front while the other tables there keep one of the so many largest settings."""

CAUTIONS = (
    "Clay dust holds fine silica. Turn and tidy at leather-hard, never sand or sweep dry, wipe down wet.",
    "Cut edges of metal and acrylic are sharp: round and deburr them. Never laser-cut PVC. A spinning wheel throws "
    "a loose pot.",
    "Follow the kiln's manual, vent it outdoors, have it wired by a licensed electrician under the local code. Ware "
    "for food needs a glaze tested by a laboratory under the local rules.",
)


@dataclass(frozen=True)
class _Plan:
    """How the front is shared out.

    Attributes:
        picture: height of the drawing, mm.
        setting: of the tables.
        columns: those under the sizes.
        remarks: lines on the front.
        left: remarks for the back.
        what_if: whether that table is on the front.
    """

    picture: float
    setting: int
    columns: tuple[tuple[Table, ...], tuple[Table, ...]]
    remarks: list[str]
    left: list[str]
    what_if: bool

    @property
    def size(self) -> float:
        """Of the lettering in tables."""
        return _SETTINGS[self.setting][0]

    @property
    def leading(self) -> float:
        """Height of a row."""
        return _SETTINGS[self.setting][1]


def write_bench_card(
    measures: Measures,
    checks: tuple[Check, ...],
    section: Drawing,
    moves: WhatIf,
    path: Path,
    *,
    paper: str,
    stamp: str,
    sheets: str,
) -> None:
    """Write the card as a PDF of two pages, front and back.

    Args:
        measures: of the piece.
        checks: on it, printed in words.
        section: the half-section drawing, scaled to fit.
        moves: what a millimetre more does; on the back where the front has no room for it.
        path: the file.
        paper: a key of the paper sizes.
        stamp: version and digest.
        sheets: one line about the templates that go with it.
    """
    width, height = paper_mm("Letter" if paper in ("Letter", "Tabloid") else "A4")
    document = Document(path, measures.piece.design.title, stamp)
    # the page has its title already
    section = replace(section, words=tuple(words for words in section.words if not words.bold))
    with document.page(width, height) as page:
        room = page.width - 2 * _MARGIN
        cautions = [line for caution in CAUTIONS for line in folded(caution, room, _CAUTION)]
        bottom = _MARGIN + 9.3 + _CAUTION_ROW * len(cautions)
        y = _head(page, measures, height - _MARGIN)
        plan = _planned(page, measures, checks, section, y - bottom)
        y = _picture(page, section, y - 2, plan.picture)
        y = _big_numbers(page, measures, y - 3)
        y = _sizes(page, measures, y - 4, plan)
        y = _bench(page, y - 4, plan)
        y -= 6
        for text in plan.remarks:
            page.text(text, _MARGIN, y, _CHECK)
            y -= _CHECK_ROW
        table = card_tables.what_if(moves)
        if plan.what_if:
            write_what_if(page, table, y)
        _foot(page, cautions, bottom, sheets, stamp)
    with document.page(width, height) as page:
        write_back(page, measures, None if plan.what_if else table, _folded(plan.left, page), stamp)
    document.save()


def said(checks: tuple[Check, ...]) -> list[str]:
    """The remarks a card prints: errors, then warnings, then what must be said in time; and how many more there are.

    Errors and warnings are all printed.
    """
    levels = [Level.ERROR, Level.WARNING, Level.NOTE]
    ordered = sorted(checks, key=lambda check: (levels.index(check.level), check.id not in _MUST_SAY))
    serious = sum(check.level is not Level.NOTE for check in checks)
    needed = serious + sum(check.id in _MUST_SAY for check in checks)
    shown = max(_SHOWN, needed)
    lines = [f"{check.level}: {check.message}" for check in ordered[:shown]]
    left = len(ordered) - shown
    if left > 0:
        lines.append(f"{left} more {'note' if left == 1 else 'notes'}: see profiler measure")
    return lines


def _head(page: Page, measures: Measures, top: float) -> float:
    design, room = measures.piece.design, page.width - 2 * _MARGIN
    right, (size, lines) = page.width - _MARGIN, _title(design.title, room)
    if len(lines) == 1 and width_mm(lines[0], size, bold=True) <= room - _BESIDE:
        page.text(lines[0], _MARGIN, top - 6, size, bold=True)
        make_y = top - 5
    else:  # a long title has the width to itself
        y = top - 6
        for number, text in enumerate(lines):
            y = top - 6 - 1.2 * size * number
            page.text(text, _MARGIN, y, size, bold=True, room=room, smallest=size)
        make_y, top = y - 5.8, y - 0.6
        page.text("to make ______   made ______   date __________", right, make_y, 3.2, anchor="end")
        shrinks = f"{_clay(measures)}, sizes given {design.head.sized.words}"
        page.text(shrinks, _MARGIN, make_y, 3.2, room=room - _BESIDE - 4)
        page.line([(_MARGIN, make_y - 2), (right, make_y - 2)], _BOX)
        return make_y - 2
    page.text(_clay(measures), _MARGIN, top - 11.5, 3.4, room=room - _BESIDE)
    page.text("to make ______   made ______   date __________", right, make_y, 3.2, anchor="end")
    page.text(f"sizes given {design.head.sized.words}", right, top - 11.5, 3.2, anchor="end")
    page.line([(_MARGIN, top - 13.5), (right, top - 13.5)], _BOX)
    return top - 13.5


def _title(title: str, room: float) -> tuple[float, list[str]]:
    """Size and lines of a title; what is still too long is cut at its end."""
    for size, most in _TITLES:
        lines = folded(title, room, size, bold=True)
        if len(lines) <= most:
            return size, lines
    lines = lines[:most]
    return size, [*lines[:-1], lines[-1][:-1].rstrip() + "…"]


def _clay(measures: Measures) -> str:
    piece = measures.piece
    names = [f"{piece.body.name}, shrinks {100 * piece.body.shrinkage.at(State.FIRED):.1f} % in all"]
    lid_body = piece.design.lid_body
    if piece.pair is not None and lid_body.digest_text() != piece.body.digest_text():
        names.append(f"lid of {lid_body.name}, {100 * lid_body.shrinkage.at(State.FIRED):.1f} %")
    return "; ".join(names)


def _planned(page: Page, measures: Measures, checks: tuple[Check, ...], section: Drawing, room: float) -> _Plan:
    """Share out the height between head and cautions: what there is no room for goes to the back, the notes last."""
    urgent = tuple(check for check in checks if _is_urgent(check))
    others = tuple(check for check in checks if not _is_urgent(check))
    whole, short = _folded(said(checks), page), _folded(said(urgent), page)
    left, bottom, right, upper = box_of(section)
    natural = min(_PICTURE, (upper - bottom) * (page.width - 2 * _MARGIN) / (right - left))
    smallest = min((words.size for words in section.words), default=_LEAST_LETTERING)
    least = min(natural, _LEAST_LETTERING * (upper - bottom) / smallest)
    columns = _columns(measures)
    beside = max(sum(len(table.rows) for table in column) for column in columns)
    gaps = 3.0 * max(len(column) - 1 for column in columns)
    rows = len(card_tables.sizes(measures).rows)
    fixed = 2 + 3 + _numbers_high(measures) + 4 + 4 + gaps + 6

    def tried(remarks: list[str], *, what_if: bool, left: list[str]) -> _Plan:
        free = room - fixed - _CHECK_ROW * len(remarks) - _WHAT_IF_HIGH * what_if
        pictures = [min(natural, free - leading * (rows + beside)) for _, leading in _SETTINGS]
        index = next((index for index, high in enumerate(pictures) if high >= least), len(_SETTINGS) - 1)
        return _Plan(pictures[index], index, columns, remarks, left, what_if)

    plan = tried(whole, what_if=True, left=[])
    if plan.picture < max(least, _FAIR_SHARE * natural) or plan.setting >= _WHAT_IF_LARGE:
        plan = tried(whole, what_if=False, left=[])
    if plan.picture < least and others:
        plan = tried(short, what_if=False, left=said(others))
    return replace(plan, picture=max(plan.picture, _HARDLY_A_PICTURE))


def _is_urgent(check: Check) -> bool:
    return check.level is not Level.NOTE or check.id in _MUST_SAY


def _folded(lines: list[str], page: Page) -> list[str]:
    return [line for text in lines for line in folded(text, page.width - 2 * _MARGIN, _CHECK)]


def _columns(measures: Measures) -> tuple[tuple[Table, ...], tuple[Table, ...]]:
    """The tables under the sizes, each where there is more room."""
    made = (
        card_tables.throwing(measures),
        card_tables.trimming(measures),
        card_tables.lid(measures),
        card_tables.spoon(measures),
        card_tables.stuck_on(measures),
    )
    columns: tuple[list[Table], list[Table]] = ([], [])
    for table in made:
        if table is not None:
            shorter = min(columns, key=lambda column: sum(len(one.rows) + 0.6 for one in column))
            shorter.append(table)
    return tuple(columns[0]), tuple(columns[1])


def _picture(page: Page, section: Drawing, top: float, high: float) -> float:
    left, bottom, right, upper = box_of(section)
    scale = min((page.width - 2 * _MARGIN) / (right - left), high / (upper - bottom))
    x = page.width / 2 - scale * (left + right) / 2
    page.draw(section, x, top - scale * upper, scale)
    return top - scale * (upper - bottom)


def _numbers_high(measures: Measures) -> float:
    return 17.0 if len(measures.balls) == 1 else 15.4 * len(measures.balls) - 1.4


def _big_numbers(page: Page, measures: Measures, top: float) -> float:
    """The four numbers she looks for from a metre away, for each ball of clay."""
    # two rows of them are a little lower
    high, step, large = (17.0, 17.0, 7.5) if len(measures.balls) == 1 else (14.0, 15.4, 6.4)
    y = top
    for cast, (name, part) in zip(measures.piece.thrown, measures.balls.items(), strict=True):
        thrown = part.thrown
        across = ("throw: rim", thrown.rim_diameter_mm)
        if cast.shape.closes:
            widest = part.states[State.WET].widest_diameter_mm
            across = ("throw closed: widest", max(widest, thrown.base_diameter_mm))
        floor = "solid" if cast.shape.solid else "open"
        boxes = [
            ("weigh out", f"{part.weigh_out_g:g} g"),
            ("throw: height", f"{mm(thrown.height_mm)} mm"),
            (across[0], f"{mm(across[1])} mm"),
            ("floor to bat", floor if thrown.floor_mm is None else f"{mm(thrown.floor_mm)} mm"),
        ]
        wide = (page.width - 2 * _MARGIN) / len(boxes)
        for index, (label, value) in enumerate(boxes):
            x = _MARGIN + index * wide
            page.rect(x + 0.8, y - high, wide - 1.6, high, _BAND)
            page.text(f"{name} {label}".strip(), x + wide / 2, y - 4.4, 3.2, anchor="middle", room=wide - 4)
            page.text(value, x + wide / 2, y - high + 3.0, large, anchor="middle", bold=True, room=wide - 4)
        y -= step
    return top - _numbers_high(measures)


def _sizes(page: Page, measures: Measures, top: float, plan: _Plan) -> float:
    room = page.width - 2 * _MARGIN
    widths = [0.28 * room] + [0.144 * room] * 5
    rows = card_tables.sizes(measures).rows
    return page.table(rows, _MARGIN, top, widths, size=plan.size, leading=plan.leading, right=(1, 2, 3, 4, 5))


def _bench(page: Page, top: float, plan: _Plan) -> float:
    """Throwing, trimming, lid and spoon in two columns."""
    gap, room = 6.0, page.width - 2 * _MARGIN
    half, low = (room - gap) / 2, top
    for number, column in enumerate(plan.columns):
        y = top
        for index, table in enumerate(column):
            share = 0.30 if table.columns == 1 else 0.225
            widths = [(1 - share * table.columns) * half] + [share * half] * table.columns
            right = tuple(range(1, table.columns + 1))
            x = _MARGIN + number * (half + gap)
            y -= 3.0 * bool(index)
            y = page.table(table.rows, x, y, widths, size=plan.size, leading=plan.leading, right=right)
        low = min(low, y)
    return low


def _foot(page: Page, cautions: list[str], top: float, sheets: str, stamp: str) -> None:
    """Cautions at the foot of the page."""
    room = page.width - 2 * _MARGIN
    page.line([(_MARGIN, top), (page.width - _MARGIN, top)])
    y = top - 3.8
    for text in cautions:
        page.text(text, _MARGIN, y, _CAUTION)
        y -= _CAUTION_ROW
    page.text(sheets, _MARGIN, _MARGIN - 1, 2.7, room=room - 50)
    page.text(stamp, page.width - _MARGIN, _MARGIN - 1, 2.7, anchor="end")
