"""A set file: which designs, how many of each, and how many spares are thrown with them."""

from __future__ import annotations

import hashlib
import math
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Annotated

from pydantic import Field, ValidationError

from ..design.explained import faults_of
from ..design.model import Design
from ..design.toml_text import TomlText
from ..faults import Fault
from ..forms.sizes import Table
from ..kiln.table import KilnTable

SPARES_PERCENT = 10.0
"""Thrown over and above the count: some crack, warp or stick (common practice, no source)."""

Spares = Annotated[float, Field(ge=0, le=300, allow_inf_nan=False)]


class PieceTable(Table):
    """One design of the set."""

    design: Annotated[str, Field(min_length=1, description="Its file; the path is taken from the set's file.")]
    count: Annotated[int, Field(strict=True, ge=1, le=2000, description="How many are wanted.")]
    spares: Spares | None = Field(None, description="Per cent thrown over and above; the set's unless said.")
    glaze_firing: Annotated[str, Field(max_length=60)] = Field(
        "", description="What you call its glaze firing; pieces of one name go into the kiln together."
    )


class SetTable(Table):
    """A set file."""

    title: Annotated[str, Field(min_length=1, max_length=200)] | None = Field(
        None, description="Name of the set; the file's name unless said."
    )
    spares: Spares = Field(SPARES_PERCENT, description="Per cent thrown over and above the count, rounded up.")
    piece: Annotated[tuple[PieceTable, ...], Field(min_length=1, description="What is in it, one table a design.")]
    kiln: KilnTable | None = Field(None, description="The kiln it is fired in.")


@dataclass(frozen=True, eq=False)
class SetFile:
    """A set file that was read; its designs not yet.

    Attributes:
        path: where it stands.
        text: its text with line numbers.
        head: the validated file.
    """

    path: Path
    text: TomlText
    head: SetTable

    def design_path(self, number: int) -> Path:
        """Where the design of a line stands.

        Raises:
            Fault: there is no such file, with file, line and field.
        """
        design = self.head.piece[number].design
        path = self.path.parent / design
        if "\0" in design or not path.exists():
            wanted = "a design file, its path taken from the set's"
            raise self.fault(number, Fault("no such design", str(path), wanted))
        return path

    def fault(self, number: int, fault: Fault) -> Fault:
        """A fault of the design a line names, told at that line."""
        return self.text.fault(replace(fault, field=f"piece.{number}.design"))

    def twice(self, number: int, first: int) -> Fault:
        """The fault of a design that an earlier line names too."""
        line = self.text.line_of(["piece", first, "design"])
        found = f"{self.head.piece[number].design!r}, also on line {line}"
        return self.fault(number, Fault("a design stands twice in the set", found, "one line with one count"))


@dataclass(frozen=True, eq=False)
class PotSet:
    """A set with its designs.

    Attributes:
        file: as it was read.
        designs: one for each `[[piece]]`, in their order.
    """

    file: SetFile
    designs: tuple[Design, ...]

    @property
    def title(self) -> str:
        """Name of the set."""
        return self.file.head.title or self.stem

    @property
    def stem(self) -> str:
        """Name of its folder."""
        return self.file.path.stem

    @property
    def digest(self) -> str:
        """Eight hex digits that change when the set, a design or a body changes."""
        whole = " ".join([self.file.head.model_dump_json(), *(design.digest for design in self.designs)])
        return hashlib.sha256(whole.encode()).hexdigest()[:8]

    @property
    def kiln(self) -> KilnTable | None:
        """What it is fired in, if the file says."""
        return self.file.head.kiln

    @property
    def glaze_firings(self) -> tuple[str, ...]:
        """Which glaze firing each line goes into."""
        return tuple(piece.glaze_firing for piece in self.file.head.piece)

    def spares_percent(self, number: int) -> float:
        """Spares of a line, its own or the set's."""
        own = self.file.head.piece[number].spares
        return self.file.head.spares if own is None else own


def set_of(text: TomlText) -> SetFile:
    """The set file in a text already read.

    Raises:
        Faults: it cannot be used; every fault carries file, line and field.
    """
    try:
        return SetFile(text.path, text, SetTable.model_validate(text.data, context={"units": "mm"}))
    except ValidationError as error:
        raise faults_of(error, text, SetTable) from error


def to_throw(count: int, spares_percent: float) -> int:
    """How many are thrown: the count and its spares, a started one whole.

    >>> to_throw(12, 10), to_throw(10, 10), to_throw(1, 0)
    (14, 11, 1)
    """
    return math.ceil(count * (1 + spares_percent / 100) - 1e-9)
