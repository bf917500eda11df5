"""The chuck a part is turned in where it cannot stand upside down on its own rim."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .clay.states import State
from .piece import Cast

_LEAST_RIM = 0.6
_PLAY_MM = 4.0
_SHARE = 0.75
"""Mouth of a chuck that a dome lies in, of the dome's own width (common practice, no source)."""
_CLEAR_MM = 5.0
_SAMPLES = 200


@dataclass(frozen=True)
class Chuck:
    """A chuck, mm leather-hard.

    Attributes:
        why: what the part does not stand on without it, as words after "does not stand".
        wide_mm: inside, at its mouth.
        deep_mm: so that nothing touches its floor; 0 where a rim stands in it.
    """

    why: str
    wide_mm: float
    deep_mm: float = 0.0


def chuck(cast: Cast) -> Chuck | None:
    """The chuck for a part; None for one that stands on its own rim.

    A pot with a narrow rim stands in it up to the shoulder. A closed form lies in its mouth where the shoulder has
    come to lean by 45 degrees, a lid's flatter dome well within its edge.
    """
    k_r, k_z = cast.scale(State.LEATHER_HARD)
    outside = cast.shape.outside.mapped(k_r, k_z)
    widest, rim = 2 * outside.highest(0)[1], k_r * cast.shape.rim_diameter
    if not (cast.shape.closes or cast.shape.solid):
        return Chuck("on a rim so narrow", rim + _PLAY_MM) if rim < _LEAST_RIM * max(widest, rim) else None
    points = outside.sampled(_SAMPLES)
    points = points[int(points[:, 0].argmax()) :]
    dr, dz = np.diff(points, axis=0).T
    leans = -dr >= dz if cast.shape.closes else points[1:, 0] <= _SHARE * widest / 2
    lies = points[1:][leans][0]
    top = float(cast.section.outline.highest(1)[1]) * k_z
    why = "on its dome" if cast.shape.closes else "on its crown"
    return Chuck(why, 2 * float(lies[0]), top - float(lies[1]) + _CLEAR_MM)
