"""Templates at 1:1 on paper: every page proves its size with two bars."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from ..templates.drawing import Drawing
from .extent import box_of
from .filling import Place
from .layout import laid_out, on_own_pages
from .margins import foot, frame, joining, margins
from .names import sheet_name
from .page import Document, Page
from .paper import OWN, Correction, leaves, stretch

UNCORRECTED = "not corrected"


def write_templates_pdf(
    drawings: Sequence[Drawing],
    path: Path,
    *,
    paper: str,
    stamp: str,
    correction: Correction | None = None,
) -> None:
    """Write drawings at 1:1 to a PDF: as many to a page as there is room for, too large ones tiled.

    Args:
        drawings: mm, in the order they are wanted.
        path: the file.
        paper: one of `PAPER_NAMES`, in any case.
        stamp: version and digest, on every page.
        correction: what the printer makes of 100 mm; the pages make up for it, say so and keep it in the file's
            keywords. None for a printer that needs none.

    Raises:
        ValueError: unknown paper, or no drawing.
    """
    if not drawings:
        raise ValueError("a PDF of templates needs at least one drawing")
    if paper.strip().lower() == OWN:
        sheets = on_own_pages(drawings, correction)
    else:
        sheets = laid_out(drawings, leaves(paper, correction))
    document = Document(path, sheet_name(drawings), stamp, correction.keywords if correction else UNCORRECTED)
    for number, sheet in enumerate(sheets, 1):
        leaf = sheet.leaf
        with document.page(leaf.width, leaf.height, stretch(correction, landscape=leaf.landscape)) as page:
            for place in sheet.places:
                _put(page, place, drawings[place.index])
            here = [drawings[index] for index in dict.fromkeys(place.index for place in sheet.places)]
            margins(page, leaf, sheet_name(here), correction)
            if any(place.tile for place in sheet.places):
                joining(page)
            foot(page, stamp, f"{number} of {len(sheets)}")
    document.save()


def _put(page: Page, place: Place, drawing: Drawing) -> None:
    stands = drawing.quarter_turned() if place.turned else drawing
    tile = place.tile
    left, bottom, right, top = tile.box if tile else box_of(stands)
    x, y = place.x - left, place.y - bottom
    if tile is None:
        page.draw(stands, x, y)
        return
    with page.clipped(left + x, bottom + y, right + x, top + y):
        page.draw(stands, x, y)
    frame(page, tile, f"{sheet_name([drawing])}, part {tile.name}", x, y)
