"""Figures measured several times over: their mean, how far they scatter, and which of them stand apart."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from statistics import median

from ..scatter import mean_and_variance, student_t

APART_SCORE = 3.5
"""A modified z-score over this stands apart (Iglewicz and Hoaglin 1993, as in the NIST/SEMATECH e-Handbook of
Statistical Methods, 1.3.5.17, from memory)."""

LEAST_TO_STAND_APART = 4
"""Of three, two that happen to agree make the third look strange."""

_MAD_OF_NORMAL = 0.6745


@dataclass(frozen=True)
class Spread:
    """A figure measured on several bars.

    Attributes:
        of: each bar's, by name.
        mean: of them.
        deviation: standard deviation, with n - 1; None for one bar.
        apart: names of those that stand apart from the others; they count all the same.
    """

    of: Mapping[str, float]
    mean: float
    deviation: float | None
    apart: tuple[str, ...]

    @property
    def number(self) -> int:
        """How many bars."""
        return len(self.of)

    @property
    def plus_minus(self) -> float | None:
        """What one more piece may differ from the mean, 19 times in 20; None for one bar.

        t s √(1 + 1/n) with Student's t of n - 1 degrees of freedom: the prediction interval of a single new value.
        It is about 2 s where there are many bars, and far wider where there are few.
        """
        if self.deviation is None:
            return None
        return student_t(self.number - 1) * self.deviation * math.sqrt(1 + 1 / self.number)


def spread_of(values: Mapping[str, float], reading: float = 0.0, more_variance: float = 0.0) -> Spread | None:
    """Mean and scatter of values by name; None of none.

    Args:
        values: one for each bar.
        reading: what a value may be off by, for how it was read: bars that agree better than that show nothing.
        more_variance: of what the values themselves do not show, as variance.
    """
    if not values:
        return None
    mean, variance = mean_and_variance(values.values())
    deviation = None if variance is None else math.sqrt(variance + more_variance)
    return Spread(dict(values), mean, deviation, _apart(values, reading))


def _apart(values: Mapping[str, float], reading: float) -> tuple[str, ...]:
    if len(values) < LEAST_TO_STAND_APART:
        return ()
    middle = median(values.values())
    usual = max(median(abs(value - middle) for value in values.values()), _MAD_OF_NORMAL * reading)
    return tuple(name for name, value in values.items() if _MAD_OF_NORMAL * abs(value - middle) > APART_SCORE * usual)
