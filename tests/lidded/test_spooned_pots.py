"""`measure` of pots with a spoon and a notch for it."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from math import ceil, cos, hypot, pi, radians, tan
from pathlib import Path

import pytest

from profiler import card_tables
from profiler.design.model import read_design
from profiler.measures import measured
from profiler.piece import piece_of
from profiler.settings import Settings
from tests.lidded.pots import CUT, EXACT, JAR, PLAIN_CUT, SPOON, SPOON_KEYS, Told, ids
from tests.pieces import ROOT

Command = Callable[..., tuple[int, str, str]]


def test_a_spoon_that_tips_out_or_falls_in_is_an_error(told: Told) -> None:
    # a bowl of 30 mm at the end of 600 mm of spoon balances far outside a jar 80 wide; one of 60 mm never gets out
    lies = "[spoon]\nlength = {}\nhandle_width = 8\nbowl_length = 30\nbowl_width = 20\n"
    for length, name, words in ((600, "spoon_tips_out", " mm or shorter"), (60, "spoon_falls_in", " mm or longer")):
        code, found, _ = told(JAR + lies.format(length))
        assert (code, ids(found)[name]) == (1, "error")
        (message,) = [check["message"] for check in found["checks"] if check["id"] == name]
        cure = int(message.split(words)[0].split()[-1])
        # a spoon of the length it names stays, and sticks out; one 2 mm further the wrong way tips or stays inside
        code, cured, _ = told(JAR + lies.format(cure))
        assert code == 0
        assert cured["spoon"]["sticks_out_mm"] > 0
        code, wrong, _ = told(JAR + lies.format(cure + 2 if name == "spoon_tips_out" else cure - 2))
        assert code == 1 if name == "spoon_tips_out" else wrong["spoon"]["sticks_out_mm"] < 0


def test_a_spoon_too_short_to_scoop_says_how_long_it_has_to_be(told: Told) -> None:
    straight = '[form]\nkind = "points"\noutside = [[45, 0], [45, 130]]\ninside = [[40, 5], [40, 130]]\n'
    _, found, _ = told(straight + "[spoon]\nlength = 128\nhandle_width = 8\nbowl_length = 40\nbowl_width = 20\n")
    (message,) = [check["message"] for check in found["checks"] if check["id"] == "spoon_reach"]
    # from the middle of the floor to the rim's inner edge
    assert f"{ceil(hypot(40, 125))} mm or longer" in message
    _, found, _ = told(straight + "[spoon]\nlength = 133\nhandle_width = 8\nbowl_length = 40\nbowl_width = 20\n")
    (check,) = [check for check in found["checks"] if check["id"] == "spoon_reach"]
    assert check["level"] == "note"
    assert f"{ceil(hypot(80, 125))} mm or longer" in check["message"]  # from the far corner


def test_the_cutter_of_the_design(told: Told) -> None:
    # DESIGN 7: 8 mm handle, 1 mm a side, 5 and 12 per cent: 10.8; 11 is the next
    _, found, _ = told(PLAIN_CUT + SPOON + "[notch]\ncutters = [8, 14, 11]\n")
    spoon = found["spoon"]
    assert set(spoon) >= SPOON_KEYS
    assert spoon["cutter_needed_mm"] == pytest.approx(10 * 0.95 / 0.88, abs=EXACT)
    assert spoon["cutter_mm"] == 11
    assert spoon["side_clearance_mm"] == pytest.approx((11 * 0.88 / 0.95 - 8) / 2, abs=EXACT)


def test_cutters_come_from_the_settings_where_the_design_has_none(command: Command, tmp_path: Path) -> None:
    (tmp_path / "pot.toml").write_text(PLAIN_CUT + SPOON + "[notch]\n", encoding="utf-8")
    (tmp_path / "mine.toml").write_text("cutters_mm = [10, 12.5]\n", encoding="utf-8")
    code, out, _ = command("measure", "--json", tmp_path / "pot.toml", "--settings", tmp_path / "mine.toml")
    assert code == 0
    assert json.loads(out)["spoon"]["cutter_mm"] == 12.5


def test_a_notch_in_the_jar_lowers_what_it_holds_in_every_state(told: Told) -> None:
    _, found, _ = told(CUT.format(height=60, angle=40, slope="inward_down", gap=0) + SPOON + "[notch]\ndepth = 9\n")
    # the joint falls 4.2 mm from its outer to its inner edge: 9 mm under the rim the inside is upright
    for state, left in (("fired", 1.0), ("wet", 1 / 0.88)):
        by_hand = pi * 40**2 * (60 - 9 - 5) / 1000 * left**3
        assert found["states"][state]["capacity_ml"] == pytest.approx(by_hand, rel=EXACT)
    rise = 5 * tan(radians(40))
    whole = pi * 40**2 * (55 - rise) + pi * rise / 3 * (40**2 + 40 * 45 + 45**2)
    assert found["spoon"]["capacity_unnotched_ml"] == pytest.approx(whole / 1000, rel=EXACT)
    # ISO 6486 to the overflow, the others to the upper rim
    food = found["food_class"]
    assert food["iso_6486_overflow"]["depth_mm"] == pytest.approx(46, abs=EXACT)
    assert food["upper_rim"]["depth_mm"] == pytest.approx(55, abs=EXACT)
    assert "laboratory" in food["caution"]
    assert "food_class" in ids(found)


@pytest.mark.parametrize("where", ["jar", "lid"])
@pytest.mark.parametrize("slope", ["inward_down", "inward_up"])
def test_what_a_notched_jar_holds_to_overflow_and_to_the_line(told: Told, slope: str, where: str) -> None:
    # without a gap the joint runs from (45, 60) to r 40, 5 tan 40 lower or higher
    rise, deep = 5 * tan(radians(40)), 3.0
    text = CUT.format(height=60, angle=40, slope=slope, gap=0) + SPOON + f'[notch]\nin = "{where}"\ndepth = 3\n'
    _, found, _ = told(text)
    if slope == "inward_down":
        # the rim is the outer edge; 3 mm under it the level still stands in the funnel, where that is so wide
        low, wide = 60 - rise, 40 + 5 * (rise - deep) / rise
        to_rim = pi * 40**2 * (low - 5) + pi * rise / 3 * (40**2 + 40 * 45 + 45**2)
        to_notch = pi * 40**2 * (low - 5) + pi * (rise - deep) / 3 * (40**2 + 40 * wide + wide**2)
        rim = 60.0
    else:
        rim = 60 + rise
        to_rim, to_notch = pi * 40**2 * (rim - 5), pi * 40**2 * (rim - deep - 5)
    overflow = to_notch if where == "jar" else to_rim
    assert found["states"]["fired"]["capacity_ml"] == pytest.approx(overflow / 1000, rel=EXACT)
    assert found["spoon"]["capacity_unnotched_ml"] == pytest.approx(to_rim / 1000, rel=EXACT)
    # 12 mm under the rim unless said, whichever edge that is; the notch is less deep
    assert found["parts"]["jar"]["fill_ml"] == pytest.approx(pi * 40**2 * (rim - 12 - 5) / 1000, rel=EXACT)
    food = found["food_class"]
    assert food["upper_rim"]["depth_mm"] == pytest.approx(rim - 5, abs=EXACT)
    lowered = deep if where == "jar" else 0.0
    assert food["iso_6486_overflow"]["depth_mm"] == pytest.approx(rim - lowered - 5, abs=EXACT)


def test_a_shallow_notched_jar_is_flatware_by_one_way_only(told: Told) -> None:
    text = CUT.format(height=36, angle=40, slope="inward_down", gap=0) + "[spoon]\nlength = 90\nhandle_width = 8\n"
    _, found, _ = told(text + "bowl_length = 20\nbowl_width = 15\n[notch]\ndepth = 8\n")
    food = found["food_class"]
    assert food["iso_6486_overflow"]["class"] == "flatware"  # 23 mm to the overflow, 31 to the rim
    assert food["upper_rim"]["class"] == "small hollowware"
    assert food["differ"] is True


def test_the_default_notch_is_what_the_handle_needs(told: Told) -> None:
    open_jar = '[form]\nkind = "points"\noutside = [[45, 0], [45, 90]]\ninside = [[40, 5], [40, 90]]\n'
    _, found, _ = told(open_jar + SPOON + "[notch]\n")
    spoon = found["spoon"]
    angle = radians(spoon["angle_deg"])
    # an upright wall of 5 mm and a handle of 2: DESIGN 7's t tan θ + h / cos θ, plus the clearance
    needed = 5 * tan(angle) + 2 / cos(angle) + 1
    assert spoon["notch_depth_mm"] == pytest.approx(needed, abs=2e-4)  # settled to 1e-4
    assert spoon["lid_gap_mm"] is None


def test_under_a_cut_lid_the_default_notch_is_deep_enough_for_it_to_close(told: Told) -> None:
    # after its sink the lid lies on the jar's joint, so its inner edge hangs 5 tan 40 below the rim
    _, found, _ = told(PLAIN_CUT + SPOON + "[notch]\n")
    spoon = found["spoon"]
    assert spoon["lid_gap_mm"] >= 0
    hangs = 5 * tan(radians(40))
    angle = radians(spoon["angle_deg"])
    # over the floor's inner edge, where the handle bears, its upper side stands h / cos θ high
    assert spoon["jar_notch_mm"] >= hangs + 2 / cos(angle) - 1e-6


@pytest.mark.parametrize(
    ("kind", "where"),
    [
        ("cut", "jar"),
        ("cut", "lid"),
        ("cut", "both"),
        ("gallery", "jar"),
        ("gallery", "lid"),
        ("gallery", "both"),
        ("flange", "jar"),
        ("flange", "lid"),
        ("flange", "both"),
        ("cap", "jar"),
        ("cap", "lid"),
        ("cap", "both"),
    ],
)
def test_the_lid_closes_over_the_spoon_wherever_the_notch_is(told: Told, kind: str, where: str) -> None:
    form = PLAIN_CUT if kind == "cut" else f'{JAR}[lid]\nkind = "{kind}"\n'
    _, found, _ = told(form + SPOON + f'[notch]\nin = "{where}"\n')
    spoon = found["spoon"]
    assert spoon["lid_gap_mm"] >= 0
    assert (spoon["jar_notch_mm"] > 0) == (where != "lid")
    assert "lid_rides_up" not in ids(found)


def test_a_spoon_without_a_notch_holds_the_lid_up(told: Told) -> None:
    code, found, _ = told(PLAIN_CUT + SPOON)
    assert code == 0
    assert found["spoon"]["cutter_needed_mm"] is None
    assert found["spoon"]["notch_depth_mm"] == 0
    assert ids(found)["lid_rides_up"] == "warning"


def test_the_notch_takes_its_clay_off_the_jar(told: Told) -> None:
    _, without, _ = told(PLAIN_CUT)
    _, found, _ = told(PLAIN_CUT + SPOON + "[notch]\ndepth = 9\ncutters = [12]\n")
    was, now = (one["parts"]["jar"]["states"]["fired"]["clay_volume_cm3"] for one in (without, found))
    # 12 mm at leather-hard; about a bar through the wall of 5, as high as the notch less half the joint's fall
    wide = 12 * 0.88 / 0.95
    about = wide * 5 * (9 - 2.5 * tan(radians(40))) / 1000
    assert was - now == pytest.approx(found["spoon"]["jar_taken_cm3"], abs=1e-9)
    assert was - now == pytest.approx(about, rel=0.02)  # the chord bends by (5.6 / 40)² / 2, one per cent


def test_what_is_stuck_on_weighs_and_stands_up_but_is_not_in_the_ball(told: Told) -> None:
    _, plain, _ = told(PLAIN_CUT)
    _, found, _ = told(PLAIN_CUT + '[[extras]]\nname = "knob"\nweight_g = 100\nheight = 15\non = "lid"\n')
    assert found["ball_g"] == plain["ball_g"]
    # 21 per cent of the damp weight is water, 6 per cent of the dry goes in the fire (body file)
    for state, left in (("wet", 1.0), ("bone_dry", 0.79), ("fired", 0.79 * 0.94)):
        for with_knob, without in ((found, plain), (found["parts"]["lid"], plain["parts"]["lid"])):
            more = with_knob["states"][state]["mass_g"] - without["states"][state]["mass_g"]
            assert more == pytest.approx(100 * left, abs=1e-9)
        assert found["parts"]["jar"] == plain["parts"]["jar"]
    rises = found["states"]["fired"]["height_mm"] - plain["states"]["fired"]["height_mm"]
    # the knob stands on the lid's top, which is the highest place
    assert rises == pytest.approx(15, abs=1e-9)
    assert [extra["name"] for extra in found["extras"]] == ["knob"]


def test_slips_of_the_pen_are_asked_about(told: Told) -> None:
    for text, name in (
        (PLAIN_CUT + SPOON + "handle_thickness = 9\n", "spoon_handle"),  # thicker than any, and than it is wide
        (CUT.format(height=60, angle=40, slope="inward_down", gap=3.1), "lid_gap"),
        # a disc 45 in radius, but 3 mm of wall and top, is lower than its wall of 5
        (CUT.format(height=97.5, angle=10, slope="inward_down", gap=1), "lid_small"),
    ):
        _, found, _ = told(text)
        assert ids(found).get(name) == "warning", (name, found)
    plain = ids(told(PLAIN_CUT + SPOON)[1])
    assert not {"spoon_handle", "lid_gap", "lid_small"} & set(plain)


def test_a_notch_that_does_not_let_the_lid_close_says_so_and_its_cure_names_the_skirt(
    command: Command, tmp_path: Path
) -> None:
    path = tmp_path / "pot.toml"
    lid = '[lid]\nkind = "cap"\nskirt_depth = 18\nrise = 0\n'
    path.write_text(JAR + lid + SPOON + '[notch]\nin = "lid"\n', encoding="utf-8")
    _, out, _ = command("measure", path)
    told = " ".join(out.split())
    assert "with that notch the lid does not close" in told
    assert "fired; " in told
    # the skirt of 18 mm, sized fired, is notched from its edge to the rim
    assert "(the lid gets one 18.0 mm deep as well" in told


@pytest.mark.parametrize("height", [70, 72, 75, 78])
def test_where_the_middle_needs_a_steeper_spoon_than_she_holds_something_stays(
    height: int, command: Callable[..., tuple[int, str, str]], tmp_path: Path
) -> None:
    """A heap on the axis, however small, is not told as nothing."""
    path = tmp_path / "pot.toml"
    demo = ROOT / "designs_demo" / "mustard_pot.toml"
    path.write_text(demo.read_text(encoding="utf-8").replace("height = 66", f"height = {height}"), encoding="utf-8")
    spoon = json.loads(command("measure", path, "--json")[1])["spoon"]
    assert spoon["scoop_axis_deg"] > spoon["steepest_deg"] == 60
    out = command("measure", path)[1]
    stays = re.search(r"out of reach +([0-9]+) ml", out)
    assert stays is not None
    assert 0 < spoon["left_ml"] < 5
    assert 0 < int(stays[1]) - spoon["left_ml"] <= 1  # told in whole ml, rounded up
    card = card_tables.spoon(measured(piece_of(read_design(path)), Settings()))
    assert card is not None
    assert ["stays, held at 60° at most", f"{stays[1]} ml"] in card.rows


def test_a_notch_without_play_may_hold_the_handle_fast_and_its_cure_does_not(told: Told) -> None:
    text = JAR + SPOON + '[notch]\nin = "jar"\nclearance = {}\n'
    _, found, _ = told(text.format(0))
    (check,) = [check for check in found["checks"] if check["id"] == "notch_binds"]
    assert check["level"] == "warning"
    cure = float(re.search(r"a clearance of (\d+\.\d) mm or more", check["message"])[1])  # type: ignore[index]
    # stoneware shrinks 12 points, and 2 more at the worst (TRADE): of 8 mm and twice the clearance 0.86/0.88 are left
    assert (8 + 2 * cure) * 0.86 / 0.88 > 8 > (8 + 2 * (cure - 0.1)) * 0.86 / 0.88 - 0.1
    assert "notch_binds" not in ids(told(text.format(cure))[1])
    assert "notch_binds" in ids(told(text.format(cure - 0.1))[1])
    # what counts is what her cutter leaves, not what was asked for
    wide = text.format(0) + "cutters = [12]\n"
    assert "notch_binds" not in ids(told(wide)[1])
