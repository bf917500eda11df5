"""A ball of clay as it is thrown, drawn small and true to scale: left half in section, right half from outside."""

from __future__ import annotations

from ..clay.states import State
from ..geometry.curve import Curve, chained, line
from ..geometry.tolerance import JOIN_MM
from ..piece import Cast
from .drawing import Drawing, Layer, Line, Pen

_OVER_MM = 1.5
"""How far the bat and the centre line run past the clay, on paper."""


def thrown_view(cast: Cast, part_of: float) -> Drawing:
    """The thrown section with the finished one in it, wet, at 1 to `part_of`; the bat at y = 0, the axis at x = 0.

    Lines are as thick as ever, so that a small drawing is read as well as a large one. The closed path in the pen for
    waste, or for clay where nothing is trimmed, is the thrown section.
    """
    k_r, k_z = (k / part_of for k in cast.scale(State.WET))

    def placed(curve: Curve, side: float = 1.0) -> Curve:
        return curve.moved(0.0, -cast.bat).mapped(side * k_r, k_z)

    thrown = placed(cast.thrown.outline, -1.0)
    lines = [Line(thrown, Layer.MARK, Pen.CLAY)]
    if cast.blend is not None:
        lines = [Line(thrown, Layer.MARK, Pen.WASTE), Line(placed(cast.section.outline, -1.0), Layer.MARK, Pen.CLAY)]
    seen = _seen(cast)
    lines.append(Line(placed(seen), Layer.MARK, Pen.SEEN))
    apex, top = placed(seen).end.tolist()
    if apex > JOIN_MM:
        lines.append(Line(line([0.0 if cast.open_foot else -apex, top], [apex, top]), Layer.MARK, Pen.SEEN))
    reach, high = -thrown.lowest(0)[1] + _OVER_MM, thrown.highest(1)[1] + _OVER_MM
    lines.append(Line(line([-reach, 0.0], [reach, 0.0]), Layer.MARK, Pen.THIN))
    lines.append(Line(line([0.0, 0.0], [0.0, high]), Layer.MARK, Pen.CENTRE))
    return Drawing("thrown", cast.name, tuple(lines))


def _seen(cast: Cast) -> Curve:
    """What shows of the thrown part from outside: up to the highest place of its rim, or to the axis."""
    if cast.shape.closes or cast.shape.solid:
        return cast.thrown_outside if cast.shape.closes else cast.thrown_outside + cast.thrown_rim
    place, _ = cast.thrown_rim.highest(1)
    return chained([cast.thrown_outside, *([cast.thrown_rim.part(0.0, place)] if place > JOIN_MM else [])])
