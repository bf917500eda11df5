"""A sheet that is not what it should be is found out."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pikepdf
import pytest

from profiler.geometry.curve import Curve, cubic, line
from profiler.proof import ProofError, prove_pdf, prove_svg
from profiler.sheets.pdf import write_templates_pdf
from profiler.sheets.svg import write_svg
from profiler.templates.drawing import Drawing, Layer, Line

EDGE = line((30.0, 0.0), (40.0, 0.0)) + cubic((40.0, 0.0), (55.0, 20.0), (58.0, 60.0), (60.0, 95.0))
BACK = line((60.0, 95.0), (100.0, 95.0)) + line((100.0, 95.0), (100.0, 0.0)) + line((100.0, 0.0), (30.0, 0.0))
RIB = Drawing("outside_rib", "Rib", (Line(EDGE, Layer.CUT, id="profile"), Line(BACK, Layer.CUT)))


def _bent(off_mm: float, drawing: Drawing = RIB) -> Drawing:
    """The drawing with one handle of its profile moved."""
    cubics = EDGE.cubics.copy()
    cubics[1, 2, 0] += off_mm
    return replace(drawing, lines=(replace(drawing.lines[0], curve=Curve(cubics)), *drawing.lines[1:]))


def _svg(drawing: Drawing, folder: Path) -> Path:
    path = folder / "outside_rib.svg"
    write_svg(drawing, path, stamp="profiler 0 · 00000000")
    return path


def _pdf(drawings: tuple[Drawing, ...], folder: Path, paper: str = "A4") -> Path:
    path = folder / "templates.pdf"
    write_templates_pdf(drawings, path, paper=paper, stamp="profiler 0 · 00000000")
    return path


def test_an_honest_svg_passes(tmp_path: Path) -> None:
    assert prove_svg(RIB, _svg(RIB, tmp_path)) <= 1e-4  # the bound of DESIGN, section 9


def test_an_honest_pdf_passes_on_any_paper(tmp_path: Path) -> None:
    for paper in ("A4", "A3", "Letter", "Tabloid"):
        assert prove_pdf((RIB,), _pdf((RIB,), tmp_path, paper)) <= 1e-3  # the bound of DESIGN, section 9


@pytest.mark.parametrize("off_mm", [0.02, -0.02, 0.0002])
def test_a_handle_out_of_place_is_found_in_an_svg(off_mm: float, tmp_path: Path) -> None:
    with pytest.raises(ProofError, match=r"outside_rib\.svg: the profile lies .* mm off"):
        prove_svg(RIB, _svg(_bent(off_mm), tmp_path))


@pytest.mark.parametrize("off_mm", [0.02, -0.02, 0.002])
def test_a_handle_out_of_place_is_found_in_a_pdf(off_mm: float, tmp_path: Path) -> None:
    with pytest.raises(ProofError, match=r"templates\.pdf: the profile of outside_rib is not in it"):
        prove_pdf((RIB,), _pdf((_bent(off_mm),), tmp_path))


def test_an_svg_shifted_as_a_whole_is_found(tmp_path: Path) -> None:
    moved = replace(RIB, lines=tuple(replace(one, curve=one.curve.moved(0.01, 0.0)) for one in RIB.lines))
    with pytest.raises(ProofError, match="mm off"):
        prove_svg(RIB, _svg(moved, tmp_path))


def test_an_svg_scaled_as_a_whole_is_found(tmp_path: Path) -> None:
    """What a screen's 96 dots to the inch do to a file meant for 90."""
    scaled = replace(RIB, lines=tuple(replace(one, curve=Curve(one.curve.cubics * (96 / 90))) for one in RIB.lines))
    with pytest.raises(ProofError, match="mm off"):
        prove_svg(RIB, _svg(scaled, tmp_path))


@pytest.mark.parametrize("count", [0, 2])
def test_an_svg_has_one_profile(count: int, tmp_path: Path) -> None:
    path = _svg(RIB, tmp_path)
    text = path.read_text(encoding="utf-8")
    found = re.search(r'<path [^>]*id="profile"[^>]*/>', text)
    assert found is not None
    path.write_text(text.replace(found[0], found[0] * count), encoding="utf-8")
    with pytest.raises(ProofError, match=f"{count} profiles"):
        prove_svg(RIB, path)


def test_a_template_left_out_of_the_pdf_is_found(tmp_path: Path) -> None:
    stick = replace(RIB, name="turning_stick", lines=(replace(RIB.lines[0], curve=EDGE.mapped(1.0, 0.9)),))
    with pytest.raises(ProofError, match="the profile of turning_stick is not in it"):
        prove_pdf((RIB, stick), _pdf((RIB,), tmp_path))


def _altered(path: Path, change: str) -> None:
    with pikepdf.open(path, allow_overwriting_input=True) as pdf:
        if change == "scaling":
            pdf.Root.ViewerPreferences.PrintScaling = pikepdf.Name("/AppDefault")
        elif change == "no word on scaling":
            del pdf.Root.ViewerPreferences
        else:
            page = pdf.pages[0]
            text = page.Contents.read_bytes()
            page.Contents = pdf.make_stream(b"0.992 0 0 0.992 0 0 cm\n" + text)
        pdf.save(path)


@pytest.mark.parametrize("change", ["scaling", "no word on scaling"])
def test_a_pdf_that_lets_the_printer_scale_is_refused(change: str, tmp_path: Path) -> None:
    path = _pdf((RIB,), tmp_path)
    _altered(path, change)
    with pytest.raises(ProofError, match="print scaling"):
        prove_pdf((RIB,), path)


def test_a_page_shrunk_as_a_whole_is_refused(tmp_path: Path) -> None:
    path = _pdf((RIB,), tmp_path)
    _altered(path, "shrunk")
    with pytest.raises(ProofError, match="a bar is not 100 mm"):
        prove_pdf((RIB,), path)
