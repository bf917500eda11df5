"""A PDF whose pages are drawn in millimetres from the lower left, y up."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import Any

from reportlab.lib.units import mm as POINTS_PER_MM  # noqa: N812 - a constant of the library in lower case
from reportlab.pdfgen.canvas import Canvas

from ..templates.drawing import Drawing, Words
from . import face
from .ink import TEXT_COLOUR, Ink
from .pen import draw, marked, set_ink, write

NOTE_MM = 3.2
"""Font size of notes: read at arm's length beside a wheel."""

_LEADING = face.ASCENT + face.DESCENT
"""From one line of a block to the next, in font sizes."""

HAIR = Ink(0.15, "#8a857f")


class Document:
    """A PDF file being written; the same calls give the same bytes."""

    def __init__(self, path: Path, title: str, stamp: str, keywords: str = "") -> None:
        face.register()
        # invariant leaves out the date and the random id; the first page size is replaced by each page's own.
        self.canvas: Any = Canvas(str(path), pageCompression=1, invariant=1)
        self.canvas.setTitle(face.shown(title))
        self.canvas.setSubject(face.shown(stamp))
        self.canvas.setKeywords(keywords)
        self.canvas.setAuthor("profiler")
        self.canvas.setCreator("profiler")
        self.canvas.setViewerPreference("PrintScaling", "None")

    @contextmanager
    def page(self, width: float, height: float, stretch: tuple[float, float] = (1.0, 1.0)) -> Iterator[Page]:
        """A page, mm as printed; `stretch` makes up for a printer, the paper being size x stretch."""
        across, up = (POINTS_PER_MM * s for s in stretch)
        self.canvas.setPageSize((width * across, height * up))
        self.canvas.saveState()
        self.canvas.scale(across, up)
        self.canvas.setLineCap(1)
        self.canvas.setLineJoin(1)
        yield Page(self.canvas, width, height)
        self.canvas.restoreState()
        self.canvas.showPage()

    def save(self) -> None:
        """Write the file."""
        self.canvas.save()


class Page:
    """One page: drawings, text, lines and tables, all in mm."""

    def __init__(self, canvas: Any, width: float, height: float) -> None:
        self.canvas = canvas
        self.width = width
        self.height = height

    def draw(self, drawing: Drawing, x: float, y: float, scale: float = 1.0) -> None:
        """Put the drawing's origin at (x, y), `scale` times its size; strokes and text scale along."""
        if scale == 1.0:
            # Moved as numbers, so that the control points are read back as they stand.
            draw(self.canvas, drawing.moved(x, y))
            return
        self.canvas.saveState()
        self.canvas.translate(x, y)
        self.canvas.scale(scale, scale)
        draw(self.canvas, drawing)
        self.canvas.restoreState()

    def text(
        self,
        text: str,
        x: float,
        y: float,
        size: float = NOTE_MM,
        *,
        anchor: str = "start",
        bold: bool = False,
        turned: float = 0.0,
        colour: str = TEXT_COLOUR,
        room: float | None = None,
        smallest: float = 2.6,
    ) -> float:
        """One line of text, made smaller and then cut short to keep within `room`; returns its width, mm."""
        if room is not None:
            text, size = face.fitted(text, room, size, smallest, bold)
        write(self.canvas, Words(text, x, y, size, anchor, turned, bold), colour)
        return face.width_mm(text, size, bold)

    def block(self, paragraphs: Sequence[Words], left: float, bottom: float, right: float, top: float) -> None:
        """Paragraphs one under another from the top of a box: folded, and smaller until they fit, but never cut.

        Args:
            paragraphs: text, size, anchor (start or end) and weight of each; their places are not used. The
                largest are made smaller first.
            left: of the box, mm.
            bottom: mm.
            right: mm.
            top: mm.
        """
        most = max(words.size for words in paragraphs)
        while True:
            lines = [
                replace(words, text=text, size=min(words.size, most))
                for words in paragraphs
                for text in face.folded(words.text, right - left, min(words.size, most), words.bold)
            ]
            if sum(_LEADING * words.size for words in lines) <= top - bottom:
                break
            most *= 0.96
        y = top
        for words in lines:
            y -= _LEADING * words.size
            x = right if words.anchor == "end" else left
            write(self.canvas, replace(words, x=x, y=y + face.DESCENT * words.size), TEXT_COLOUR)

    def line(self, points: Sequence[tuple[float, float]], ink: Ink = HAIR, mark: str = "") -> None:
        """Straight runs through the points; `mark` tags them in the file, for a reader."""
        with marked(self.canvas, mark):
            set_ink(self.canvas, ink)
            path = self.canvas.beginPath()
            path.moveTo(*points[0])
            for point in points[1:]:
                path.lineTo(*point)
            self.canvas.drawPath(path, stroke=1, fill=0)

    def rect(self, x: float, y: float, width: float, height: float, ink: Ink = HAIR, mark: str = "") -> None:
        """A rectangle from its lower left; `mark` tags it in the file, for a reader."""
        with marked(self.canvas, mark):
            set_ink(self.canvas, ink)
            self.canvas.rect(x, y, width, height, stroke=int(bool(ink.stroke)), fill=int(bool(ink.fill)))

    @contextmanager
    def clipped(self, left: float, bottom: float, right: float, top: float) -> Iterator[None]:
        """Show nothing outside a window."""
        self.canvas.saveState()
        path = self.canvas.beginPath()
        path.rect(left, bottom, right - left, top - bottom)
        self.canvas.clipPath(path, stroke=0, fill=0)
        yield
        self.canvas.restoreState()

    def table(
        self,
        rows: Sequence[Sequence[str]],
        x: float,
        top: float,
        widths: Sequence[float],
        *,
        size: float = NOTE_MM,
        leading: float | None = None,
        head: bool = True,
        right: Sequence[int] = (),
    ) -> float:
        """Rows of text between hairlines.

        Args:
            rows: cells, each on one line; too long a text is made smaller, then cut short.
            x: left edge, mm.
            top: upper edge, mm.
            widths: of the columns, mm.
            size: font size, mm.
            leading: height of a row, mm; 1.65 times the size if not given.
            head: whether the first row is a heading, in bold over a stronger line.
            right: numbers of the columns set to the right, for figures.

        Returns:
            The lower edge, mm.
        """
        high, pad = leading or 1.65 * size, 0.4 * size
        whole, y = sum(widths), top
        for number, row in enumerate(rows):
            heading = head and number == 0
            left = x
            for column, (cell, width) in enumerate(zip(row, widths, strict=True)):
                ends = column in right
                self.text(
                    cell,
                    left + width - pad if ends else left + pad,
                    y - high / 2 - 0.36 * size,
                    size,
                    anchor="end" if ends else "start",
                    bold=heading,
                    room=width - 2 * pad,
                    smallest=0.8 * size,
                )
                left += width
            y -= high
            self.line([(x, y), (x + whole, y)], Ink(0.35, "#3d3a37") if heading else HAIR)
        return y
