"""Finding a place for words where nothing is drawn yet."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from ..geometry.curve import Curve, Floats
from .dimension import Marks, room_for
from .drawing import Words

Box = tuple[float, float, float, float]

_ASCENT, _DESCENT = 0.95, 0.26
"""What the face reaches over and under the baseline, a little more than that, in font sizes."""

_INK = (-0.1, 0.8)
"""Where the ink of figures and letters lies, in font sizes: lines keep off that, and so much to each side."""

_SPACING = 0.25
"""How near to each other lines are looked at, in font sizes."""


class Board:
    """What is drawn already.

    Args:
        size: the font size of the drawing, mm.
    """

    def __init__(self, size: float) -> None:
        self.size = size
        self._points: list[Floats] = []
        self._boxes: list[Box] = []

    def add(self, marks: Marks) -> Marks:
        """Keep words off these from now on; hands them back."""
        self._points += [_spaced(item.curve, _SPACING * self.size) for item in marks.lines]
        self._boxes += [_box(words, -_DESCENT, _ASCENT) for words in marks.words]
        return marks

    def free(self, words: Words) -> bool:
        """Whether a line of text would touch nothing."""
        left, bottom, right, top = _box(words, -_DESCENT, _ASCENT)
        if any(left < box[2] and right > box[0] and bottom < box[3] and top > box[1] for box in self._boxes):
            return False
        left, bottom, right, top = _box(words, *_INK)
        air = 0.1 * self.size
        for points in self._points:
            x, y = points[:, 0], points[:, 1]
            if bool(((x > left - air) & (x < right + air) & (y > bottom - air) & (y < top + air)).any()):
                return False
        return True

    def first_free(self, candidates: Iterable[Words]) -> Words | None:
        """The first of several places that touches nothing."""
        return next((words for words in candidates if self.free(words)), None)


def _box(words: Words, under: float, over: float) -> Box:
    """Round words that stand upright or are turned by a quarter, mm."""
    room = room_for(words.text, words.size)
    start = -{"start": 0.0, "middle": 0.5, "end": 1.0}[words.anchor] * room
    low, high = under * words.size, over * words.size
    if words.turned:
        return words.x - high, words.y + start, words.x - low, words.y + start + room
    return words.x + start, words.y + low, words.x + start + room, words.y + high


def _spaced(curve: Curve, spacing: float) -> Floats:
    # a cubic is no longer than its handles
    longest = float(np.hypot(*np.moveaxis(np.diff(curve.cubics, axis=1), -1, 0)).sum(axis=1).max())
    return curve.sampled(max(2, int(np.ceil(longest / spacing))))
