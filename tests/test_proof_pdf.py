"""A PDF that would not print as it should is found out."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pikepdf
import pytest

from profiler.proof import ProofError, prove_pdf, proved
from profiler.proof_report import told
from profiler.sheets.paper import Correction
from tests.sheets_to_prove import KITCHEN, PDF_MM, RIB, STICK, pdf_of, scaled


def test_an_honest_pdf_passes_on_any_paper(tmp_path: Path) -> None:
    for paper in ("A4", "A3", "Letter", "Tabloid", "own"):
        assert prove_pdf((RIB, STICK), pdf_of((RIB, STICK), tmp_path, paper)) <= PDF_MM


def test_a_template_left_out_of_the_pdf_is_found(tmp_path: Path) -> None:
    path = pdf_of((RIB,), tmp_path)
    with pytest.raises(ProofError, match="the profile of turning_stick is not in it"):
        prove_pdf((RIB, STICK), path)
    # The command may be given one sheet of many: it says so.
    assert proved(path, [RIB, STICK]).absent == ("turning_stick",)
    assert "not in it: turning_stick" in told(proved(path, [RIB, STICK]))


def test_a_profile_of_no_template_in_a_pdf_is_found(tmp_path: Path) -> None:
    finding = proved(pdf_of((RIB, STICK), tmp_path), [RIB])
    assert not finding.ok
    assert len(finding.profiles) == 2


def test_a_drawing_turned_a_quarter_is_known_again_and_one_turned_back_to_front_is_not(tmp_path: Path) -> None:
    assert prove_pdf((RIB,), pdf_of((RIB.quarter_turned(),), tmp_path)) <= PDF_MM
    mirrored = replace(RIB, lines=tuple(replace(one, curve=one.curve.mapped(-1, 1)) for one in RIB.lines))
    assert not proved(pdf_of((mirrored,), tmp_path), [RIB]).ok


def test_every_tile_must_agree(tmp_path: Path) -> None:
    large = scaled(5.0)
    path = pdf_of((large,), tmp_path)
    assert prove_pdf((large,), path) <= PDF_MM
    with pikepdf.open(path, allow_overwriting_input=True) as pdf:
        assert len(pdf.pages) > 3
        # the first point of the second page's profile, a tenth of a millimetre off
        text = pdf.pages[1].Contents.read_bytes()
        head, mark, rest = text.partition(b"/profile BMC")
        x, y = re.findall(rb"([-0-9.]+) ([-0-9.]+) m ", rest)[0]
        assert rest.count(b"%s %s m " % (x, y)) == 1
        moved = rest.replace(b"%s %s m " % (x, y), b"%f %s m " % (float(x) + 0.1, y))
        pdf.pages[1].Contents = pdf.make_stream(head + mark + moved)
        pdf.save(path)
    with pytest.raises(ProofError, match=r"page 2: the profile lies 0\.1 mm off"):
        prove_pdf((large,), path)


def _altered(path: Path, change: str) -> None:
    with pikepdf.open(path, allow_overwriting_input=True) as pdf:
        page = pdf.pages[0]
        text = page.Contents.read_bytes()
        if change == "scaling":
            pdf.Root.ViewerPreferences.PrintScaling = pikepdf.Name("/AppDefault")
        elif change == "no word on scaling":
            del pdf.Root.ViewerPreferences
        elif change == "page":
            page.MediaBox = pikepdf.Array([float(v) * 1.001 for v in page.mediabox])
        elif change == "unit":
            page.UserUnit = 1.001  # ISO 32000-1, 14.11.1
        elif change == "turned":
            page.Rotate = 90
        elif change == "bar":
            # 99.9 mm for 100: the end of the first bar, which stands in mm after the page's own `cm`
            head, mark, rest = text.partition(b"/bar BMC")
            (run,) = re.findall(rb"([-0-9.]+) [-0-9.]+ m ([-0-9.]+) [-0-9.]+ l", rest)[:1]
            assert abs(float(run[1]) - float(run[0])) == pytest.approx(100, abs=1e-3)
            end = b"%.4f" % (float(run[1]) - 0.1)
            page.Contents = pdf.make_stream(head + mark + rest.replace(b" m %s " % run[1], b" m %s " % end, 1))
        else:
            page.Contents = pdf.make_stream(b"1.001 0 0 1.001 0 0 cm\n" + text)
        pdf.save(path)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ("scaling", "print scaling is '/AppDefault', not None"),
        ("no word on scaling", "print scaling is '', not None"),
        ("page", r"page 1: it is (210\.21 × 297\.30|297\.30 × 210\.21) mm, and not quite A4"),
        ("unit", "page 1: .*not quite A4.*a bar across is 100.100 mm"),
        ("turned", "page 1: a viewer turns it by 90 degrees"),
        ("bar", "page 1: a bar across is 99.900 mm, not 100"),
        ("cm", "page 1: a bar across is 100.100 mm, not 100"),
    ],
)
@pytest.mark.parametrize("compared", [True, False])
def test_a_pdf_that_would_print_wrong_is_refused(change: str, message: str, compared: bool, tmp_path: Path) -> None:
    path = pdf_of((RIB,), tmp_path)
    _altered(path, change)
    with pytest.raises(ProofError, match=message):
        prove_pdf((RIB,), path)
    finding = proved(path, [RIB] if compared else None)
    assert re.search(message, "; ".join(finding.wrong))
    assert ("bars of 100 mm" in told(finding)) == ("bar across" not in message)
    # the keywords say that nothing is corrected
    assert finding.correction == "not corrected"


@pytest.mark.parametrize("paper", ["A4", "own"])
def test_a_printers_correction_is_undone_on_upright_and_lying_pages(paper: str, tmp_path: Path) -> None:
    wide = replace(RIB, name="wide", lines=tuple(replace(one, curve=one.curve.mapped(2.6, 1.0)) for one in RIB.lines))
    path = pdf_of((RIB, wide), tmp_path, paper, KITCHEN)
    assert prove_pdf((RIB, wide), path, KITCHEN) <= PDF_MM
    finding = proved(path, [RIB, wide])
    assert finding.corrected == (99.2, 100.3)
    assert "Kitchen inkjet" in finding.correction
    with pikepdf.open(path) as pdf:
        lies = {float(page.mediabox[2]) > float(page.mediabox[3]) for page in pdf.pages}
    assert paper == "A4" or lies == {True, False}


@pytest.mark.parametrize(
    ("written", "wanted"),
    [(KITCHEN, None), (None, KITCHEN), (KITCHEN, Correction("Kitchen inkjet", 99.3, 100.3))],
)
def test_a_correction_other_than_the_printers_is_refused(
    written: Correction | None, wanted: Correction | None, tmp_path: Path
) -> None:
    path = pdf_of((RIB,), tmp_path, correction=written)
    with pytest.raises(ProofError, match="was to be corrected for"):
        prove_pdf((RIB,), path, wanted)


@pytest.mark.parametrize(
    ("keywords", "message"),
    [
        ("not corrected", "a bar across is"),
        ("corrected across 100.3 up 99.2 for k", "a bar across is"),
        ("corrected across 99.3 up 100.3 for k", "a bar across is"),
        ("corrected across 0 up 100 for k", "wrong print setting"),
        ("corrected across " + "9" * 400 + " up 100 for k", "wrong print setting"),
    ],
)
def test_keywords_that_do_not_fit_the_bars_are_refused(keywords: str, message: str, tmp_path: Path) -> None:
    path = pdf_of((RIB,), tmp_path, correction=KITCHEN)
    with pikepdf.open(path, allow_overwriting_input=True) as pdf:
        pdf.docinfo["/Keywords"] = keywords
        pdf.save(path)
    assert message in "; ".join(proved(path, [RIB]).wrong)
