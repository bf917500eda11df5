"""The pots of a record: entries of one name put together."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from .entry import Entry


@dataclass(frozen=True)
class Pot:
    """One pot, as far as it was measured.

    Attributes:
        name: hers or a number.
        made: what was found, by the key of its quantity; of several readings of one thing their mean. g, mm, ml.
        planned: what the design said when that was noted, also of the sizes to throw that go with it.
        digests: of the designs it was noted under.
    """

    name: str
    made: dict[str, float]
    planned: dict[str, float]
    digests: frozenset[str]


def pots_of(entries: Iterable[Entry]) -> tuple[Pot, ...]:
    """The pots, in the order they were first noted."""
    gathered: dict[str, list[Entry]] = {}
    for entry in entries:
        gathered.setdefault(entry.pot, []).append(entry)
    return tuple(_pot(name, of) for name, of in gathered.items())


def _pot(name: str, entries: list[Entry]) -> Pot:
    readings: dict[str, list[float]] = {}
    planned: dict[str, float] = {}
    for entry in entries:
        planned |= entry.planned
        for key, value in entry.values.items():
            readings.setdefault(key, []).append(value)
    made = {key: sum(found) / len(found) for key, found in readings.items()}
    return Pot(name, made, planned, frozenset(entry.digest for entry in entries))


def next_number(entries: Iterable[Entry]) -> str:
    """The name of a pot that was given none: one more than the highest number so far."""
    numbers = [int(entry.pot) for entry in entries if entry.pot.isdecimal() and len(entry.pot) < 10]
    return str(max(numbers, default=0) + 1)
