"""What is to be said of pots that stand in each other."""

from __future__ import annotations

from ..check import Check, Level
from ..lengths import mm
from .nest import Nest, Touch


def of_nest(nest: Nest) -> tuple[Check, ...]:
    """A warning where wall lies on wall: it scratches, and in the kiln or wet it jams."""
    if nest.touches is not Touch.WALL:
        return ()
    where = f"{mm(2 * nest.r_mm)} mm across, {mm(nest.z_mm)} mm above the lower foot"
    message = (
        f"stacked, they touch wall on wall {where}: they scratch each other and jam; a narrower foot or a thicker "
        "floor lets the foot stand"
    )
    return (Check("stack-walls", Level.WARNING, message, "foot_ring.outer_diameter"),)
