"""PDF: the right size on paper, proved from the file and from its picture."""

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pikepdf
import pypdfium2
import pytest
from numpy.typing import NDArray

from profiler.geometry.curve import Curve
from profiler.sheets.page import Document
from profiler.sheets.pdf import MEASURE, write_templates_pdf
from profiler.sheets.readback import Pdf, PdfPage, bar_lengths_mm, read_pdf
from profiler.templates.drawing import Drawing

Rib = Callable[..., Drawing]

PROFILE_MM = 1e-3  # what DESIGN 9 asks of control points in a PDF, whose writer keeps seven digits
BOX_MM = 2e-4  # seven digits kept: half a thousandth of a point on the longest side

PAPERS = {"A4": (210, 297), "A3": (297, 420), "Letter": (215.9, 279.4), "Tabloid": (279.4, 431.8)}  # TRADE.md


def _written(path: Path, *drawings: Drawing, paper: str = "A4", **more: tuple[float, float]) -> Pdf:
    write_templates_pdf(drawings, path, paper=paper, stamp="v1 · abc123", correction=more.get("correction"))
    return read_pdf(path)


def _profile_of(drawing: Drawing) -> Curve:
    assert drawing.profile is not None
    return drawing.profile


def _origin(page: PdfPage, profile: Curve) -> NDArray[np.float64]:
    return page.profiles[0].start - profile.start


@pytest.mark.parametrize(("width", "height"), [(95, 85), (230, 120), (300, 120), (480, 390)])
def test_the_profile_is_read_back_on_every_page(rib: Rib, tmp_path: Path, width: float, height: float) -> None:
    drawing = rib(width, height)
    profile = _profile_of(drawing)
    pages = _written(tmp_path / "t.pdf", drawing).pages
    for page in pages:
        (found,) = page.profiles
        assert found.cubics.shape == profile.cubics.shape
        assert np.abs(found.cubics - _origin(page, profile) - profile.cubics).max() < PROFILE_MM


@pytest.mark.parametrize("paper", PAPERS)
def test_page_boxes_bars_and_print_scaling(rib: Rib, tmp_path: Path, paper: str) -> None:
    pdf = _written(tmp_path / "t.pdf", rib(95, 85), rib(230, 120), rib(500, 400), paper=paper)
    assert pdf.print_scaling == "/None"  # ISO 32000-1, 12.2, Table 150
    assert len(pdf.pages) >= 2
    for page in pdf.pages:
        assert sorted((page.width_mm, page.height_mm)) == pytest.approx(PAPERS[paper], abs=BOX_MM)
        across, up = bar_lengths_mm(page)
        assert across == pytest.approx([100], abs=PROFILE_MM)
        assert up == pytest.approx([100], abs=PROFILE_MM)
        # 4 in = 101.6 mm exactly.
        (inches,) = page.tagged("bar_inches")
        assert inches.end[0] - inches.start[0] == pytest.approx(101.6, abs=PROFILE_MM)


def test_nothing_leaves_the_page_and_no_drawing_meets_a_bar(rib: Rib, tmp_path: Path) -> None:
    drawing = rib(160, 220)
    (page,) = _written(tmp_path / "t.pdf", drawing).pages
    for stroke in page.strokes:
        assert stroke.curve.cubics.min() > 4  # printers leave 4 mm or so white; common practice, no source
        assert stroke.curve.cubics[:, :, 0].max() < page.width_mm - 4
        assert stroke.curve.cubics[:, :, 1].max() < page.height_mm - 4
    low = np.array(drawing.bounds()[:2]) + _origin(page, _profile_of(drawing))
    for bar in page.tagged("bar"):
        # Past the bar by more than its end tick: left of the drawing, or below it.
        assert (low - bar.cubics[..., :].max(axis=(0, 1)) > 2).any()


def test_rendered_at_300_dpi_the_bar_is_1181_pixels(rib: Rib, tmp_path: Path) -> None:
    (page,) = _written(tmp_path / "t.pdf", rib(95, 85)).pages
    dark = _picture(tmp_path / "t.pdf")
    per_mm = 300 / 25.4
    across, up = (next(b for b in page.tagged("bar") if abs(b.end[a] - b.start[a]) > 50) for a in (0, 1))
    # A millimetre beside the bar only its two end ticks are met: the middles of those are its ends.
    row = dark[round((page.height_mm - across.start[1] + 1) * per_mm)]
    lo, hi = (round((across.start[0] - 2) * per_mm), round((across.end[0] + 2) * per_mm))
    assert _ticks_apart(row[lo:hi]) == pytest.approx(1181, abs=1)  # 100 / 25.4 x 300 = 1181.1
    column = dark[:, round((up.start[0] - 1) * per_mm)]
    lo, hi = (round((page.height_mm - y) * per_mm) for y in (up.end[1] + 2, up.start[1] - 2))
    assert _ticks_apart(column[lo:hi]) == pytest.approx(1181, abs=1)


def test_rendered_the_profile_is_where_the_drawing_has_it(rib: Rib, tmp_path: Path) -> None:
    drawing = rib(95, 85)
    (page,) = _written(tmp_path / "t.pdf", drawing).pages
    dark = _picture(tmp_path / "t.pdf")
    points = _profile_of(drawing).sampled(10) + _origin(page, _profile_of(drawing))
    for x, y in points * 300 / 25.4:
        column, row = int(x), int(page.height_mm * 300 / 25.4 - y)
        # The stroke is 3 pixels wide: its middle lies in this pixel or the next.
        assert dark[row - 1 : row + 2, column - 1 : column + 2].max() > 0.5


def test_tiles_agree_where_they_overlap(rib: Rib, tmp_path: Path) -> None:
    drawing = rib(300, 120)
    profile = _profile_of(drawing)
    one, two = _written(tmp_path / "t.pdf", drawing).pages
    # The level stroke of each cross, in the drawing's own coordinates.
    crosses = [
        sorted(tuple(c.start - _origin(page, profile)) for c in page.tagged("cross") if c.start[1] == c.end[1])
        for page in (one, two)
    ]
    assert len(crosses[0]) == 2
    assert np.array(crosses[0]) == pytest.approx(np.array(crosses[1]), abs=PROFILE_MM)


def test_a_printers_correction_is_undone_by_the_printer(rib: Rib, tmp_path: Path) -> None:
    drawing = rib(95, 85)
    (page,) = _written(tmp_path / "t.pdf", drawing, correction=(99.2, 100.3)).pages
    assert (page.width_mm, page.height_mm) == pytest.approx((210, 297), abs=BOX_MM)
    printed = np.array([0.992, 1.003])
    across, up = bar_lengths_mm(page)
    assert across[0] * printed[0] == pytest.approx(100, abs=PROFILE_MM)
    assert up[0] * printed[1] == pytest.approx(100, abs=PROFILE_MM)
    found = page.profiles[0].cubics * printed
    shift = found[0, 0] - _profile_of(drawing).start
    assert np.abs(found - shift - _profile_of(drawing).cubics).max() < PROFILE_MM


def test_the_same_bytes_twice(rib: Rib, title: str, tmp_path: Path) -> None:
    for name in ("one.pdf", "two.pdf"):
        _written(tmp_path / name, rib(95, 85, title=title), rib(300, 120))
    assert (tmp_path / "one.pdf").read_bytes() == (tmp_path / "two.pdf").read_bytes()


def test_words_on_every_page_and_a_title_in_any_script(rib: Rib, title: str, tmp_path: Path) -> None:
    _written(tmp_path / "t.pdf", rib(300, 120, title=title))
    with pypdfium2.PdfDocument(tmp_path / "t.pdf") as pdf:
        texts = [page.get_textpage().get_text_range() for page in pdf]
    for number, text in enumerate(texts, 1):
        assert MEASURE in text
        assert text.count("100 mm") == 2
        assert "4 in" in text
        assert f"A{number} of inside rib" in text
        assert "v1 · abc123" in text
        # Czech, Greek, ampersand and quotes as they are; what the face lacks as a box.
        assert 'Hrnek "Žluťoučký" & κύπελλο <□> □' in text


def test_the_face_is_embedded_as_a_subset(rib: Rib, tmp_path: Path) -> None:
    _written(tmp_path / "t.pdf", rib(95, 85))
    with pikepdf.open(tmp_path / "t.pdf") as pdf:
        fonts = [o for o in pdf.objects if isinstance(o, pikepdf.Dictionary) and o.get("/Type") == "/FontDescriptor"]
        assert fonts
        # ISO 32000-1, 9.6.4: a subset's name starts with six capitals and a plus sign.
        assert all("+" in str(f.FontName) and "/FontFile2" in f for f in fonts)
    assert (tmp_path / "t.pdf").stat().st_size < 150_000  # the whole of one face is 700 kB


def test_a_scaled_drawing_and_a_table_on_a_page(rib: Rib, tmp_path: Path) -> None:
    drawing = rib(100, 80)
    document = Document(tmp_path / "card.pdf", "card", "v1")
    with document.page(210, 297) as page:
        page.draw(drawing, 30, 200, 0.5)
        end = page.table([["state", "rim"], ["wet", "176"]], 20, 150, [40, 30], size=4, leading=7, right=(1,))
    document.save()
    assert end == 136  # two rows of 7 mm below 150
    (read,) = read_pdf(tmp_path / "card.pdf").pages
    expected = _profile_of(drawing).cubics * 0.5 + np.array([30, 200])
    assert np.abs(read.profiles[0].cubics - expected).max() < PROFILE_MM


def test_the_reader_on_a_page_written_by_hand(tmp_path: Path) -> None:
    # ISO 32000-1, 8.3.4: 72 units an inch; `cm` goes before what stands already; a clip path is not painted.
    pdf = pikepdf.new()
    pdf.add_blank_page(page_size=(144, 72))
    stream = b"q 0 0 9 9 re W n 2 0 0 2 36 0 cm 1 0 0 1 9 9 cm "
    stream += b"/profile BMC 0 0 m 9 0 9 9 0 9 c S EMC Q 0 0 72 36 re S"
    pdf.pages[0].Contents = pdf.make_stream(stream)
    pdf.save(tmp_path / "hand.pdf")
    (page,) = read_pdf(tmp_path / "hand.pdf").pages
    assert (page.width_mm, page.height_mm) == pytest.approx((50.8, 25.4))
    inch = np.array([[54, 18], [72, 18], [72, 36], [54, 36]]) / 72
    assert page.profiles[0].cubics[0] == pytest.approx(inch * 25.4)
    assert [s.tag for s in page.strokes] == ["profile", ""]
    assert page.strokes[1].curve.highest(0)[1] == pytest.approx(25.4)


def test_no_drawing_no_file(tmp_path: Path) -> None:
    with pytest.raises(ValueError, match="at least one"):
        write_templates_pdf([], tmp_path / "t.pdf", paper="A4", stamp="")


def _picture(path: Path) -> NDArray[np.float64]:
    with pypdfium2.PdfDocument(path) as pdf:
        return 1 - np.asarray(pdf[0].render(scale=300 / 72, grayscale=True).to_numpy(), dtype=float).squeeze() / 255


def _ticks_apart(ink: NDArray[np.float64]) -> float:
    half = len(ink) // 2
    middles = [np.average(np.arange(half), weights=part) for part in (ink[:half], ink[half : 2 * half])]
    return float(half + middles[1] - middles[0])
