"""Small templates, and the ways to write and to prove a sheet of them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

import pytest

from profiler.geometry.curve import Curve, cubic, line
from profiler.proof import prove_dxf, prove_pdf, prove_svg
from profiler.sheets.dxf import write_dxf
from profiler.sheets.paper import Correction
from profiler.sheets.pdf import write_templates_pdf
from profiler.sheets.svg import write_svg
from profiler.templates.drawing import Drawing, Layer, Line

EDGE = line((30.0, 0.0), (40.0, 0.0)) + cubic((40.0, 0.0), (55.0, 20.0), (58.0, 60.0), (60.0, 95.0))
BACK = line((60.0, 95.0), (100.0, 95.0)) + line((100.0, 95.0), (100.0, 0.0)) + line((100.0, 0.0), (30.0, 0.0))
RIB = Drawing("outside_rib", "Rib", (Line(EDGE, Layer.CUT, id="profile"), Line(BACK, Layer.CUT, id="outline")))
# As many pieces as the rib, so that only their places tell them apart.
STICK = replace(RIB, name="turning_stick", lines=(replace(RIB.lines[0], curve=EDGE.mapped(1.0, 0.9)),))
KITCHEN = Correction("Kitchen inkjet", 99.2, 100.3)
PDF_MM = 1e-3  # the bound of DESIGN, section 9


def with_edge(curve: Curve, drawing: Drawing = RIB) -> Drawing:
    return replace(drawing, lines=(replace(drawing.lines[0], curve=curve), *drawing.lines[1:]))


def bent(off_mm: float) -> Drawing:
    """The rib with one handle of its profile moved."""
    cubics = EDGE.cubics.copy()
    cubics[1, 2, 0] += off_mm
    return with_edge(Curve(cubics))


def scaled(by: float) -> Drawing:
    return replace(RIB, lines=tuple(replace(one, curve=one.curve.mapped(by, by)) for one in RIB.lines))


def svg_of(drawing: Drawing, folder: Path) -> Path:
    path = folder / "outside_rib.svg"
    write_svg(drawing, path, stamp="profiler 0 · 00000000")
    return path


def dxf_of(drawing: Drawing, folder: Path) -> Path:
    path = folder / "outside_rib.dxf"
    write_dxf(drawing, path, stamp="profiler 0 · 00000000")
    return path


def pdf_of(
    drawings: tuple[Drawing, ...], folder: Path, paper: str = "A4", correction: Correction | None = None
) -> Path:
    path = folder / "templates.pdf"
    write_templates_pdf(drawings, path, paper=paper, stamp="profiler 0 · 00000000", correction=correction)
    return path


def one_pdf(drawing: Drawing, folder: Path) -> Path:
    return pdf_of((drawing,), folder)


def prove_one_pdf(drawing: Drawing, path: Path) -> float:
    return prove_pdf((drawing,), path)


@dataclass(frozen=True)
class Kind:
    """A kind of file: how it is written, how it is proved, and how far off its profile may be, mm."""

    write: Callable[[Drawing, Path], Path]
    prove: Callable[[Drawing, Path], float]
    most_mm: float


# The bounds of DESIGN, section 9.
KINDS = pytest.mark.parametrize(
    "kind",
    [Kind(svg_of, prove_svg, 1e-4), Kind(dxf_of, prove_dxf, 1e-4), Kind(one_pdf, prove_one_pdf, PDF_MM)],
    ids=["svg", "dxf", "pdf"],
)
