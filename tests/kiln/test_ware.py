"""What goes into the kiln: sizes of the state it goes in with, closed, with what is stuck on."""

from __future__ import annotations

from pathlib import Path

import pytest

from profiler.clay.states import State
from profiler.design.model import read_design
from profiler.kiln import Firing, KilnTable, Ware, ware_of
from profiler.piece import Piece, piece_of

CLAY = """
name = "test"
[shrinkage]
leather_hard = 5
bone_dry = 6
bisque = 7
fired = 12
[density]
plastic = 1.95
[weight]
water = 20
loss_on_ignition = 6
"""

CUP = """
clay = "clay.toml"
[form]
kind = "points"
curve = "straight"
outside = [[30, 0], [40, 88]]
inside = [[26, 6], [36, 88]]
"""
"""Upright plane geometry: its foot 60 across, its rim 80, 88 high, all fired."""

HANDLE = '[[extras]]\nname = "handle"\nweight_g = 60\nreach = 22\nheight = 4.4\n'


def _piece(text: str, folder: Path) -> Piece:
    (folder / "clay.toml").write_text(CLAY, encoding="utf-8")
    path = folder / "pot.toml"
    path.write_text(text, encoding="utf-8")
    return piece_of(read_design(path))


@pytest.mark.parametrize(("firing", "left"), [(Firing.BISQUE, 0.94), (Firing.GLAZE, 0.93)])
def test_a_cup_goes_in_larger_than_it_comes_out(firing: Firing, left: float, tmp_path: Path) -> None:
    """Of 100 mm wet 94 are left bone-dry, 93 bisque-fired and 88 fired, all of the wet length: 88 fired were 100."""
    ware = ware_of(_piece(CUP, tmp_path), 12, firing.state, "cup")
    assert ware.height_mm == pytest.approx(100 * left)
    assert ware.foot_radius_mm == pytest.approx(30 / 0.88 * left)
    assert ware.reach_radius_mm == pytest.approx(40 / 0.88 * left)
    assert (ware.name, ware.count) == ("cup", 12)
    assert ware.pitch_mm == pytest.approx(100 * left)


def test_a_handle_counts_all_round_and_what_stands_up_is_not_stood_on(tmp_path: Path) -> None:
    ware = ware_of(_piece(CUP + HANDLE, tmp_path), 1, State.BISQUE, "mug", 30.0)
    assert ware.reach_radius_mm == pytest.approx((40 + 22) / 0.88 * 0.93)
    assert ware.height_mm == pytest.approx((88 + 4.4) / 0.88 * 0.93)
    assert ware.pitch_mm is None


def test_a_jar_goes_in_with_its_lid_on(tmp_path: Path) -> None:
    jar = CUP + '[lid]\nkind = "flange"\nthickness = 5\nrise = 10\noverhang = 6\n'
    piece = _piece(jar, tmp_path)
    ware = ware_of(piece, 1, State.BISQUE, "jar", 30.0)
    # the lid's edge lies on the rim and is 5 thick, its crown 10 higher: 15 over the rim
    assert ware.height_mm == pytest.approx(
        (88 + 15) / 0.88 * 0.93, abs=1.0
    )  # a rounded rim carries it a little lower
    assert ware.reach_radius_mm == pytest.approx((40 + 6) / 0.88 * 0.93)
    assert ware.pitch_mm is None


def test_a_stack_keeps_to_the_limit_and_the_height() -> None:
    kiln = KilnTable(shelf="round", diameter=400, clear_height=200, stack_limit=5)
    bowl = Ware("bowl", 30, 80, 70, 9, 20)
    assert [bowl.stacks_to(kiln, under) for under in (50, 70, 89.9, 90, 150, 200)] == [1, 1, 1, 2, 5, 5]
    assert bowl.stack_mm(5) == 150
