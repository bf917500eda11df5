"""`profiler note`: short words in, a line each in the record, slips told, nothing written if something is wrong."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

Command = Callable[..., tuple[int, str, str]]


def _lines(record: Path) -> list[dict[str, Any]]:
    return [json.loads(line) for line in record.read_text(encoding="utf-8").splitlines()]


def test_a_pot_is_noted_in_one_short_command(command: Command, bowl: Path, record: Path) -> None:
    code, out, err = command(
        "note", bowl, "ball=620", "thrown=575", "rim@wet=176", "height@leather-hard=73,5", "rim@fired=6 1/8 in"
    )
    assert (code, err) == (0, "")
    (line,) = _lines(record)
    assert line["values"] == {
        "ball": 620.0,
        "thrown": 575.0,
        "rim@wet": 176.0,
        "height@leather_hard": 73.5,
        "rim@fired": pytest.approx(155.575, rel=1e-12),  # 6.125 x 25.4, exact but for rounding
    }
    assert line["pot"] == "1"
    assert line["planned"]["rim@fired"] == pytest.approx(155.0, rel=1e-12)
    assert line["planned"]["rim@wet"] == pytest.approx(155 / 0.88, rel=1e-12)  # the stoneware's 12 %
    assert "pot 1: ball 620 g, thrown 575 g, rim as thrown 176 mm" in out
    assert "slip" not in out


def test_pots_without_a_name_are_numbered_and_a_name_adds_to_its_pot(
    command: Command, bowl: Path, record: Path
) -> None:
    command("note", bowl, "ball=620")
    command("note", bowl, "ball=620")
    command("note", bowl, "thrown=575", "--pot", "1")
    command("note", bowl, "ball=620", "--pot", "brown")
    command("note", bowl, "ball=620")
    assert [line["pot"] for line in _lines(record)] == ["1", "2", "1", "brown", "3"]


def test_a_retry_with_its_id_is_no_double(command: Command, bowl: Path, record: Path) -> None:
    for pot in ([], [], ["--pot", "1"]):
        code, out, _ = command("note", bowl, "ball=620", "--id", "monday-1", *pot)
        assert code == 0
    assert "pot 1: entry monday-1 was noted already" in out
    assert len(_lines(record)) == 1
    code, out, err = command("note", bowl, "ball=630", "--id", "monday-1")
    assert (code, out) == (2, "")
    assert err == "--id: another entry has this id already (found monday-1; wanted an id of its own)\n"
    assert len(_lines(record)) == 1


def test_a_figure_far_off_the_plan_is_taken_and_questioned(command: Command, bowl: Path, record: Path) -> None:
    code, out, _ = command("note", bowl, "rim@wet=76", "--id", "monday-1")
    assert code == 0
    assert "rim as thrown is 76 mm, the design says 176: a slip?" in out
    assert "`--strike monday-1` takes the entry back" in out
    assert len(_lines(record)) == 1
    # within a fifth nothing is asked
    assert "slip" not in command("note", bowl, "rim@wet=150")[1]


def test_a_pot_that_grew_or_has_two_readings_is_questioned(command: Command, bowl: Path) -> None:
    command("note", bowl, "rim@wet=160", "weight@bone_dry=330")
    _, out, _ = command("note", bowl, "rim@fired=165", "weight@bisque=340", "--pot", "1")
    assert "rim glaze-fired 165 is more than rim as thrown 160: a slip?" in out
    assert "weight bisque-fired 340 is more than weight bone-dry 330: a slip?" in out
    _, out, _ = command("note", bowl, "rim@wet=176", "--pot", "1")
    assert "rim as thrown was 160 (entry " in out
    assert "both count, as their mean, until you `--strike` the wrong one" in out
    assert "a slip?" not in out
    # a small correction is the commonest kind
    _, out, _ = command("note", bowl, "weight@bone_dry=331", "--pot", "1")
    assert "weight bone-dry was 330 (entry " in out
    _, out, _ = command("note", bowl, "weight@bone_dry=331", "--pot", "1")
    assert out.count("both count") == 1  # that of 330; two alike are no question
    # glaze makes heavier
    assert "slip" not in command("note", bowl, "weight@bisque=310", "weight@fired=330")[1]


@pytest.mark.parametrize(
    ("first", "then", "says"),
    [
        (
            [],
            ["ball=530", "thrown=560"],
            "thrown: pot 1: more clay thrown than there was (found 560 g; wanted at most the 530 g of `ball`)",
        ),
        (
            ["ball=530"],
            ["thrown=560"],
            "thrown: pot 1: more clay thrown than there was (found 560 g; wanted at most the 530 g of `ball`)",
        ),
        (
            ["thrown=90"],
            ["trimmed=95"],
            "trimmed: pot 1: more clay trimmed than there was (found 95 g; wanted at most the 90 g of `thrown`)",
        ),
    ],
)
def test_more_clay_than_there_was_is_refused(
    command: Command, bowl: Path, record: Path, first: list[str], then: list[str], says: str
) -> None:
    if first:
        command("note", bowl, *first, "--pot", "1")
    code, out, err = command("note", bowl, *then, "--pot", "1")
    assert (code, out) == (2, "")
    assert err.startswith(says)
    assert record.exists() == bool(first)
    assert not first or len(_lines(record)) == 1


def test_an_entry_is_taken_back_and_stays_in_the_file(command: Command, bowl: Path, record: Path) -> None:
    command("note", bowl, "ball=620", "--id", "monday-1")
    command("note", bowl, "ball=700", "--id", "monday-22")
    command("note", bowl, "ball=700", "--id", "monday-23")
    before = record.read_bytes()
    code, out, _ = command("note", bowl, "--strike", "monday-22")
    assert (code, out) == (0, "pot 2: entry monday-22 taken back\n")
    assert record.read_bytes().startswith(before)
    assert _lines(record)[-1]["strike"] == "monday-22"
    held = record.read_bytes()
    assert command("note", bowl, "--strike", "monday-22")[1] == "pot 2: entry monday-22 had been taken back already\n"
    assert record.read_bytes() == held
    code, _, err = command("note", bowl, "--strike", "monday-2")
    assert code == 2
    assert "several entries begin so (found 'monday-2'; wanted monday-22 (pot 2), monday-23 (pot 3))" in err
    code, _, err = command("note", bowl, "--strike", "tuesday")
    assert (code, "no such entry (found 'tuesday'" in err) == (2, True)
    assert record.read_bytes() == held


FAULTS = [
    (["bell=560"], "not something to note (found 'bell'; wanted perhaps `ball`)"),
    (["ball"], "not a figure with its name (found 'ball'; wanted such as ball=560 or rim@fired=155)"),
    (["lid.height@fired=30"], "this piece has no such measure (found `lid.height@fired`; wanted `height@fired`)"),
    (["ball=560", "ball=570"], "ball: noted twice in one command (found 'ball=570'; wanted one figure for each)"),
    (["ball=x", "thrown=y"], "thrown: not an amount (found 'y'"),
    (["ball=560", "--pot", "a\tb"], "--pot: not a name for a pot"),
    (["ball=560", "--id", "a b"], "--id: not an id"),
    (["ball=560", "--date", "yesterday"], "--date: not a date (found 'yesterday'"),
    (["--pot", "1"], "nothing to note"),
    (["ball=560", "--strike", "abcd"], "--strike: an entry is taken back by itself"),
    (["ball=560", "--csv", "x.csv"], "--csv: a table names its pots itself"),
]


@pytest.mark.parametrize(("words", "says"), FAULTS, ids=[" ".join(words) for words, _ in FAULTS])
def test_words_that_cannot_be_used_write_nothing(
    command: Command, bowl: Path, record: Path, words: list[str], says: str
) -> None:
    code, out, err = command("note", bowl, *words)
    assert (code, out) == (2, "")
    assert says in err
    assert not record.exists()


def test_each_wrong_word_is_told_in_one_go(command: Command, bowl: Path) -> None:
    _, _, err = command("note", bowl, "bell=1", "rim=2", "thrown=575")
    assert len(err.splitlines()) == 2


def test_without_figures_it_lists_what_can_be_noted(command: Command, bowl: Path, record: Path) -> None:
    code, out, _ = command("note", bowl)
    assert code == 0
    assert not record.exists()
    words = out.split()
    for wanted in ("ball", "thrown", "trimmed", "height,", "rim,", "@wet", "@leather_hard", "@fired", "155"):
        assert wanted in words


def test_the_parts_of_a_lidded_piece_are_named(command: Command, bowl: Path) -> None:
    jar = bowl.with_name("jam_jar.toml")
    jar.write_bytes((Path(__file__).parents[2] / "designs_demo" / "jam_jar.toml").read_bytes())
    code, out, _ = command("note", jar, "jar.ball=450", "lid.ball=110", "lid.height@fired=24", "height@fired=118")
    assert code == 0
    assert "ball of the lid 110 g" in out
    assert "slip" not in out
    code, _, err = command("note", jar, "ball=560")
    assert code == 2
    assert err == "this piece has no such measure (found `ball`; wanted `jar.ball` or `lid.ball`)\n"


def test_a_torn_line_is_moved_aside_and_told(command: Command, bowl: Path, record: Path) -> None:
    command("note", bowl, "ball=620")
    with record.open("ab") as file:
        file.write(b'{"id":"x')
    code, _, err = command("compare", bowl)
    assert code == 0
    assert err == f"{record}: the last line is torn and does not count\n"
    code, _, err = command("note", bowl, "ball=620")
    assert code == 0
    assert err == f"{record}: a torn last line of 8 bytes, moved to {record}.torn\n"
    assert len(_lines(record)) == 2


def test_a_record_in_a_folder_of_designs_is_named_and_skipped(command: Command, bowl: Path, record: Path) -> None:
    command("note", bowl, "ball=620")
    code, out, err = command("measure", bowl.parent, "--json")
    assert code == 0
    assert json.loads(out)["title"] == "Porridge bowl"
    assert err == f"skipped, no design: {record}\n"


def test_a_pot_that_is_named_for_the_first_time_is_told_beside_those_there_are(command: Command, bowl: Path) -> None:
    _, out, _ = command("note", bowl, "ball=620", "--pot", "A")
    assert "is new" not in out
    command("note", bowl, "ball=620")
    _, out, _ = command("note", bowl, "rim@fired=155", "--pot", "9")
    assert "pot 9 is new; so far there are A, 1" in out
    _, out, _ = command("note", bowl, "rim@fired=155", "--pot", "A")
    assert "is new" not in out


def test_a_set_has_no_record_of_its_own(command: Command, tmp_path: Path) -> None:
    pots = tmp_path / "table.toml"
    pots.write_text('title = "Table"\n[[piece]]\ndesign = "bowl.toml"\ncount = 2\n', encoding="utf-8")
    for words in (("note", pots, "ball=620"), ("compare", pots), ("size", pots, "--capacity", "500")):
        code, out, err = command(*words)
        assert (code, out) == (2, "")
        assert err == f"{pots}:1: a set, where one design is asked for (wanted the path of one of its designs)\n"
