"""What was made beside what was planned."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from .plan import Plan
from .pots import Pot
from .quantity import Quantity, quantity_of
from .slips import far_off
from .spread import Spread, spread

SAME_PLAN = {"mm": 0.05, "g": 0.5, "ml": 0.5}
"""Plans closer than this are one plan: a tenth of what callipers, scales and a measuring jug show."""


@dataclass(frozen=True)
class Difference:
    """One quantity of all pots that were made after one plan of it.

    Attributes:
        quantity: what was measured.
        planned: of it when that was noted.
        present: whether the design still says so.
        made: what came out, one figure a pot, together.
        pots: whose they are.
        figures: what came out of each of them.
    """

    quantity: Quantity
    planned: float
    present: bool
    made: Spread
    pots: tuple[str, ...]
    figures: tuple[float, ...]

    @property
    def mean(self) -> float:
        """Made less planned."""
        return self.made.mean - self.planned

    @property
    def odd(self) -> tuple[str, ...]:
        """The pots whose figure may be a slip."""
        return tuple(
            pot
            for pot, value in zip(self.pots, self.figures, strict=True)
            if far_off(self.quantity, value, self.planned)
        )


def holds_still(planned: float, pot: Pot, key: str) -> bool:
    """Whether a pot was made after the present plan of a quantity."""
    return abs(pot.planned.get(key, planned) - planned) <= SAME_PLAN[quantity_of(key).unit]


def changed_since(pot: Pot, plan: Plan) -> bool:
    """Whether a pot was made after another plan than the present one.

    Digests alone do not tell: a new title is no new plan. Nor does this alone: a ball is planned to the scales' step.
    """
    return any(key not in plan or not holds_still(plan[key].value, pot, key) for key in pot.planned)


def differences(pots: Sequence[Pot], plan: Plan) -> tuple[Difference, ...]:
    """Made beside planned, in the order pots are made; what an earlier form of the design planned comes last.

    Each figure is set beside the plan it was thrown after, not beside one that came later.
    """
    present: dict[str, list[Pot]] = {}
    earlier: dict[tuple[str, float], list[Pot]] = {}
    for key in [*plan, *dict.fromkeys(key for pot in pots for key in pot.made if key not in plan)]:
        for pot in pots:
            if key not in pot.made:
                continue
            if key in plan and holds_still(plan[key].value, pot, key):
                present.setdefault(key, []).append(pot)
            elif key in pot.planned:
                earlier.setdefault((key, round(pot.planned[key], 1)), []).append(pot)
    rows = [_row(key, plan[key].value, of, present=True) for key, of in present.items()]
    return (*rows, *(_row(key, planned, of, present=False) for (key, planned), of in earlier.items()))


def _row(key: str, planned: float, pots: Sequence[Pot], *, present: bool) -> Difference:
    figures = tuple(pot.made[key] for pot in pots)
    return Difference(quantity_of(key), planned, present, spread(figures), tuple(pot.name for pot in pots), figures)
