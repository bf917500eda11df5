"""The record's file: lines are only ever added, each whole or set aside.

Whoever writes holds the file alone, adds all lines by one write, and has them flushed to the disk before it says that
they are noted. A kill may leave a piece of a line at the end and nothing else; whoever writes next moves it to a file
beside the record.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from ..faults import Fault, Faults
from .entry import Entry, Line, Strike, line_of, text_of
from .locked import locked

MAX_BYTES = 10_000_000
"""Some 30,000 entries; a studio's lifetime of one design."""
_MOST_FAULTS = 20
_BINARY = getattr(os, "O_BINARY", 0)


@dataclass(frozen=True)
class Record:
    """What a record holds.

    Attributes:
        path: its file.
        entries: as they were noted, struck ones too.
        strikes: what was taken back.
        torn: what is left of a last line that was never written whole; empty if there is none.
    """

    path: Path
    entries: tuple[Entry, ...] = ()
    strikes: tuple[Strike, ...] = ()
    torn: bytes = b""

    @property
    def struck(self) -> frozenset[str]:
        """Ids of the entries that were taken back."""
        return frozenset(strike.strike for strike in self.strikes)

    @property
    def standing(self) -> tuple[Entry, ...]:
        """The entries that count."""
        struck = self.struck
        return tuple(entry for entry in self.entries if entry.id not in struck)


def record_place(design: Path) -> Path:
    """Where the record of a design stands: beside it."""
    return design.with_name(f"{design.stem}.record.jsonl")


def torn_place(record: Path) -> Path:
    """Where torn lines are kept: beside the record."""
    return record.with_name(f"{record.name}.torn")


def read_record(path: Path) -> Record:
    """All that was noted; a record that is not there is empty. Changes nothing.

    Raises:
        Fault, Faults: it cannot be read.
    """
    if not path.exists():
        return Record(path)
    with _opened(path, writing=False) as handle:
        return _parsed(_content(handle, path), path)[0]


def append(path: Path, lines: Callable[[Record], Sequence[Line]]) -> tuple[Record, Sequence[Line]]:
    """Add lines to a record, made if it is not there; when this returns, they are on the disk.

    Args:
        path: the record's file.
        lines: says what is to be added, from what is there already; nobody else writes meanwhile. If it raises,
            nothing is added.

    Returns:
        The record as it was, and the lines.

    Raises:
        Fault, Faults: it cannot be read or written; nothing is added then.
    """
    if not path.exists() and not lines(Record(path)):  # a fault makes no empty file
        return Record(path), ()
    with _opened(path, writing=True) as handle:
        raw = _content(handle, path)
        record, whole = _parsed(raw, path)
        made = lines(record)
        if made:
            _add(handle, path, raw, whole, "".join(text_of(line) for line in made).encode())
    return record, made


@contextmanager
def _opened(path: Path, *, writing: bool) -> Iterator[int]:
    """The record's file, held; whatever the disk refuses comes out as a fault."""
    what = f"the record cannot be {'written' if writing else 'read'}"
    if path.exists() and not path.is_file():  # opening a pipe could wait for ever
        raise Fault("not an ordinary file", wanted="a record", file=path)
    way = os.O_RDWR | os.O_CREAT | os.O_APPEND if writing else os.O_RDONLY
    try:
        while True:
            handle = os.open(path, way | _BINARY, 0o644)
            try:
                with locked(handle, path, writing=writing):
                    # an editor may have put another file in its place while we waited
                    if path.exists() and os.path.samestat(os.fstat(handle), path.stat()):
                        yield handle
                        return
            finally:
                os.close(handle)
    except OSError as error:
        raise Fault(what, error.strerror or "", "a place to write" if writing else "", file=path) from error


def _add(handle: int, path: Path, raw: bytes, whole: int, added: bytes) -> None:
    """Set what is torn aside, then write the lines at once; a write that comes up short is undone."""
    if whole < len(raw):
        _set_aside(path, raw[whole:])
        os.ftruncate(handle, whole)
    if whole and raw[whole - 1 : whole] != b"\n":
        added = b"\n" + added
    if whole + len(added) > MAX_BYTES:
        wanted = f"at most {MAX_BYTES // 1_000_000} MB; give it another name and begin anew"
        raise Fault("the record is full", wanted=wanted, file=path)
    try:
        written = os.write(handle, added)
        if written < len(added):
            raise OSError(0, "the disk is full")
        os.fsync(handle)
    except OSError:
        os.ftruncate(handle, whole)
        raise
    if not raw:
        _flush_folder(path)


def _set_aside(path: Path, torn: bytes) -> None:
    """Keep a torn line beside the record; once, also if the last try was killed on the way."""
    with torn_place(path).open("a+b") as aside:
        aside.seek(0)
        if not aside.read().endswith(torn + b"\n"):
            aside.write(torn + b"\n")
            aside.flush()
            os.fsync(aside.fileno())


def _flush_folder(path: Path) -> None:
    """A new file's name is on the disk only when its folder is; Windows does that by itself."""
    if os.name != "nt":
        folder = os.open(path.resolve().parent, os.O_RDONLY)
        try:
            os.fsync(folder)
        finally:
            os.close(folder)


def _content(handle: int, path: Path) -> bytes:
    if os.fstat(handle).st_size > MAX_BYTES:
        raise Fault("the record is too large", wanted=f"at most {MAX_BYTES // 1_000_000} MB", file=path)
    os.lseek(handle, 0, os.SEEK_SET)
    pieces = []
    while piece := os.read(handle, 1 << 20):
        pieces.append(piece)
    return b"".join(pieces)


def _parsed(raw: bytes, path: Path) -> tuple[Record, int]:
    """The record in a file's bytes, and how many of them are whole lines; the rest is torn.

    Raises:
        Faults: a line within it cannot be read.
    """
    rows = [row + b"\n" for row in raw.split(b"\n")]
    rows[-1] = rows[-1][:-1]
    if not rows[-1]:
        rows.pop()
    entries: dict[str, Entry] = {}
    strikes: dict[str, Strike] = {}
    faults: list[Fault] = []
    whole = 0
    for number, row in enumerate(rows, 1):
        try:
            line = line_of(row.decode()) if row.strip() else None
        except Fault as fault:
            faults.append(fault.placed(path, number))
        except ValueError:  # not text, or not JSON
            if number == len(rows):
                break
            faults.append(Fault("the line cannot be read", wanted="a line of JSON", file=path, line=number))
        else:
            if isinstance(line, Entry) and not entries.setdefault(line.id, line).says_as(line):
                faults.append(Fault("two entries have one id", line.id, "an id for each", file=path, line=number))
            elif isinstance(line, Strike):
                strikes.setdefault(line.strike, line)
        whole += len(row)
    if faults:
        raise Faults(faults[:_MOST_FAULTS])
    return Record(path, tuple(entries.values()), tuple(strikes.values()), raw[whole:]), whole
