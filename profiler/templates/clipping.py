"""What of a closed outline lies in a window, and the hatching of what is left."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from ..geometry.curve import Curve, chained, line
from ..geometry.tolerance import JOIN_MM

_OFF = 0.3719
"""Where in its step the first line of a hatching lies: a share no outline's corner falls on."""


def clipped(closed: Curve, axis: int, value: float, *, above: bool) -> Curve:
    """What of a closed chain lies on one side of a level (axis 1) or upright (axis 0) line, closed along it.

    Curves are split where they cross, so each edge that stays is the edge itself.

    Raises:
        ValueError: nothing of it does.
    """
    cuts = np.concatenate([[0.0], closed.crossings(axis, value), [float(len(closed))]])
    kept: list[Curve] = []
    for first, last in pairwise(cuts):
        if last - first > 1e-9 and (closed.at((first + last) / 2)[axis] > value) == above:
            part = closed.part(float(first), float(last))
            if kept and np.abs(part.start - kept[-1].end).max() > JOIN_MM:
                kept.append(line(kept[-1].end, part.start))
            kept.append(part)
    if not kept:
        raise ValueError("nothing of the outline lies there")
    if np.abs(kept[-1].end - kept[0].start).max() > JOIN_MM:
        kept.append(line(kept[-1].end, kept[0].start))
    return chained(kept)


def hatched(closed: Curve, step: float, degrees: float) -> list[Curve]:
    """Parallel lines across what a closed outline holds.

    Args:
        closed: the outline.
        step: from line to line, mm.
        degrees: of the lines, from the first axis.
    """
    angle = np.radians(degrees)
    turn = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
    seen = Curve(closed.cubics @ turn)
    low, high = seen.lowest(1)[1], seen.highest(1)[1]
    lines = []
    for level in np.arange(low + _OFF * step, high, step):
        across = np.sort(seen.at(seen.crossings(1, float(level)))[:, 0])
        if len(across) % 2:  # a corner just touched: no line is better than a wrong one
            continue
        ends = np.stack([across, np.full(len(across), level)], axis=1) @ turn.T
        lines += [line(ends[i], ends[i + 1]) for i in range(0, len(ends), 2)]
    return lines
