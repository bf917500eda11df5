"""A table out of a spreadsheet: a CSV file with a heading, parted by commas, semicolons or tabs."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from .design.toml_text import text_of
from .faults import Fault, Faults

MAX_BYTES = 1 << 20
MAX_FAULTS = 20
_PARTED_BY = ",;\t"


@dataclass(frozen=True)
class Table:
    """The cells of a table as written, without the spaces around them.

    Attributes:
        path: the file.
        rows: the number of the line and the cells of each row in which anything stands.
        parted_by: what stands between its cells.
    """

    path: Path
    rows: tuple[tuple[int, tuple[str, ...]], ...]
    parted_by: str

    def too_wide(self, cells: Sequence[str], wide: int) -> Fault | None:
        """What is wrong with a row that has more cells than the heading."""
        if not any(cells[wide:]):
            return None
        wanted = f"{wide}, as in the heading"
        if self.parted_by == ",":
            wanted += "; figures with a decimal comma need semicolons between the cells"
        return Fault("more cells than columns", f"{len(cells)} cells", wanted)


def read_table(path: Path, wanted: str, most_rows: int) -> Table:
    """The table in a file.

    Args:
        path: the file, UTF-8.
        wanted: what it should be, for the message.
        most_rows: how many rows it may have under its heading.

    Raises:
        Fault: it cannot be read, is too long, or a quote in it does not end.
    """
    text = text_of(path, wanted, MAX_BYTES)
    head = text.lstrip().split("\n", 1)[0]
    mark = max(_PARTED_BY, key=head.count)
    reader = csv.reader(text.removesuffix("\n").split("\n"), delimiter=mark, strict=True)
    rows = []
    try:
        for cells in reader:
            row = tuple(cell.strip() for cell in cells)
            if any(row):
                rows.append((reader.line_num, row))
    except csv.Error as error:
        raise Fault(f"not a table: {error}", wanted=wanted, file=path, line=reader.line_num) from None
    if len(rows) > most_rows + 1:
        raise Fault("too many rows", f"{len(rows) - 1:,}", f"at most {most_rows:,} under the heading", file=path)
    return Table(path, tuple(rows), mark)


def first_of(faults: Sequence[Fault], path: Path) -> Faults:
    """The first faults of a table, and how many more there are."""
    left = len(faults) - MAX_FAULTS
    more = [Fault(f"{left} more faults, not listed", file=path)] if left > 0 else []
    return Faults([*faults[:MAX_FAULTS], *more])
