"""The true shape of a drawing on a grid, grown by half of what two must stay apart, so that shapes can nest."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from math import ceil

import numpy as np
from numpy.typing import NDArray

from ..geometry.curve import Curve, Floats
from ..templates.drawing import Drawing
from .extent import Box, box_of, box_of_words

CELL_MM = 2.0
"""Side of a cell: what a place on a page is rounded to."""

GAP_MM = 8.0
"""Kept free between two drawings on a page: room for scissors."""

_STEP_MM = 1.0  # two discs of half a gap a step apart leave a dent of 0.03 mm between them
_TINY = 1e-9


@dataclass(frozen=True, eq=False)
class Shape:
    """What a drawing keeps others off.

    Attributes:
        turned: whether it is that of the drawing a quarter turned, anticlockwise.
        width: of the drawing with its text, mm.
        height: the same, upwards.
        taken: cells nearer to the drawing than half a gap, the lowest row first; the first cell's lower left
            lies half a gap left of and below the drawing's box.
    """

    turned: bool
    width: float
    height: float
    taken: NDArray[np.bool_]
    _spectra: dict[tuple[tuple[int, int], bool], NDArray[np.complex128]] = field(default_factory=dict, repr=False)

    @property
    def cells(self) -> int:
        """How many cells it takes."""
        return int(self.taken.sum())

    def spectrum(self, size: tuple[int, int]) -> NDArray[np.complex128]:
        """The conjugate Fourier transform of its cells on a grid of (rows, columns): a factor of a correlation."""
        if (size, False) not in self._spectra:
            self._spectra[size, False] = np.conj(np.fft.rfft2(self.taken, size))
        return self._spectra[size, False]

    def grown_spectrum(self, size: tuple[int, int]) -> NDArray[np.complex128]:
        """The same of its cells and their neighbours, whose first cell lies one row and column before."""
        if (size, True) not in self._spectra:
            inner = np.pad(self.taken, 2)
            grown = inner[1:-1, 1:-1] | inner[:-2, 1:-1] | inner[2:, 1:-1] | inner[1:-1, :-2] | inner[1:-1, 2:]
            self._spectra[size, True] = np.conj(np.fft.rfft2(grown, size))
        return self._spectra[size, True]


def shape_of(drawing: Drawing, *, turned: bool = False) -> Shape:
    """The shape of a drawing: its body, lines and words; a drawing without a body takes its whole box."""
    if turned:
        drawing = drawing.quarter_turned()
    box = box_of(drawing)
    whole = box_shape(box[2] - box[0], box[3] - box[1], turned=turned)
    body = drawing.body
    if body is None:
        return whole
    taken = np.zeros_like(whole.taken)
    corner = np.array(box[:2]) - GAP_MM / 2
    _fill(taken, (_points(body) - corner) / CELL_MM)
    _grow(taken, np.concatenate([_points(line.curve) for line in drawing.lines]) - corner)
    _take(taken, (box_of_words(words) for words in drawing.words), corner)
    return replace(whole, taken=taken)


def box_shape(width: float, height: float, *, turned: bool = False) -> Shape:
    """The shape of all that fills a box, mm."""
    size = [ceil((length + GAP_MM) / CELL_MM - _TINY) for length in (height, width)]
    return Shape(turned, width, height, np.ones(size, dtype=np.bool_))


def _points(curve: Curve) -> Floats:
    """Points of a curve no further apart than a step, (n, 2) mm."""
    # A cubic is no faster than three times the longest side of its control polygon.
    fastest = 3 * np.hypot(*np.moveaxis(np.diff(curve.cubics, axis=1), 2, 0)).max(axis=1)
    counts = (fastest / _STEP_MM).astype(int) + 2
    first = np.repeat(np.cumsum(counts) - counts, counts)
    # From the start of each cubic to just short of the next one's, and the end.
    places = np.repeat(np.arange(len(curve)), counts) + (np.arange(counts.sum()) - first) / np.repeat(counts, counts)
    return curve.at(np.append(places, len(curve)))


def _fill(taken: NDArray[np.bool_], points: Floats) -> None:
    """Take the cells whose middles lie inside a closed run of points less than a cell apart, in cells."""
    p, q = points - 0.5, np.roll(points, -1, axis=0) - 0.5
    # Where a step passes the middle line of a row, what lies right of it changes sides.
    row = np.ceil(np.minimum(p[:, 1], q[:, 1])).astype(int)
    passes = (p[:, 1] > row) != (q[:, 1] > row)
    p, q, row = p[passes], q[passes], row[passes]
    crossing = p[:, 0] + (row - p[:, 1]) / (q[:, 1] - p[:, 1]) * (q[:, 0] - p[:, 0])
    changes = np.zeros((taken.shape[0], taken.shape[1] + 1), dtype=int)
    np.add.at(changes, (row, np.ceil(crossing).astype(int)), 1)
    taken |= changes.cumsum(axis=1)[:, :-1] % 2 == 1


def _grow(taken: NDArray[np.bool_], points: Floats) -> None:
    """Take the cells within half a gap of any of the points, mm from the grid's corner."""
    around = [np.zeros((1, 2))]
    for radius in np.arange(GAP_MM / 2, 0.0, -CELL_MM):
        turns = np.linspace(0.0, 2 * np.pi, ceil(2 * np.pi * radius / _STEP_MM), endpoint=False)
        around.append((radius - _TINY) * np.column_stack([np.cos(turns), np.sin(turns)]))
    cells = ((points[:, None, :] + np.concatenate(around)) / CELL_MM).reshape(-1, 2).astype(int)
    rows, columns = taken.shape
    taken[cells[:, 1].clip(0, rows - 1), cells[:, 0].clip(0, columns - 1)] = True


def _take(taken: NDArray[np.bool_], boxes: Iterable[Box], corner: Floats) -> None:
    """Take the cells within half a gap of upright boxes, mm."""
    for left, bottom, right, top in boxes:
        first = ((np.array([left, bottom]) - GAP_MM / 2 - corner) / CELL_MM + _TINY).astype(int)
        last = np.ceil((np.array([right, top]) + GAP_MM / 2 - corner) / CELL_MM - _TINY).astype(int)
        taken[first[1] : last[1], first[0] : last[0]] = True
