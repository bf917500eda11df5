"""The spoon in a study: tried at every slant, each cut with its own notch, held against what `measure` finds."""

from __future__ import annotations

import math
import re
import time
from dataclasses import replace
from pathlib import Path

import pytest
from pypdfium2 import PdfDocument
from rich.console import Console

from profiler.design.model import Design, read_design
from profiler.faults import Fault
from profiler.lids.sizes import CutLid
from profiler.measures import Measures, measured
from profiler.piece import piece_of
from profiler.settings import Settings
from profiler.study.command import run_study
from profiler.study.rows import cells, heads, is_example, notes
from profiler.study.study import Study, study
from profiler.study.tried import Limits, Trial
from tests.study.designs import CYLINDER, POT, SPOON, design_from, study_of, trial_of

MUSTARD = Path(__file__).resolve().parents[2] / "designs_demo" / "mustard_pot.toml"


def _cut(design: Design, height: float, angle: float) -> Measures:
    """What `measure` finds of a design cut elsewhere."""
    lid = design.head.lid
    assert isinstance(lid, CutLid)
    changed = lid.model_copy(update={"height": height, "angle": angle})
    return measured(piece_of(replace(design, head=design.head.model_copy(update={"lid": changed}))), Settings())


@pytest.fixture(scope="module")
def mustard() -> Study:
    return study(Trial(read_design(MUSTARD), Limits()), (24.0, 88.0))


def test_every_row_of_every_slant_has_its_own_spoon(mustard: Study) -> None:
    assert len(mustard.slants) >= 3
    judged = set()
    for slant in mustard.slants:
        for row in slant.rows[::3]:
            if row.figures is None:
                assert row.lies is None
                continue
            assert row.lies is not None
            if "spoon_room" in row.failing:
                assert row.lies.spoon is None
                with pytest.raises(Fault, match=r"spoon\.bowl_"):
                    _cut(mustard.design, row.height, row.angle)
                judged.add("no place")
                continue
            spoon = _cut(mustard.design, row.height, row.angle).spoon
            assert spoon is not None
            assert row.lies.spoon == spoon
            closes = spoon.lid_gap_mm is not None and spoon.lid_gap_mm >= 0
            assert ("spoon_closes" in row.failing) == (not closes)
            judged.add("lies")
    assert judged == {"no place", "lies"}


def test_each_row_runs_over_at_a_notch_of_its_own(mustard: Study) -> None:
    column = heads(mustard).index("notch")
    told = {row.height: cells(mustard, row) for row in mustard.rows if row.takes_ml is not None}
    assert len({text[column] for text in told.values()}) > 5
    for height in list(told)[::3]:
        found = _cut(mustard.design, height, mustard.named.angle)
        assert found.spoon is not None
        # told to a tenth, rounded up so that the handle goes in
        assert 0 <= float(told[height][column]) - found.spoon.jar_notch_mm <= 0.1
        jar = next(m for state, m in found.parts["jar"].states.items() if state.name == "FIRED")
        assert float(told[height][1]) == pytest.approx(jar.capacity_ml, abs=0.5)  # told in whole ml


def test_a_cut_that_leaves_much_out_of_reach_does_not_hold(mustard: Study) -> None:
    left = set()
    for height in (80.0, 85.0, 86.2, 86.6, 88.0):
        tried = mustard.trial.at(height, 40.0, spoon_anyway=True)
        found = _cut(mustard.design, height, 40.0)
        assert found.spoon is not None
        assert tried.takes_ml is not None
        over = found.spoon.left_ml > tried.takes_ml / 10  # README: a tenth of the jar
        assert ("spoon_leaves" in tried.failing) == over
        left.add(over)
    assert left == {True, False}
    (span,) = mustard.named.spans
    assert span.high.fails == {"spoon_leaves"}
    (last,) = [row for row in mustard.rows if row.height == 88]
    assert "too much stays" in cells(mustard, last)[-1]
    stays = [float(cells(mustard, row)[heads(mustard).index("stays")]) for row in mustard.rows if row.takes_ml]
    assert stays[-1] > 35
    assert stays == sorted(stays)


@pytest.mark.parametrize(("height", "small"), [(4.3, True), (4.6, False)])
def test_a_jar_that_takes_nothing_does_not_hold(height: float, small: bool) -> None:
    """41 mm in radius, a floor of 5 mm, and the cut climbs 4 tan 20° = 1.46 mm to the inside: 4.0 and 5.6 ml."""
    tried = trial_of(CYLINDER + 'slope = "inward_up"\ngap = 0\n').at(height, 20.0)
    assert tried.takes_ml == pytest.approx(math.pi * 41**2 * (height + 4 * math.tan(math.radians(20)) - 5) / 1000)
    assert ("jar_small" in tried.failing) == small


@pytest.mark.parametrize(
    ("text", "heights"),
    [
        (POT, (50.0, 80.0)),
        (POT.replace("height = 72", "height = 20"), (50.0, 80.0)),
        (POT, (70.0, 70.0)),
    ],
)
def test_a_star_is_explained_where_one_is_printed(text: str, heights: tuple[float, float]) -> None:
    made = study_of(text, heights)
    starred = [row for row in made.rows if cells(made, row)[0].startswith("*")]
    assert len(starred) == 1
    assert made.shown is not None
    assert starred[0].height == made.shown.height
    assert "* the example" in notes(made)[0]


def test_where_nothing_holds_no_star_is_explained() -> None:
    made = study_of(POT, (50.0, 80.0), limits=Limits(capacity_least=9000))
    assert not any(is_example(made, row) for row in made.rows)
    assert "*" not in "".join(notes(made))
    (own,) = [row for row in made.rows if row.height == 72]
    assert cells(made, own)[-1] == "takes too little"  # the design's own cut with its reason beside it


def test_the_page_has_the_rows_of_the_terminal(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    path = tmp_path / "pot.toml"
    path.write_text(POT + SPOON, encoding="utf-8")
    for paper in ("A4", "Letter"):
        run_study(path, Settings(), heights="44:82", angles="40", paper=paper, out=tmp_path / paper)
        told = capsys.readouterr().out
        printed = re.findall(r"^ *(\*?[0-9]+)((?: +[0-9.]+){8}) ", told, re.MULTILINE)
        assert len(printed) == 20
        pages = PdfDocument(tmp_path / paper / "study.pdf")
        words = " ".join(" ".join(page.get_textpage().get_text_range().split()) for page in pages)
        for place, figures in printed:
            assert " ".join([place, *figures.split()]) in words
        for name in ("study.svg", "study.pdf"):
            assert f"written: {tmp_path / paper / name}" in told


def test_a_height_left_open_ends_with_what_to_write(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "pot.toml"
    left_open = (POT + SPOON).replace("height = 72\n", "")
    path.write_text(left_open, encoding="utf-8")
    run_study(path, Settings(), heights="60:75", angles="35")
    told = " ".join(capsys.readouterr().out.split())
    found = re.search(
        r"write into \[lid\] of pot\.toml: (height = [0-9.]+) and, on the next line, (angle = 35)", told
    )
    assert found is not None
    assert float(found[1].split()[-1]) == float(re.findall(r"at ([0-9.]+) mm the jar takes", told)[0])
    # written as told it is the design's own cut, and there is no more to write
    path.write_text(left_open.replace("angle = 40", f"{found[1]}\n{found[2]}"), encoding="utf-8")
    run_study(path, Settings(), heights="60:75", angles="35")
    told = " ".join(capsys.readouterr().out.split())
    assert "write into" not in told
    assert f"at {found[1].split()[-1]} mm the jar takes" in told


def test_in_inches_the_line_to_write_has_its_unit(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "pot.toml"
    text = 'units = "in"\n' + POT.replace("96", "3.75").replace("105", "4.125").replace("height = 72\n", "")
    path.write_text(text, encoding="utf-8")
    run_study(path, Settings(), heights="2 1/2 in:3", angles="40")
    found = re.search(r'write into \[lid\] of pot.toml: (height = "([0-9.]+) mm")', capsys.readouterr().out)
    assert found is not None
    path.write_text(text.replace("angle = 40", f"{found[1]}\nangle = 40"), encoding="utf-8")
    lid = read_design(path).head.lid
    assert isinstance(lid, CutLid)
    assert lid.height == float(found[2])


def test_a_terminal_sees_how_far_the_study_is(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "pot.toml"
    path.write_text(POT, encoding="utf-8")
    run_study(path, Settings(), heights="60:75", angles="40")
    assert capsys.readouterr().err == ""

    def terminal(*, stderr: bool = False) -> Console:
        return Console(stderr=stderr, force_terminal=stderr, width=80)

    monkeypatch.setattr("profiler.study.command.console", terminal)
    run_study(path, Settings(), heights="60:75", angles="40")
    assert re.search("cut [0-9]+: [67][0-9.]+ mm at 40°", capsys.readouterr().err)


def test_a_whole_study_with_a_spoon_is_quick() -> None:
    begun = time.process_time()
    made = study(Trial(read_design(MUSTARD), Limits()))
    assert len(made.slants) == 3
    # measured about 4 s with one slant's spoon taking 8 before; half as much again for work beside the tests
    assert time.process_time() - begun < 8


def test_what_is_asked_of_a_spoon_that_no_cutter_fits_is_a_fault() -> None:
    design = design_from((POT + SPOON) + "cutters = [4]\n")
    with pytest.raises(Fault) as caught:
        study(Trial(design, Limits()), (60.0, 70.0), 40.0)
    assert caught.value.field == "notch.cutters"
