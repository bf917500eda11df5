"""A flat drawing in millimetres, before any file format.

Coordinates are (x, y) with y up; for a profile they are (r, z) as the tool is held. Writers flip y.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from enum import StrEnum

import numpy as np

from ..geometry.curve import Curve, Floats, chained


class Layer(StrEnum):
    """What a line is for: cut through, marked on the surface, or read."""

    CUT = "cut"
    MARK = "mark"
    TEXT = "text"


class Pen(StrEnum):
    """How a line of a drawing to look at is drawn; templates use the first two only."""

    EDGE = "edge"  # the plain line of its layer
    THIN = "thin"  # dimension and help lines
    DASHED = "dashed"  # thrown against finished, hidden edges
    CENTRE = "centre"  # chain line of an axis
    SEEN = "seen"  # edges of a piece looked at from outside
    CLAY = "clay"  # cut clay: outlined and filled
    WASTE = "waste"  # what trimming takes off: filled lighter


@dataclass(frozen=True, eq=False)
class Line:
    """A path of a layer.

    Attributes:
        curve: the path, mm.
        layer: what it is for.
        pen: how it looks.
        id: the path's own name in a file, such as `profile`; empty for most.
    """

    curve: Curve
    layer: Layer
    pen: Pen = Pen.EDGE
    id: str = ""

    @property
    def closed(self) -> bool:
        """Whether it ends where it starts."""
        return bool(np.abs(self.curve.start - self.curve.end).max() < 1e-9)


@dataclass(frozen=True)
class Words:
    """One line of text.

    Attributes:
        text: any Unicode, on one line.
        x: of the anchor, mm.
        y: of the baseline, mm.
        size: cap height plus descent, that is the font size, mm.
        anchor: start, middle or end.
        turned: degrees anticlockwise about the anchor.
        bold: heavier.
    """

    text: str
    x: float
    y: float
    size: float = 4.0
    anchor: str = "start"
    turned: float = 0.0
    bold: bool = False


@dataclass(frozen=True, eq=False)
class Drawing:
    """Everything on one template or picture.

    Attributes:
        name: file stem, such as `inside_rib`.
        title: what stands at its head.
        lines: paths, in the order they are drawn.
        words: text, all in the `text` layer.
    """

    name: str
    title: str
    lines: tuple[Line, ...]
    words: tuple[Words, ...] = field(default=())

    @property
    def profile(self) -> Curve | None:
        """The working edge, if it has one."""
        return next((line.curve for line in self.lines if line.id == "profile"), None)

    @property
    def outline(self) -> Curve | None:
        """The rest of a template's outer contour, from the working edge's end round to its start."""
        return next((line.curve for line in self.lines if line.id == "outline"), None)

    @property
    def body(self) -> Curve | None:
        """The closed outer contour of a template, from the start of its working edge; None for a picture."""
        edge, rest = self.profile, self.outline
        return None if edge is None or rest is None else chained([edge, rest])

    @property
    def holes(self) -> tuple[Curve, ...]:
        """The closed contours cut out of the body: where it hangs, and where a hand goes."""
        cut = (line for line in self.lines if line.layer is Layer.CUT and line.id not in ("profile", "outline"))
        return tuple(line.curve for line in cut)

    def bounds(self) -> tuple[float, float, float, float]:
        """(left, bottom, right, top) of the lines, mm, exact; text is the layout's own business."""
        return bounds_of(line.curve for line in self.lines)

    def moved(self, dx: float, dy: float) -> Drawing:
        """The drawing shifted, mm."""
        lines = tuple(Line(s.curve.moved(dx, dy), s.layer, s.pen, s.id) for s in self.lines)
        words = tuple(Words(w.text, w.x + dx, w.y + dy, w.size, w.anchor, w.turned, w.bold) for w in self.words)
        return Drawing(self.name, self.title, lines, words)

    def quarter_turned(self) -> Drawing:
        """The drawing turned a quarter anticlockwise about its origin, text and all."""
        lines = tuple(Line(Curve(s.curve.cubics @ _QUARTER), s.layer, s.pen, s.id) for s in self.lines)
        words = tuple(Words(w.text, -w.y, w.x, w.size, w.anchor, w.turned + 90, w.bold) for w in self.words)
        return Drawing(self.name, self.title, lines, words)


_QUARTER: Floats = np.array([[0.0, 1.0], [-1.0, 0.0]])


def bounds_of(curves: Iterable[Curve]) -> tuple[float, float, float, float]:
    """(left, bottom, right, top) of several curves, mm."""
    ends: Floats = np.array([[c.lowest(0)[1], c.lowest(1)[1], c.highest(0)[1], c.highest(1)[1]] for c in curves])
    low, high = ends.min(axis=0), ends.max(axis=0)
    return float(low[0]), float(low[1]), float(high[2]), float(high[3])
