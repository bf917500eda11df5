"""A set on the page: what is weighed out, how it stands in each other, whether it matches, and its sheets."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from ..design.gather import gathered
from ..faults import each
from ..job import figures, job_of
from ..kiln import write_kiln_plan
from ..order import Order
from ..sets.measured_set import MeasuredSet, measured_set
from ..sets.set_json import set_json
from ..sets.set_pack import stamp_of_set
from ..sets.wheel_sheet import write_wheel_sheet
from ..settings import Settings
from .folder import Folder

SHEETS = ("wheel_sheet.pdf", "kiln_plan.pdf")
"""What is printed of a set."""


@dataclass(frozen=True, eq=False)
class SetTable:
    """A set as the page shows it.

    Attributes:
        name: of its file, without its ending.
        measured: its numbers.
        numbers: the same, as `measure --json` has them.
        stems: name of each piece's design.
    """

    name: str
    measured: MeasuredSet
    numbers: dict[str, Any]
    stems: tuple[str, ...]


def set_table(folder: Folder, name: str, settings: Settings) -> SetTable:
    """Measure a set of the folder.

    Raises:
        Fault, Faults: no such set, one that leads out of the folder, or one that cannot be made.
    """
    found = gathered([folder.set_path(name)])
    jobs = each(lambda design: job_of(design, settings), found.designs)
    (pots,) = found.sets
    measured = measured_set(pots, dict(zip(found.designs, jobs, strict=True)), settings)
    numbers = set_json(measured, [figures(piece.job) for piece in measured.pieces])
    return SetTable(name, measured, numbers, tuple(design.path.stem for design in pots.designs))


def set_sheet(table: SetTable, sheet: str, settings: Settings) -> bytes:
    """One of `SHEETS` as a PDF; the kiln's takes some seconds, for places are looked for."""
    measured, order = table.measured, Order(paper=settings.paper)
    stamp, title = stamp_of_set(measured, settings, order), measured.pots.title
    with TemporaryDirectory() as place:
        path = Path(place) / sheet
        if sheet == "kiln_plan.pdf":
            write_kiln_plan(title, measured.loads, path, paper=order.paper, stamp=stamp)
        else:
            write_wheel_sheet(title, measured.pieces, path, settings=settings, paper=order.paper, stamp=stamp)
        return path.read_bytes()
