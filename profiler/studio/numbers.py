"""The numbers of `measure --json` as the page sets them: tables by state, and the few that are read from afar."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from ..amounts import amount
from ..clay.states import State
from ..lengths import Units

_ROWS = {
    "height_mm": "height",
    "rim_diameter_mm": "rim",
    "widest_diameter_mm": "widest",
    "foot_diameter_mm": "foot",
    "capacity_ml": "brimful",
    "mass_g": "weight",
}
_UNITS = ("_mm", "_g", "_ml", "_cm3", "_cm2", "_deg")
_LISTS = {
    "thrown": "thrown, wet",
    "trimming": "trimmed off, leather-hard",
    "lid": "lid, fired",
    "spoon": "spoon, fired",
}


@dataclass(frozen=True)
class Figure:
    """One number of `measure --json`.

    Attributes:
        path: its dotted name there.
        full: as it stands there.
        words: rounded for people.
        unit: of the words.
        was: the same of what it is compared with, in words; empty without.
    """

    path: str
    full: float | None
    words: str
    unit: str
    was: str = ""


@dataclass(frozen=True)
class StateTable:
    """A part in every state: heads, and a row of figures for each size."""

    name: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, tuple[Figure, ...]], ...]


@dataclass(frozen=True)
class FigureList:
    """Figures under one head, each with its name."""

    name: str
    rows: tuple[tuple[str, Figure], ...]


def wheel_figures(numbers: Mapping[str, Any], units: Units) -> tuple[tuple[str, Figure], ...]:
    """The four she reads from the wheel."""
    named = {
        "weigh out": "weigh_out_g",
        "high, from the bat": "thrown.height_mm",
        "rim, wet": "thrown.rim_diameter_mm",
        "floor to bat": "thrown.floor_mm",
    }
    return tuple((name, _figure(path, numbers, units)) for name, path in named.items())


def fired_figures(
    numbers: Mapping[str, Any], units: Units, was: Mapping[str, Any] | None
) -> tuple[tuple[str, Figure], ...]:
    """What comes out, and what it takes."""
    named = {
        "weigh out": "weigh_out_g",
        "brimful": "states.fired.capacity_ml",
        "weighs": "states.fired.mass_g",
        "rim": "states.fired.rim_diameter_mm",
        "high": "states.fired.height_mm",
        "trim off": "trimming.removed_g",
    }
    return tuple((name, _figure(path, numbers, units, was)) for name, path in named.items())


def state_tables(numbers: Mapping[str, Any], units: Units, was: Mapping[str, Any] | None) -> tuple[StateTable, ...]:
    """The whole piece in every state, then each of its parts."""
    found = [_table("", "states", numbers, units, was)]
    found += [_table(name, f"parts.{name}.states", numbers, units, was) for name in numbers.get("parts", {})]
    return tuple(found)


def figure_lists(numbers: Mapping[str, Any], units: Units) -> tuple[FigureList, ...]:
    """Everything else that was measured, under the names it has in `measure --json`."""
    found = []
    for key, name in _LISTS.items():
        if isinstance(numbers.get(key), dict):
            paths = [f"{key}.{sub}" for sub, value in numbers[key].items() if _is_number(value)]
            rows = tuple((_label(path), _figure(path, numbers, units)) for path in paths)
            found.append(FigureList(name, rows))
    loose = [key for key in ("fill_ml", "fill_line_mm", "surface_cm2", "tips_at_deg") if _is_number(numbers.get(key))]
    loose += [f"{key}.thickness_mm" for key in ("thinnest", "thickest") if key in numbers]
    if loose:
        rows = tuple((_label(path), _figure(path, numbers, units)) for path in loose)
        found.append(FigureList("finished, fired", rows))
    return tuple(found)


def _table(
    name: str, path: str, numbers: Mapping[str, Any], units: Units, was: Mapping[str, Any] | None
) -> StateTable:
    rows = []
    for key, label in _ROWS.items():
        figures = tuple(_figure(f"{path}.{state}.{key}", numbers, units, was) for state in State)
        unit = next((figure.unit for figure in figures if figure.unit), "")
        if any(figure.full is not None for figure in figures):
            rows.append((f"{label}, {unit}", figures))
    return StateTable(name, tuple("wet" if state is State.WET else state.words for state in State), tuple(rows))


def _figure(path: str, numbers: Mapping[str, Any], units: Units, was: Mapping[str, Any] | None = None) -> Figure:
    value = _at(path, numbers)
    words, unit = ("–", "") if value is None else amount(path, value, units)
    before = None if was is None else _at(path, was)
    told = "" if before is None else amount(path, before, units)[0]
    return Figure(path, value, words, unit, "" if told == words else told)


def _at(path: str, numbers: Mapping[str, Any]) -> float | None:
    found: Any = numbers
    for part in path.split("."):
        found = found.get(part) if isinstance(found, Mapping) else None
    return float(found) if _is_number(found) else None


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _label(path: str) -> str:
    parts = path.split(".")
    key = parts[-1]
    for unit in _UNITS:
        key = key.removesuffix(unit)
    if key == "thickness":
        key = parts[-2]
    return key.replace("_", " ")
