"""How the pieces of a set stand in each other, fired: a stack of one kind, and one kind in another."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import permutations

from ..clay.states import State
from ..stacking import Nest, Touch, nest, stack_height_mm
from .counted import Counted

TOUCHES = {
    Touch.FOOT: "foot in the well",
    Touch.WALL: "wall on wall",
    Touch.RIM: "foot on what is below",
}
"""What stops a piece that is let down on another, in words."""


@dataclass(frozen=True)
class Stack:
    """Pieces of one kind, one in the other.

    Attributes:
        count: as many as are wanted of it.
        nest: how one stands in the next.
        height_mm: of them all.
        one_mm: of one.
    """

    count: int
    nest: Nest
    height_mm: float
    one_mm: float

    @property
    def nests(self) -> bool:
        """Whether a stack of them is lower than they are one by one."""
        return self.nest.touches is not Touch.RIM


@dataclass(frozen=True)
class InOther:
    """A piece whose foot stands in the well of another.

    Attributes:
        lower: title of the one that stands on the table.
        upper: title of the one in it.
        nest: how it stands there.
        height_mm: of both.
    """

    lower: str
    upper: str
    nest: Nest
    height_mm: float


def stack_of(counted: Counted) -> Stack:
    """The pieces of one line, one in the other."""
    piece = counted.job.piece
    one = nest(piece, piece)
    alone = stack_height_mm(piece, 1)
    return Stack(counted.count, one, alone + (counted.count - 1) * one.pitch_mm, alone)


def in_others(pieces: Sequence[Counted]) -> tuple[InOther, ...]:
    """Every open piece that stands on its foot in the well of another, within its rim."""
    found = []
    open_jobs = [counted.job for counted in pieces if counted.job.piece.pair is None]
    for lower, upper in permutations(open_jobs, 2):
        across = [job.measures.states[State.FIRED].widest_diameter_mm for job in (lower, upper)]
        if across[1] < across[0]:
            one = nest(lower.piece, upper.piece)
            if one.touches is Touch.FOOT and one.pitch_mm > 0:
                high = max(stack_height_mm(lower.piece, 1), one.pitch_mm + stack_height_mm(upper.piece, 1))
                found.append(InOther(lower.piece.design.title, upper.piece.design.title, one, high))
    return tuple(found)
