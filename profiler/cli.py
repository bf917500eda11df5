"""The command line: every command, its options, and what it prints."""

from __future__ import annotations

import json
import sys
from enum import StrEnum
from io import TextIOWrapper
from pathlib import Path
from typing import Annotated

import typer

from .faults import Fault, Faults, each
from .settings import load_settings

app = typer.Typer(
    add_completion=False,
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    help="Templates and numbers for throwing and trimming pots, from a short description of each.",
)

Paths = Annotated[list[Path], typer.Argument(metavar="PATH...", help="Designs, sets, or folders of them.")]
SettingsFile = Annotated[
    Path | None, typer.Option("--settings", metavar="FILE", help="Settings to use instead of your own.")
]


@app.command()
def make(
    paths: Paths,
    out: Annotated[Path, typer.Option(metavar="DIR", help="Where each piece gets its folder.")] = Path("output"),
    template: Annotated[
        list[str] | None, typer.Option(metavar="NAME", help="Only this template, such as tombo; may be repeated.")
    ] = None,
    clay: Annotated[
        list[str] | None,
        typer.Option(metavar="STATE", help="Only for clay wet, leather_hard, bone_dry, bisque, fired."),
    ] = None,
    paper: Annotated[
        str | None, typer.Option(metavar="NAME", help="A4, A3, Letter, Tabloid, or own: a sheet as large as each.")
    ] = None,
    printer: Annotated[
        str | None, typer.Option(metavar="NAME", help="Correct the sheets for this printer of yours, or none.")
    ] = None,
    kerf: Annotated[
        float | None, typer.Option(metavar="MM", help="Also files to cut with a laser that takes away so much.")
    ] = None,
    solid_in: Annotated[
        list[str] | None, typer.Option(metavar="STATE", help="The piece as a solid in this state too, such as wet.")
    ] = None,
    thickness: Annotated[float | None, typer.Option(metavar="MM", help="Of ribs and gauges as solids.")] = None,
    bevel: Annotated[
        float | None, typer.Option(metavar="DEGREES", help="Of a rib's working edge as a solid, from its face.")
    ] = None,
    despite_errors: Annotated[
        bool, typer.Option("--despite-errors", help="Make templates even where a check says error.")
    ] = False,
    settings: SettingsFile = None,
) -> None:
    """Make everything: numbers, card, templates, solids.

    Templates: inside_rib, inside_stick, outside_rib, trimming_gauge, turning_stick, tombo, pointer_card, lid_card,
    lid_card_leather_hard, knife_guide, notch_strip, lid_notch_strip, slab_disc, slab_wrap.
    """
    from .make_command import run_make

    run_make(
        paths,
        out,
        load_settings(settings),
        paper=paper,
        templates=template or (),
        clay=clay or (),
        solids=solid_in or (),
        kerf_mm=kerf,
        printer=printer,
        thickness_mm=thickness,
        bevel_degrees=bevel,
        despite_errors=despite_errors,
    )


@app.command()
def proof(
    sheets: Annotated[list[Path], typer.Argument(metavar="FILE...", help="Finished sheets: PDF, SVG or DXF.")],
    design: Annotated[
        Path | None, typer.Option(metavar="FILE", help="The design their profiles should follow.")
    ] = None,
    settings: SettingsFile = None,
) -> None:
    """Read finished sheets back: are they true to size?"""
    from .design.model import read_design
    from .piece import piece_of
    from .proof import proved
    from .proof_report import told
    from .templates.catalogue import templates_of

    using = load_settings(settings)
    templates = None
    if design is not None:
        templates = templates_of(piece_of(read_design(design)), using)
    findings = each(lambda sheet: proved(sheet, templates), sheets)
    for finding in findings:
        print(told(finding))  # noqa: T201 - the command's own output; brackets in a title are no markup
    if not all(finding.ok for finding in findings):
        raise typer.Exit(1)


@app.command()
def printer(
    name: Annotated[str, typer.Argument(metavar="NAME", help="What you call the printer.")],
    across: Annotated[float, typer.Argument(metavar="ACROSS", help="What its 100 mm bar across measured, mm.")],
    up: Annotated[float, typer.Argument(metavar="UP", help="What its 100 mm bar up measured, mm.")],
    settings: SettingsFile = None,
) -> None:
    """Store what a printer makes of 100 mm.

    Sheets make up for it from then on.

    Measure on a sheet that was not corrected: made with --printer none. Each bar says whether it is ACROSS (along
    the paper's short edge) or UP. The printer stored last is the one that is used.
    """
    from .printers import remember
    from .report import console

    place = remember(name, across, up, settings)
    console().print(
        f"{name}: {across:g} mm across, {up:g} mm up; sheets are corrected for it. {place}", soft_wrap=True
    )


@app.command()
def measure(
    paths: Paths,
    as_json: Annotated[bool, typer.Option("--json", help="Every number in full precision.")] = False,
    solid: Annotated[bool, typer.Option("--solid", help="Turn the solids too and compare.")] = False,
    settings: SettingsFile = None,
) -> None:
    """Print sizes, weights, trimming and checks; writes nothing."""
    from .measure_command import run_measure

    run_measure(paths, load_settings(settings), as_json=as_json, solid=solid)


@app.command()
def study(
    design: Annotated[Path, typer.Argument(metavar="DESIGN", help="A design file whose lid is cut.")],
    heights: Annotated[
        str | None,
        typer.Option(metavar="LOW:HIGH", help="Cuts between these heights, or at one, as in 70; else all there are."),
    ] = None,
    angles: Annotated[
        str | None,
        typer.Option(metavar="LOW:HIGH", help="Slants too, or one, as in 40; else the design's and its kin."),
    ] = None,
    capacity: Annotated[float | None, typer.Option(metavar="ML", help="Find the cut whose jar takes this.")] = None,
    at_least: Annotated[float | None, typer.Option(metavar="ML", help="The jar takes no less.")] = None,
    at_most: Annotated[float | None, typer.Option(metavar="ML", help="The jar takes no more.")] = None,
    lid_height: Annotated[str | None, typer.Option(metavar="MM", help="The lid is no higher.")] = None,
    lid_weight: Annotated[float | None, typer.Option(metavar="G", help="The lid is no heavier, fired.")] = None,
    least_contact: Annotated[
        str | None, typer.Option(metavar="MM", help="So much of the joint still touches.")
    ] = None,
    out: Annotated[Path | None, typer.Option(metavar="DIR", help="Also write study.svg and study.pdf there.")] = None,
    paper: Annotated[str | None, typer.Option(metavar="NAME", help="Of the PDF, such as A4 or Letter.")] = None,
    settings: SettingsFile = None,
) -> None:
    """Where may a lid be cut, and what does the jar then take?"""
    from .study.command import run_study

    run_study(
        design,
        load_settings(settings),
        heights=heights,
        angles=angles,
        capacity=capacity,
        at_least=at_least,
        at_most=at_most,
        lid_height=lid_height,
        lid_weight=lid_weight,
        least_contact=least_contact,
        out=out,
        paper=paper,
    )


@app.command()
def size(
    design: Annotated[Path, typer.Argument(metavar="DESIGN", help="A design file.")],
    capacity: Annotated[float | None, typer.Option(metavar="ML", help="It takes this brimful, fired.")] = None,
    ball: Annotated[float | None, typer.Option(metavar="G", help="It is thrown from this much clay.")] = None,
    fill: Annotated[float | None, typer.Option(metavar="ML", help="It takes this to its fill line, fired.")] = None,
    fired_mass: Annotated[float | None, typer.Option(metavar="G", help="It weighs this, fired.")] = None,
    stack: Annotated[
        str | None, typer.Option(metavar="N:HEIGHT", help="So many in each other are so high, fired.")
    ] = None,
    nests_in: Annotated[
        Path | None, typer.Option(metavar="PLATE", help="The largest whose foot stands in the well of this design.")
    ] = None,
    free: Annotated[
        str | None, typer.Option(metavar="FIELD", help="Only this may change, such as form.height.")
    ] = None,
    out: Annotated[Path | None, typer.Option(metavar="FILE", help="Write it there; else the screen.")] = None,
    settings: SettingsFile = None,
) -> None:
    """Size a design to what it should take, weigh or fit.

    Without --free the whole form is scaled; wall, floor and roundings are kept. One wish at a time; comments and
    order of the file stay.
    """
    from .sizing.command import run_size

    run_size(
        design,
        load_settings(settings),
        capacity=capacity,
        ball=ball,
        fill=fill,
        fired_mass=fired_mass,
        stack=stack,
        nests_in=nests_in,
        free=free,
        out=out,
    )


@app.command()
def note(
    design: Annotated[Path, typer.Argument(metavar="DESIGN", help="The design the pots were made after.")],
    figures: Annotated[
        list[str] | None,
        typer.Argument(metavar="NAME=FIGURE...", help="As below; without any, all names are listed."),
    ] = None,
    pot: Annotated[str | None, typer.Option(metavar="NAME", help="Which pot; a new number unless said.")] = None,
    table: Annotated[
        Path | None, typer.Option("--csv", metavar="FILE", help="Many pots: a column `pot`, one for each name.")
    ] = None,
    day: Annotated[str | None, typer.Option("--date", metavar="DAY", help="Such as 2031-04-09; else today.")] = None,
    name: Annotated[
        str | None, typer.Option("--id", metavar="ID", help="Of the entry: said again with it, it counts once.")
    ] = None,
    strike: Annotated[str | None, typer.Option(metavar="ID", help="Take an entry back; nothing is erased.")] = None,
    settings: SettingsFile = None,
) -> None:
    """Note what was weighed and measured of a pot.

    Weights: ball, thrown, trimmed, weight@STATE. Sizes: height, rim, widest, foot, depth, floor, each @STATE; brimful
    too, in ml. Of a lid: lid.height@fired. For example: ball=560 thrown=530 rim@wet=176 height@leather_hard=66.5
    """
    from .record.command import run_note

    run_note(
        design,
        figures or (),
        load_settings(settings),
        pot=pot,
        day=day,
        name=name,
        table=table,
        struck=strike,
    )


@app.command()
def compare(
    design: Annotated[Path, typer.Argument(metavar="DESIGN", help="A design whose pots were noted.")],
    as_json: Annotated[bool, typer.Option("--json", help="Every number in full precision.")] = False,
    settings: SettingsFile = None,
) -> None:
    """What came out of the pots that were noted.

    Planned beside made, your throwing loss and shrinkage, and what to change; writes nothing.
    """
    from .record.command import run_compare

    run_compare(design, load_settings(settings), as_data=as_json)


@app.command()
def bars(
    measured: Annotated[Path, typer.Argument(metavar="CSV", help="Test bars, one a row: lengths, weights.")],
    out: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Also write the body file; nothing is written over.")
    ] = None,
    name: Annotated[str | None, typer.Option(metavar="NAME", help="Of the body; else the file's.")] = None,
    base: Annotated[
        str, typer.Option(metavar="dry|plastic", help="Length the body file gives bisque and fired on.")
    ] = "plastic",
    leave_out: Annotated[
        list[str] | None, typer.Option(metavar="BAR", help="A bar that does not count; may be repeated.")
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Every number in full precision.")] = False,
) -> None:
    """What do test bars say of a clay?

    Columns: bar; plastic_mm, leather_hard_mm, bone_dry_mm, bisque_mm, fired_mm; wet_g, dry_g, bisque_g, fired_g,
    soaked_g, suspended_g; note. Leave out what you did not measure.
    """
    from .bars.command import run_bars

    run_bars(measured, out=out, name=name, base=base, leave_out=leave_out or (), json_wanted=as_json)


@app.command()
def studio(
    folder: Annotated[Path, typer.Argument(metavar="FOLDER", help="Of designs; this one unless said.")] = Path(),
    port: Annotated[
        int, typer.Option(metavar="N", min=0, max=65535, help="Where it listens; 0 for any free one.")
    ] = 8155,
    settings: SettingsFile = None,
) -> None:
    """Open the page of a folder in the browser: shape a pot, see it, print its gauges.

    It answers on this machine only, at 127.0.0.1, until it is stopped.
    """
    from .studio.command import run_studio

    run_studio(folder, load_settings(settings), port=port)


class Schema(StrEnum):
    """What kind of file a schema is of."""

    DESIGN = "design"
    SET = "set"


@app.command()
def schema(
    kind: Annotated[Schema, typer.Argument(metavar="KIND", help="Of a design or a set.")] = Schema.DESIGN,
    out: Annotated[Path | None, typer.Option(metavar="FILE", help="File to write; else the screen.")] = None,
) -> None:
    """Write the JSON Schema of a design or set file, for editors."""
    from .design.model import DesignModel
    from .sets.set_file import SetTable

    model = DesignModel if kind is Schema.DESIGN else SetTable
    made = model.model_json_schema() | {"$schema": "https://json-schema.org/draft/2020-12/schema"}
    text = json.dumps(made, indent=1, ensure_ascii=False) + "\n"
    if out is None:
        print(text, end="")  # noqa: T201 - the command's own output
    else:
        try:
            out.write_text(text, encoding="utf-8")
        except OSError as error:
            raise Fault("the schema cannot be written", error.strerror or "", "a place to write", file=out) from error


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
