"""What was changed and what it gives, or what can be reached, in words."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from ..clay.states import State
from ..design.model import Design
from ..faults import Fault, Faults
from ..forms.points import PointsSizes
from ..lengths import mm
from ..measures import Measures
from .free import WHOLE_FORM, Free
from .search import Stretch
from .target import Target

SCALE = "scale of the whole form"
_MOST_STRETCHES = 3
_SAME = 1e-6
"""Amounts that differ by a smaller share are one."""


@dataclass(frozen=True)
class Reached:
    """Values that make a pot, and what ends them on the side of what is wanted; empty where only the looking ends."""

    stretch: Stretch
    ended_by: str


def value_said(free: Free, value: float) -> str:
    """A value of what is left free."""
    if free.name == WHOLE_FORM:
        return f"{value:.4g} times its size"
    if not free.length:
        return f"{value:.4g}"
    return f"{_plain(value)} mm"


def _plain(number: float) -> str:
    return f"{number:.2f}".rstrip("0").rstrip(".")


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
    stop = nearest[0].ended_by
    if not _apart(nearest[0].stretch, wanted):
        past = "; it jumps over what is asked"
    else:
        past = f"; past that, {stop}" if stop else ""
    what = f"no {SCALE if free.name == WHOLE_FORM else free.name} gives that"
    return Fault(what, found, ways + past, target.option, design.path)


def nothing_given(free: Free, target: Target, design: Design) -> Fault:
    """That a pot can be made, but none gives anything of what is asked, such as one lower than its fill line."""
    what = f"no {SCALE if free.name == WHOLE_FORM else free.name} gives any of that"
    return Fault(what, f"{target.wanted:g} {target.unit}", "another size left free", target.option, design.path)


def nothing_nests(free: Free, design: Design, fault: Fault | Faults | None) -> Fault | Faults:
    """That none stands in the plate."""
    if fault is not None:
        return fault
    what = f"no {SCALE if free.name == WHOLE_FORM else free.name} makes it stand in that plate on its foot"
    return Fault(what, design.title, "another size left free, or another plate", "--nests-in", design.path)


def all_nest(free: Free, value: float, design: Design) -> Fault:
    """That the largest has no end."""
    what = f"{free.name} does not decide whether it nests"
    found = f"it still does at {value_said(free, value)}"
    return Fault(what, found, "another size left free", "--nests-in", design.path)


def changed(free: Free, value: float, design: Design) -> str:
    """What became of what was left free."""
    state = design.head.sized.words
    if free.name == WHOLE_FORM:
        drawn = isinstance(design.sizes, PointsSizes) and design.sizes.inside is not None
        kept = "wall and floor with it, as they are drawn" if drawn else "wall, floor and roundings are kept"
        return f"The whole form is {value:.4g} times as large; {kept}."
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
        f"between {_plain(least)} and {_plain(most)} {target.unit}, with {free.name} between "
        f"{stretch.low:.4g} and {stretch.high:.4g}{unit}"
    )
