"""`profiler size` as a potter types it, held against `measure`."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

Command = Callable[..., tuple[int, str, str]]

DEMO = Path(__file__).resolve().parents[2] / "designs_demo"
BOWL = """# For the hut's soup.
clay = "{clay}"

[form]
kind = "bowl"      # round
rim_diameter = "6 1/4 in"
height = 70        # to the brim

[wall]
rim = 4.5
"""
OWN = (
    'name = "Own"\n[shrinkage]\nleather_hard = 4\nbone_dry = 6\nbisque = 7\nfired = 12\n'
    "[density]\nplastic = 1.95\n[weight]\nwater = 21\nloss_on_ignition = 6\n"
)


@pytest.fixture
def bowl(tmp_path: Path) -> Path:
    """A bowl of her own clay, in a folder of its own."""
    (tmp_path / "pots").mkdir()
    (tmp_path / "clays").mkdir()
    (tmp_path / "clays" / "own.toml").write_text(OWN, encoding="utf-8")
    path = tmp_path / "pots" / "bowl.toml"
    path.write_text(BOWL.format(clay="../clays/own.toml"), encoding="utf-8")
    return path


def _measured(command: Command, path: Path) -> dict[str, Any]:
    code, out, _ = command("measure", path, "--json")
    assert code == 0
    made: dict[str, Any] = json.loads(out)
    return made


def test_the_sized_design_goes_to_the_screen_and_nothing_else(command: Command, bowl: Path) -> None:
    before = bowl.read_bytes()
    code, out, err = command("size", bowl, "--capacity", 600, "--free", "height")
    assert code == 0
    assert out.splitlines()[0] == "# For the hut's soup."
    height = tomllib.loads(out)["form"]["height"]
    assert out == before.decode().replace("height = 70", f"height = {height}")
    assert f"form.height goes from 70 mm to {height:g} mm" in err
    assert "takes 600.0 ml brimful" in err
    assert bowl.read_bytes() == before
    again = bowl.with_name("again.toml")
    again.write_text(out, encoding="utf-8")
    # the contract's 0.1 ml
    assert _measured(command, again)["states"]["fired"]["capacity_ml"] == pytest.approx(600, abs=0.1)


def test_written_elsewhere_it_is_still_of_the_same_clay(command: Command, bowl: Path) -> None:
    out = bowl.parents[1] / "sized" / "by ball" / "bowl.toml"
    code, told, err = command("size", bowl, "--ball", 550, "--out", out)
    assert (code, told) == (0, "")
    assert "The whole form is" in err
    assert tomllib.loads(out.read_text(encoding="utf-8"))["clay"] == "../../clays/own.toml"
    made = _measured(command, out)
    assert made["clay"] == "Own"
    assert made["ball_g"] == pytest.approx(550, abs=0.1)
    assert "# round\nrim_diameter = 1" in out.read_text(
        encoding="utf-8"
    )  # a plain number, its neighbours as they were


def test_what_was_there_is_kept(command: Command, bowl: Path) -> None:
    out = bowl.with_name("sized.toml")
    out.write_text("her own notes\n", encoding="utf-8")
    assert command("size", bowl, "--ball", 550, "--out", out)[0] == 0
    first = out.read_text(encoding="utf-8")
    code, _, err = command("size", bowl, "--ball", 560, "--out", out)
    assert code == 0
    assert "sized.toml.2" in err
    assert out.with_name("sized.toml.1").read_text(encoding="utf-8") == "her own notes\n"
    assert out.with_name("sized.toml.2").read_text(encoding="utf-8") == first
    assert command("size", bowl, "--ball", 560, "--out", out)[0] == 0  # the same again
    assert sorted(path.name for path in bowl.parent.iterdir()) == [
        "bowl.toml",
        "sized.toml",
        "sized.toml.1",
        "sized.toml.2",
    ]


def test_a_design_may_be_replaced_by_its_own_answer(command: Command, bowl: Path) -> None:
    before = bowl.read_text(encoding="utf-8")
    assert command("size", bowl, "--ball", 560, "--out", bowl)[0] == 0
    assert bowl.with_name("bowl.toml.1").read_text(encoding="utf-8") == before
    assert _measured(command, bowl)["ball_g"] == pytest.approx(560, abs=0.1)


def test_an_error_that_stands_is_told_and_the_design_written(command: Command, bowl: Path) -> None:
    """So little clay that the base on the bat is narrower than the foot: `make` would make no template."""
    narrow = bowl.with_name("narrow.toml")
    narrow.write_text(bowl.read_text(encoding="utf-8") + "\n[thrown]\nbase_diameter = 66\n", encoding="utf-8")
    code, out, _ = command("measure", narrow, "--json")
    assert code == 1
    sized = bowl.with_name("sized.toml")
    words = ["--ball", json.loads(out)["ball_g"], "--free", "thrown.base_diameter", "--out", sized]
    code, _, err = command("size", bowl, *words)
    assert code == 1
    assert "error: the thrown clay does not reach the finished piece" in err
    assert sized.read_text(encoding="utf-8").startswith(
        bowl.read_text(encoding="utf-8") + "\n[thrown]\nbase_diameter = 66"
    )


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ([], ["one thing at a time", "--nests-in"]),
        (["--ball", "500", "--capacity", "300"], ["one thing at a time", "--capacity and --ball"]),
        (["--capacity", "-3"], ["--capacity", "not an amount", "-3 ml"]),
        (["--ball", "nan"], ["--ball", "not an amount"]),
        (["--capacity", "9999999"], ["--capacity", "at most 100000 ml"]),
        (["--ball", "500", "--free", "hight"], ["--free", "'hight'", "perhaps `form.height`"]),
        (["--ball", "500", "--free", "form.kind"], ["--free", "no size of this design"]),
        (["--ball", "500", "--free", "edges"], ["perhaps `foot_ring.edge`"]),
        (["--stack", "six"], ["--stack", "'six'", "6:240"]),
        (["--stack", "1:200"], ["--stack", "2 to 100 of them"]),
        (["--stack", "6:-20"], ["--stack", "not a stack"]),
        (["--nests-in", "nowhere.toml"], ["nowhere.toml", "no such file"]),
        (["--capacity", "50000", "--free", "height"], ["--capacity", "50000 ml", "between", "form.height"]),
        (["--ball", "500", "--out", "."], ["--out", "not an ordinary file"]),
    ],
)
def test_words_that_cannot_be_used(
    command: Command, bowl: Path, monkeypatch: pytest.MonkeyPatch, words: list[str], says: list[str]
) -> None:
    monkeypatch.chdir(bowl.parent)
    code, out, err = command("size", "bowl.toml", *words)
    assert (code, out) == (2, "")
    assert len(err.splitlines()) == 1
    for part in says:
        assert part in err
    assert [path.name for path in bowl.parent.iterdir()] == ["bowl.toml"]


def test_a_name_that_two_sizes_have(command: Command) -> None:
    code, _, err = command("size", DEMO / "mustard_pot.toml", "--ball", 400, "--free", "height")
    assert code == 2
    assert "one of form.height, lid.height" in err


def test_points_are_no_field(command: Command) -> None:
    code, _, err = command("size", DEMO / "milk_jug_measured.toml", "--ball", 400, "--free", "form.outside")
    assert code == 2
    assert "a list of points cannot be left free" in err


def test_a_table_that_would_change_more_is_not_added(command: Command) -> None:
    """A tumbler has a flat base; [foot_ring] would give it a ring 4 mm deep, whatever its width."""
    code, _, err = command("size", DEMO / "tumbler.toml", "--ball", 400, "--free", "foot_ring.width")
    assert code == 2
    assert "no size of this design" in err


def test_a_bowl_for_its_plate(command: Command, tmp_path: Path) -> None:
    out = tmp_path / "bowl.toml"
    plate = DEMO / "supper_plate.toml"
    words = ["--nests-in", plate, "--free", "foot_ring.outer_diameter", "--out", out]
    code, _, err = command("size", DEMO / "porridge_bowl.toml", *words)
    assert code == 0
    assert "stands in the plate, 10.0 mm above the table" in err  # its ring of 4 and its floor of 6
    foot = tomllib.loads(out.read_text(encoding="utf-8"))["foot_ring"]["outer_diameter"]
    assert 70 < foot < 265 - 2 * 36  # wider than it was, and within the plate's rim


@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_ends_of_lines_come_out_as_they_went_in(command: Command, bowl: Path, end: str) -> None:
    bowl.write_bytes(bowl.read_text(encoding="utf-8").replace("\n", end).encode())
    out = bowl.with_name("sized.toml")
    assert command("size", bowl, "--ball", 550, "--out", out)[0] == 0
    made = out.read_bytes()
    assert made.count(b"\n") == BOWL.count("\n")
    assert made.count(end.encode()) == BOWL.count("\n")
