"""A table of pots out of a spreadsheet: a CSV with a heading, one line a pot."""

from __future__ import annotations

import csv
import hashlib
import json
from collections.abc import Iterator, Sequence
from dataclasses import replace
from difflib import get_close_matches
from pathlib import Path

from ..faults import Fault, Faults
from ..lengths import shown
from .entry import date_of, pot_of
from .noting import Said
from .plan import Plan, planned_for
from .quantity import Quantity, amount_of, quantity_of

MAX_BYTES = 1_000_000
MAX_ROWS = 5000
_MOST_FAULTS = 20
_PARTED_BY = ";\t,"
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
    rows = list(_rows(path))
    if not rows:
        raise Fault("an empty table", wanted="a heading such as pot, ball, thrown, rim@fired", file=path)
    head_line, head = rows[0]
    columns = _columns(head, plan, path, head_line)
    said: list[Said] = []
    faults: list[Fault] = []
    for line, cells in rows[1:]:
        try:
            one = _said(cells, columns, units, today, len(head))
        except Faults as several:
            faults += [replace(fault, file=path, line=line) for fault in several.faults]
        else:
            if one is not None:
                said.append(replace(one, line=line))
    if faults:
        more = len(faults) - _MOST_FAULTS
        told = faults[:_MOST_FAULTS]
        raise Faults([*told, Fault(f"{more} more faults, not listed", file=path)] if more > 0 else told)
    if not said:
        raise Fault("no figures in the table", wanted="a line for each pot under the heading", file=path)
    return said


def _rows(path: Path) -> Iterator[tuple[int, list[str]]]:
    """Lines that are not blank, with their numbers."""
    text = _text(path)
    first = text.lstrip().split("\n", 1)[0]
    delimiter = max(_PARTED_BY, key=first.count)
    reader = csv.reader(text.splitlines(), delimiter=delimiter, strict=True)
    try:
        for number, cells in enumerate(reader):
            if number > MAX_ROWS:
                raise Fault("the table is too long", wanted=f"at most {MAX_ROWS:,} lines", file=path)
            if any(cell.strip() for cell in cells):
                yield reader.line_num, [cell.strip() for cell in cells]
    except csv.Error as error:
        raise Fault(f"not a table: {error}", file=path, line=reader.line_num) from None


def _text(path: Path) -> str:
    try:
        if path.exists() and not path.is_file():
            raise Fault("not an ordinary file", wanted="a table (CSV)", file=path)
        with path.open("rb") as file:
            raw = file.read(MAX_BYTES + 1)
    except OSError as error:
        what = "no such file" if isinstance(error, FileNotFoundError) else "the table cannot be read"
        raise Fault(what, "" if isinstance(error, FileNotFoundError) else error.strerror or "", file=path) from None
    if len(raw) > MAX_BYTES:
        raise Fault("the table is too large", wanted=f"at most {MAX_BYTES // 1_000_000} MB", file=path)
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        raise Fault("not UTF-8 text", wanted="a table saved as CSV in UTF-8", file=path, line=line) from None
    if "\0" in text:
        raise Fault("not a text file: it holds a zero byte", wanted="a table saved as CSV", file=path)
    return text


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


def _said(cells: Sequence[str], columns: Sequence[Quantity | str], units: str, today: str, wide: int) -> Said | None:
    if any(cells[wide:]):
        wanted = f"{wide}, as in the heading; if a comma stands for the decimal point, part the cells by semicolons"
        raise Faults([Fault("more cells than columns", str(len(cells)), wanted)])
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
