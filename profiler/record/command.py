"""What the commands `note` and `compare` do with their words."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path

from ..design.model import read_design
from ..faults import Fault, each
from ..lengths import shown
from ..measures import measured
from ..piece import piece_of
from ..report import console
from ..settings import Settings
from .bench_table import said_in
from .entry import date_of, id_of, pot_of
from .ledger import read_record, record_place, torn_place
from .noting import Said, note, strike
from .outcome import outcome_of
from .outcome_json import as_json
from .plan import Plan, plan_of, planned_for
from .quantity import amount_of, quantity_of
from .said import SHOWN_ID, noted_words, plan_table, told


def run_note(
    path: Path,
    words: Sequence[str],
    settings: Settings,
    *,
    pot: str | None = None,
    day: str | None = None,
    name: str | None = None,
    table: Path | None = None,
    struck: str | None = None,
) -> None:
    """Note what was weighed and measured, or take an entry back; without figures, list what can be noted.

    Args:
        path: the design file.
        words: figures such as `ball=560`.
        settings: her step of the scales.
        pot: which pot; a new one if None.
        day: of the figures; today if None.
        name: id of the entry, so that a retry is no double.
        table: a CSV of many pots instead of `words`.
        struck: id of an entry to take back instead.

    Raises:
        Fault, Faults: words that cannot be used, or a record that cannot be read or written; nothing is noted then.
    """
    _one_way(words, pot, day, name, table, struck)
    design = read_design(path)
    place = record_place(design.path)
    today = date.today().isoformat() if day is None else _given("--date", date_of, day)
    if struck is not None:
        entry, stood = strike(place, struck, today)
        done = "taken back" if stood else "had been taken back already"
        print(f"pot {entry.pot}: entry {entry.id[:SHOWN_ID]} {done}")  # noqa: T201 - the command's own output
        return
    measures = measured(piece_of(design), settings)
    plan = plan_of(measures)
    if table is None and not words:
        console().print(plan_table(design.title, plan, design.path))
        return
    if table is None:
        which = None if pot is None else _given("--pot", pot_of, pot)
        known = None if name is None else _given("--id", id_of, name)
        said = [Said(_values(words, plan, design.head.units), today, which, known)]
    else:
        said = said_in(table, plan, design.head.units, today)
    noted = note(place, said, plan, design.digest, table=table)
    for line in noted_words(noted, place):
        print(line)  # noqa: T201
    if noted.torn:
        print(f"{place}: a torn last line of {noted.torn} bytes, moved to {torn_place(place)}", file=sys.stderr)  # noqa: T201


def run_compare(path: Path, settings: Settings, *, as_data: bool = False) -> None:
    """Print what came out of the pots that were noted, or as JSON; writes nothing.

    Raises:
        Fault, Faults: a design or a record that cannot be read, or nothing noted yet.
    """
    design = read_design(path)
    record = read_record(record_place(design.path))
    if not record.standing:
        wanted = f"`profiler note {path} ball=560 thrown=530`, with your figures"
        raise Fault("nothing was noted yet", wanted=wanted, file=record.path)
    outcome = outcome_of(design, record, settings)
    if as_data:
        print(json.dumps(as_json(outcome), indent=1, allow_nan=False))  # noqa: T201
    else:
        console().print(told(outcome))
    if record.torn:
        print(f"{record.path}: the last line is torn and does not count", file=sys.stderr)  # noqa: T201


def _one_way(
    words: Sequence[str], pot: str | None, day: str | None, name: str | None, table: Path | None, struck: str | None
) -> None:
    """Raise where two ways of noting stand in one command."""
    if struck is not None and (words or table is not None or pot is not None or name is not None):
        raise Fault("an entry is taken back by itself", wanted="--strike and the entry's id", field="--strike")
    if table is not None and (words or pot is not None or name is not None):
        raise Fault("a table names its pots itself", wanted="--csv and the file", field="--csv")
    if not words and (pot, day, name) != (None, None, None) and table is None and struck is None:
        raise Fault("nothing to note", wanted="figures such as ball=560 rim@fired=155")


def _given(option: str, read: Callable[[str], str], text: str) -> str:
    try:
        return read(text)
    except Fault as fault:
        raise replace(fault, field=option) from fault


def _values(words: Sequence[str], plan: Plan, units: str) -> dict[str, float]:
    """Figures of the command line by the key of their quantity.

    Raises:
        Faults: each that cannot be used.
    """
    values: dict[str, float] = {}

    def add(word: str) -> None:
        name, equals, figure = word.partition("=")
        if not equals:
            raise Fault("not a figure with its name", shown(word), "such as ball=560 or rim@fired=155")
        quantity = planned_for(plan, quantity_of(name)).quantity
        if quantity.key in values:
            raise Fault("noted twice in one command", shown(word), "one figure for each", quantity.key)
        values[quantity.key] = amount_of(figure, quantity, units)

    each(add, words)
    return values
