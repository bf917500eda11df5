"""The study to be printed: the sentence, the picture, and all rows, on a page of their own where they need one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from ..clay.states import State
from ..sheets.extent import box_of
from ..sheets.face import folded
from ..sheets.page import HAIR, Document, Page
from ..sheets.paper import paper_mm
from ..templates.drawing import Drawing
from .choice import Chosen, Unreached
from .rows import SPAN_HEADS, cells, heads, notes, span_cells
from .said import degrees, height_said, sentence, to_write
from .study import Study

_MARGIN, _TITLE, _APART = 12.0, 9.0, 6.0
_TEXT_MM, _LEADING = 3.6, 5.0
_NOTE_MM, _NOTE_LEADING = 2.8, 4.2
_ROW, _ROOMY = (3.0, 4.1), (3.6, 7.0)
_LEAST_SCALE = 0.88
"""A chart no smaller than this keeps its words 3 mm high."""

CAUTION = (
    "Computed from the drawing: hands and kiln differ. Once the knife is in there is no way back, so make one pot "
    "first. Clay dust holds fine silica: cut and sponge damp, never sand dry."
)


def write_study_pdf(
    study: Study,
    picture: Drawing,
    path: Path,
    *,
    paper: str,
    stamp: str,
    chosen: Chosen | Unreached | None = None,
) -> None:
    """Write the study as a PDF.

    Args:
        study: its words and rows.
        picture: its chart.
        path: the file.
        paper: a key of the paper sizes; Letter for the American ones, else A4.
        stamp: version and digest.
        chosen: the answer to a wanted capacity.
    """
    width, height = paper_mm("Letter" if paper in ("Letter", "Tabloid") else "A4")
    room, top = width - 2 * _MARGIN, height - _MARGIN
    document = Document(path, picture.title, stamp)
    said = [sentence(study)] if chosen is None else [sentence(study), chosen.said()]
    lines = [line for part in [*said, to_write(study)] if part for line in folded(part, room, _TEXT_MM)]
    picture = replace(picture, words=tuple(words for words in picture.words if not words.bold))
    left, bottom, end, upper = box_of(picture)
    rows, spans = _rows(study, room), _spans(study, room)
    over = top - _TITLE - _LEADING * len(lines) - 4 - _foot(room)
    whole = min(1.0, room / (end - left))
    beside = (over - 4 - sum(table.high for table in (rows, *spans))) / (upper - bottom)
    together = beside >= _LEAST_SCALE
    scale = min(whole, beside) if together else whole
    with document.page(width, height) as page:
        y = _titled(page, picture.title, top, room)
        for text in lines:
            y -= _LEADING
            page.text(text, _MARGIN, y, _TEXT_MM)
        y -= 4
        page.draw(picture, _MARGIN - scale * left, y - scale * upper, scale)
        _closed(page, study, stamp, room, (rows, *spans) if together else spans, y - scale * (upper - bottom) - 4)
    if not together:
        with document.page(width, height) as page:
            roomy = replace(rows, set_in=_ROOMY)
            _closed(page, study, stamp, room, (roomy,), _titled(page, picture.title, top, room) - 3)
    document.save()


@dataclass(frozen=True)
class _Cells:
    """A table and the notes under it.

    Attributes:
        rows: of text, the head first.
        widths: of the columns, mm.
        right: columns of figures.
        notes: lines.
        set_in: font size and height of a row, mm.
    """

    rows: list[list[str]]
    widths: list[float]
    right: range
    notes: list[str]
    set_in: tuple[float, float] = _ROW

    @property
    def high(self) -> float:
        """All of it with the room over it, mm."""
        return self.set_in[1] * len(self.rows) + _NOTE_LEADING * len(self.notes) + _APART


def _rows(study: Study, room: float) -> _Cells:
    head = heads(study)
    verdict = 0.26 if study.trial.spooned else 0.35
    letters = [len(name) + 2 for name in head[:-1]]
    widths = [*(room * (1 - verdict) * count / sum(letters) for count in letters), room * verdict]
    return _Cells([head, *(cells(study, row) for row in study.rows)], widths, range(len(head) - 1), notes(study))


def _spans(study: Study, room: float) -> tuple[_Cells, ...]:
    """Where everything holds at each slant, if there are several."""
    if len(study.slants) == 1 or study.one_height:
        return ()
    widths = [room * share for share in (0.08, 0.16, 0.12, 0.32, 0.32)]
    return (_Cells([[*SPAN_HEADS], *span_cells(study)], widths, range(1), []),)


def _titled(page: Page, title: str, top: float, room: float) -> float:
    """The title over a line; where that is, mm."""
    page.text(title, _MARGIN, top - 6, 6.5, bold=True, room=room)
    page.line([(_MARGIN, top - _TITLE), (_MARGIN + room, top - _TITLE)])
    return top - _TITLE


def _foot(room: float) -> float:
    return _MARGIN + 4.5 + 3.8 * len(folded(CAUTION, room, _NOTE_MM))


def _closed(page: Page, study: Study, stamp: str, room: float, tables: Sequence[_Cells], y: float) -> None:
    """The tables from a height down, and what stands at the foot of each page."""
    for table in tables:
        size, leading = table.set_in
        y = page.table(table.rows, _MARGIN, y, table.widths, size=size, leading=leading, right=table.right)
        for note in table.notes:
            y -= _NOTE_LEADING
            page.text(note, _MARGIN, y, _NOTE_MM, room=room)
        y -= _APART
    y, right = _foot(room), _MARGIN + room
    page.line([(_MARGIN, y), (right, y)], HAIR)
    for text in folded(CAUTION, room, _NOTE_MM):
        y -= 3.8
        page.text(text, _MARGIN, y, _NOTE_MM)
    at = f"{height_said(study.heights[0])} mm" if study.one_height else degrees(study.named.angle)
    sized = study.design.head.sized
    states = "all sizes fired" if sized is State.FIRED else f"height of the cut {sized.words}, the rest fired"
    page.text(f"rows at {at}; {states}", _MARGIN, _MARGIN - 1, _NOTE_MM)
    page.text(stamp, right, _MARGIN - 1, _NOTE_MM, anchor="end")
