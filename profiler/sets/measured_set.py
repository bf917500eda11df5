"""A set with everything that is computed of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from ..check import Check
from ..design.model import Design
from ..job import Job
from ..kiln import Load
from ..settings import Settings
from ..stacking import of_nest
from .counted import Counted
from .firings import OnShelf, does_not_fit, loads, on_shelf
from .matching import Match, matched
from .set_file import PotSet, to_throw
from .stacks import InOther, Stack, in_others, stack_of
from .weigh_list import WeighList, weigh_list


@dataclass(frozen=True, eq=False)
class MeasuredSet:
    """A set's numbers.

    Attributes:
        pots: the set.
        pieces: one for each `[[piece]]`.
        clay: what is weighed out.
        matches: how the pieces compare.
        stacks: of each piece, in the same order.
        in_others: pieces that stand in another.
        on_shelves: how many of each go on a shelf; empty without a kiln.
    """

    pots: PotSet
    pieces: tuple[Counted, ...]
    clay: WeighList
    matches: tuple[Match, ...]
    stacks: tuple[Stack, ...]
    in_others: tuple[InOther, ...]
    on_shelves: tuple[OnShelf, ...]

    @cached_property
    def loads(self) -> tuple[Load, ...]:
        """Each firing of the whole set; none without a kiln. It takes some seconds to find places for all."""
        kiln = self.pots.kiln
        return () if kiln is None else loads(self.pieces, self.pots.glaze_firings, kiln)

    @property
    def remarks(self) -> tuple[tuple[str, Check], ...]:
        """What is to be said of the pieces as a set: the title of each, and the remark."""
        found: list[tuple[str, Check]] = []
        for number, piece in enumerate(self.pieces):
            title = piece.job.piece.design.title
            found += [(title, check) for check in of_nest(self.stacks[number].nest)]
            if self.on_shelves and not self.on_shelves[number].fits:
                found.append((title, does_not_fit(piece)))
        return tuple(found)

    @property
    def stands(self) -> bool:
        """Whether an error stands against a piece of it."""
        return any(piece.job.stands for piece in self.pieces)


def measured_set(pots: PotSet, jobs: Mapping[Design, Job], settings: Settings) -> MeasuredSet:
    """Measure a set whose pieces are measured.

    Args:
        pots: the set.
        jobs: the piece of each of its designs.
        settings: of her workshop.
    """
    lines = zip(pots.file.head.piece, pots.designs, strict=True)
    pieces = tuple(
        Counted(jobs[design], line.count, to_throw(line.count, pots.spares_percent(number)))
        for number, (line, design) in enumerate(lines)
    )
    return MeasuredSet(
        pots,
        pieces,
        weigh_list(pieces, settings.bag_kg),
        matched([piece.job for piece in pieces]),
        tuple(stack_of(piece) for piece in pieces),
        in_others(pieces),
        () if pots.kiln is None else tuple(on_shelf(piece, pots.kiln) for piece in pieces),
    )
