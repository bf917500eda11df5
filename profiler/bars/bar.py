"""A test bar: its lengths and weights, and what no bar of clay does."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, fields

from ..clay.body import MAX_REGROWTH
from ..faults import Fault

RULER_MM = 0.5
"""What reading a ruler twice may differ by: a length that grew by no more has not grown (memory)."""

MOST_SHRINKAGE = 0.35
"""No clay shrinks more: the bound of a body file too."""


@dataclass(frozen=True)
class Bar:
    """One test bar; what was not measured is None.

    Attributes:
        name: as she calls it.
        line: of its row in the file.
        plastic_mm: length of the bar, or between its marks, as made; the same length in each state after it.
        wet_g: weight as made, of the whole bar; then dry, bisque-fired and glaze-fired, unglazed.
        soaked_g: of the fired bar, its pores filled with water and its surface wiped.
        suspended_g: of the soaked bar hung in water.
    """

    name: str
    line: int
    plastic_mm: float | None = None
    leather_hard_mm: float | None = None
    bone_dry_mm: float | None = None
    bisque_mm: float | None = None
    fired_mm: float | None = None
    wet_g: float | None = None
    dry_g: float | None = None
    bisque_g: float | None = None
    fired_g: float | None = None
    soaked_g: float | None = None
    suspended_g: float | None = None


COLUMNS = tuple(field.name for field in fields(Bar) if field.name.endswith(("_mm", "_g")))
"""What may be measured, in the order a bar goes through it."""

_IN_ORDER = ("plastic_mm", "leather_hard_mm", "bone_dry_mm")
_IN_FIRE = ("bisque_mm", "fired_mm")
_LOSING = (
    ("wet_g", "dry_g"),
    ("wet_g", "bisque_g"),
    ("wet_g", "fired_g"),
    ("dry_g", "bisque_g"),
    ("dry_g", "fired_g"),
)


def impossible(bar: Bar) -> Iterator[Fault]:
    """What no bar of clay does."""
    before: tuple[str, float] | None = None
    for key in _IN_ORDER:
        length: float | None = getattr(bar, key)
        if length is None:
            continue
        if before is not None and length > before[1] + RULER_MM:
            yield _longer(bar, key, length, before)
        before = (key, length)
    for key in _IN_FIRE:
        length = getattr(bar, key)
        if length is not None and before is not None and length > before[1] * (1 + MAX_REGROWTH) + RULER_MM:
            yield _longer(bar, key, length, before)
    lengths = [(key, getattr(bar, key)) for key in (*_IN_ORDER, *_IN_FIRE) if getattr(bar, key) is not None]
    for key, length in lengths[1:]:
        if length < (1 - MOST_SHRINKAGE) * lengths[0][1]:
            what = f"{bar.name} shrinks by {100 * (1 - length / lengths[0][1]):.0f} %"
            yield Fault(what, f"{length:g} mm", f"no more than {100 * MOST_SHRINKAGE:g} %, all in one unit", key)
    for earlier, later in _LOSING:
        before_g, after_g = getattr(bar, earlier), getattr(bar, later)
        if before_g is not None and after_g is not None and after_g > before_g:
            what = f"{bar.name} gains weight"
            yield Fault(what, f"{after_g:g} g after {before_g:g}", f"no more than its {_plain(earlier)}", later)
    yield from _in_water(bar)


def _longer(bar: Bar, key: str, length: float, before: tuple[str, float]) -> Fault:
    found = f"{length:g} mm after {before[1]:g}"
    return Fault(f"{bar.name} grows", found, f"no longer than its {_plain(before[0])} length", key)


def _in_water(bar: Bar) -> Iterator[Fault]:
    if bar.soaked_g is not None and bar.fired_g is None:
        yield Fault(f"{bar.name} is soaked but not weighed fired", f"{bar.soaked_g:g} g", "fired_g too", "soaked_g")
    if bar.suspended_g is not None and bar.soaked_g is None:
        found = f"{bar.suspended_g:g} g"
        yield Fault(f"{bar.name} is hung in water but not weighed soaked", found, "soaked_g too", "suspended_g")
    if bar.fired_g is not None and bar.soaked_g is not None and bar.soaked_g < bar.fired_g:
        found = f"{bar.soaked_g:g} g, dry {bar.fired_g:g}"
        yield Fault(f"{bar.name} is lighter soaked than dry", found, "no less than its fired weight", "soaked_g")
    if bar.suspended_g is not None and bar.fired_g is not None and bar.suspended_g >= bar.fired_g:
        found = f"{bar.suspended_g:g} g, dry {bar.fired_g:g}"
        yield Fault(f"{bar.name} is no lighter in water", found, "less than its fired weight", "suspended_g")


def _plain(column: str) -> str:
    words = column.rpartition("_")[0].replace("_", "-")
    return f"{words} weight" if column.endswith("_g") else words
