"""What weights teach: clay lost in throwing, what the fire takes, and what glaze adds."""

from __future__ import annotations

from collections.abc import Sequence
from math import fsum

from ..clay.states import State
from .plan import Plan
from .pots import Pot
from .quantity import Quantity, quantity_of
from .spread import Found, believed

LOSS, IGNITION, GLAZE = (0.0, 60.0), (0.0, 30.0), (-5.0, 40.0)
"""Per cent that can be, as the design and body file bound it; glaze by common sense, and some may have run off."""

USUAL_GLAZE = (2.0, 8.0)
"""Per cent of the bisque weight that glaze adds, fired (common practice, no source)."""


def throwing_loss(pots: Sequence[Pot]) -> Found:
    """Per cent of the ball that is not in the thrown pot: 100 (1 - thrown/ball), one figure a pot.

    Jar and lid thrown apart count with their sum, as far as both weights of each are there.
    """
    losses = {}
    for pot in pots:
        parts = _parts(pot, "ball", None) & _parts(pot, "thrown", None)
        if parts:
            ball, thrown = (_sum(pot, what, None, parts) for what in ("ball", "thrown"))
            losses[pot.name] = 100 * (1 - thrown / ball)
    return believed(losses, LOSS)


def loss_on_ignition(pots: Sequence[Pot], plan: Plan, body: str) -> Found:
    """Per cent of the bone-dry weight that bisque firing takes, one figure a pot.

    Args:
        pots: measured.
        plan: says which part is of which clay.
        body: the clay, by its figures.
    """
    return _change(pots, State.BONE_DRY, State.BISQUE, -1, IGNITION, plan, body)


def glaze(pots: Sequence[Pot]) -> Found:
    """Per cent of the bisque weight that glaze adds, fired, one figure a pot."""
    return _change(pots, State.BISQUE, State.FIRED, 1, GLAZE)


def _change(
    pots: Sequence[Pot],
    early: State,
    late: State,
    sign: int,
    bounds: tuple[float, float],
    plan: Plan | None = None,
    body: str = "",
) -> Found:
    changes = {}
    for pot in pots:
        parts = _parts(pot, "weight", early) & _parts(pot, "weight", late)
        if plan is not None:
            parts = {part for part in parts if _is_of(plan, part, early, body)}
        if len(parts) > 1:  # the whole and a part of it: the parts tell more
            parts -= {""}
        if parts:
            before, after = (_sum(pot, "weight", state, parts) for state in (early, late))
            changes[pot.name] = 100 * sign * (after / before - 1)
    return believed(changes, bounds)


def _is_of(plan: Plan, part: str, state: State, body: str) -> bool:
    planned = plan.get(Quantity("weight", state, part).key)
    return planned is not None and planned.body.digest_text() == body


def _parts(pot: Pot, what: str, state: State | None) -> set[str]:
    found = (quantity_of(key) for key in pot.made)
    return {quantity.part for quantity in found if (quantity.what, quantity.state) == (what, state)}


def _sum(pot: Pot, what: str, state: State | None, parts: set[str]) -> float:
    return fsum(pot.made[Quantity(what, state, part).key] for part in parts)
