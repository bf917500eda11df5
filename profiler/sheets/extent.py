"""How much room a drawing takes with its text."""

from __future__ import annotations

from collections.abc import Iterator
from math import cos, radians, sin

from ..templates.drawing import Drawing, Words, bounds_of
from . import face

Box = tuple[float, float, float, float]
"""(left, bottom, right, top), mm, y up."""

_BEFORE = {"start": 0.0, "middle": 0.5, "end": 1.0}


def box_of_words(words: Words) -> Box:
    """The upright box round one line of text, turned or not, mm."""
    width = face.width_mm(words.text, words.size, words.bold)
    left = -_BEFORE[words.anchor] * width
    c, s = cos(radians(words.turned)), sin(radians(words.turned))
    across, up = (left, left + width), (-face.DESCENT * words.size, face.ASCENT * words.size)
    corners = [(words.x + a * c - u * s, words.y + a * s + u * c) for a in across for u in up]
    xs, ys = zip(*corners, strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def box_of(drawing: Drawing) -> Box:
    """The box round all lines and text, mm; a drawing of nothing is a point at the origin."""
    boxes = list(_boxes(drawing)) or [(0.0, 0.0, 0.0, 0.0)]
    lefts, bottoms, rights, tops = zip(*boxes, strict=True)
    return min(lefts), min(bottoms), max(rights), max(tops)


def _boxes(drawing: Drawing) -> Iterator[Box]:
    if drawing.lines:
        yield bounds_of(line.curve for line in drawing.lines)
    yield from (box_of_words(words) for words in drawing.words)
