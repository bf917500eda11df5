"""What cannot be, and what looks like a slip of the pen."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import pairwise

from ..faults import Fault
from .plan import Plan
from .quantity import Quantity, quantity_of

FAR = 0.20
"""A figure further off the plan than this share of it is questioned, not refused."""
SHORT_MM, LITTLE_G = 5.0, 20.0
"""And off by more than this, so that a floor of 7 mm for 5.5 or trimmings of 20 g for 15 are not asked about."""
_GROWS = 1.02
"""No clay grows by more than this from one state to the next (the bodies' own bound)."""


def impossible(pot: str, made: Mapping[str, float]) -> list[Fault]:
    """What no pot does: more clay afterwards than before.

    Args:
        pot: its name.
        made: all that was found of it, by key.
    """
    faults = []
    for key, value in made.items():
        quantity = quantity_of(key)
        before = {"trimmed": "thrown", "thrown": "ball"}.get(quantity.what)
        had = None if before is None else made.get(Quantity(before, None, quantity.part).key)
        if had is not None and value > had:
            what = f"pot {pot}: more clay {quantity.what} than there was"
            faults.append(Fault(what, f"{value:g} g", f"at most the {had:g} g of `{before}`", key))
    return faults


def far_off(quantity: Quantity, value: float, planned: float) -> bool:
    """Whether a figure is so far off the plan that it may be a slip."""
    least = LITTLE_G if quantity.unit == "g" else SHORT_MM
    return abs(value - planned) > max(FAR * planned, least)


def questions(values: Mapping[str, float], known: Mapping[str, float], plan: Plan) -> Iterator[str]:
    """What looks odd about what is noted now, each as a sentence.

    Args:
        values: noted now.
        known: what was found of the pot before.
        plan: of the piece.
    """
    for key, value in values.items():
        quantity, planned = quantity_of(key), plan[key].value
        if far_off(quantity, value, planned):
            yield f"{quantity.words} is {value:g} {quantity.unit}, the design says {planned:.0f}: a slip?"
    yield from _grown({**known, **values}, set(values), plan)


def _grown(made: Mapping[str, float], now: set[str], plan: Plan) -> Iterator[str]:
    """Sizes and weights that went up from one state to the next."""
    rows: dict[tuple[str, str], list[str]] = {}
    for key in (key for key in plan if key in made):
        quantity = quantity_of(key)
        if quantity.state is not None and quantity.what in ("weight", "height", "rim", "widest", "depth"):
            rows.setdefault((quantity.part, quantity.what), []).append(key)
    for row in rows.values():
        for early, late in pairwise(row):
            # glaze makes a pot heavier
            glazed = late.endswith("fired") and quantity_of(late).what == "weight"
            grows = max(1.0, plan[late].value / plan[early].value)  # a knob is stuck on between
            if {early, late} & now and not glazed and made[late] > _GROWS * grows * made[early]:
                words = f"{quantity_of(late).words} {made[late]:g}"
                yield f"{words} is more than {quantity_of(early).words} {made[early]:g}: a slip?"
