"""Where the labels of a chart go: round figures on its axes, and names that keep apart."""

from __future__ import annotations

import math
from collections.abc import Sequence

MOST_TICKS = 7
"""Steps between the figures of an axis as long as a hand is wide."""


def spread(places: Sequence[float], apart: float) -> list[float]:
    """Places moved as little as it takes to keep them apart, in the order given.

    >>> spread([5.0, 5.0, 20.0], 4.0)
    [3.0, 7.0, 20.0]
    """
    order = sorted(range(len(places)), key=lambda i: places[i])
    groups: list[tuple[float, list[int]]] = []
    for index in order:
        groups.append((places[index], [index]))
        while len(groups) > 1:
            (low, first), (high, last) = groups[-2:]
            if high - low >= apart * (len(first) + len(last)) / 2 - 1e-9:
                break
            middle = (low * len(first) + high * len(last)) / (len(first) + len(last))
            groups[-2:] = [(middle, first + last)]
    moved = list(places)
    for middle, members in groups:
        for number, index in enumerate(members):
            moved[index] = middle + apart * (number - (len(members) - 1) / 2)
    return moved


def ticks(low: float, high: float, most: int = MOST_TICKS) -> list[float]:
    """Round figures from one at or below `low` to one at or above `high`; `most` steps are as long as the range.

    >>> ticks(223.0, 378.0, 4)
    [200.0, 250.0, 300.0, 350.0, 400.0]
    """
    rough = max(high - low, 1e-9) / most
    power = 10.0 ** math.floor(math.log10(rough))
    step = next(share * power for share in (1, 2, 2.5, 5, 10, 20) if share * power >= rough)
    first, last = math.floor(low / step + 1e-9), math.ceil(high / step - 1e-9)
    return [step * number for number in range(first, max(last, first + 1) + 1)]
