"""What the page shows of a design with the changes of an address: numbers, drawing, remarks, and what is wrong."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from ..checks import Check
from ..design.edited import Place, filled
from ..design.model import design_of
from ..design.toml_text import TomlText
from ..faults import Fault, Faults
from ..job import Job, figures, job_of
from ..lengths import Units
from ..settings import Settings
from ..sheets.svg import svg_text
from ..templates.section_view import section_view
from .address import SHOW, changes_in, shown_in, typed
from .fields import Field, Group, groups_of
from .folder import Folder, Opened

STAMP = "shown on the page"

_STEPS, _MOST_STEPS = (0.01, 0.05, 0.1, 0.5, 1.0), 640
"""Of a slider: the finest with which it has no more steps than a finger can tell apart."""


@dataclass(frozen=True)
class Pull:
    """What a slider runs through, in the unit of the file."""

    least: float
    most: float
    step: float
    now: float


@dataclass(frozen=True, eq=False)
class Answer:
    """A design as the page shows it.

    Attributes:
        opened: its file.
        changes: of the address.
        data: of the file with the changes.
        groups: what may be typed.
        faults: why it is no pot; none if it is one.
        job: the piece, measured and checked; None if it is no pot.
        numbers: as `measure --json` has them; empty if it is no pot.
        was: the same of the file as it stands, where something was changed and it is a pot; else None.
        units: in which numbers are shown.
    """

    opened: Opened
    changes: Mapping[Place, Any]
    data: Mapping[str, Any]
    groups: tuple[Group, ...]
    faults: tuple[Fault, ...]
    job: Job | None
    numbers: Mapping[str, Any]
    was: Mapping[str, Any] | None
    units: Units

    @property
    def title(self) -> str:
        """Name of the piece."""
        said = self.data.get("title")
        return said if isinstance(said, str) and said.strip() else self.opened.name

    @property
    def text(self) -> TomlText:
        """The file with the changes, as a design is made of it."""
        return replace(self.opened.text, data=dict(self.data))

    @property
    def drawing(self) -> str:
        """The section with its sizes as SVG, ready to stand in a page; empty for no pot."""
        if self.job is None:
            return ""
        return svg_text(section_view(self.job.measures), STAMP).partition("?>\n")[2]

    @property
    def checks(self) -> tuple[Check, ...]:
        """Remarks, errors first."""
        return () if self.job is None else self.job.checks

    def value(self, key: str) -> str:
        """What stands in a field."""
        return shown_in(self.data, key)

    def remarks(self, key: str) -> list[tuple[str, str]]:
        """What is to be said beside a field or a table: level and words."""
        found = [("error", _without_place(fault)) for fault in self.faults if fault.field == key]
        return found + [(str(check.level), check.message) for check in self.checks if check.field == key]

    @property
    def beside(self) -> dict[str, list[tuple[str, str]]]:
        """All that is to be said beside fields and tables, by their keys."""
        keys = dict.fromkeys([fault.field for fault in self.faults] + [check.field for check in self.checks])
        return {key: self.remarks(key) for key in keys if key}

    @property
    def in_file(self) -> dict[str, str]:
        """What stands in each field of the file itself."""
        keys = [field.key for group in self.groups for field in group.fields]
        return {key: shown_in(self.opened.text.data, key) for key in keys}

    def pull(self, field: Field) -> Pull | None:
        """Between what a size may be pulled, by what the file has; None where it is no plain number there."""
        number = typed(field, shown_in(self.opened.text.data, field.key) or field.unless)
        if field.kind not in ("length", "number") or not isinstance(number, int | float) or number <= 0:
            return None
        now = typed(field, self.value(field.key))
        most = 2 * number
        step = next((step for step in _STEPS if most / step < _MOST_STEPS), _STEPS[-1])
        if isinstance(self.data.get("units"), str) and self.data["units"] == "in" and field.kind == "length":
            step = 1 / 16
        least = max(step, number / 2 - (number / 2) % step)
        return Pull(least, most, step, now if isinstance(now, int | float) else number)


def answered(folder: Folder, name: str, query: Sequence[tuple[str, str]], settings: Settings) -> Answer:
    """A design of the folder with the changes of an address.

    Raises:
        Fault: no such design, or its file cannot be read.
    """
    opened = folder.opened(name)
    units = _units(query, settings)
    changes = changes_in(query, opened.text.data)
    faults: tuple[Fault, ...] = ()
    data: Mapping[str, Any] = opened.text.data
    try:
        data = filled(opened.text.data, changes)
    except (LookupError, TypeError, AttributeError):
        faults = (Fault("the address changes what the design does not have", wanted="fields of this page"),)
    job, numbers, was = None, {}, None
    if not faults:
        job, faults = _job(folder, opened, data, settings)
    if job is not None:
        numbers = figures(job)
        if changes:
            before, _ = _job(folder, opened, opened.text.data, settings)
            was = None if before is None else figures(before)
    return Answer(opened, changes, data, groups_of(data), faults, job, numbers, was, units)


def _job(
    folder: Folder, opened: Opened, data: Mapping[str, Any], settings: Settings
) -> tuple[Job | None, tuple[Fault, ...]]:
    text = replace(opened.text, data=dict(data))
    try:
        folder.keeps_inside(text)
        return job_of(design_of(text), settings), ()
    except Faults as several:
        return None, tuple(folder.told(fault) for fault in several.faults)
    except Fault as fault:
        return None, (folder.told(fault),)


def _units(query: Sequence[tuple[str, str]], settings: Settings) -> Units:
    asked = dict(query).get(f"{SHOW}units", settings.units)
    return "in" if asked == "in" else "mm"


def _without_place(fault: Fault) -> str:
    return str(replace(fault, file=None, line=None, field=""))
