"""Shelves drawn from above and the stack of them from the side, to scale, in mm of paper."""

from __future__ import annotations

import math
from collections.abc import Sequence

from ..geometry.curve import Curve, arc, line, polyline
from ..lengths import mm
from ..templates.drawing import Drawing, Layer, Line, Pen, Words
from .load import Load, Place, Shelf
from .table import POST_FOOT_MM, KilnTable
from .ware import Ware

NUMBER_MM, SMALLEST_MM = 3.4, 2.6
"""Font size of a piece's number, and the smallest on the plan, mm."""

_BESIDE_MM = 17.0
"""Room for heights beside the view from the side, mm."""


def numbers_of(loads: Sequence[Load]) -> dict[str, int]:
    """The number of each kind on every plan of a set, from 1, in the set's order."""
    named = [ware.name for load in loads for ware in load.wares]
    return {name: number for number, name in enumerate(dict.fromkeys(named), start=1)}


def shelf_plan(shelf: Shelf, kiln: KilnTable, numbers: dict[str, int], scale: float) -> Drawing:
    """A shelf from above, its front below: edge, posts, and of every piece the circle of its rim and of its foot.

    Args:
        shelf: as it is loaded.
        kiln: whose shelf it is.
        numbers: of the kinds, by name.
        scale: mm of paper to a mm.
    """
    lines = [_edge(kiln, scale)]
    for x, y in shelf.posts_at:
        lines.append(Line(_circle(scale * x, scale * y, scale * POST_FOOT_MM / 2), Layer.MARK, Pen.SEEN, "post"))
    words: list[Words] = []
    for place in shelf.places:
        x, y = scale * place.x_mm, scale * place.y_mm
        ware = place.ware
        lines.append(Line(_circle(x, y, scale * ware.reach_radius_mm), Layer.TEXT, Pen.WASTE, "rim"))
        lines.append(Line(_circle(x, y, scale * ware.foot_radius_mm), Layer.TEXT, Pen.DASHED, "foot"))
        words += _label(place, numbers[ware.name], scale)
    return Drawing("shelf", "", tuple(lines), tuple(words))


def _label(place: Place, number: int, scale: float) -> list[Words]:
    """A piece's number, and under it how many are on each other where there is room."""
    x, y = scale * place.x_mm, scale * place.y_mm
    room = 2 * scale * place.ware.reach_radius_mm
    size = NUMBER_MM if room > 2.2 * NUMBER_MM else SMALLEST_MM
    if place.pieces == 1 or room < 2 * (NUMBER_MM + SMALLEST_MM):
        return [Words(str(number), x, y - 0.36 * size, size, "middle", bold=True)]
    return [
        Words(str(number), x, y + 0.3, size, "middle", bold=True),
        Words(f"×{place.pieces}", x, y - 0.85 * SMALLEST_MM - 0.3, SMALLEST_MM, "middle"),
    ]


def side_view(shelves: Sequence[Shelf], kiln: KilnTable, scale: float) -> Drawing:
    """The shelves from the front on their posts, with heights, under the kiln's clear height."""
    half = scale * _half(kiln)[0]
    lines, words = [], []
    for number, shelf in enumerate(shelves, start=1):
        floor = scale * shelf.stands_at_mm
        lines.append(_box(-half, floor - scale * kiln.shelf_thickness, half, floor, Pen.CLAY, "shelf"))
        for x, _ in shelf.posts_at:
            wide = scale * POST_FOOT_MM / 2
            high = floor + scale * sum(shelf.posts_mm)
            lines.append(_box(scale * x - wide, floor, scale * x + wide, high, Pen.SEEN, "post_from_the_side"))
        for place in sorted(shelf.places, key=lambda place: -place.y_mm):
            lines += _silhouettes(place, floor, scale)
        words.append(Words(str(number), -half - 2.0, floor - 1.0, NUMBER_MM, "end", bold=True))
        words.append(Words(mm(shelf.stands_at_mm), half + 2.0, floor - 1.0, SMALLEST_MM + 0.4))
    top = scale * kiln.clear_height
    lines.append(Line(line([-half - 3, top], [half + 3, top]), Layer.TEXT, Pen.DASHED, "clear_height"))
    words.append(Words(mm(kiln.clear_height), half + 4.0, top - 1.0, SMALLEST_MM + 0.4))
    return Drawing("stack", "", tuple(lines), tuple(words))


def side_room(kiln: KilnTable, scale: float) -> float:
    """Width the view from the side takes with its heights, mm of paper."""
    return 2 * scale * _half(kiln)[0] + _BESIDE_MM


def shelf_size(kiln: KilnTable) -> tuple[float, float]:
    """Width and depth of a shelf, mm."""
    half = _half(kiln)
    return 2 * half[0], 2 * half[1]


def _half(kiln: KilnTable) -> tuple[float, float]:
    return (kiln.diameter or kiln.width or 0.0) / 2, (kiln.diameter or kiln.depth or 0.0) / 2


def _edge(kiln: KilnTable, scale: float) -> Line:
    x, y = _half(kiln)
    if kiln.shelf == "round":
        return Line(_circle(0.0, 0.0, scale * x), Layer.CUT, Pen.EDGE, "edge")
    return _box(-scale * x, -scale * y, scale * x, scale * y, Pen.EDGE, "edge")


def _circle(x: float, y: float, radius: float) -> Curve:
    return arc([x, y], radius, 0.0, 2 * math.pi)


def _box(left: float, bottom: float, right: float, top: float, pen: Pen, name: str) -> Line:
    corners = [[left, bottom], [right, bottom], [right, top], [left, top], [left, bottom]]
    return Line(polyline(corners), Layer.CUT, pen, name)


def _silhouettes(place: Place, floor: float, scale: float) -> list[Line]:
    """A piece as a plain outline from foot to reach; of several that do not nest, every other upside down."""
    ware, x = place.ware, scale * place.x_mm
    foot, reach = scale * ware.foot_radius_mm, scale * ware.reach_radius_mm
    lines = []
    for number in range(place.pieces):
        low = floor + scale * number * (ware.pitch_mm or 0.0)
        high = low + scale * ware.height_mm
        over = number % 2 == 1 and ware.pitch_mm == ware.height_mm
        below, above = (reach, foot) if over else (foot, reach)
        corners = [[x - below, low], [x + below, low], [x + above, high], [x - above, high], [x - below, low]]
        lines.append(Line(polyline(corners), Layer.TEXT, Pen.WASTE, "ware"))
    return lines


def stacks_said(shelves: Sequence[Shelf], ware: Ware) -> str:
    """How many of a kind are on each other in one kiln load, stack by stack.

    >>> cup = Ware("cup", 30, 42, 90, 7, 90)
    >>> standing = [Place(cup, 0, 0, 3), Place(cup, 90, 0, 3), Place(cup, 0, 90, 1)]
    >>> stacks_said([Shelf(tuple(standing), 0, (), ())], cup)
    '2×3, 1'
    """
    pieces = [place.pieces for shelf in shelves for place in shelf.places if place.ware == ware]
    counts = [(size, pieces.count(size)) for size in sorted(set(pieces), reverse=True)]
    if max(pieces) == 1:
        return "–"
    return ", ".join(str(size) if many == 1 else f"{many}×{size}" for size, many in counts)
