"""The closed pair: what is drawn stands where the parts stand, fits and clears as it says, and can be read."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache
from itertools import combinations

import numpy as np
import pytest
from shapely.geometry import LineString, Point, Polygon, box
from shapely.geometry.base import BaseGeometry

from profiler.clay.states import State
from profiler.geometry.curve import Curve
from profiler.lidded import LidMeasures, standing
from profiler.lids.pair import Paired
from profiler.measures import Measures, measured
from profiler.settings import Settings
from profiler.sheets.extent import box_of, box_of_words
from profiler.spooned import SpoonMeasures, spoon_at_rest, spoon_of
from profiler.templates.drawing import Drawing, Layer, Line, Pen
from profiler.templates.section_view import section_view
from tests.pieces import piece_from

JAR = '[form]\nkind="jar"\nbelly_diameter=100\nrim_diameter=90\nheight=95\n'
LOW = '[form]\nkind="cylinder"\nrim_diameter=150\nheight=48\n[foot_ring]\ndepth=4\n'
NECK = '[form]\nkind="jar"\nbelly_diameter=90\nrim_diameter=60\nheight=105\nneck_diameter=60\nneck_height=85\n'
CLOSED = '[form]\nkind="closed"\nbelly_diameter=90\nheight=100\n'
FLAT = '[form]\nkind="closed"\nbelly_diameter=150\nheight=60\n'
GALLERY = '[lid]\nkind="gallery"\nledge_width=6\nledge_depth=6\nclearance=1\nrise=6\n'
FLANGE = '[lid]\nkind="flange"\ncollar_depth=9\nclearance=1\nrise=8\noverhang=1\n'
CAP = '[lid]\nkind="cap"\nskirt_depth=15\nclearance=1\nrise=5\n'
CUT = '[lid]\nkind="cut"\nheight={}\nangle={}\nslope="{}"\n'
DOWN, UP, LOW_CUT = (
    CUT.format(66, 40, "inward_down"),
    CUT.format(66, 35, "inward_up"),
    CUT.format(38, 40, "inward_down"),
)
KNOB = "[lid.knob]\ndiameter=22\nheight=15\n"
SPOON = "[spoon]\nlength=130\nhandle_width=7\nhandle_thickness=2\nbowl_width=22\nbowl_length=30\n"
NOTCH = '[notch]\nin="{}"\ncutters=[6,8,10,12,14]\n'
STUCK_ON = '[[extras]]\nname="pulled knob"\nweight_g=12\nheight=16\non="lid"\n'

POTS = {
    "cut down, spoon": CLOSED + DOWN + SPOON + NOTCH.format("jar") + STUCK_ON,
    "cut down, notch in both": CLOSED + DOWN + SPOON + NOTCH.format("both"),
    "cut up, notch in the lid": CLOSED + UP + SPOON + NOTCH.format("lid"),
    "cut, flat": FLAT + LOW_CUT + SPOON + NOTCH.format("jar"),
    "cut, plain": CLOSED + DOWN,
    "gallery, knob and spoon": JAR + GALLERY + KNOB + SPOON + NOTCH.format("jar"),
    "gallery, flat": LOW + GALLERY,
    "flange, knob and spoon": JAR + FLANGE + KNOB + SPOON + NOTCH.format("jar"),
    "flange, notch in both": JAR + FLANGE + SPOON + NOTCH.format("both"),
    "flange, flat, knob up": LOW + FLANGE + 'thrown="right_way_up"\n' + KNOB,
    "cap, knob": NECK + CAP + KNOB,
    "cap, spoon": NECK + CAP + SPOON + NOTCH.format("jar"),
    "cap, two bodies": NECK + CAP + 'clay="porcelain"\n',
    "flange, very flat": '[form]\nkind="cylinder"\nrim_diameter=215\nheight=50\n[foot_ring]\ndepth=7\n'
    + FLANGE.replace("overhang=1", "overhang=5")
    + STUCK_ON,
    "spoon in a jar without a lid": JAR + SPOON + NOTCH.format("jar"),
    "spoon in a bowl": '[form]\nkind="bowl"\nrim_diameter=155\nheight=68\n' + SPOON.replace("130", "170"),
}
LIDDED = [name for name, text in POTS.items() if "[lid]" in text]
SPOONED = [name for name, text in POTS.items() if "[spoon]" in text]

MIRRORED = 1e-9
"""Mirroring and moving lose rounding only; the issue asks for 1e-6."""


@dataclass(frozen=True)
class Pot:
    """A drawn pot and its numbers."""

    measures: Measures
    drawing: Drawing

    @property
    def spoon(self) -> SpoonMeasures:
        """Of a pot that has one."""
        assert self.measures.spoon is not None
        return self.measures.spoon

    @property
    def lid(self) -> LidMeasures:
        """Of a pot that has one."""
        assert self.measures.lid is not None
        return self.measures.lid

    @property
    def pair(self) -> Paired:
        """Of a pot with a lid."""
        assert self.measures.piece.pair is not None
        return self.measures.piece.pair

    @property
    def texts(self) -> list[str]:
        """All words."""
        return [words.text for words in self.drawing.words]

    def pen(self, pen: Pen) -> list[Line]:
        """The lines of a pen."""
        return [item for item in self.drawing.lines if item.pen is pen]

    def draws(self, curve: Curve) -> bool:
        """Whether one of its closed lines is this curve, mirrored to the cut side."""
        wanted = curve.cubics * [-1.0, 1.0]
        same = (item.curve.cubics for item in self.drawing.lines if item.curve.cubics.shape == wanted.shape)
        return any(np.abs(cubics - wanted).max() < MIRRORED for cubics in same)


@cache
def _pot(name: str, state: State = State.FIRED) -> Pot:
    measures = measured(piece_from(f'title="Hut table: {name}"\n{POTS[name]}'), Settings())
    return Pot(measures, section_view(measures, state))


def _area(curve: Curve) -> Polygon:
    """As another library sees it, from chords of 200 runs a cubic."""
    return Polygon(curve.sampled(200)).buffer(0)


@pytest.mark.parametrize("state", [State.WET, State.LEATHER_HARD, State.FIRED])
@pytest.mark.parametrize("name", LIDDED)
def test_jar_and_lid_are_drawn_where_they_stand_when_closed(name: str, state: State) -> None:
    pot = _pot(name, state)
    for cast in pot.measures.piece.parts:
        assert pot.draws(standing(pot.measures.piece, cast, state).outline), cast.name


@pytest.mark.parametrize("name", LIDDED)
def test_the_cut_clay_of_jar_and_lid_does_not_overlap(name: str) -> None:
    jar, lid = (_area(item.curve) for item in _pot(name).pen(Pen.CLAY)[:2])
    # chords stand in front of a hollow bend by (1/200)² of it, along 10 mm of seat at most: 0.001 mm²
    assert jar.intersection(lid).area < 1e-3
    # they touch, to the same chords; where the seat itself is notched away, the drawn halves stand apart
    if _whole(name):
        assert jar.distance(lid) < 0.01


def _whole(name: str) -> bool:
    return "[notch]" not in POTS[name]


@pytest.mark.parametrize(
    ("name", "inside"), [("gallery, flat", True), ("flange, flat, knob up", True), ("cap, knob", False)]
)
def test_the_drawn_play_is_what_the_words_say(name: str, inside: bool) -> None:
    pot = _pot(name)
    jar, lid = (_area(item.curve) for item in pot.pen(Pen.CLAY)[:2])
    seat = pot.pair.seat
    assert seat is not None
    rests, deep = seat.rests_at, seat.depth
    low, high = (rests, rests + deep) if "gallery" in name else (rests - deep, rests)
    gaps = []
    for z in np.linspace(low + 0.01, high - 0.01, 400):
        level = LineString([(-200, z), (0, z)])
        of_jar, of_lid = jar.intersection(level), lid.intersection(level)
        if of_jar.is_empty or of_lid.is_empty:
            continue
        # the wall is the jar's outermost stretch, and a ledge or what hangs from the lid is not met there
        wall = min(getattr(of_jar, "geoms", [of_jar]), key=lambda part: part.bounds[0])
        gaps.append(of_lid.bounds[0] - wall.bounds[2] if inside else wall.bounds[0] - _skirt(of_lid))
    # heights every 0.05 mm on roundings of 1 mm miss the closest place by less than 0.001
    assert min(gaps) == pytest.approx(1.0, abs=0.002)
    assert "play 1.0 a side" in pot.texts


def _skirt(of_lid: BaseGeometry) -> float:
    """The inner side of what hangs outermost."""
    return float(min(getattr(of_lid, "geoms", [of_lid]), key=lambda part: part.bounds[0]).bounds[2])


@pytest.mark.parametrize("name", [n for n in LIDDED if "cut" not in n])
def test_a_fitted_seats_detail_is_the_closed_pair_enlarged(name: str) -> None:
    pot = _pot(name)
    scale = _detail_scale(pot)
    frame = _frame(pot)
    jar, lid = (item.curve for item in pot.pen(Pen.CLAY)[2:4])
    for drawn, cast in zip((jar, lid), pot.measures.piece.parts, strict=True):
        whole = _area(standing(pot.measures.piece, cast, State.FIRED).outline.mapped(-scale, scale))
        # moved so that what is cut out of the whole comes to lie in the frame
        found = _area(drawn)
        dx, dy = _shift(pot, scale)
        window = box(*frame).intersection(Polygon([(x + dx, y + dy) for x, y in whole.exterior.coords]).buffer(0))
        # chords, enlarged by up to 5, along 100 mm of edge
        assert found.symmetric_difference(window).area < 0.02 * scale


def _detail_scale(pot: Pot) -> float:
    title = next(text for text in pot.texts if text.startswith("seat, "))
    return float(title.split()[1])


def _frame(pot: Pot) -> tuple[float, float, float, float]:
    """The box the seat's detail stands in: the first closed thin line."""
    curve = next(item.curve for item in pot.pen(Pen.THIN) if item.closed)
    return curve.lowest(0)[1], curve.lowest(1)[1], curve.highest(0)[1], curve.highest(1)[1]


def _shift(pot: Pot, scale: float) -> tuple[float, float]:
    """From the enlarged whole to the detail, read off the lid's outermost and highest-lying places."""
    lid = pot.pen(Pen.CLAY)[3].curve
    whole = standing(pot.measures.piece, pot.measures.piece.parts[1], State.FIRED).outline
    # the lid's side is whole in the detail: its outermost place and where that is tell the shift across
    across = lid.lowest(0)[1] + scale * whole.highest(0)[1]
    jar = pot.pen(Pen.CLAY)[2].curve
    jar_whole = standing(pot.measures.piece, pot.measures.piece.parts[0], State.FIRED).outline
    return across, jar.highest(1)[1] - scale * jar_whole.highest(1)[1]


@pytest.mark.parametrize("name", ["cut, plain", "cut up, notch in the lid"])
def test_a_cuts_detail_has_rounded_edges_and_bears_on_what_is_left(name: str) -> None:
    pot = _pot(name)
    scale = _detail_scale(pot)
    jar, lid = (_area(item.curve) for item in pot.pen(Pen.CLAY)[2:4])
    assert jar.intersection(lid).area < 1e-3 * scale**2
    # both faces lie on one line after the drop, so a hair's growth of one meets the other along the contact only
    hair = 0.02
    common = jar.buffer(hair * scale).intersection(lid)
    low, high = common.bounds[1], common.bounds[3]
    left, right = common.bounds[0], common.bounds[2]
    length = np.hypot(right - left, high - low) / scale
    # the roundings of 0.5 stay within a hair of the face for sqrt(2 · 0.5 · 0.02) = 0.14 mm more at each end; the
    # contact is on the safe side by as much as one face reaches past the other at an end (DESIGN 6)
    contact, pair = pot.lid.contact_mm, pot.pair.cut
    assert contact is not None
    assert pair is not None
    faces = zip((pair.jar.rim.start, pair.jar.rim.end), (pair.lid.base.end, pair.lid.base.start), strict=True)
    past = sum(abs(float(of_jar[0] - of_lid[0])) for of_jar, of_lid in faces)
    assert contact - 0.05 < length < contact + 2 * 0.14 + past / np.cos(np.radians(pair.cut.angle))
    assert f"bears on {contact:.1f}" in " ".join(pot.texts)


@pytest.mark.parametrize("name", SPOONED)
def test_the_spoon_lies_where_it_rests_and_in_no_clay(name: str) -> None:
    pot = _pot(name)
    rest, table = spoon_at_rest(pot.measures.piece, pot.spoon), pot.measures.piece.design.head.spoon
    assert rest is not None
    assert table is not None
    spoon = spoon_of(table)
    angle = np.radians(rest.angle_deg)
    way, up = np.array([np.cos(angle), np.sin(angle)]), np.array([-np.sin(angle), np.cos(angle)])
    drawn = [item.curve for item in pot.drawing.lines if item.pen in (Pen.SEEN, Pen.DASHED)]
    nodes = np.concatenate([np.concatenate([curve.cubics[:, 0], curve.cubics[-1:, 3]]) for curve in drawn])
    for side in (-1, 1):
        corner = (np.array(rest.end_at) + side * spoon.handle_thickness / 2 * up) * [-1, 1]
        assert np.hypot(*(nodes - corner).T).min() < 1e-6
    # the disc: some drawn run keeps its distance from the bowl's centre all along
    centre = np.array(rest.bowl_at) * [-1, 1]
    rounds = [np.hypot(*(curve.sampled(50) - centre).T) for curve in drawn]
    # an arc of cubics is round to 2.7e-4 of its radius (DESIGN 3)
    on_disc = [np.abs(away - spoon.bowl_radius_mm) < 3e-4 * spoon.bowl_radius_mm for away in rounds]
    assert max(int(hits.sum()) for hits in on_disc) > 100
    # by another library: a bar and a disc, in the clay as it is cut on the notch's side and whole on the other
    bar = LineString([rest.bowl_at, rest.end_at]).buffer(spoon.handle_thickness / 2, cap_style="flat")
    body = bar.union(Point(rest.bowl_at).buffer(spoon.bowl_radius_mm, 256))
    jar = _area(pot.pen(Pen.CLAY)[0].curve.mapped(-1.0, 1.0))
    far = _area(pot.measures.piece.parts[0].section.outline.mapped(-1.0, 1.0))
    # places of a spoon at rest come out within 0.001 mm (`at_rest`), along some mm of touch
    assert body.intersection(jar.union(far)).area < 0.02
    assert body.distance(jar.union(far)) < 0.01
    assert float(np.dot(np.array(rest.end_at) - rest.bowl_at, way)) == pytest.approx(
        spoon.length - spoon.bowl_radius_mm, abs=1e-9
    )
    assert f"spoon {rest.angle_deg:.0f}°" in pot.texts


def test_metal_is_drawn_fired_only() -> None:
    assert not any(text.startswith("spoon") for text in _pot("cap, spoon", State.LEATHER_HARD).texts)


@pytest.mark.parametrize("name", SPOONED)
def test_the_clay_is_cut_down_to_the_notch(name: str) -> None:
    pot = _pot(name)
    spoon, clay = pot.spoon, pot.pen(Pen.CLAY)
    jar = standing(pot.measures.piece, pot.measures.piece.parts[0], State.FIRED).outline
    assert clay[0].curve.highest(1)[1] == pytest.approx(jar.highest(1)[1] - spoon.jar_notch_mm, abs=1e-9)
    if pot.measures.lid is not None:
        lid = standing(pot.measures.piece, pot.measures.piece.parts[1], State.FIRED).outline
        assert clay[1].curve.lowest(1)[1] == pytest.approx(lid.lowest(1)[1] + spoon.lid_notch_mm, abs=1e-9)


@pytest.mark.parametrize("state", [State.WET, State.FIRED])
@pytest.mark.parametrize("name", POTS)
def test_words_keep_apart_and_off_the_lines(name: str, state: State) -> None:
    drawing = _pot(name, state).drawing
    for a, b in combinations(drawing.words, 2):
        assert not box(*box_of_words(a)).intersects(box(*box_of_words(b))), (a.text, b.text)
    runs = [(LineString(line.curve.sampled(24)), line.pen) for line in drawing.lines]
    for words in drawing.words:
        left, bottom, right, top = box_of_words(words)
        # the ink of a word is smaller than its box, which holds accents above and tails below: a fifth of the size
        air = 0.2 * words.size
        ink = (
            box(left, bottom + air, right, top - air)
            if not words.turned
            else box(left + air, bottom, right - air, top)
        )
        for run, pen in runs:
            assert not run.crosses(ink), (words.text, pen)
            assert not run.within(ink), (words.text, pen)


@pytest.mark.parametrize("name", POTS)
def test_words_can_be_read_on_a_card(name: str) -> None:
    drawing = _pot(name).drawing
    left, bottom, right, top = box_of(drawing)
    # what a card leaves: 186 mm by 66 over the tables of jar and lid, by 88 without; 2 mm is a font size of 5.7
    # points, common practice for a drawing's smallest lettering, no source
    high = 66 if "[lid]" in POTS[name] else 88
    assert min(words.size for words in drawing.words) * min(186 / (right - left), high / (top - bottom)) > 2.0
    assert {item.layer for item in drawing.lines} == {Layer.MARK}


def test_the_sizes_of_a_closed_pair_are_written() -> None:
    # by hand from the design: ledge 6 wide and 6 down, jar 95 high and 90 across its rim, crown 6 + 15 over the
    # lid's edge, which is 5 thick on the ledge: 95 - 6 + 5 + 6 + 15
    assert {"ledge 6 wide", "let in 6", "jar 95", "rim ⌀ 90", "closed 115", "widest ⌀ 100"} <= set(
        _pot("gallery, knob and spoon").texts
    )
    # a collar of 9 under a lid 5 thick and 8 domed, on a jar of 48; lid 150 + 2·1 across
    assert {"collar 9", "jar 48", "closed 76", "lid ⌀ 152"} <= set(_pot("flange, flat, knob up").texts)
    assert {"skirt 15", "jar 105", "neck ⌀ 60", "lid inside ⌀ 62"} <= set(_pot("cap, knob").texts)


def test_a_cut_lids_seat_is_written() -> None:
    pot = _pot("cut down, spoon")
    texts = " ".join(pot.texts)
    # a gap of 1.5 mm square to a joint of 40 degrees: 1.5 / cos 40 = 1.96
    assert "40° inward down" in texts
    assert "sinks 2.0" in texts
    assert "edges rounded 0.5" in texts
    # 100 high before the cut, 100 - 1.96 closed, and 16 of knob stuck on, to half a millimetre
    assert {"closed 98", "with pulled knob 114"} <= set(pot.texts)


def test_the_fill_line_is_the_designs() -> None:
    text = f"{JAR}{GALLERY}fill_line=30\n"
    measures = measured(piece_from(text), Settings())
    drawing = section_view(measures)
    levels = [item.curve.start[1] for item in drawing.lines if item.pen is Pen.DASHED and len(item.curve) == 1]
    assert any(abs(level - (95 - 30)) < 1e-9 for level in levels)


def test_a_long_name_of_something_stuck_on_is_cut() -> None:
    name = "a knob in the shape of a marmot that stands up"
    measures = measured(piece_from(CLOSED + DOWN + STUCK_ON.replace("pulled knob", name)), Settings())
    written = next(words.text for words in section_view(measures).words if words.text.startswith("with a knob"))
    assert re.fullmatch(r"with a knob .*… 114", written)
    assert len(written) < 30
