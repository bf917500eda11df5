"""The paths a page of a PDF paints, in millimetres, sharing no code with the writer.

ISO 32000-1, 8.4 (states), 8.5 (paths) and 14.6 (marked content).
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
import pikepdf

from ..geometry.curve import Curve, Floats

MOST_DEPTH = 100
"""Saved states, and marks within marks; ours have three."""

MOST = 1e9
"""The largest number taken; nothing computed with two of them overflows."""

_NUMBERS = {"cm": 6, "m": 2, "l": 2, "c": 6, "v": 4, "y": 4, "re": 4}
_THIRDS: Floats = np.array([[0.0], [1 / 3], [2 / 3], [1.0]])
_PAINTS = {"S", "s", "f", "F", "f*", "B", "B*", "b", "b*"}
_CLOSES = {"h", "s", "b", "b*"}


@dataclass(frozen=True, eq=False)
class Stroke:
    """One painted subpath.

    Attributes:
        curve: mm from the page's lower left, y up.
        tag: the marked content it stands in, such as `profile`, or empty.
    """

    curve: Curve
    tag: str


def painted(content: pikepdf.Object, matrix: Floats) -> list[Stroke]:
    """Every painted subpath of a content stream.

    Args:
        content: the stream.
        matrix: (3, 3), from the page's own units to mm, to be multiplied from the right.

    Raises:
        ValueError: the stream is no sequence of whole steps, or nested too deep.
    """
    pen = _Pen(matrix)
    for step in pikepdf.parse_content_stream(content):
        operands: Any = step.operands
        pen.step(str(step.operator), operands)
    return pen.strokes


class _Pen:
    """What a page has drawn so far. Points become mm as they are met, with the matrix of that moment."""

    def __init__(self, matrix: Floats) -> None:
        self.matrix = matrix
        self.kept: list[Floats] = []
        self.marks: list[str] = []
        self.subpaths: list[list[Floats]] = []
        self.begin = self.here = np.zeros(2)
        self.strokes: list[Stroke] = []

    def step(self, name: str, operands: Any) -> None:
        """Take one operator with its operands."""
        if name in _NUMBERS:
            numbers = np.array([float(v) for v in operands])
            if len(numbers) != _NUMBERS[name]:
                raise ValueError(f"a page has {len(numbers)} numbers before {name}")
            if np.abs(numbers).max() > MOST:
                raise ValueError(f"a page has a number before {name} that is no size")
            if name == "cm":
                a, b, c, d, e, f = numbers
                self.matrix = np.array([[a, b, 0], [c, d, 0], [e, f, 1]]) @ self.matrix
                if np.abs(self.matrix).max() > MOST:
                    raise ValueError("a page is scaled beyond all size")
            else:
                self._draw(name, numbers)
        elif name == "q":
            self.kept.append(self.matrix)
        elif name == "Q":
            self.matrix = self._popped(self.kept, "Q without q")
        elif name in ("BMC", "BDC"):
            self.marks.append(str(operands[0]).lstrip("/") if len(operands) else "")
        elif name == "EMC":
            self._popped(self.marks, "EMC without BMC")
        if max(len(self.kept), len(self.marks)) > MOST_DEPTH:
            raise ValueError(f"a page saves its state more than {MOST_DEPTH} deep")
        if name in _CLOSES and self.subpaths:
            self._to(_straight(self.here, self.begin), only_if_apart=True)
        if name in _PAINTS:
            tag = self.marks[-1] if self.marks else ""
            self.strokes += [Stroke(Curve(np.array(path)), tag) for path in self.subpaths if path]
        if name in _PAINTS or name == "n":
            self.subpaths = []

    def _draw(self, name: str, numbers: Floats) -> None:
        if name == "re":
            x, y, w, h = numbers
            corners = np.array([[x, y], [x + w, y], [x + w, y + h], [x, y + h], [x, y]]) @ self.matrix[:2, :2]
            corners = corners + self.matrix[2, :2]
            self._begin(corners[0])
            for p, q in pairwise(corners):
                self._to(_straight(p, q))
            return
        points = numbers.reshape(-1, 2) @ self.matrix[:2, :2] + self.matrix[2, :2]
        if name == "m":
            self._begin(points[0])
        elif name == "l":
            self._to(_straight(self.here, points[0]))
        elif name == "c":
            self._to(np.stack([self.here, *points]))
        elif name == "v":
            self._to(np.stack([self.here, self.here, *points]))
        else:
            self._to(np.stack([self.here, points[0], points[1], points[1]]))

    def _begin(self, point: Floats) -> None:
        self.begin = self.here = point
        self.subpaths.append([])

    def _to(self, cubic: Floats, *, only_if_apart: bool = False) -> None:
        if not self.subpaths:
            raise ValueError("a page draws a line that begins nowhere")
        if only_if_apart and np.array_equal(cubic[0], cubic[3]):
            return
        self.subpaths[-1].append(cubic)
        self.here = cubic[3]

    @staticmethod
    def _popped(kept: list[Any], what: str) -> Any:
        if not kept:
            raise ValueError(f"a page has {what}")
        return kept.pop()


def _straight(p: Floats, q: Floats) -> Floats:
    """A straight run as a cubic with its handles at thirds, (4, 2)."""
    return np.asarray(p + _THIRDS * (q - p))
