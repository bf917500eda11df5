"""The files a command is given: designs and sets read, anything else named."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from ..faults import Fault, Faults
from .model import Design, design_of
from .toml_text import read_toml

if TYPE_CHECKING:  # a set's file brings the kiln along, which a design alone need not wait for
    from ..sets.set_file import PotSet, SetFile

_MAX_STEM_BYTES = 100
_FORBIDDEN = set('<>:"/\\|?*') | {chr(code) for code in (*range(32), *range(0xD800, 0xE000))}
"""Of Windows, and the stand-ins for bytes of a name that are not UTF-8."""


@dataclass(frozen=True)
class Gathered:
    """What was found.

    Attributes:
        designs: each once: those named, folders in order of name; then those that only a set names.
        sets: in the order they were named.
        skipped: files of a folder that hold neither design nor set nor clay.
    """

    designs: tuple[Design, ...]
    sets: tuple[PotSet, ...]
    skipped: tuple[Path, ...]


def gathered(paths: list[Path]) -> Gathered:
    """Read every design and set in files and folders; all are read before the first fault is told.

    Raises:
        Faults: whatever is wrong with any of them.
    """
    reader = _Reader()
    for path in paths:
        try:
            inside = sorted(p for p in path.iterdir() if p.is_file()) if path.is_dir() else None
        except OSError as error:
            found = error.strerror or ""
            reader.faults.append(Fault("the folder cannot be read", found, "a folder of designs", file=path))
            continue
        for file in [path] if inside is None else inside:
            reader.read(file, required=inside is None)
    sets = tuple(made for file in reader.sets if (made := reader.with_designs(file)) is not None)
    faults = [*reader.faults, *_clashes(reader.designs, reader.sets)]
    if not reader.designs and not faults:
        wanted = "a TOML file with a [form] table, or a set with [[piece]]"
        faults.append(Fault("no design here", ", ".join(map(str, paths)), wanted))
    if faults:
        raise Faults(faults)
    return Gathered(tuple(reader.designs), sets, tuple(reader.skipped))


class _Reader:
    """Reads one file after the other and keeps what is wrong with any of them."""

    def __init__(self) -> None:
        self.designs: list[Design] = []
        self.sets: list[SetFile] = []
        self.skipped: list[Path] = []
        self.faults: list[Fault] = []
        self._known: dict[Path, Design] = {}
        self._bad: set[Path] = set()  # their faults are told already

    def read(self, path: Path, *, required: bool) -> None:
        """A file that was named, or one of a folder, which may be something else."""
        if not required and path.suffix != ".toml":
            self.skipped.append(path)
            return
        with self._faults_of(path):
            text = read_toml(path)
            if "form" in text.data and "piece" in text.data:
                wanted = "one of the two, and a file for the other"
                raise text.fault(Fault("a design and a set in one file", "[form] and [[piece]]", wanted, "piece"))
            if "form" in text.data:
                self._keep(design_of(text))
            elif "piece" in text.data:
                from ..sets.set_file import set_of

                self.sets.append(set_of(text))
            elif required:
                held = ", ".join(f"[{key}]" for key in list(text.data)[:6]) or "nothing"
                wanted = "a [form] table, or the [[piece]] of a set"
                raise Fault("neither a design nor a set", held, wanted, file=path, line=1)
            elif "shrinkage" not in text.data:
                self.skipped.append(path)

    def with_designs(self, file: SetFile) -> PotSet | None:
        """A set with its designs; None where one of them cannot be had."""
        from ..sets.set_file import PotSet

        designs: list[Design] = []
        lines: dict[Path, int] = {}
        for number in range(len(file.head.piece)):
            with self._faults_of(file.path):
                path = file.design_path(number)
                first = lines.setdefault(_place(path), number)
                if first != number:
                    raise file.twice(number, first)
                design = self._design(file, number, path)
                if design is not None:
                    designs.append(design)
        return PotSet(file, tuple(designs)) if len(designs) == len(file.head.piece) else None

    def _design(self, file: SetFile, number: int, path: Path) -> Design | None:
        """The design a line names, read unless it is known; None where what is wrong with it is told."""
        place = _place(path)
        if place not in self._known and place not in self._bad:
            with self._faults_of(path):
                text = read_toml(path)
                if "form" not in text.data:
                    raise file.fault(number, Fault("not a design", str(path), "a file with a [form] table"))
                self._keep(design_of(text))
        return self._known.get(place)

    def _keep(self, design: Design) -> None:
        self.designs.append(design)
        self._known[_place(design.path)] = design

    @contextmanager
    def _faults_of(self, path: Path) -> Iterator[None]:
        """Keeps the faults of what is done within, and marks the file."""
        try:
            yield
        except (Fault, Faults) as trouble:
            self.faults += trouble.faults if isinstance(trouble, Faults) else [trouble]
            self._bad.add(_place(path))


def _place(path: Path) -> Path:
    """One name for a file, however the way to it is written."""
    return path.parent.resolve() / path.name


def _clashes(designs: Sequence[Design], sets: Sequence[SetFile]) -> list[Fault]:
    """Designs and sets whose results would land in one folder, or in one with an unusable name."""
    faults = []
    seen: dict[str, tuple[str, Path]] = {}
    for what, path in [*(("design", design.path) for design in designs), *(("set", file.path) for file in sets)]:
        stem = path.stem
        if len(os.fsencode(stem)) > _MAX_STEM_BYTES or stem.startswith(".") or set(stem) & _FORBIDDEN:
            found, wanted = repr(stem[:60]), "up to 100 plain characters"
            faults.append(Fault("a file name that cannot name a folder", found, wanted, file=path))
        kind, other = seen.setdefault(stem.casefold(), (what, path))
        if other is not path:
            both = f"two {what}s have" if kind == what else f"a {kind} and a {what} have"
            faults.append(
                Fault(
                    f"{both} one name, so their results would land in one folder",
                    f"{stem!r}, also in {other}",
                    "another file name for one of them",
                    file=path,
                )
            )
    return faults
