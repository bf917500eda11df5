"""A table of pots out of a spreadsheet: a CSV with a heading, one line a pot."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from dataclasses import replace
from difflib import get_close_matches
from pathlib import Path

from ..faults import Fault, Faults
from ..lengths import shown
from ..table import Table, first_of, read_table
from .entry import date_of, pot_of
from .noting import Said
from .plan import Plan, planned_for
from .quantity import Quantity, amount_of, quantity_of

MAX_ROWS = 5000
_POT, _DATE = "pot", "date"


def said_in(path: Path, plan: Plan, units: str, today: str) -> list[Said]:
    """What a table says of each pot.

    The heading names the columns: `pot`, which every line needs; `date`, if it is there; and what was measured, as
    on the command line. Empty cells say nothing. The same line read again has the same id, so that a table may grow
    and be read again.

    Args:
        path: the table; parted by commas, semicolons or tabs.
        plan: of the piece.
        units: of bare lengths.
        today: for lines without a date.

    Raises:
        Fault, Faults: it cannot be used, each fault with its line.
    """
    table = read_table(path, "a table of pots (CSV)", MAX_ROWS)
    if not table.rows:
        raise Fault("an empty table", wanted="a heading such as pot, ball, thrown, rim@fired", file=path)
    head_line, head = table.rows[0]
    columns = _columns(head, plan, path, head_line)
    said: list[Said] = []
    faults: list[Fault] = []
    for line, cells in table.rows[1:]:
        try:
            one = _said(table, cells, columns, units, today)
        except Faults as several:
            faults += [replace(fault, file=path, line=line) for fault in several.faults]
        else:
            if one is not None:
                said.append(replace(one, line=line))
    if faults:
        raise first_of(faults, path)
    if not said:
        raise Fault("no figures in the table", wanted="a line for each pot under the heading", file=path)
    return said


def _columns(head: Sequence[str], plan: Plan, path: Path, line: int) -> list[Quantity | str]:
    """What each column holds: a quantity, the pot, the date, or nothing."""
    columns: list[Quantity | str] = []
    faults: list[Fault] = []
    for cell in head:
        word = cell.casefold()
        try:
            column: Quantity | str = word if word in (_POT, _DATE, "") else _quantity(cell, plan)
            if column != "" and column in columns:
                raise Fault("two columns of one name", shown(cell), "one of each")
            columns.append(column)
        except Fault as fault:
            faults.append(fault.placed(path, line))
    if _POT not in columns and not faults:
        faults.append(
            Fault("no column for the pots", ", ".join(head)[:60], "`pot`, a name for each", file=path, line=line)
        )
    if faults:
        raise Faults(faults)
    return columns


def _quantity(cell: str, plan: Plan) -> Quantity:
    """The quantity of a column; one that was meant for the pots or the date is told so."""
    try:
        quantity = quantity_of(cell)
    except Fault:
        close = get_close_matches(cell.casefold(), (_POT, _DATE), n=1)
        if close:
            raise Fault("not a column we know", shown(cell), f"perhaps `{close[0]}`") from None
        raise
    return planned_for(plan, quantity).quantity


def _said(
    table: Table, cells: Sequence[str], columns: Sequence[Quantity | str], units: str, today: str
) -> Said | None:
    too_wide = table.too_wide(cells, len(columns))
    if too_wide:
        raise Faults([too_wide])
    faults: list[Fault] = []
    values: dict[str, float] = {}
    words: dict[str, str] = {}
    for cell, column in zip(cells, columns, strict=False):
        try:
            if not cell or column == "":
                continue
            if isinstance(column, Quantity):
                values[column.key] = amount_of(cell, column, units)
            else:
                words[column] = pot_of(cell) if column == _POT else date_of(cell)
        except Fault as fault:
            faults.append(replace(fault, field=fault.field or str(column)))
    if values and _POT not in words and not faults:
        faults.append(Fault("which pot?", "an empty cell", "its name, the same in every table", _POT))
    if faults:
        raise Faults(faults)
    if not values:
        return None
    line = json.dumps([words, values], sort_keys=True)
    name = f"line-{hashlib.sha256(line.encode()).hexdigest()[:24]}"
    return Said(values, words.get(_DATE, today), words[_POT], name)
