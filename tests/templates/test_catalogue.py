"""Every template of every form and of the demo, laid against the clay it is held to."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import shapely
from shapely.geometry import LineString, MultiPolygon, Point, box

from profiler.clay.states import State
from profiler.design.model import read_design
from profiler.forms import FORMS
from profiler.geometry.curve import Curve
from profiler.piece import Piece, piece_of
from profiler.templates.catalogue import TOOLS, named, not_made, templates_of
from profiler.templates.drawing import Layer
from profiler.templates.trimming_gauge import trimming_gauge
from tests.templates.laid import CLOSE_MM, FOLLOWING, PER_CUBIC, Held, body_of, holes, marks, part

# A straight copy of the control points: rounding of one multiplication only.
EXACT_MM = 1e-9


@pytest.fixture(scope="module")
def held(all_held: list[Held]) -> list[Held]:
    return [h for h in all_held if h.kind in FOLLOWING]


def test_the_pots_below_are_of_every_form_and_bring_out_every_tool(made: dict[str, Piece], held: list[Held]) -> None:
    assert {piece.design.form.kind for piece in made.values()} == set(FORMS)
    assert {h.kind for h in held} == set(FOLLOWING)
    assert {kind for kind, tool in TOOLS.items() if tool.follows} <= set(FOLLOWING)


def test_each_form_gets_the_templates_it_asks_for(made: dict[str, Piece]) -> None:
    trimmed, setting = {"trimming_gauge", "turning_stick"}, {"pointer_card", "tombo"}
    jar = {f"jar_{name}" for name in ("outside_rib", *trimmed, *setting)}
    cards, slabs = {"lid_card", "lid_card_leather_hard"}, {"jar_slab_disc", "jar_slab_wrap"}
    expected = {
        "bowl": {"inside_rib"} | trimmed | setting,
        "plate": {"inside_rib"} | trimmed | setting,
        "cylinder": {"outside_rib", "slab_disc", "slab_wrap"} | trimmed | setting,
        "jar": {"outside_rib"} | trimmed | setting,
        "points": {"inside_rib", "outside_rib"} | trimmed | setting,
        "smooth points": {"inside_rib", "outside_rib"} | setting,
        "stand": {f"dish_{name}" for name in ("inside_rib", *trimmed, *setting)}
        | {"pedestal_outside_rib", "pedestal_pointer_card"},
        "cut": {"jar_outside_rib", "jar_trimming_gauge", "knife_guide"},
        "gallery": jar | {f"lid_{name}" for name in ("inside_rib", "pointer_card", *trimmed)} | cards,
        "flange": jar | {f"lid_{name}" for name in ("inside_rib", *setting, *trimmed)} | cards | slabs,
        "cap": jar | {f"lid_{name}" for name in ("inside_rib", *setting, *trimmed)} | cards,
        "gallery, upright": jar | {"lid_outside_rib", "lid_trimming_gauge", "lid_card_leather_hard"},
        "flange, upright": jar | {"lid_outside_rib", "lid_card_leather_hard"} | slabs,
    }
    for name, names in expected.items():
        assert {d.name for d in templates_of(made[name])} == names, name


def test_a_template_that_is_wanted_is_made_or_its_absence_explained(made: dict[str, Piece]) -> None:
    for piece in made.values():
        drawn = {d.name for d in templates_of(piece)}
        explained = {name for name, _ in not_made(piece)}
        assert not drawn & explained
        for cast in piece.thrown:
            wanted = {f"{side}_rib" for side in cast.ribs}
            wanted |= {"pointer_card", "tombo"}
            wanted |= {"trimming_gauge", "turning_stick"} if cast.blend is not None else set()
            assert {named(cast, name) for name in wanted} <= drawn | explained
        if piece.pair is not None:
            assert "lid_card" in drawn | explained
            assert ("knife_guide" in drawn) == (piece.whole is not None)


def test_profile_and_outline_close_to_a_sound_body(held: list[Held]) -> None:
    for h in held:
        profile, back = part(h.drawing, "profile"), part(h.drawing, "outline")
        assert np.abs(profile[-1] - back[0]).max() < EXACT_MM
        assert np.abs(back[-1] - profile[0]).max() < EXACT_MM
        assert h.body.is_valid, h.name


def test_the_tool_touches_the_clay_and_does_not_cut_into_it(held: list[Held]) -> None:
    for h in held:
        body, clay = h.body, h.clay
        length = LineString(part(h.drawing, "profile")).length
        common = body.intersection(clay)
        assert common.area < CLOSE_MM * length, h.name
        # what is left of the overlap once a hundredth is taken off all round it would be too deep
        assert common.buffer(-CLOSE_MM).area == 0, h.name


def test_every_point_of_the_profile_lies_on_the_section(held: list[Held]) -> None:
    for h in held:
        section = h.cast.thrown if h.state is State.WET else h.cast.section
        edge = LineString(h.laid(section.outline).sampled(PER_CUBIC))
        away = shapely.distance(shapely.points(part(h.drawing, "profile")), edge)
        assert away.max() < CLOSE_MM, h.name


def test_the_profile_is_the_section_control_point_for_control_point(held: list[Held]) -> None:
    for h in held:
        profile = h.drawing.profile
        assert profile is not None
        if h.kind == "outside_rib":
            source = h.cast.thrown_outside
        elif h.kind == "inside_rib":
            source = h.cast.shape.inside
        elif h.kind == "inside_stick":
            source = Curve(h.cast.shape.inside.cubics[-len(profile) :])
            assert np.abs(profile.cubics[1:] - h.laid(source).cubics[1:]).max(initial=0.0) < EXACT_MM
            assert np.abs(profile.end - h.laid(source).end).max() < EXACT_MM
            continue
        elif h.kind == "turning_stick":
            # the recess may be cut short by the tongue's play: compare what is whole
            source = Curve(h.cast.shape.base.cubics[: len(profile)])
            assert np.abs(profile.cubics[:-1] - h.laid(source).cubics[:-1]).max(initial=0.0) < EXACT_MM
            assert np.abs(profile.start - h.laid(source).start).max() < EXACT_MM
            continue
        else:
            base = h.cast.shape.base.cubics
            kept = base if h.cast.shape.recess is None else base[-1:]
            source = Curve(np.concatenate([kept, h.cast.shape.outside.cubics]))
            assert np.abs(profile.cubics[:-1] - h.laid(source).cubics[: len(profile) - 1]).max() < EXACT_MM
            assert h.cast.blend is not None
            k_r, k_z = h.cast.scale(h.state)
            assert profile.end == pytest.approx(h.cast.blend * [k_r, -k_z], abs=1e-6)  # a root, solved
            continue
        assert profile.cubics.shape == source.cubics.shape
        assert np.abs(profile.cubics - h.laid(source).cubics).max() < EXACT_MM


def test_holes_leave_material_round_them(held: list[Held]) -> None:
    for h in held:
        body, all_holes = h.body, holes(h.drawing)
        assert all_holes, f"{h.name}: no hole to hang it by"
        for hole in all_holes:
            assert body.contains(hole)
            # so that thin ply does not break: 14 mm round a hand slot, 10 round a finger hole, 5 round a small one
            least = 13.9 if hole.area > 500 else 9.9 if hole.area > 400 else 5.0
            assert body.exterior.distance(hole) >= least, h.name
        for i, one in enumerate(all_holes):
            assert all(one.distance(other) > 5.0 for other in all_holes[i + 1 :])


def test_nothing_is_drawn_twice_and_marks_keep_off_the_profile(held: list[Held]) -> None:
    for h in held:
        profile, body = LineString(part(h.drawing, "profile")), h.body
        cuts = [line for line in h.drawing.lines if line.layer is Layer.CUT]
        seen = [tuple(np.round(c, 6).ravel()) for line in cuts for c in line.curve.cubics]
        assert len(seen) == len(set(seen))
        for mark in marks(h.drawing):
            assert body.contains(mark), h.name
            assert mark.distance(profile) > 0.9, h.name  # the mark of the toe's relief is nearest


def test_scale_bars_measure_what_they_say(held: list[Held]) -> None:
    # 25.4 mm to the inch by definition (international yard and pound agreement, 1959)
    lengths = {"100 mm": 100.0, "50 mm": 50.0, "20 mm": 20.0, "4 in": 101.6, "2 in": 50.8, "1 in": 25.4}
    for h in held:
        bars = [w for w in h.drawing.words if w.text in lengths]
        assert len(bars) == 2, h.name
        drawn = [ln.curve for ln in h.drawing.lines if ln.layer is Layer.MARK and len(ln.curve) == 3]
        for word in bars:
            at = Point(word.x, word.y)
            curve = min(drawn, key=lambda c: LineString(c.sampled(5)).distance(at))
            long = float(np.hypot(*(curve.at(2.0) - curve.at(1.0))))
            assert long == pytest.approx(lengths[word.text], abs=EXACT_MM)


def test_the_tongue_is_a_millimetre_narrower_than_the_recess(made: dict[str, Piece]) -> None:
    piece = made["bowl"]
    (cast,) = piece.parts
    drawing = trimming_gauge(piece, cast)
    assert drawing is not None
    k_r = piece.scale(State.LEATHER_HARD)[0]
    below = body_of(drawing).intersection(box(-200, -2.5, 200, -1.5))
    assert isinstance(below, MultiPolygon)
    tongue = min(below.geoms, key=lambda part: abs(part.centroid.x))
    left, _, right, _ = tongue.bounds
    ring = piece.asked.ring
    recess = k_r * (ring.outer_diameter - 2 * ring.width)
    assert right - left == pytest.approx(recess - 1.0, abs=1e-9)


def test_a_mouth_no_hand_goes_into_and_a_neck_no_rib_passes(tmp_path: Path) -> None:
    cases = {
        "narrow": '[form]\nkind="points"\noutside=[[35,0],[38,60],[40,80]]\n',
        # 200 wide inside at the belly, a mouth of about 94 wet: half the belly and 5 mm do not pass
        "belly": '[form]\nkind="points"\noutside=[[60,0],[104,60],[45,120],[46,130]]\n',
    }
    for name, text in cases.items():
        path = tmp_path / f"{name}.toml"
        path.write_text(text)
        piece = piece_of(read_design(path))
        assert "inside_rib" not in {d.name for d in templates_of(piece)}
        reasons = dict(not_made(piece))
        assert ("no hand" if name == "narrow" else "cannot pass the mouth") in reasons["inside_rib"]
        assert reasons["inside_rib"].endswith("use the inside stick.")


def test_a_pot_that_cannot_stand_on_its_rim_gets_the_size_of_a_chuck(tmp_path: Path) -> None:
    path = tmp_path / "flask.toml"
    path.write_text('[form]\nkind="jar"\nbelly_diameter=150\nrim_diameter=80\nheight=220\n')
    piece = piece_of(read_design(path))
    assert {d.name for d in templates_of(piece)} == {"outside_rib", "trimming_gauge", "pointer_card", "tombo"}
    k_r = piece.scale(State.LEATHER_HARD)[0]
    chuck = np.floor(2 * (80 * k_r + 4) + 0.5) / 2
    assert f"{chuck:g} mm wide inside" in dict(not_made(piece))["turning_stick"]
