"""Reading finished sheets back: how far what is in the file lies from what was meant."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from .faults import Fault
from .geometry.curve import Curve
from .lengths import shown
from .proof_match import Found, nearest, rest_off, too_far
from .sheets.dxf_readback import dxf_units, read_dxf_profile
from .sheets.paper import PAPERS_MM, Correction
from .sheets.pdf_readback import Pdf, PdfPage, bar_lengths_mm, read_pdf
from .sheets.svg_readback import read_svg
from .templates.drawing import Drawing

DRAWN_MM = 1e-4  # SVG and DXF
PDF_MM = 1e-3  # the PDF writer keeps seven digits
BAR_MM = 0.01
PAGE_MM = 0.01
NEAR_PAPER_MM = 0.5
"""A page this near to a paper is meant to be that paper; one further off is of its own size."""

SAID_MM = 1e-3
"""How far a stated correction of a 100 mm bar may be from the printer's: the file states six digits."""

DXF_UNITS = {0: "no unit", 1: "inches", 2: "feet", 4: "millimetres", 5: "centimetres", 6: "metres"}
"""Codes of $INSUNITS (DXF reference, header variables)."""

_MILLIMETRES = 4
_CORRECTED = re.compile(r"corrected across ([0-9]+(?:\.[0-9]+)?) up ([0-9]+(?:\.[0-9]+)?) for (.*)")


class ProofError(RuntimeError):
    """A sheet that does not hold what it should."""


@dataclass(frozen=True)
class Finding:
    """What a file was found to hold.

    Attributes:
        path: the file.
        kind: SVG, DXF or PDF.
        size: in words, how large it is.
        unit: in words.
        compared: whether there was a design to compare it with.
        profiles: each that was found.
        absent: names of templates that a PDF does not hold, where there was a design.
        print_scaling: in words; empty where there is no such thing.
        bars: in words; empty where there are none.
        correction: of a printer, in words; empty where there is no such thing.
        corrected: what the bars across and up an upright page measured, mm; None if nothing is corrected.
        wrong: what is not as it should be, a sentence each.
    """

    path: Path
    kind: str
    size: str
    unit: str
    compared: bool
    profiles: tuple[Found, ...]
    wrong: tuple[str, ...]
    absent: tuple[str, ...] = ()
    print_scaling: str = ""
    bars: str = ""
    correction: str = ""
    corrected: tuple[float, float] | None = None

    @property
    def ok(self) -> bool:
        """Whether nothing is wrong."""
        return not self.wrong

    @property
    def off_mm(self) -> float:
        """The most any profile lies off, mm; nought where nothing was compared."""
        return max((found.off_mm for found in self.profiles), default=0.0)


def proved(path: Path, templates: Sequence[Drawing] | None) -> Finding:
    """What a finished PDF, SVG or DXF holds, compared with the templates of a design.

    Args:
        path: any file; it is read as a stranger's.
        templates: of the design; None to judge no more than page, unit, bars and the soundness of the file.

    Raises:
        Fault: the file cannot be read.
    """
    kind = path.suffix.lower()
    if kind not in _PROVERS:
        raise Fault("not a kind of sheet", shown(path.suffix), "a file that ends in .pdf, .svg or .dxf", file=path)
    with_profile = None if templates is None else [t for t in templates if t.profile is not None]
    try:
        return _PROVERS[kind](path, with_profile)
    except OSError as fault:
        raise Fault("the file cannot be opened", fault.strerror or "", "a file to read", file=path) from fault
    except ValueError as fault:
        said = str(fault).removeprefix(f"{path.name}: ")
        wanted = f"a whole {kind[1:].upper()} as it was made"
        raise Fault("the sheet cannot be read", said, wanted, file=path) from fault


def prove_svg(drawing: Drawing, path: Path) -> float:
    """The most a control point of the profile in an SVG lies off, mm.

    Raises:
        ProofError: it lies off by more than 1e-4 mm, there is not one profile, or a unit is not a millimetre.
    """
    return _true(path, (drawing,)).off_mm


def prove_dxf(drawing: Drawing, path: Path) -> float:
    """The most a control point of the profile in a DXF lies off, mm.

    Raises:
        ProofError: it lies off by more than 1e-4 mm, there is not one profile, or the unit is not mm.
    """
    return _true(path, (drawing,)).off_mm


def prove_pdf(drawings: Sequence[Drawing], path: Path, correction: Correction | None = None) -> float:
    """The most a control point of any profile in a PDF lies off once a printer's correction is undone, mm.

    Args:
        drawings: all that the file must hold, each wherever it stands, turned a quarter or not.
        path: the file.
        correction: what the file must be corrected for.

    Raises:
        ProofError: a profile is missing or lies off by more than 1e-3 mm, a bar is not 100 mm, a page is not quite
            its paper, a printer is not told to leave the scale alone, or the correction is another one.
    """
    finding = _true(path, drawings)
    if finding.absent:
        raise ProofError(f"{path.name}: the profile of {finding.absent[0]} is not in it")
    said, wanted = finding.corrected, None if correction is None else (correction.across, correction.up)
    if (said is None) != (wanted is None) or (said and wanted and np.abs(np.subtract(said, wanted)).max() > SAID_MM):
        raise ProofError(
            f"{path.name}: it is {finding.correction}, and was to be corrected for {wanted or 'nothing'}"
        )
    return finding.off_mm


def _true(path: Path, drawings: Sequence[Drawing]) -> Finding:
    try:
        finding = proved(path, drawings)
    except Fault as fault:
        raise ProofError(str(fault)) from fault
    if finding.wrong:
        raise ProofError(f"{path.name}: {'; '.join(finding.wrong)}")
    return finding


def _svg(path: Path, templates: Sequence[Drawing] | None) -> Finding:
    svg = read_svg(path)
    wrong = [
        f"a unit is {scale:.6g} mm {way}, not 1"
        for way, scale, size in zip(("across", "up"), svg.scale, svg.box[2:], strict=True)
        if abs(scale - 1) * size > DRAWN_MM
    ]
    size = f"{svg.width_mm:.1f} × {svg.height_mm:.1f} mm"
    found, more = _single(path.stem, svg.profiles, svg.outlines, templates)
    unit = "other units" if wrong else "millimetres"
    return Finding(path, "SVG", size, unit, templates is not None, found, (*wrong, *more))


def _dxf(path: Path, templates: Sequence[Drawing] | None) -> Finding:
    profiles, unit = read_dxf_profile(path), dxf_units(path)
    name = DXF_UNITS.get(unit, f"unit {unit}")
    wrong = () if unit == _MILLIMETRES else (f"the unit is {name}, not millimetres",)
    found, more = _single(path.stem, profiles, read_dxf_profile(path, "outline"), templates)
    size = ""
    if profiles:
        wide, high = (profiles[0].highest(axis)[1] - profiles[0].lowest(axis)[1] for axis in (0, 1))
        size = f"profile {wide:.1f} × {high:.1f}"
    return Finding(path, "DXF", size, name, templates is not None, found, (*wrong, *more))


def _single(
    stem: str, profiles: Sequence[Curve], outlines: Sequence[Curve], templates: Sequence[Drawing] | None
) -> tuple[tuple[Found, ...], tuple[str, ...]]:
    """The profile of a file that holds one template, and what is wrong with it."""
    if len(profiles) != 1:
        return tuple(Found("", 0.0) for _ in profiles), (f"{len(profiles)} profiles where one is wanted",)
    if templates is None:
        return (Found("", 0.0),), ()
    among = [t for t in templates if t.name == stem] or templates
    found = nearest(profiles[0], outlines, among, DRAWN_MM, placed=False)
    wrong = too_far(found, DRAWN_MM) or rest_off(profiles[0], outlines, found.name, templates, DRAWN_MM)
    return (found,), wrong


def _pdf(path: Path, templates: Sequence[Drawing] | None) -> Finding:
    pdf = read_pdf(path)
    wrong: list[str] = []
    scaling = "not scaled in print" if pdf.print_scaling == "/None" else "scaled as the viewer likes"
    if pdf.print_scaling != "/None":
        wrong.append(f"print scaling is {shown(pdf.print_scaling)}, not None")
    corrected, correction = _correction(pdf, wrong)
    found: list[Found] = []
    for number, page in enumerate(pdf.pages, 1):
        stretch, trouble = _measured(page, corrected)
        wrong += [f"page {number}: {words}" for words in trouble]
        if not page.profiles:
            wrong.append(f"page {number}: no profile stands on it")
        outlines = page.tagged("outline")
        for index, profile in enumerate(page.profiles):
            here = Found("", 0.0, number)
            if templates is not None:
                undone = profile.mapped(1 / stretch[0], 1 / stretch[1])
                rest = [one.mapped(1 / stretch[0], 1 / stretch[1]) for one in outlines[index : index + 1]]
                here = nearest(undone, rest, templates, PDF_MM, placed=True, page=number)
                trouble = [
                    *(too_far(here, PDF_MM) or rest_off(undone, rest, here.name, templates, PDF_MM, placed=True))
                ]
                wrong += [f"page {number}: {words}" for words in trouble]
            found.append(here)
    bars = "bars of 100 mm" + (" as that printer prints them" if corrected else "")
    held = {one.name for one in found if one.off_mm <= PDF_MM}
    return Finding(
        path,
        "PDF",
        _papers(pdf.pages),
        "points",
        templates is not None,
        tuple(found),
        tuple(wrong),
        absent=tuple(t.name for t in templates or () if t.name not in held),
        print_scaling=scaling,
        bars="" if any(" bar" in words for words in wrong) else bars,
        correction=correction,
        corrected=corrected,
    )


_PROVERS: dict[str, Callable[[Path, Sequence[Drawing] | None], Finding]] = {".svg": _svg, ".dxf": _dxf, ".pdf": _pdf}


def _correction(pdf: Pdf, wrong: list[str]) -> tuple[tuple[float, float] | None, str]:
    """What the file says it is corrected for, as numbers and in words."""
    stated = _CORRECTED.fullmatch(pdf.keywords)
    if stated is None:
        return None, "not corrected"
    words = f"corrected for {shown(stated[3])} ({stated[1][:12]} across, {stated[2][:12]} up)"
    try:
        known = Correction(stated[3], float(stated[1]), float(stated[2]))
    except ValueError as fault:
        wrong.append(str(fault))
        return None, words
    return (known.across, known.up), words


def _measured(page: PdfPage, corrected: tuple[float, float] | None) -> tuple[tuple[float, float], list[str]]:
    """What x and y of a page are multiplied by, and what is wrong with its size and its bars.

    A page lies if it was wider than high before it was corrected; its x then runs along the feed, which was y.
    """
    trouble = []
    if page.turned:
        trouble.append(f"a viewer turns it by {page.turned} degrees")
    width, height = page.width_mm, page.height_mm
    if any(PAGE_MM < gap <= NEAR_PAPER_MM for gap in _paper_gaps(page)):
        trouble.append(f"it is {width:.2f} × {height:.2f} mm, and not quite {_paper(page)}")
    across, up = corrected or (100.0, 100.0)
    ways = [(100 / across, 100 / up), (100 / up, 100 / across)]
    likely = [
        way for way, lies in zip(ways, (False, True), strict=True) if (width / way[0] > height / way[1]) == lies
    ]
    bars = bar_lengths_mm(page)
    if not all(bars):
        return (likely or ways)[0], [*trouble, "it has no bar across, or none up"]
    for way in likely:
        off = [abs(length - 100 * k) for k, lengths in zip(way, bars, strict=True) for length in lengths]
        if max(off) <= BAR_MM:
            return way, trouble
    wanted = (likely or ways)[0]
    trouble += [
        f"a bar {name} is {length:.3f} mm, not {100 * k:.6g}"
        for name, k, lengths in zip(("across", "up"), wanted, bars, strict=True)
        for length in lengths
        if abs(length - 100 * k) > BAR_MM
    ]
    return wanted, trouble


def _paper_gaps(page: PdfPage) -> list[float]:
    """How far the page is from each paper, mm."""
    size = sorted((page.width_mm, page.height_mm))
    return [float(np.abs(np.subtract(size, paper)).max()) for paper in PAPERS_MM.values()]


def _paper(page: PdfPage) -> str:
    gaps = _paper_gaps(page)
    if min(gaps) > NEAR_PAPER_MM:
        return f"{page.width_mm:.1f} × {page.height_mm:.1f} mm"
    name = list(PAPERS_MM)[int(np.argmin(gaps))]
    return f"{name} lying" if page.width_mm > page.height_mm else name


def _papers(pages: Sequence[PdfPage]) -> str:
    counts = Counter(_paper(page) for page in pages)
    if len(counts) > 3:
        return f"{len(pages)} pages of {len(counts)} sizes"
    return ", ".join(f"{count} page{'s' if count > 1 else ''} of {name}" for name, count in counts.items())
