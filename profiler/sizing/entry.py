"""Sizes as they stand in a design file: where, how large, and in the file's own unit."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ..design.edited import Place
from ..lengths import MM_PER_INCH

_MORE_FOR_INCHES = 2
"""An inch needs two more digits than a millimetre to say as much."""


@dataclass(frozen=True)
class Entry:
    """One number to be written.

    Attributes:
        place: where.
        value: mm of the sized state for a length, else the plain number.
        length: whether it is a length.
    """

    place: Place
    value: float
    length: bool = True

    def number(self, units: str, digits: int | None = None) -> float:
        """As the file has it: in its unit, with so many digits of a millimetre (None: all)."""
        inches = self.length and units == "in"
        number = self.value / MM_PER_INCH if inches else self.value
        if digits is not None:
            number = round(number, digits + (_MORE_FOR_INCHES if inches else 0))
        return int(number) if number == int(number) else number


Numbers = Mapping[Place, float]
"""What stands in the file, by its place."""


def numbers(entries: Sequence[Entry], units: str, digits: int | None = None) -> dict[Place, float]:
    """All entries as the file has them."""
    return {entry.place: entry.number(units, digits) for entry in entries}
