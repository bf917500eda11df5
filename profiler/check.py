"""One remark on a piece: a note, a warning, or an error that stops its templates."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Level(StrEnum):
    """How much a check matters."""

    NOTE = "note"
    WARNING = "warning"
    ERROR = "error"


@dataclass(frozen=True)
class Check:
    """One remark.

    Attributes:
        id: what was checked.
        level: error stops the templates.
        message: in words, with the number that would cure it.
        field: the design file's key that cures it, or empty.
    """

    id: str
    level: Level
    message: str
    field: str = ""
