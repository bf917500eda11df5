"""The one error of the project: what is wrong, where it stands, what was found, what is wanted."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TypeVar

Given = TypeVar("Given")
Made = TypeVar("Made")


@dataclass(eq=False)
class Fault(ValueError):
    """Something in the potter's input that cannot be used.

    Attributes:
        what: the trouble in one sentence.
        found: what stands there, as written, or empty.
        wanted: what would do instead, or empty.
        field: dotted key, such as `foot_ring.outer_diameter`, or empty.
        file: the file it stands in.
        line: its line there, from 1.
    """

    what: str
    found: str = ""
    wanted: str = ""
    field: str = ""
    file: Path | None = None
    line: int | None = None

    def placed(self, file: Path, line: int | None) -> Fault:
        """The same fault with its place filled in where it had none."""
        return replace(self, file=self.file or file, line=self.line or line)

    def __reduce__(self) -> tuple[type[Fault], tuple[object, ...]]:
        """How it passes to another process: an exception as such keeps only what was not given by name."""
        return Fault, (self.what, self.found, self.wanted, self.field, self.file, self.line)

    def __str__(self) -> str:
        """One line: `file:line: field: what (found …; wanted …)`."""
        place = ":".join(str(p) for p in (self.file, self.line) if p is not None)
        head = ": ".join(p for p in (place, self.field, self.what) if p)
        tail = "; ".join(f"{k} {v}" for k, v in (("found", self.found), ("wanted", self.wanted)) if v)
        return f"{head} ({tail})" if tail else head


class Faults(ValueError):
    """Several faults found in one go, so that she mends a file once."""

    def __init__(self, faults: list[Fault]) -> None:
        super().__init__("\n".join(str(f) for f in faults))
        self.faults = faults


def each(make: Callable[[Given], Made], of: Iterable[Given]) -> list[Made]:
    """What is made of every one; all are tried before the first fault is told.

    Raises:
        Faults: whatever any of them raised.
    """
    made: list[Made] = []
    faults: list[Fault] = []
    for given in of:
        try:
            made.append(make(given))
        except Faults as several:
            faults += several.faults
        except Fault as fault:
            faults.append(fault)
    if faults:
        raise Faults(faults)
    return made
