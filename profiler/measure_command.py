"""What the command `measure` does with its words: designs and sets read, numbers told; nothing is written."""

from __future__ import annotations

import json
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import typer

from .design.gather import gathered
from .design.model import Design
from .faults import each
from .job import Job, agreed, figures, job_of, wanted_solids
from .sets.measured_set import MeasuredSet, measured_set
from .sets.set_json import set_json
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
    jobs = each(lambda design: job_of(design, using), found.designs)
    of = dict(zip(found.designs, jobs, strict=True))
    sets = each(lambda pots: measured_set(pots, of, using), found.sets)
    numbers = [figures(job) for job in jobs]
    if solid:
        _compare(jobs, numbers)
    if as_json:
        whole = _whole(dict(zip(found.designs, numbers, strict=True)), sets)
        print(json.dumps(whole, indent=1, allow_nan=False))  # noqa: T201 - the command's own output
    else:
        _tell(jobs, numbers, sets)
    for path in found.skipped:
        print(f"skipped, no design: {path}", file=sys.stderr)  # noqa: T201
    if any(job.stands for job in jobs):
        raise typer.Exit(1)


def _whole(numbers: Mapping[Design, dict[str, Any]], sets: Sequence[MeasuredSet]) -> dict[str, Any]:
    """One design by itself, one set by itself, or all pieces and then all sets."""
    told = [set_json(measured, [numbers[design] for design in measured.pots.designs]) for measured in sets]
    if len(sets) == 1 and len(sets[0].pieces) == len(numbers):
        return told[0]
    pieces = list(numbers.values())
    if sets:
        return {"pieces": pieces, "sets": told}
    return pieces[0] if len(pieces) == 1 else {"pieces": pieces}


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


def _tell(jobs: Sequence[Job], numbers: Sequence[dict[str, Any]], sets: Sequence[MeasuredSet]) -> None:
    from .report import console, told
    from .sets.report import set_told

    screen = console()
    for job, figure in zip(jobs, numbers, strict=True):
        screen.print(told(job.measures, job.checks))
        for key, value in figure.get("solid", {}).items():
            screen.print(f"solid {key}: {value['volume_cm3']:.3f} cm³, agrees", style="dim")
    for measured in sets:
        screen.print(set_told(measured))
