"""A drawing as SVG: user units are millimetres, groups `cut`, `mark`, `text`, no style sheets."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import svgwrite

from ..templates.drawing import Drawing, Layer, Line, Pen, Words
from . import face
from .extent import box_of
from .ink import EDGES, TEXT_COLOUR, Ink, ink_of, straight

MARGIN_MM = 6.0
"""White round the drawing: room for the stroke and for a laser's clamp."""

DIGITS = 7
"""Decimals kept: 1e-7 mm, a thousandth of what a reader must find again."""

# The embedded face is not carried along in an SVG; any of these has nearly its widths.
_FAMILY = f"{face.FAMILY}, Verdana, sans-serif"


def svg_text(drawing: Drawing, stamp: str) -> str:
    """The drawing as the text of an SVG file; the drawing's (x, y) stands there as (x, -y).

    Args:
        drawing: mm, y up.
        stamp: version and digest, kept in the file's description.

    Returns:
        A whole file, the same for the same drawing and stamp.
    """
    left, bottom, right, top = box_of(drawing)
    wide, high = right - left + 2 * MARGIN_MM, top - bottom + 2 * MARGIN_MM
    svg = svgwrite.Drawing(
        size=(f"{_number(wide)}mm", f"{_number(high)}mm"),
        viewBox=" ".join(_number(v) for v in (left - MARGIN_MM, -top - MARGIN_MM, wide, high)),
        profile="full",
        debug=False,
    )
    svg.set_desc(title=_allowed(drawing.title), desc=_allowed(stamp))
    for layer in Layer:
        group = svg.g(id=layer.value, **_group_look(layer))
        for line in drawing.lines:
            if line.layer is layer:
                group.add(_path(svg, line))
        if layer is Layer.TEXT:
            for words in drawing.words:
                group.add(_text(svg, words))
        svg.add(group)
    return '<?xml version="1.0" encoding="utf-8"?>\n' + str(svg.tostring()) + "\n"


def write_svg(drawing: Drawing, path: Path, *, stamp: str) -> None:
    """Write the drawing to an SVG file."""
    path.write_text(svg_text(drawing, stamp), encoding="utf-8", newline="\n")


def _number(value: float) -> str:
    """A number with no needless digits and no minus before a zero."""
    text = f"{value:.{DIGITS}f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _allowed(text: str) -> str:
    """The text without what XML forbids. Other characters stay: a browser may have a face for them."""
    lacking = face.missing(text)
    return "".join(face.BOX if c in lacking and not c.isprintable() else c for c in text)


def _look(ink: Ink) -> dict[str, Any]:
    look: dict[str, Any] = {
        "fill": ink.fill or "none",
        "stroke": ink.stroke or "none",
        "stroke_width": _number(ink.width),
    }
    if ink.dashes:
        look["stroke_dasharray"] = " ".join(_number(d) for d in ink.dashes)
    return look


def _group_look(layer: Layer) -> dict[str, Any]:
    return _look(EDGES[layer]) | {"stroke_linecap": "round", "stroke_linejoin": "round"}


def _path(svg: Any, line: Line) -> Any:
    own = {} if line.pen is Pen.EDGE else _look(ink_of(line.layer, line.pen))
    if line.id:
        own["id"] = line.id
    return svg.path(d=_data(line), **own)


def _data(line: Line) -> str:
    """Path data: a node at each join, straight runs as lines, closed where the line is."""
    cubics = line.curve.cubics

    def at(point: Any) -> str:
        return f"{_number(float(point[0]))},{_number(-float(point[1]))}"

    steps = [f"M{at(cubics[0, 0])}"]
    for cubic in cubics:
        if straight(cubic):
            steps.append(f"L{at(cubic[3])}")
        else:
            steps.append("C" + " ".join(at(p) for p in cubic[1:]))
    if line.closed:
        steps.append("Z")
    return " ".join(steps)


def _text(svg: Any, words: Words) -> Any:
    x, y = _number(words.x), _number(-words.y)
    look: dict[str, Any] = {
        "fill": TEXT_COLOUR,
        "stroke": "none",
        "font_family": _FAMILY,
        "font_size": _number(words.size),
        "text_anchor": words.anchor,
    }
    if words.bold:
        look["font_weight"] = "bold"
    if words.turned:
        look["transform"] = f"rotate({_number(-words.turned)} {x} {y})"
    return svg.text(_allowed(words.text), x=[x], y=[y], **look)
