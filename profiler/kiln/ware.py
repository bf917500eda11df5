"""What goes into the kiln: a piece as large as it is when it goes in, closed, with what is stuck on it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from ..clay.states import State
from ..lidded import standing
from ..measures import extras_on
from ..piece import Piece
from ..stacking.met import height_mm, lowest_part
from ..stacking.nest import carries
from .table import KilnTable


class Firing(StrEnum):
    """A firing, in the order a pot goes through them."""

    BISQUE = "bisque"
    GLAZE = "glaze"

    @property
    def state(self) -> State:
        """What the ware is when it goes in; that size is packed, never the one it comes out with.

        >>> Firing.BISQUE.state.words, Firing.GLAZE.state.words
        ('bone-dry', 'bisque-fired')
        """
        return State.BONE_DRY if self is Firing.BISQUE else State.BISQUE


@dataclass(frozen=True)
class Ware:
    """So many pieces of a kind, in the state they go into the kiln in.

    Attributes:
        name: what the plan calls it.
        foot_radius_mm: of the circle it stands on.
        reach_radius_mm: of the circle round its widest place or its handle: a handle may point anywhere.
        height_mm: closed, with what is stuck on top.
        count: pieces.
        pitch_mm: how much higher each further one makes a stack; `height_mm` where they do not nest but stand foot to
            foot and rim to rim; None where nothing can stand on it.
    """

    name: str
    foot_radius_mm: float
    reach_radius_mm: float
    height_mm: float
    count: int = 1
    pitch_mm: float | None = None

    def stack_mm(self, pieces: int) -> float:
        """Height of so many on each other, mm."""
        return self.height_mm + (pieces - 1) * (self.pitch_mm or 0.0)

    def stacks_to(self, kiln: KilnTable, under_mm: float) -> int:
        """How many go on each other under a height, mm, and under the kiln's limit; at least one."""
        if self.pitch_mm is None:
            return 1
        return max(1, min(kiln.stack_limit, 1 + math.floor((under_mm - self.height_mm) / self.pitch_mm + 1e-9)))


def ware_of(piece: Piece, count: int, state: State, name: str, pitch_mm: float | None = None) -> Ware:
    """A piece as it goes into the kiln.

    Args:
        piece: the design's curves.
        count: how many.
        state: bone-dry for the bisque firing, bisque for the glaze firing.
        name: what the plan calls it.
        pitch_mm: of a stack of its like in that state; its height, so foot to foot and rim to rim, if None.
    """
    k_r = piece.scale(state)[0]
    reach = max(
        standing(piece, cast, state).outline.highest(0)[1]
        + k_r * max((extra.reach for extra in extras_on(piece, cast)), default=0.0)
        for cast in piece.parts
    )
    height, lowest = height_mm(piece, state), lowest_part(piece)
    return Ware(
        name=name,
        foot_radius_mm=lowest.scale(state)[0] * lowest.shape.foot_diameter / 2,
        reach_radius_mm=reach,
        height_mm=height,
        count=count,
        pitch_mm=(pitch_mm or height) if carries(piece) else None,
    )
