"""The pointer card and the tombo, laid against the pot as thrown."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from shapely.geometry import LineString, Polygon, box
from shapely.geometry.base import BaseGeometry

from profiler.clay.states import State
from profiler.lids.sizes import FlangeLid
from profiler.piece import Cast, Piece
from profiler.templates.drawing import Drawing
from profiler.templates.pointer_card import pointer_card, why_no_pointer_card
from profiler.templates.tombo import tombo, why_no_tombo
from tests.pieces import DEMO_DESIGNS, demo_piece, piece_from
from tests.templates.laid import CLOSE_MM, PER_CUBIC, body_of, box_round, holes, marks, part

DESIGNS = {
    "bowl": '[form]\nkind="bowl"\nrim_diameter=155\nheight=68\n',
    "plate": '[form]\nkind="plate"\nrim_diameter=265\nheight=25\n',
    "cylinder": '[form]\nkind="cylinder"\nrim_diameter=82\nheight=95\n',
    "egg cup": '[form]\nkind="cylinder"\nrim_diameter=48\nheight=50\n',
    "thicker": '[form]\nkind="points"\noutside=[[40,0],[44,90]]\n'
    "[thrown]\nbase_diameter=90\nblend_height=20\nextra_wall=1.5\n",
    "jar": '[form]\nkind="jar"\nbelly_diameter=110\nrim_diameter=85\nheight=115\n',
    "flask": '[form]\nkind="jar"\nbelly_diameter=150\nrim_diameter=80\nheight=220\n',
    "stand": '[form]\nkind="stand"\nrim_diameter=220\nheight=110\n[thrown]\nblend_height=18\n',
    "inward": '[form]\nkind="points"\noutside=[[80,0],[60,60]]\n',
    "outward": '[form]\nkind="points"\noutside=[[40,0],[60,25],[70,60],[74,90]]\n',
    "gallery": '[form]\nkind="cylinder"\nrim_diameter=120\nheight=90\n[lid]\nkind="gallery"\nledge_width=8\n'
    'thrown="right_way_up"\n',
    "closed": '[form]\nkind="closed"\nbelly_diameter=90\nheight=95\n',
    "leather": 'sized="leather_hard"\n[form]\nkind="bowl"\nrim_diameter=155\nheight=68\n',
}
PIECES = {name: piece_from(f'title="Hut {name}"\n{text}') for name, text in DESIGNS.items()}
PIECES |= {path.stem: demo_piece(path) for path in DEMO_DESIGNS}
CASTS = [(piece, cast) for piece in PIECES.values() for cast in piece.thrown]
CARDS = [(p, c, d) for p, c in CASTS if (d := pointer_card(p, c)) is not None]
TOMBOS = [(p, c, d) for p, c in CASTS if (d := tombo(p, c)) is not None]
BOTH = CARDS + TOMBOS


def clay_of(cast: Cast) -> BaseGeometry:
    """Both halves of the thrown section, wet."""
    points = cast.thrown.outline.mapped(*cast.scale(State.WET)).sampled(PER_CUBIC)
    return shapely.union_all([Polygon(points).buffer(0), Polygon(points * [-1, 1]).buffer(0)])


def said(drawing: Drawing) -> str:
    return " ".join(w.text for w in drawing.words)


def wet_top(cast: Cast) -> float:
    return float(clay_of(cast).bounds[3])


def rim_radius(piece: Piece, cast: Cast) -> float:
    """Outside of the thrown rim, wet, by sampling; of a lid with a collar, of that."""
    if cast.name == "lid" and isinstance(piece.design.head.lid, FlangeLid):
        points = cast.section.outline.mapped(*cast.scale(State.WET)).sampled(PER_CUBIC)
        return float(points[points[:, 1] > wet_top(cast) - 4.0, 0].max())
    return float(cast.thrown_rim.mapped(*cast.scale(State.WET)).sampled(PER_CUBIC)[:, 0].max())


def test_every_part_gets_both_or_a_reason() -> None:
    for piece, cast in CASTS:
        for draw, why in ((pointer_card, why_no_pointer_card), (tombo, lambda _, part: why_no_tombo(part))):
            assert (draw(piece, cast) is None) == (why(piece, cast) is not None)
    # all but closed forms and lids thrown with the knob up, which have no rim
    rimmed = [c for _, c in CASTS if not (c.shape.closes or c.shape.solid)]
    assert len(CARDS) == len(rimmed) < len(CASTS)
    # of those all but the pedestals, which have no floor, and shallow lids
    shallow = [c for p, c in CASTS if p.design.path.stem == "jam_jar" and c.name == "lid"]
    assert len(TOMBOS) == len([c for c in rimmed if not c.open_foot]) - len(shallow) < len(rimmed)


@pytest.mark.parametrize(("cast", "drawing"), [one[1:] for one in BOTH])
def test_the_body_is_sound_and_lies_on_the_clay_without_cutting_into_it(cast: Cast, drawing: Drawing) -> None:
    body = body_of(drawing)
    profile, back = part(drawing, "profile"), part(drawing, "outline")
    assert np.abs(profile[-1] - back[0]).max() < 1e-9  # the same point, rounded
    assert np.abs(back[-1] - profile[0]).max() < 1e-9
    assert body.is_valid
    clay = clay_of(cast)
    # what is left of an overlap once a hundredth is taken off all round it would be too deep
    assert body.intersection(clay).buffer(-CLOSE_MM).area == 0
    assert body.distance(clay) < CLOSE_MM


@pytest.mark.parametrize(("piece", "cast", "drawing"), CARDS)
def test_the_card_stands_on_the_bat_and_touches_the_rim_above_and_beside(
    piece: Piece, cast: Cast, drawing: Drawing
) -> None:
    clay, top, radius = clay_of(cast), wet_top(cast), rim_radius(piece, cast)
    profile = part(drawing, "profile")
    level = LineString(profile[np.abs(profile[:, 1] - top) < CLOSE_MM])
    assert level.distance(clay) < CLOSE_MM
    assert level.bounds[2] == pytest.approx(radius, abs=CLOSE_MM)
    upright = profile[np.abs(profile[:, 0] - radius) < CLOSE_MM]
    beside = LineString(upright) if len(upright) > 1 else shapely.Point(upright[0])
    assert beside.distance(clay) < CLOSE_MM
    assert body_of(drawing).bounds[1] == pytest.approx(cast.bat * cast.scale(State.WET)[1], abs=1e-9)


@pytest.mark.parametrize(("cast", "drawing"), [one[1:] for one in TOMBOS])
def test_the_tombo_touches_the_floor_on_the_axis_and_the_rims_top(cast: Cast, drawing: Drawing) -> None:
    clay, profile = clay_of(cast), part(drawing, "profile")
    floor = float(cast.shape.inside.start[1]) * cast.scale(State.WET)[1]
    assert profile[0] == pytest.approx([0.0, floor], abs=1e-9)
    assert profile[-1, 1] == pytest.approx(wet_top(cast), abs=CLOSE_MM)
    assert shapely.Point(profile[-1]).distance(clay) < CLOSE_MM
    # a rounded tip: its lowest 0.8 mm lie on a circle of 3 mm about a centre on the axis
    tip = profile[profile[:, 1] < floor + 0.8]
    assert np.abs(np.hypot(tip[:, 0], tip[:, 1] - floor - 3.0) - 3.0).max() < 1e-3
    left, _, right, _ = body_of(drawing).bounds
    # past all that stands beside the mouth, a lid's edge beside its collar too
    outer = float(cast.thrown_rim.mapped(*cast.scale(State.WET)).sampled(PER_CUBIC)[:, 0].max())
    assert (-left, right) == pytest.approx((outer + 20.0,) * 2, abs=CLOSE_MM)


@pytest.mark.parametrize(("cast", "drawing"), [one[1:] for one in TOMBOS])
def test_the_steps_have_half_a_millimetre_on_each_side(cast: Cast, drawing: Drawing) -> None:
    top = wet_top(cast)
    step = float(max(x for x, y in part(drawing, "profile") if y < top - 1.0))
    flank = LineString([(step, top - 3.0), (step, top)])
    beside = clay_of(cast).intersection(box(0.0, top - 3.0, 1e3, top + 1.0))
    # across the mouth, not square to a leaning wall
    assert beside.bounds[0] - flank.bounds[0] == pytest.approx(0.5, abs=CLOSE_MM)


def test_the_card_says_heights_and_width_of_a_wet_pot() -> None:
    # by hand: 12 % total shrinkage of the plastic length as ASTM C326 states it: 88 mm fired is 100 mm wet
    piece = piece_from(
        'clay="stoneware"\n[form]\nkind="points"\noutside=[[35.2,0],[44,88]]\n'
        "[thrown]\nbase_diameter=74\nblend_height=20\nskim=1.76\n"
    )
    (cast,) = piece.parts
    drawing = pointer_card(piece, cast, 10.0)
    assert drawing is not None
    text = said(drawing)
    assert "height above bat 102 mm" in text  # 100, and 2 of skim
    assert "above wheel head 112 mm with a bat of 10 mm" in text
    assert "rim 100 ± 1.5 mm across" in text
    again = pointer_card(piece, cast)
    assert again is not None
    assert "above wheel head 114 mm with a bat of 12 mm" in said(again)


def test_a_wide_tombo_has_nothing_across_the_middle_where_its_two_sheets_meet() -> None:
    wide = [drawing for _, _, drawing in TOMBOS if body_of(drawing).bounds[2] > 135]
    assert wide
    for drawing in wide:
        strip = box(-8.0, -1e3, 8.0, 1e3)
        assert not any(box_round(w).intersects(strip) for w in drawing.words), drawing.title
        assert not any(mark.intersects(strip) for mark in marks(drawing)), drawing.title
        assert not any(hole.intersects(strip) for hole in holes(drawing)), drawing.title
        assert all(box_round(w).bounds[2] < 0 for w in drawing.words if w.bold)  # the title on the left sheet


def test_pots_without_a_tombo_and_rims_without_a_card() -> None:
    cases = {
        "a ruler across": '[form]\nkind="points"\noutside=[[80,0],[90,15]]\n',
        "Measure the depth with a thin rod": '[form]\nkind="points"\noutside=[[35,0],[38,60],[14,90]]\n',
        "too narrow near the floor": '[form]\nkind="points"\noutside=[[10,0],[40,90]]\ninside=[[1,6],[36,90]]\n',
    }
    for reason, text in cases.items():
        piece = piece_from(text)
        (cast,) = piece.parts
        assert tombo(piece, cast) is None
        assert reason in (why_no_tombo(cast) or "")
    # the outside swells over the rim's own radius above the place where it is widest
    piece = piece_from('[form]\nkind="points"\noutside=[[40,0],[64,40],[60,50],[58,44]]\ninside=[[36,6],[56,40]]\n')
    (cast,) = piece.parts
    assert pointer_card(piece, cast) is None
    assert "turns down" in (why_no_pointer_card(piece, cast) or "")
