"""One root of a function that takes many places at once."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from .curve import Floats

_SAMPLES = 33
_ROUNDS = 12
_AROUND = np.array([-1e-1, -1e-2, -1e-4, -1e-7, 0.0, 1e-7, 1e-4, 1e-2, 1e-1])


def first_root(function: Callable[[Floats], Floats], low: float, high: float) -> float | None:
    """The lowest place in [low, high] where the function changes sign, or None.

    The interval that holds the change is looked at again around the place its chord points to, until it is
    1e-13 of the whole; a root closer to its neighbour than a 32nd of the interval may be missed.

    >>> round(first_root(lambda x: x * x - 2, 0.0, 2.0), 12)
    1.414213562373
    """
    enough = 1e-13 * (high - low)
    places = np.linspace(low, high, _SAMPLES)
    for _ in range(_ROUNDS):
        values = function(places)
        changes = np.flatnonzero((values[:-1] <= 0) != (values[1:] <= 0))
        if not len(changes):
            return None
        at = changes[0]
        low, high = float(places[at]), float(places[at + 1])
        if high - low <= enough:
            break
        chord = low - float(values[at]) * (high - low) / float(values[at + 1] - values[at])
        around = np.clip(chord + (high - low) * _AROUND, low, high)
        places = np.concatenate([[low], around, [high]])
    return (low + high) / 2
