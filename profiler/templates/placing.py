"""Placing the lettering of a template: level text in blocks as large as there is room for, and the scale bars."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from ..geometry.curve import polyline
from ..lengths import MM_PER_INCH
from ..sheets.face import ASCENT, DESCENT
from .drawing import Layer, Line, Words
from .lettering import Lettering
from .room import Box, Room
from .rows import Row, baselines, broken, heads, high

LABEL_MM = 3.2
"""Font size beside a mark and a bar."""

Spot = tuple[float, float]

# What it costs to leave something out; growing by a millimetre costs 0.06.
_NO_HEAD, _NO_NOTE, _NO_BARS, _SHORT_BARS, _NO_HINT, _NO_LABEL = 99.0, 10.0, 10.0, 4.0, 1.5, 1.5
_FAR, _SPLIT = 0.004, 0.4  # for a millimetre the head is away, a block more of notes

_NOTE_SCALES = (1.0, 0.91, 0.834)
_GAP_MM = 3.0
_MOST_TRIED = 4  # ways to set the head that are followed up
_MARGIN_MM, _LABEL_MARGIN_MM, _BAR_MARGIN_MM = 2.2, 0.7, 1.8
_NEAR_MM = 120.0  # notes that stand no further from where they are wanted need not be made smaller
_A_LINE_MM = 4.0  # a line more is worth so much further away
_BARS = (
    ((4 * MM_PER_INCH, "4 in"), (100.0, "100 mm")),
    ((2 * MM_PER_INCH, "2 in"), (50.0, "50 mm")),
    ((MM_PER_INCH, "1 in"), (20.0, "20 mm")),
)
_BAR_HIGH_MM = 1.2 + (ASCENT + DESCENT) * LABEL_MM


@dataclass(eq=False)
class Setting:
    """A body while it is filled: what is free, and what stands there."""

    room: Room
    lines: list[Line] = field(default_factory=list)
    words: list[Words] = field(default_factory=list)

    def copy(self) -> Setting:
        """The same, to try something in."""
        return Setting(self.room.copy(), list(self.lines), list(self.words))

    def label(self, text: str, near: Spot, way: Spot = (0.0, 0.0)) -> float:
        """A few words beside what they name, or not at all: far off they mislead. What it costs.

        Args:
            text: the words.
            near: where their middle is wanted, or what they start at, mm.
            way: unit vector in which they go on from there; nothing for the middle.
        """
        row = Row(text, LABEL_MM)
        near = near[0] + way[0] * (row.width / 2 + 1.0), near[1] + way[1] * (high([row]) / 2 + 0.5)
        found = self.room.find(row.width, high([row]), [near], _LABEL_MARGIN_MM)
        if found is None or found[1] > row.width / 2 + 8.0:
            return _NO_LABEL
        self._write([row], found[0])
        return 0.0

    def lettered(
        self, says: Lettering, near: Spot, *, by_corner: bool, most: float = math.inf
    ) -> tuple[float, Setting] | None:
        """The lettering put where it costs least, in a copy, and what it costs.

        Args:
            says: what to put.
            near: where the head is wanted, mm.
            by_corner: whether that is the head's upper left corner, or its middle.
            most: what it must cost less than; else there is no copy.
        """
        best: tuple[float, Setting] | None = None
        tried = 0
        for head in heads(says):
            if most <= head.cost or tried == _MOST_TRIED or (head.cramped and best is not None):
                break
            wide, up = max(row.width for row in head.rows), high(head.rows)
            middle = (near[0] + wide / 2, near[1] - up / 2) if by_corner else near
            found = self.room.find(wide, up, [middle], _MARGIN_MM)
            if found is None:
                continue
            tried += 1
            least = head.cost + _FAR * found[1]
            for bars_first in (False, True):
                made = self.copy()
                made._write(head.rows, found[0])
                cost = least + made._rest(head.notes, found[0], bars_first)
                if cost < most:
                    most, best = cost, (cost, made)
                if cost < least + _SHORT_BARS:  # no bars are lost to the notes
                    break
        if best is None and most > _NO_HEAD:
            made = self.copy()
            return _NO_HEAD + made._rest(says.notes, Box(*near, *near), bars_first=True), made
        return best

    def _rest(self, notes: Sequence[str], head: Box, bars_first: bool) -> float:
        """Notes and scale bars under or beside the head; what is lost."""
        if bars_first:
            lost, box = self._bars(_spots(head))
            return lost + self._notes(notes, _spots(box or head) + _spots(head))[0]
        lost, box = self._notes(notes, _spots(head))
        return lost + self._bars(_spots(box or head) + _spots(head))[0]

    def _notes(self, notes: Sequence[str], corners: Sequence[Spot]) -> tuple[float, Box | None]:
        """As many notes together as there is room for, the others after them; the cost, and the last block."""
        lost, left, box = -_SPLIT, list(notes), None
        while left:
            for many in range(len(left), 0, -1):
                placed = self._block(left[:many], corners)
                if placed is not None:
                    lost += _SPLIT
                    box, corners = placed, [*_spots(placed), *corners]
                    break
            else:
                many = 1
                lost += _NO_HINT if len(left) == 1 else _NO_NOTE
            left = left[many:]
        return max(lost, 0.0), box

    def _block(self, notes: Sequence[str], corners: Sequence[Spot]) -> Box | None:
        """Some notes as one block with its upper left corner near one of the corners; None if it does not fit."""
        best: tuple[float, Box, Sequence[Row]] | None = None
        for scale in _NOTE_SCALES:
            for rows, across, up in broken(tuple(notes), scale):
                found = self.room.find(across, up, [(x + across / 2, y - up / 2) for x, y in corners], _MARGIN_MM)
                if found is not None:
                    cost = found[1] + _A_LINE_MM * len(rows)
                    if best is None or cost < best[0]:
                        best = cost, found[0], rows
            if best is not None and best[0] - _A_LINE_MM * len(best[2]) < _NEAR_MM:
                break
        if best is None:
            return None
        self._write(best[2], best[1])
        return best[1]

    def _write(self, rows: Sequence[Row], box: Box) -> None:
        for row, down in zip(rows, baselines(rows), strict=True):
            self.words.append(Words(row.text, box.left + row.indent, box.top - down, row.size, bold=row.bold))
        self.room.take(box)

    def _bars(self, corners: Sequence[Spot]) -> tuple[float, Box | None]:
        """A millimetre and an inch bar, one over the other, the longest pair there is room for; cost and place."""
        for bars, lost in zip(_BARS, (0.0, 0.0, _SHORT_BARS), strict=True):
            long, high = bars[0][0], 2 * _BAR_HIGH_MM + 1.0
            for turned in (False, True):
                across, up = (high, long) if turned else (long, high)
                near = [(x + across / 2, y - up / 2) for x, y in corners]
                found = self.room.find(across, up, near, _BAR_MARGIN_MM)
                if found is not None:
                    for index, (length, text) in enumerate(bars):
                        self._bar(found[0], index * (_BAR_HIGH_MM + 1.0), length, text, turned)
                    self.room.take(found[0])
                    return lost, found[0]
        return _NO_BARS, None

    def _bar(self, box: Box, over: float, length: float, text: str, turned: bool) -> None:
        """One bar in its box, so far over the box's foot; turned, the foot is on the right."""
        ends = np.array(
            [[0.0, 2.0], [0.0, 0.0], [length, 0.0], [length, 2.0], [length / 2, 1.2 + DESCENT * LABEL_MM]]
        )
        ends[:, 1] += over
        places = ends @ [[0.0, 1.0], [-1.0, 0.0]] if turned else ends
        places = places + ([box.right, box.bottom] if turned else [box.left, box.bottom])
        self.lines.append(Line(polyline(places[:4]), Layer.MARK))
        x, y = (float(v) for v in places[4])
        self.words.append(Words(text, x, y, LABEL_MM, anchor="middle", turned=90.0 if turned else 0.0))


def _spots(box: Box) -> list[Spot]:
    """Upper left corners of what comes next: under a block, or beside it."""
    return [(box.left, box.bottom - _GAP_MM), (box.right + 2 * _GAP_MM, box.top)]
