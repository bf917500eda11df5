"""Shrinkage from pots that were measured in two states; a plan is never one of the two."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations
from math import fsum

from ..clay.body import Body, Shrinkage
from ..clay.states import State
from .plan import Plan, Planned
from .pots import Pot
from .quantity import quantity_of
from .spread import Found, Spread, believed, spread

SHORTEST_MM = 40.0
"""A length under this tells too little: callipers read to half a millimetre, there more than a point of shrinkage."""

BOUNDS = (-2.0, 35.0)
"""Per cent, as the body file has them: past these something was measured or written wrong."""


@dataclass(frozen=True)
class _Row:
    """What is put together: one clay, one way or both (None), two states."""

    clay: str
    upright: bool | None
    early: State
    late: State


@dataclass(frozen=True)
class Shrunk:
    """How one clay shrank between two states.

    Attributes:
        body: the clay.
        upright: whether along the axis; None where the clay has one figure for both ways.
        early: the state measured first.
        late: the state measured after it.
        points: per cent of the early length, a figure a pot; with wet pots that is the plastic length.
        total: per cent of the plastic length; from the clay's own figure for the early state unless that is wet.
        by_length: mean of `points` from each kind of length alone, such as the rim.
    """

    body: Body
    upright: bool | None
    early: State
    late: State
    points: Found
    total: Spread | None
    by_length: dict[str, float]

    @property
    def stands(self) -> Shrinkage:
        """What the clay's file says, this way."""
        return self.body.shrinkage_height if self.upright and self.body.shrinkage_height else self.body.shrinkage


def shrinkages(pots: Sequence[Pot], plan: Plan) -> tuple[Shrunk, ...]:
    """Every shrinkage the pots tell of: from wet to each later state, else from the first state they share.

    A pot's figure is 1 - (sum of its late lengths)/(sum of its early ones), over lengths between the same two places
    of the clay; figures of pots count as independent.
    """
    lengths: dict[_Row, dict[str, list[tuple[Planned, float, float]]]] = {}
    bodies: dict[str, Body] = {}
    for pot in pots:
        for early, late in _pairs(pot, plan):
            body, states = early.body, (early.quantity.state, late.quantity.state)
            row = _Row(body.digest_text(), early.upright if body.shrinkage_height else None, *map(_state, states))
            bodies[row.clay] = body
            both = early, pot.made[early.quantity.key], pot.made[late.quantity.key]
            lengths.setdefault(row, {}).setdefault(pot.name, []).append(both)
    order = list(State)
    rows = sorted(
        lengths, key=lambda row: (row.clay, bool(row.upright), order.index(row.late), order.index(row.early))
    )
    made: dict[tuple[str, bool | None, State], Shrunk] = {}
    for row in rows:  # of one late state, the earliest early one comes first
        one = _shrunk(bodies[row.clay], row, lengths[row])
        place = (row.clay, row.upright, row.late)
        if place not in made or made[place].total is None:
            made[place] = one
    return tuple(made.values())


def _shrunk(body: Body, row: _Row, lengths: dict[str, list[tuple[Planned, float, float]]]) -> Shrunk:
    figures = {}
    for pot, of in lengths.items():
        figures[pot] = 100 * (1 - fsum(late for *_, late in of) / fsum(early for _, early, _ in of))
    points = believed(figures, BOUNDS)
    kinds: dict[str, list[float]] = {}
    for pot in points.by_pot:
        for planned, early, late in lengths[pot]:
            kinds.setdefault(planned.quantity.of_part, []).append(100 * (1 - late / early))
    by_length = {kind: fsum(of) / len(of) for kind, of in kinds.items()}
    one = Shrunk(body, row.upright, row.early, row.late, points, None, by_length)
    left = 1 - one.stands.at(row.early)
    totals = [100 * (1 - (1 - point / 100) * left) for point in points.by_pot.values()]
    return replace(one, total=spread(totals) if totals else None)


def _state(state: State | None) -> State:
    return state or State.WET


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
