"""What the command `measure` does with its words: designs read, numbers and checks told; nothing is written."""

from __future__ import annotations

import json
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import typer

from .design.gather import gathered
from .faults import each
from .job import Job, agreed, figures, job_of, wanted_solids
from .settings import Settings


def run_measure(paths: list[Path], using: Settings, *, as_json: bool = False, solid: bool = False) -> None:
    """Print every number of the pieces in files and folders.

    Args:
        paths: design files, or folders of them.
        using: her settings.
        as_json: full precision, for other programs.
        solid: turn the solids too and compare.

    Raises:
        Fault, Faults: what cannot be used.
        Exit: code 1, where a check says error or a solid disagrees.
    """
    found = gathered(paths)
    jobs = each(lambda design: job_of(design, using), found.designs)
    numbers = [figures(job) for job in jobs]
    if solid:
        _compare(jobs, numbers)
    if as_json:
        whole: Any = numbers[0] if len(numbers) == 1 else {"pieces": numbers}
        print(json.dumps(whole, indent=1, allow_nan=False))  # noqa: T201 - the command's own output
    else:
        _tell(jobs, numbers)
    for path in found.skipped:
        print(f"skipped, no design: {path}", file=sys.stderr)  # noqa: T201
    if any(job.stands for job in jobs):
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


def _tell(jobs: Sequence[Job], numbers: Sequence[dict[str, Any]]) -> None:
    from .report import console, told

    screen = console()
    for job, figure in zip(jobs, numbers, strict=True):
        screen.print(told(job.measures, job.checks))
        for key, value in figure.get("solid", {}).items():
            screen.print(f"solid {key}: {value['volume_cm3']:.3f} cm³, agrees", style="dim")
