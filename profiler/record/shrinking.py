"""Shrinkage from pots that were measured in two states; a plan is never one of the two."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations
from math import fsum

from ..clay.body import Body
from ..clay.states import State
from .plan import Plan, Planned
from .pots import Pot
from .quantity import quantity_of
from .spread import Spread, spread

SHORTEST_MM = 40.0
"""A length under this tells too little: callipers read to half a millimetre, there more than a point of shrinkage."""


@dataclass(frozen=True)
class Shrunk:
    """How one clay shrank between two states.

    Attributes:
        body: the clay.
        early: the state measured first.
        late: the state measured after it.
        upright: whether along the axis; None where the clay has one figure for both ways.
        points: per cent of the early length; wet, that is the plastic length. One figure a pot.
        total: per cent of the plastic length; from the body's own figure for the early state unless that is wet.
        words: which lengths it comes from, such as "rim".
    """

    body: Body
    early: State
    late: State
    upright: bool | None
    points: Spread
    total: Spread
    words: tuple[str, ...]


def shrinkages(pots: Sequence[Pot], plan: Plan) -> tuple[Shrunk, ...]:
    """Every shrinkage the pots tell of: from wet to each later state, else from the first state they share.

    A pot's figure is 1 - (sum of its late lengths)/(sum of its early ones), over lengths between the same two places
    of the clay; figures of pots count as independent.
    """
    found: dict[tuple[str, bool | None, State, State], list[float]] = {}
    words: dict[tuple[str, bool | None, State, State], dict[str, None]] = {}
    bodies: dict[str, Body] = {}
    for pot in pots:
        sums: dict[tuple[str, bool | None, State, State], list[tuple[float, float]]] = {}
        for early, late in _pairs(pot, plan):
            body, up = early.body, early.upright if early.body.shrinkage_height else None
            states = early.quantity.state or State.WET, late.quantity.state or State.WET
            row = (body.digest_text(), up, *states)
            bodies[row[0]] = body
            sums.setdefault(row, []).append((pot.made[early.quantity.key], pot.made[late.quantity.key]))
            name = early.quantity.what + (f" of the {early.quantity.part}" if early.quantity.part else "")
            words.setdefault(row, {})[name] = None
        for row, lengths in sums.items():
            before, after = (fsum(side) for side in zip(*lengths, strict=True))
            found.setdefault(row, []).append(after / before)
    order = list(State)
    rows = sorted(found, key=lambda row: (row[0], row[1] or False, order.index(row[3]), order.index(row[2])))
    made: dict[tuple[str, bool | None, State], Shrunk] = {}
    for row in rows:  # the earliest first state comes first
        made.setdefault((row[0], row[1], row[3]), _shrunk(bodies[row[0]], row, found[row], tuple(words[row])))
    return tuple(made.values())


def _shrunk(
    body: Body, row: tuple[str, bool | None, State, State], ratios: Sequence[float], words: tuple[str, ...]
) -> Shrunk:
    _, upright, early, late = row
    own = (body.shrinkage_height if upright and body.shrinkage_height else body.shrinkage).at(early)
    return Shrunk(
        body=body,
        early=early,
        late=late,
        upright=upright,
        points=spread([100 * (1 - ratio) for ratio in ratios]),
        total=spread([100 * (1 - ratio * (1 - own)) for ratio in ratios]),
        words=words,
    )


def _pairs(pot: Pot, plan: Plan) -> Iterator[tuple[Planned, Planned]]:
    """Two lengths of a pot between the same places, the early state first."""
    lengths = [plan[key] for key in plan if key in pot.made and plan[key].plastic_mm is not None]
    for early, late in combinations(lengths, 2):
        a, b = early.quantity, late.quantity
        if (a.part, a.what) == (b.part, b.what) and early.same_clay(late) and (early.plastic_mm or 0) >= SHORTEST_MM:
            yield early, late


def turned_between(pots: Sequence[Pot], plan: Plan) -> tuple[str, ...]:
    """Lengths measured in two states that tell nothing, for clay was turned or cut off between: in words."""
    found: dict[str, None] = {}
    for pot in pots:
        keys = [key for key in plan if key in pot.made and quantity_of(key).unit == "mm"]
        for first, second in combinations(keys, 2):
            a, b = quantity_of(first), quantity_of(second)
            if (a.part, a.what) == (b.part, b.what) and not plan[first].same_clay(plan[second]):
                found[f"{a.words} and {b.state.words if b.state else ''}"] = None
    return tuple(found)
