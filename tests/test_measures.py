"""Clay volume, capacity and weight of pots with straight walls by hand, of curved ones by another library."""

from __future__ import annotations

from itertools import pairwise
from math import pi
from pathlib import Path

import numpy as np
import pytest
from fontTools.pens.momentsPen import MomentsPen
from numpy.typing import NDArray
from scipy.integrate import quad
from scipy.interpolate import CubicSpline

from profiler.clay.states import State
from profiler.geometry.section import Section
from profiler.measures import Measures, measured
from profiler.measures_json import as_json
from profiler.settings import Settings
from profiler.trimming import waste
from tests.pieces import DEMO_DESIGNS, demo_piece, piece_from

EXACT = 1e-9
"""Relative, as the issue asks of every integral; rounding is about 1e-15."""

STONEWARE_WET = 1 / 0.88
"""Generic stoneware shrinks by 12 % in all: wet = fired / (1 - S)."""

STONEWARE_LEATHER = 0.95 / 0.88
"""And by 5 % to leather-hard."""


def _measured(text: str) -> Measures:
    return measured(piece_from(text), Settings())


def _frustum_cm3(low: float, high: float, height: float) -> float:
    """π h / 3 (R² + R r + r²), OpenStax Calculus, in cm³ from mm."""
    return pi * height / 3 * (low * low + low * high + high * high) / 1000


CYLINDER = """[form]
kind = "points"
outside = [[40, 0], [40, 100]]
inside = [[35, 6], [35, 100]]
"""

FRUSTUM = """[form]
kind = "points"
outside = [[30, 0], [45, 90]]
inside = [[26, 5], [41, 90]]
"""
FRUSTUM_CM3 = _frustum_cm3(30, 45, 90) - _frustum_cm3(26, 41, 85)


def test_a_cylinder_by_hand() -> None:
    fired = _measured(CYLINDER).states[State.FIRED]
    assert fired.clay_volume_cm3 == pytest.approx(pi * (40**2 * 100 - 35**2 * 94) / 1000, rel=EXACT)
    assert fired.capacity_ml == pytest.approx(pi * 35**2 * 94 / 1000, rel=EXACT)
    assert fired.height_mm == pytest.approx(100, rel=EXACT)
    assert (fired.rim_diameter_mm, fired.foot_diameter_mm) == pytest.approx((80, 80), rel=EXACT)


def test_a_cylinder_whose_inside_comes_from_wall_and_floor() -> None:
    text = '[form]\nkind="points"\noutside=[[40,0],[40,100]]\n[wall]\nrim=5\nfoot=5\n[floor]\nthickness=6\n'
    fired = _measured(text).states[State.FIRED]
    assert fired.clay_volume_cm3 == pytest.approx(pi * (40**2 * 100 - 35**2 * 94) / 1000, rel=EXACT)
    assert fired.capacity_ml == pytest.approx(pi * 35**2 * 94 / 1000, rel=EXACT)


def test_a_cone_frustum_by_hand_in_every_state() -> None:
    states = _measured(FRUSTUM).states
    # per cent of the plastic length, from the body file: leather-hard, bone-dry, bisque, fired
    left = dict(zip(State, (1.0, 0.95, 0.94, 0.935, 0.88), strict=True))
    for state, measure in states.items():
        k = left[state] / left[State.FIRED]
        assert measure.clay_volume_cm3 == pytest.approx(FRUSTUM_CM3 * k**3, rel=EXACT)
        assert measure.capacity_ml == pytest.approx(_frustum_cm3(26, 41, 85) * k**3, rel=EXACT)
        assert measure.rim_diameter_mm == pytest.approx(90 * k, rel=EXACT)
        assert measure.height_mm == pytest.approx(90 * k, rel=EXACT)


def test_the_weight_follows_from_volume_density_water_and_loss_on_ignition() -> None:
    states = _measured(FRUSTUM).states
    wet_cm3 = FRUSTUM_CM3 * STONEWARE_WET**3
    wet_g = 1.95 * wet_cm3
    # until leather-hard the volume lost is water lost, 1 g/cm³; then 21 % of damp weight, 6 % of dry (body file)
    assert states[State.WET].mass_g == pytest.approx(wet_g, rel=EXACT)
    assert states[State.LEATHER_HARD].mass_g == pytest.approx(wet_g - wet_cm3 * (1 - 0.95**3), rel=EXACT)
    assert states[State.BONE_DRY].mass_g == pytest.approx(wet_g * 0.79, rel=EXACT)
    assert states[State.FIRED].mass_g == pytest.approx(wet_g * 0.79 * 0.94, rel=EXACT)


def test_two_runs_and_two_rings_by_hand() -> None:
    measures = _measured(
        """[form]
kind = "points"
outside = [[60, 0], [90, 15], [120, 20]]
inside = [[50, 9], [85, 20], [116, 20]]
[foot_ring]
outer_diameter = 120
width = 8
depth = 4
inner_diameter = 60
inner_width = 6
inner_short = 0.5
"""
    )
    fired = measures.states[State.FIRED]
    # the recess is 4 deep inside radius 52; the inner ring fills 24..30 of it but for half a millimetre
    outer = _frustum_cm3(60, 90, 15) + _frustum_cm3(90, 120, 5)
    recess = pi * 52**2 * 4 / 1000 - pi * (30**2 - 24**2) * 3.5 / 1000
    inside = _frustum_cm3(50, 85, 11)
    assert fired.clay_volume_cm3 == pytest.approx(outer - recess - inside, rel=EXACT)
    # not trimmed, so it is thrown with its ring: floor 5 and ring 4 to the bat it stands on
    assert measures.thrown.floor_mm == pytest.approx(9 * STONEWARE_WET, rel=EXACT)
    assert measures.thrown.height_mm == pytest.approx(20 * STONEWARE_WET, rel=EXACT)


def test_a_printed_glass() -> None:
    # height 21, diameters 6 and 4 cm: 418 cm³ with π as 22/7, 417.8318 exactly; half the last digit
    text = '[form]\nkind="points"\noutside=[[23,0],[33,214]]\ninside=[[20,4],[30,214]]\n'
    assert _measured(text).states[State.FIRED].capacity_ml == pytest.approx(417.8318, abs=5e-5)


def test_a_rim_that_slopes_overflows_at_its_highest_place() -> None:
    # outside 100 high, inside 98: water stands to 100, the last 2 mm in a cone from radius 35 to 40
    text = '[form]\nkind="points"\noutside=[[40,0],[40,100]]\ninside=[[35,6],[35,98]]\n'
    fired = _measured(text).states[State.FIRED]
    assert fired.capacity_ml == pytest.approx(pi * 35**2 * 92 / 1000 + _frustum_cm3(35, 40, 2), rel=EXACT)


TRIMMED = (
    FRUSTUM
    + """[foot_ring]
width = 6
depth = 2
[thrown]
base_diameter = 76
blend_height = 30
skim = 1.5
loss_percent = 10
"""
)
# the outside is 35 in radius at the blend, the recess 24
THROWN_CM3 = _frustum_cm3(38, 35, 31.5) + _frustum_cm3(35, 45, 60) - _frustum_cm3(26, 41, 85)
REMOVED_CM3 = _frustum_cm3(38, 35, 31.5) - _frustum_cm3(30, 35, 30) + pi * 24**2 * 2 / 1000


def test_thrown_and_trimmed_by_hand() -> None:
    measures = _measured(TRIMMED)
    thrown, trimming = measures.thrown, measures.trimming
    assert thrown.clay_volume_cm3 == pytest.approx(THROWN_CM3 * STONEWARE_WET**3, rel=EXACT)
    assert thrown.floor_mm == pytest.approx(6.5 * STONEWARE_WET, rel=EXACT)  # floor 3, ring 2, skim 1.5
    assert thrown.base_diameter_mm == pytest.approx(76 * STONEWARE_WET, rel=EXACT)
    assert trimming.removed_cm3 == pytest.approx(REMOVED_CM3 * STONEWARE_LEATHER**3, rel=EXACT)
    assert trimming.floor_left_mm == pytest.approx(3 * STONEWARE_LEATHER, rel=EXACT)
    wet_g = 1.95 * THROWN_CM3 * STONEWARE_WET**3
    assert measures.ball_g == pytest.approx(wet_g / 0.9, rel=EXACT)  # a tenth of the ball is slurry
    assert measures.weigh_out_g == 10 * np.ceil(measures.ball_g / 10)


def test_what_is_trimmed_off_is_a_section_of_its_own() -> None:
    (cast,) = piece_from(TRIMMED).parts
    assert sum(part.volume_mm3 for part in waste(cast)) / 1000 == pytest.approx(REMOVED_CM3, rel=EXACT)


def test_without_skim_the_ring_stands_on_the_bat_and_parts_the_waste() -> None:
    (cast,) = piece_from(TRIMMED.replace("skim = 1.5", "skim = 0")).parts
    inner, outer = (part.volume_mm3 / 1000 for part in waste(cast))
    assert inner == pytest.approx(pi * 24**2 * 2 / 1000, rel=EXACT)
    assert outer == pytest.approx(_frustum_cm3(38, 35, 30) - _frustum_cm3(30, 35, 30), rel=EXACT)


def _spline_volume(points: list[list[float]]) -> float:
    """π ∫ r² dz along the C2 cubic through the points by chord length, cm³, by scipy's own quadrature."""
    p = np.array(points, dtype=float)
    knots = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(p, axis=0).T))])
    spline = CubicSpline(knots, p)
    runs = pairwise(knots)
    whole = sum(quad(lambda t: spline(t)[0] ** 2 * spline(t, 1)[1], a, b, epsrel=1e-12)[0] for a, b in runs)
    return pi * float(whole) / 1000


def test_a_curved_pot_against_another_integrator() -> None:
    outside = [[38.0, 0.0], [46.0, 25.0], [48.0, 50.0], [43.0, 85.0], [40.0, 105.0], [42.0, 120.0]]
    inside = [[33.0, 6.0], [41.5, 27.0], [43.5, 50.0], [39.0, 84.0], [36.5, 105.0], [38.0, 120.0]]
    text = f'[form]\nkind="points"\ncurve="smooth"\noutside={outside}\ninside={inside}\n'
    fired = _measured(text).states[State.FIRED]
    assert fired.capacity_ml == pytest.approx(_spline_volume(inside), rel=EXACT)
    assert fired.clay_volume_cm3 == pytest.approx(_spline_volume(outside) - _spline_volume(inside), rel=EXACT)


def _pen_volume(section: Section) -> float:
    """2π times the first moment about the axis, by fontTools; its signs follow the direction of the outline."""
    pen = MomentsPen()
    cubics: NDArray[np.float64] = section.outline.cubics
    pen.moveTo(tuple(cubics[0, 0]))
    for _, out, into, end in cubics:
        pen.curveTo(tuple(out), tuple(into), tuple(end))
    pen.closePath()
    return float(2 * pi * abs(pen.momentX))


@pytest.mark.parametrize("path", DEMO_DESIGNS, ids=lambda path: path.stem)
def test_demo_volumes_against_the_moments_of_another_library(path: Path) -> None:
    for cast in demo_piece(path).parts:
        for section in (cast.section, cast.thrown, *waste(cast)):
            assert section.volume_mm3 == pytest.approx(_pen_volume(section), rel=EXACT)
        off = sum(part.volume_mm3 for part in waste(cast))
        # a difference of two larger numbers: rounding counts against the whole pot
        assert off == pytest.approx(
            cast.thrown.volume_mm3 - cast.section.volume_mm3, abs=EXACT * cast.thrown.volume_mm3
        )


def test_there_are_the_six_demo_pieces_the_issue_asks_for() -> None:
    assert len(DEMO_DESIGNS) >= 6


def test_the_numbers_carry_the_names_of_the_contract() -> None:
    numbers = as_json(_measured(TRIMMED))
    assert set(numbers["states"]) == {"wet", "leather_hard", "bone_dry", "bisque", "fired"}
    assert {
        "height_mm",
        "rim_diameter_mm",
        "widest_diameter_mm",
        "foot_diameter_mm",
        "clay_volume_cm3",
        "capacity_ml",
        "mass_g",
    } <= set(numbers["states"]["wet"])
    assert {"clay_volume_cm3", "mass_g", "floor_mm"} <= set(numbers["thrown"])
    assert {"removed_cm3", "removed_g", "floor_left_mm"} <= set(numbers["trimming"])
    assert {"title", "form", "clay", "sized", "ball_g", "weigh_out_g"} <= set(numbers)


def test_a_stand_is_the_sum_of_its_parts() -> None:
    text = '[form]\nkind="stand"\nrim_diameter=220\nheight=110\n'
    measures = _measured(text)
    assert set(measures.parts) == {"dish", "pedestal"}
    parts = measures.parts.values()
    for state, whole in measures.states.items():
        assert whole.mass_g == pytest.approx(sum(p.states[state].mass_g for p in parts), rel=EXACT)
    assert measures.ball_g == pytest.approx(sum(ball.ball_g for ball in measures.balls.values()), rel=EXACT)
    assert measures.states[State.FIRED].height_mm == pytest.approx(110, abs=1e-6)  # the rim settles to 1e-11
    assert measures.parts["pedestal"].states[State.FIRED].capacity_ml is None  # a pedestal holds nothing
