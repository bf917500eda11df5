"""The vessel drawn the trade's own way: left half in section, right half seen from outside, sizes in mm."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from ..clay.states import State
from ..forms.shape import Ring
from ..geometry.curve import Curve, Floats, chained, line
from ..geometry.tolerance import JOIN_MM
from ..lengths import mm
from ..measures import Measures
from ..piece import Piece
from .dimension import GAP, MIDDLE, Marks, leader, level_dimension, room_for, thin, tick, upright_dimension
from .drawing import Drawing, Layer, Line, Pen, Words, bounds_of
from .half import Half, half_of, mirrored
from .pot_view import pot_marks, pot_of
from .ring_detail import ring_detail

CARD_MM = 120.0
"""Width a card gives the view; the text must still be read there."""

POT_MM, POT_HIGH_MM = 165.0, 76.0
"""The same for a pot with its lid, which has details beside it and longer tables under it."""

CARD_HIGH_MM = 90.0
"""Height a card gives the view without its caption."""

MOST_SHARE = 0.034
"""The most a font size may be of a pot's width and height together: past that the words push the pot aside."""

TEXT_MM = 2.7
"""Font size once the view is as wide as that, and the least at 1:1."""

_FILL_NAME = "fill line"

_EDGE_RADIANS = np.radians(15)
"""A turn sharper than this is seen from outside as a line round the pot, if it happens within `_EDGE_MM`."""

_EDGE_MM = 6.0
_NEAR_MM = 2.5
"""An edge nearer than this to the table or the joint would only thicken that line."""

_WIDER_MM = 1.0
"""A belly is dimensioned beside the rim from this difference on."""

_AXIS_GAP = -1.5
"""Where the chain of heights stands beside the axis, on the cut side, in font sizes."""

_ROW = 2.0
"""From one row of dimensions to the next, in font sizes."""


def section_view(measures: Measures, state: State = State.FIRED) -> Drawing:
    """The whole piece, half in section and half from outside, with its sizes in one state.

    A jar with a lid is drawn closed, and fired with its spoon at rest.

    Args:
        measures: of a piece of one part or several.
        state: whose millimetres are drawn and written.

    Returns:
        The drawing `section`, 1:1, y up, axis at x = 0, standing at y = 0; no line is for cutting.
    """
    marks_at, (wide, high, most) = _drawer(measures, state)
    size = TEXT_MM
    # the room for text widens the drawing and a wider drawing asks for larger text: it settles geometrically
    for _ in range(60):
        marks = marks_at(size)
        larger = min(TEXT_MM * max(1.0, _width(marks) / wide, _height(marks, size) / high), most)
        if abs(larger - size) < 1e-3 * size:
            break
        size = larger
    left, bottom, right, _ = bounds_of(item.curve for item in marks.lines)
    below = min(bottom, *(words.y for words in marks.words)) - 2 * size
    caption = _caption(measures.piece, state, (left + right) / 2, below, size, right - left)
    return Drawing("section", f"{measures.piece.design.title}: section", marks.lines, marks.words + caption)


def _drawer(measures: Measures, state: State) -> tuple[Callable[[float], Marks], tuple[float, float, float]]:
    """What draws the piece at a font size, the width and height a card gives it, and the largest size, mm."""
    piece = measures.piece
    if piece.pair is not None or (measures.spoon is not None and len(piece.parts) == 1):
        pot = pot_of(measures, state)
        most = max(TEXT_MM, MOST_SHARE * (2 * pot.reach + pot.high))
        return lambda size: pot_marks(pot, size), (POT_MM, POT_HIGH_MM, most)
    halves = [half_of(piece, cast, state) for cast in piece.parts]
    fill_mm = measures.main.fill_line_mm * piece.body.scale(State.FIRED, state)[1]
    return lambda size: _marks(piece, halves, fill_mm, size), (CARD_MM, CARD_HIGH_MM, np.inf)


def _width(marks: Marks) -> float:
    left, _, right, _ = bounds_of(item.curve for item in marks.lines)
    for words in marks.words:
        room = room_for(words.text, words.size)
        start = words.x - {"start": 0.0, "middle": 0.5, "end": 1.0}[words.anchor] * room
        left, right = min(left, start), max(right, start + room)
    return right - left


def _height(marks: Marks, size: float) -> float:
    """From the highest line to the lowest line or word."""
    _, bottom, _, top = bounds_of(item.curve for item in marks.lines)
    return top - min(bottom, *(words.y - GAP * size for words in marks.words))


def _caption(piece: Piece, state: State, x: float, y: float, size: float, width: float) -> tuple[Words, Words]:
    title = piece.design.title
    longest = max(int(width / room_for("m", 1.2 * size)), 8)
    if len(title) > longest:
        title = title[: longest - 1].rstrip() + "…"
    return (
        # below the other, so that a page that has its title already can leave it out
        Words(title, x, y - 1.7 * size, 1.1 * size, "middle", bold=True),
        Words(f"{state.words}, sizes in mm", x, y, size, "middle"),
    )


def _marks(piece: Piece, halves: list[Half], fill_mm: float, size: float) -> Marks:
    ring = piece.asked.ring
    marks = _section(halves) + _seen(halves, size) + _sizes(halves, ring, size, fill_mm)
    if ring.depth and len(halves) == 1:
        beside = 4.2 * size + room_for(mm(_top(halves)), size)  # past the overall height and its text
        marks += ring_detail(ring, halves[0], _right(halves) + beside, size)
    return marks


def _section(halves: list[Half]) -> Marks:
    """What is cut: waste first, so that the clay that stays lies over it."""
    lines: list[Line] = []
    for half in halves:
        if half.trimmed_off is not None:
            lines.append(Line(mirrored(half.thrown), Layer.MARK, Pen.WASTE))
            lines.append(Line(mirrored(half.trimmed_off), Layer.MARK, Pen.DASHED))
    lines += [Line(mirrored(half.section), Layer.MARK, Pen.CLAY) for half in halves]
    return Marks(tuple(lines))


def _seen(halves: list[Half], size: float) -> Marks:
    """The outside view, the rim's far edge behind the cut, the table and the centre line."""
    lines: list[Line] = []
    for half in halves:
        place, top = half.rim.highest(1)
        over = [half.rim.part(0.0, place)] if place > JOIN_MM else []
        lines.append(Line(chained([half.outside, *over]), Layer.MARK, Pen.SEEN))
        apex = half.rim.at(place)[0]
        lines.append(Line(line([-apex if not half.cast.open_foot else 0.0, top], [apex, top]), Layer.MARK, Pen.SEEN))
        lines += [Line(line([0.0, z], [r, z]), Layer.MARK, Pen.SEEN) for r, z in _edges(half.outside, half.lift, top)]
    reach = _right(halves) + 1.2 * size
    low, high = _low(halves), _top(halves)
    lines.append(Line(line([-reach, 0.0], [reach, 0.0]), Layer.MARK, Pen.THIN))
    lines.append(Line(line([0.0, low - 0.7 * size], [0.0, high + 0.7 * size]), Layer.MARK, Pen.CENTRE))
    return Marks(tuple(lines))


def _edges(outside: Curve, bottom: float, top: float) -> list[Floats]:
    """Where the outside turns sharply enough to be seen as a line round the pot, (r, z) each."""
    found: list[Floats] = []
    for index in range(len(outside)):
        one = Curve(outside.cubics[index : index + 1])
        if one.length <= _EDGE_MM and _turn(one.direction(0.0), one.direction(1.0)) > _EDGE_RADIANS:
            found.append(one.at(0.5))
        if index and _turn(outside.direction(np.nextafter(index, 0)), outside.direction(index)) > _EDGE_RADIANS:
            found.append(one.start)
    return [at for at in found if bottom + _NEAR_MM < at[1] < top - _NEAR_MM]


def _turn(first: Floats, second: Floats) -> float:
    return float(np.arccos(np.clip(first @ second, -1.0, 1.0)))


def _right(halves: list[Half]) -> float:
    return max(half.section.highest(0)[1] for half in halves)


def _top(halves: list[Half]) -> float:
    return max(half.section.highest(1)[1] for half in halves)


def _low(halves: list[Half]) -> float:
    """The lowest clay: the bat's face for a piece that is trimmed."""
    return min(0.0, *(half.thrown.lowest(1)[1] for half in halves))


def _sizes(halves: list[Half], ring: Ring, size: float, fill_mm: float) -> Marks:
    bowl, foot = halves[0], halves[-1]
    top, low, right = _top(halves), _low(halves), _right(halves)
    rim_top, floor = bowl.rim.highest(1)[1], float(bowl.inside.start[1])
    # what is served on a stand is not poured in; in a low piece the line would lie near the floor and say nothing
    fill = rim_top - fill_mm if len(halves) == 1 and rim_top - floor > 2 * fill_mm else None
    on_axis, above, stop = _on_axis(bowl, size, low, fill)
    named = Marks() if fill is None else _fill_line(bowl, size, fill, stop)
    # a mouth too narrow for the name sends it to the column of the walls
    led = fill if fill is not None and not named.words else None
    marks = on_axis + named + _left_column(bowl, foot, size, right, led)
    row = top + (3.0 if above else 1.8) * size

    rim = bowl.rim.at(bowl.rim.highest(0)[0])
    marks += _diameter("rim ⌀", rim, row, size)
    wide_at = max((half.section.at(half.section.highest(0)[0]) for half in halves), key=lambda p: p[0])
    if 2 * (wide_at[0] - rim[0]) > _WIDER_MM:
        marks += _diameter("widest ⌀", wide_at, row + _ROW * size, size)

    row = low - 4.2 * size
    inner = foot.scale[0] * (ring.inner_diameter or 0.0) / 2
    if ring.depth and inner > 3.6 * size:  # else its help lines would run through the word on the floor
        marks += _diameter("inner ⌀", np.array([inner, low]), row, size)
        row -= _ROW * size
    radius = foot.scale[0] * foot.cast.shape.foot_diameter / 2
    marks += _diameter("foot ⌀", np.array([radius, low]), row, size)
    marks += upright_dimension(
        (right + 1.2 * size, 0.0),
        (bowl.rim.at(bowl.rim.highest(1)[0])[0], top),
        right + 2 * size,
        mm(top),
        size,
    )
    if len(halves) > 1:
        out, y = float(foot.rim.start[0]), bowl.lift - 1.5 * size
        joint = (out, bowl.lift)
        marks += leader(
            [joint, (out + 1.5 * size, y), (out + 2.2 * size, y)],
            f"joint ⌀ {mm(2 * out)}",
            size,
            leftward=False,
        )
    return marks


def _diameter(name: str, at: Floats, y: float, size: float) -> Marks:
    """A diameter through the mirrored point."""
    r, z = float(at[0]), float(at[1])
    return level_dimension((-r, z), (r, z), y, f"{name} {mm(2 * r)}", size)


def _on_axis(bowl: Half, size: float, low: float, fill: float | None) -> tuple[Marks, bool, float]:
    """Inside depth and floor in one chain just left of the axis.

    Returns:
        The marks, whether the depth is written above the rim, and where a fill line has to stop (x, mm).
    """
    x = _AXIS_GAP * size
    rim = bowl.rim.highest(1)[1]
    floor, under = float(bowl.inside.start[1]), float(bowl.section.start[1])
    text, floor_text = f"depth {mm(rim - floor)}", f"floor {mm(floor - under)}"
    room, stop, above = room_for(text, size), x - 2 * GAP * size, False
    # a round floor has risen where the text stands
    risen = bowl.inside.crossings(0, -x + 1.4 * size)
    ground = float(bowl.inside.at(risen[0])[1]) if len(risen) else rim
    ceiling = rim if fill is None else fill - 1.6 * size
    middle, centre = (floor + ceiling) / 2, (ground + ceiling) / 2
    if ceiling - floor > 2 * size and _inner(bowl, middle - size) + x > room + 2 * GAP * size:
        words = Words(text, x - 1.2 * GAP * size, middle - MIDDLE * size, size, "end")
    elif ceiling - ground > room + GAP * size:
        words = Words(text, x - GAP * size, centre, size, "middle", 90.0)
    elif rim - ground > room + 2 * GAP * size:
        words = Words(text, x - GAP * size, (ground + rim) / 2, size, "middle", 90.0)
        stop = x - 1.8 * size
    else:
        words, above = Words(text, x + GAP * size, rim + 0.8 * size, size), True
    chain = [thin(line([x, low - 1.9 * size], [x, rim + (1.9 * size if above else 0.0)]))]
    chain += [tick((x, z), size) for z in (under, floor, rim)]
    # short levels from the axis: beside it a round floor has already risen
    chain += [thin(line([x - GAP * size, z], [0.0, z])) for z in (under, floor)]
    floor_words = Words(floor_text, x + GAP * size, low - 1.85 * size, size)
    return Marks(tuple(chain), (floor_words, words)), above, stop


def _inner(bowl: Half, level: float) -> float:
    """Inside radius at a height, mm."""
    places = bowl.inside.crossings(1, level)
    return float(bowl.inside.at(places[-1])[0]) if len(places) else 0.0


def _fill_line(bowl: Half, size: float, level: float, stop: float) -> Marks:
    """The level from the wall to `stop`, its name under it if there is room."""
    wall = -_inner(bowl, level)
    if wall >= stop:
        return Marks((Line(line([wall, level], [0.0, level]), Layer.MARK, Pen.DASHED),))
    dashes = (Line(line([wall, level], [stop, level]), Layer.MARK, Pen.DASHED),)
    # the wall comes in below the line, so the name is centred on what is left at its foot
    start = max(wall, -_inner(bowl, level - 1.4 * size)) + 0.5 * GAP * size
    if stop - start < room_for(_FILL_NAME, size):
        return Marks(dashes)
    return Marks(dashes, (Words(_FILL_NAME, (start + stop) / 2, level - 1.15 * size, size, "middle"),))


def _left_column(bowl: Half, foot: Half, size: float, right: float, fill: float | None) -> Marks:
    """Wall thickness at rim and foot, each a line across the wall, led out to the left; the fill line's name too."""
    column = -right - 1.6 * size
    marks, led = Marks(), []
    pairs = (foot.wall_at_foot, (bowl.outside.end, bowl.inside.end))
    for outer, inner in pairs:
        a, b = outer * [-1, 1], inner * [-1, 1]
        marks += Marks((thin(line(b, a)), tick(a, size), tick(b, size)))
        led.append((a, f"wall {mm(float(np.hypot(*(outer - inner))))}"))
    if fill is not None:
        led.insert(1, (np.array([-_inner(bowl, fill), fill]), _FILL_NAME))
    y = -np.inf
    for at, text in led:
        y = max(float(at[1]), 0.6 * size, y + 1.5 * size)
        marks += leader([at, (column, y)], text, size, leftward=True)
    return marks
