"""What the command `measure` does with its words: designs and sets read, numbers told; nothing is written."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from itertools import chain
from pathlib import Path
from textwrap import indent
from typing import Any

import typer

from .design.gather import Gathered, gathered
from .faults import each
from .job import Job, agreed, figures, job_of, wanted_solids
from .many import MANY, all_said, said
from .settings import Settings


def run_measure(paths: list[Path], using: Settings, *, as_json: bool = False, solid: bool = False) -> None:
    """Print every number of the pieces and sets in files and folders.

    Args:
        paths: design files, set files, or folders of them.
        using: her settings.
        as_json: full precision, for other programs.
        solid: turn the solids too and compare.

    Raises:
        Fault, Faults: what cannot be used.
        Exit: code 1, where a check says error or a solid disagrees.
    """
    found = gathered(paths)
    if found.sets or len(found.designs) < MANY or solid:
        jobs = each(lambda design: job_of(design, using), found.designs)
        numbers = [figures(job) for job in jobs]
        if solid:
            _compare(jobs, numbers)
        stands = any(job.stands for job in jobs)
        if found.sets:
            _tell_sets(found, jobs, numbers, using, as_json=as_json)
        else:
            pieces = [said(job, figure, as_json=as_json) for job, figure in zip(jobs, numbers, strict=True)]
            _tell([piece.shown for piece in pieces], as_json=as_json)
    else:
        pieces = all_said(found.designs, using, as_json=as_json)
        _tell([piece.shown for piece in pieces], as_json=as_json)
        stands = any(piece.stands for piece in pieces)
    for path in found.skipped:
        print(f"skipped, no design: {path}", file=sys.stderr)  # noqa: T201
    if stands:
        raise typer.Exit(1)


def _compare(jobs: Sequence[Job], numbers: Sequence[dict[str, Any]]) -> None:
    """The modeller's figures of each piece, put beside its numbers."""
    from .solid import Modeller, SolidError

    solids = [wanted_solids(job) for job in jobs]
    requests = [one.request for some in solids for one in some]
    try:
        with Modeller.start(requests) as modeller:
            answers = modeller.result(60.0 + 10.0 * len(requests))
        for some, figure in zip(solids, numbers, strict=True):
            figure["solid"] = agreed(some, answers)
    except SolidError as trouble:
        print(trouble, file=sys.stderr)  # noqa: T201 - the command's own output
        raise typer.Exit(1) from trouble


def _tell(shown: Sequence[Any], *, as_json: bool) -> None:
    """Print what there is of each piece; of several as JSON, one list."""
    if not as_json:
        from .report import console

        screen = console()
        for one in chain.from_iterable(shown):
            screen.print(one)
    elif len(shown) == 1:
        print(shown[0])  # noqa: T201 - the command's own output
    else:
        print('{\n "pieces": [')  # noqa: T201
        print(",\n".join(indent(one, "  ") for one in shown))  # noqa: T201
        print(" ]\n}")  # noqa: T201


def _tell_sets(
    found: Gathered, jobs: Sequence[Job], numbers: Sequence[dict[str, Any]], using: Settings, *, as_json: bool
) -> None:
    """Print the pieces, each once, and then the sets; as JSON one set by itself where every piece is of it."""
    import json

    from .report import console, told, told_of_solids
    from .sets.measured_set import measured_set
    from .sets.report import set_told
    from .sets.set_json import set_json

    of = dict(zip(found.designs, jobs, strict=True))
    sets = each(lambda pots: measured_set(pots, of, using), found.sets)
    if as_json:
        figure_of = dict(zip(found.designs, numbers, strict=True))
        made = [set_json(measured, [figure_of[design] for design in measured.pots.designs]) for measured in sets]
        alone = len(sets) == 1 and len(sets[0].pieces) == len(jobs)
        whole = made[0] if alone else {"pieces": numbers, "sets": made}
        print(json.dumps(whole, indent=1, allow_nan=False))  # noqa: T201 - the command's own output
        return
    screen = console()
    for job, figure in zip(jobs, numbers, strict=True):
        for one in (told(job.measures, job.checks), *told_of_solids(figure)):
            screen.print(one)
    for measured in sets:
        screen.print(set_told(measured))
