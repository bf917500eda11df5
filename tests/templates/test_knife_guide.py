"""The knife guide: where its edge leads the knife."""

from __future__ import annotations

import math

import numpy as np
import pytest
from shapely.geometry import LineString, Point, Polygon, box

from profiler.geometry.curve import chained, cubic
from profiler.templates.knife_guide import (
    CLEAR_MM,
    EDGE_MM,
    HAND_MM,
    LEAST_EDGE_MM,
    Bench,
    Cut,
    knife_guide,
    why_no_knife_guide,
)
from tests.templates.lid_tools import CLOSE_MM, CUTS, EXACT_MM, GUIDES, body_of, cut_of, outer_at, path_of, said, says


@pytest.mark.parametrize("name", CUTS)
def test_the_knifes_line_is_the_cone_of_the_cut(name: str) -> None:
    guide, (cut, bench) = GUIDES[name], CUTS[name]
    (x0, y0), (x1, y1) = path_of(guide, "profile")[[0, -1]]
    # a cone with its slant from level, by trigonometry: z = z_o ± (r - r_o) tan(slant), from the table
    table = bench.head_over_table_mm + bench.bat_mm + (0.0 if bench.turned else cut.skim_mm)
    slope = math.tan(math.radians(cut.slant_degrees)) * (1 if cut.slope == "inward_down" else -1)
    # half a blade, square to the slant, is knife / 2 / cos(slant) upright; the body lies under the knife that
    # goes down, and over the one that goes up
    half = bench.knife_mm / 2 / math.cos(math.radians(cut.slant_degrees))
    half = -half if cut.slope == "inward_down" else half
    for x, y in ((x0, y0), (x1, y1)):
        assert y == pytest.approx(table + cut.outer[1] + (x - cut.outer[0]) * slope + half, abs=EXACT_MM)
    assert x0 < x1
    assert LEAST_EDGE_MM <= math.hypot(x1 - x0, y1 - y0) <= EDGE_MM + EXACT_MM
    # along the edge all of the body lies on that side of it
    knife = 1.0 if cut.slope == "inward_down" else -1.0
    free = Polygon([(x0, y0), (x1, y1), (x1, y1 + knife), (x0, y0 + knife)])
    assert free.intersection(body_of(guide)).area < 1e-6


@pytest.mark.parametrize("name", CUTS)
def test_the_guide_stands_beside_what_turns_and_clear_of_the_pot(name: str) -> None:
    guide, (cut, bench) = GUIDES[name], CUTS[name]
    body = body_of(guide)
    table = bench.head_over_table_mm + bench.bat_mm + (0.0 if bench.turned else cut.skim_mm)
    pot = Polygon([*cut.outside.moved(0.0, table).sampled(400), (0.0, table)])
    # clear by 5 mm, the chords of 400 to a cubic well within a hundredth
    assert body.distance(pot) >= CLEAR_MM - CLOSE_MM
    # and the edge starts no further from it, but for what half a blade moves it
    assert Point(path_of(guide, "profile")[0]).distance(pot) < CLEAR_MM + bench.knife_mm / 2 + CLOSE_MM
    turning = box(0, 0, bench.turning_radius_mm, bench.head_over_table_mm + bench.bat_mm)
    assert body.distance(turning) >= 6.0 - CLOSE_MM
    # it stands on a level foot, 2 mm rounded at both ends
    left, low, right, _ = body.bounds
    foot = body.intersection(LineString([(left, 2.0), (right, 2.0)])).length
    assert low == pytest.approx(0.0, abs=EXACT_MM)
    assert foot >= 95.0
    if cut.slope == "inward_up":  # room for the hand under the knife
        end = path_of(guide, "profile")[-1]
        assert end[1] - bench.head_over_table_mm - bench.bat_mm >= HAND_MM - EXACT_MM


def test_the_guide_prints_both_heights_and_what_to_do_for_the_other() -> None:
    before = said(GUIDES["shoulder"])
    # 84 mm over the finished foot, which stands 1.1 mm over the bat; to the half millimetre
    assert "cut 85 mm above the bat, foot not yet turned (84 once turned)" in before
    after = said(GUIDES["high"])
    assert "cut 96 mm above the bat, foot turned (97 before)" in after
    for guide in GUIDES.values():
        assert "wheel head" in said(guide)
        assert "screw to a block" in said(guide)
        assert "pot held down with clay, slow wheel, hand out of the blade's way" in said(guide)
    assert "slant 40° inward and down" in before
    assert "wheel head 50 mm above the table, bat of 12" in before
    assert "no bat" in said(GUIDES["mustard"])
    assert "knife on this edge" in before
    assert "knife under this edge" in said(GUIDES["cap"])


def test_the_guides_print_is_short_and_large_enough_to_read_at_the_wheel() -> None:
    for guide in GUIDES.values():
        below = [w for w in guide.words if not w.bold and w.text not in {"100 mm", "50 mm", "20 mm", "4 in", "2 in"}]
        # its own three notes, the clay's two and the hint, each broken once; tool, state and four labels besides
        assert len(below) <= 18
        # common practice, no source: letters 2.5 mm high are read at arm's length, 0.7 of a size of 3.5
        own = [w.size for w in below if w.text.startswith(("slant", "wheel head", "pot held"))]
        assert len(own) == 3
        assert min(own) >= 3.5


def test_turned_the_edge_lies_lower_by_the_skim() -> None:
    cut = cut_of(84, 40, "inward_down", skim=3.0)
    high, low = (path_of(knife_guide(says("g"), cut, Bench(turned=t)), "profile") for t in (False, True))
    assert high - low == pytest.approx(np.tile([0.0, 3.0], (len(high), 1)), abs=EXACT_MM)


def test_a_cut_no_knife_can_be_led_to_gets_no_guide() -> None:
    belly = chained([cubic((40, 0), (120, 30), (120, 70), (30, 80)), cubic((30, 80), (20, 82), (10, 83), (0, 83))])
    cases = {
        "no cone": cut_of(84, 0, "inward_down"),
        "room for an arm": cut_of(8, 30, "inward_down"),
        "room for a hand": cut_of(40, 45, "inward_up"),
        "own wall": Cut(outer_at(belly, 79.9), 40, "inward_up", belly, 7.0),
    }
    for word, cut in cases.items():
        assert word in str(why_no_knife_guide(cut))
        with pytest.raises(ValueError, match=word):
            knife_guide(says("knife guide"), cut)
