"""Dimension lines of a drawing to look at: a line between two ticks, what it measures, the size in words.

All lengths are mm of the drawing; `size` is the font size, and gaps are shares of it, so that a drawing looks
the same at any scale.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from numpy.typing import ArrayLike

from ..geometry.curve import Curve, Floats, line, polyline
from .drawing import Layer, Line, Pen, Words

_NARROW, _BROAD = frozenset(" .,:;'|()fijlrt"), frozenset("mwMW@%—…⌀")
"""Characters that take 0.42 of the font size or less, and those that take more than 0.8."""

GAP = 0.4
"""Air between a line and the text or the edge next to it, in font sizes."""

_TICK = 0.3
"""Half a tick's run each way, in font sizes."""

MIDDLE = 0.36
"""From the baseline up to the middle of a capital or figure, in font sizes."""


@dataclass(frozen=True, eq=False)
class Marks:
    """Lines and words that belong together."""

    lines: tuple[Line, ...] = ()
    words: tuple[Words, ...] = ()

    def __add__(self, other: Marks) -> Marks:
        return Marks(self.lines + other.lines, self.words + other.words)


def room_for(text: str, size: float) -> float:
    """A width that a few words in the sheets' sans-serif face do not exceed, mm, for a font size in mm.

    Only the writers know their face; a drawing needs no more than room enough.

    >>> room_for("rim", 10.0)
    18.4
    """
    widths = (0.42 if c in _NARROW else 1.0 if c in _BROAD else 0.65 for c in text)
    return round(size * sum(widths), 9)


def thin(curve: Curve) -> Line:
    """A help line."""
    return Line(curve, Layer.MARK, Pen.THIN)


def tick(at: Sequence[float] | Floats, size: float) -> Line:
    """The oblique stroke that ends a dimension line."""
    half = _TICK * size
    return thin(line([at[0] - half, at[1] - half], [at[0] + half, at[1] + half]))


def level_dimension(left: Sequence[float], right: Sequence[float], y: float, text: str, size: float) -> Marks:
    """A width between two points, measured on a level line above or below both; the text stands on the line.

    Args:
        left: (x, y) of one end of what is measured, mm.
        right: the other end.
        y: height of the dimension line, mm.
        text: the size, in words.
        size: font size, mm.
    """
    way = 1.0 if y >= max(left[1], right[1]) else -1.0
    ends = [left[0], right[0]]
    lines = [
        thin(line([x, from_y + way * GAP * size], [x, y + way * GAP * size]))
        for x, from_y in zip(ends, (left[1], right[1]), strict=True)
    ]
    lines += [thin(line([ends[0], y], [ends[1], y])), *(tick((x, y), size) for x in ends)]
    if room_for(text, size) < abs(ends[1] - ends[0]) - GAP * size:
        words = Words(text, sum(ends) / 2, y + GAP * size, size, "middle")
    else:  # too wide to stand between the help lines
        words = Words(text, min(ends) - 2 * GAP * size, y - MIDDLE * size, size, "end")
    return Marks(tuple(lines), (words,))


def upright_dimension(
    low: Sequence[float], high: Sequence[float], x: float, text: str, size: float, text_y: float | None = None
) -> Marks:
    """A height between two points, measured on an upright line to their right; the text stands right of it.

    Args:
        low: (x, y) of the lower end of what is measured, mm.
        high: the upper end.
        x: of the dimension line, mm.
        text: the size, in words.
        size: font size, mm.
        text_y: middle of the text where it must not be the line's own, mm.
    """
    lines = [
        thin(line([from_x + GAP * size, y], [x + GAP * size, y]))
        for from_x, y in (low, high)
        if x > from_x + GAP * size
    ]
    lines += [thin(line([x, low[1]], [x, high[1]])), *(tick((x, y), size) for y in (low[1], high[1]))]
    middle = (low[1] + high[1]) / 2 if text_y is None else text_y
    return Marks(tuple(lines), (Words(text, x + 2 * GAP * size, middle - MIDDLE * size, size),))


def leader(points: Sequence[ArrayLike], text: str, size: float, *, leftward: bool) -> Marks:
    """Text at the end of a line that leads to what it names.

    Args:
        points: from the thing to the text, (n, 2) mm.
        text: what it is.
        size: font size, mm.
        leftward: whether the text stands left of the last point, or right of it.
    """
    run = polyline(points)
    x, y = (float(v) for v in run.end)
    way, anchor = (-1.0, "end") if leftward else (1.0, "start")
    return Marks((thin(run),), (Words(text, x + way * GAP * size, y - MIDDLE * size, size, anchor),))
