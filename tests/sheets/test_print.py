"""Sheets as a printer of 300 dots to the inch would put them down, rendered by another library."""

from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from profiler.geometry.curve import Curve
from profiler.sheets.paper import Correction
from profiler.sheets.pdf import write_templates_pdf
from profiler.sheets.pdf_readback import PdfPage, read_pdf
from profiler.templates.catalogue import templates_of
from profiler.templates.drawing import Drawing
from tests.pieces import ROOT, demo_piece

Rib = Callable[..., Drawing]
Ink = NDArray[np.float64]

PER_MM = 300 / 25.4
LINE_MM = 0.25  # width of a cut line
OFF_MM = 0.15  # what the printed edge may lie off, two dots at 300 dpi being 0.17


def _rendered(path: Path) -> Iterator[tuple[PdfPage, Ink]]:
    """Each page as read, and how dark each dot is, 0 to 1, the top row first."""
    with pypdfium2.PdfDocument(path) as pdf:
        for read, page in zip(read_pdf(path).pages, pdf, strict=True):
            grey = page.render(scale=300 / 72, grayscale=True).to_numpy()
            yield read, 1 - np.asarray(grey, dtype=float).squeeze() / 255


def _ticks_apart(ink: Ink) -> float:
    half = len(ink) // 2
    middles = [np.average(np.arange(half), weights=part) for part in (ink[:half], ink[half : 2 * half])]
    return float(half + middles[1] - middles[0])


def _bar_dots(page: PdfPage, ink: Ink) -> tuple[float, float]:
    """Lengths of the 100 mm bars across and up, in dots."""
    across, up = (next(b for b in page.tagged("bar") if abs(b.end[a] - b.start[a]) > 50) for a in (0, 1))
    # A millimetre beside the bar only its two end ticks are met: the middles of those are its ends.
    row = ink[round((page.height_mm - across.start[1] + 1) * PER_MM)]
    lo, hi = (round((across.start[0] - 2) * PER_MM), round((across.end[0] + 2) * PER_MM))
    column = ink[:, round((up.start[0] - 1) * PER_MM)]
    high, low = (round((page.height_mm - y) * PER_MM) for y in (up.end[1] + 2, up.start[1] - 2))
    return _ticks_apart(row[lo:hi]), _ticks_apart(column[high:low])


@pytest.mark.parametrize("paper", ["A4", "A3", "Letter", "Tabloid", "own"])
def test_the_bars_are_1181_dots(rib: Rib, tmp_path: Path, paper: str) -> None:
    write_templates_pdf([rib(95, 85), rib(230, 120)], tmp_path / "t.pdf", paper=paper, stamp="v1")
    for page, ink in _rendered(tmp_path / "t.pdf"):
        assert _bar_dots(page, ink) == pytest.approx((1181, 1181), abs=1)  # 100 / 25.4 x 300 = 1181.1


def test_corrected_bars_are_longer_by_what_the_printer_loses(rib: Rib, tmp_path: Path) -> None:
    correction = Correction("k", 98, 101)
    write_templates_pdf([rib(95, 85)], tmp_path / "t.pdf", paper="A4", stamp="v1", correction=correction)
    for page, ink in _rendered(tmp_path / "t.pdf"):
        assert _bar_dots(page, ink) == pytest.approx((1181.1 / 0.98, 1181.1 / 1.01), abs=1)


@pytest.mark.parametrize("design", ["porridge_bowl", "supper_plate", "tumbler"])
def test_the_printed_edge_is_the_curve(tmp_path: Path, design: str) -> None:
    drawings = templates_of(demo_piece(ROOT / "designs_demo" / f"{design}.toml"))
    write_templates_pdf(drawings, tmp_path / "t.pdf", paper="A4", stamp="v1")
    missing, cut = {drawing.name for drawing in drawings}, 0
    for page, ink in _rendered(tmp_path / "t.pdf"):
        others = np.concatenate([s.curve.sampled(100) for s in page.strokes if s.tag != "profile"])
        for found in page.profiles:
            name, true = min(
                (
                    (drawing.name, stands.profile)
                    for drawing in drawings
                    for stands in (drawing, drawing.quarter_turned())
                    if stands.profile is not None and len(stands.profile) == len(found)
                ),
                key=lambda known: np.abs(known[1].cubics - known[1].start - found.cubics + found.start).max(),
            )
            missing -= {name}
            corners = [frame.cubics[:, 0] for frame in page.tagged("part")]
            run = found.sampled(20)
            if any(((c.min(axis=0) <= run) & (run <= c.max(axis=0))).all(axis=1).any() for c in corners):
                cut += 1  # one of the parts of a tool too large for the page
                continue
            _check_edge(true.moved(*(found.start - true.start)), others, ink, page)
    assert missing == set()
    assert cut <= 2


def _check_edge(true: Curve, others: NDArray[np.float64], ink: Ink, page: PdfPage) -> None:
    size = np.array([page.width_mm, page.height_mm]) / ink.shape[::-1]  # of a dot, mm: the picture is whole dots
    rows, columns = np.nonzero(ink > 0.5)
    dark = (np.column_stack([columns, ink.shape[0] - 1 - rows]) + 0.5) * size
    points = true.at(np.linspace(0, len(true), int(true.length / 0.01)))
    # Where the curve runs there is ink,
    assert np.asarray(cKDTree(dark).query(points)[0]).max() <= OFF_MM
    # and the ink beside it is its own: half a line and half a dot from corner to corner, but for other lines.
    near, nearest = (np.asarray(found) for found in cKDTree(points).query(dark, distance_upper_bound=0.6))
    alone = np.isfinite(near)
    alone[alone] = np.asarray(cKDTree(others).query(dark[alone])[0]) > 0.8
    assert near[alone].max() <= LINE_MM / 2 + 0.06
    # The middle of the line, millimetre by millimetre, lies on the curve to half a dot, 0.042 mm.
    along = np.gradient(points, axis=0)
    out = np.column_stack([along[:, 1], -along[:, 0]]) / np.hypot(*along.T)[:, None]
    at = nearest[alone]
    signed = ((dark[alone] - points[at]) * out[at]).sum(axis=1)
    run = np.cumsum(np.hypot(*along.T))[at].astype(int)
    counts = np.asarray(np.bincount(run))
    full = counts > 18  # a millimetre of line is 12 by 2 or 3 dots
    assert full.sum() > 0.6 * true.length
    assert np.abs(np.asarray(np.bincount(run, signed))[full] / counts[full]).max() < 0.0424
