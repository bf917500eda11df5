"""The files a command is given: designs read, anything else named."""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path

from ..faults import Fault, Faults
from .model import Design, design_of
from .toml_text import read_toml

_MAX_STEM_BYTES = 100
_FORBIDDEN = set('<>:"/\\|?*') | {chr(code) for code in (*range(32), *range(0xD800, 0xE000))}
"""Of Windows, and the stand-ins for bytes of a name that are not UTF-8."""


@dataclass(frozen=True)
class Gathered:
    """What was found.

    Attributes:
        designs: in the order they were named, folders in order of name.
        skipped: files of a folder that hold no design.
    """

    designs: tuple[Design, ...]
    skipped: tuple[Path, ...]


def gathered(paths: list[Path]) -> Gathered:
    """Read every design in files and folders; all are read before the first fault is told.

    Raises:
        Faults: whatever is wrong with any of them.
    """
    faults: list[Fault] = []
    designs: list[Design] = []
    skipped: list[Path] = []
    for path in paths:
        try:
            inside = sorted(p for p in path.iterdir() if p.is_file()) if path.is_dir() else None
        except OSError as error:
            faults.append(Fault("the folder cannot be read", error.strerror or "", "a folder of designs", file=path))
            continue
        for file in [path] if inside is None else inside:
            try:
                design = _read(file, required=inside is None)
            except Faults as several:
                faults += several.faults
            except Fault as fault:
                faults.append(fault)
            else:
                if design is None:
                    skipped.append(file)
                else:
                    designs.append(design)
    faults += _clashes(designs)
    if not designs and not faults:
        faults.append(Fault("no design here", ", ".join(map(str, paths)), "a TOML file with a [form] table"))
    if faults:
        raise Faults(faults)
    return Gathered(tuple(designs), tuple(skipped))


def _read(path: Path, *, required: bool) -> Design | None:
    if not required and path.suffix != ".toml":
        return None
    text = read_toml(path)
    if "form" in text.data:
        return design_of(text)
    if not required:
        return None
    held = ", ".join(f"[{key}]" for key in list(text.data)[:6]) or "nothing"
    raise Fault("not a design", held, "a [form] table", file=path, line=1)


def _clashes(designs: list[Design]) -> list[Fault]:
    """Designs whose results would land in one folder, or in one with an unusable name."""
    faults = []
    seen: dict[str, Path] = {}
    for design in designs:
        stem = design.path.stem
        if len(os.fsencode(stem)) > _MAX_STEM_BYTES or stem.startswith(".") or set(stem) & _FORBIDDEN:
            faults.append(
                Fault(
                    "a file name that cannot name a folder",
                    repr(stem[:60]),
                    "up to 100 plain characters",
                    file=design.path,
                )
            )
        other = seen.setdefault(stem.casefold(), design.path)
        if other is not design.path:
            faults.append(
                Fault(
                    "two designs have one name, so their results would land in one folder",
                    f"{stem!r}, also in {other}",
                    "another file name for one of them",
                    file=design.path,
                )
            )
    return faults
