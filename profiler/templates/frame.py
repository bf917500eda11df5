"""The frame of a template: the body round its working edge, a place to hold it, its lettering and marks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from textwrap import wrap

import numpy as np
from numpy.typing import ArrayLike

from ..clay.states import State
from ..geometry.curve import Curve, Floats, arc, chained, line, polyline
from ..lengths import MM_PER_INCH, mm
from ..piece import Cast, Piece
from .drawing import Drawing, Layer, Line, Words
from .room import Box, Room

CORNER_MM = 7.0
"""Rounding of a body's corners, so that none digs into the palm."""
RUN_ON_MM = 15.0
"""How far a rib goes on past the rim, along the tangent."""
PAST_AXIS_MM = 5.0
"""How far a tool goes on past the axis, lifting off the clay at once."""

_HOLE_MM, _ROUND_HOLE_MM = 6.0, 6.5
_SLOT_MM, _ROUND_SLOT_MM = (90.0, 26.0), 14.0
_MARK_MM = 6.0
_RIM_SAMPLES = 60
_TEXT_MARGIN_MM, _LABEL_MARGIN_MM = 2.5, 0.9
_LABEL_MM, _NOTE_MM, _LEAST_TEXT_MM = 3.2, 3.6, 3.0
_NEEDED_NOTES = 3  # the first note, the clay and its shrinkage
_BARS = (
    ((4 * MM_PER_INCH, "4 in"), (100.0, "100 mm")),
    ((2 * MM_PER_INCH, "2 in"), (50.0, "50 mm")),
    ((MM_PER_INCH, "1 in"), (20.0, "20 mm")),
)
# The face's reach above and below the baseline, in font sizes, and the pitch of lines.
_ASCENT, _DESCENT, _PITCH = 0.93, 0.24, 1.32
_SCALES, _INDENT_MM = (1.0, 0.9, 0.8, 0.75), 2.5
# Characters to a line: level first, then turned; narrow columns only after both.
_COLUMNS = tuple((most, turned) for some in ((64, 40, 30, 24), (19, 15)) for turned in (0.0, 90.0) for most in some)
_TITLES = (60, 34, 20)


@dataclass(frozen=True)
class Mark:
    """A short line that starts a little off the working edge and what it means.

    Attributes:
        at: where on the edge, mm.
        way: unit vector into the body.
        label: what it says; empty for a bare line.
        off: how far off the edge it starts, mm.
    """

    at: tuple[float, float]
    way: tuple[float, float]
    label: str
    off: float = 1.5

    @property
    def curve(self) -> Curve:
        """The line."""
        at, way = np.array(self.at), np.array(self.way)
        return line(at + self.off * way, at + (self.off + _MARK_MM) * way)


@dataclass(frozen=True)
class Lettering:
    """What a template says.

    Attributes:
        head: title, tool and state; always there.
        notes: the rest, the most important first; the last ones go where there is no room.
    """

    head: tuple[str, str, str]
    notes: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class Body:
    """A template before it is lettered, all in mm as it is held.

    Attributes:
        profile: the edge that follows the clay.
        outline: from the profile's end round to its start.
        marks: what is marked beside the profile.
        lines: other lines to mark.
        labels: words beside an edge: (text, near).
        hang: where the hole is wanted.
        grip: where the middle of the hand slot is wanted.
        upright: whether the slot stands.
    """

    profile: Curve
    outline: Curve
    marks: tuple[Mark, ...] = ()
    lines: tuple[Curve, ...] = ()
    labels: tuple[tuple[str, tuple[float, float]], ...] = ()
    hang: tuple[float, float] = (0.0, 0.0)
    grip: tuple[float, float] = (0.0, 0.0)
    upright: bool = False


def legs(points: Sequence[tuple[float, float, float]]) -> Curve:
    """Straight legs through (x, y, rounding) in mm; each rounding is made smaller where its legs are short."""
    p = np.array([(x, y) for x, y, _ in points], dtype=np.float64)
    chain: list[Curve] = []
    at = p[0]
    for index in range(1, len(p) - 1):
        back, ahead = p[index] - p[index - 1], p[index + 1] - p[index]
        short = 0.48 * min(float(np.hypot(*back)), float(np.hypot(*ahead)))
        back, ahead = back / np.hypot(*back), ahead / np.hypot(*ahead)
        turn = float(np.arctan2(back[0] * ahead[1] - back[1] * ahead[0], back @ ahead))
        radius = min(points[index][2], short / max(np.tan(abs(turn) / 2), 1e-9))
        if radius <= 0 or abs(turn) < 1e-6:
            chain.append(line(at, p[index]))
            at = p[index]
            continue
        side = np.sign(turn) * np.array([-back[1], back[0]])
        before = p[index] - radius * np.tan(abs(turn) / 2) * back
        first = float(np.arctan2(-side[1], -side[0]))
        bend = arc(before + radius * side, radius, first, first + turn)
        chain += [line(at, before), bend]
        at = bend.end
    return chained([*chain, line(at, p[-1])])


def past_axis(edge: Curve) -> Curve:
    """From the back of a tool to its edge's start on the axis: an arc that leaves the clay beyond at once.

    Level where the edge is; where the edge climbs from the axis, the clay beyond climbs too and so does the
    arc. Where the edge is shorter than the arc, an inner ring stands beyond the axis, and the arc ends before it.
    """
    way = edge.direction(0.0)
    climb = max(float(np.arctan2(way[1], way[0])), 0.0)
    radius = min(PAST_AXIS_MM, 0.9 * float(edge.end[0]))
    centre = edge.start + radius * np.array([np.sin(climb), np.cos(climb)])
    bend = arc(centre, radius, np.pi, 1.5 * np.pi - climb).cubics.copy()
    bend[-1, 3] = edge.start
    return Curve(bend)


def run_on(edge: Curve, rim: Curve, least_top: float, *, clay_left: bool) -> list[tuple[float, float, float]]:
    """Corners from the edge's end past the rim, up to the body's top, for `legs`.

    It goes on along the tangent, which stays clear of a rounded rim; a rim cut so that it rises over the
    tangent turns it aside.

    Args:
        edge: ending at the rim, mm.
        rim: over the top, from the edge's end to the far side, mm.
        least_top: the least height of the top, mm.
        clay_left: whether the clay lies to the left of the edge.
    """
    way = edge.direction(len(edge))
    over = rim.sampled(_RIM_SAMPLES)[1:] - edge.end
    turns = np.arctan2(way[0] * over[:, 1] - way[1] * over[:, 0], over @ way)
    aside = min(0.0, float(turns.min())) if clay_left else max(0.0, float(turns.max()))
    cosine, sine = np.cos(aside), np.sin(aside)
    way = np.array([way[0] * cosine - way[1] * sine, way[0] * sine + way[1] * cosine])
    beyond = edge.end + RUN_ON_MM * way
    corners = [(float(edge.end[0]), float(edge.end[1]), 0.0), (float(beyond[0]), float(beyond[1]), CORNER_MM)]
    if least_top > beyond[1]:
        corners.append((corners[1][0], max(least_top, corners[1][1] + 2 * CORNER_MM), CORNER_MM))
    return corners


def normal_into(edge: Curve, place: float, *, left: bool) -> tuple[float, float]:
    """Unit normal of an edge at a place, to its left or right."""
    way = edge.direction(place)
    side = 1.0 if left else -1.0
    return -side * float(way[1]), side * float(way[0])


def lettering(piece: Piece, cast: Cast, tool: str, state: State, notes: Sequence[str] = ()) -> Lettering:
    """What every template says, then its own notes."""
    title = piece.design.title + (f", {cast.name}" if cast.name else "")
    words = "for use wet, as thrown" if state is State.WET else f"for use {state.words}"
    fired = f"{_shrunk(piece, State.FIRED)} fired"
    shrinkage = f"shrinks {fired}" if state is State.WET else f"shrinks {_shrunk(piece, state)} by now, {fired}"
    return Lettering(
        (title, tool, words),
        (
            *notes[:1],
            piece.body.name,
            shrinkage,
            *notes[1:],
            "laminate, or trace on thin ply or plastic; dull sharp edges",
        ),
    )


def right_when(piece: Piece, cast: Cast) -> str:
    """The rim that tells the leather-hard moment a tool is drawn for: leather-hard is a range."""
    rim = cast.shape.rim_diameter * piece.scale(State.LEATHER_HARD)[0]
    return f"right when your rim measures {mm(rim)} mm"


def _shrunk(piece: Piece, state: State) -> str:
    across = 100 * piece.body.shrinkage.at(state)
    if piece.body.shrinkage_height is None:
        return f"{across:.3g}\u00a0%"
    return f"{across:.3g}\u00a0% across and {100 * piece.body.shrinkage_height.at(state):.3g}\u00a0% up"


def finished(name: str, body: Body, says: Lettering) -> Drawing:
    """The drawing: holes, marks and lettering put where there is room for them.

    The hand slot is left out where the head, the first note or a scale bar would lose its place to it.
    """
    tried = []
    for slot, bars_first in ((True, True), (True, False), (False, True), (False, False)):
        layout = _Layout(body)
        tried.append((layout.fill(says, slot, bars_first), layout))
        if not tried[-1][0]:
            break
    best = min(tried, key=lambda one: one[0])[1]
    return Drawing(name, f"{says.head[0]}: {says.head[1]}", tuple(best.lines), tuple(best.words))


@dataclass(eq=False)
class _Layout:
    """A body being filled."""

    body: Body
    lines: list[Line] = field(default_factory=list)
    words: list[Words] = field(default_factory=list)

    def fill(self, says: Lettering, slot: bool, bars_first: bool) -> int:
        """Put everything; how much that matters found no room."""
        body = self.body
        self.room = Room(chained([body.profile, body.outline]))
        self.lines = [
            Line(body.profile, Layer.CUT, id="profile"),
            Line(body.outline, Layer.CUT, id="outline"),
        ]
        self._marks()
        self._hang()
        if slot:
            self._slot()
        box = None
        for most in _TITLES:
            head = [(shortened(says.head[0], most), 5.5), (says.head[1], 4.2), (says.head[2], 4.2)]
            box = box or self._block(head, body.grip, bold=True)
        near = body.grip if box is None else box.middle
        lost = 0 if box else 9
        if bars_first:
            return lost + self._bars(near) + self._notes(says.notes, near)
        return lost + self._notes(says.notes, near) + self._bars(near)

    def _notes(self, texts: tuple[str, ...], near: tuple[float, float]) -> int:
        """As many notes together as there is room for, the rest one by one; how much that matters is lost."""
        notes, together = [(text, _NOTE_MM) for text in texts], len(texts)
        while together and not self._block(notes[:together], near):
            together -= 1
        lost = [i for i in range(together, len(notes)) if not self._block([notes[i]], near)]
        return sum(4 if i == 0 else 2 if i < _NEEDED_NOTES else 0 for i in lost)

    def _marks(self) -> None:
        for curve in (*[m.curve for m in self.body.marks], *self.body.lines):
            self.lines.append(Line(curve, Layer.MARK))
            self.room.take_curve(curve)
        for mark in self.body.marks:
            if mark.label:
                end = np.array(mark.curve.end) + 2.0 * np.array(mark.way)
                self._label(mark.label, (float(end[0]), float(end[1])))
        for text, near in self.body.labels:
            self._label(text, near)

    def _label(self, text: str, near: tuple[float, float]) -> None:
        wide, high = estimated_width(text, _LABEL_MM), (_ASCENT + _DESCENT) * _LABEL_MM
        box = self.room.find(wide, high, near, _LABEL_MARGIN_MM)
        # a label that ends up far from what it names misleads: better none
        if box and np.hypot(*(np.array(box.middle) - near)) < wide / 2 + 10:
            self._write([_Set(text, _LABEL_MM)], box, 0.0)

    def _hang(self) -> None:
        side = _HOLE_MM + 2 * _ROUND_HOLE_MM
        box = self.room.find(side, side, self.body.hang, 0.0)
        if box:
            self.lines.append(Line(_closed(arc(box.middle, _HOLE_MM / 2, 0, 2 * np.pi)), Layer.CUT, id="hang"))
            middle = box.middle
            self.room.take(Box(middle[0] - 4, middle[1] - 4, middle[0] + 4, middle[1] + 4))

    def _slot(self) -> None:
        long, wide = _SLOT_MM
        for upright in (self.body.upright, not self.body.upright):
            across, up = (wide, long) if upright else (long, wide)
            box = self.room.find(across, up, self.body.grip, _ROUND_SLOT_MM)
            if box:
                self.lines.append(Line(_stadium(box), Layer.CUT, id="hand"))
                self.room.take(box)
                return

    def _block(self, lines: list[tuple[str, float]], near: tuple[float, float], bold: bool = False) -> Box | None:
        """Lines of text together, as large as there is room for, turned if need be; a head's first is bold."""
        tries = [(scale, column) for scale in _SCALES for column in _COLUMNS]
        if bold:  # a head is better small than broken into many lines
            tries.sort(key=lambda one: _COLUMNS.index(one[1]))
        for scale, (most, turned) in tries:
            made = [
                _Set(part, max(size * scale, _LEAST_TEXT_MM), bold and not n, _INDENT_MM * (i > 0 and not bold))
                for n, (text, size) in enumerate(lines)
                for i, part in enumerate(wrap(text, most, break_on_hyphens=False))
            ]
            wide = max(estimated_width(m.text, m.size, m.bold) + m.indent for m in made)
            high = sum(_PITCH * m.size for m in made[1:]) + (_ASCENT + _DESCENT) * made[0].size
            across, up = (high, wide) if turned else (wide, high)
            box = self.room.find(across, up, near, _TEXT_MARGIN_MM)
            if box:
                self._write(made, box, turned)
                return box
        return None

    def _write(self, lines: list[_Set], box: Box, turned: float) -> None:
        down = _ASCENT * lines[0].size
        for index, m in enumerate(lines):
            down += _PITCH * m.size if index else 0.0
            x, y = (box.left + down, box.bottom + m.indent) if turned else (box.left + m.indent, box.top - down)
            self.words.append(Words(m.text, x, y, m.size, turned=turned, bold=m.bold))
        self.room.take(box)

    def _bars(self, near: tuple[float, float]) -> int:
        """A millimetre and an inch bar, one over the other, the longest pair that fits; what it lacks."""
        each = 1.2 + (_ASCENT + _DESCENT) * _LABEL_MM
        for lacks, bars in enumerate(_BARS):
            long, high = bars[0][0], 2 * each + 1.0
            for turned in (0.0, 90.0):
                across, up = (high, long) if turned else (long, high)
                box = self.room.find(across, up, (near[0], near[1] - 16.0), 1.6)
                if box:
                    for index, (length, text) in enumerate(bars):
                        self._bar(box, index * (each + 1.0), length, text, turned)
                    self.room.take(box)
                    return (0, 0, 1)[lacks]
        return 3

    def _bar(self, box: Box, over: float, length: float, text: str, turned: float) -> None:
        """One bar in its box, so far over the box's foot; turned, the foot is on the right."""
        ends = np.array(
            [[0.0, 2.0], [0.0, 0.0], [length, 0.0], [length, 2.0], [length / 2, 1.2 + _DESCENT * _LABEL_MM]]
        )
        ends[:, 1] += over
        places = ends @ [[0.0, 1.0], [-1.0, 0.0]] if turned else ends
        places = places + ([box.right, box.bottom] if turned else [box.left, box.bottom])
        self.lines.append(Line(polyline(places[:4]), Layer.MARK))
        x, y = point(places[4])
        self.words.append(Words(text, x, y, _LABEL_MM, anchor="middle", turned=turned))


@dataclass(frozen=True)
class _Set:
    """A line of text as it is set, mm."""

    text: str
    size: float
    bold: bool = False
    indent: float = 0.0


def estimated_width(text: str, size: float, bold: bool = False) -> float:
    """Room to keep for a line of text, mm: never less than a common sans serif takes."""
    widths = sum(
        1.0
        if c in "mwMW@%…—" or ord(c) > 0x2E80
        else 0.42
        if c in "ijlftrI.,:;'|!()- "
        else 0.79
        if c.isupper() or ord(c) > 127
        else 0.64
        for c in text
    )
    return size * widths * (1.13 if bold else 1.0)


def _closed(curve: Curve) -> Curve:
    """The curve with its last point laid exactly on its first."""
    cubics = curve.cubics.copy()
    cubics[-1, 3] = cubics[0, 0]
    return Curve(cubics)


def _stadium(box: Box) -> Curve:
    """A slot with round ends that fills a box."""
    x, y = box.middle
    upright = box.top - box.bottom > box.right - box.left
    radius = min(box.right - box.left, box.top - box.bottom) / 2
    reach = max(box.right - box.left, box.top - box.bottom) / 2 - radius
    ends = ((x, y + reach), (x, y - reach)) if upright else ((x + reach, y), (x - reach, y))
    first = 0.0 if upright else -np.pi / 2
    one = arc(ends[0], radius, first, first + np.pi)
    other = arc(ends[1], radius, first + np.pi, first + 2 * np.pi)
    return _closed(chained([one, line(one.end, other.start), other, line(other.end, one.start)]))


def shortened(text: str, most: int) -> str:
    """A text of so many characters at most.

    >>> shortened("Mountain hut bowl", 9)
    'Mountain…'
    """
    return text if len(text) <= most else text[: most - 1].rstrip() + "…"


def point(at: ArrayLike) -> tuple[float, float]:
    """A point as two numbers."""
    p: Floats = np.asarray(at, dtype=np.float64)
    return float(p[0]), float(p[1])
