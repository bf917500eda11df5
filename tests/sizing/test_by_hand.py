"""Sizes worked back by hand: cylinders and cones, whose room and clay are school formulas."""

from __future__ import annotations

import tomllib
from math import atan, pi, sin

import pytest

from profiler.clay.body import load_body
from profiler.clay.states import State
from profiler.faults import Fault
from profiler.sizing.target import Target, of_ball, of_capacity, of_fill, of_fired_mass, of_nesting, of_stack
from tests.pieces import ROOT, piece_from
from tests.sizing.pots import BEAKER, SETTINGS, measures_of, sized_text

MM = 0.0051
"""Sizes are written to 0.01 mm or finer, so they lie within half of that."""

TUMBLER = """[form]
kind = "cylinder"
rim_diameter = 80
height = 100

[wall]
rim = 5
foot = 5
"""
"""Upright inside and out, 35 mm in radius inside: only foot and rim are rounded, whatever the height."""


def test_a_beaker_enlarged_keeps_its_wall_and_floor() -> None:
    """1.2 times as large: 43 mm in radius inside and 115 deep, not 42 and 114."""
    done = sized_text(BEAKER, of_capacity(pi * 43**2 * 115 / 1000, SETTINGS))
    data = tomllib.loads(done.text)
    assert data["form"]["outside"][1] == [pytest.approx(48, abs=MM), pytest.approx(120, abs=MM)]
    assert data["wall"] == {"rim": 5, "foot": 5}
    assert data["floor"] == {"thickness": 5}


def test_a_ball_for_a_beaker() -> None:
    """Clay between two cylinders, thrown 7 % larger in the hand than on the bat; sized wet, so nothing shrinks."""
    clay = pi * (48**2 * 120 - 43**2 * 115) / 1000
    ball = clay * load_body("stoneware", ROOT).plastic_density / 0.93
    done = sized_text('sized = "wet"\n' + BEAKER, of_ball(ball, SETTINGS))
    assert tomllib.loads(done.text)["form"]["outside"] == [
        [pytest.approx(48, abs=MM), 0],
        [pytest.approx(48, abs=MM), pytest.approx(120, abs=MM)],
    ]


def test_a_height_for_ten_millimetres_more_of_room() -> None:
    """A cylinder takes π r² h more for each h; the rest of the pot does not change."""
    now = measures_of(TUMBLER).states[State.FIRED].capacity_ml
    assert now is not None
    done = sized_text(TUMBLER, of_capacity(now + pi * 35**2 * 10 / 1000, SETTINGS), "height")
    assert done.text.replace(f"{done.free.entries(0)[0].place[-1]} = 110", "height = 100") == TUMBLER
    assert done.value == pytest.approx(110, abs=1e-3)  # a thousandth of a ml there is 0.0003 mm


def test_a_fill_line_counts_from_the_rim() -> None:
    """The line stays 12 mm under the rim, so it takes as much more as brimful."""
    now = measures_of(TUMBLER).main.fill_ml
    assert now is not None
    done = sized_text(TUMBLER, of_fill(now + pi * 35**2 * 10 / 1000, SETTINGS), "form.height")
    assert done.value == pytest.approx(110, abs=1e-3)


def test_a_fired_weight_by_the_floor() -> None:
    """A floor x mm thicker is x·π·35² more of clay: wet (1 - S)⁻³ of that, dried and fired as the body says."""
    body = load_body("stoneware", ROOT)
    k_r, k_z = body.scale(State.FIRED, State.WET)
    more = body.mass_g(k_r**2 * k_z * pi * 35**2 * 2 / 1000, State.FIRED)
    now = measures_of(BEAKER).states[State.FIRED].mass_g
    done = sized_text(BEAKER, of_fired_mass(now + more, SETTINGS), "floor.thickness")
    assert tomllib.loads(done.text)["floor"]["thickness"] == pytest.approx(7, abs=MM)


def test_a_pot_drawn_inside_and_out_is_enlarged_as_a_whole() -> None:
    """Twice as large it takes eight times as much, its ring twice as deep; in inches as in millimetres."""
    text = """units = "in"
[form]
kind = "points"
outside = [["40 mm", 0], ["40 mm", "100 mm"]]   # callipers
inside = [["35 mm", "10 mm"], ["35 mm", "100 mm"]]
[foot_ring]
depth = "4 mm"
"""
    now = pi * 35**2 * 90 / 1000
    assert measures_of(text).states[State.FIRED].capacity_ml == pytest.approx(now)
    done = sized_text(text, of_capacity(8 * now, SETTINGS))
    data = tomllib.loads(done.text)
    inch = 0.0001  # four digits of an inch are what two of a millimetre are
    assert data["form"]["outside"][1] == [pytest.approx(80 / 25.4, abs=inch), pytest.approx(200 / 25.4, abs=inch)]
    assert data["form"]["inside"][0] == [pytest.approx(70 / 25.4, abs=inch), pytest.approx(20 / 25.4, abs=inch)]
    assert data["foot_ring"]["depth"] == pytest.approx(8 / 25.4, abs=inch)
    assert "# callipers" in done.text


def test_a_stack_of_cones() -> None:
    """Cones stand wall on wall: one is t / sin(half the angle) over the next, however large they are."""
    text = BEAKER.replace("[[40, 0], [40, 100]]", "[[30, 0], [60, 100]]")
    lean = atan(30 / 100)
    done = sized_text(text, of_stack(4, 130 + 3 * 5 / sin(lean)))
    rows = tomllib.loads(done.text)["form"]["outside"]
    # met to 0.05 mm of the stack, of which the cone is four fifths
    assert rows == [[pytest.approx(39, abs=0.02), 0], [pytest.approx(78, abs=0.04), pytest.approx(130, abs=0.05)]]


PLATE = """[form]
kind = "points"
outside = [[{foot}, 0], [150, 30]]
inside = [[{well}, 6], [140, 30]]
"""


def test_a_foot_as_wide_as_the_well() -> None:
    """The well is level to 60 mm from the axis, so a foot of 40 mm may grow 1.5 times."""
    plate = piece_from(PLATE.format(foot=65, well=60))
    done = sized_text(BEAKER, of_nesting(plate, SETTINGS))
    foot = tomllib.loads(done.text)["form"]["outside"][0][0]
    # it may stand 0.05 mm up the side, which leans at 24 in 80
    assert 60 - 0.1 <= foot <= 60 + 0.05 * 80 / 24 + MM
    assert done.amount == pytest.approx(6, abs=0.05)


def test_a_rim_that_stays_within_the_plates_edge() -> None:
    plate = piece_from(PLATE.format(foot=130, well=120))
    text = BEAKER.replace("[[40, 0], [40, 100]]", "[[40, 0], [75, 100]]")
    done = sized_text(text, of_nesting(plate, SETTINGS))
    rim = tomllib.loads(done.text)["form"]["outside"][1][0]
    assert 150 - 0.1 <= rim <= 150


def test_one_size_cannot_do_it_and_says_what_it_can() -> None:
    """A floor may come up to the rim: from nothing to the whole cylinder over the table, which takes 384.8 ml."""
    with pytest.raises(Fault) as told:
        sized_text(BEAKER, of_capacity(400, SETTINGS), "floor.thickness")
    assert told.value.field == "--capacity"
    assert told.value.found == "400 ml"
    most = float(told.value.wanted.split(" and ")[1].split(" ml")[0])
    # the least floor looked at is a 27th of the one it has
    assert pi * 35**2 * (100 - 5 / 27) / 1000 - 0.1 < most < pi * 35**2 * 100 / 1000


def test_a_tumbler_cannot_be_smaller_than_its_roundings() -> None:
    """Inside it is no narrower than the corner of 6 mm over its floor: 11 mm in radius, so 0.275 times its size.

    There it is 27.5 high, its floor 4.5: a cylinder 6 mm in radius with half a ball for a floor takes 2.37 ml. The
    rounded rim widens it by at most 2.5 mm over its last 2.5.
    """
    with pytest.raises(Fault, match="no scale of the whole form gives that") as told:
        sized_text(TUMBLER, of_capacity(1, SETTINGS))
    cup = (pi * 6**2 * (23 - 6) + 2 / 3 * pi * 6**3) / 1000
    least = float(told.value.wanted.split()[1])
    assert cup < least < cup + pi * (8.5**2 - 6**2) * 2.5 / 1000
    assert float(told.value.wanted.split()[10]) == pytest.approx(0.275, abs=2e-3)
    assert "past that, the rounding between floor and wall does not fit" in told.value.wanted


def test_a_jump_over_what_is_asked_is_told() -> None:
    """A target that gives the height in steps of 20 mm: 110 is between two of them."""
    steps = Target("--capacity", 110, "mm", 1e-3, 0.05, lambda piece: 20 * (piece.design.asked.floor // 1), "is {}")
    with pytest.raises(Fault, match="it jumps over what is asked"):
        sized_text(BEAKER, steps, "floor.thickness")


def test_a_wall_does_not_decide_whether_it_nests() -> None:
    plate = piece_from(PLATE.format(foot=65, well=60))
    with pytest.raises(Fault, match="does not decide whether it nests"):
        sized_text(TUMBLER + "\n[thrown]\nloss_percent = 5\n", of_nesting(plate, SETTINGS), "loss_percent")


def test_a_size_that_does_not_matter_is_told() -> None:
    with pytest.raises(Fault, match=r"thrown\.skim does not change it"):
        sized_text(TUMBLER, of_capacity(400, SETTINGS), "thrown.skim")


def test_a_closed_form_takes_nothing() -> None:
    closed = '[form]\nkind = "closed"\nbelly_diameter = 90\nheight = 100\n'
    with pytest.raises(Fault, match="the piece holds nothing") as told:
        sized_text(closed, of_capacity(300, SETTINGS))
    assert told.value.field == "--capacity"


def test_a_design_that_is_no_pot_yet_becomes_one() -> None:
    """At 8 mm the tumbler is lower than its floor and rim; what is asked makes it a tumbler."""
    low = TUMBLER.replace("height = 100", "height = 8")
    with pytest.raises(Fault):
        measures_of(low)
    now = measures_of(TUMBLER).states[State.FIRED].capacity_ml
    assert now is not None
    assert sized_text(low, of_capacity(now, SETTINGS), "form.height").value == pytest.approx(100, abs=1e-3)


def test_nothing_makes_it_a_pot_is_told_as_measure_tells_it() -> None:
    wide = TUMBLER + "\n[foot_ring]\nwidth = 60\n"
    with pytest.raises(Fault, match="so wide that nothing is left inside"):
        sized_text(wide, of_capacity(300, SETTINGS), "form.height")


def test_a_size_left_to_the_form_begins_where_the_form_has_it() -> None:
    """0.45 of the height is where a jar's belly lies unless said."""
    jar = '[form]\nkind = "jar"\nrim_diameter = 90\nbelly_diameter = 115\nheight = 140\n'
    now = measures_of(jar).states[State.FIRED].capacity_ml
    assert now is not None
    done = sized_text(jar, of_capacity(now, SETTINGS), "belly_height")
    assert done.free.now is None
    # a thousandth of a ml is far less than a tenth of a mm of belly
    assert done.value == pytest.approx(0.45 * 140, abs=0.1)
