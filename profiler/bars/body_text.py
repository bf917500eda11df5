"""The body file that test bars give: each figure with how many bars it rests on, or that it was not measured."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

import tomlkit

from ..clay.body import body_of
from ..clay.states import State
from ..design.toml_text import TomlText
from ..faults import Fault, Faults
from .clay_found import STANDARD_BARS, ClayFound, saturated_density
from .spread import Spread

Base = Literal["plastic", "dry"]

LEATHER_SHARE = 0.85
"""Of the drying shrinkage, over at leather-hard: 80 to 95 % is a working value (memory, weak)."""

BISQUE_ON_DRY = 0.5
"""Per cent of the dry length: 0 to 1 at about cone 06 (memory)."""

WATER, LOSS = 21.0, 6.0
"""Per cent: 19.5 to 22.5 at throwing stiffness (Digitalfire, test CLWC), 4 to 8 (Digitalfire glossary)."""

MOST_POINTS = 10.0
"""Of a body file's plus or minus; more than that says nothing."""


_FIGURES_WIDE = 24
"""Columns before what is said of a figure."""


@dataclass(frozen=True)
class _Line:
    """A key of the file, its figure, what is said beside it."""

    key: str
    value: float
    says: str

    @property
    def text(self) -> str:
        return f"{f'{self.key} = {self.value:.3f}':<{_FIGURES_WIDE}} # {self.says}"


def body_text(found: ClayFound, name: str, base: Base, path: Path) -> str:
    """The text of a body file that `load_body` takes.

    What no bar was measured for is a typical figure, and says so.

    Args:
        found: what the bars say.
        name: of the body.
        base: length that the figures of the fire are given on.
        path: where the file will stand, for messages.

    Raises:
        Fault: bars without a drying or a firing shrinkage, or figures that no body has.
    """
    for state in (State.BONE_DRY, State.FIRED):
        if state not in found.shrinkage:
            what = f"no shrinkage to {state.words}, so there is no body yet"
            wanted = f"plastic_mm and {'bone_dry_mm' if state is State.BONE_DRY else 'fired_mm'} of a bar"
            raise Fault(what, _measured(found), wanted, file=found.file.path)
    shrinks = _shrinkage(found, base)
    water = _percent("water", found.water, WATER, "19.5 to 22.5 at throwing stiffness")
    loss = _percent("loss_on_ignition", found.loss, LOSS, "4 to 8 for common clay")
    density = _density(found, water.value)
    number = len(found.file.bars)
    bars = "one measured test bar" if number == 1 else f"{number} measured test bars"
    rows = [
        f"# Measured on test bars, {found.file.path.name!r}; the day is yours to add. Of one batch of clay and one",
        "# firing: another of either may differ by more than the ± below.",
        *_few(found),
        f"name = {tomlkit.string(name).as_string()}",
        f'notes = "From {bars}."',
        "",
        "[shrinkage] # per cent of the plastic length" + ("; bisque and fired of the dry" if base == "dry" else ""),
        *(line.text for line in shrinks),
        f'firing_base = "{base}"',
        *_plus_minus(found),
        "",
        "[density]",
        density.text,
        "",
        "[weight]",
        f"{water.text}; per cent of the damp weight",
        f"{loss.text}; per cent of the dry weight",
        *_more(found),
    ]
    text = "\n".join(rows) + "\n"
    try:
        body_of(TomlText(path, tomllib.loads(text), {}))
    except Faults as faults:
        raise Faults([_no_body(fault, found) for fault in faults.faults]) from faults
    return text


def _no_body(fault: Fault, found: ClayFound) -> Fault:
    what = f"these bars make no body: {fault.what}"
    return Fault(what, fault.found, fault.wanted, fault.field, found.file.path)


def _measured(found: ClayFound) -> str:
    return ", ".join(state.words for state in found.shrinkage) or "no lengths after a plastic one"


def _shrinkage(found: ClayFound, base: Base) -> list[_Line]:
    dry, fired = found.shrinkage[State.BONE_DRY].mean, found.shrinkage[State.FIRED].mean
    guess = 100 - (100 - dry) * (1 - BISQUE_ON_DRY / 100)
    bisque = min(guess, max(dry, fired)) if fired > dry else fired
    typical = {
        State.LEATHER_HARD: (LEATHER_SHARE * dry, f"{100 * LEATHER_SHARE:.0f} % of the drying shrinkage"),
        State.BISQUE: (bisque, f"about {BISQUE_ON_DRY:g} % of the dry length more than dry"),
    }
    lines = []
    for state in (State.LEATHER_HARD, State.BONE_DRY, State.BISQUE, State.FIRED):
        spread = found.shrinkage.get(state)
        value, says = (spread.mean, _said(spread)) if spread else (typical[state][0], _unmeasured(typical[state][1]))
        if base == "dry" and state in (State.BISQUE, State.FIRED):
            says = _said(found.on_dry[state]) if state in found.on_dry else says
            value = 100 * (1 - (100 - value) / (100 - dry))
        lines.append(_Line(str(state), value, says))
    return lines


def _percent(key: str, spread: Spread | None, typical: float, range_said: str) -> _Line:
    if spread is not None:
        return _Line(key, spread.mean, _said(spread))
    return _Line(key, typical, _unmeasured(range_said))


def _density(found: ClayFound, water: float) -> _Line:
    measured = found.plastic_density
    if measured is not None:
        return _Line("plastic", measured, "g/cm³, back from the fired bulk density, the shrinkage and the weights")
    says = "g/cm³, of a clay with that water and minerals of 2.55 to 2.65"
    return _Line("plastic", saturated_density(water), _unmeasured(says))


def _said(spread: Spread) -> str:
    if spread.deviation is None:
        return "1 bar"
    return f"{spread.number} bars, standard deviation {spread.deviation:.2f}"


def _unmeasured(says: str) -> str:
    return f"NOT MEASURED, a typical figure: {says}"


def _few(found: ClayFound) -> list[str]:
    fired = found.shrinkage[State.FIRED]
    rows = []
    if fired.number < STANDARD_BARS:
        bars = "1 bar is" if fired.number == 1 else f"{fired.number} bars are"
        rows.append(f"# {bars} few: ASTM C326 asks for {STANDARD_BARS}.")
    if found.left_out:
        rows.append(f"# Left out: {', '.join(found.left_out)}.")
    return rows


def _plus_minus(found: ClayFound) -> list[str]:
    points = found.shrinkage[State.FIRED].plus_minus
    if points is None:
        return ["# plus_minus is left out: it takes two bars or more, and without it 2 points are taken."]
    if points > MOST_POINTS:
        return [f"# plus_minus is left out: {points:.0f} points say nothing. Measure more bars."]
    return [_Line("plus_minus", points, "points on the fired shrinkage, for 19 pots in 20").text]


def _more(found: ClayFound) -> list[str]:
    """Figures a body file has no key for."""
    rows = []
    if found.absorption is not None:
        rows.append(f"# absorption, fired: {found.absorption.mean:.2f} % ({_said(found.absorption)})")
    if found.density is not None:
        rows.append(f"# bulk density, fired: {found.density.mean:.3f} g/cm³ ({_said(found.density)})")
    return ["", *rows] if rows else []
