"""The command line: `make`, `measure`, `schema`."""

from __future__ import annotations

import json
import sys
from io import TextIOWrapper
from pathlib import Path
from typing import Annotated, Any

import typer

from .design.gather import gathered
from .faults import Fault, Faults
from .settings import load_settings

app = typer.Typer(
    add_completion=False,
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    help="Templates and numbers for throwing and trimming pots, from a short description of each.",
)

Paths = Annotated[list[Path], typer.Argument(metavar="PATH...", help="Design files, or folders of them.")]
SettingsFile = Annotated[
    Path | None, typer.Option("--settings", metavar="FILE", help="Settings to use instead of your own.")
]


@app.command()
def make(
    paths: Paths,
    out: Annotated[Path, typer.Option(metavar="DIR", help="Where each piece gets its folder.")] = Path("output"),
    paper: Annotated[str | None, typer.Option(help="A4, A3, Letter or Tabloid; else as in the settings.")] = None,
    despite_errors: Annotated[
        bool, typer.Option("--despite-errors", help="Make templates even where a check says error.")
    ] = False,
    settings: SettingsFile = None,
) -> None:
    """Make everything: numbers, bench card, drawing, 1:1 templates, solid."""
    from rich.text import Text

    from .job import job_of
    from .make import made
    from .proof import ProofError
    from .report import console
    from .sheets.paper import PAPERS_MM
    from .solid import SolidError

    screen, errors = console(), console(stderr=True)
    using = load_settings(settings)
    names = {name.casefold(): name for name in PAPERS_MM}
    if paper is not None and paper.casefold() not in names:
        raise Fault("unknown paper", repr(paper), ", ".join(PAPERS_MM), "--paper")
    found = gathered(paths)
    jobs = _all([lambda d=design: job_of(d, using) for design in found.designs])
    for path in found.skipped:
        screen.print(f"skipped, no design: {path}", style="dim", soft_wrap=True)
    ready = [job for job in jobs if despite_errors or not job.stands]
    for job in jobs:
        for check in job.checks:
            if check.level == "error":
                errors.print(f"{job.piece.design.path}: {check.level}: {check.message}", soft_wrap=True)
    try:
        with screen.status("starting") as status:

            def tell(words: str) -> None:
                status.update(Text(words))  # plain text would be read as markup, and a title may hold brackets

            folders = made(ready, out, using, names[(paper or using.paper).casefold()], tell) if ready else []
    except (SolidError, ProofError) as trouble:
        errors.print(str(trouble), soft_wrap=True)
        raise typer.Exit(1) from trouble
    for job, folder in zip(ready, folders, strict=True):
        main = job.measures
        screen.print(f"{folder}  {job.piece.design.title}: weigh out {main.weigh_out_g:g} g", soft_wrap=True)
    if any(job.stands for job in jobs):
        if len(ready) < len(jobs):
            errors.print("No templates for the pieces above; --despite-errors makes them all the same.")
        raise typer.Exit(1)


@app.command()
def measure(
    paths: Paths,
    as_json: Annotated[bool, typer.Option("--json", help="Every number in full precision.")] = False,
    solid: Annotated[bool, typer.Option("--solid", help="Turn the solids too and compare.")] = False,
    settings: SettingsFile = None,
) -> None:
    """Print sizes, weights, trimming and checks; writes nothing."""
    from .job import agreed, figures, job_of, wanted_solids

    using = load_settings(settings)
    found = gathered(paths)
    jobs = _all([lambda d=design: job_of(d, using) for design in found.designs])
    numbers = [figures(job) for job in jobs]
    if solid:
        from .solid import Modeller, SolidError, jobs_of

        solids = [wanted for job in jobs for wanted in wanted_solids(job, None)]
        try:
            with Modeller.start([jobs_of(s.name, s.sections) for s in solids]) as modeller:
                answers = modeller.result(60.0 + 10.0 * len(solids))
            for job, figure in zip(jobs, numbers, strict=True):
                figure["solid"] = agreed(job, solids, answers)
        except SolidError as trouble:
            print(trouble, file=sys.stderr)  # noqa: T201 - the command's own output
            raise typer.Exit(1) from trouble
    if as_json:
        whole: Any = numbers[0] if len(numbers) == 1 else {"pieces": numbers}
        print(json.dumps(whole, indent=1, allow_nan=False))  # noqa: T201
    else:
        from .report import console, told

        screen = console()
        for job, figure in zip(jobs, numbers, strict=True):
            screen.print(told(job.measures, job.checks))
            for key, value in figure.get("solid", {}).items():
                screen.print(f"solid {key}: {value['volume_cm3']:.3f} cm³, agrees", style="dim")
    for path in found.skipped:
        print(f"skipped, no design: {path}", file=sys.stderr)  # noqa: T201
    if any(job.stands for job in jobs):
        raise typer.Exit(1)


@app.command()
def schema(
    out: Annotated[Path | None, typer.Option(metavar="FILE", help="File to write; else the screen.")] = None,
) -> None:
    """Write the JSON Schema of a design file, for an editor that completes and checks."""
    from .design.model import DesignModel

    made = DesignModel.model_json_schema() | {"$schema": "https://json-schema.org/draft/2020-12/schema"}
    text = json.dumps(made, indent=1, ensure_ascii=False) + "\n"
    if out is None:
        print(text, end="")  # noqa: T201 - the command's own output
    else:
        try:
            out.write_text(text, encoding="utf-8")
        except OSError as error:
            raise Fault("the schema cannot be written", error.strerror or "", "a place to write", file=out) from error


def _all(makers: list[Any]) -> list[Any]:
    """Call each, telling every fault of all of them at once."""
    done: list[Any] = []
    faults: list[Fault] = []
    for maker in makers:
        try:
            done.append(maker())
        except Faults as several:
            faults += several.faults
        except Fault as fault:
            faults.append(fault)
    if faults:
        raise Faults(faults)
    return done


def main() -> None:
    """Run the command line; every fault of the input is one line on stderr and exit code 2."""
    for stream in (sys.stdout, sys.stderr):  # a terminal that cannot show a letter gets its code instead
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")
    try:
        app()
    except Faults as several:
        print(several, file=sys.stderr)  # noqa: T201 - the one place where faults are told
        sys.exit(2)
    except Fault as fault:
        print(fault, file=sys.stderr)  # noqa: T201
        sys.exit(2)
    except KeyboardInterrupt:
        sys.exit(130)
