"""What the command `make` does with its words: designs and sets read, checks told, folders made."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import typer
from rich.text import Text

from .design.gather import gathered
from .faults import each
from .job import job_of
from .make import made
from .order import ordered
from .proof import ProofError
from .report import console
from .sets.measured_set import measured_set
from .settings import Settings
from .solid import SolidError
from .templates.catalogue import not_made


def run_make(
    paths: list[Path],
    out: Path,
    using: Settings,
    *,
    paper: str | None = None,
    templates: Sequence[str] = (),
    clay: Sequence[str] = (),
    solids: Sequence[str] = (),
    kerf_mm: float | None = None,
    printer: str | None = None,
    thickness_mm: float | None = None,
    bevel_degrees: float | None = None,
    despite_errors: bool = False,
) -> None:
    """Make the folder of each piece and set in files and folders; what is ordered is as `order.ordered` takes it.

    Args:
        paths: design files, set files, or folders of them.
        out: where each piece gets its folder.
        using: her settings.
        paper: see `ordered`, as all that follow but the last.
        templates: names.
        clay: states.
        solids: states.
        kerf_mm: of a laser.
        printer: its name.
        thickness_mm: of ribs as solids.
        bevel_degrees: of their edge.
        despite_errors: templates even where a check says error.

    Raises:
        Fault, Faults: what cannot be used; nothing is written.
        Exit: code 1, where a check says error or a proof fails.
    """
    screen, errors = console(), console(stderr=True)
    found = gathered(paths)
    jobs = each(lambda design: job_of(design, using), found.designs)
    of = dict(zip(found.designs, jobs, strict=True))
    sets = each(lambda pots: measured_set(pots, of, using), found.sets)
    order = ordered(
        using,
        [job.piece for job in jobs],
        paper=paper,
        templates=templates,
        clay=clay,
        solids=solids,
        kerf_mm=kerf_mm,
        printer=printer,
        thickness_mm=thickness_mm,
        bevel_degrees=bevel_degrees,
    )
    for path in found.skipped:
        screen.print(f"skipped, no design: {path}", style="dim", soft_wrap=True)
    ready = [job for job in jobs if despite_errors or not job.stands]
    whole = [measured for measured in sets if despite_errors or not measured.stands]
    for job in jobs:
        for check in job.checks:
            if check.level != "note":
                errors.print(f"{job.piece.design.path}: {check.level}: {check.message}", soft_wrap=True)
    for measured in sets:
        for title, check in measured.remarks:
            if check.level != "note":
                errors.print(f"{measured.pots.file.path}: {check.level}: {title}: {check.message}", soft_wrap=True)
    try:
        with screen.status("starting") as status:

            def tell(words: str) -> None:
                status.update(Text(words))  # plain text would be read as markup, and a title may hold brackets

            folders = made(ready, whole, out, using, order, tell) if ready else []
    except (SolidError, ProofError) as trouble:
        errors.print(str(trouble), soft_wrap=True)
        raise typer.Exit(1) from trouble
    for job, folder in zip(ready, folders, strict=False):  # the sets' folders come after
        told = Text(f"{folder}  {job.piece.design.title}: weigh out {job.measures.weigh_out_g:g} g")
        if not (folder / "templates").is_dir():
            why = [reason for _, reason in not_made(job.piece, order.choice, using)]
            told.append("; " + (" ".join(why) or "it has no template of that choice"))
        screen.print(told, soft_wrap=True)
    for measured, folder in zip(whole, folders[len(ready) :], strict=True):
        words = f"{folder}  {measured.pots.title}: {measured.clay.balls} balls, {measured.clay.amount}"
        screen.print(words, soft_wrap=True)
    if any(job.stands for job in jobs):
        if len(ready) < len(jobs):
            errors.print("No templates for the pieces above; --despite-errors makes them all the same.")
        for measured in sets:
            if measured not in whole:
                errors.print(f"No folder for {measured.pots.title}: a piece of it is above.")
        raise typer.Exit(1)
