"""One number for a wanted amount: the nearest that gives it, or what can be reached at all. No pottery here."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

_MOST_STEPS = 80
_ROOM = 1e-10
"""A bracket narrower than this share of its place holds no more: the amount jumps there."""
_END = 1e-4
"""Ends of what can be made are found to this share of their place."""
_PEAK = 1e-3
_SPLIT, _DEEPEST = 8, 3
_GOLDEN = (math.sqrt(5) - 1) / 2


@dataclass(frozen=True)
class Stretch:
    """Values that can all be made, and what they give.

    Attributes:
        low: the least value.
        high: the largest.
        least: the least amount on the way.
        most: the largest.
    """

    low: float
    high: float
    least: float
    most: float


class Search:
    """A function of one number that is not everywhere defined, each value asked for once."""

    def __init__(self, amount: Callable[[float], float | None], looked_at: Sequence[float], start: float) -> None:
        """Prepare.

        Args:
            amount: what a value gives; None where it cannot be made.
            looked_at: values upwards, so close that between two of them amounts only rise or only fall, or nearly.
            start: where to begin; what is found is near to it.
        """
        self._amount = amount
        self._known: dict[float, float | None] = {}
        self.places = sorted({*looked_at, start})
        self.start = self.places.index(start)

    def at(self, value: float) -> float | None:
        """What a value gives; None where it cannot be made."""
        if value not in self._known:
            self._known[value] = self._amount(value)
        return self._known[value]

    def nearest(self, wanted: float, near: float) -> float | None:
        """The value nearest to the start that gives what is wanted within `near`; None if none does."""
        start = self.places[self.start]
        for pairs in self._outward():
            either = [found for pair in pairs if (found := self._within(*pair, wanted, near)) is not None]
            if either:
                return min(either, key=lambda found: abs(found - start))
        for low, middle, high in zip(self.places, self.places[1:], self.places[2:], strict=False):
            between = [found for value in (low, middle, high) if (found := self.at(value)) is not None]
            if len(between) < 3 or min(between) <= wanted <= max(between):
                continue
            peak = self._peak(low, middle, high)
            for side in () if peak is None else ((low, peak), (peak, high)):
                found = self._within(*side, wanted, near)
                if found is not None:
                    return found
        return None

    def stretches(self) -> tuple[Stretch, ...]:
        """All that can be made, upwards."""
        made: list[list[float]] = []
        for low, high in pairwise(self.places):
            at_low, at_high = self.at(low), self.at(high)
            if at_low is not None and not made:
                made.append([low])
            if at_low is not None and at_high is not None:
                made[-1].append(high)
            elif at_low is not None:
                made[-1].append(self._end(low, high))
            elif at_high is not None:
                made.append([self._end(high, low), high])
        return tuple(self._stretch(values) for values in made)

    def _stretch(self, values: list[float]) -> Stretch:
        amounts = [self._made(value) for value in values]
        for at in {amounts.index(min(amounts)), amounts.index(max(amounts))}:
            peak = self._peak(*values[at - 1 : at + 2]) if 0 < at < len(values) - 1 else None
            amounts += [] if peak is None else [self._made(peak)]
        return Stretch(values[0], values[-1], min(amounts), max(amounts))

    def _made(self, value: float) -> float:
        found = self.at(value)
        assert found is not None  # noqa: S101 - asked only of values that were made before
        return found

    def _outward(self) -> Iterator[list[tuple[float, float]]]:
        """Pairs of neighbouring places from the start outwards: those next over it and under it together."""
        last = len(self.places) - 1
        for step in range(last):
            lows = (self.start + step, self.start - step - 1)
            yield [(self.places[low], self.places[low + 1]) for low in lows if 0 <= low < last]

    def _within(self, low: float, high: float, wanted: float, near: float, depth: int = 0) -> float | None:
        """A value between two that gives what is wanted."""
        at_low, at_high = self.at(low), self.at(high)
        if at_low is None and at_high is None:
            return None
        if at_low is None:
            low = self._end(high, low)
        elif at_high is None:
            high = self._end(low, high)
        at_low, at_high = self.at(low), self.at(high)
        if at_low is None or at_high is None or (at_low < wanted) == (at_high < wanted):
            return next((v for v in (low, high) if (a := self.at(v)) is not None and abs(a - wanted) <= near), None)
        for step in range(_MOST_STEPS):
            for value, found in ((low, at_low), (high, at_high)):
                if abs(found - wanted) <= near:
                    return value
            if abs(high - low) <= _ROOM * max(abs(low), abs(high)):
                return None
            # chords make it quick, every third step halves
            share = 0.5 if step % 3 == 2 else (wanted - at_low) / (at_high - at_low)
            middle = low + share * (high - low)
            at_middle = self.at(middle)
            if at_middle is None:
                return self._among(low, high, wanted, near, depth)
            if (at_middle < wanted) == (at_low < wanted):
                low, at_low = middle, at_middle
            else:
                high, at_high = middle, at_middle
        return None

    def _among(self, low: float, high: float, wanted: float, near: float, depth: int) -> float | None:
        """The same where some values between the two cannot be made."""
        if depth == _DEEPEST:
            return None
        places = [low + (high - low) * step / _SPLIT for step in range(_SPLIT + 1)]
        for one, following in pairwise(places):
            found = self._within(one, following, wanted, near, depth + 1)
            if found is not None:
                return found
        return None

    def _end(self, can: float, cannot: float) -> float:
        """The last value that can be made on the way from one that can to one that cannot."""
        enough = _END * max(abs(can), abs(cannot))
        while abs(cannot - can) > enough:
            middle = (can + cannot) / 2
            can, cannot = (can, middle) if self.at(middle) is None else (middle, cannot)
        return can

    def _peak(self, low: float, middle: float, high: float) -> float | None:
        """Where the amount is largest, or least, between three values of which the middle one is; else None."""
        rises = self._made(middle) - self._made(low), self._made(high) - self._made(middle)
        if rises[0] * rises[1] > 0 or rises == (0, 0):
            return None
        sign = 1.0 if rises[0] > 0 or rises[1] < 0 else -1.0

        def height(value: float) -> float:
            found = self.at(value)
            return -math.inf if found is None else sign * found

        enough = _PEAK * max(abs(low), abs(high))
        while high - low > enough:
            inner = high - _GOLDEN * (high - low), low + _GOLDEN * (high - low)
            low, high = (low, inner[1]) if height(inner[0]) > height(inner[1]) else (inner[0], high)
        found = (low + high) / 2
        return found if self.at(found) is not None else None
