"""What was changed and what it gives, or what can be reached, in words."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from ..clay.states import State
from ..design.model import Design
from ..faults import Fault, Faults
from ..lengths import mm
from ..measures import Measures
from .free import WHOLE_FORM, Free
from .search import Stretch
from .target import Target

_MOST_STRETCHES = 3
_SAME = 1e-6
"""Amounts that differ by a smaller share are one."""


@dataclass(frozen=True)
class Reached:
    """Values that make a pot, and what stops it below and above them; empty where only the looking stops."""

    stretch: Stretch
    below: str
    above: str


def value_said(free: Free, value: float) -> str:
    """A value of what is left free."""
    if free.name == WHOLE_FORM:
        return f"{value:.4g} times its size"
    if not free.length:
        return f"{value:.4g}"
    return f"{value:.2f}".rstrip("0").rstrip(".") + " mm"


def unreached(free: Free, target: Target, design: Design, reached: Sequence[Reached]) -> Fault:
    """That no value gives what is wanted, and what can be had."""
    stretches = [one.stretch for one in reached]
    least, most = min(s.least for s in stretches), max(s.most for s in stretches)
    wanted = target.wanted or 0.0
    found = f"{wanted:g} {target.unit}"
    if most - least <= _SAME * abs(most):
        what = f"{free.name} does not change it"
        wanted_ = f"{least:.1f} {target.unit} as it is, or another size left free"
        return Fault(what, found, wanted_, target.option, design.path)
    nearest = sorted(reached, key=lambda one: _apart(one.stretch, wanted))[:_MOST_STRETCHES]
    ways = " or ".join(_way(free, target, one.stretch) for one in nearest)
    first = nearest[0]
    stop = ""
    if wanted > first.stretch.most or wanted < first.stretch.least:
        stops = [f"{word} that, {what}" for word, what in (("under", first.below), ("over", first.above)) if what]
        stop = "".join(f"; {text}" for text in stops)
    what = f"it is not to be had with {free.name} left free"
    return Fault(what, found, ways + stop, target.option, design.path)


def nothing_given(free: Free, target: Target, design: Design) -> Fault:
    """That a pot can be made, but none gives anything of what is asked, such as one lower than its fill line."""
    what = f"with {free.name} left free it gives none of that at any size"
    return Fault(what, f"{target.wanted:g} {target.unit}", "another size left free", target.option, design.path)


def nothing_nests(free: Free, design: Design, fault: Fault | Faults | None) -> Fault | Faults:
    """That none stands in the plate."""
    if fault is not None:
        return fault
    what = f"with {free.name} left free it never stands in that plate on its foot"
    return Fault(what, design.title, "another size left free, or another plate", "--nests-in", design.path)


def changed(free: Free, value: float, design: Design) -> str:
    """What became of what was left free."""
    state = design.head.sized.words
    if free.name == WHOLE_FORM:
        return f"The whole form is {value:.4g} times as large; walls, floor and what fingers leave are kept."
    if free.now is None:
        return f"{free.name}, which was left to the form, is {value_said(free, value)} ({state})."
    return f"{free.name} goes from {value_said(free, free.now)} to {value_said(free, value)} ({state})."


def given(target: Target, amount: float, measures: Measures) -> str:
    """What the sized pot gives: first what was asked, then what she asks next."""
    fired = measures.states[State.FIRED]
    words = [target.told(amount)]
    if fired.capacity_ml is not None and target.option != "--capacity":
        words.append(f"takes {fired.capacity_ml:.1f} ml brimful")
    if target.option != "--ball":
        words.append(f"is thrown from {measures.ball_g:.1f} g")
    words.append(f"is {mm(fired.height_mm)} mm high and {mm(fired.widest_diameter_mm)} mm at its widest, fired")
    return f"Now it {', '.join(words[:-1])}, and {words[-1]}."


def _apart(stretch: Stretch, wanted: float) -> float:
    return max(stretch.least - wanted, wanted - stretch.most, 0.0)


def _way(free: Free, target: Target, stretch: Stretch) -> str:
    # rounded inwards, so that what is told can be had
    least, most = math.ceil(10 * stretch.least) / 10, math.floor(10 * stretch.most) / 10
    unit = " mm" if free.length else " times its size" if free.name == WHOLE_FORM else ""
    return (
        f"between {least:g} and {most:g} {target.unit}, with {free.name} between "
        f"{stretch.low:.4g} and {stretch.high:.4g}{unit}"
    )
