"""`profiler bars` as a potter types it: a table, and a body file that a design takes at once."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from profiler.clay.body import read_body
from profiler.clay.states import State

Command = Callable[..., tuple[int, str, str]]

DEMO = Path(__file__).resolve().parents[2] / "designs_demo" / "bars_valley.csv"
# coreclay Berlin grey stoneware: drying 5.7, firing 6.7 on dry (TRADE, shrinkage); by hand 20 % water, 8 % loss
GREY = """bar,plastic_mm,bone_dry_mm,fired_mm,wet_g,dry_g,fired_g
A,100,94.3,87.9819,100,80,73.6
B,200,188.6,175.9638,50,40,36.8
"""


def _write(folder: Path, text: str) -> Path:
    path = folder / "grey.csv"
    path.write_text(text, encoding="utf-8")
    return path


@pytest.mark.parametrize("base", ["plastic", "dry"])
def test_the_body_is_the_same_on_either_length(base: str, command: Command, tmp_path: Path) -> None:
    out = tmp_path / "clay" / "grey.toml"
    code, _, err = command("bars", _write(tmp_path, GREY), "--out", out, "--name", "Grey", "--base", base)
    assert (code, err) == (0, "")
    body = read_body(out)
    written = tomllib.loads(out.read_text(encoding="utf-8"))["shrinkage"]
    assert written["firing_base"] == base
    assert written["fired"] == pytest.approx(6.7 if base == "dry" else 12.0181, abs=5e-4)  # written to three decimals
    assert body.name == "Grey"
    assert body.shrinkage.bone_dry == pytest.approx(0.057, abs=5e-6)
    # 1 - 0.943 · 0.933 = 0.120181 by hand; half a thousandth of a point, as written
    assert body.shrinkage.fired == pytest.approx(0.120181, abs=6e-6)
    assert (body.water, body.loss_on_ignition) == pytest.approx((0.20, 0.08), abs=5e-6)
    assert body.spread_points == pytest.approx(0.0, abs=5e-4)  # two bars that agree


def test_the_body_file_gives_the_numbers_of_the_json(command: Command, tmp_path: Path) -> None:
    out = tmp_path / "valley.toml"
    code, said, err = command("bars", DEMO, "--json", "--out", out)
    assert (code, err) == (0, "")
    found, body = json.loads(said), read_body(out)
    for state in (State.LEATHER_HARD, State.BONE_DRY, State.BISQUE, State.FIRED):
        mean = found["shrinkage_percent"][str(state)]["mean"]
        assert 100 * body.shrinkage.at(state) == pytest.approx(mean, abs=5.1e-4)  # written to three decimals
    assert 100 * body.water == pytest.approx(found["water_percent"]["mean"], abs=5.1e-4)
    assert 100 * body.loss_on_ignition == pytest.approx(found["loss_on_ignition_percent"]["mean"], abs=5.1e-4)
    assert body.plastic_density == pytest.approx(found["plastic_density_g_per_cm3"], abs=5.1e-4)
    assert body.spread_points == pytest.approx(found["shrinkage_percent"]["fired"]["plus_minus"], abs=5.1e-4)


def test_the_json_is_numpys_of_the_columns(command: Command) -> None:
    _, said, _ = command("bars", DEMO, "--json")
    found = json.loads(said)
    rows = [line.split(",") for line in DEMO.read_text(encoding="utf-8").splitlines()]
    column = {name: np.array([float(row[at]) for row in rows[1:]]) for at, name in enumerate(rows[0][:9]) if at}
    total = 100 * (1 - column["fired_mm"] / column["plastic_mm"])
    for numbers, values in (
        (found["shrinkage_percent"]["fired"], total),
        (found["firing_on_dry_percent"]["fired"], 100 * (1 - column["fired_mm"] / column["bone_dry_mm"])),
        (found["water_percent"], 100 * (1 - column["dry_g"] / column["wet_g"])),
        (found["loss_on_ignition_percent"], 100 * (1 - column["fired_g"] / column["dry_g"])),
    ):
        assert numbers["bars"] == 12
        assert numbers["mean"] == pytest.approx(values.mean(), rel=1e-12)  # rounding of a dozen sums
        assert numbers["standard_deviation"] == pytest.approx(values.std(ddof=1), rel=1e-9)


def test_a_design_is_measured_with_the_body_at_once(command: Command, tmp_path: Path) -> None:
    command("bars", DEMO, "--out", tmp_path / "valley.toml", "--name", "Valley stoneware", "--leave-out", "V9")
    pot = tmp_path / "pot.toml"
    pot.write_text('clay = "valley.toml"\n[form]\nkind = "bowl"\nrim_diameter = 150\nheight = 65\n', encoding="utf-8")
    code, said, err = command("measure", pot, "--json")
    assert (code, err) == (0, "")
    found = json.loads(said)
    assert found["clay"] == "Valley stoneware"
    fired = read_body(tmp_path / "valley.toml").shrinkage.fired
    assert found["states"]["wet"]["rim_diameter_mm"] == pytest.approx(150 / (1 - fired), rel=1e-12)  # rounding


def test_what_was_not_measured_is_marked(command: Command, tmp_path: Path) -> None:
    out = tmp_path / "body.toml"
    source = _write(tmp_path, "plastic_mm,bone_dry_mm,fired_mm\n100,94,88\n")
    code, said, err = command("bars", source, "--out", out)
    assert (code, err) == (0, "")
    told = " ".join(said.split())
    assert "1 bar is few: ASTM C326 asks for 10" in told
    assert "A ± takes two bars or more" in told
    text = out.read_text(encoding="utf-8")
    marked = {line.split(" =")[0] for line in text.splitlines() if "NOT MEASURED" in line}
    assert marked == {"leather_hard", "bisque", "plastic", "water", "loss_on_ignition"}
    body = read_body(out)
    assert body.spread_points is None
    assert "plus_minus is left out" in text
    # 80 to 95 % of the drying shrinkage is a working value (memory); bisque 0 to 1 % of the dry length (memory)
    assert 0.80 <= body.shrinkage.leather_hard / 0.06 <= 0.95
    assert 0 <= 1 - (1 - body.shrinkage.bisque) / 0.94 <= 0.01


def test_a_clay_that_grows_in_the_fire_makes_a_body(command: Command, tmp_path: Path) -> None:
    # firing -0.3 % on dry at cone 04 (Digitalfire): 95 becomes 95.285
    out = tmp_path / "found.toml"
    source = _write(tmp_path, "plastic_mm,bone_dry_mm,fired_mm\n100,95,95.285\n100,95,95.285\n")
    assert command("bars", source, "--out", out, "--base", "dry")[0] == 0
    assert 100 * read_body(out).shrinkage.fired == pytest.approx(4.715, abs=6e-4)  # written to three decimals


def test_the_table_fits_a_terminal_and_names_what_stands_apart(
    command: Command, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    monkeypatch.chdir(tmp_path)
    code, said, err = command("bars", DEMO)
    assert (code, err) == (0, "")
    assert max(len(line) for line in said.splitlines()) <= 80
    assert "V9 stands apart: glaze-fired shrinkage 10.40 %" in " ".join(said.split())
    assert list(tmp_path.iterdir()) == []
    without = " ".join(command("bars", DEMO, "--leave-out", "V9")[1].split())
    assert "stands apart" not in without
    assert "Left out: V9." in without


def test_weights_that_contradict_each_other_are_told(command: Command, tmp_path: Path) -> None:
    # 368 cm³ of 2.5 g/cm³ fired would be 920/0.736 = 1250 g damp in 540 cm³: 2.31 g/cm³, where with 20 % water even
    # minerals of 2.75 make 1/(0.2 + 0.8/2.75) = 2.04
    head = "plastic_mm,bone_dry_mm,fired_mm,wet_g,dry_g,fired_g,soaked_g,suspended_g\n"
    _, said, _ = command("bars", _write(tmp_path, head + "100,94,88,1250,1000,920,960,592\n"))
    told = " ".join(said.split())
    assert "would be 2.31 g/cm³" in told
    assert "no clay is over 2.04" in told


BAD = {
    "no .toml": (["--out", "body.txt"], "ends in .toml"),
    "a base of its own": (["--base", "wet"], "plastic or dry"),
    "no name": (["--name", " "], "1 to 200"),
    "a name of lines": (["--name", "a\nb"], "plain characters"),
    "no such bar": (["--leave-out", "Q"], "A, B"),
}


@pytest.mark.parametrize("name", BAD)
def test_words_that_cannot_be_used(name: str, command: Command, tmp_path: Path) -> None:
    words, says = BAD[name]
    source = _write(tmp_path, GREY)
    code, said, err = command("bars", source, "--out", tmp_path / "body.toml", *words)
    assert (code, said) == (2, "")
    assert says in err
    assert "Traceback" not in err
    assert list(tmp_path.iterdir()) == [source]


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("plastic_mm,fired_mm\n100,88\n", "no shrinkage to bone-dry"),
        ("plastic_mm,bone_dry_mm\n100,94\n", "no shrinkage to glaze-fired"),
        ("bone_dry_mm,fired_mm\n94,88\n", "no shrinkage to bone-dry"),
        # 3 % of water cannot be what shrank 6 %
        ("plastic_mm,bone_dry_mm,fired_mm,wet_g,dry_g\n100,94,88,100,97\n", "these bars make no body"),
    ],
)
def test_bars_that_make_no_body_yet(text: str, says: str, command: Command, tmp_path: Path) -> None:
    source = _write(tmp_path, text)
    code, said, err = command("bars", source, "--out", tmp_path / "body.toml")
    assert (code, said) == (2, "")
    assert says in err
    assert str(source) in err
    assert list(tmp_path.iterdir()) == [source]
    assert command("bars", source)[0] == 0  # what there is, is told


def test_a_file_that_is_there_is_not_written_over(command: Command, tmp_path: Path) -> None:
    out = tmp_path / "body.toml"
    out.write_text("mine", encoding="utf-8")
    code, _, err = command("bars", _write(tmp_path, GREY), "--out", out)
    assert code == 2
    assert "already there" in err
    assert out.read_text(encoding="utf-8") == "mine"


def test_a_name_with_quotes_is_a_name(command: Command, tmp_path: Path) -> None:
    out = tmp_path / "body.toml"
    name = 'The "good" clay \\ of Nov. č'
    assert command("bars", _write(tmp_path, GREY), "--out", out, "--name", name)[0] == 0
    assert read_body(out).name == name
