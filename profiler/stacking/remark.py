"""What is to be said of pots that stand in each other."""

from __future__ import annotations

from ..check import Check, Level
from ..lengths import mm, tenth_up
from .nest import Nest, Touch

_LEAST_MM = 0.05
"""A foot that hangs no higher than this touches too, for all that callipers tell."""


def of_nest(nest: Nest) -> tuple[Check, ...]:
    """A warning where wall lies on wall, with what would let the foot stand; the nest is a fired one."""
    if nest.touches is not Touch.WALL:
        return ()
    where = f"{mm(2 * nest.r_mm)} mm across, {mm(nest.z_mm)} mm above the lower foot"
    field, cure = "foot_ring.outer_diameter", "the foot wedges between the walls, a narrower one stands"
    if nest.hangs_mm > _LEAST_MM:
        hangs = f"{tenth_up(nest.hangs_mm):.1f} mm (fired)"
        field, cure = "form", f"the foot hangs {hangs} over its place, walls that widen more let it down"
    message = f"stacked, they touch wall on wall {where}: they scratch each other and jam; {cure}"
    return (Check("stack-walls", Level.WARNING, message, field),)
