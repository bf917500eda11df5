"""The foot ring drawn larger beside the vessel, with its width and depth and the floor over it."""

from __future__ import annotations

from ..forms.shape import Ring
from ..geometry.curve import line, polyline
from ..lengths import mm
from .clipping import clipped
from .dimension import GAP, Marks, level_dimension, room_for, thin, upright_dimension
from .drawing import Layer, Line, Pen, Words
from .half import Half, mirrored

DETAIL_SCALE = 3.0
"""How much larger the foot ring is drawn beside the vessel."""

_DETAIL_AIR_MM = 4.0
"""What is shown of the wall and floor round the ring."""


def ring_detail(ring: Ring, half: Half, left: float, size: float) -> Marks:
    """The left ring enlarged in a box, with its width, and its depth and the floor as they are on the axis.

    Args:
        ring: what was asked, mm of the sized state.
        half: the part that stands on the ring.
        left: where the detail may begin, mm.
        size: font size, mm.
    """
    k = DETAIL_SCALE
    outer = half.scale[0] * ring.outer_diameter / 2
    inner = outer - half.scale[0] * ring.width
    depth, floor = half.scale[1] * ring.depth, float(half.inside.start[1])
    near, far = inner - _DETAIL_AIR_MM, outer + _DETAIL_AIR_MM
    over = half.inside.crossings(0, (inner + outer) / 2)
    ceiling = float(half.inside.at(over[0])[1]) if len(over) else floor
    top = min(max(ceiling, floor), floor + 2 * _DETAIL_AIR_MM) + _DETAIL_AIR_MM / 2
    cut = half.section
    for axis, value, above in ((0, near, True), (0, far, False), (1, top, False)):
        cut = clipped(cut, axis, value, above=above)
    # the box's foot hangs a little under the table; the axis is to the right, as in the view
    base, right = 1.5 * k, left + k * (far - near)

    def at(r: float, z: float) -> tuple[float, float]:
        return left + k * (far - r), base + k * z

    clay = mirrored(cut).mapped(k, k).moved(left + k * far, base)
    roof = at(far, top)[1]
    box = polyline([(left, 0.0), (right, 0.0), (right, roof), (left, roof), (left, 0.0)])
    lines = (Line(clay, Layer.MARK, Pen.CLAY), thin(line((left, base), (right, base))), thin(box))
    marks = Marks(lines)
    marks += level_dimension(at(outer, 0.0), at(inner, 0.0), -2.4 * size, mm(outer - inner), size)

    column, levels = right + 1.4 * size, [base + k * z for z in (0.0, depth, floor)]
    low, high = (levels[0] + levels[1]) / 2, (levels[1] + levels[2]) / 2
    apart = max(0.0, 1.3 * size - (high - low)) / 2
    for (foot, head), text, y in (
        (levels[:2], f"depth {mm(depth)}", low - apart),
        (levels[1:], f"floor {mm(floor - depth)}", high + apart),
    ):
        marks += upright_dimension((right, foot), (right, head), column, text, size, y)
    title, roofed = f"foot ring, {k:g} : 1", roof + 0.6 * size
    if left + room_for(title, size) > column:
        roofed = max(roofed, high + apart + 1.3 * size)  # a low box: over the words beside it
    marks += Marks((), (Words(title, left, roofed, size),))
    if ring.recess == "domed":
        marks += Marks((), (Words("on the axis", column - GAP * size, -2 * size, size),))
    return marks
