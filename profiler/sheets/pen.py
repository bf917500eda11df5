"""Drawings, lines and words put on a PDF's canvas, whose unit is a millimetre by then."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from ..geometry.curve import Curve
from ..templates.drawing import Drawing, Words
from . import face
from .ink import TEXT_COLOUR, Ink, ink_of, straight


def draw(canvas: Any, drawing: Drawing) -> None:
    """Draw a drawing's lines and text in the canvas's present millimetres; a line's id marks its content."""
    for line in drawing.lines:
        ink = ink_of(line.layer, line.pen)
        with marked(canvas, line.id):
            set_ink(canvas, ink)
            fill = bool(ink.fill) and line.closed
            canvas.drawPath(_path(canvas, line.curve, line.closed), stroke=int(bool(ink.stroke)), fill=int(fill))
    for words in drawing.words:
        write(canvas, words, TEXT_COLOUR)


@contextmanager
def marked(canvas: Any, name: str) -> Iterator[None]:
    """Tag what is put down in here with a name, for a reader; an empty one tags nothing."""
    # A tag is a PDF name: letters, digits and the underline need no escape.
    tag = "".join(c for c in name if c.isascii() and (c.isalnum() or c == "_"))
    if tag:
        canvas._code.append(f"/{tag} BMC")
    yield
    if tag:
        canvas._code.append("EMC")


def _path(canvas: Any, curve: Curve, closed: bool) -> Any:
    path = canvas.beginPath()
    path.moveTo(*curve.start.tolist())
    for cubic in curve.cubics:
        if straight(cubic):
            path.lineTo(*cubic[3].tolist())
        else:
            path.curveTo(*cubic[1:].ravel().tolist())
    if closed:
        path.close()
    return path


def set_ink(canvas: Any, ink: Ink) -> None:
    """Take up a stroke and a fill."""
    canvas.setLineWidth(ink.width)
    canvas.setDash(list(ink.dashes))
    if ink.stroke:
        canvas.setStrokeColor(ink.stroke)
    if ink.fill:
        canvas.setFillColor(ink.fill)


def write(canvas: Any, words: Words, colour: str) -> None:
    """Put down one line of text."""
    text = face.shown(words.text)
    canvas.saveState()
    canvas.setFillColor(colour)
    canvas.setFont(face.BOLD if words.bold else face.REGULAR, words.size)
    canvas.translate(words.x, words.y)
    if words.turned:
        canvas.rotate(words.turned)
    before = {"start": 0.0, "middle": 0.5, "end": 1.0}[words.anchor]
    canvas.drawString(-before * face.width_mm(text, words.size, words.bold), 0, text)
    canvas.restoreState()
