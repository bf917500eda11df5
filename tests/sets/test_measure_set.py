"""What `measure` says of a set: names of the contract, stacks, the kiln, and all of it in 80 columns."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.pieces import DEMO_SETS
from tests.sets.pots import BEAKER, laid_out, set_of
from tests.test_cli import HEAD

Command = Callable[..., tuple[int, str, str]]

# sides that lean so little that the foot of one hangs over the floor of the next
CONE = BEAKER[: BEAKER.index("[thrown]")].replace("[40, 100]", "[46, 100]").replace("[36, 100]", "[42, 100]")
CONE = CONE.replace("Beaker", "Cone")


@pytest.fixture
def measured(command: Command, tmp_path: Path) -> Callable[..., dict[str, Any]]:
    """The JSON of a set laid out in a folder."""

    def read(table: str, **files: str) -> dict[str, Any]:
        code, out, err = command("measure", laid_out(tmp_path, table=table, **files) / "table.toml", "--json")
        assert (code, err) == (0, "")
        found: dict[str, Any] = json.loads(out, parse_constant=lambda word: pytest.fail(f"{word} in the JSON"))
        return found

    return read


def _kiln(shelf: str, clear_height: float = 500, more: str = "posts = 0\n") -> str:
    return f"\n[kiln]\n{shelf}\nclear_height = {clear_height}\n{more}"


ROUND = 'shelf = "round"\ndiameter = {}'


def test_the_names_of_the_contract(measured: Callable[..., dict[str, Any]]) -> None:
    """DESIGN, section 12, and issue 5."""
    found = measured(set_of(("beaker", 12), ("dish", 6), end=_kiln(ROUND.format(400))))
    assert found["title"] == "Two"
    for piece, count in zip(found["pieces"], (12, 6), strict=True):
        assert set(piece) >= HEAD | {"count", "stack", "kiln"}
        assert piece["count"] == count
        assert isinstance(piece["stack"]["pitch_mm"], float)
        assert piece["stack"]["touches"] in ("foot", "wall", "rim")
        assert set(piece["kiln"]) == {"per_shelf", "fits"}
        assert piece["kiln"]["fits"] is True
        assert isinstance(piece["kiln"]["per_shelf"], int)
    assert isinstance(found["totals"]["clay_g"], float)


def test_without_a_kiln_nothing_is_said_of_one(measured: Callable[..., dict[str, Any]]) -> None:
    assert "kiln" not in measured(set_of(("beaker", 12)))["pieces"][0]


def test_a_straight_beaker_stands_on_the_rim_of_the_next(measured: Callable[..., dict[str, Any]]) -> None:
    stack = measured(set_of(("beaker", 12)))["pieces"][0]["stack"]
    # 100 mm wet are 88 mm fired, at 12 % of the plastic length
    assert (stack["pitch_mm"], stack["touches"]) == (pytest.approx(88, abs=1e-9), "rim")
    assert stack["height_mm"] == pytest.approx(12 * 88, abs=1e-9)


def test_walls_that_jam_are_warned_of(
    measured: Callable[..., dict[str, Any]], command: Command, tmp_path: Path
) -> None:
    found = measured(set_of(("cone", 4)), cone=CONE)
    assert found["pieces"][0]["stack"]["touches"] == "wall"
    assert [(one["piece"], one["level"]) for one in found["checks"]] == [("Cone", "warning")]
    out = " ".join(command("measure", tmp_path / "table.toml")[1].split())
    assert "warning: Cone: stacked, they touch wall on wall" in out


# Radius of the least circle that holds n of radius 1: Graham 1968, Pirl 1969, Melissen 1994, Fodor 1999 to 2003, as
# tabulated in Wikipedia, "Circle packing in a circle". One of 6 holds 7.
CIRCLES = {1: 1.0, 2: 2.0, 3: 2.15470, 4: 2.41421, 5: 2.70130, 7: 3.0, 8: 3.30476}


@pytest.mark.parametrize("count", CIRCLES)
def test_a_shelf_takes_as_many_as_the_published_table(count: int, measured: Callable[..., dict[str, Any]]) -> None:
    """Glazed, so at bisque size: 40 mm wet less 6 %, and half the space round it, which may hang over the edge."""
    space = 6.4
    each = 40 * 0.94 + space / 2
    fewer = max([one for one in CIRCLES if one < count], default=0)
    for slack, wanted in ((1.002, count), (0.998, fewer)):
        across = 2 * (slack * CIRCLES[count] * each - space / 2)
        found = measured(set_of(("beaker", 12), end=_kiln(ROUND.format(across))))
        assert found["pieces"][0]["kiln"] == {"per_shelf": wanted, "fits": wanted > 0}


@pytest.mark.parametrize(("high", "fits"), [(94.1, True), (93.9, False)])
def test_a_piece_goes_in_at_bisque_size(high: float, fits: bool, measured: Callable[..., dict[str, Any]]) -> None:
    # 100 mm wet less 6 %; fired it would be 88 mm
    kiln = measured(set_of(("beaker", 2), end=_kiln(ROUND.format(400), high)))["pieces"][0]["kiln"]
    assert kiln["fits"] is fits
    assert (kiln["per_shelf"] > 0) is fits


def test_what_does_not_fit_is_warned_of(
    measured: Callable[..., dict[str, Any]], command: Command, tmp_path: Path
) -> None:
    found = measured(set_of(("beaker", 2), ("dish", 2), end=_kiln(ROUND.format(400), 60)))
    (one,) = [one for one in found["checks"] if one["id"] == "kiln"]
    assert (one["piece"], one["level"]) == ("Beaker", "warning")
    assert "75 mm across and 94 mm high" in one["message"]  # 80 and 100 less 6 %, across to half a mm
    code, out, _ = command("measure", tmp_path / "table.toml")
    assert code == 0  # a warning stops nothing
    assert "does not fit" in out


def test_pieces_of_one_glaze_firing_go_in_together(command: Command, tmp_path: Path) -> None:
    text = set_of(("beaker", 10), ("dish", 10), head="spares = 0\n") + 'glaze_firing = "second"\n'
    folder = laid_out(tmp_path, table=text + _kiln(ROUND.format(400), more="posts = 3\n"))
    rows = [" ".join(line.split()) for line in command("measure", folder / "table.toml")[1].splitlines()]
    firings = [row.partition(" pieces")[0] for row in rows if "firing " in row and " pieces on " in row]
    assert firings == ["bisque firing 20", "glaze firing 10", "glaze firing (second) 10"]


def test_a_piece_in_another_is_told(measured: Callable[..., dict[str, Any]]) -> None:
    cup = BEAKER[: BEAKER.index("[thrown]")].replace("[40,", "[30,").replace("[36,", "[26,").replace("Beaker", "Cup")
    found = measured(set_of(("cup", 4), ("dish", 4)), cup=cup)
    (one,) = found["in_others"]
    assert (one["lower"], one["upper"], one["touches"]) == ("Dish", "Cup", "foot")
    # wet, the dish's floor lies 5 mm up and flat to a radius of 45; the cup's foot is flat to 30
    assert one["pitch_mm"] == pytest.approx(5 * 0.88, abs=1e-9)
    assert one["height_mm"] == pytest.approx(105 * 0.88, abs=1e-9)


@pytest.mark.parametrize("path", DEMO_SETS, ids=lambda path: path.stem)
def test_the_demo_fits_a_terminal_of_eighty(path: Path, command: Command, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    code, out, err = command("measure", path)
    assert (code, err) == (0, "")
    assert max(len(line) for line in out.splitlines()) <= 80
    for words in ("weigh out", "stacked, fired", "a shelf takes", "bisque firing", "do they match?", "In all:"):
        assert words in out
    assert "error:" not in out
    assert "…" not in out  # nothing is cut short
