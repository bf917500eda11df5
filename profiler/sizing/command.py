"""What the command `size` does with its words: one target, one free size, the sized design written or printed."""

from __future__ import annotations

import os
import sys
from contextlib import suppress
from io import TextIOWrapper
from pathlib import Path

import typer

from ..check import Check, Level
from ..design.edited import edited
from ..design.model import Design, read_design
from ..faults import Fault, Faults
from ..job import job_of
from ..lengths import parse_length, shown
from ..piece import piece_of
from ..saving import replace_file
from ..settings import Settings
from .free import one_size, whole_form
from .said import changed, given
from .sized import Sized, sized
from .sizes import size_named
from .target import Target, of_ball, of_capacity, of_fill, of_fired_mass, of_nesting, of_stack

_MOST_KEPT = 1000


def run_size(
    path: Path,
    settings: Settings,
    *,
    capacity: float | None = None,
    ball: float | None = None,
    fill: float | None = None,
    fired_mass: float | None = None,
    stack: str | None = None,
    nests_in: Path | None = None,
    free: str | None = None,
    out: Path | None = None,
) -> None:
    """Size one design to one target.

    The design goes to `out`, or to stdout and nothing else there; what is said goes to stderr.

    Args:
        path: the design file.
        settings: her scales and cutters.
        capacity: brimful and fired, ml.
        ball: clay to weigh before throwing, before rounding, g.
        fill: to the fill line, fired, ml.
        fired_mass: of all parts, g.
        stack: "N:HEIGHT", the height a length in the design's unit or with its own; fired.
        nests_in: a design in whose well it stands.
        free: key of the size that may change; the whole form is scaled if None.
        out: file of the sized design; printed if None.

    Raises:
        Fault, Faults: words that cannot be used, or a target out of reach.
        Exit: code 1, where a check says error of what was written.
    """
    design = read_design(path)
    if out is not None and out.exists() and not out.is_file():
        raise Fault("not an ordinary file", str(out), "a file for the sized design", "--out")
    wanted: list[Target] = []
    if capacity is not None:
        wanted.append(of_capacity(capacity, settings))
    if fill is not None:
        wanted.append(of_fill(fill, settings))
    if ball is not None:
        wanted.append(of_ball(ball, settings))
    if fired_mass is not None:
        wanted.append(of_fired_mass(fired_mass, settings))
    if stack is not None:
        wanted.append(_of_stack(stack, design))
    if nests_in is not None:
        wanted.append(of_nesting(piece_of(read_design(nests_in)), settings))
    if len(wanted) != 1:
        found = " and ".join(target.option for target in wanted) or "nothing asked"
        options = "--capacity, --ball, --fill, --fired-mass, --stack, --nests-in"
        raise Fault("one thing at a time can be sized to", found, f"one of {options}")
    may_change = whole_form(design) if free is None else one_size(design, size_named(design, free))
    done = sized(design, _text_of(path), wanted[0], may_change, settings)
    said = [changed(may_change, done.value, design), given(wanted[0], done.amount, done.job.measures)]
    if out is not None:
        kept = _write(done, out)
        said += [] if kept is None else [f"What {out} held before is kept as {kept}."]
    else:
        if isinstance(sys.stdout, TextIOWrapper):  # whatever the terminal's letters, a design file is UTF-8
            sys.stdout.reconfigure(encoding="utf-8")
        sys.stdout.write(done.text)
    said += [f"{check.level}: {check.message}" for check in _remarks(done, settings)]
    print("\n".join(said), file=sys.stderr)  # noqa: T201 - the command's own words
    if done.job.stands:
        raise typer.Exit(1)


def _of_stack(words: str, design: Design) -> Target:
    number, _, height = words.partition(":")
    try:
        count = int(number)
        height_mm = parse_length(height.strip(), design.head.units)
    except ValueError:  # a fault is one
        count, height_mm = 0, 0.0
    if height_mm <= 0:
        wanted = 'how many, and how high together, as in "6:240" or "6:9 1/2 in"'
        raise Fault("not a stack", shown(words), wanted, "--stack")
    return of_stack(count, height_mm)


def _text_of(path: Path) -> str:
    """The design's text as it stands, the ends of its lines too; it was read and found good before."""
    try:
        return path.read_bytes().decode("utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        raise Fault("the file changed while it was read", str(error), "a file at rest", file=path) from error


def _remarks(done: Sized, settings: Settings) -> list[Check]:
    """Errors, and warnings that did not stand against the design before."""
    known: set[str] = set()
    with suppress(Fault, Faults):
        known = {check.id for check in job_of(done.before, settings).checks}
    return [
        check
        for check in done.job.checks
        if check.level is Level.ERROR or (check.level is Level.WARNING and check.id not in known)
    ]


def _write(done: Sized, out: Path) -> Path | None:
    """Write the sized design; returns where the file that stood there before is kept, if one did."""
    text = edited(done.text, _paths(done.before, out), done.before.path)
    kept = _kept(out, text)
    replace_file(out, text)
    return kept


def _paths(design: Design, out: Path) -> dict[tuple[str | int, ...], str]:
    """Paths in the file that have to be others to lead from another folder to the same clay."""
    here, there = design.path.parent.resolve(), out.parent.resolve()
    lid = design.head.lid
    named = {("clay",): design.head.clay, ("lid", "clay"): getattr(lid, "clay", None)}
    made: dict[tuple[str | int, ...], str] = {}
    for place, clay in named.items():
        if here != there and clay is not None and clay.endswith(".toml") and not Path(clay).is_absolute():
            body = (here / clay).resolve()
            try:
                made[place] = Path(os.path.relpath(body, there)).as_posix()
            except ValueError:  # on another drive
                made[place] = body.as_posix()
    return made


def _kept(out: Path, text: str) -> Path | None:
    """Put aside what stands there, if it is something else: nothing is lost by sizing."""
    try:
        if not out.exists():
            return None
        old = out.read_bytes()
        if old == text.encode():
            return None
        for number in range(1, _MOST_KEPT):
            aside = out.with_name(f"{out.name}.{number}")
            with suppress(FileExistsError), aside.open("xb") as file:
                file.write(old)
                file.flush()
                os.fsync(file.fileno())
                return aside
    except OSError as error:
        found = error.strerror or str(error)
        raise Fault("what stands there cannot be kept", found, "another file", "--out", out) from error
    raise Fault("too many files are kept beside it", f"{_MOST_KEPT}", "another file", "--out", out)
