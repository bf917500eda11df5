"""How pots stand in each other, against plane geometry worked by hand."""

from __future__ import annotations

import pytest

from profiler.check import Level
from profiler.clay.states import State
from profiler.stacking import Nest, Touch, nest, of_nest, stack_height_mm
from tests.pieces import ROOT, demo_piece, piece_from
from tests.stacking.pots import CONE, CYLINDER, NECKED, SHALLOW_CONE, SHARP, straight

EXACT_MM = 1e-9
"""Straight runs leave nothing but rounding."""


def _itself(text: str, state: State = State.FIRED) -> Nest:
    piece = piece_from(text)
    return nest(piece, piece, state)


def test_a_cone_rises_by_its_wall_over_its_slope() -> None:
    # the outside r = 30 + (z - h)/4 of the upper one meets the inside r = 25 + z/4 of the lower: h = 4 · 5
    found = _itself(CONE)
    assert found.pitch_mm == pytest.approx(20, abs=EXACT_MM)
    assert found.touches is Touch.WALL
    # they touch all the way up; the outermost place is the inner edge of the rim
    assert (found.r_mm, found.z_mm) == pytest.approx((40, 60), abs=1e-6)


@pytest.mark.parametrize(("wall", "slope"), [(3.0, 0.2), (5.0, 0.5), (6.0, 1.0), (4.0, 2.0)])
def test_any_cone_does(wall: float, slope: float) -> None:
    high, floor = 60.0, 4.0
    outside = [[30.0, 0.0], [30 + slope * high, high]]
    inside = [[30 - wall + slope * floor, floor], [30 - wall + slope * high, high]]
    # where the walls would let it lower, the floor stops it
    assert _itself(straight(outside, inside)).pitch_mm == pytest.approx(max(wall / slope, floor), abs=EXACT_MM)


def test_a_thick_floor_lets_the_foot_stand() -> None:
    # at h = 25 the foot's edge, 30 from the axis, is 1.25 within the floor's, 31.25
    assert _itself(SHALLOW_CONE) == Nest(25.0, Touch.FOOT, 30.0, 25.0)


def test_a_foot_wider_than_the_well_wedges() -> None:
    # inside r = 20 + z/4 from a floor at 8: a foot of 30 sharp meets it at z = 40, where the wall leans 76 degrees;
    # the outside above it, r = 30 + (z - 40)/8, stays clear of the inside
    found = nest(piece_from(straight([[30, 0], [45, 60]], [[22, 8], [35, 60]])), piece_from(_tall()))
    assert found.pitch_mm == pytest.approx(40, abs=EXACT_MM)
    assert found.touches is Touch.WALL
    assert (found.r_mm, found.z_mm) == pytest.approx((30, 40))
    (remark,) = of_nest(found)
    assert remark.field == "foot_ring.outer_diameter"
    assert "narrower" in remark.message


def _tall() -> str:
    return straight([[30, 0], [31, 8]], [[20, 4], [25, 8]])


def test_a_foot_stands_on_a_gentle_slope() -> None:
    # a dish r = 20 + 4z: a foot of 30 comes to it at z = 2.5 over its floor of 5
    dish = straight([[40, 0], [90, 20]], [[20, 5], [72, 18], [80, 20]])
    found = nest(piece_from(dish), piece_from(_tall()))
    assert found.pitch_mm == pytest.approx(7.5, abs=EXACT_MM)
    assert found.touches is Touch.FOOT
    assert found.r_mm == pytest.approx(30)


def test_straight_sides_do_not_nest() -> None:
    found = _itself(CYLINDER)
    assert found.pitch_mm == pytest.approx(80, abs=EXACT_MM)
    assert found.touches is Touch.RIM
    assert found.z_mm == pytest.approx(80, abs=EXACT_MM)


def test_a_tumbler_stands_on_the_rim_with_the_rounding_of_its_foot_in_the_mouth() -> None:
    found = nest(tumbler := demo_piece(ROOT / "designs_demo" / "tumbler.toml"), tumbler)
    assert found.touches is Touch.RIM
    # 95 high; a rounding of 3 goes no deeper than that into a mouth of less than its foot
    assert 92 < found.pitch_mm < 95


def test_what_does_not_pass_the_neck_stands_on_the_rim() -> None:
    # the foot, 30, is wider than the mouth, 22, however much room the belly has
    assert _itself(NECKED).pitch_mm == pytest.approx(80, abs=EXACT_MM)
    assert _itself(NECKED).touches is Touch.RIM


def test_what_passes_the_neck_stands_on_the_floor() -> None:
    slim = straight([[15, 0], [15, 100]], [[12, 4], [12, 100]])
    found = nest(piece_from(NECKED), piece_from(slim))
    assert found.pitch_mm == pytest.approx(5, abs=EXACT_MM)
    assert found.touches is Touch.FOOT


def test_a_wide_pot_comes_down_over_a_narrow_one_by_its_recess() -> None:
    # a plug 20 mm high under a recess 6 deep and 34 wide inside its ring: the recess's face lies on it
    plug = straight([[20, 0], [20, 20]], [[14, 5], [14, 20]])
    cup = straight([[40, 0], [40, 80]], [[36, 12], [36, 80]], "[foot_ring]\ndepth = 6\nwidth = 6\nedge = 0\n")
    found = nest(piece_from(plug), piece_from(cup))
    assert found.pitch_mm == pytest.approx(14, abs=EXACT_MM)
    assert found.touches is Touch.RIM


def test_what_is_hollow_below_comes_down_to_the_table() -> None:
    stand = piece_from('[form]\nkind = "stand"\nrim_diameter = 240\nheight = 120\n')
    salt = piece_from(straight([[10, 0], [10, 12]], [[6, 4], [6, 12]]))
    found = nest(salt, stand)
    assert (found.pitch_mm, found.touches, found.z_mm) == (0.0, Touch.FOOT, 0.0)


@pytest.mark.parametrize("stem", ["butter_jar", "jam_jar", "mustard_pot", "tea_caddy"])
def test_a_closed_pot_does_not_nest(stem: str) -> None:
    piece = demo_piece(ROOT / "designs_demo" / f"{stem}.toml")
    found = nest(piece, piece)
    assert found.touches is Touch.RIM
    # 112 to the rim, 4 over it and a crown 5 thick on the caddy; what is stuck on is 14 on the mustard pot
    assert found.pitch_mm == pytest.approx(stack_height_mm(piece, 1))
    assert found.pitch_mm == pytest.approx(
        {"tea_caddy": 121, "jam_jar": 118, "butter_jar": 85}.get(stem, 104), abs=0.1
    )


def test_a_form_that_closes_does_not_nest() -> None:
    assert _itself('[form]\nkind = "closed"\nbelly_diameter = 90\nheight = 100\n').pitch_mm == pytest.approx(100)


def test_a_handle_keeps_a_cup_on_the_rim() -> None:
    handle = '[[extras]]\nname = "handle"\nweight_g = 60\nreach = 35\n'
    found = _itself(CONE + handle)
    assert found.pitch_mm == pytest.approx(60, abs=EXACT_MM)
    assert found.touches is Touch.RIM
    # in a bowl wide enough for cup and handle, 45 + 35, it stands like one without
    wide = piece_from(straight([[104, 0], [112, 80]], [[100, 6], [106, 80]]))
    assert nest(wide, piece_from(CONE + handle)).pitch_mm == pytest.approx(6, abs=EXACT_MM)
    # and in one that is not, the handle's foot rests on the rim
    narrow = piece_from(straight([[64, 0], [80, 80]], [[60, 6], [74, 80]]))
    assert nest(narrow, piece_from(CONE)).pitch_mm == pytest.approx(6, abs=EXACT_MM)
    assert nest(narrow, piece_from(CONE + handle)).pitch_mm == pytest.approx(80, abs=EXACT_MM)


def test_what_stands_up_over_the_rim_keeps_off_what_comes_from_above() -> None:
    hoop = '[[extras]]\nname = "hoop"\nweight_g = 90\nheight = 70\n'
    found = _itself(CONE + hoop)
    assert found.touches is Touch.RIM
    assert found.pitch_mm == pytest.approx(130)


def test_a_pitch_shrinks_with_the_height() -> None:
    # the stoneware shrinks by 12 per cent in all
    wet, fired = _itself(CONE, State.WET), _itself(CONE)
    assert wet.pitch_mm == pytest.approx(fired.pitch_mm / 0.88, rel=1e-12)
    assert wet.r_mm == pytest.approx(fired.r_mm / 0.88, rel=1e-9)


def test_a_bowl_stands_in_the_well_of_its_plate() -> None:
    plate, bowl = (demo_piece(ROOT / "designs_demo" / f"{stem}.toml") for stem in ("supper_plate", "porridge_bowl"))
    found = nest(plate, bowl)
    # the plate's floor is 6 thick over a ring of 4; the bowl's ring, 70 across, has edges of 0.8
    assert found.pitch_mm == pytest.approx(10, abs=1e-9)
    assert found.touches is Touch.FOOT
    assert found.r_mm == pytest.approx(35 - 0.8, abs=1e-6)


def test_a_stack_grows_by_its_pitch() -> None:
    piece = piece_from(CONE)
    assert [stack_height_mm(piece, count) for count in (1, 2, 6)] == pytest.approx([60, 80, 160], abs=EXACT_MM)
    with pytest.raises(ValueError, match="stack of 0"):
        stack_height_mm(piece, 0)


def test_only_walls_are_warned_of() -> None:
    # the walls stop the cone at 20 mm, its foot would go on to the floor at 8
    found = _itself(straight([[20, 0], [32, 8], [45, 60]], [[27, 8], [40, 60]]))
    assert found.hangs_mm == pytest.approx(12, abs=EXACT_MM)
    (remark,) = of_nest(found)
    assert (remark.id, remark.level, remark.field) == ("stack-walls", Level.WARNING, "form")
    assert "80 mm across, 60 mm above" in remark.message
    assert "hangs 12.0 mm" in remark.message
    assert of_nest(_itself(SHALLOW_CONE)) == of_nest(_itself(CYLINDER)) == ()


def test_a_notch_is_not_looked_at() -> None:
    assert SHARP in CONE
    spooned = CONE + '[spoon]\nlength = 130\nhandle_width = 7\n[notch]\nin = "jar"\ncutters = [10]\n'
    assert _itself(spooned) == _itself(CONE)
