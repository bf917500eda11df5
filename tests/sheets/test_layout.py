"""Where drawings go: nothing overlaps, nothing leaves its window, tiles cover all."""

from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from profiler.sheets.layout import GAP_MM, OVERLAP_MM, SharedPage, Tile, laid_out
from profiler.sheets.paper import leaves, paper_mm, stretch

SIZES = st.lists(st.tuples(st.floats(5, 700), st.floats(5, 700)), min_size=1, max_size=8)
SLACK = 1e-6  # sums of a few hundred mm in floating point


@given(SIZES, st.sampled_from(["A4", "A3", "Letter", "Tabloid"]))
def test_every_drawing_is_somewhere_whole_or_covered(sizes: list[tuple[float, float]], paper: str) -> None:
    seen: set[int] = set()
    for sheet in laid_out(sizes, leaves(paper)):
        left, bottom, right, top = sheet.leaf.window
        if isinstance(sheet, Tile):
            seen.add(sheet.index)
            wide, high = sizes[sheet.index]
            # The drawing ends inside the outermost tiles.
            assert sheet.column > 0 or sheet.x >= left - SLACK
            assert sheet.row > 0 or sheet.y + high <= top + SLACK
            assert sheet.column < sheet.columns - 1 or sheet.x + wide <= right + SLACK
            assert sheet.row < sheet.rows - 1 or sheet.y >= bottom - SLACK
            continue
        boxes = [(p.x, p.y, p.x + sizes[p.index][0], p.y + sizes[p.index][1]) for p in sheet.places]
        seen.update(p.index for p in sheet.places)
        for box in boxes:
            assert left - SLACK <= box[0]
            assert bottom - SLACK <= box[1]
            assert box[2] <= right + SLACK
            assert box[3] <= top + SLACK
        for a, b in combinations(boxes, 2):
            apart = max(a[0] - b[2], b[0] - a[2], a[1] - b[3], b[1] - a[3])
            assert apart >= GAP_MM - SLACK
    assert seen == set(range(len(sizes)))


@given(st.floats(300, 900), st.floats(300, 900))
def test_neighbours_share_their_crosses(wide: float, high: float) -> None:
    tiles = [sheet for sheet in laid_out([(wide, high)], leaves("A4")) if isinstance(sheet, Tile)]
    at = {(t.row, t.column): {(round(x - t.x, 6), round(y - t.y, 6)) for x, y in t.crosses()} for t in tiles}
    for (row, column), crosses in at.items():
        for beside in ((row, column + 1), (row + 1, column)):
            if beside in at:
                assert len(crosses & at[beside]) == 2


def test_small_ones_share_a_page_and_a_wide_one_lies() -> None:
    sheets = laid_out([(80, 60), (70, 60), (230, 120)], leaves("A4"))
    assert [type(s) for s in sheets] == [SharedPage, SharedPage]
    assert [s.leaf.landscape for s in sheets] == [False, True]


def test_one_drawing_stands_in_the_middle() -> None:
    (sheet,) = laid_out([(80, 60)], leaves("A4"))
    assert isinstance(sheet, SharedPage)
    left, bottom, right, top = sheet.leaf.window
    place = sheet.places[0]
    assert place.x + 40 == pytest.approx((left + right) / 2, abs=SLACK)
    assert place.y + 30 == pytest.approx((bottom + top) / 2, abs=SLACK)


def test_tiles_are_named_from_the_top_left() -> None:
    sheets = laid_out([(300, 500)], leaves("A4"))
    assert [s.name for s in sheets if isinstance(s, Tile)] == ["A1", "A2", "B1", "B2"]
    assert OVERLAP_MM == 10  # as the sheets say in words


def test_papers() -> None:
    # ISO 216 and ANSI/ASME Y14.1 (TRADE.md); exact.
    assert paper_mm("A4") == (210, 297)
    assert paper_mm("a3") == (297, 420)
    assert paper_mm("letter") == pytest.approx((215.9, 279.4), abs=1e-9)
    assert paper_mm("Tabloid") == pytest.approx((279.4, 431.8), abs=1e-9)
    with pytest.raises(ValueError, match="A4, A3, Letter, Tabloid"):
        paper_mm("foolscap")


def test_a_lying_page_swaps_the_correction() -> None:
    assert stretch((99.2, 100.3), landscape=False) == pytest.approx((100 / 99.2, 100 / 100.3))
    assert stretch((99.2, 100.3), landscape=True) == pytest.approx((100 / 100.3, 100 / 99.2))
    with pytest.raises(ValueError, match="wrong print setting"):
        stretch((93, 100), landscape=False)
