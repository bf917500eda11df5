"""What the command `study` does with its words: ranges and limits read, everything told, the two files written."""

from __future__ import annotations

import re
from contextlib import nullcontext
from pathlib import Path

from ..design.model import Design, read_design
from ..faults import Fault
from ..lengths import parse_length, shown
from ..report import console
from ..settings import Settings
from ..sheets.paper import PAPERS_MM
from .choice import Chosen, Unreached, choose
from .said import degrees
from .study import Study, study
from .table import told
from .tried import Limits, Trial

MOST_ML, MOST_G = 100_000.0, 100_000.0
"""No jar of a studio takes more, no lid weighs more."""

_DEGREES = re.compile(r" *([0-9]{1,3}(?:\.[0-9]{0,9})?) *°? *")


def run_study(
    path: Path,
    settings: Settings,
    *,
    heights: str | None = None,
    angles: str | None = None,
    capacity: float | None = None,
    at_least: float | None = None,
    at_most: float | None = None,
    lid_height: str | None = None,
    lid_weight: float | None = None,
    least_contact: str | None = None,
    out: Path | None = None,
    paper: str | None = None,
) -> None:
    """Print the study of one design, and write `study.svg` and `study.pdf` if a folder is named.

    Args:
        path: the design file.
        settings: for the stamp and the paper.
        heights: lowest and highest cut as "low:high", or one; each a length in the design's unit or with its own.
        angles: "low:high" or one slant, degrees.
        capacity: wanted, ml.
        at_least: the least the jar may take, ml.
        at_most: the most, ml.
        lid_height: the highest the lid may be, a length.
        lid_weight: the heaviest, g.
        least_contact: a length.
        out: folder of the files, made if need be.
        paper: of the PDF; as in the settings if None.

    Raises:
        Fault, Faults: a design without a cut lid, or words that cannot be used.
    """
    design = read_design(path, cut_open=True)
    limits = Limits(
        least_contact=0.0 if least_contact is None else _length(least_contact, design, "--least-contact"),
        capacity_least=_amount(at_least, MOST_ML, "ml", "--at-least"),
        capacity_most=_amount(at_most, MOST_ML, "ml", "--at-most"),
        lid_height_most=None if lid_height is None else _length(lid_height, design, "--lid-height"),
        lid_weight_most=_amount(lid_weight, MOST_G, "g", "--lid-weight"),
    )
    if at_least is not None and at_most is not None and at_least > at_most:
        raise Fault("the jar cannot take both", f"{at_least:g} ml or more, {at_most:g} ml or less", "", "--at-least")
    sheet = _paper(paper or settings.paper)
    wanted = _amount(capacity, MOST_ML, "ml", "--capacity")
    between = None if heights is None else _heights(heights, design)
    slants = None if angles is None else _angles(angles)
    screen = console(stderr=True)
    # an empty status would leave a line in a file
    status = screen.status("trying cuts") if screen.is_terminal else None
    tried = 0

    def watch(height: float, angle: float) -> None:
        nonlocal tried
        tried += 1
        if status is not None:
            status.update(f"cut {tried}: {height:.1f} mm at {degrees(angle)}")

    with status or nullcontext():
        trial = Trial(design, limits, settings, watch)
        chosen = None if wanted is None else choose(trial, wanted, between, slants)
        example = (chosen.tried.height, chosen.tried.angle) if isinstance(chosen, Chosen) else None
        made = study(trial, between, slants, example)
        printed = told(made, chosen=chosen)
    console().print(printed)
    if out is not None:
        for file in _write(made, chosen, out, settings, sheet):
            console().print(f"written: {file}", soft_wrap=True)


def _write(made: Study, chosen: Chosen | Unreached | None, out: Path, settings: Settings, paper: str) -> list[Path]:
    from ..order import Order
    from ..pack import stamp_of
    from ..sheets.svg import write_svg
    from .chart import chart
    from .study_sheet import write_study_pdf

    picture, stamp = chart(made), stamp_of(made.design, settings, Order(paper=paper))
    drawing, page = out / "study.svg", out / "study.pdf"
    try:
        out.mkdir(parents=True, exist_ok=True)
        write_svg(picture, drawing, stamp=stamp)
        write_study_pdf(made, picture, page, paper=paper, stamp=stamp, chosen=chosen)
    except OSError as error:
        raise Fault("the study cannot be written", error.strerror or "", "a folder to write to", file=out) from error
    return [drawing, page]


def _paper(text: str) -> str:
    names = {name.casefold(): name for name in PAPERS_MM}
    if text.casefold() not in names:
        raise Fault("unknown paper", shown(text), ", ".join(PAPERS_MM), "--paper")
    return names[text.casefold()]


def _length(text: str, design: Design, option: str) -> float:
    try:
        length = parse_length(text, design.head.units)
    except Fault as fault:
        raise Fault(fault.what, fault.found, fault.wanted, option) from fault
    if length < 0:
        raise Fault("a length must not be negative", shown(text), "0 or more", option)
    return length


def _amount(value: float | None, most: float, unit: str, option: str) -> float | None:
    if value is not None and not 0 < value <= most:
        raise Fault("not an amount", f"{value:g} {unit}", f"more than 0, at most {most:g} {unit}", option)
    return value


def _heights(text: str, design: Design) -> tuple[float, float]:
    parts = text.split(":")
    if len(parts) > 2:
        wanted = 'a height, or the lower and the higher, as in "70" or "50:80"'
        raise Fault("not a height or a range of them", shown(text), wanted, "--heights")
    found = [_length(part, design, "--heights") for part in parts]
    return found[0], found[-1]


def _angles(text: str) -> tuple[float, float] | float:
    found = [_DEGREES.fullmatch(part) for part in text.split(":")]
    numbers = [float(match[1]) for match in found if match is not None]
    if len(numbers) != len(found) or len(numbers) > 2:
        raise Fault("not a slant or a range of them", shown(text), 'degrees, as in "40" or "30:45"', "--angles")
    return numbers[0] if len(numbers) == 1 else (numbers[0], numbers[1])
