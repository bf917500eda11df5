"""A sheet that is not what it should be is found out."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import pikepdf
import pytest

from profiler.faults import Fault
from profiler.geometry.curve import Curve, cubic, line
from profiler.proof import Finding, ProofError, prove_dxf, prove_pdf, prove_svg, proved
from profiler.proof_report import told
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


def _with_edge(curve: Curve, drawing: Drawing = RIB) -> Drawing:
    return replace(drawing, lines=(replace(drawing.lines[0], curve=curve), *drawing.lines[1:]))


def _bent(off_mm: float) -> Drawing:
    """The rib with one handle of its profile moved."""
    cubics = EDGE.cubics.copy()
    cubics[1, 2, 0] += off_mm
    return _with_edge(Curve(cubics))


def _scaled(by: float) -> Drawing:
    return replace(RIB, lines=tuple(replace(one, curve=one.curve.mapped(by, by)) for one in RIB.lines))


def _svg(drawing: Drawing, folder: Path) -> Path:
    path = folder / "outside_rib.svg"
    write_svg(drawing, path, stamp="profiler 0 · 00000000")
    return path


def _dxf(drawing: Drawing, folder: Path) -> Path:
    path = folder / "outside_rib.dxf"
    write_dxf(drawing, path, stamp="profiler 0 · 00000000")
    return path


def _pdf(
    drawings: tuple[Drawing, ...], folder: Path, paper: str = "A4", correction: Correction | None = None
) -> Path:
    path = folder / "templates.pdf"
    write_templates_pdf(drawings, path, paper=paper, stamp="profiler 0 · 00000000", correction=correction)
    return path


def _one_pdf(drawing: Drawing, folder: Path) -> Path:
    return _pdf((drawing,), folder)


def _prove_one_pdf(drawing: Drawing, path: Path) -> float:
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
    [Kind(_svg, prove_svg, 1e-4), Kind(_dxf, prove_dxf, 1e-4), Kind(_one_pdf, _prove_one_pdf, PDF_MM)],
    ids=["svg", "dxf", "pdf"],
)


@KINDS
def test_an_honest_sheet_passes(kind: Kind, tmp_path: Path) -> None:
    path = kind.write(RIB, tmp_path)
    assert kind.prove(RIB, path) <= kind.most_mm
    finding = proved(path, [STICK, RIB])
    assert finding.ok
    assert [found.name for found in finding.profiles] == ["outside_rib"]


@KINDS
@pytest.mark.parametrize("off", [0.02, -0.02, "twice the bound"])
def test_a_handle_out_of_place_is_found(kind: Kind, off: float | str, tmp_path: Path) -> None:
    moved = off if isinstance(off, float) else 2 * kind.most_mm
    path = kind.write(_bent(moved), tmp_path)
    with pytest.raises(ProofError, match=rf"^{path.name}: .*lies {abs(moved):.2g} mm off that of outside_rib"):
        kind.prove(RIB, path)
    assert not proved(path, [RIB]).ok


@KINDS
def test_a_drawing_scaled_as_a_whole_is_found(kind: Kind, tmp_path: Path) -> None:
    path = kind.write(_scaled(1.001), tmp_path)
    # The profile is 95 mm high: its end lies 0.095 mm off.
    with pytest.raises(ProofError, match=r"lies 0\.0[0-9]+ mm off"):
        kind.prove(RIB, path)


@KINDS
def test_another_designs_sheet_is_found(kind: Kind, tmp_path: Path) -> None:
    path = kind.write(RIB, tmp_path)
    longer = _with_edge(EDGE + line(EDGE.end, (61.0, 95.0)), replace(RIB, name="inside_rib"))
    for other in (STICK, longer):
        with pytest.raises(ProofError, match=r"off that of turning_stick|none of the design's"):
            kind.prove(other, path)
        assert not proved(path, [other]).ok


@KINDS
def test_a_sheet_without_a_profile_is_found(kind: Kind, tmp_path: Path) -> None:
    path = kind.write(replace(RIB, lines=RIB.lines[1:]), tmp_path)
    with pytest.raises(ProofError, match=r"0 profiles where one is wanted|no profile stands on it"):
        kind.prove(RIB, path)
    assert not proved(path, None).ok


@pytest.mark.parametrize("write", [_svg, _dxf])
def test_a_cut_file_shifted_as_a_whole_is_found(write: Callable[[Drawing, Path], Path], tmp_path: Path) -> None:
    moved = replace(RIB, lines=tuple(replace(one, curve=one.curve.moved(0.01, 0.0)) for one in RIB.lines))
    assert not proved(write(moved, tmp_path), [RIB]).ok


@pytest.mark.parametrize("count", [0, 2])
def test_an_svg_has_one_profile(count: int, tmp_path: Path) -> None:
    path = _svg(RIB, tmp_path)
    text = path.read_text(encoding="utf-8")
    found = re.search(r'<path [^>]*id="profile"[^>]*/>', text)
    assert found is not None
    path.write_text(text.replace(found[0], found[0] * count), encoding="utf-8")
    with pytest.raises(ProofError, match=f"{count} profiles"):
        prove_svg(RIB, path)


@pytest.mark.parametrize("name", ["width", "height", "viewBox"])
def test_an_svg_scaled_by_its_frame_is_found_with_and_without_a_design(name: str, tmp_path: Path) -> None:
    path = _svg(RIB, tmp_path)
    text = path.read_text(encoding="utf-8")

    (stated,) = re.findall(rf' {name}="([^"]*)"', text)
    if name == "viewBox":
        x, y, wide, high = map(float, stated.split())
        scaled = f"{x} {y} {1.001 * wide} {1.001 * high}"
    else:
        scaled = f"{1.001 * float(stated.removesuffix('mm'))}mm"
    path.write_text(text.replace(f' {name}="{stated}"', f' {name}="{scaled}"'), encoding="utf-8")
    for templates in ([RIB], None):
        finding = proved(path, templates)
        assert any(re.search(r"a unit is (1\.001|0\.999001) mm (across|up), not 1", words) for words in finding.wrong)
        assert finding.unit != "millimetres"


@pytest.mark.parametrize(("code", "unit"), [(1, "inches"), (0, "no unit"), (6, "metres"), (99, "unit 99")])
def test_a_dxf_in_another_unit_is_found_with_and_without_a_design(code: int, unit: str, tmp_path: Path) -> None:
    path = _dxf(RIB, tmp_path)
    text = path.read_text(encoding="utf-8")
    assert text.count("$INSUNITS\n 70\n4\n") == 1
    path.write_text(text.replace("$INSUNITS\n 70\n4\n", f"$INSUNITS\n 70\n{code}\n"), encoding="utf-8")
    with pytest.raises(ProofError, match=f"the unit is {unit}, not millimetres"):
        prove_dxf(RIB, path)
    assert proved(path, None).wrong == (f"the unit is {unit}, not millimetres",)


def test_an_honest_pdf_passes_on_any_paper(tmp_path: Path) -> None:
    for paper in ("A4", "A3", "Letter", "Tabloid", "own"):
        assert prove_pdf((RIB, STICK), _pdf((RIB, STICK), tmp_path, paper)) <= PDF_MM


def test_a_template_left_out_of_the_pdf_is_found(tmp_path: Path) -> None:
    path = _pdf((RIB,), tmp_path)
    with pytest.raises(ProofError, match="the profile of turning_stick is not in it"):
        prove_pdf((RIB, STICK), path)
    # The command may be given one sheet of many: it says so.
    assert proved(path, [RIB, STICK]).absent == ("turning_stick",)
    assert "not in it: turning_stick" in told(proved(path, [RIB, STICK]))


def test_a_profile_of_no_template_in_a_pdf_is_found(tmp_path: Path) -> None:
    finding = proved(_pdf((RIB, STICK), tmp_path), [RIB])
    assert not finding.ok
    assert len(finding.profiles) == 2


def test_a_drawing_turned_a_quarter_is_known_again_and_one_turned_back_to_front_is_not(tmp_path: Path) -> None:
    assert prove_pdf((RIB,), _pdf((RIB.quarter_turned(),), tmp_path)) <= PDF_MM
    mirrored = replace(RIB, lines=tuple(replace(one, curve=one.curve.mapped(-1, 1)) for one in RIB.lines))
    assert not proved(_pdf((mirrored,), tmp_path), [RIB]).ok


def test_every_tile_must_agree(tmp_path: Path) -> None:
    large = _scaled(5.0)
    path = _pdf((large,), tmp_path)
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
    path = _pdf((RIB,), tmp_path)
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
    path = _pdf((RIB, wide), tmp_path, paper, KITCHEN)
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
    path = _pdf((RIB,), tmp_path, correction=written)
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
    path = _pdf((RIB,), tmp_path, correction=KITCHEN)
    with pikepdf.open(path, allow_overwriting_input=True) as pdf:
        pdf.docinfo["/Keywords"] = keywords
        pdf.save(path)
    assert message in "; ".join(proved(path, [RIB]).wrong)


@KINDS
def test_without_a_design_only_the_sheet_itself_is_judged(kind: Kind, tmp_path: Path) -> None:
    bent = _bent(5.0)
    path = kind.write(bent, tmp_path)
    assert kind.prove(bent, path) <= kind.most_mm
    finding = proved(path, None)
    assert finding.ok
    assert not finding.compared
    assert "compared with no design" in told(finding)
    assert "true" not in told(finding)


def test_a_file_of_another_name_goes_by_the_nearest_template(tmp_path: Path) -> None:
    path = _svg(RIB, tmp_path).rename(tmp_path / "for the laser.svg")
    (found,) = proved(path, [STICK, RIB]).profiles
    assert found.name == "outside_rib"


# The same working edge on a larger body, as pointer cards of a jar and its cap lid have: the back 30 mm further out.
TWIN = replace(
    RIB,
    name="lid_rib",
    lines=(
        RIB.lines[0],
        replace(
            RIB.lines[1],
            curve=line((60.0, 95.0), (130.0, 95.0))
            + line((130.0, 95.0), (130.0, 0.0))
            + line((130.0, 0.0), (30.0, 0.0)),
        ),
    ),
)


@pytest.mark.parametrize("order", [(RIB, TWIN), (TWIN, RIB)])
def test_of_two_templates_with_one_profile_the_outline_tells_which_it_is(
    order: tuple[Drawing, Drawing], tmp_path: Path
) -> None:
    path = _pdf(order, tmp_path)
    assert prove_pdf(order, path) <= PDF_MM
    finding = proved(path, order)
    assert {found.name for found in finding.profiles} == {"outside_rib", "lid_rib"}
    assert finding.absent == ()
    # a file that goes by no name
    svg = _svg(TWIN, tmp_path).rename(tmp_path / "for the laser.svg")
    assert [found.name for found in proved(svg, order).profiles] == ["lid_rib"]
    assert proved(svg, order).ok
    # one of the two left out is still missed
    assert proved(_pdf((RIB,), tmp_path), order).absent == ("lid_rib",)
    # and one that is neither is still found out
    off = TWIN.lines[1].curve.cubics.copy()
    off[0, 3, 0] = off[1, 0, 0] = 128.0
    wrong = replace(TWIN, lines=(TWIN.lines[0], replace(TWIN.lines[1], curve=Curve(off))))
    said = proved(_pdf((wrong,), tmp_path), order).wrong
    assert any("lid_rib: the outline round the profile lies 2 mm off" in words for words in said)


def test_a_file_goes_by_the_template_of_its_name_though_another_fits(tmp_path: Path) -> None:
    path = _svg(RIB, tmp_path).rename(tmp_path / "turning_stick.svg")
    finding = proved(path, [STICK, RIB])
    assert [found.name for found in finding.profiles] == ["turning_stick"]
    assert not finding.ok


@pytest.mark.parametrize("name", ["none.svg", "none.dxf", "none.pdf", "none", "piece.step"])
def test_what_cannot_be_read_is_one_fault_with_its_file(name: str, tmp_path: Path) -> None:
    for make in (lambda: None, lambda: (tmp_path / name).write_text("hello\n")):
        make()
        with pytest.raises(Fault) as caught:
            proved(tmp_path / name, None)
        assert caught.value.file == tmp_path / name
        assert caught.value.wanted
        assert "\n" not in str(caught.value)


@pytest.mark.parametrize("kind", ["svg", "dxf", "pdf"])
def test_a_folder_is_no_sheet(kind: str, tmp_path: Path) -> None:
    (tmp_path / f"a.{kind}").mkdir()
    with pytest.raises(Fault, match="not a file"):
        proved(tmp_path / f"a.{kind}", None)


def test_what_is_told_of_a_true_sheet(tmp_path: Path) -> None:
    # The rib with its margin of 6 mm all round; the file keeps seven decimals, so it may be 5e-8 off.
    words = told(proved(_svg(RIB, tmp_path), [RIB]))
    assert re.fullmatch(
        r"outside_rib\.svg: profile of outside_rib lies (0|\de-\d+) mm off; 82\.0 × 107\.0 mm, millimetres: "
        "true to size",
        words,
    )
    words = told(proved(_pdf((RIB, STICK), tmp_path, correction=KITCHEN), [RIB, STICK]))
    assert re.search(r"profiles of .* lie at most \de-\d+ mm off; 1 page of A4", words)
    assert "not scaled in print, corrected for 'Kitchen inkjet' (99.2 across, 100.3 up): true to size" in words


def test_what_is_told_of_a_wrong_sheet(tmp_path: Path) -> None:
    first, *wrong, _facts = told(proved(_svg(_bent(0.02), tmp_path), [RIB])).splitlines()
    assert first == "outside_rib.svg: NOT true to size"
    assert wrong == ["  the profile lies 0.02 mm off that of outside_rib"]


def test_a_strangers_words_are_told_without_their_control_characters(tmp_path: Path) -> None:
    path = _pdf((RIB,), tmp_path, correction=KITCHEN)
    with pikepdf.open(path, allow_overwriting_input=True) as pdf:
        pdf.docinfo["/Keywords"] = "corrected across 99.2 up 100.3 for \x1b[31m" + "k" * 500
        pdf.Root.ViewerPreferences.PrintScaling = pikepdf.String("\x1b[31m")
        pdf.save(path)
    words = told(proved(path, [RIB]))
    assert "\x1b" not in words
    assert max(map(len, words.splitlines())) < 400


def test_the_most_that_any_profile_is_off_is_told() -> None:
    finding = Finding(Path("a.svg"), "SVG", "", "", compared=True, profiles=(), wrong=())
    assert finding.off_mm == 0
    assert np.isfinite(finding.off_mm)


@pytest.mark.parametrize("write", [_svg, _dxf, _one_pdf])
def test_an_edge_that_stands_elsewhere_is_found(write: Callable[[Drawing, Path], Path], tmp_path: Path) -> None:
    """A gauge whose profile is right but stands at another height over what it stands on is wrong."""
    foot = line((60.0, 95.0), (100.0, 95.0)) + line((100.0, 95.0), (100.0, -0.02)) + line((100.0, -0.02), (30.0, 0.0))
    lower = replace(RIB.lines[1], curve=foot)
    path = write(replace(RIB, lines=(RIB.lines[0], lower)), tmp_path)
    finding = proved(path, [RIB])
    assert not finding.ok
    assert "the outline round the profile lies 0.02 mm off" in " ".join(finding.wrong)
    assert proved(write(RIB, tmp_path), [RIB]).ok
    gone = write(replace(RIB, lines=RIB.lines[:1]), tmp_path)
    assert not proved(gone, [RIB]).ok
