"""Where drawings go: by their true shapes nothing overlaps, nothing leaves its window, and pages are few."""

from collections.abc import Sequence
from itertools import combinations, pairwise
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon, box, union_all

from profiler.geometry.curve import polyline
from profiler.sheets.extent import box_of
from profiler.sheets.filling import Place, Sheet
from profiler.sheets.layout import laid_out, on_own_pages
from profiler.sheets.paper import Correction, leaves
from profiler.sheets.shapes import CELL_MM, GAP_MM, shape_of
from profiler.templates.catalogue import templates_of
from profiler.templates.drawing import Drawing, Layer, Line
from tests.pieces import DEMO_DESIGNS, demo_piece

SIZES = st.lists(st.tuples(st.floats(5, 700), st.floats(5, 700)), min_size=1, max_size=6)
PAPERS = ["A4", "A3", "Letter", "Tabloid"]
SLACK = 1e-6  # sums of a few hundred mm in floating point
DENT = 0.1  # curves are followed in steps of a millimetre, a half gap away: 4 - sqrt(16 - 0.5^2) = 0.03 from each


def _cut(*corners: tuple[float, float]) -> Drawing:
    """A template of straight edges; the first is the working edge."""
    edge = Line(polyline(corners[:2]), Layer.CUT, id="profile")
    rest = Line(polyline([*corners[1:], corners[0]]), Layer.CUT, id="outline")
    return Drawing("card", "Hut bowl: card", (edge, rest))


def _slab(wide: float, high: float) -> Drawing:
    return _cut((0, 0), (wide, 0), (wide, high), (0, high))


def _ell(wide: float, high: float, arm: float) -> Drawing:
    """An arm along the foot and one up the right side."""
    return _cut((0, 0), (wide, 0), (wide, high), (wide - arm, high), (wide - arm, arm), (0, arm))


def _standing(place: Place, drawings: Sequence[Drawing]) -> tuple[Polygon, tuple[float, float, float, float]]:
    """The body (or the part of the box) and the box with its text, where they stand on the page, mm."""
    drawing = drawings[place.index]
    stands = drawing.quarter_turned() if place.turned else drawing
    left, bottom, right, top = place.tile.box if place.tile else box_of(stands)
    whole = (place.x, place.y, place.x + right - left, place.y + top - bottom)
    if place.tile or stands.body is None:
        return box(*whole), whole
    return Polygon(stands.body.moved(place.x - left, place.y - bottom).sampled(40)), whole


def _check(sheets: Sequence[Sheet], drawings: Sequence[Drawing]) -> None:
    for sheet in sheets:
        left, bottom, right, top = sheet.leaf.window
        found = [_standing(place, drawings) for place in sheet.places]
        for _, whole in found:
            assert whole[0] >= left - SLACK
            assert whole[1] >= bottom - SLACK
            assert whole[2] <= right + SLACK
            assert whole[3] <= top + SLACK
        for (one, _), (other, _) in combinations(found, 2):
            assert one.distance(other) >= GAP_MM - DENT
    firsts = [sheet.places[0].index for sheet in sheets]
    assert firsts == sorted(firsts)


@settings(max_examples=15, deadline=None)
@given(SIZES, st.sampled_from(PAPERS))
def test_every_drawing_is_somewhere_whole_or_in_parts(sizes: list[tuple[float, float]], paper: str) -> None:
    drawings = [_slab(*size) for size in sizes]
    sheets = laid_out(drawings, leaves(paper))
    _check(sheets, drawings)
    places = [place for sheet in sheets for place in sheet.places]
    for index, (wide, high) in enumerate(sizes):
        here = [place for place in places if place.index == index]
        if len(here) == 1:
            continue
        # The parts together show the whole, and no more.
        shown = [box(*place.tile.box) for place in here if place.tile]
        assert len(shown) == len(here)
        assert union_all(shown).area == pytest.approx(wide * high, rel=1e-9)


@pytest.mark.parametrize("design", DEMO_DESIGNS, ids=lambda path: path.stem)
def test_templates_keep_clear_of_each_other_by_their_true_shapes(design: Path) -> None:
    drawings = templates_of(demo_piece(design))
    for paper in PAPERS:
        sheets = laid_out(drawings, leaves(paper))
        _check(sheets, drawings)
        assert {place.index for sheet in sheets for place in sheet.places} == set(range(len(drawings)))
        for index in range(len(drawings)):  # she joins a drawing's parts in the order the sheets come in
            parts = [
                [place.tile.name for place in sheet.places if place.tile is not None and place.index == index]
                for sheet in sheets
            ]
            on = [part for part in parts if part]
            assert all(max(one) < min(other) for one, other in pairwise(on))


def test_the_same_drawings_are_laid_out_the_same_again() -> None:
    drawings = [_ell(90, 70, 20), _slab(180, 60), _slab(60, 180), _ell(120, 150, 30), _slab(340, 60)]
    assert laid_out(drawings, leaves("Letter")) == laid_out(drawings, leaves("Letter"))


def test_two_ells_nest_where_their_boxes_would_not() -> None:
    # Boxes of 150 x 150: neither 300 across nor 300 up is there on A4 (188 x 264 mm of room).
    inner = _cut((0, 0), (40, 0), (40, 110), (150, 110), (150, 150), (0, 150))
    (sheet,) = laid_out([_ell(150, 150, 40), inner], leaves("A4"))
    assert not any(place.turned for place in sheet.places)


def test_turned_only_where_that_saves_a_page() -> None:
    uprights, across = [_slab(50, 250)] * 2, _slab(250, 50)
    # Level, a page for the two and one for the wide one; turned, three of 50 stand in 188 mm with their gaps.
    (one,) = laid_out([*uprights, across], leaves("A4"))
    assert [place.turned for place in one.places] == [False, False, True]
    # Two pages either way: nothing is turned.
    sheets = laid_out([*uprights, _slab(50, 250), across], leaves("A4"))
    assert len(sheets) == 2
    assert not any(place.turned for sheet in sheets for place in sheet.places)


def test_turned_rather_than_cut() -> None:
    # 260 x 182: too wide upright (188), too high lying (177); a quarter turned it stands on an upright page.
    (sheet,) = laid_out([_slab(260, 182)], leaves("A4"))
    (place,) = sheet.places
    assert place.turned
    assert place.tile is None
    assert not sheet.leaf.landscape


def test_a_wide_one_lies() -> None:
    sheets = laid_out([_slab(80, 60), _slab(230, 170)], leaves("A4"))
    assert [sheet.leaf.landscape for sheet in sheets] == [False, True]


def test_a_drawing_just_as_large_as_the_room_fits() -> None:
    for paper in PAPERS:
        for leaf in leaves(paper):
            (sheet,) = laid_out([_slab(*leaf.room)], leaves(paper))
            assert [place.tile for place in sheet.places] == [None]


def test_one_drawing_stands_in_the_middle() -> None:
    (sheet,) = laid_out([_slab(81.3, 60.7)], leaves("A4"))
    left, bottom, right, top = sheet.leaf.window
    (place,) = sheet.places
    assert place.x + 81.3 / 2 == pytest.approx((left + right) / 2, abs=SLACK)
    assert place.y + 60.7 / 2 == pytest.approx((bottom + top) / 2, abs=SLACK)


def test_what_is_left_over_is_shared_out() -> None:
    # Three of 60 mm in 264 mm: 84 mm are left over, 21 above, below and in between (the two gaps among them).
    drawings = [_slab(180, 60)] * 3
    (sheet,) = laid_out(drawings, leaves("A4"))
    _, bottom, _, top = sheet.leaf.window
    levels = sorted(place.y for place in sheet.places)
    free = [levels[0] - bottom, levels[1] - levels[0] - 60, levels[2] - levels[1] - 60, top - levels[2] - 60]
    between = np.array([free[0], free[1] - GAP_MM, free[2] - GAP_MM, free[3]])
    assert between == pytest.approx(np.full(4, (264 - 180 - 2 * GAP_MM) / 4), abs=2 * CELL_MM)  # a cell at both ends


def test_ten_templates_share_few_pages() -> None:
    # 10 x (60 + 8) x (90 + 8) mm are 1.3 pages of 196 x 272: two, if six stand on each.
    assert len(laid_out([_slab(60, 90)] * 10, leaves("A4"))) == 2


def test_a_page_of_its_own_is_as_large_as_the_drawing_with_its_margins() -> None:
    (sheet,) = on_own_pages([_slab(300, 200)])
    # 14 left and 8 right; 25 below and 8 above, as on any paper.
    assert (sheet.leaf.width, sheet.leaf.height) == (322, 233)
    _check([sheet], [_slab(300, 200)])
    small = on_own_pages([_slab(40, 20)])
    _check(small, [_slab(40, 20)])
    assert small[0].leaf.width >= 14 + 101.6 + 8  # the bar of 4 in
    assert small[0].leaf.height >= 27 + 100 + 8  # the bar of 100 mm


@given(st.floats(100, 400), st.floats(-12, 12), st.floats(95, 105), st.floats(95, 105))
def test_an_own_page_lies_or_stands_before_and_after_the_correction(
    wide: float, more: float, across: float, up: float
) -> None:
    correction = Correction("k", across, up)
    (sheet,) = on_own_pages([_slab(wide, wide + more)], correction)
    leaf = sheet.leaf
    x, y = correction.stretch(landscape=leaf.landscape)
    assert leaf.landscape == (leaf.width * x > leaf.height * y)
    assert min(leaf.room[0] - wide, leaf.room[1] - wide - more) >= -SLACK


def test_a_shape_is_all_within_half_a_gap() -> None:
    drawing = _ell(90, 70, 20)
    shape = shape_of(drawing)
    assert drawing.body is not None
    grown = Polygon(drawing.body.sampled(2)).buffer(GAP_MM / 2, quad_segs=64)
    for row, column in np.ndindex(*shape.taken.shape):
        x, y = (np.array([column, row]) * CELL_MM - GAP_MM / 2).tolist()
        cell = box(x, y, x + CELL_MM, y + CELL_MM)
        if shape.taken[row, column]:
            assert grown.distance(cell) < DENT
        else:
            # What is left out of the growth is the dent between two steps, in a cell of 2 mm.
            assert grown.intersection(cell).area < DENT * CELL_MM
