"""What test bars say, for people: a table of shrinkage, one of weights, and what is to be known of them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from rich import box
from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from ..clay.states import State
from .clay_found import HEAVY_MINERAL_G_PER_CM3, STANDARD_BARS, ClayFound, saturated_density
from .spread import Spread

_WEIGHTS = (
    ("water, % of damp weight", "water", 1),
    ("loss on ignition, % of dry weight", "loss", 1),
    ("absorption, % of fired weight", "absorption", 1),
    ("bulk density fired, g/cm³", "density", 2),
)


def told(found: ClayFound, name: str) -> RenderableType:
    """Everything `bars` prints."""
    number = len(found.file.bars)
    head = Text(name, style="bold")
    head.append(f"  {'1 bar' if number == 1 else f'{number} bars'}", style="dim")
    shown: list[RenderableType] = [head, _shrinkage(found)]
    if any(getattr(found, key) is not None for _, key, _ in _WEIGHTS):
        shown.append(_weights(found))
    shown += [Text(line) for line in notes(found)]
    return Group(*shown, Text(""))


def notes(found: ClayFound) -> Iterator[str]:
    """What is to be known of the figures, a sentence each."""
    fired = found.shrinkage.get(State.FIRED)
    reach = found.fired_mm_of_100
    if fired is not None and reach is not None:
        yield (
            f"± is for 19 pots in 20 of this clay and this firing: a size of 100 mm fired comes out within "
            f"{reach:.1f} mm of it. Another batch or firing may differ by more."
        )
    elif fired is not None:
        yield "A ± takes two bars or more; with one there is none."
    if fired is None:
        yield "No bar is fired yet, or none has its plastic length, so there is no fired shrinkage."
    most = max((spread.number for spread in found.shrinkage.values()), default=0)
    if 0 < most < STANDARD_BARS:
        bars = "1 bar is" if most == 1 else f"{most} bars are"
        yield f"{bars} few: ASTM C326 asks for {STANDARD_BARS} or more."
    for state, spread in found.shrinkage.items():
        yield from _stands_apart(f"{state.words} shrinkage", spread, " %")
    for words, key, digits in _WEIGHTS:
        spread = getattr(found, key)
        if spread is not None:
            yield from _stands_apart(words.partition(",")[0], spread, "", digits)
    yield from _too_dense(found)
    if found.carried:
        yield (
            f"No plastic length: {', '.join(found.carried)}. Their firing is set on the mean drying shrinkage of the "
            "others."
        )
    if found.left_out:
        yield f"Left out: {', '.join(found.left_out)}."
    if found.file.waiting:
        yield f"Nothing measured yet: {', '.join(found.file.waiting)}."


def _too_dense(found: ClayFound) -> Iterator[str]:
    """Whether the weights contradict each other: clay cannot be denser than water and minerals make it."""
    density, water = found.plastic_density, found.water
    if density is None or water is None:
        return
    most = saturated_density(water.mean, HEAVY_MINERAL_G_PER_CM3)
    if density > most:
        yield (
            f"The weights do not go together: back from the fired bulk density the plastic clay would be "
            f"{density:.2f} g/cm³, and with {water.mean:.0f} % water no clay is over {most:.2f}. Weigh the bars in "
            "water again, hung free of the bowl."
        )


def _stands_apart(what: str, spread: Spread, unit: str, digits: int = 2) -> Iterator[str]:
    for name in spread.apart:
        yield (
            f"{name} stands apart: {what} {spread.of[name]:.{digits}f}{unit}, the mean {spread.mean:.{digits}f}. It "
            "counts; measure it again, or leave it out with --leave-out."
        )


def as_json(found: ClayFound) -> dict[str, Any]:
    """Every number in full precision, lengths' shrinkage in per cent."""
    return {
        "file": str(found.file.path),
        "bars": len(found.file.bars),
        "shrinkage_percent": {str(state): _numbers(spread) for state, spread in found.shrinkage.items()},
        "firing_on_dry_percent": {str(state): _numbers(spread) for state, spread in found.on_dry.items()},
        "fired_mm_of_100": found.fired_mm_of_100,
        "water_percent": _numbers(found.water),
        "loss_on_ignition_percent": _numbers(found.loss),
        "absorption_percent": _numbers(found.absorption),
        "fired_density_g_per_cm3": _numbers(found.density),
        "plastic_density_g_per_cm3": found.plastic_density,
        "carried": list(found.carried),
        "left_out": list(found.left_out),
        "waiting": list(found.file.waiting),
        "notes": list(notes(found)),
    }


def _numbers(spread: Spread | None) -> dict[str, Any] | None:
    if spread is None:
        return None
    return {
        "bars": spread.number,
        "mean": spread.mean,
        "standard_deviation": spread.deviation,
        "plus_minus": spread.plus_minus,
        "stand_apart": list(spread.apart),
    }


def _shrinkage(found: ClayFound) -> Table:
    table = _table("shrinkage", "%")
    for state, spread in found.shrinkage.items():
        _row(table, state.words, spread, 2, 2)
    for state, spread in found.on_dry.items():
        _row(table, f"{state.words}, of dry length", spread, 2, 2, "dim")
    return table


def _weights(found: ClayFound) -> Table:
    table = _table("by weight", "")
    for words, key, digits in _WEIGHTS:
        spread = getattr(found, key)
        if spread is not None:
            _row(table, words, spread, digits, digits + 1)
    return table


def _table(what: str, unit: str) -> Table:
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False, show_edge=False)
    table.add_column(what, no_wrap=True, min_width=34)
    for head in ("bars", f"mean {unit}".strip(), "st. dev.", "±"):
        table.add_column(head, justify="right", no_wrap=True, min_width=8)
    return table


def _row(table: Table, words: str, spread: Spread, digits: int, scatter_digits: int, style: str = "") -> None:
    scatter = (spread.deviation, spread.plus_minus)
    cells = ["–" if figure is None else f"{figure:.{scatter_digits}f}" for figure in scatter]
    table.add_row(words, str(spread.number), f"{spread.mean:z.{digits}f}", *cells, style=style)
