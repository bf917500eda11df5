"""A sheet that is not what it should be is found out."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pikepdf
import pytest

from profiler.faults import Fault
from profiler.geometry.curve import Curve, line
from profiler.proof import Finding, ProofError, prove_dxf, prove_pdf, prove_svg, proved
from profiler.proof_report import told
from profiler.templates.drawing import Drawing
from tests.sheets_to_prove import (
    EDGE,
    KINDS,
    KITCHEN,
    PDF_MM,
    RIB,
    STICK,
    Kind,
    bent,
    dxf_of,
    one_pdf,
    pdf_of,
    scaled,
    svg_of,
    with_edge,
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
    path = kind.write(bent(moved), tmp_path)
    with pytest.raises(ProofError, match=rf"^{path.name}: .*lies {abs(moved):.2g} mm off that of outside_rib"):
        kind.prove(RIB, path)
    assert not proved(path, [RIB]).ok


@KINDS
def test_a_drawing_scaled_as_a_whole_is_found(kind: Kind, tmp_path: Path) -> None:
    path = kind.write(scaled(1.001), tmp_path)
    # The profile is 95 mm high: its end lies 0.095 mm off.
    with pytest.raises(ProofError, match=r"lies 0\.0[0-9]+ mm off"):
        kind.prove(RIB, path)


@KINDS
def test_another_designs_sheet_is_found(kind: Kind, tmp_path: Path) -> None:
    path = kind.write(RIB, tmp_path)
    longer = with_edge(EDGE + line(EDGE.end, (61.0, 95.0)), replace(RIB, name="inside_rib"))
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


@pytest.mark.parametrize("write", [svg_of, dxf_of])
def test_a_cut_file_shifted_as_a_whole_is_found(write: Callable[[Drawing, Path], Path], tmp_path: Path) -> None:
    moved = replace(RIB, lines=tuple(replace(one, curve=one.curve.moved(0.01, 0.0)) for one in RIB.lines))
    assert not proved(write(moved, tmp_path), [RIB]).ok


@pytest.mark.parametrize("count", [0, 2])
def test_an_svg_has_one_profile(count: int, tmp_path: Path) -> None:
    path = svg_of(RIB, tmp_path)
    text = path.read_text(encoding="utf-8")
    found = re.search(r'<path [^>]*id="profile"[^>]*/>', text)
    assert found is not None
    path.write_text(text.replace(found[0], found[0] * count), encoding="utf-8")
    with pytest.raises(ProofError, match=f"{count} profiles"):
        prove_svg(RIB, path)


@pytest.mark.parametrize("name", ["width", "height", "viewBox"])
def test_an_svg_scaled_by_its_frame_is_found_with_and_without_a_design(name: str, tmp_path: Path) -> None:
    path = svg_of(RIB, tmp_path)
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
    path = dxf_of(RIB, tmp_path)
    text = path.read_text(encoding="utf-8")
    assert text.count("$INSUNITS\n 70\n4\n") == 1
    path.write_text(text.replace("$INSUNITS\n 70\n4\n", f"$INSUNITS\n 70\n{code}\n"), encoding="utf-8")
    with pytest.raises(ProofError, match=f"the unit is {unit}, not millimetres"):
        prove_dxf(RIB, path)
    assert proved(path, None).wrong == (f"the unit is {unit}, not millimetres",)


@KINDS
def test_without_a_design_only_the_sheet_itself_is_judged(kind: Kind, tmp_path: Path) -> None:
    moved = bent(5.0)
    path = kind.write(moved, tmp_path)
    assert kind.prove(moved, path) <= kind.most_mm
    finding = proved(path, None)
    assert finding.ok
    assert not finding.compared
    assert "compared with no design" in told(finding)
    assert "true" not in told(finding)


def test_a_file_of_another_name_goes_by_the_nearest_template(tmp_path: Path) -> None:
    path = svg_of(RIB, tmp_path).rename(tmp_path / "for the laser.svg")
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
    path = pdf_of(order, tmp_path)
    assert prove_pdf(order, path) <= PDF_MM
    finding = proved(path, order)
    assert {found.name for found in finding.profiles} == {"outside_rib", "lid_rib"}
    assert finding.absent == ()
    # a file that goes by no name
    svg = svg_of(TWIN, tmp_path).rename(tmp_path / "for the laser.svg")
    assert [found.name for found in proved(svg, order).profiles] == ["lid_rib"]
    assert proved(svg, order).ok
    # one of the two left out is still missed
    assert proved(pdf_of((RIB,), tmp_path), order).absent == ("lid_rib",)
    # and one that is neither is still found out
    off = TWIN.lines[1].curve.cubics.copy()
    off[0, 3, 0] = off[1, 0, 0] = 128.0
    wrong = replace(TWIN, lines=(TWIN.lines[0], replace(TWIN.lines[1], curve=Curve(off))))
    said = proved(pdf_of((wrong,), tmp_path), order).wrong
    assert any("lid_rib: the outline round the profile lies 2 mm off" in words for words in said)


def test_a_file_goes_by_the_template_of_its_name_though_another_fits(tmp_path: Path) -> None:
    path = svg_of(RIB, tmp_path).rename(tmp_path / "turning_stick.svg")
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
    words = told(proved(svg_of(RIB, tmp_path), [RIB]))
    assert re.fullmatch(
        r"outside_rib\.svg: profile of outside_rib lies (0|\de-\d+) mm off; 82\.0 × 107\.0 mm, millimetres: "
        "true to size",
        words,
    )
    words = told(proved(pdf_of((RIB, STICK), tmp_path, correction=KITCHEN), [RIB, STICK]))
    assert re.search(r"profiles of .* lie at most \de-\d+ mm off; 1 page of A4", words)
    assert "not scaled in print, corrected for 'Kitchen inkjet' (99.2 across, 100.3 up): true to size" in words


def test_what_is_told_of_a_wrong_sheet(tmp_path: Path) -> None:
    first, *wrong, _facts = told(proved(svg_of(bent(0.02), tmp_path), [RIB])).splitlines()
    assert first == "outside_rib.svg: NOT true to size"
    assert wrong == ["  the profile lies 0.02 mm off that of outside_rib"]


def test_a_strangers_words_are_told_without_their_control_characters(tmp_path: Path) -> None:
    path = pdf_of((RIB,), tmp_path, correction=KITCHEN)
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


@pytest.mark.parametrize("write", [svg_of, dxf_of, one_pdf])
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
