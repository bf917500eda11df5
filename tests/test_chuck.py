"""The chuck that is named where a part does not stand upside down by itself."""

from __future__ import annotations

import math

import pytest

from profiler.chuck import chuck
from profiler.templates.catalogue import not_made
from tests.pieces import piece_from

# The shipped stoneware: 5 % of the plastic length by leather-hard, 12 % fired.
LEATHER = 0.95 / 0.88


def test_a_dome_lies_in_the_chuck_where_it_leans_by_45_degrees() -> None:
    # upright to a height of 60, then an eighth of a circle's worth of short chords over to the axis
    steps = [(50 * math.cos(math.radians(a)), 60 + 50 * math.sin(math.radians(a))) for a in range(0, 91, 5)]
    outside = [[50.0, 0.0], *([round(r, 9), round(z, 9)] for r, z in steps)]
    outside[-1][0] = 0.0
    inside = [[45.0, 5.0], *([round(r * 0.9, 9), round(60 + (z - 60) * 0.9, 9)] for r, z in steps)]
    inside[-1][0] = 0.0
    piece = piece_from(
        f'clay="stoneware"\n[form]\nkind="points"\noutside={outside}\ninside={inside}\n'
        "[thrown]\nbase_diameter=110\nblend_height=15\nskim=1\n"
    )
    held = chuck(piece.parts[0])
    assert held is not None
    # a circle of 50 leans by 45 degrees at 45 degrees, where it is 50 cos 45 out; the chords are 5 degrees long
    low, high = (2 * 50 * math.cos(math.radians(a)) * LEATHER for a in (50, 40))
    assert low <= held.wide_mm <= high
    # from there to the top 50 (1 - sin 45), and 5 mm of air
    low, high = (50 * (1 - math.sin(math.radians(a))) * LEATHER + 5 for a in (50, 40))
    assert low <= held.deep_mm <= high


def test_a_lid_thrown_knob_up_lies_in_the_chuck_on_its_crown() -> None:
    text = (
        'clay="stoneware"\n[form]\nkind="cylinder"\nrim_diameter=100\nheight=80\n'
        '[lid]\nkind="flange"\nthrown="right_way_up"\nrise=12\n'
    )
    piece = piece_from(text)
    held = chuck(piece.parts[1])
    assert held is not None
    # three quarters of an edge of 100 (common practice, no source); found on a curve, by sampling
    assert held.wide_mm == pytest.approx(75 * LEATHER, abs=1.0)
    assert 5.0 < held.deep_mm < 12 * LEATHER + 5.0
    told = dict(not_made(piece))["lid_turning_stick"]
    assert "the lid does not stand on its crown" in told
    knobbed = chuck(piece_from(text + "knob={diameter=24, height=15}\n").parts[1])
    assert knobbed is not None
    # the knob hangs down in it
    assert knobbed.deep_mm > held.deep_mm + 10


def test_what_stands_on_its_rim_needs_none() -> None:
    piece = piece_from('[form]\nkind="jar"\nbelly_diameter=110\nrim_diameter=95\nheight=115\n[lid]\nkind="flange"\n')
    assert [chuck(cast) for cast in piece.parts] == [None, None]
    assert piece.parts[1].flipped
