"""A drawing too large for a page: its parts agree where they overlap, and no word is cut in two."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from profiler.geometry.curve import polyline
from profiler.sheets.extent import box_of, box_of_words
from profiler.sheets.paper import leaves
from profiler.sheets.tiles import LABEL_MM, OVERLAP_MM, Tile, tiled
from profiler.templates.drawing import Drawing, Layer, Line, Words

SLACK = 1e-6  # sums of a few hundred mm in floating point


def _strip(wide: float, high: float, *words: Words) -> Drawing:
    corners = [(0.0, 0.0), (wide, 0.0), (wide, high), (0.0, high), (0.0, 0.0)]
    return Drawing("tombo", "Hut bowl: tombo", (Line(polyline(corners), Layer.CUT, id="profile"),), words)


@given(st.floats(200, 900), st.floats(280, 900), st.sampled_from(["A4", "A3", "Letter", "Tabloid"]))
def test_parts_overlap_by_ten_and_fit_a_page_with_their_names(wide: float, high: float, paper: str) -> None:
    drawing = _strip(wide, high)
    tiles = {(tile.row, tile.column): tile for tile in tiled(drawing, leaves(paper))}
    one = tiles[0, 0]
    assert set(tiles) == {(row, column) for row in range(one.rows) for column in range(one.columns)}
    across = [tiles[0, column].box for column in range(one.columns)]
    down = [tiles[row, 0].box for row in range(one.rows)]
    stands = box_of(drawing.quarter_turned() if one.turned else drawing)
    assert (across[0][0], down[-1][1], across[-1][2], down[0][3]) == pytest.approx(stands, abs=SLACK)
    assert [a[2] - b[0] for a, b in pairwise(across)] == pytest.approx([OVERLAP_MM] * (one.columns - 1), abs=SLACK)
    assert [a[3] - b[1] for b, a in pairwise(down)] == pytest.approx([OVERLAP_MM] * (one.rows - 1), abs=SLACK)
    for tile in tiles.values():
        left, bottom, right, top = tile.box
        assert any(
            right - left <= leaf.room[0] + SLACK and top - bottom + LABEL_MM <= leaf.room[1] + SLACK
            for leaf in leaves(paper)
        )
    for (row, column), tile in tiles.items():
        for beside in ((row, column + 1), (row + 1, column)):
            if beside in tiles:
                assert len(_rounded(tile) & _rounded(tiles[beside])) == 2


def _rounded(tile: Tile) -> set[tuple[float, float]]:
    return {(round(x, 6), round(y, 6)) for x, y in tile.crosses()}


def test_as_few_parts_as_can_be() -> None:
    # 300 x 500 on A4 (188 x 264 or 275 x 177, less 7 mm for the name), 10 mm shown twice: level upright 2 x 2,
    # turned upright 500/178 -> 3 x 2, lying 500/265 -> 2 x 300/160 -> 2, level lying 2 x 4.
    tiles = tiled(_strip(300, 500), leaves("A4"))
    assert [tile.name for tile in tiles] == ["A1", "A2", "B1", "B2"]
    # 600 x 150: level lying 600/265 -> 3 x 1; turned upright 1 x 600/247 -> 3; level upright 4 x 1.
    assert len(tiled(_strip(600, 150), leaves("A4"))) == 3
    assert OVERLAP_MM == 10  # as the sheets say in words


@pytest.mark.parametrize("x", [130.0, 150.0, 170.0, 190.0])
def test_no_word_is_cut_where_there_is_room_beside_it(x: float) -> None:
    title = Words("Porridge bowl", x, 30, 6, "middle", bold=True)
    note = Words("depth to the floor 67 mm", x, 20, 4, "middle")
    drawing = _strip(330, 60, title, note)
    tiles = tiled(drawing, leaves("A4"))
    assert len(tiles) == 2
    for words in drawing.words:
        left, _, right, _ = box_of_words(words)
        sees = [tile.box[0] <= left and right <= tile.box[2] for tile in tiles]
        meets = [tile.box[0] < right and left < tile.box[2] for tile in tiles]
        assert any(sees)
        assert sees == meets  # and no piece of it on the other part


def test_a_word_longer_than_the_overlap_stays_whole_for_an_upright_page_too() -> None:
    # The middle seam of 330 on two upright pages of 188 would go through the title; 18 mm of play let it pass.
    title = Words("Porridge bowl", 165, 30, 4, "middle", bold=True)
    left, _, right, _ = box_of_words(title)
    tiles = tiled(_strip(330, 60, title), leaves("A4"), clean=False)
    assert max(tile.box[2] - tile.box[0] for tile in tiles) <= 188 + SLACK
    assert any(tile.box[0] <= left and right <= tile.box[2] for tile in tiles)


def test_parts_of_nearly_equal_size_where_nothing_is_in_the_way() -> None:
    one, two = tiled(_strip(340, 60), leaves("A4"))
    assert one.box[2] - one.box[0] == pytest.approx(two.box[2] - two.box[0], abs=SLACK)


def test_rows_are_lettered_from_the_top() -> None:
    upper, lower = tiled(_strip(180, 480), leaves("A4"))
    assert (upper.name, lower.name) == ("A1", "B1")
    assert upper.box[3] == 480
    assert lower.box[1] == 0
