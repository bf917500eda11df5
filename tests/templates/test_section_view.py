"""The section view: what is drawn is the section itself, what is written are the sizes asked for."""

import re
from itertools import combinations
from pathlib import Path

import numpy as np
import pytest
from shapely.geometry import LineString, Polygon, box

from profiler.clay.states import State
from profiler.design.model import read_design
from profiler.measures import measured
from profiler.piece import Piece, piece_of
from profiler.settings import Settings
from profiler.sheets.extent import box_of, box_of_words
from profiler.sheets.face import width_mm
from profiler.templates.dimension import room_for
from profiler.templates.drawing import Drawing, Layer, Line, Pen
from profiler.templates.section_view import section_view

BOWL = 'kind="bowl"\nrim_diameter=155\nheight=68\n[wall]\nrim=4\nfoot=5\n[floor]\nthickness=4\n'
DESIGNS = {
    "bowl": BOWL + "[foot_ring]\nouter_diameter=70\nwidth=6\ndepth=5\n",
    "bowl with a flat recess": BOWL + '[foot_ring]\nwidth=7\nrecess="flat"\n',
    "side plate": 'kind="plate"\nrim_diameter=190\nheight=20\n',
    "plate on two rings": 'kind="plate"\nrim_diameter=265\nheight=25\n[foot_ring]\nouter_diameter=160\n'
    "inner_diameter=100\n",
    "tumbler": 'kind="cylinder"\nrim_diameter=82\nheight=95\n',
    "cup on a ring": 'kind="cylinder"\nrim_diameter=82\nheight=95\n[foot_ring]\n',
    "jar": 'kind="jar"\nbelly_diameter=100\nrim_diameter=80\nheight=110\n',
    "stand": 'kind="stand"\nrim_diameter=220\nheight=110\njoint_diameter=66\nfoot_diameter=112\n',
    "egg cup": 'kind="bowl"\nrim_diameter=60\nheight=45\n',
    "low bowl": 'kind="bowl"\nrim_diameter=230\nheight=50\n[foot_ring]\ndepth=3\nwidth=4\n',
    "narrow jar": 'kind="jar"\nbelly_diameter=60\nrim_diameter=30\nheight=120\n[foot_ring]\n',
    "points": 'kind="points"\noutside=[[30,0],[38,30],[35,70],[40,100]]\n[thrown]\nbase_diameter=70\n'
    "blend_height=20\n",
}


@pytest.fixture(params=DESIGNS)
def piece(request: pytest.FixtureRequest, tmp_path: Path) -> Piece:
    return _piece(request.param, tmp_path)


def _piece(name: str, folder: Path) -> Piece:
    path = folder / "piece.toml"
    path.write_text(f'title="Hut table: {name}"\n[form]\n{DESIGNS[name]}', encoding="utf-8")
    return piece_of(read_design(path))


def _view(piece: Piece, state: State = State.FIRED) -> Drawing:
    return section_view(measured(piece, Settings()), state)


def _texts(drawing: Drawing) -> list[str]:
    return [words.text for words in drawing.words]


def _clay(drawing: Drawing) -> list[Line]:
    return [item for item in drawing.lines if item.pen is Pen.CLAY]


def _area(line: Line, per_cubic: int = 400) -> float:
    return float(Polygon(line.curve.sampled(per_cubic)).area)


def test_bowl_carries_the_sizes_asked_for(tmp_path: Path) -> None:
    texts = _texts(_view(_piece("bowl", tmp_path)))
    # rim, height, wall, floor, ring as in the design above; depth = 68 - 5 (ring) - 4 (floor)
    wanted = {"rim ⌀ 155", "68", "wall 4", "wall 5", "floor 4", "foot ⌀ 70", "depth 59", "depth 5", "6"}
    assert wanted <= set(texts)
    assert {"foot ring, 3 : 1", "fill line", "on the axis"} <= set(texts)
    assert "glaze-fired, sizes in mm" in texts
    assert not any("widest" in text for text in texts)


def test_jar_and_stand_carry_the_sizes_asked_for(tmp_path: Path) -> None:
    jar = _texts(_view(_piece("jar", tmp_path)))
    assert {"rim ⌀ 80", "widest ⌀ 100", "110", "foot ⌀ 70", "floor 5"} <= set(jar)
    assert not any("foot ring" in text for text in jar)
    stand = _texts(_view(_piece("stand", tmp_path)))
    assert {"rim ⌀ 220", "joint ⌀ 66", "foot ⌀ 112", "110", "floor 6"} <= set(stand)
    assert "fill line" not in stand


def test_inner_ring_is_dimensioned(tmp_path: Path) -> None:
    assert {"inner ⌀ 100", "foot ⌀ 160"} <= set(_texts(_view(_piece("plate on two rings", tmp_path))))


def test_wet_sizes_are_fired_sizes_over_what_is_left(tmp_path: Path) -> None:
    piece = _piece("bowl", tmp_path)
    drawing = _view(piece, State.WET)
    rim = next(float(t.split("⌀")[1]) for t in _texts(drawing) if t.startswith("rim"))
    # ASTM C326 states total shrinkage on the plastic length: wet = fired / (1 - S); written to half a millimetre
    assert rim == pytest.approx(155 / (1 - piece.body.shrinkage.at(State.FIRED)), abs=0.25)
    assert "as thrown, sizes in mm" in _texts(drawing)


@pytest.mark.parametrize("state", [State.WET, State.FIRED])
def test_cut_half_is_the_section(piece: Piece, state: State) -> None:
    scale_r, scale_z = piece.scale(state)
    clay = _clay(_view(piece, state))
    for cast, line in zip(piece.parts, clay, strict=False):
        assert line.closed
        assert line.curve.highest(0)[1] <= 1e-9, "the cut half is left of the axis"
        # shapely measures the chords of 400 runs a cubic, which leave out about (1/400)² of each bend
        assert _area(line) == pytest.approx(cast.section.area_mm2 * scale_r * scale_z, rel=2e-5)
        # mirrored exactly: each control point is the section's own, to rounding of the two multiplications
        own = cast.section.outline.moved(0.0, cast.lift).cubics
        np.testing.assert_allclose(line.curve.cubics, own * [-scale_r, scale_z], rtol=0, atol=1e-10)


def test_waste_is_drawn_under_the_clay(piece: Piece) -> None:
    lines = _view(piece).lines
    waste = [i for i, line in enumerate(lines) if line.pen is Pen.WASTE]
    clay = [i for i, line in enumerate(lines) if line.pen is Pen.CLAY]
    assert waste, "each of these designs is trimmed somewhere"
    assert max(waste) < min(clay)
    scale = piece.scale(State.FIRED)
    for cast, i in zip([c for c in piece.parts if c.blend is not None], waste, strict=True):
        # as above, the chords' share
        assert _area(lines[i]) == pytest.approx(cast.thrown.area_mm2 * scale[0] * scale[1], rel=2e-5)


def test_ring_detail_is_the_ring_three_times_as_large(tmp_path: Path) -> None:
    piece = _piece("bowl with a flat recess", tmp_path)
    detail = _clay(_view(piece))[-1]
    left, right = detail.curve.lowest(0)[1], detail.curve.highest(0)[1]
    bottom, top = detail.curve.lowest(1)[1], detail.curve.highest(1)[1]
    # the same window cut out of the section by another library
    outer = piece.asked.ring.outer_diameter / 2
    whole = Polygon(piece.parts[0].section.outline.sampled(400))
    near = outer - piece.asked.ring.width - 4  # 4 mm of recess are shown
    window = whole.intersection(box(near, -1, near + (right - left) / 3, (top - bottom) / 3))
    assert (right - left) / 3 == pytest.approx(7 + 2 * 4, abs=1e-9)  # a ring 7 wide, 4 mm to each side
    # chords again
    assert _area(detail) / 9 == pytest.approx(window.area, rel=2e-5)


def test_nothing_is_for_cutting(piece: Piece) -> None:
    assert {line.layer for line in _view(piece).lines} == {Layer.MARK}


@pytest.mark.parametrize("state", list(State))
def test_words_keep_apart(piece: Piece, state: State) -> None:
    drawing = _view(piece, state)
    for a, b in combinations(drawing.words, 2):
        assert not box(*box_of_words(a)).intersects(box(*box_of_words(b))), (a.text, b.text)


def test_words_keep_off_the_lines(piece: Piece) -> None:
    drawing = _view(piece)
    for words in drawing.words:
        left, bottom, right, top = box_of_words(words)
        # the ink of a word is smaller than its box, which holds accents above and tails below: a fifth of the size
        air = 0.2 * words.size
        ink = (
            box(left, bottom + air, right, top - air)
            if not words.turned
            else box(left + air, bottom, right - air, top)
        )
        for line in drawing.lines:
            run = LineString(line.curve.sampled(24))
            assert not run.crosses(ink), (words.text, line.pen)
            assert not run.within(ink), (words.text, line.pen)


def test_text_is_read_on_a_card(piece: Piece) -> None:
    drawing = _view(piece)
    left, _, right, _ = box_of(drawing)
    smallest = min(words.size for words in drawing.words)
    # 2.6 mm is a font size of 7.4 points, common practice for a caption, no source
    assert smallest * min(1.0, 120 / (right - left)) >= 2.6


def test_room_is_enough_for_the_words_of_the_view(piece: Piece) -> None:
    for words in _view(piece).words[:-2]:  # the last two are the caption, which has the whole width
        # the share of a glyph's rounding only: the face is measured, the room a bound
        assert width_mm(words.text, words.size) <= room_for(words.text, words.size) + 1e-9, words.text


def test_long_title_is_cut_to_the_view(tmp_path: Path) -> None:
    path = tmp_path / "piece.toml"
    path.write_text(f'title="{"Bowl for the long table " * 8}"\n[form]\n{BOWL}', encoding="utf-8")
    drawing = _view(piece_of(read_design(path)))
    title = drawing.words[-2]
    left, _, right, _ = drawing.bounds()
    assert title.text.endswith("…")
    assert width_mm(title.text, title.size, bold=True) <= right - left


def test_numbers_are_written_to_the_half(piece: Piece) -> None:
    for text in _texts(_view(piece))[:-2]:
        for number in re.findall(r"\d+(?:\.\d+)?", text):
            assert float(number) * 2 == round(float(number) * 2)
