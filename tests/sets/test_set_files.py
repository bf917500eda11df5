"""Set files: what is wrong with one is told at its line, and nothing is written."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.pieces import ROOT
from tests.sets.pots import BEAKER, DISH, laid_out, set_of

Command = Callable[..., tuple[int, str, str]]

GOOD = set_of(("beaker", 12), ("dish", 6))
KILN = GOOD + '\n[kiln]\nshelf = "round"\ndiameter = 400\nclear_height = 500\n'
# what is changed in which text, and the line, field and words of the message
BAD = {
    "no pieces": (GOOD, GOOD[GOOD.index("\n[[") :], "piece = []\n", 2, "piece", "1 entry or more"),
    "an unknown key": (GOOD, "count = 12", "count = 12\ncolour = 3", 6, "piece.0.colour", "unknown key"),
    "a misspelt key": (GOOD, "count = 6", "cuont = 6", 9, "piece.1.cuont", "perhaps `count`"),
    "a misspelt table": (KILN, "[kiln]", "[klin]", 11, "klin", "perhaps `kiln`"),
    "no count": (GOOD, "count = 6\n", "", 7, "piece.1", "`count`"),
    "none of it": (GOOD, "count = 12", "count = 0", 5, "piece.0.count", "at least 1"),
    "fewer than none": (GOOD, "count = 12", "count = -3", 5, "piece.0.count", "at least 1"),
    "half a pot": (GOOD, "count = 12", "count = 2.5", 5, "piece.0.count", "a whole number"),
    "a word for a count": (GOOD, "count = 12", 'count = "a dozen"', 5, "piece.0.count", "a whole number"),
    "a count past all": (GOOD, "count = 12", "count = 2001", 5, "piece.0.count", "at most 2000"),
    "spares below none": (GOOD, 'title = "Two"', "spares = -1", 1, "spares", "at least 0"),
    "spares of a piece past all": (GOOD, "count = 6", "count = 6\nspares = 301", 10, "piece.1.spares", "at most 300"),
    "an empty title": (GOOD, '"Two"', '""', 1, "title", "too short"),
    "a design that is not there": (GOOD, '"dish.toml"', '"bowl.toml"', 8, "piece.1.design", "no such design"),
    "a zero byte in a path": (GOOD, '"dish.toml"', '"di\\u0000sh.toml"', 8, "piece.1.design", "no such design"),
    "a clay for a design": (GOOD, '"dish.toml"', '"clay.toml"', 8, "piece.1.design", "not a design"),
    "itself for a design": (GOOD, '"dish.toml"', '"table.toml"', 8, "piece.1.design", "not a design"),
    "a design on two lines": (GOOD, '"dish.toml"', '"./beaker.toml"', 8, "piece.1.design", "also on line 4"),
    "a design and a set in one": (GOOD, 'title = "Two"', '[form]\nkind = "bowl"', 4, "piece", "one of the two"),
    "a round shelf without a diameter": (KILN, "diameter = 400\n", "", 11, "kiln.diameter", "without its diameter"),
    "a round shelf that is wide": (
        KILN,
        "diameter = 400",
        "diameter = 400\nwidth = 300",
        14,
        "kiln.width",
        "no width",
    ),
    "a shelf of another shape": (KILN, '"round"', '"oval"', 12, "kiln.shelf", "rectangular"),
    "two posts": (KILN, "clear_height = 500", "clear_height = 500\nposts = 2", 15, "kiln.posts", "so few posts"),
    "a kiln of no height": (KILN, "clear_height = 500", "clear_height = 0", 14, "kiln.clear_height", "more than 0"),
}


@pytest.mark.parametrize("name", BAD)
def test_a_bad_set_is_refused_at_its_line(name: str, command: Command, tmp_path: Path) -> None:
    good, old, new, line, field, says = BAD[name]
    assert good.count(old) == 1
    folder = laid_out(tmp_path, table=good.replace(old, new))
    before = sorted(folder.rglob("*"))
    for words in (("measure", folder / "table.toml"), ("make", folder, "--out", folder / "out")):
        code, out, err = command(*words)
        assert (code, out) == (2, "")
        message = next((m for m in err.splitlines() if m.startswith(f"{folder / 'table.toml'}:{line}: {field}")), "")
        assert says in message, err
        assert "(found " in message or "wanted " in message
    assert sorted(folder.rglob("*")) == before


def test_pieces_that_are_all_wrong_are_not_called_too_few(command: Command, tmp_path: Path) -> None:
    folder = laid_out(tmp_path, table=GOOD.replace("count = 12", 'count = "a"').replace("count = 6", 'count = "b"'))
    _, _, err = command("measure", folder / "table.toml")
    assert [line.split(": ")[1] for line in err.splitlines()] == ["piece.0.count", "piece.1.count"]


def test_the_good_ones_are_good(command: Command, tmp_path: Path) -> None:
    for text in (GOOD, KILN):
        code, _, err = command("measure", laid_out(tmp_path, table=text) / "table.toml")
        assert (code, err) == (0, "")


def test_a_bad_design_of_a_set_is_told_once_and_nothing_is_written(command: Command, tmp_path: Path) -> None:
    folder = laid_out(tmp_path, table=GOOD, dish=DISH.replace("[50, 0]", '"wide"'))
    for words in ((folder / "table.toml",), (folder,), (folder / "table.toml", folder / "dish.toml")):
        code, out, err = command("make", *words, "--out", tmp_path / "out")
        assert (code, out) == (2, "")
        assert [line.partition(": ")[0] for line in err.splitlines()] == [f"{folder / 'dish.toml'}:8"]
    assert not (tmp_path / "out").exists()


def test_faults_of_set_and_design_are_told_together(command: Command, tmp_path: Path) -> None:
    text = GOOD.replace("dish.toml", "bowl.toml")
    folder = laid_out(tmp_path, table=text, beaker=BEAKER.replace('"straight"', '"bent"'))
    _, _, err = command("measure", folder / "table.toml")
    assert {line.partition(": ")[0] for line in err.splitlines()} == {
        f"{folder / 'beaker.toml'}:7",
        f"{folder / 'table.toml'}:8",
    }


def test_a_set_with_the_name_of_a_design_is_refused(command: Command, tmp_path: Path) -> None:
    (tmp_path / "sets").mkdir()
    laid_out(tmp_path)
    path = tmp_path / "sets" / "dish.toml"
    path.write_text(set_of(("../dish", 3)), encoding="utf-8")
    code, out, err = command("make", path, "--out", tmp_path / "out")
    assert (code, out) == (2, "")
    assert err.startswith(f"{path}: a design and a set have one name")
    assert not (tmp_path / "out").exists()


def test_two_designs_of_one_name_are_refused_in_a_set_too(command: Command, tmp_path: Path) -> None:
    (tmp_path / "old").mkdir()
    laid_out(tmp_path / "old")
    folder = laid_out(tmp_path, table=set_of(("dish", 3), ("old/dish", 3)))
    code, _, err = command("measure", folder / "table.toml")
    assert code == 2
    assert err.startswith(f"{folder / 'old' / 'dish.toml'}: two designs have one name")


def test_a_folder_with_a_set_and_its_designs_has_each_once(command: Command, tmp_path: Path) -> None:
    folder = laid_out(tmp_path, table=GOOD)
    code, out, err = command("measure", folder, "--json")
    assert (code, err) == (0, "")
    assert [piece["title"] for piece in json.loads(out)["pieces"]] == ["Beaker", "Dish"]
    (folder / "cup.toml").write_text(BEAKER.replace("Beaker", "Cup"), encoding="utf-8")
    found = json.loads(command("measure", folder, "--json")[1])
    assert [piece["title"] for piece in found["pieces"]] == ["Beaker", "Cup", "Dish"]
    assert [[piece["count"] for piece in one["pieces"]] for one in found["sets"]] == [[12, 6]]


def test_a_design_written_in_two_ways_is_one(
    command: Command, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = laid_out(tmp_path, table=GOOD.replace("dish.toml", f"../{tmp_path.name}/dish.toml"))
    monkeypatch.chdir(folder)
    code, out, err = command("measure", "table.toml", folder / "dish.toml", "--json")
    assert (code, err) == (0, "")
    assert [(piece["title"], piece["count"]) for piece in json.loads(out)["pieces"]] == [("Beaker", 12), ("Dish", 6)]


def test_the_demo_has_a_set(command: Command) -> None:
    code, _, err = command("measure", ROOT / "designs_demo" / "hut_table.toml", "--json")
    assert (code, err) == (0, "")
