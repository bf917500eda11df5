"""The frame of a template: the body round its working edge, what it is held and hung by, marks and lettering."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from ..geometry.curve import Curve, Floats, arc, chained, line
from .drawing import Drawing, Layer, Line
from .holds import Hold, cut
from .lettering import Lettering
from .placing import Setting
from .room import Box, Room

CORNER_MM = 7.0
"""Rounding of a body's corners, so that none digs into the palm."""
RUN_ON_MM = 15.0
"""How far a rib goes on past the rim, along the tangent."""
PAST_AXIS_MM = 5.0
"""How far a tool goes on past the axis, lifting off the clay at once."""

_MARK_MM = 6.0
_RIM_SAMPLES = 60
_GROWTH_MM = (0.0, 6.0, 12.0, 20.0, 30.0, 42.0)
_PER_MM = 0.06  # cost of a millimetre the body grows by
_CLOCKWISE: Floats = np.array([[0.0, -1.0], [1.0, 0.0]])
_NEAR_CORNER_MM = 25.0
_NEXT_HOLD = 1.0  # cost of each hold less good than the one before it


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
        grip: where the middle of a hole to hold by is wanted, and of the head where `text` is not given.
        text: where the upper left corner of the head is wanted.
        upright: whether a slot stands.
        clear: where nothing may stand.
        along: whether the words run up a body that is narrow and upright.
    """

    profile: Curve
    outline: Curve
    marks: tuple[Mark, ...] = ()
    lines: tuple[Curve, ...] = ()
    labels: tuple[tuple[str, tuple[float, float]], ...] = ()
    hang: tuple[float, float] = (0.0, 0.0)
    grip: tuple[float, float] = (0.0, 0.0)
    text: tuple[float, float] | None = None
    upright: bool = False
    clear: tuple[Box, ...] = ()
    along: bool = False


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
    tangent turns it aside. So the tool's end, which would leave a groove, never lies on the clay.

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


def finished(name: str, body: Body, says: Lettering) -> Drawing:
    """The drawing of a body of a given size: hang hole, marks and lettering put where there is room for them."""
    laid = _laid(body)
    start, _ = _started(laid)
    cut(start, Hold.BODY, laid.hang)
    done = _lettered(laid, start, says, math.inf)
    return _drawing(name, body, says, start if done is None else done[1])


def grown(name: str, body_of: Callable[[float], Body], says: Lettering, holds: Sequence[Hold]) -> Drawing:
    """The drawing of the least body that has room for what is said and for something to hold it by.

    Args:
        name: file stem.
        body_of: makes the body, given how much larger than its least size it is to be, mm.
        says: what stands on it.
        holds: what it may be held by, the best first.
    """
    tries = [(_PER_MM * more + _NEXT_HOLD * n, more, hold) for more in _GROWTH_MM for n, hold in enumerate(holds)]
    started: dict[float, tuple[Body, Setting, float]] = {}
    best: tuple[float, Body, Setting] | None = None
    for so_far, more, hold in sorted(tries, key=lambda one: one[0]):
        if best is not None and best[0] <= so_far:
            break
        if more not in started:
            body = body_of(more)
            started[more] = body, *_started(_laid(body))
        body, start, lost = started[more]
        start, laid = start.copy(), _laid(body)
        if not cut(start, hold, laid.hang if hold is Hold.BODY else laid.grip, upright=laid.upright):
            continue
        so_far += lost
        done = _lettered(laid, start, says, math.inf if best is None else best[0] - so_far)
        if done is not None:
            best = so_far + done[0], body, done[1]
    return finished(name, body_of(_GROWTH_MM[-1]), says) if best is None else _drawing(name, best[1], says, best[2])


def _drawing(name: str, body: Body, says: Lettering, made: Setting) -> Drawing:
    if not any(one.id == "hang" for one in made.lines):
        # a hand hole hangs it too; a nail likes a small one, but not in the middle of the tool
        cut(made, Hold.BODY, _laid(body).hang, within_mm=_NEAR_CORNER_MM)
    drawing = Drawing(name, f"{says.head[0]}: {says.head[1]}", tuple(made.lines), tuple(made.words))
    return drawing.quarter_turned() if body.along else drawing


def _laid(body: Body) -> Body:
    """The body as its words run: one they run up is laid on its right side."""
    if not body.along:
        return body

    def turned(at: tuple[float, float]) -> tuple[float, float]:
        return at[1], -at[0]

    def lying(curve: Curve) -> Curve:
        return Curve(curve.cubics @ _CLOCKWISE)

    return Body(
        profile=lying(body.profile),
        outline=lying(body.outline),
        marks=tuple(replace(mark, at=turned(mark.at), way=turned(mark.way)) for mark in body.marks),
        lines=tuple(lying(curve) for curve in body.lines),
        labels=tuple((text, turned(near)) for text, near in body.labels),
        hang=turned(body.hang),
        grip=turned(body.grip),
        text=None if body.text is None else turned(body.text),
    )


def _started(body: Body) -> tuple[Setting, float]:
    """The body with its marks, and what the labels that found no room cost."""
    made = Setting(
        Room(chained([body.profile, body.outline])),
        [Line(body.profile, Layer.CUT, id="profile"), Line(body.outline, Layer.CUT, id="outline")],
    )
    for box in body.clear:
        made.room.take(box)
    for curve in (*[m.curve for m in body.marks], *body.lines):
        made.lines.append(Line(curve, Layer.MARK))
        made.room.take_curve(curve)
    lost = 0.0
    for mark in body.marks:
        if mark.label:
            lost += made.label(mark.label, point(mark.curve.end), mark.way)
    for text, near in body.labels:
        lost += made.label(text, near)
    return made, lost


def _lettered(body: Body, start: Setting, says: Lettering, most: float) -> tuple[float, Setting] | None:
    near, by_corner = (body.grip, False) if body.text is None else (body.text, True)
    return start.lettered(says, near, by_corner=by_corner, most=most)


def point(at: ArrayLike) -> tuple[float, float]:
    """A point as two numbers."""
    p: Floats = np.asarray(at, dtype=np.float64)
    return float(p[0]), float(p[1])
