"""A handful of measurements: their mean, their spread, and how far the mean may be off."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ..scatter import mean_and_variance, student_t


@dataclass(frozen=True)
class Spread:
    """What some independent measurements say together.

    Attributes:
        n: how many.
        mean: of them.
        deviation: standard deviation of one, n - 1 below the line; None for a single one.
        plus_minus: half the 95 % interval of the mean by Student's t; None for a single one.
        least: the smallest.
        most: the largest.
    """

    n: int
    mean: float
    deviation: float | None
    plus_minus: float | None
    least: float
    most: float

    @property
    def off(self) -> str:
        """The ± for people, to a tenth.

        >>> spread([9.0, 11.0]).off, spread([9.0, 9.001]).off, spread([9.0, 9.0]).off, spread([9.0]).off
        ('±12.7', '± under 0.1', 'all alike', 'no ±')
        """
        if self.plus_minus is None:
            return "no ±"
        if not self.deviation:
            return "all alike"
        return f"±{self.plus_minus:.1f}" if self.plus_minus >= 0.05 else "± under 0.1"

    def apart_from(self, value: float) -> bool:
        """Whether the mean differs from a figure by more than its ±; never for a single measurement."""
        return self.plus_minus is not None and abs(self.mean - value) > self.plus_minus


def spread(values: Sequence[float]) -> Spread:
    """What measurements say together: mean ± t s/√n, t of n - 1 degrees of freedom (NIST e-Handbook, 1.3.5.2).

    Args:
        values: one or more.
    """
    n, (mean, variance) = len(values), mean_and_variance(values)
    if variance is None:
        return Spread(n, mean, None, None, mean, mean)
    deviation = math.sqrt(variance)
    return Spread(n, mean, deviation, student_t(n - 1) * deviation / math.sqrt(n), min(values), max(values))


@dataclass(frozen=True)
class Found:
    """What pots tell of one figure.

    Attributes:
        by_pot: the figures that can be, by pot.
        left_out: those that cannot: something was measured or written wrong.
    """

    by_pot: dict[str, float]
    left_out: dict[str, float]

    @property
    def spread(self) -> Spread | None:
        """What they say together; None without a pot."""
        return spread(tuple(self.by_pot.values())) if self.by_pot else None


def believed(figures: Mapping[str, float], bounds: tuple[float, float]) -> Found:
    """Figures by pot, parted into those within bounds and those that no clay has."""
    low, high = bounds
    inside = {pot: value for pot, value in figures.items() if low <= value <= high}
    return Found(inside, {pot: value for pot, value in figures.items() if pot not in inside})
