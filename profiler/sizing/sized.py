"""A design sized to what is wanted of it: solved, written into its text, and measured again."""

from __future__ import annotations

import math
import tomllib
from dataclasses import dataclass, replace

from ..design.edited import edited, filled
from ..design.model import Design, design_of
from ..faults import Fault, Faults
from ..job import Job, job_of
from ..piece import Piece, piece_of
from ..settings import Settings
from .entry import numbers
from .free import Free
from .said import Reached, all_nest, nothing_given, nothing_nests, unreached
from .search import Search, Stretch
from .target import Target

_DIGITS = (2, 3, 4, 5, 6)
"""Digits of a millimetre to be written: as few as give back what was asked."""
_SHORT_OF_END = 2e-4
"""The largest that nests keeps so much less, a share, than where it was seen to stop: more than that is known to."""


@dataclass(frozen=True, eq=False)
class Sized:
    """A design that gives what was asked.

    Attributes:
        before: the design as it was, which need not have been a pot.
        target: what was asked.
        free: what was left free.
        value: what that became, mm of the sized state for a length.
        text: the design file with its new numbers.
        job: the sized piece with measures and checks.
        amount: what it gives, measured on what is written.
    """

    before: Design
    target: Target
    free: Free
    value: float
    text: str
    job: Job
    amount: float


def sized(design: Design, text: str, target: Target, free: Free, settings: Settings) -> Sized:
    """Find the value that gives what is wanted, the nearest to what it is now.

    Args:
        design: as read.
        text: of its file.
        target: what is wanted.
        free: what may change.
        settings: her scales.

    Raises:
        Fault, Faults: no value gives it; says what can be reached, or why no value makes a pot at all.
    """
    trial = _Trial(design, target, free)
    value = _solved(trial)
    for digits in _DIGITS:
        written = edited(text, numbers(free.entries(value), design.head.units, digits), design.path)
        made = replace(design.text, data=tomllib.loads(written))
        try:
            amount = target.amount(piece_of(design_of(made)))
        except (Fault, Faults):
            continue
        if amount is not None and (target.wanted is None or abs(amount - target.wanted) <= target.within):
            return Sized(design, target, free, value, written, job_of(design_of(made), settings), amount)
    raise Fault(
        "no number in the file is near enough", f"{free.name} {value:.9g}", "another size left free", "--free"
    )


class _Trial:
    """What a value gives, and what was wrong with it where it gives nothing."""

    def __init__(self, design: Design, target: Target, free: Free) -> None:
        self.design, self.target, self.free = design, target, free
        self.faults: dict[float, Fault | Faults] = {}

    def piece(self, value: float) -> Piece:
        """The piece at a value; raises what is wrong with it."""
        put_in = numbers(self.free.entries(value), self.design.head.units)
        return piece_of(design_of(replace(self.design.text, data=filled(self.design.text.data, put_in))))

    def amount(self, value: float) -> float | None:
        """What it gives; None where there is no such piece or it gives nothing."""
        try:
            found = self.target.amount(self.piece(value))
        except (Fault, Faults) as fault:
            self.faults[value] = fault
            return None
        return found if found is not None and math.isfinite(found) else None

    def reached(self, search: Search, stretch: Stretch) -> Reached:
        """What ends a stretch there where it gives what is nearest to the wanted."""
        wanted = self.target.wanted or 0.0
        at_low, at_high = (abs((search.at(end) or 0.0) - wanted) for end in (stretch.low, stretch.high))
        if at_low < at_high:
            return Reached(stretch, self._what(max((v for v in self.faults if v < stretch.low), default=None)))
        return Reached(stretch, self._what(min((v for v in self.faults if v > stretch.high), default=None)))

    def _what(self, value: float | None) -> str:
        fault = None if value is None else self.faults[value]
        first = fault.faults[0] if isinstance(fault, Faults) else fault
        return "" if first is None else first.what


def _solved(trial: _Trial) -> float:
    target, free = trial.target, trial.free
    now = _present(trial)
    search = Search(trial.amount, free.looked_at, now)
    if target.wanted is None:
        return _largest(trial, search)
    value = search.nearest(target.wanted, target.near)
    if value is not None:
        return value
    stretches = search.stretches()
    if not stretches:
        raise trial.faults.get(now) or nothing_given(free, target, trial.design)
    raise unreached(free, target, trial.design, [trial.reached(search, s) for s in stretches])


def _present(trial: _Trial) -> float:
    """The value to begin from."""
    try:
        piece = piece_of(trial.design)
        trial.target.possible(piece)
        present = trial.target.amount(piece)
    except (Fault, Faults) as fault:
        if isinstance(fault, Fault) and fault.field == trial.target.option:
            raise
        present = None
    if trial.free.now is not None:
        return trial.free.now
    # the form found this size for itself: where it gives what it gives now is where it is
    search = Search(trial.amount, trial.free.looked_at, trial.free.looked_at[0])
    where = None if present is None else search.nearest(present, trial.target.near)
    if where is None:
        where = next((v for v in trial.free.looked_at if search.at(v) is not None), trial.free.looked_at[0])
    return where


def _largest(trial: _Trial, search: Search) -> float:
    """The largest value that nests, of those that hang together with the nearest to the start."""
    stretches = search.stretches()
    start = search.places[search.start]
    if not stretches:
        raise nothing_nests(trial.free, trial.design, trial.faults.get(start))
    near = min(stretches, key=lambda s: max(s.low - start, start - s.high, 0.0))
    if near.high >= search.places[-1]:
        raise all_nest(trial.free, near.high, trial.design)
    return near.high - _SHORT_OF_END * (near.high - near.low)
