"""The study on one page: the sentence, the picture, and as many rows of the table as the page has room for."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from ..sheets.extent import box_of
from ..sheets.face import folded
from ..sheets.page import HAIR, Document
from ..sheets.paper import paper_mm
from ..templates.drawing import Drawing
from .choice import Chosen, Unreached
from .said import degrees, height_said, sentence, short_verdict
from .study import Study
from .tried import Tried

_MARGIN = 12.0
_TEXT_MM = 3.6
_LEADING = 5.0

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
    """Write the study as a PDF of one page.

    Args:
        study: its words and rows.
        picture: its chart.
        path: the file.
        paper: a key of the paper sizes; Letter for the American ones, else A4.
        stamp: version and digest.
        chosen: the answer to a wanted capacity.
    """
    width, height = paper_mm("Letter" if paper in ("Letter", "Tabloid") else "A4")
    room, right = width - 2 * _MARGIN, width - _MARGIN
    document = Document(path, picture.title, stamp)
    with document.page(width, height) as page:
        y = height - _MARGIN - 6
        page.text(picture.title, _MARGIN, y, 6.5, bold=True, room=room)
        y -= 3
        page.line([(_MARGIN, y), (right, y)])
        said = [sentence(study)] if chosen is None else [sentence(study), chosen.said()]
        for text in (line for part in said for line in folded(part, room, _TEXT_MM)):
            y -= _LEADING
            page.text(text, _MARGIN, y, _TEXT_MM)
        cautions = folded(CAUTION, room, 2.8)
        foot = _MARGIN + 4.5 + 3.8 * len(cautions)
        picture = replace(picture, words=tuple(words for words in picture.words if not words.bold))
        left, bottom, end, top = box_of(picture)
        # the table keeps its head and three rows in any case
        scale = min(1.0, room / (end - left), (y - foot - 6 - 5 * _LEADING) / (top - bottom))
        y -= 4
        page.draw(picture, _MARGIN - scale * left, y - scale * top, scale)
        y -= scale * (top - bottom) + 4
        rows = _some(study, int((y - foot - 1) / _LEADING) - 1)
        widths = [room * share for share in (0.09, 0.09, 0.08, 0.1, 0.08, 0.11, 0.1, 0.35)]
        head = ["slant" if study.one_height else "height", *_HEAD]
        cells = [head, *(_cells(row, study) for row in rows)]
        page.table(cells, _MARGIN, y, widths, size=3.2, leading=_LEADING, right=range(7))
        y = foot
        page.line([(_MARGIN, y), (right, y)], HAIR)
        for text in cautions:
            y -= 3.8
            page.text(text, _MARGIN, y, 2.8)
        at = f"{height_said(study.heights[0])} mm" if study.one_height else degrees(study.named.angle)
        about = f"rows at {at}; lengths in mm, fired but the cut's height"
        page.text(about, _MARGIN, _MARGIN - 1, 2.8)
        page.text(stamp, right, _MARGIN - 1, 2.8, anchor="end")
    document.save()


_HEAD = ["jar, ml", "lid, g", "lid, mm", "seat", "centring", "contact", ""]


def _cells(row: Tried, study: Study) -> list[str]:
    figures, place = row.figures, degrees(row.angle) if study.one_height else height_said(row.height)
    if figures is None:
        return [place, *["–"] * 6, short_verdict(row)]
    return [
        place,
        f"{figures.capacity_ml:.0f}",
        f"{figures.lid_g:.0f}",
        f"{figures.lid_height_mm:.1f}",
        f"{figures.seat_mm:.1f}",
        f"{figures.centring_mm:.1f}",
        f"{max(figures.land_mm, 0.0):.1f}",
        short_verdict(row),
    ]


def _some(study: Study, most: int) -> list[Tried]:
    """Rows of the named slant, spread evenly over the table where not all fit, the example among them."""
    rows, shown = study.named.rows, study.shown
    if study.one_height:
        rows = tuple(row for slant in study.slants for row in slant.rows)
    if len(rows) <= most:
        return list(rows)
    count = max(most, 2)
    places = [round(number * (len(rows) - 1) / (count - 1)) for number in range(count)]
    example = None if shown is None else (shown.height, shown.angle)
    wanted = next((place for place, row in enumerate(rows) if (row.height, row.angle) == example), None)
    if wanted is not None and wanted not in places:
        places[min(range(count), key=lambda number: abs(places[number] - wanted))] = wanted
    return [rows[place] for place in places]
