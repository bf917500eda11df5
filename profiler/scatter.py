"""How far figures measured several times over lie apart, for means and for what one more may be."""

from __future__ import annotations

import math
from collections.abc import Collection

SURE = 0.95
"""How sure a ± is: 19 times in 20."""


def mean_and_variance(values: Collection[float]) -> tuple[float, float | None]:
    """Mean and variance of one value, n - 1 below the line; no variance of a single one.

    Args:
        values: one or more.
    """
    mean = math.fsum(values) / len(values)
    if len(values) < 2:
        return mean, None
    return mean, math.fsum((value - mean) ** 2 for value in values) / (len(values) - 1)


def student_t(freedom: int) -> float:
    """The t that a share of `SURE` lies within, both sides counted, for so many degrees of freedom."""
    from scipy.special import stdtrit

    return float(stdtrit(freedom, (1 + SURE) / 2))
