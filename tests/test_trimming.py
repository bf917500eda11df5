"""Trimming: what she turns by, by hand; thrown clay that does not reach is found where and by how much."""

from __future__ import annotations

from math import pi, sqrt

import pytest
from shapely.geometry import Polygon

from profiler.checks import Level, checked
from profiler.clay.states import State
from profiler.measures import measured
from profiler.settings import Settings
from profiler.thickness import thinnest
from profiler.trimming import shortage, trimming, waste
from tests.pieces import piece_from

EXACT = 1e-9
LEATHER = 0.95 / 0.88
"""Generic stoneware: 12 % in all, 5 % to leather-hard; the designs here are sized fired."""

CONE = """[form]
kind = "points"
outside = [[30, 0], [45, 90]]
inside = [[26, 7], [41, 90]]
[foot_ring]
width = 6
depth = 3
"""
THROWN = CONE + "[thrown]\nbase_diameter = 80\nblend_height = 30\nskim = 1.5\n"


def test_the_numbers_she_turns_by() -> None:
    piece = piece_from(THROWN)
    cut = trimming(piece.parts[0])
    assert cut.floor_left_mm == pytest.approx(4 * LEATHER, rel=EXACT)  # floor at 7, ring 3 deep
    assert cut.recess_depth_mm == pytest.approx(3 * LEATHER, rel=EXACT)
    assert cut.ring_above_head_mm == pytest.approx(90 * LEATHER, rel=EXACT)  # upside down on its rim
    assert cut.recess_above_head_mm == pytest.approx(87 * LEATHER, rel=EXACT)  # inside depth 83 and floor 4
    # the thrown side runs from 40 at -1.5 to 35 at 30, the finished from 30 at 0: most comes off at the table
    side = 40 - 5 * 1.5 / 31.5 - 30
    assert cut.side_cut_mm == pytest.approx(side * LEATHER, rel=EXACT)
    assert cut.side_cut_height_mm == pytest.approx(0.0, abs=EXACT)


def test_the_weight_of_the_trimmings() -> None:
    piece = piece_from(THROWN)
    cut = trimming(piece.parts[0])
    wet_cm3 = cut.removed_cm3 / 0.95**3
    # 1.95 g/cm³ as thrown; until leather-hard the volume lost is water lost, 1 g/cm³
    assert cut.reclaim_g == pytest.approx(1.95 * wet_cm3, rel=EXACT)
    assert cut.removed_g == pytest.approx(1.95 * wet_cm3 - (wet_cm3 - cut.removed_cm3), rel=EXACT)
    made = measured(piece, Settings())
    total = made.thrown.mass_g - made.states[State.WET].mass_g
    assert cut.reclaim_g == pytest.approx(total, rel=EXACT)


def test_without_thrown_nothing_is_turned_off() -> None:
    piece = piece_from(CONE)
    cut = trimming(piece.parts[0])
    assert (cut.removed_cm3, cut.removed_g, cut.reclaim_g, cut.side_cut_mm) == (0.0, 0.0, 0.0, 0.0)
    assert waste(piece.parts[0]) == ()


def test_extra_wall_is_turned_off_all_the_way_up() -> None:
    piece = piece_from(THROWN + "extra_wall = 2\n")
    (cast,) = piece.parts
    off = sum(part.volume_mm3 for part in waste(cast))
    assert off == pytest.approx(cast.thrown.volume_mm3 - cast.section.volume_mm3, rel=EXACT)
    plain = sum(part.volume_mm3 for part in waste(piece_from(THROWN).parts[0]))
    # 2 mm square to a side 60 high that goes out 10: Pappus' ring on its run, middle radius 40 and half of 2 mm
    # out. The thrown line below the blend starts further out too, which only adds.
    run, cosine = sqrt(60**2 + 10**2), 60 / sqrt(60**2 + 10**2)
    assert off - plain >= 2 * pi * (40 + cosine) * 2 * run * (1 - EXACT)


@pytest.mark.parametrize(("base", "missing"), [(56, 2.0), (50, 5.0)])
def test_thrown_clay_that_does_not_reach(base: float, missing: float) -> None:
    text = CONE + f"[thrown]\nbase_diameter = {base}\nblend_height = 30\nskim = 0\n"
    piece = piece_from(text)
    short = shortage(piece.parts[0])
    assert short is not None
    # both sides are straight and meet at the blend: most is missing at the table, where it is half the difference
    assert short.depth_mm == pytest.approx(missing, rel=EXACT)
    assert short.z_mm == pytest.approx(0.0, abs=EXACT)
    (error,) = [check for check in checked(measured(piece, Settings())) if check.level is Level.ERROR]
    assert error.id == "thrown_contains_finished"
    assert f"{missing / 0.88:.1f} mm" in error.message  # said in the wet clay she throws


def test_thrown_clay_that_reaches() -> None:
    assert shortage(piece_from(THROWN).parts[0]) is None


def test_a_recess_that_goes_nearly_through_is_an_error() -> None:
    text = (
        '[form]\nkind="points"\noutside=[[30,0],[40,80]]\ninside=[[26,4],[36,80]]\n[foot_ring]\nwidth=6\ndepth=3.2\n'
    )
    checks = checked(measured(piece_from(text), Settings()))
    (error,) = [check for check in checks if check.level is Level.ERROR]
    assert error.id == "breaks_through"
    assert "0.8 mm" in error.message  # 4 less 3.2


def test_the_waste_joins_the_finished_to_the_thrown() -> None:
    # By another library: finished and waste overlap nowhere and together are what was thrown.
    for text in (
        "[form]\nkind='bowl'\nrim_diameter=155\nheight=68\n",
        "[form]\nkind='plate'\nrim_diameter=265\nheight=27\n[foot_ring]\ninner_diameter=70\n",
        "[form]\nkind='cylinder'\nrim_diameter=82\nheight=95\n",
        "[form]\nkind='jar'\nrim_diameter=82\nheight=100\nbelly_diameter=86\n",
        THROWN,
    ):
        (cast,) = piece_from(text).parts
        finished, thrown = (Polygon(section.outline.sampled(200)) for section in (cast.section, cast.thrown))
        off = [Polygon(section.outline.sampled(200)) for section in waste(cast)]
        # chords of 200 to a cubic cut off less than 0.01 mm² of outline
        assert finished.area + sum(part.area for part in off) == pytest.approx(thrown.area, abs=0.05)
        assert all(part.is_valid for part in off)
        assert all(part.intersection(finished).area < 0.05 for part in off)


def test_the_thinnest_place_by_hand() -> None:
    text = '[form]\nkind="points"\noutside=[[40,0],[40,100]]\ninside=[[36,6],[37,100]]\n'
    (cast,) = piece_from(text).parts
    found = thinnest(cast.shape)
    # the wall is 3 mm at the rim, where the inside ends square to nothing: the outside is upright, so level is square
    assert found.thickness_mm == pytest.approx(3.0, abs=0.01)  # what the function says it is good to
    assert found.z_mm == pytest.approx(100, abs=0.01)
