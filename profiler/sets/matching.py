"""Whether the pieces of a set belong together: feet, rims and walls that are alike, and by how much others differ."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise

import numpy as np

from ..clay.states import State
from ..job import Job
from ..piece import Cast

ALIKE_MM = 0.5
"""Sizes no further apart are alike: the step in which sizes are told (common practice, no source)."""

NEAR_MM = 3.0
"""Widths and heights that miss each other by less look like a slip (common practice, no source)."""

_STEP_MM = 0.05
"""A wall's outside is looked at this far apart: a wall of 3 mm comes out 0.0001 mm too thick at the most."""


class Sign(StrEnum):
    """What is found of one size."""

    ALIKE = "alike"
    NEAR = "near"
    DIFFERS = "differs"


@dataclass(frozen=True)
class Group:
    """Pieces that are alike in one size.

    Attributes:
        least_mm: of them.
        most_mm: of them.
        titles: theirs.
    """

    least_mm: float
    most_mm: float
    titles: tuple[str, ...]

    @property
    def size(self) -> str:
        """For people, mm."""
        low, high = _tenths(self.least_mm), _tenths(self.most_mm)
        return low if low == high else f"{low} to {high}"


@dataclass(frozen=True)
class Match:
    """How the pieces compare in one size, fired.

    Attributes:
        id: of the size.
        what: it is, in words.
        sign: alike, near or differs.
        groups: of pieces that are alike, the smallest size first.
    """

    id: str
    what: str
    sign: Sign
    groups: tuple[Group, ...]

    @property
    def spread_mm(self) -> float:
        """Between the smallest and the largest."""
        return self.groups[-1].most_mm - self.groups[0].least_mm

    @property
    def message(self) -> str:
        """What differs, and by how much."""
        if self.sign is Sign.ALIKE:
            return f"{self.what} {self.groups[0].size} mm, on all {len(self.groups[0].titles)}"
        sizes = "; ".join(f"{group.size} mm: {', '.join(group.titles)}" for group in self.groups)
        if self.sign is Sign.NEAR:
            pairs = [f"{a.size} and {b.size}" for a, b in pairwise(self.groups) if _apart(a, b) < NEAR_MM]
            return f"{self.what}, by little: {' mm, '.join(pairs)} mm. {sizes}"
        return f"{self.what}, by {_tenths(self.spread_mm)} mm. {sizes}"


@dataclass(frozen=True)
class _Size:
    """A size that is compared: how it is read from a piece (None where it has none), mm fired."""

    id: str
    what: str
    of: Callable[[Job], float | None]
    may_be_near: bool = False


def matched(jobs: Sequence[Job]) -> tuple[Match, ...]:
    """Every size in which at least two pieces can be compared."""
    found = []
    for size in _SIZES:
        sizes = [(of, job.piece.design.title) for job in jobs if (of := size.of(job)) is not None]
        if len(sizes) > 1:
            groups = _groups(sizes)
            near = size.may_be_near and any(_apart(a, b) < NEAR_MM for a, b in pairwise(groups))
            sign = Sign.ALIKE if len(groups) == 1 else Sign.NEAR if near else Sign.DIFFERS
            found.append(Match(size.id, size.what, sign, groups))
    return tuple(found)


def _groups(sizes: Sequence[tuple[float, str]]) -> tuple[Group, ...]:
    """Sizes in groups no wider than what counts as alike."""
    made: list[list[tuple[float, str]]] = []
    for one in sorted(sizes):
        # a hair more than the step, which rounding of doubles must not tip
        if made and one[0] - made[-1][0][0] <= ALIKE_MM + 1e-9:
            made[-1].append(one)
        else:
            made.append([one])
    return tuple(Group(group[0][0], group[-1][0], tuple(title for _, title in group)) for group in made)


def _tenths(size_mm: float) -> str:
    """To a tenth, for between two walls half a millimetre is much."""
    return f"{size_mm:.1f}".removesuffix(".0")


def _apart(lower: Group, upper: Group) -> float:
    return upper.least_mm - lower.most_mm


def _ring(job: Job) -> Cast | None:
    """The part that stands on a turned ring."""
    lowest = min(job.piece.parts, key=lambda cast: cast.lift)
    return lowest if lowest.shape.recess is not None else None


def _ring_outer(job: Job) -> float | None:
    cast = _ring(job)
    return None if cast is None else cast.scale(State.FIRED)[0] * cast.shape.foot_diameter


def _ring_width(job: Job) -> float | None:
    cast = _ring(job)
    return None if cast is None else cast.scale(State.FIRED)[0] * cast.asked.ring.width


def _ring_depth(job: Job) -> float | None:
    cast = _ring(job)
    return None if cast is None else cast.scale(State.FIRED)[1] * cast.asked.ring.depth


def _vessel(job: Job) -> Cast | None:
    """The part with a mouth."""
    return next((cast for cast in job.piece.parts if cast.holds), None)


def _open_vessel(job: Job) -> Cast | None:
    """The same of a piece whose rim is seen: no lid lies on it."""
    return _vessel(job) if job.piece.pair is None else None


def _rim_across(job: Job) -> float | None:
    cast = _open_vessel(job)
    return None if cast is None else cast.scale(State.FIRED)[0] * cast.shape.rim_diameter


def _rim_height(job: Job) -> float | None:
    cast = _open_vessel(job)
    if cast is None:
        return None
    return cast.scale(State.FIRED)[1] * (cast.lift + cast.section.outline.highest(1)[1])


def _wall_at_rim(job: Job) -> float | None:
    cast = _vessel(job)
    if cast is None:
        return None
    across = (cast.shape.outside.end - cast.shape.inside.end) * cast.scale(State.FIRED)
    return float(np.hypot(*across))


def _wall_half_way(job: Job) -> float | None:
    """From the inside, half way up from the floor, to the nearest place of the outside."""
    cast = _vessel(job)
    if cast is None:
        return None
    inside = cast.shape.inside.mapped(*cast.scale(State.FIRED))
    outside = cast.shape.outside.mapped(*cast.scale(State.FIRED))
    middle = float(inside.start[1] + inside.end[1]) / 2
    place = inside.at(float(inside.crossings(1, middle)[-1]))
    near = outside.sampled(int(np.ceil(outside.length / len(outside) / _STEP_MM)))
    return float(np.hypot(*(near - place).T).min())


_SIZES = (
    _Size("foot_ring_across", "foot ring across", _ring_outer, may_be_near=True),
    _Size("foot_ring_width", "foot ring width", _ring_width),
    _Size("foot_ring_depth", "foot ring depth", _ring_depth),
    _Size("rim_across", "rim across", _rim_across, may_be_near=True),
    _Size("rim_height", "rim height over the table", _rim_height, may_be_near=True),
    _Size("wall_at_rim", "wall at the rim", _wall_at_rim),
    _Size("wall_half_way", "wall half way up", _wall_half_way),
)
