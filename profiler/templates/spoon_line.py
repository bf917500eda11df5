"""The spoon as it lies in its jar, in the plane of the notch: a bar of the handle's thickness that ends in a disc."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise

import numpy as np

from ..geometry.curve import Curve, arc, chained, line
from ..lengths import mm
from ..spoon.measured import Spoon
from ..spoon.rest import Rest
from .board import Board
from .dimension import GAP, MIDDLE, Marks, room_for, thin
from .drawing import Layer, Line, Pen, Words
from .half import mirrored

_BESIDE = 6.5
"""Words further than this from the handle's end, in font sizes, are led to it."""

_BOWL = "bowl"
_ARC_SHARE = 0.7
"""Where the angle's arc stands along the handle, of what sticks out."""


def spoon_outline(spoon: Spoon, rest: Rest) -> Curve:
    """The closed outline of a spoon at rest, (x, z) mm, x positive towards the notch."""
    angle, half, radius = math.radians(rest.angle_deg), spoon.handle_thickness / 2, spoon.bowl_radius_mm
    way = np.array([math.cos(angle), math.sin(angle)])
    side = half * np.array([-way[1], way[0]])
    centre, end = np.array(rest.bowl_at), np.array(rest.end_at)
    leaves = math.asin(half / radius)
    bowl = arc(centre, radius, angle + leaves, angle - leaves + 2 * math.pi)
    # the handle's edges begin exactly where the disc ends
    return chained([bowl, line(bowl.end, end - side), line(end - side, end + side), line(end + side, bowl.start)])


def spoon_lines(spoon: Spoon, rest: Rest) -> tuple[Line, ...]:
    """The spoon on the cut side, and dashed where the outside view hides it."""
    outline = mirrored(spoon_outline(spoon, rest))
    cuts = np.concatenate([[0.0], outline.crossings(0, 0.0), [float(len(outline))]])
    drawn = []
    for first, last in pairwise(cuts):
        if last - first > 1e-9:
            hidden = outline.at((first + last) / 2)[0] > 0
            part = outline.part(float(first), float(last))
            drawn.append(Line(part, Layer.MARK, Pen.DASHED if hidden else Pen.SEEN))
    return tuple(drawn)


def spoon_words(spoon: Spoon, rest: Rest, size: float, board: Board, wall: float, left: float) -> Marks:
    """Its angle, with an arc, and how far it sticks out, by its end; what the disc is, in it.

    Args:
        spoon: as measured.
        rest: how it lies.
        size: font size, mm.
        board: what is drawn already.
        wall: radius of the outside where the handle crosses it, mm.
        left: where the column of names left of the pot ends, mm.
    """
    text = [f"spoon {rest.angle_deg:.0f}°", f"sticks out {mm(rest.sticks_out_mm)}"]
    if rest.sticks_out_mm <= 0:
        text = text[:1]
    angle, (end_x, end_y) = math.radians(rest.angle_deg), rest.end_at
    marks, reach = Marks(), _ARC_SHARE * rest.sticks_out_mm
    if reach > 2 * size:
        # from the level at the wall up to the handle
        z = end_y - (end_x - wall) * math.tan(angle)
        level = thin(line([-wall, z], [-wall - reach - size, z]))
        turn = arc([-wall, z], reach, math.pi, math.pi - angle)
        marks = board.add(Marks((level, thin(turn))))
    for x, y, anchor in _spots(-end_x, end_y, size, left):
        words = tuple(
            Words(one, x, y + (0.7 - MIDDLE - 1.45 * row) * size, size, anchor) for row, one in enumerate(text)
        )
        if all(board.free(one) for one in words):
            break
    if np.hypot(x + end_x, y - end_y) > _BESIDE * size:
        # too far off to be seen to belong together
        marks += board.add(Marks((thin(line([x + GAP * size, y], [-end_x, end_y])),)))
    return marks + board.add(Marks((), words)) + _bowl_word(spoon, rest, size, board)


def _bowl_word(spoon: Spoon, rest: Rest, size: float, board: Board) -> Marks:
    """What the disc is, in it; nothing where there is no room."""
    x, z = rest.bowl_at
    for up in (0.0, 0.9, -0.9, 1.6, -1.6):
        word = Words(_BOWL, -x, z + (up - MIDDLE) * size, size, "middle")
        half = math.sqrt(max(0.0, spoon.bowl_radius_mm**2 - ((abs(up) + 0.5) * size) ** 2))
        if room_for(_BOWL, size) < 2 * half and board.free(word):
            return board.add(Marks((), (word,)))
    return Marks()


def _spots(x: float, y: float, size: float, left: float) -> Iterator[tuple[float, float, str]]:
    """Where two lines of text may stand by the end of a handle at (x, y): (x, y, anchor), the best first."""
    for up in (-1.0, 0.4, 1.2, -2.6, 2.2, -4.0, 3.4, -5.5):
        for way, anchor in ((-1.5, "end"), (1.5, "start"), (0.0, "middle")):
            yield x + way * GAP * size, y + up * size, anchor
    # or else in the column left of everything
    for step in range(40):
        for way in (1.0, -1.0):
            yield left, y + way * 0.75 * step * size, "end"
    yield x - 1.5 * GAP * size, y, "end"
