"""Reading finished sheets back: how far what is in the file lies from what was meant."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from .geometry.curve import Curve
from .sheets.dxf_readback import dxf_units, read_dxf_profile
from .sheets.readback import bar_lengths_mm, read_pdf, read_svg_profile
from .templates.drawing import Drawing

DRAWN_MM = 1e-4  # SVG and DXF
DXF_MM = 4  # the code of millimetres in $INSUNITS
PDF_MM = 1e-3  # the PDF writer keeps seven digits
BAR_MM = 0.01


class ProofError(RuntimeError):
    """A sheet that does not hold what it should."""


def prove_svg(drawing: Drawing, path: Path) -> float:
    """The most a control point of the profile in an SVG lies off, mm.

    Raises:
        ProofError: it lies off by more than 1e-4 mm, or there is not one profile.
    """
    found = read_svg_profile(path)
    wanted = drawing.profile
    if wanted is None or len(found) != 1:
        raise ProofError(f"{path.name}: {len(found)} profiles where one is wanted")
    off = _apart(found[0], wanted, moved=False)
    if off > DRAWN_MM:
        raise ProofError(f"{path.name}: the profile lies {off:.2g} mm off")
    return off


def prove_dxf(drawing: Drawing, path: Path) -> float:
    """The most a control point of the profile in a DXF lies off, mm.

    Raises:
        ProofError: it lies off by more than 1e-4 mm, there is not one profile, or the unit is not mm.
    """
    found, units = read_dxf_profile(path), dxf_units(path)
    if units != DXF_MM:
        raise ProofError(f"{path.name}: the unit is {units}, not {DXF_MM}, millimetres")
    wanted = drawing.profile
    if wanted is None or len(found) != 1:
        raise ProofError(f"{path.name}: {len(found)} profiles where one is wanted")
    off = _apart(found[0], wanted, moved=False)
    if off > DRAWN_MM:
        raise ProofError(f"{path.name}: the profile lies {off:.2g} mm off")
    return off


def prove_pdf(drawings: tuple[Drawing, ...], path: Path) -> float:
    """The most a control point of any profile in a PDF lies off, wherever it stands on its page, mm.

    Raises:
        ProofError: a profile is missing or lies off by more than 1e-3 mm, a bar is not 100 mm, or a printer
            is not told to leave the scale alone.
    """
    pdf = read_pdf(path)
    if pdf.print_scaling != "/None":
        raise ProofError(f"{path.name}: print scaling is {pdf.print_scaling!r}, not None")
    found: list[Curve] = []
    for page in pdf.pages:
        across, up = bar_lengths_mm(page)
        if not across or not up or max(abs(length - 100.0) for length in across + up) > BAR_MM:
            raise ProofError(f"{path.name}: a bar is not 100 mm, or a page has none")
        found += page.profiles
    worst = 0.0
    for drawing in drawings:
        if drawing.profile is None:
            continue
        off = min((_apart(curve, drawing.profile, moved=True) for curve in found), default=np.inf)
        if off > PDF_MM:
            raise ProofError(f"{path.name}: the profile of {drawing.name} is not in it, the nearest {off:.2g} mm off")
        worst = max(worst, off)
    return worst


def _apart(found: Curve, wanted: Curve, *, moved: bool) -> float:
    """The most two chains differ in a control point, mm; `moved` lets one of them be shifted as a whole."""
    if len(found) != len(wanted):
        return float("inf")
    gap = found.cubics - wanted.cubics
    if moved:
        gap = gap - gap[0, 0]
    return float(np.abs(gap).max())
