"""A pot with its lid or its spoon or both, closed, half in section and half from outside: seat, notch, heights."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..clay.states import State
from ..forms.shape import Ring
from ..geometry.curve import Curve, Floats, line
from ..geometry.tolerance import JOIN_MM
from ..lengths import mm
from ..lids.sizes import CutLid
from ..measures import Measures
from ..spoon.measured import Spoon
from ..spoon.rest import Rest
from ..spooned import spoon_at_rest, spoon_of
from .board import Board
from .clipping import clipped, hatched
from .dimension import GAP, MIDDLE, Marks, leader, level_dimension, room_for, thin, tick, upright_dimension
from .drawing import Layer, Line, Pen, Words
from .half import Half, half_of, mirrored
from .ring_detail import ring_detail
from .seat_detail import HATCH, LID_HATCH_DEG, Detail, detail_reach, of_cut, of_fitted, seat_detail
from .spoon_line import spoon_lines, spoon_words

_ROW = 2.0
"""From one row of dimensions to the next, in font sizes."""

_AXIS_GAP = -1.5
"""Where the inside depth stands beside the axis, on the cut side, in font sizes."""

_LED_SHARE = 0.4
"""How high up its line a depth is led out where there is no room beside it."""

_NAME = 18
"""Letters a stuck-on part's name may take in the drawing."""

_APART_MM = 1.0
"""Two edges of a joint nearer than this are seen as one line."""

_WIDER_MM = 1.0

_SHIFTS = (0.0, 0.5, -0.5, 1.0, -1.0, 1.5, -1.5, 2.0, -2.0, 3.0, -3.0, 4.0, -4.0, 5.5, -5.5)
"""How far a name may stand above or below what it is led to, in font sizes."""


@dataclass(frozen=True, eq=False)
class Pot:
    """What the drawing of a closed pot shows, r and z in mm of its state.

    Attributes:
        jar: what holds something.
        lid: where it stands when the jar is closed; None without one.
        whole: the closed form both were cut from; None for a lid thrown by itself.
        kind: of the lid; empty without one.
        hides: height of the lid from which down, or of the jar from which up, the other hides it from outside.
        detail: of the seat; None without a lid.
        ring: of the foot.
        fill: height of the fill line; None where it says nothing.
        spoon: and how it lies; None without one, or in a state other than fired, which it never sees.
        jar_notch: height above which the jar is notched; None without.
        lid_notch: height below which the lid is.
        extra: name and height of what stands up over the lid.
    """

    jar: Half
    lid: Half | None
    whole: Half | None
    kind: str
    hides: float
    detail: Detail | None
    ring: Ring
    fill: float | None
    spoon: tuple[Spoon, Rest] | None
    jar_notch: float | None
    lid_notch: float | None
    extra: tuple[str, float] | None

    @property
    def top(self) -> float:
        """Of its own clay, closed."""
        return max(half.top for half in self.halves)

    @property
    def low(self) -> float:
        """The lowest clay that is shown: the bat's face for a piece that is trimmed."""
        return min(0.0, (self.whole or self.jar).thrown.lowest(1)[1])

    @property
    def reach(self) -> float:
        """The widest radius."""
        return max(half.reach for half in self.halves)

    @property
    def halves(self) -> tuple[Half, ...]:
        """Jar and lid."""
        return (self.jar,) if self.lid is None else (self.jar, self.lid)

    @property
    def high(self) -> float:
        """Its highest place, with what is stuck on."""
        return self.top if self.extra is None else self.extra[1]


def pot_of(measures: Measures, state: State) -> Pot:
    """Gather what is drawn of a piece of one part, or of a jar with its lid."""
    piece = measures.piece
    jar = half_of(piece, piece.parts[0], state)
    lid = None if piece.pair is None else half_of(piece, piece.parts[1], state)
    kind, hides, detail = _seated(measures, jar, lid, state)
    k_z = piece.body.scale(State.FIRED, state)[1]
    spoon, asked = measures.spoon, piece.design.head.spoon
    rest = spoon_at_rest(piece, spoon) if spoon is not None and state is State.FIRED else None
    notches: list[float | None] = [None, None]
    if spoon is not None and spoon.jar_notch_mm:
        notches[0] = jar.top - k_z * spoon.jar_notch_mm
    if spoon is not None and lid is not None and spoon.lid_notch_mm:
        notches[1] = lid.low + k_z * spoon.lid_notch_mm
    return Pot(
        jar=jar,
        lid=lid,
        whole=None if piece.whole is None else half_of(piece, piece.whole, state),
        kind=kind,
        hides=hides,
        detail=detail,
        ring=piece.asked.ring,
        fill=jar.top - k_z * measures.main.fill_line_mm if measures.main.fill_ml is not None else None,
        spoon=None if asked is None or rest is None else (spoon_of(asked), rest),
        jar_notch=notches[0],
        lid_notch=notches[1],
        extra=_stands_up(measures, jar if lid is None else lid, state),
    )


def _seated(measures: Measures, jar: Half, lid: Half | None, state: State) -> tuple[str, float, Detail | None]:
    """Kind of lid, the height from which on one part hides the other, and the seat's detail."""
    pair, table, found = measures.piece.pair, measures.piece.design.head.lid, measures.lid
    if pair is None or table is None or found is None or lid is None:
        return "", 0.0, None
    if isinstance(table, CutLid):
        assert pair.cut is not None  # noqa: S101 - a cut lid has its cut
        return table.kind, float(lid.outside.start[1]), of_cut(jar, lid, pair.cut, found)
    assert pair.seat is not None  # noqa: S101 - every other lid has a seat
    assert found.fit is not None  # noqa: S101 - and a fit
    hides = {"gallery": jar.top, "flange": jar.scale[1] * pair.seat.rests_at, "cap": lid.low}[table.kind]
    return table.kind, hides, of_fitted(jar, lid, table, pair.seat, found.fit.states[state].nominal_mm)


def _stands_up(measures: Measures, half: Half, state: State) -> tuple[str, float] | None:
    """Name and height of what is stuck on the top and stands up highest over it."""
    on = "lid" if half.cast.name == "lid" else "piece"
    extras = [extra for extra in measures.piece.design.head.extras if extra.height > 0 and extra.on == on]
    if not extras:
        return None
    tall = max(extras, key=lambda extra: extra.height)
    return _short(tall.name), half.top + measures.piece.scale(state)[1] * tall.height


def _short(name: str) -> str:
    return name if len(name) <= _NAME else name[: _NAME - 1].rstrip() + "…"


def pot_marks(pot: Pot, size: float) -> Marks:
    """All lines and words of the drawing at a font size, mm."""
    board = Board(size)
    marks = board.add(_section(pot, size) + _seen(pot, size))
    marks += board.add(_levels(pot, size))
    marks += board.add(_heights(pot, size))
    marks += board.add(_on_axis(pot, size))
    marks += _beside(pot, size, board)
    if pot.spoon is not None:
        rest = pot.spoon[1]
        beyond = rest.sticks_out_mm * np.cos(np.radians(rest.angle_deg))
        left = min(-pot.reach, -rest.end_at[0]) - 2 * size
        marks += spoon_words(pot.spoon[0], rest, size, board, rest.end_at[0] - float(beyond), left)
    deep = _depth_beside(pot, size, board)
    if deep is not None:
        marks += board.add(Marks((), (deep,)))
    marks += _column(pot, size, board, lead_depth=deep is None)
    return marks


def _section(pot: Pot, size: float) -> Marks:
    """What is cut: waste first, so that the clay that stays lies over it; then the spoon over the notch's floor."""
    lines: list[Line] = []
    thrown = pot.whole or pot.jar
    if thrown.trimmed_off is not None:
        # above the place where trimming ends nothing is shown of the closed form as it was before the cut
        waste = clipped(thrown.thrown, 1, thrown.trimmed_off.end[1], above=False)
        lines.append(Line(mirrored(waste), Layer.MARK, Pen.WASTE))
        lines.append(Line(mirrored(thrown.trimmed_off), Layer.MARK, Pen.DASHED))
    for half in pot.halves:
        level, keeps_above = (pot.lid_notch, True) if half is pot.lid else (pot.jar_notch, False)
        clay = half.section
        if level is not None:
            # behind the notch the wall goes on
            lines.append(Line(mirrored(half.section), Layer.MARK, Pen.SEEN))
            clay = clipped(half.section, 1, level, above=keeps_above)
        lines.append(Line(mirrored(clay), Layer.MARK, Pen.CLAY))
        if half is pot.lid:
            lines += [thin(one) for one in hatched(mirrored(clay), HATCH * size, LID_HATCH_DEG)]
    if pot.spoon is not None:
        lines += spoon_lines(*pot.spoon)
    return Marks(tuple(lines))


def _seen(pot: Pot, size: float) -> Marks:
    """Jar and lid from outside, the table and the centre line."""
    lines = [Line(curve, Layer.MARK, Pen.SEEN) for curve in _shown(pot)]
    reach = pot.reach + 1.2 * size
    lines.append(thin(line([-reach, 0.0], [reach, 0.0])))
    lines.append(Line(line([0.0, pot.low - 0.7 * size], [0.0, pot.high + 0.7 * size]), Layer.MARK, Pen.CENTRE))
    return Marks(tuple(lines))


def _shown(pot: Pot) -> list[Curve]:
    """The outlines that show from outside, and the levels at which they turn away."""
    jar = pot.jar.seen
    if pot.lid is None:
        apex = float(jar.end[0])
        return [jar, line([-apex, jar.end[1]], [apex, jar.end[1]])]
    lid = pot.lid.seen
    if pot.kind == "cut":
        # a joint that rises inwards is hidden by the lid over it
        jar, edges = pot.jar.outside, [pot.jar.outside.end, lid.start]
        if abs(edges[0][1] - edges[1][1]) < _APART_MM:
            edges = edges[:1]
    elif pot.kind == "cap":
        jar, edges = _below(jar, pot.hides), [lid.start]
    elif pot.kind == "gallery":
        lid, edges = _above(lid, pot.hides), [jar.end]
    else:
        lid = _above(lid, pot.hides)
        edges = [lid.start]
    return [jar, lid, *(line([0.0, z], [r, z]) for r, z in (edge.tolist() for edge in edges))]


def _above(curve: Curve, level: float) -> Curve:
    """What of a chain from below upwards lies over a level."""
    places = curve.crossings(1, level + JOIN_MM)
    return curve.part(float(places[-1]), float(len(curve))) if len(places) else curve


def _below(curve: Curve, level: float) -> Curve:
    places = curve.crossings(1, level)
    return curve.part(0.0, float(places[-1])) if len(places) else curve


def _levels(pot: Pot, size: float) -> Marks:
    """The diameters: of rim or lid and the widest above, of the foot below."""
    jar, lid = pot.jar, pot.lid
    row = pot.high + 1.8 * size
    at, name = jar.rim.at(jar.rim.highest(0)[0]), "rim ⌀"
    if lid is not None and pot.kind in ("flange", "cap"):  # which hides the rim
        at, name = lid.section.at(lid.section.highest(0)[0]), "lid ⌀"
    marks = _diameter(name, at, row, size)
    widest = max((half.section.at(half.section.highest(0)[0]) for half in pot.halves), key=lambda p: float(p[0]))
    if 2 * (widest[0] - at[0]) > _WIDER_MM:
        marks += _diameter("widest ⌀", widest, row + _ROW * size, size)
    row = pot.low - 4.2 * size
    inner = jar.scale[0] * (pot.ring.inner_diameter or 0.0) / 2
    if pot.ring.depth and inner > 3.6 * size:
        marks += _diameter("inner ⌀", np.array([inner, pot.low]), row, size)
        row -= _ROW * size
    foot = jar.scale[0] * jar.cast.shape.foot_diameter / 2
    return marks + _diameter("foot ⌀", np.array([foot, pot.low]), row, size)


def _diameter(name: str, at: Floats, y: float, size: float) -> Marks:
    r, z = float(at[0]), float(at[1])
    return level_dimension((-r, z), (r, z), y, f"{name} {mm(2 * r)}", size)


def _heights(pot: Pot, size: float) -> Marks:
    """The jar, the closed pair, and what is stuck on its lid, each a column right of the last."""
    x = pot.reach + 2 * size
    shown = [("" if pot.lid is None else "jar", pot.jar.top, _side(pot, pot.jar.top))]
    if pot.lid is not None:
        shown.append(("closed", pot.top, 0.0))
    marks = Marks()
    if pot.extra is not None:
        name, top = pot.extra
        shown.append((f"with {name}", top, 0.0))
        half = 1.5 * size
        marks += Marks((Line(line([-half, top], [half, top]), Layer.MARK, Pen.DASHED),))
    for name, top, r in shown:
        text = f"{name} {mm(top)}".strip()
        along = room_for(text, size) < top - 2 * GAP * size
        lines = upright_dimension((pot.reach + 1.2 * size, 0.0), (r, top), x, "", size).lines
        if along:
            words = Words(text, x - GAP * size, top / 2, size, "middle", 90.0)
            marks += Marks(lines, (words,))
            x += 2.0 * size
        else:
            marks += Marks(lines, (Words(text, x + 2 * GAP * size, top / 2 - MIDDLE * size, size),))
            x += 2.4 * size + room_for(text, size)
    return marks


def _side(pot: Pot, level: float) -> float:
    """How far out the closed pot stands at a height, mm."""
    found = [half.section.at(half.section.crossings(1, level - JOIN_MM))[:, 0] for half in pot.halves]
    return max(float(radii.max()) for radii in found if len(radii))


def _beside(pot: Pot, size: float, board: Board) -> Marks:
    """Seat and foot ring, enlarged, right of the heights."""
    heights, marks = _heights(pot, size), Marks()
    left = max(item.curve.highest(0)[1] for item in heights.lines)
    left = max([left, *(words.x + room_for(words.text, size) for words in heights.words if not words.turned)])
    left += 3.0 * size
    if pot.detail is not None:
        high = max(pot.top, 10 * size)
        marks += seat_detail(pot.detail, left, high, size)
        left = detail_reach(pot.detail, left, high, size) + 2.0 * size
    if pot.ring.depth:
        marks += ring_detail(pot.ring, pot.jar, left, size)
    return board.add(marks)


def _on_axis(pot: Pot, size: float) -> Marks:
    """The chain of floor and depth beside the axis, the floor's name under it, and the fill line."""
    jar, x = pot.jar, _AXIS_GAP * size
    rim, floor, under = jar.top, float(jar.inside.start[1]), float(jar.section.start[1])
    chain = [thin(line([x, pot.low - 1.9 * size], [x, rim]))]
    chain += [tick((x, z), size) for z in (under, floor, rim)]
    chain += [thin(line([x - GAP * size, z], [0.0, z])) for z in (under, floor)]
    if pot.fill is not None:
        chain.append(Line(line([-_inner(jar, pot.fill), pot.fill], [0.0, pot.fill]), Layer.MARK, Pen.DASHED))
    return Marks(tuple(chain), (Words(f"floor {mm(floor - under)}", x + GAP * size, pot.low - 1.85 * size, size),))


def _depth(pot: Pot) -> tuple[float, float, str]:
    """Floor and rim of the jar, and the depth between them in words."""
    floor = float(pot.jar.inside.start[1])
    return floor, pot.jar.top, f"depth {mm(pot.jar.top - floor)}"


def _depth_beside(pot: Pot, size: float, board: Board) -> Words | None:
    """The depth's name by its line, where spoon and wall leave room; None where they leave none."""
    x, (floor, rim, text) = _AXIS_GAP * size, _depth(pot)
    steps = np.linspace(0.5, 0.04, 24)
    levels = [floor + share * (rim - floor) for s in steps for share in ((s, 1 - s) if s < 0.5 else (s,))]
    spots = [Words(text, x - 1.2 * GAP * size, z - MIDDLE * size, size, "end") for z in levels]
    spots += [Words(text, x - GAP * size, z, size, "middle", 90.0) for z in levels]
    spots += [Words(text, 1.2 * GAP * size, z - MIDDLE * size, size) for z in levels]
    spots += [Words(text, 1.4 * size, z, size, "middle", 90.0) for z in levels]
    return board.first_free(spots)


def _inner(half: Half, level: float) -> float:
    """Inside radius at a height, mm."""
    places = half.inside.crossings(1, level)
    return float(half.inside.at(places[-1])[0]) if len(places) else 0.0


def _column(pot: Pot, size: float, board: Board, *, lead_depth: bool) -> Marks:
    """Wall thickness, each a line across the wall led out to the left; other names that need the room too."""
    jar, led, marks = pot.jar, [], Marks()
    walls = [jar.wall_at_foot]
    if pot.kind != "cut" and pot.jar_notch is None:
        walls.append((jar.outside.end, jar.inside.end))
    for outer, inner in walls:
        a, b = outer * [-1, 1], inner * [-1, 1]
        marks += Marks((thin(line(b, a)), tick(a, size), tick(b, size)))
        led.append((a, f"wall {mm(float(np.hypot(*(outer - inner))))}"))
    board.add(marks)
    if pot.fill is not None:
        wall = -_inner(jar, pot.fill)
        names = [
            Words("fill line", wall + share * -wall, pot.fill + up * size, size, "middle")
            for up in (-1.15, 0.45)
            for share in (0.45, 0.3, 0.6, 0.7)
        ]
        named = board.first_free(names)
        if named is not None:
            marks += board.add(Marks((), (named,)))
        else:
            led.append((np.array([wall, pot.fill]), "fill line"))
    if lead_depth:
        floor, rim, text = _depth(pot)
        led.append((np.array([_AXIS_GAP * size, floor + _LED_SHARE * (rim - floor)]), text))
    if pot.jar_notch is not None:
        outer = jar.section.at(jar.section.crossings(1, pot.jar_notch - JOIN_MM))[:, 0].max()
        led.append((np.array([-float(outer), pot.jar_notch]), f"notch {mm(jar.top - pot.jar_notch)} deep"))
    # beside a spoon there is most room below, elsewhere above
    way = 1.0 if pot.spoon is None else -1.0
    column, y = -pot.reach - 1.6 * size, -way * np.inf
    for at, text in sorted(led, key=lambda item: way * float(item[0][1])):
        y = way * max(way * max(float(at[1]), 0.6 * size), way * y + 1.5 * size)
        shifts = sorted(_SHIFTS, key=lambda up: abs(up) + 3.0 * (up * way < 0))
        y += next((up * size for up in shifts if _clear(board, text, column, y + up * size, size)), 0.0)
        marks += board.add(leader([at, (column, y)], text, size, leftward=True))
    return marks


def _clear(board: Board, text: str, column: float, y: float, size: float) -> bool:
    return board.free(Words(text, column - GAP * size, y - MIDDLE * size, size, "end"))
