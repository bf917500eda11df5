"""The clay of a set: balls to weigh out, what is stuck on, bags to open, trimmings that come back."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from ..clay.body import Body
from .counted import Counted

_SPARE_BAG = 1e-9
"""Of a bag: what rounding leaves must not open another one."""


@dataclass(frozen=True, eq=False)
class WeighLine:
    """So many lumps of one weight.

    Attributes:
        of: the piece they are for.
        part: of it, such as "lid", or what is stuck on; empty for a piece thrown in one.
        clay: they are of.
        each_g: what one weighs; a ball in the step of her scales.
        stuck_on: whether it is a handle or a knob, which has a weight of its own and is not thrown.
        reclaim_g: of all, what trimming gives back, as clay at throwing stiffness.
    """

    of: Counted
    part: str
    clay: Body
    each_g: float
    stuck_on: bool = False
    reclaim_g: float = 0.0

    @property
    def clay_g(self) -> float:
        """What all of them weigh."""
        return self.of.to_throw * self.each_g


@dataclass(frozen=True, eq=False)
class WeighList:
    """Everything to weigh out for a set, or of one clay for it.

    Attributes:
        lines: the balls of each piece, then what is stuck on it.
        bag_kg: what a bag holds.
    """

    lines: tuple[WeighLine, ...]
    bag_kg: float

    @property
    def clay_g(self) -> float:
        """Clay in all, g wet."""
        return sum(line.clay_g for line in self.lines)

    @property
    def stuck_on_g(self) -> float:
        """What of it is handles and knobs, g wet."""
        return sum(line.clay_g for line in self.lines if line.stuck_on)

    @property
    def reclaim_g(self) -> float:
        """What comes back as trimmings, as clay at throwing stiffness, g."""
        return sum(line.reclaim_g for line in self.lines)

    @property
    def balls(self) -> int:
        """How many lumps are thrown."""
        return sum(line.of.to_throw for line in self.lines if not line.stuck_on)

    @property
    def bags(self) -> int:
        """Bags to open; of several clays each has its own."""
        return sum(math.ceil(one.clay_g / (1000 * self.bag_kg) - _SPARE_BAG) for one in self.by_clay)

    @property
    def by_clay(self) -> tuple[WeighList, ...]:
        """The same for each clay."""
        clays: dict[str, list[WeighLine]] = {}
        for line in self.lines:
            clays.setdefault(line.clay.digest_text(), []).append(line)
        return tuple(WeighList(tuple(lines), self.bag_kg) for lines in clays.values())

    @property
    def said(self) -> tuple[str, ...]:
        """Each clay in a line, and with several the sum: name, kilograms and bags, what comes back."""
        clays = self.by_clay
        named = [(one.lines[0].clay.name, one) for one in clays]
        return tuple(
            f"{name}: {one.amount}" for name, one in [*named, *([("In all", self)] if len(clays) > 1 else [])]
        )

    @property
    def amount(self) -> str:
        """How much it is, and what comes back of it."""
        bags = f"{self.bags} {'bag' if self.bags == 1 else 'bags'} of {self.bag_kg:g} kg"
        return f"{kilograms(self.clay_g)} kg, {bags}; trimmings give back {kilograms(self.reclaim_g)} kg"


def kilograms(mass_g: float) -> str:
    """Kilograms for people, to 50 g, a tie upwards.

    >>> kilograms(12340), kilograms(25)
    ('12.35', '0.05')
    """
    return f"{int(mass_g / 50 + 0.5) / 20:.2f}"


def weigh_list(pieces: Sequence[Counted], bag_kg: float) -> WeighList:
    """What is weighed out for the pieces of a set; balls are rounded up to the step of the scales already."""
    return WeighList(tuple(line for piece in pieces for line in _lines(piece)), bag_kg)


def _lines(counted: Counted) -> Iterator[WeighLine]:
    measures, piece = counted.job.measures, counted.job.piece
    for (part, ball), cast in zip(measures.balls.items(), piece.thrown, strict=True):
        reclaim = counted.to_throw * ball.trimming.reclaim_g
        yield WeighLine(counted, part, cast.body, ball.weigh_out_g, reclaim_g=reclaim)
    for extra in piece.design.head.extras:
        yield WeighLine(counted, extra.name, piece.body, extra.weight_g, stuck_on=True)
