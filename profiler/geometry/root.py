"""One root of a function that takes many places at once."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from .curve import Floats

_SAMPLES = 33
_ROUNDS = 9


def first_root(function: Callable[[Floats], Floats], low: float, high: float) -> float | None:
    """The lowest place in [low, high] where the function changes sign, or None.

    The interval that holds the change is sampled again and again, to 1/32⁹ (3e-14) of the whole; a root
    closer to its neighbour than a 32nd of the interval may be missed.
    """
    for _ in range(_ROUNDS):
        places = np.linspace(low, high, _SAMPLES)
        values = function(places)
        changes = np.flatnonzero((values[:-1] <= 0) != (values[1:] <= 0))
        if not len(changes):
            return None
        low, high = float(places[changes[0]]), float(places[changes[0] + 1])
    return (low + high) / 2
