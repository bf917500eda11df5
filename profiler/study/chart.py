"""The study as a picture: the pot with its cuts on it; over height what the jar takes and what the lid weighs."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ..geometry.curve import Curve, Floats, arc, line, polyline
from ..templates.dimension import MIDDLE, Marks, room_for, thin
from ..templates.drawing import Drawing, Layer, Line, Pen, Words
from .labels import MOST_TICKS, spread, ticks
from .pot import half_section
from .said import degrees, height_said
from .study import Slant, Study

TEXT_MM = 3.4
"""Font size: the drawing is looked at in its own size."""

_LEFT, _WIDE = 88.0, 84.0
_CAPACITY_HIGH, _WEIGHT_HIGH, _ROW_HIGH = 68.0, 38.0, 5.5
_POT_ROOM = 62.0
_APART = 1.25 * TEXT_MM
_LEAST_BAR = 1.2
_SAME_MM = 0.8
"""Lines that nowhere lie further apart on paper are drawn as one."""

Plot = list[tuple[float, float]]
"""Heights of cuts, mm, and a figure of each."""

_SPOON_APART_MM = 2.0
"""The spoon is laid in for the chart alone where no cut closer than this has told what the jar takes."""

_AROUND_MM = 5.0
"""A single height stands in the middle of an axis that reaches so far to both sides."""

_EARLY_MM = 16.0
"""A line that ends further from the right edge is named where it ends."""


@dataclass(frozen=True)
class Axes:
    """A rectangle on paper and the figures it stands for, both from low to high."""

    left: float
    bottom: float
    wide: float
    high: float
    across: tuple[float, float]
    up: tuple[float, float]

    def at(self, points: Sequence[tuple[float, float]]) -> Floats:
        """Places on paper, (n, 2) mm."""
        p = np.array(points, dtype=np.float64)
        x = self.left + (p[:, 0] - self.across[0]) / (self.across[1] - self.across[0]) * self.wide
        y = self.bottom + (p[:, 1] - self.up[0]) / (self.up[1] - self.up[0]) * self.high
        return np.stack([x, y], axis=1)

    @property
    def right(self) -> float:
        """Right edge, mm."""
        return self.left + self.wide

    @property
    def top(self) -> float:
        """Upper edge, mm."""
        return self.bottom + self.high


def chart(study: Study) -> Drawing:
    """The pot in half section on the left; on the right capacity, what holds at each slant, and weight of the lid.

    Returns:
        The drawing `study`, its text to be read at 1:1, about 190 mm wide; no line is for cutting.
    """
    across = _range(study)
    rows_bottom = _WEIGHT_HIGH + 3.2 * TEXT_MM
    capacity_bottom = rows_bottom + _ROW_HIGH * len(study.slants) + 4.4 * TEXT_MM
    takes = {slant.angle: _takes(study, slant) for slant in study.slants}
    lids = {slant.angle: [(t.height, t.figures.lid_g) for t in slant.trace if t.figures] for slant in study.slants}
    weights = _axes(lids, 0.0, _WEIGHT_HIGH, across)
    capacities = _axes(takes, capacity_bottom, _CAPACITY_HIGH, across)
    marks = _bands(study, capacities, weights)
    marks += _frame(capacities, "the jar takes, ml (fired)") + _frame(weights, "the lid weighs, g")
    marks += _plotted(study, capacities, takes)
    marks += _plotted(study, weights, lids)
    marks += _rows(study, capacities, rows_bottom)
    marks += _example(study, capacities, weights)
    name = f"height of the cut, mm ({study.design.head.sized.words})"
    marks += Marks(words=(Words(name, _LEFT + _WIDE / 2, -3.4 * TEXT_MM, TEXT_MM, "middle"),))
    marks += half_section(study, _POT_ROOM, capacities.top, TEXT_MM)
    title = Words(study.design.title, 0.0, capacities.top + 4.0 * TEXT_MM, 1.4 * TEXT_MM, bold=True)
    return Drawing("study", f"{study.design.title}: where to cut", marks.lines, (*marks.words, title))


def _range(study: Study) -> tuple[float, float]:
    """Heights on the axis: of all cuts that can be made."""
    heights = [t.height for slant in study.slants for t in slant.trace if t.figures is not None]
    low, high = (min(heights), max(heights)) if heights else study.heights
    return (low, high) if high > low else (low - _AROUND_MM, high + _AROUND_MM)


def _takes(study: Study, slant: Slant) -> Plot:
    """Heights and what the jar takes, where its notch is known or no cut close by has told."""
    found: Plot = []
    for tried in slant.trace:
        takes = tried.takes_ml
        if takes is None and tried.figures and not (found and tried.height - found[-1][0] < _SPOON_APART_MM):
            takes = study.trial.at(tried.height, tried.angle, spoon_anyway=True).takes_ml
        if takes is not None:
            found.append((tried.height, takes))
    return found


def _axes(plots: dict[float, Plot], bottom: float, high: float, across: tuple[float, float]) -> Axes:
    values = [value for plot in plots.values() for _, value in plot]
    found = ticks(min(values, default=0.0), max(values, default=1.0), MOST_TICKS if high > 50 else 4)
    return Axes(_LEFT, bottom, _WIDE, high, across, (found[0], found[-1]))


def _bands(study: Study, capacities: Axes, weights: Axes) -> Marks:
    """Where everything holds at the named slant, through both charts."""
    lines = []
    for span in study.named.spans:
        (low, _), (high, _) = capacities.at([(span.low.height, 0), (span.high.height, 0)])
        for axes in (capacities, weights):
            lines.append(_box(low, axes.bottom, high, axes.top, Pen.WASTE))
    return Marks(tuple(lines))


def _box(left: float, bottom: float, right: float, top: float, pen: Pen) -> Line:
    corners = [(left, bottom), (right, bottom), (right, top), (left, top), (left, bottom)]
    return Line(polyline(corners), Layer.MARK, pen)


def _frame(axes: Axes, name: str) -> Marks:
    """Ticks with their figures, light lines across, and what is plotted."""
    lines: list[Line] = []
    words: list[Words] = []
    widest = 0.0
    for value in ticks(*axes.up, MOST_TICKS if axes.high > 50 else 4):
        if not axes.up[0] - 1e-9 <= value <= axes.up[1] + 1e-9:
            continue
        y = float(axes.at([(axes.across[0], value)])[0, 1])
        lines.append(Line(line([axes.left, y], [axes.right, y]), Layer.MARK, Pen.WASTE))
        lines.append(thin(line([axes.left - 1.2, y], [axes.left, y])))
        words.append(Words(f"{value:g}", axes.left - 2.2, y - MIDDLE * TEXT_MM, TEXT_MM, "end"))
        widest = max(widest, room_for(f"{value:g}", TEXT_MM))
    for value in ticks(*axes.across):
        if not axes.across[0] - 1e-9 <= value <= axes.across[1] + 1e-9:
            continue
        x = float(axes.at([(value, axes.up[0])])[0, 0])
        lines.append(Line(line([x, axes.bottom], [x, axes.top]), Layer.MARK, Pen.WASTE))
        lines.append(thin(line([x, axes.bottom - 1.2], [x, axes.bottom])))
        words.append(Words(f"{value:g}", x, axes.bottom - 1.45 * TEXT_MM, TEXT_MM, "middle"))
    lines.append(thin(polyline([(axes.left, axes.top), (axes.left, axes.bottom), (axes.right, axes.bottom)])))
    x = axes.left - 3.4 - widest
    words.append(Words(name, x, (axes.bottom + axes.top) / 2, TEXT_MM, "middle", 90.0))
    return Marks(tuple(lines), tuple(words))


def _plotted(study: Study, axes: Axes, plots: dict[float, Plot]) -> Marks:
    """A line for each slant, or for several that would lie on each other, named at its right end."""
    drawn = [(slant, axes.at(plots[slant.angle])) for slant in study.slants if plots[slant.angle]]
    groups: list[tuple[list[Slant], Floats]] = []
    for slant, points in drawn:
        if groups and _apart(groups[-1][1], points) < _SAME_MM:
            groups[-1][0].append(slant)
            if slant is study.named:
                groups[-1] = groups[-1][0], points
        else:
            groups.append(([slant], points))
    others = iter((Pen.DASHED, Pen.CENTRE, None, None))
    lines: list[Line] = []
    for slants, points in groups:
        pen = Pen.SEEN if study.named in slants else next(others)
        if len(points) == 1:
            lines.append(thin(arc((float(points[0, 0]), float(points[0, 1])), 0.5, 0.0, 2 * math.pi)))
        else:
            lines += _dotted(points) if pen is None else [Line(polyline(points), Layer.MARK, pen)]
    early = [(slants, points) for slants, points in groups if _ends_early(axes, points)]
    late = [(slants, points) for slants, points in groups if not _ends_early(axes, points)]
    words = [
        _at_its_end(slants, points, [other for _, other in groups if other is not points]) for slants, points in early
    ]
    ends = [points[-1] for _, points in late]
    for (slants, points), end, y in zip(late, ends, spread([float(e[1]) for e in ends], _APART), strict=True):
        # a lone cut is named beside it: a leader to the edge would look like a line of its own
        x = axes.right if len(points) > 1 else float(end[0]) + 3.0
        lines.append(thin(polyline([end, (x + 1.0, y), (x + 2.0, y)])))
        words.append(Words(_names(slants), x + 2.8, y - MIDDLE * TEXT_MM, TEXT_MM))
    return Marks(tuple(lines), tuple(words))


def _ends_early(axes: Axes, points: Floats) -> bool:
    """Whether a line is named where it ends; a lone cut, which others lie above and below, is not."""
    return len(points) > 1 and bool(axes.right - points[-1, 0] > _EARLY_MM)


def _names(slants: Sequence[Slant]) -> str:
    first, last = degrees(slants[0].angle), degrees(slants[-1].angle)
    return first if len(slants) == 1 else f"{first[:-1]}–{last}"


def _at_its_end(slants: Sequence[Slant], points: Floats, others: Sequence[Floats]) -> Words:
    """The name of a line that ends far from the edge: on the side of its end where there are fewer other lines."""
    x, y = (float(v) for v in points[-1])
    over = sum(1 if np.interp(x, *other.T) > y else -1 for other in others)
    return Words(_names(slants), x, y + (-1.1 if over > 0 else 0.4) * TEXT_MM, TEXT_MM, "middle")


def _apart(first: Floats, second: Floats) -> float:
    """The most two lines lie apart upright where both run, mm."""
    low, high = max(first[0, 0], second[0, 0]), min(first[-1, 0], second[-1, 0])
    if low > high:
        return math.inf
    x = np.linspace(low, high, 100)
    return float(np.abs(np.interp(x, *first.T) - np.interp(x, *second.T)).max())


def _dotted(points: Floats) -> list[Line]:
    """Dots along a line."""
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    starts = np.arange(0.0, along[-1] - 0.5, 1.4)
    first = np.stack([np.interp(starts, along, points[:, axis]) for axis in (0, 1)], axis=1)
    last = np.stack([np.interp(starts + 0.3, along, points[:, axis]) for axis in (0, 1)], axis=1)
    return [Line(line(a, b), Layer.MARK, Pen.SEEN) for a, b in zip(first, last, strict=True)]


def _rows(study: Study, axes: Axes, bottom: float) -> Marks:
    """One row a slant: where the form can be cut, and where everything holds."""
    lines: list[Line] = []
    words = []
    for number, slant in enumerate(study.slants):
        y = bottom + _ROW_HIGH * (number + 0.5)
        can = [tried.height for tried in slant.trace if tried.figures is not None]
        if can:
            (low, _), (high, _) = axes.at([(min(can), 0), (max(can), 0)])
            lines.append(thin(line([low, y], [high, y])))
        for span in slant.spans:
            (low, _), (high, _) = axes.at([(span.low.height, 0), (span.high.height, 0)])
            widened = max(_LEAST_BAR - (high - low), 0.0) / 2
            lines.append(_box(low - widened, y - 1.2, high + widened, y + 1.2, Pen.CLAY))
        words.append(Words(degrees(slant.angle), axes.left - 2.2, y - MIDDLE * TEXT_MM, TEXT_MM, "end"))
    y = bottom + _ROW_HIGH * len(study.slants) + 0.4 * TEXT_MM
    words.append(Words("bars: everything holds; line: it can be cut", axes.left, y, TEXT_MM))
    return Marks(tuple(lines), tuple(words))


def _example(study: Study, capacities: Axes, weights: Axes) -> Marks:
    """The cut the sentence names, through both charts, with its figures."""
    shown = study.shown
    if shown is None or shown.figures is None or shown.takes_ml is None:
        return Marks()
    marks = Marks()
    figures = shown.figures
    for axes, value, text in (
        (capacities, shown.takes_ml, f"{height_said(shown.height)} mm: {shown.takes_ml:.0f} ml"),
        (weights, figures.lid_g, f"{figures.lid_g:.0f} g"),
    ):
        x, y = (float(v) for v in axes.at([(shown.height, value)])[0])
        half = room_for(text, TEXT_MM) / 2
        at = min(max(x, axes.left + half), axes.right - half)
        upright = thin(line([x, axes.bottom], [x, axes.top + 0.3 * TEXT_MM]))
        spot: Curve = arc((x, y), 0.9, 0.0, 2 * math.pi)
        marks += Marks(
            (upright, Line(spot, Layer.MARK, Pen.CLAY)),
            (Words(text, at, axes.top + 0.6 * TEXT_MM, TEXT_MM, "middle"),),
        )
    return marks
