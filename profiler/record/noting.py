"""From what she says of some pots to the lines that go into the record."""

from __future__ import annotations

import uuid
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from ..clay.states import State
from ..faults import Fault, Faults
from .entry import Entry, Line, Strike
from .ledger import Record, append
from .plan import Plan
from .pots import next_number, pots_of
from .quantity import quantity_of
from .slips import impossible, questions

SHORTEST_ID = 4
"""Letters of an id that are enough to strike by, if no other begins like it."""


@dataclass(frozen=True)
class Said:
    """What she says of one pot.

    Attributes:
        values: by the key of their quantity.
        date: year-month-day.
        pot: None for a new one.
        id: None for a new one.
        line: of the table it came from.
    """

    values: dict[str, float]
    date: str
    pot: str | None = None
    id: str | None = None
    line: int | None = None


@dataclass
class Noted:
    """What became of it.

    Attributes:
        entries: new in the record.
        there: said again; they were in the record already.
        questions: about the new ones: (entry, what looks odd).
        again: figures of the new ones that were others before: (entry, key, the entry before).
        strangers: entries of a pot she named that is new while there are others: (entry, those).
        torn: bytes of a torn line that were set aside.
    """

    entries: list[Entry] = field(default_factory=list)
    there: list[Entry] = field(default_factory=list)
    questions: list[tuple[Entry, str]] = field(default_factory=list)
    again: list[tuple[Entry, str, Entry]] = field(default_factory=list)
    strangers: list[tuple[Entry, tuple[str, ...]]] = field(default_factory=list)
    torn: int = 0


def note(path: Path, said: Sequence[Said], plan: Plan, digest: str, *, table: Path | None = None) -> Noted:
    """Add what she says to a record: all of it or nothing.

    Args:
        path: the record.
        said: of each pot.
        plan: of the piece.
        digest: of its design.
        table: the file it came from, for messages.

    Raises:
        Fault, Faults: it cannot be, or the record cannot be read or written; nothing is added then.
    """
    noted = Noted()

    def lines(record: Record) -> Sequence[Line]:
        nonlocal noted
        noted = _noted(record, said, plan, digest, table)
        return noted.entries

    record, _ = append(path, lines)
    noted.torn = len(record.torn) if noted.entries else 0
    return noted


def _noted(record: Record, said: Sequence[Said], plan: Plan, digest: str, table: Path | None) -> Noted:
    noted, faults = Noted(), []
    known = {entry.id: entry for entry in record.entries}
    standing = list(record.standing)
    of_pot: dict[str, list[Entry]] = {}
    for entry in standing:
        of_pot.setdefault(entry.pot, []).append(entry)
    for one in said:
        entry = _entry(one, standing, plan, digest)
        old = known.get(entry.id)
        if old is not None:
            again = replace(one, pot=one.pot or old.pot)
            if (again.pot, again.values) == (old.pot, old.values):
                noted.there.append(old)
            else:
                what = "another entry has this id already"
                faults.append(Fault(what, entry.id, "an id of its own", "--id", table, one.line))
            continue
        before = next((pot.made for pot in pots_of(of_pot.get(entry.pot, ()))), {})
        made = {**before, **entry.values}
        faults += [replace(fault, file=table, line=one.line) for fault in impossible(entry.pot, made)]
        noted.entries.append(entry)
        noted.questions += [(entry, question) for question in questions(entry.values, before, plan)]
        noted.again += [
            (entry, key, earlier)
            for earlier in of_pot.get(entry.pot, ())
            for key in entry.values
            if key in earlier.values and earlier.values[key] != entry.values[key]
        ]
        if one.pot is not None and one.line is None and of_pot and entry.pot not in of_pot:
            noted.strangers.append((entry, tuple(of_pot)))
        known[entry.id] = entry
        standing.append(entry)
        of_pot.setdefault(entry.pot, []).append(entry)
    if faults:
        raise Faults(faults)
    return noted


def _entry(said: Said, standing: Sequence[Entry], plan: Plan, digest: str) -> Entry:
    return Entry(
        id=said.id or uuid.uuid4().hex,
        date=said.date,
        pot=said.pot or next_number(standing),
        digest=digest,
        values=said.values,
        planned={key: plan[key].value for key in [*said.values, *_thrown_at(said.values, plan)]},
    )


def _thrown_at(values: dict[str, float], plan: Plan) -> list[str]:
    """Keys of the sizes as thrown that belong to those noted: what the pot was to be thrown at is kept with it."""
    wet = (replace(quantity_of(key), state=State.WET).key for key in values if quantity_of(key).state is not None)
    return [key for key in wet if key in plan and key not in values]


def strike(path: Path, wanted: str, date: str) -> tuple[Entry, bool]:
    """Take an entry back by a line that says so; nothing is erased.

    Args:
        path: the record.
        wanted: the entry's id, or its first letters if no other begins so.
        date: of today.

    Returns:
        The entry, and whether it stood until now.

    Raises:
        Fault, Faults: no such entry, or the record cannot be read or written.
    """
    struck: list[tuple[Entry, bool]] = []

    def lines(record: Record) -> Sequence[Line]:
        entry = _found(record, wanted)
        stood = entry.id not in record.struck
        struck.append((entry, stood))
        return [Strike(id=uuid.uuid4().hex, date=date, strike=entry.id)] if stood else []

    append(path, lines)
    return struck[-1]


def _found(record: Record, wanted: str) -> Entry:
    exact = [entry for entry in record.entries if entry.id == wanted]
    near = exact or [e for e in record.entries if len(wanted) >= SHORTEST_ID and e.id.startswith(wanted)]
    if len(near) == 1:
        return near[0]
    ids = ", ".join(f"{entry.id[:12]} (pot {entry.pot})" for entry in (near or record.entries)[-5:])
    what = "several entries begin so" if near else "no such entry"
    raise Fault(what, repr(wanted[:64]), ids or "nothing was noted yet", "--strike", record.path)
