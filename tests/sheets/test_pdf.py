"""PDF: the right size on paper, proved from the file and from its picture."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import combinations, product
from pathlib import Path

import numpy as np
import pikepdf
import pypdfium2
import pytest
from numpy.typing import NDArray

from profiler.geometry.curve import Curve
from profiler.sheets.margins import MEASURE
from profiler.sheets.page import Document
from profiler.sheets.paper import Correction
from profiler.sheets.pdf import write_templates_pdf
from profiler.sheets.pdf_readback import Pdf, PdfPage, bar_lengths_mm, read_pdf
from profiler.templates.drawing import Drawing

Rib = Callable[..., Drawing]

PROFILE_MM = 1e-3  # what DESIGN 9 asks of control points in a PDF, whose writer keeps seven digits
BOX_MM = 2e-4  # seven digits kept: half a thousandth of a point on the longest side

KITCHEN = Correction("Kitchen inkjet", 99.2, 100.3)

PAPERS = {"A4": (210, 297), "A3": (297, 420), "Letter": (215.9, 279.4), "Tabloid": (279.4, 431.8)}  # TRADE.md


def _written(path: Path, *drawings: Drawing, paper: str = "A4", correction: Correction | None = None) -> Pdf:
    write_templates_pdf(drawings, path, paper=paper, stamp="v1 · abc123", correction=correction)
    return read_pdf(path)


def _texts(path: Path) -> list[str]:
    """The text of each page, its lines joined."""
    with pypdfium2.PdfDocument(path) as pdf:
        return [" ".join(page.get_textpage().get_text_range().split()) for page in pdf]


def _keywords(path: Path) -> str:
    with pikepdf.open(path) as pdf:
        return str(pdf.docinfo["/Keywords"])


def _profile_of(drawing: Drawing) -> Curve:
    assert drawing.profile is not None
    return drawing.profile


@pytest.mark.parametrize(("width", "height"), [(95, 85), (230, 120), (260, 182), (300, 120), (480, 390)])
def test_the_profile_is_read_back_on_every_page(rib: Rib, tmp_path: Path, width: float, height: float) -> None:
    drawing = rib(width, height)
    level, turned = _profile_of(drawing).cubics, _profile_of(drawing.quarter_turned()).cubics
    pages = _written(tmp_path / "t.pdf", drawing).pages
    for page in pages:
        assert page.profiles
        for found in page.profiles:
            off = [np.abs(found.cubics - found.start - wanted + wanted[0, 0]).max() for wanted in (level, turned)]
            assert min(off) < PROFILE_MM


def test_a_turned_drawing_is_turned_anticlockwise(rib: Rib, tmp_path: Path) -> None:
    # Too wide to stand, too high to lie: it stands a quarter turned.
    drawing = rib(260, 182)
    (page,) = _written(tmp_path / "t.pdf", drawing).pages
    (found,) = page.profiles
    run = _profile_of(drawing).end - _profile_of(drawing).start
    assert found.end - found.start == pytest.approx(np.array([-run[1], run[0]]), abs=PROFILE_MM)


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


@pytest.mark.parametrize("paper", [*PAPERS, "own"])
def test_nothing_leaves_the_page_and_no_drawing_meets_a_bar(rib: Rib, tmp_path: Path, paper: str) -> None:
    drawings = [rib(160, 220), rib(90, 60), rib(170, 80)]
    for page in _written(tmp_path / "t.pdf", *drawings, paper=paper).pages:
        _check_within(page)
        lines = [s.curve for s in page.strokes if s.tag == "profile"]
        for profile, bar in product(lines, page.tagged("bar")):
            # Past the bar by more than its end tick: left of the drawing, or below it.
            assert (profile.cubics.min(axis=(0, 1)) - bar.cubics.max(axis=(0, 1)) > 2).any()


def _check_within(page: PdfPage) -> None:
    for stroke in page.strokes:
        assert stroke.curve.cubics.min() > 4  # printers leave 4 mm or so white; common practice, no source
        assert stroke.curve.cubics[:, :, 0].max() < page.width_mm - 4
        assert stroke.curve.cubics[:, :, 1].max() < page.height_mm - 4


@pytest.mark.parametrize(("width", "height"), [(300, 120), (350, 60), (400, 390), (60, 700)])
def test_parts_agree_where_they_overlap(rib: Rib, tmp_path: Path, width: float, height: float) -> None:
    drawing = rib(width, height)
    pages = _written(tmp_path / "t.pdf", drawing).pages
    stands = drawing.quarter_turned() if _turned(pages[0].profiles[0], drawing) else drawing
    profile = _profile_of(stands)
    parts = []
    for page in pages:
        level = [c.start for c in page.tagged("cross") if abs(c.end[1] - c.start[1]) < PROFILE_MM]
        for found, frame in zip(page.profiles, page.tagged("part"), strict=True):
            origin = found.start - profile.start
            assert np.abs(found.cubics - origin - profile.cubics).max() < PROFILE_MM
            low, high = frame.cubics[:, 0].min(axis=0) - origin, frame.cubics[:, 0].max(axis=0) - origin
            crosses = [c - origin for c in level if (low < c - origin).all() and (c - origin < high).all()]
            parts.append((low, high, crosses))
    points = profile.sampled(200)
    on = [((low - BOX_MM <= points) & (points <= high + BOX_MM)).all(axis=1) for low, high, _ in parts]
    assert np.any(on, axis=0).all()
    joined = 0
    for (low, high, crosses), (lower, higher, others) in combinations(parts, 2):
        overlap = np.minimum(high, higher) - np.maximum(low, lower)
        if overlap.min() < 0:
            continue
        assert overlap.min() == pytest.approx(10, abs=PROFILE_MM)  # as the sheets say in words
        shared = [c for c in crosses if any(np.abs(c - other).max() < PROFILE_MM for other in others)]
        # Along a side two, at a corner where four parts meet one.
        assert len(shared) == (1 if overlap.max() < 11 else 2)
        joined += 1
    assert joined >= len(parts) - 1 > 0


def _turned(found: Curve, drawing: Drawing) -> bool:
    level = _profile_of(drawing).cubics
    return bool(np.abs(found.cubics - found.start - level + level[0, 0]).max() > PROFILE_MM)


def test_a_printers_correction_is_undone_by_the_printer(rib: Rib, tmp_path: Path) -> None:
    drawing = rib(95, 85)
    (page,) = _written(tmp_path / "t.pdf", drawing, correction=KITCHEN).pages
    assert (page.width_mm, page.height_mm) == pytest.approx((210, 297), abs=BOX_MM)
    _check_printed(page, drawing, np.array([0.992, 1.003]))
    (lying,) = _written(tmp_path / "l.pdf", rib(230, 120), correction=KITCHEN).pages
    assert (lying.width_mm, lying.height_mm) == pytest.approx((297, 210), abs=BOX_MM)
    _check_printed(lying, rib(230, 120), np.array([1.003, 0.992]))


def _check_printed(page: PdfPage, drawing: Drawing, printed: NDArray[np.float64]) -> None:
    """What comes out of a printer that puts down so much for 1 mm, is true."""
    across, up = bar_lengths_mm(page)
    assert across[0] * printed[0] == pytest.approx(100, abs=PROFILE_MM)
    assert up[0] * printed[1] == pytest.approx(100, abs=PROFILE_MM)
    found = page.profiles[0].cubics * printed
    shift = found[0, 0] - _profile_of(drawing).start
    assert np.abs(found - shift - _profile_of(drawing).cubics).max() < PROFILE_MM


def test_a_corrected_page_says_so_and_so_does_the_file(rib: Rib, tmp_path: Path) -> None:
    words = "corrected for the printer “Kitchen inkjet” (99.2 across, 100.3 up)"
    for paper in (*PAPERS, "own"):
        drawings = [rib(95, 85), rib(230, 120, name="outside_rib"), rib(500, 80, name="tombo")]
        _written(tmp_path / "t.pdf", *drawings, paper=paper, correction=KITCHEN)
        assert all(words in text for text in _texts(tmp_path / "t.pdf"))
        assert _keywords(tmp_path / "t.pdf") == "corrected across 99.2 up 100.3 for Kitchen inkjet"
    _written(tmp_path / "t.pdf", rib(95, 85))
    assert "correct" not in _texts(tmp_path / "t.pdf")[0]
    assert _keywords(tmp_path / "t.pdf") == "not corrected"


def test_a_printer_of_any_name(rib: Rib, tmp_path: Path) -> None:
    _written(tmp_path / "t.pdf", rib(95, 85), correction=Correction('Küche "2" (台所) \\ 🖨', 99.2, 100))
    assert _keywords(tmp_path / "t.pdf") == 'corrected across 99.2 up 100 for Küche "2" (台所) \\ 🖨'
    assert '“Küche "2" (□□) \\ □” (99.2 across, 100 up)' in _texts(tmp_path / "t.pdf")[0]


@pytest.mark.parametrize("correction", [None, KITCHEN])
def test_own_pages_are_as_large_as_their_drawings(rib: Rib, tmp_path: Path, correction: Correction | None) -> None:
    drawings = [rib(40, 30), rib(700, 150), rib(120, 600)]
    pages = _written(tmp_path / "t.pdf", *drawings, paper="Own", correction=correction).pages
    assert len(pages) == 3
    for page, drawing in zip(pages, drawings, strict=True):
        lies = page.width_mm > page.height_mm
        printed = np.array([1.003, 0.992] if lies else [0.992, 1.003]) if correction else np.ones(2)
        _check_printed(page, drawing, printed)
        left, bottom, right, top = drawing.bounds()
        spare = np.array([page.width_mm, page.height_mm]) * printed - (right - left, top - bottom)
        # The strips for the bars and the margins, or what the bars of 100 mm themselves need.
        assert (spare >= (22 - 0.01, 33 - 0.01)).all()
        assert (spare <= (130, 140)).all()
        _check_within(page)


def test_the_same_bytes_twice(rib: Rib, title: str, tmp_path: Path) -> None:
    for name in ("one.pdf", "two.pdf"):
        _written(tmp_path / name, rib(95, 85, title=title), rib(300, 120))
    assert (tmp_path / "one.pdf").read_bytes() == (tmp_path / "two.pdf").read_bytes()


def test_a_bar_is_named_by_the_edge_of_the_paper_it_runs_along(rib: Rib, tmp_path: Path) -> None:
    _written(tmp_path / "t.pdf", rib(95, 200), rib(250, 120))
    lying = []
    with pypdfium2.PdfDocument(tmp_path / "t.pdf") as pdf:
        for page in pdf:
            wide, high = page.get_size()
            lying.append(wide > high)
            text = page.get_textpage()
            for words, along_short in (("ACROSS, short edge", True), ("UP, long edge", False)):
                found = text.search(words).get_next()
                assert found is not None
                first, last = (text.get_charbox(index) for index in (found[0], found[0] + found[1] - 1))
                level = abs(last[0] - first[0]) > abs(last[1] - first[1])
                assert level == (along_short != (wide > high))
    assert sorted(lying) == [False, True]


def test_words_on_every_page_and_a_title_in_any_script(rib: Rib, title: str, tmp_path: Path) -> None:
    _written(tmp_path / "t.pdf", rib(300, 120, title=title), rib(90, 80, "tombo", title))
    joined = " ".join(_texts(tmp_path / "t.pdf"))
    for text in _texts(tmp_path / "t.pdf"):
        assert MEASURE in text
        assert text.count("100 mm") == 2
        assert "4 in" in text
        assert "actual size, 1:1" in text
        assert "v1 · abc123" in text
        # Czech, Greek, ampersand and quotes as they are; what the face lacks as a box.
        assert 'Hrnek "Žluťoučký" & κύπελλο <□> □' in text
    assert "inside rib, part A1" in joined
    assert "inside rib, part A2" in joined


@pytest.mark.parametrize(
    ("title", "shown"),
    [
        ("Κύπελλο τσαγιού", "Κύπελλο τσαγιού"),
        ("Hrníček na čaj, žlutý", "Hrníček na čaj, žlutý"),
        ("茶碗", "□□"),
        ("Cup/saucer", "Cup/saucer"),
        ('The "good" one\'s', 'The "good" one\'s'),
        ("Salt & pepper <b>", "Salt & pepper <b>"),
        ("Cocoa 🍵 cup", "Cocoa □ cup"),
        ("Bowl: tall: second", "Bowl: tall: second"),
        ("W" * 200, "W" * 200),
        ("", ""),
    ],
)
def test_a_title_stands_on_its_sheet_whole(rib: Rib, tmp_path: Path, title: str, shown: str) -> None:
    tools = ("inside_rib", "trimming_gauge", "turning_stick", "tombo")
    drawings = [
        replace(rib(80, 70, name), title=f"{title}: {name.replace('_', ' ')}, held", words=()) for name in tools
    ]
    (text,) = _texts_of(tmp_path / "t.pdf", drawings)
    wanted = f"{shown}: inside rib, trimming gauge, turning stick, tombo".strip()
    # A word of 200 letters is broken over lines: nothing of it is lost.
    assert wanted.replace(" ", "") in text.replace(" ", "")
    assert wanted in text or len(title) == 200
    assert "…" not in text


def _texts_of(path: Path, drawings: Sequence[Drawing]) -> list[str]:
    _written(path, *drawings)
    return _texts(path)


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
