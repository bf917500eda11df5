"""`make` on a set: the folders of its pieces and its own, whole or not at all."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pdfplumber
import pytest

import profiler.sets.set_pack
from profiler.delivery import MANIFEST
from tests.sets.pots import BEAKER, DISH, laid_out, set_of

Command = Callable[..., tuple[int, str, str]]

KILN = '\n[kiln]\nshelf = "round"\ndiameter = 400\nclear_height = 300\n'
TABLE = set_of(("beaker", 12), ("dish", 6), end=KILN)
QUICK = ("--template", "tombo")
"""One template a piece is enough here."""


def _folders(out: Path) -> dict[str, set[str]]:
    return {
        folder.name: {path.name for path in folder.iterdir() if path.is_file()} for folder in sorted(out.iterdir())
    }


def test_a_set_gets_a_folder_beside_its_pieces(command: Command, tmp_path: Path) -> None:
    folder, out = laid_out(tmp_path, table=TABLE), tmp_path / "out"
    code, said, err = command("make", folder / "table.toml", "--out", out, *QUICK)
    assert code == 0
    assert err.startswith(f"{folder / 'table.toml'}: warning: Dish: stacked, they touch wall on wall")
    assert err.count("\n") == 1
    assert f"{out / 'table'}  Two: 21 balls, " in said
    made = _folders(out)
    assert set(made) == {"beaker", "dish", "table"}
    assert made["table"] == {"measures.json", "wheel_sheet.pdf", "kiln_plan.pdf", MANIFEST}
    assert made["beaker"] >= {"measures.json", "bench_card.pdf", "templates.pdf", "piece.step"}
    numbers = json.loads((out / "table" / "measures.json").read_text(encoding="utf-8"))
    firings = numbers.pop("firings")
    assert numbers == json.loads(command("measure", folder / "table.toml", "--json")[1])
    assert [one["firing"] for one in firings] == ["bisque", "glaze"]
    for one in firings:  # every pot that is thrown is fired, once in each
        places = [place for shelves in one["kilnfuls"] for shelf in shelves for place in shelf["places"]]
        for title, thrown in (("Beaker", 14), ("Dish", 7)):
            assert sum(place["pieces"] for place in places if place["piece"] == title) == thrown
    with pdfplumber.open(out / "table" / "wheel_sheet.pdf") as sheet:
        words = " ".join(page.extract_text() for page in sheet.pages)
    for said_there in ("Two", "Beaker", "make 12, throw 14", "390 g"):
        assert said_there in words
    with pdfplumber.open(out / "table" / "kiln_plan.pdf") as plan:
        words = " ".join(page.extract_text() for page in plan.pages)
    for said_there in ("Bisque firing", "Glaze firing", "Beaker", "Dish"):
        assert said_there in words


def test_without_a_kiln_there_is_no_plan(command: Command, tmp_path: Path) -> None:
    folder, out = laid_out(tmp_path, table=set_of(("dish", 6))), tmp_path / "out"
    assert command("make", folder / "table.toml", "--out", out, *QUICK)[0] == 0
    assert _folders(out)["table"] == {"measures.json", "wheel_sheet.pdf", MANIFEST}


def test_a_folder_with_its_set_makes_each_once(command: Command, tmp_path: Path) -> None:
    folder, out = laid_out(tmp_path, table=set_of(("beaker", 12), ("dish", 6))), tmp_path / "out"
    code, said, err = command("make", folder, "--out", out, *QUICK)
    assert code == 0
    assert err.startswith(f"{folder / 'table.toml'}: warning: Dish: stacked, they touch wall on wall")
    assert err.count("\n") == 1
    assert set(_folders(out)) == {"beaker", "dish", "table"}
    assert len(said.splitlines()) == 3  # nothing is skipped, the clay's file neither


def test_a_set_is_delivered_with_its_pieces_or_not_at_all(
    command: Command, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def torn(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device")

    folder, out = laid_out(tmp_path, table=set_of(("dish", 6))), tmp_path / "out"
    monkeypatch.setattr(profiler.sets.set_pack, "write_wheel_sheet", torn)
    with pytest.raises(OSError, match="No space left"):
        command("make", folder / "table.toml", "--out", out, *QUICK)
    assert list(out.iterdir()) == []


def test_a_strangers_file_in_the_sets_folder_stays(command: Command, tmp_path: Path) -> None:
    folder, out = laid_out(tmp_path, table=set_of(("dish", 6))), tmp_path / "out"
    (out / "table").mkdir(parents=True)
    (out / "table" / "wheel_sheet.pdf").write_text("mine", encoding="utf-8")
    code, _, err = command("make", folder / "table.toml", "--out", out, *QUICK)
    assert code == 2
    assert "wheel_sheet.pdf" in err
    assert (out / "table" / "wheel_sheet.pdf").read_text(encoding="utf-8") == "mine"
    assert set(_folders(out)) == {"table"}


def test_a_piece_with_an_error_leaves_its_set_unmade(command: Command, tmp_path: Path) -> None:
    thin = BEAKER.replace("[36, 5]", "[36, 0.3]")  # the turning tool breaks through such a floor
    folder, out = laid_out(tmp_path, table=set_of(("beaker", 12), ("dish", 6)), beaker=thin), tmp_path / "out"
    code, _, err = command("make", folder / "table.toml", "--out", out, *QUICK)
    assert code == 1
    assert f"{folder / 'beaker.toml'}: error: " in err
    assert "No folder for Two: " in err
    assert set(_folders(out)) == {"dish"}


def test_a_second_run_makes_the_same_bytes(command: Command, tmp_path: Path) -> None:
    folder = laid_out(tmp_path, table=TABLE)
    for out in ("one", "two"):
        assert command("make", folder / "table.toml", "--out", tmp_path / out, *QUICK)[0] == 0
    for path in (tmp_path / "one" / "table").iterdir():
        assert path.read_bytes() == (tmp_path / "two" / "table" / path.name).read_bytes()


def test_a_set_of_new_counts_replaces_the_old_one(command: Command, tmp_path: Path) -> None:
    folder, out = laid_out(tmp_path, table=TABLE), tmp_path / "out"
    assert command("make", folder / "table.toml", "--out", out, *QUICK)[0] == 0
    before = (out / "table" / "wheel_sheet.pdf").read_bytes()
    laid_out(tmp_path, table=set_of(("beaker", 3)), dish=DISH)
    assert command("make", folder / "table.toml", "--out", out, *QUICK)[0] == 0
    assert _folders(out)["table"] == {"measures.json", "wheel_sheet.pdf", MANIFEST}  # the kiln and its plan are gone
    assert (out / "table" / "wheel_sheet.pdf").read_bytes() != before


def test_what_does_not_go_into_the_kiln_is_told_by_make_too(command: Command, tmp_path: Path) -> None:
    kiln = '\n[kiln]\nshelf = "round"\ndiameter = 400\nclear_height = 20\n'
    folder = laid_out(tmp_path, table=set_of(("beaker", 2)) + kiln)
    code, _, err = command("make", folder / "table.toml", "--out", tmp_path / "out", *QUICK)
    assert code == 0
    assert "warning: Beaker: does not go into this kiln" in err
    told = command("measure", folder / "table.toml")[1]
    assert told.count("not placed, too large for this kiln: Beaker") == 2  # bisque and glaze
