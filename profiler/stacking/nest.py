"""One piece let down into another: how far up it comes to stand, and on what.

Pieces stand axis on axis; a notch is not looked at. Nothing goes into a pot that its lid or its form closes, or over
whose rim something stands up: what is put on it stands on its top.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from ..clay.states import State
from ..geometry.lowering import Contact, lowered
from ..lidded import standing
from ..piece import Piece
from .met import Met, from_above, from_below, height_mm, lowest_part

WEDGES_DEG = 45.0
"""On a side steeper than this a foot's edge wedges; on a flatter one it stands (common practice, no source)."""

_LEVEL_MM = 1e-6


class Touch(StrEnum):
    """What of the upper piece stops it, and on what."""

    FOOT = "foot"  # its foot stands in the well
    WALL = "wall"  # it lies against the wall, or its foot wedges there: that scratches, and jams
    RIM = "rim"  # its foot stands on the rim, or on what is closed: it does not nest


@dataclass(frozen=True)
class Nest:
    """How one piece stands on another.

    Attributes:
        pitch_mm: from what the lower one stands on to what the upper one would stand on.
        touches: what stops it.
        r_mm: where they touch, from the axis; the outermost place where there are several.
        z_mm: where, above what the lower one stands on.
        hangs_mm: how far over the place it would stand on its foot hangs; 0 where that stops it.
    """

    pitch_mm: float
    touches: Touch
    r_mm: float
    z_mm: float
    hangs_mm: float = 0.0


def nest(lower: Piece, upper: Piece, state: State = State.FIRED) -> Nest:
    """How `upper` stands when it is let down on `lower`, both in one state; exact from their curves.

    What is so wide and hollow that it comes down to the table over the lower one stands there, at a pitch of 0.
    """
    if not carries(lower):
        return _on_top(lower, state)
    below, above = from_above(lower, state), from_below(upper, state)
    pitch, contacts = lowered(below.cubics, above.cubics)
    if pitch < 0:
        foot = lowest_part(upper)
        return Nest(0.0, Touch.FOOT, foot.scale(state)[0] * foot.shape.stands_on, 0.0)
    touch, at = _touch(below, above, pitch, contacts)
    if touch is not Touch.WALL:
        return Nest(pitch, touch, at.r, at.z)
    stands, _ = lowered(below.cubics, above.cubics[np.array(above.base)])
    return Nest(pitch, touch, at.r, at.z, pitch - stands)


def stack_height_mm(piece: Piece, count: int, state: State = State.FIRED) -> float:
    """How high so many of a piece stand in each other, mm.

    Raises:
        ValueError: none of it.
    """
    if count < 1:
        raise ValueError(f"a stack of {count}")
    pitch = nest(piece, piece, state).pitch_mm if count > 1 else 0.0
    return height_mm(piece, state) + (count - 1) * pitch


def carries(piece: Piece) -> bool:
    """Whether anything may be let down into it."""
    stands_up = any(extra.height for extra in piece.design.head.extras)
    return piece.pair is None and not stands_up and not any(cast.shape.closes for cast in piece.parts)


def _on_top(piece: Piece, state: State) -> Nest:
    """What stands on a closed piece, at its highest place."""
    tops = [standing(piece, cast, state).outline for cast in piece.parts]
    highest = max(tops, key=lambda outline: outline.highest(1)[1])
    high = height_mm(piece, state)
    return Nest(high, Touch.RIM, float(highest.at(highest.highest(1)[0])[0]), high)


def _touch(below: Met, above: Met, pitch: float, contacts: tuple[Contact, ...]) -> tuple[Touch, Contact]:
    """What stops the upper piece, and where; a wall that touches beside the foot is named first."""
    foot = [at for at in contacts if above.base[at.upper] or at.z - pitch <= above.edge + _LEVEL_MM]
    walls = [at for at in contacts if at not in foot]
    if walls:
        return Touch.WALL, walls[-1]
    rims = [at for at in foot if not below.well[at.lower]]
    if rims:
        return Touch.RIM, rims[-1]
    stands = [at for at in foot if math.degrees(at.lean) <= WEDGES_DEG]
    return (Touch.FOOT, stands[-1]) if stands else (Touch.WALL, foot[-1])
