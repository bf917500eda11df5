"""What is left free: one size of the design, or the whole form at once."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from ..design.edited import Place
from ..design.model import Design
from ..forms.points import PointsSizes
from ..lids.sizes import CutLid
from .entry import Entry
from .sizes import Size, sizes_of

WHOLE_FORM = "the whole form"

_STEPS = (0.03, 0.08, 0.16, 0.28, 0.44, 0.64, 0.88, 1.2, 1.6, 2.1, 2.7, 3.3)
"""How far from what it is a size is looked at, as logarithms: from 3 % either way to 27 times, ever wider apart."""
_EVENLY = 40
_ROOMY = 1.5
"""A size without a figure of its own is looked for up to so many times the largest of the form."""


@dataclass(frozen=True)
class Free:
    """One number that may be anything, and the sizes that it writes.

    Attributes:
        name: the key of a size, or `WHOLE_FORM`.
        length: whether the number is a length in mm of the sized state; else it is plain.
        now: what it is at present; None where only the form knows.
        looked_at: values to try, upwards.
        entries: the sizes at a value of it.
    """

    name: str
    length: bool
    now: float | None
    looked_at: tuple[float, ...]
    entries: Callable[[float], tuple[Entry, ...]]


def one_size(design: Design, size: Size) -> Free:
    """Only this size changes; everything else the design says stays."""

    def entries(value: float) -> tuple[Entry, ...]:
        return (Entry(size.path, value, size.length),)

    return Free(size.key, size.length, size.now, _looked_at(size, _largest_mm(design)), entries)


def whole_form(design: Design) -> Free:
    """The form grows or shrinks as it is; walls, floor and what fingers and tools leave stay.

    Scaled are the sizes of `[form]`, but for roundings of a fixed size; the points of kind `points`; the foot ring's
    diameters; the blend height and the height of a cut. The waste at the foot stays as wide as it is. Kept are wall,
    floor, width and depth of the ring, skim, seat, play and knob of a lid, spoon and notch. A pot given by points of
    outside **and** inside has its wall and floor in the drawing: there everything is enlarged, the ring too.
    """
    said = {size.path: size for size in sizes_of(design).values() if _is_said(design, size.path)}
    at_one: dict[Place, float] = {}
    for path, size in said.items():
        if size.now and _goes_along(design, size):
            at_one[path] = size.now
    if isinstance(design.sizes, PointsSizes):
        for name, points in (("outside", design.sizes.outside), ("inside", design.sizes.inside or [])):
            for at, point in enumerate(points):
                at_one |= {("form", name, at, side): value for side, value in enumerate(point) if value}
    base = said.get(("thrown", "base_diameter"))
    foot = design.asked.ring.outer_diameter

    def entries(times: float) -> tuple[Entry, ...]:
        made = [Entry(place, times * value) for place, value in at_one.items()]
        if base is not None and base.now is not None:
            made.append(Entry(base.path, base.now + (times - 1) * foot))
        return tuple(made)

    return Free(WHOLE_FORM, False, 1.0, _times(1.0), entries)


def _is_said(design: Design, path: tuple[str, ...]) -> bool:
    holder = design.text.data
    for part in path:
        if part not in holder:
            return False
        holder = holder[part]
    return True


def _goes_along(design: Design, size: Size) -> bool:
    """Whether a size grows with the form."""
    table, name = size.path[0], size.path[-1]
    if table == "form":
        field = type(design.sizes).model_fields[name]
        # left out it is a share of the others, or nothing: a size of the form; else a rounding of so many mm
        return size.length and (field.is_required() or not field.default)
    if size.path == ("lid", "height"):
        return isinstance(design.head.lid, CutLid)
    if table == "foot_ring" and isinstance(design.sizes, PointsSizes) and design.sizes.inside is not None:
        return True
    return size.path in (
        ("foot_ring", "outer_diameter"),
        ("foot_ring", "inner_diameter"),
        ("thrown", "blend_height"),
    )


def _largest_mm(design: Design) -> float:
    """The largest length of the form, mm of the sized state."""
    if isinstance(design.sizes, PointsSizes):
        return max(max(2 * r, z) for r, z in design.sizes.outside)
    return max(size.now for size in sizes_of(design).values() if size.path[0] == "form" and size.length and size.now)


def _looked_at(size: Size, largest: float) -> tuple[float, ...]:
    if size.length and size.now is not None and size.now > 0:
        return tuple(value for value in _times(size.now) if value <= size.high)
    low, high = size.low, size.high
    if size.length:
        reach = _ROOMY * largest
        low, high = max(low, -reach), min(high, reach)
        if size.now is None:
            low = high / _EVENLY / 4
    evenly = [low + (high - low) * step / _EVENLY for step in range(_EVENLY + 1)]
    return tuple(sorted({*evenly, *([] if size.now is None else [size.now])}))


def _times(value: float) -> tuple[float, ...]:
    steps = (*(-step for step in reversed(_STEPS)), 0.0, *_STEPS)
    return tuple(value * math.exp(step) for step in steps)
