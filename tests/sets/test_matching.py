"""Whether the pieces of a set match: what differs is named, with by how much, and by a word."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.sets.pots import BEAKER, laid_out, set_of

Command = Callable[..., tuple[int, str, str]]

BOWL = """title = "{title}"

[form]
kind = "bowl"
rim_diameter = {rim}
height = {height}

[wall]
rim = {wall}
foot = {wall}

[foot_ring]
outer_diameter = {ring}
width = {width}
depth = {depth}
"""
SIZES = {"rim": 155, "height": 68, "wall": 4.5, "ring": 70, "width": 6, "depth": 5}


def _bowl(title: str, **other: float) -> str:
    return BOWL.format(title=title, **(SIZES | other))


@pytest.fixture
def matching(command: Command, tmp_path: Path) -> Callable[..., dict[str, dict[str, Any]]]:
    """What is found of designs by their titles, by what is compared."""

    def read(**designs: str) -> dict[str, dict[str, Any]]:
        folder = laid_out(tmp_path, table=set_of(*((stem, 4) for stem in designs)), **designs)
        code, out, err = command("measure", folder / "table.toml", "--json")
        assert (code, err) == (0, "")
        return {one["id"]: one for one in json.loads(out)["matching"]}

    return read


def _sizes(match: dict[str, Any]) -> list[tuple[float, list[str]]]:
    return [(round(group["least_mm"], 6), group["pieces"]) for group in match["sizes"]]


def test_a_bowl_and_its_sister_are_alike_in_everything(matching: Callable[..., dict[str, dict[str, Any]]]) -> None:
    found = matching(one=_bowl("One"), two=_bowl("Two"))
    assert {match["sign"] for match in found.values()} == {"alike"}
    assert set(found) == {
        "foot_ring_across",
        "foot_ring_width",
        "foot_ring_depth",
        "rim_across",
        "rim_height",
        "wall_at_rim",
        "wall_half_way",
    }
    assert all(match["spread_mm"] == pytest.approx(0, abs=1e-9) for match in found.values())
    assert found["foot_ring_width"]["message"] == "foot ring width 6 mm, on all 2"


@pytest.mark.parametrize(
    ("key", "id_", "value", "sign"),
    [
        ("ring", "foot_ring_across", 80, "differs"),
        ("ring", "foot_ring_across", 72, "near"),
        ("ring", "foot_ring_across", 70.5, "alike"),
        ("width", "foot_ring_width", 7, "differs"),
        ("width", "foot_ring_width", 6.4, "alike"),
        ("depth", "foot_ring_depth", 4, "differs"),
        ("rim", "rim_across", 157, "near"),
        ("rim", "rim_across", 190, "differs"),
        ("height", "rim_height", 66, "near"),
        ("height", "rim_height", 40, "differs"),
        ("wall", "wall_at_rim", 5.5, "differs"),
        ("wall", "wall_half_way", 5.5, "differs"),
    ],
)
def test_what_differs_is_named_with_by_how_much(
    key: str, id_: str, value: float, sign: str, matching: Callable[..., dict[str, dict[str, Any]]]
) -> None:
    match = matching(one=_bowl("One"), two=_bowl("Two", **{key: value}))[id_]
    assert match["sign"] == sign
    # the sizes are what the design asks for; a wall is the distance of two curves, good to 0.01 mm
    assert match["spread_mm"] == pytest.approx(abs(value - SIZES[key]), abs=0.01)
    low, high = (f"{size:g}" for size in sorted((value, SIZES[key])))
    if sign != "alike":
        first, second = ("One", "Two") if SIZES[key] < value else ("Two", "One")
        assert f"{low} mm: {first}; {high} mm: {second}" in match["message"]
    if sign == "near":
        assert f"by little: {low} and {high} mm" in match["message"]


def test_pieces_that_share_a_size_stand_together(matching: Callable[..., dict[str, dict[str, Any]]]) -> None:
    found = matching(one=_bowl("One"), two=_bowl("Two", width=8), three=_bowl("Three", width=6.3))
    assert _sizes(found["foot_ring_width"]) == [(6, ["One", "Three"]), (8, ["Two"])]


def test_many_small_steps_do_not_add_up_to_alike(matching: Callable[..., dict[str, dict[str, Any]]]) -> None:
    found = matching(a=_bowl("A", width=5.4), b=_bowl("B", width=5.8), c=_bowl("C", width=6.2))
    assert _sizes(found["foot_ring_width"]) == [(5.4, ["A", "B"]), (6.2, ["C"])]


def test_walls_are_measured_on_the_pot(matching: Callable[..., dict[str, dict[str, Any]]]) -> None:
    """A straight wall from radius 40 to 36, sized wet, shrinks by 12 %; a leaning one is measured square to itself.

    The second goes from (40, 0) to (60, 100) outside and stands 5 mm in from that, level: its wall is
    5 cos(atan(20/100)) thick. At the rim it is what lies between the two edges, so 5 level.
    """
    leaning = BEAKER.replace("[40, 100]", "[60, 100]").replace("[36, 5], [36, 100]", "[36, 5], [55, 100]")
    leaning = leaning.replace("Beaker", "Leaning")
    leaning = leaning[: leaning.index("[thrown]")]
    found = matching(beaker=BEAKER, leaning=leaning)
    straight, other = (size for size, _ in _sizes(found["wall_half_way"]))
    assert straight == pytest.approx(4 * 0.88, abs=1e-3)  # the curve is sampled 0.05 mm apart
    assert other == pytest.approx(5 * 0.88 / (1 + 0.2**2) ** 0.5, abs=1e-3)
    assert _sizes(found["wall_at_rim"]) == [(round(4 * 0.88, 6), ["Beaker"]), (round(5 * 0.88, 6), ["Leaning"])]
    assert "foot_ring_width" not in found  # neither has one


def test_a_rim_under_a_lid_is_not_compared(matching: Callable[..., dict[str, dict[str, Any]]]) -> None:
    jar = '[form]\nkind = "cylinder"\nrim_diameter = 100\nheight = 90\n[lid]\nkind = "flange"\n'
    found = matching(one=_bowl("One"), jar=jar)
    assert "rim_across" not in found
    assert "wall_at_rim" in found


def test_the_terminal_has_a_word_for_each(command: Command, tmp_path: Path) -> None:
    folder = laid_out(
        tmp_path, table=set_of(("one", 4), ("two", 4)), one=_bowl("One"), two=_bowl("Two", ring=72, width=8)
    )
    out = command("measure", folder / "table.toml")[1]
    rows = [" ".join(line.split()) for line in out.splitlines()]
    assert any(row.startswith("near foot ring across, by little: 70 and 72 mm.") for row in rows)
    assert any(row.startswith("differs foot ring width, by 2 mm. 6 mm: One; 8 mm: Two") for row in rows)
    assert any(row.startswith("alike foot ring depth 5 mm, on all 2") for row in rows)
