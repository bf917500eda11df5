"""A file of measured test bars: one row a bar, its lengths and weights, checked against what clay can do."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from pathlib import Path

from ..faults import Fault, Faults
from ..lengths import MAX_MM, MM_PER_INCH, shown
from ..table import Table, first_of, read_table
from .bar import COLUMNS, Bar, impossible

MAX_ROWS = 1000
MAX_NAME = 60
MAX_G = 100_000.0

_WHAT = "a CSV file of test bars"
_HEADING = "a first row that names the columns: " + ", ".join(("bar", *COLUMNS))
_MM = {"mm": 1.0, "cm": 10.0, "in": MM_PER_INCH}
_OTHER_WORDS = {
    "name": "bar",
    "no": "bar",
    "number": "bar",
    "wet_mm": "plastic_mm",
    "leatherhard_mm": "leather_hard_mm",
    "leather_mm": "leather_hard_mm",
    "dry_mm": "bone_dry_mm",
    "bisque_fired_mm": "bisque_mm",
    "glaze_fired_mm": "fired_mm",
    "plastic_g": "wet_g",
    "damp_g": "wet_g",
    "bone_dry_g": "dry_g",
    "bisque_fired_g": "bisque_g",
    "glaze_fired_g": "fired_g",
}
"""Other words of the trade for a column."""

_NOTES = ("note", "notes", "remark", "remarks", "comment", "date")
"""Columns that are hers alone."""


@dataclass(frozen=True)
class BarFile:
    """The bars of a file.

    Attributes:
        path: the file.
        bars: those with anything measured.
        waiting: names of the rows that are still empty.
    """

    path: Path
    bars: tuple[Bar, ...]
    waiting: tuple[str, ...] = ()


def read_bars(path: Path) -> BarFile:
    """The bars of a CSV file, separated by commas, semicolons or tabs; with a decimal comma where no comma separates.

    Raises:
        Fault: it cannot be read, or its first row names no columns.
        Faults: cells that hold no measure, or bars that do what no clay does; each with its line and column.
    """
    table = read_table(path, _WHAT, MAX_ROWS)
    if not table.rows:
        raise Fault("an empty table", wanted=_HEADING, file=path)
    line, head = table.rows[0]
    columns = _columns(path, line, head)
    bars: list[Bar] = []
    waiting: list[str] = []
    faults: list[Fault] = []
    for number, (line, cells) in enumerate(table.rows[1:], start=1):
        bar, found = _bar(table, columns, cells, number, line)
        faults += [fault.placed(path, line) for fault in found]
        if found or bar is None:
            continue
        if all(getattr(bar, column) is None for column in COLUMNS):
            waiting.append(bar.name)
        else:
            bars.append(bar)
    faults += [fault.placed(path, None) for fault in _twice(bars)]
    if faults:
        faults.sort(key=lambda fault: fault.line or 0)
        raise first_of(faults, path)
    if not bars:
        raise Fault("no bar is measured yet", "no row with a length", "a row for each bar", file=path)
    return BarFile(path, tuple(bars), tuple(waiting))


def _columns(path: Path, line: int, head: Sequence[str]) -> list[tuple[str, float] | None]:
    """What each column holds and what its figures are multiplied with; None for one that is hers alone.

    Raises:
        Faults: a column of another name, or one that is there twice.
    """
    found: list[tuple[str, float] | None] = []
    faults = []
    for cell in head:
        name = re.sub(r"[^a-z0-9]+", "_", cell.casefold()).strip("_")
        column, factor = _known(name)
        if column in COLUMNS or column == "bar":
            if any(one is not None and one[0] == column for one in found):
                faults.append(Fault("a column that is there twice", shown(cell), "each column once", column))
            found.append((column, factor))
        else:
            if name not in ("", *_NOTES):
                faults.append(Fault("unknown column", shown(cell), _nearest(name)))
            found.append(None)
    if not faults and not any(one is not None and one[0].endswith("_mm") for one in found):
        faults.append(Fault("no column of lengths", shown(", ".join(head)), _HEADING))
    if faults:
        raise Faults([fault.placed(path, line) for fault in faults])
    return found


def _known(name: str) -> tuple[str, float]:
    """The column a name means, and the millimetres of its unit."""
    state, _, unit = name.rpartition("_")
    if unit in _MM:
        name = f"{state}_mm"
    return _OTHER_WORDS.get(name, name), _MM.get(unit, 1.0)


def _nearest(name: str) -> str:
    known = ("bar", *COLUMNS)
    without_unit = [column for column in known if _OTHER_WORDS.get(f"{name}_mm", f"{name}_mm") == column]
    without_unit += [column for column in known if _OTHER_WORDS.get(f"{name}_g", f"{name}_g") == column]
    near = without_unit or get_close_matches(name[:MAX_NAME], known, 1)
    if not near:
        return "one of " + ", ".join((*known, "note"))
    return "perhaps " + " or ".join(f"`{column}`" for column in near) + (", with its unit" if without_unit else "")


def _bar(
    table: Table, columns: Sequence[tuple[str, float] | None], cells: Sequence[str], number: int, line: int
) -> tuple[Bar | None, list[Fault]]:
    """The bar of a row, or what is wrong with it."""
    too_wide = table.too_wide(cells, len(columns))
    if too_wide:
        return None, [too_wide]
    name, faults = f"bar {number}", []
    measures: dict[str, float] = {}
    for column, written in zip(columns, cells, strict=False):
        if column is None or not written:
            continue
        key, factor = column
        if key == "bar":
            name = written
            if len(name) > MAX_NAME or not name.isprintable():
                faults.append(Fault("no name for a bar", shown(name), f"up to {MAX_NAME} plain characters", key))
            continue
        try:
            measures[key] = _measure(key, written, factor)
        except Fault as fault:
            faults.append(fault)
    bar = Bar(name, line, **measures)
    return bar, faults or list(impossible(bar))


_NUMBER = re.compile(r"[+-]?(?:[0-9]{1,9}(?:[.,][0-9]{0,20})?|[.,][0-9]{1,20})")


def _measure(key: str, written: str, factor: float) -> float:
    if _NUMBER.fullmatch(written) is None:
        raise Fault("not a number", shown(written), "a figure such as 94.5, or an empty cell", key)
    value = factor * float(written.replace(",", "."))
    most, unit = (MAX_MM, "mm") if key.endswith("_mm") else (MAX_G, "g")
    if value <= 0:
        raise Fault("not more than nothing", shown(written), "a figure over 0, or an empty cell", key)
    if not (math.isfinite(value) and value <= most):
        raise Fault("out of reach", shown(written), f"at most {most:,g} {unit}", key)
    return value


def _twice(bars: Sequence[Bar]) -> Iterator[Fault]:
    seen: dict[str, Bar] = {}
    for bar in bars:
        first = seen.setdefault(bar.name, bar)
        if first is not bar:
            yield Fault(
                "two bars of one name", f"{shown(bar.name)}, also in line {first.line}", "", "bar", line=bar.line
            )
