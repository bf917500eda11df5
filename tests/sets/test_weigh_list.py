"""What is weighed out for a set, against sums worked by hand for a straight beaker."""

from __future__ import annotations

import json
from collections.abc import Callable
from math import ceil, pi
from pathlib import Path
from typing import Any

import pytest

from tests.sets.pots import BEAKER, CLAY, laid_out, set_of

Command = Callable[..., tuple[int, str, str]]

# Beaker, wet: radius 40 and 36, 100 high, floor 5; up to 50 a cone's frustum from radius 50 at the bat to 40.
FINISHED_CM3 = pi * (40**2 * 100 - 36**2 * 95) / 1000
TRIMMED_CM3 = pi * (50 / 3 * (50**2 + 50 * 40 + 40**2) - 40**2 * 50) / 1000
BALL_G = 2.0 * (FINISHED_CM3 + TRIMMED_CM3) / 0.96  # 2 g/cm³, 4 % lost
EXTRAS = '\n[[extras]]\nname = "loop"\nweight_g = 35\n\n[[extras]]\nname = "stud"\nweight_g = 2.5\n'


@pytest.fixture
def measured(command: Command, tmp_path: Path) -> Callable[..., dict[str, Any]]:
    """The JSON of a set laid out in a folder."""

    def read(table: str, settings: str = "", **files: str) -> dict[str, Any]:
        folder = laid_out(tmp_path, table=table, **files)
        (folder / "my_settings.toml").write_text(settings, encoding="utf-8")
        code, out, err = command(
            "measure", folder / "table.toml", "--json", "--settings", folder / "my_settings.toml"
        )
        assert (code, err) == (0, "")
        found: dict[str, Any] = json.loads(out, parse_constant=lambda word: pytest.fail(f"{word} in the JSON"))
        return found

    return read


def test_a_dozen_and_their_spares(measured: Callable[..., dict[str, Any]]) -> None:
    # by hand: 115.9 + 68.1 cm³ are 367.9 g, over 0.96 a ball of 383.2 g: 390 on scales of 10 g
    assert 383.1 < BALL_G < 383.3
    found = measured(set_of(("beaker", 12)))
    piece, totals = found["pieces"][0], found["totals"]
    assert piece["ball_g"] == pytest.approx(BALL_G, rel=1e-9)  # sums of doubles
    assert (piece["weigh_out_g"], piece["count"], piece["spares_percent"]) == (390, 12, 10)
    assert piece["to_throw"] == 14  # 13.2, and nobody throws a fifth of a pot
    assert piece["clay_g"] == totals["clay_g"] == 14 * 390
    assert (totals["count"], totals["to_throw"], totals["balls"], totals["stuck_on_g"]) == (12, 14, 14, 0)
    assert (totals["bag_kg"], totals["bags"]) == (12.5, 1)
    assert totals["reclaim_g"] == pytest.approx(14 * 2.0 * TRIMMED_CM3, rel=1e-9)


@pytest.mark.parametrize(
    ("count", "spares", "thrown"),
    [(10, 10, 11), (11, 10, 13), (1, 10, 2), (1, 0, 1), (3, 33.4, 5), (20, 5, 21), (7, 100, 14)],
)
def test_a_spare_begun_is_a_spare(
    count: int, spares: float, thrown: int, measured: Callable[..., dict[str, Any]]
) -> None:
    found = measured(set_of(("beaker", count), head=f"spares = {spares}\n"))
    assert found["pieces"][0]["to_throw"] == thrown
    assert found["totals"]["clay_g"] == thrown * 390


def test_a_piece_may_have_spares_of_its_own(measured: Callable[..., dict[str, Any]]) -> None:
    text = set_of(("beaker", 10), ("dish", 10), head="spares = 0\n") + "spares = 50\n"
    assert [piece["to_throw"] for piece in measured(text)["pieces"]] == [10, 15]


@pytest.mark.parametrize(("step", "ball"), [(10, 390), (5, 385), (1, 384), (50, 400), (0.5, 383.5)])
def test_each_ball_is_rounded_up_and_then_counted(
    step: float, ball: float, measured: Callable[..., dict[str, Any]]
) -> None:
    found = measured(set_of(("beaker", 12)), f"scales_step_g = {step}\n")
    assert found["totals"]["clay_g"] == pytest.approx(14 * ball, rel=1e-12)


def test_a_bag_is_opened_for_the_last_gram(measured: Callable[..., dict[str, Any]]) -> None:
    # 14 balls of 390 g are 5.46 kg
    for bag_kg, bags in ((5.46, 1), (5.45, 2), (2.73, 2), (2.72, 3), (10, 1)):
        assert measured(set_of(("beaker", 12)), f"bag_kg = {bag_kg}\n")["totals"]["bags"] == bags


def test_handles_and_studs_are_in_the_clay(measured: Callable[..., dict[str, Any]]) -> None:
    plain = measured(set_of(("beaker", 12)))
    found = measured(set_of(("beaker", 12)), beaker=BEAKER + EXTRAS)
    piece, totals = found["pieces"][0], found["totals"]
    assert piece["weigh_out_g"] == 390  # the ball is for the wheel
    assert totals["stuck_on_g"] == 14 * 37.5
    assert totals["clay_g"] == piece["clay_g"] == 14 * (390 + 37.5)
    assert totals["balls"] == 14
    assert totals["reclaim_g"] == plain["totals"]["reclaim_g"]
    for state, share in (("wet", 1), ("bone_dry", 0.8), ("fired", 0.8 * 0.95)):  # 20 % water, 5 % lost in the fire
        more = piece["states"][state]["mass_g"] - plain["pieces"][0]["states"][state]["mass_g"]
        assert more == pytest.approx(37.5 * share, rel=1e-9)


def test_each_clay_has_its_own_bags(measured: Callable[..., dict[str, Any]]) -> None:
    other = BEAKER.replace("clay.toml", "other.toml").replace("Beaker", "Cup")
    text = set_of(("beaker", 12), ("cup", 20), ("dish", 2))
    found = measured(
        text, "bag_kg = 5\n", cup=other, other=CLAY.replace("Round figures", "White").replace("2.0", "1.9")
    )
    beakers, cups, dishes = (piece["clay_g"] for piece in found["pieces"])
    assert cups == 22 * 10 * ceil(0.95 * BALL_G / 10) == 22 * 370
    clays = {one["clay"]: one for one in found["totals"]["by_clay"]}
    assert clays["Round figures"]["clay_g"] == beakers + dishes
    assert clays["White"]["clay_g"] == cups
    assert clays["White"]["bags"] == 2  # 8.14 kg
    assert found["totals"]["bags"] == sum(one["bags"] for one in clays.values())
    assert found["totals"]["clay_g"] == beakers + cups + dishes
    for key in ("clay_g", "balls", "reclaim_g"):
        assert found["totals"][key] == pytest.approx(sum(one[key] for one in clays.values()), rel=1e-12)


def test_one_clay_in_two_files_is_one_clay(measured: Callable[..., dict[str, Any]]) -> None:
    cup = BEAKER.replace("clay.toml", "same.toml")
    found = measured(set_of(("beaker", 12), ("cup", 12)), cup=cup, same=CLAY)
    assert len(found["totals"]["by_clay"]) == 1


def test_a_lid_of_another_clay_is_weighed_with_that(measured: Callable[..., dict[str, Any]]) -> None:
    jar = BEAKER.replace('"points"\ncurve = "straight"', '"cylinder"\nrim_diameter = 100\nheight = 90')
    jar = jar.replace("outside = [[40, 0], [40, 100]]\ninside = [[36, 5], [36, 100]]\n", "")
    jar = jar[: jar.index("[foot_ring]")] + '[lid]\nkind = "flange"\nclay = "white.toml"\n'
    found = measured(set_of(("jar", 5)), jar=jar, white=CLAY.replace("Round figures", "White").replace("20", "21"))
    piece = found["pieces"][0]
    clays = {one["clay"]: one["clay_g"] for one in found["totals"]["by_clay"]}
    assert clays == {
        name: 6 * piece["parts"][part]["weigh_out_g"] for name, part in (("Round figures", "jar"), ("White", "lid"))
    }


def test_the_terminal_says_it_in_words(command: Command, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    folder = laid_out(tmp_path, table=set_of(("beaker", 12), ("dish", 6)), beaker=BEAKER + EXTRAS)
    code, out, _ = command("measure", folder / "table.toml")
    assert code == 0
    assert max(len(line) for line in out.splitlines()) <= 80
    rows = [" ".join(line.split()) for line in out.splitlines()]
    assert "Two a set of 18, with spares 21 to throw" in rows
    assert "weigh out wanted to throw each, g in all, g" in rows
    assert "Beaker 12 14 390 5460" in rows
    assert "Beaker, loop (stuck on) 12 14 35 490" in rows
    # the dish by hand: pi (10 (50² + 50 x 70 + 70²) - 25/3 (45² + 45 x 65 + 65²)) mm³ are 204.5 g, over 0.93 a ball
    # of 220 g; so 14 x 390 + 14 x 37.5 + 7 x 220 g, to 50 g; and 14 x 136.1 g come off
    assert "Round figures: 7.55 kg, 1 bag of 12.5 kg; trimmings give back 1.90 kg" in rows
