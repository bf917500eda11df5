"""What the command `bars` does with its words: bars read, what they say told, the body file written."""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path

from ..faults import Fault
from ..lengths import shown
from ..report import console
from ..saving import new_file
from .bar_file import read_bars
from .body_text import Base, body_text
from .clay_found import clay_found
from .said import as_json, told

MAX_NAME = 200
_BASES: dict[str, Base] = {"plastic": "plastic", "dry": "dry"}


def run_bars(
    path: Path,
    *,
    out: Path | None = None,
    name: str | None = None,
    base: str = "plastic",
    leave_out: Sequence[str] = (),
    json_wanted: bool = False,
) -> None:
    """Print what the bars of a file say, and write the body file if one is named.

    Args:
        path: the CSV file.
        out: the body file; it must not be there yet.
        name: of the body; the file's name unless said.
        base: length the body file gives bisque and fired on, "plastic" or "dry".
        leave_out: names of bars that do not count.
        json_wanted: full precision, for other programs.

    Raises:
        Fault, Faults: bars or words that cannot be used; nothing is written.
    """
    if base not in _BASES:
        raise Fault("no length to give shrinkage on", shown(base), "plastic or dry", "--base")
    called = (name if name is not None else path.stem).strip()
    if not called or len(called) > MAX_NAME or not called.isprintable():
        raise Fault("no name for a body", shown(called), f"1 to {MAX_NAME} plain characters", "--name")
    if out is not None and out.suffix != ".toml":
        raise Fault("no name of a body file", shown(out.name), "a name that ends in .toml", "--out")
    found = clay_found(read_bars(path), leave_out)
    if out is not None:
        new_file(out, body_text(found, called, _BASES[base], out))
    if json_wanted:
        print(json.dumps(as_json(found), indent=1, ensure_ascii=False, allow_nan=False))  # noqa: T201 - its output
        return
    screen = console()
    screen.print(told(found, called))
    if out is not None:
        screen.print(f"{out}: put its path after `clay` in a design", soft_wrap=True)
