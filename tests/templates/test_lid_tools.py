"""Lid card, knife guide and notch strip, measured on what is drawn; sizes are invented for the mountain hut."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from shapely.geometry import LineString, Point, Polygon, box

from profiler.geometry.curve import Curve, Floats, chained, cubic
from profiler.lengths import MM_PER_INCH, mm
from profiler.sheets.face import ASCENT, DESCENT, width_mm
from profiler.templates.drawing import Drawing, Layer
from profiler.templates.knife_guide import (
    CLEAR_MM,
    EDGE_MM,
    HAND_MM,
    LEAST_EDGE_MM,
    Bench,
    Cut,
    Slope,
    knife_guide,
    why_no_knife_guide,
)
from profiler.templates.lettering import Lettering
from profiler.templates.lid_card import (
    LEATHER_HARD_BAND_MM,
    TIP_MM,
    WET_BAND_MM,
    Seats,
    Tried,
    lid_card,
    why_no_lid_card,
)
from profiler.templates.notch_strip import OVERLAP_MM, STRIP_MM, RimNotch, notch_strip, why_no_notch_strip

PER_CUBIC = 100  # a quarter arc of 7 mm in 100 chords lies 2e-4 mm off
# Straight edges between computed corners: rounding only.
EXACT_MM = 1e-9
# Chords of arcs, and cubics for arcs: a tenth of what a knife follows.
CLOSE_MM = 0.01


def says(tool: str) -> Lettering:
    return Lettering(
        ("Hut honey jar, lid", tool, "for use leather-hard"),
        ("hut stoneware", "shrinks 5.4 % by now, 12 % fired", "laminate, or trace on thin ply or plastic"),
    )


# A shoulder that leans in more and more, closed at the top.
FORM = chained(
    [cubic((50, 0), (62, 30), (66, 60), (52, 84)), cubic((52, 84), (44, 97), (20, 104), (0, 106))],
)


def outer_at(form: Curve, height: float) -> tuple[float, float]:
    return float(form.at(form.crossings(1, height)[0])[0]), height


def cut_of(height: float, slant: float, slope: Slope, size: float = 1.0, skim: float = 1.1) -> Cut:
    form = FORM.mapped(size, size)
    return Cut(outer_at(form, height * size), slant, slope, form, 7.0, skim_mm=skim)


SEATS = {
    "egg pot": Seats(Tried("jar's mouth", 36.3), Tried("flange", 33.1, 6.0), LEATHER_HARD_BAND_MM),
    "jam pot": Seats(Tried("jar's gallery", 92.0, 7.0), Tried("lid", 89.4), WET_BAND_MM, rises_mm=12.0),
    "bread crock": Seats(Tried("jar's gallery", 214.0, 9.5), Tried("lid", 210.0), LEATHER_HARD_BAND_MM),
    "cap": Seats(Tried("cap", 74.0), Tried("neck", 71.0, 11.0), LEATHER_HARD_BAND_MM),
}
CUTS = {
    "shoulder": (cut_of(84, 40, "inward_down"), Bench()),
    "high": (cut_of(96, 30, "inward_down"), Bench(turned=True, knife_mm=1.0)),
    "cap": (cut_of(84, 40, "inward_up"), Bench()),
    "steep cap": (cut_of(90, 55, "inward_up"), Bench(knife_mm=0.8, bat_mm=0.0)),
    "crock": (cut_of(80, 45, "inward_down", 2.4), Bench(head_over_table_mm=90.0)),
    "mustard": (cut_of(80, 45, "inward_down", 0.55), Bench(20.0, 0.0, 130.0)),
    "low": (cut_of(30, 35, "inward_down"), Bench()),
}
NOTCHES = {
    "straight": RimNotch(47.5, 47.5, STRIP_MM, 11.0, 9.0),
    "many parts": RimNotch(52.0, 52.0, STRIP_MM, 11.0, 9.0, parts=11),
    "small": RimNotch(27.5, 31.0, 38.0, 9.0, 7.0, parts=3),
    "leaning in": RimNotch(45.0, 54.0, 35.0, 12.0, 10.0),
    "leaning out": RimNotch(95.0, 88.0, STRIP_MM, 14.0, 12.0, parts=6),
    "shallow notch": RimNotch(60.0, 60.0005, STRIP_MM, 14.0, 4.0, parts=5),
    "hardly leaning": RimNotch(60.0, 59.5, STRIP_MM, 14.0, 7.0, parts=1),
}
CARDS = {name: lid_card(says("lid card"), seats) for name, seats in SEATS.items()}
GUIDES = {name: knife_guide(says("knife guide"), cut, bench) for name, (cut, bench) in CUTS.items()}
STRIPS = {name: notch_strip(says("notch strip"), notch) for name, notch in NOTCHES.items()}
ALL = [*CARDS.values(), *GUIDES.values(), *STRIPS.values()]


def path_of(drawing: Drawing, name: str) -> Floats:
    (found,) = [line for line in drawing.lines if line.id == name]
    return found.curve.sampled(PER_CUBIC)


def body_of(drawing: Drawing) -> Polygon:
    return Polygon(np.concatenate([path_of(drawing, "profile"), path_of(drawing, "outline")[1:-1]]))


def said(drawing: Drawing) -> str:
    return " ".join(w.text for w in drawing.words)


def marks_of(drawing: Drawing) -> list[LineString]:
    return [LineString(ln.curve.sampled(40)) for ln in drawing.lines if ln.layer is Layer.MARK]


def lettered(drawing: Drawing) -> list[Polygon]:
    """The box of each line of text, by the face's own widths."""
    found = []
    for w in drawing.words:
        wide = width_mm(w.text, w.size, w.bold)
        left = w.x - (wide / 2 if w.anchor == "middle" else 0.0)
        upright = box(left, w.y - DESCENT * w.size, left + wide, w.y + ASCENT * w.size)
        found.append(shapely.affinity.rotate(upright, w.turned, origin=(w.x, w.y)))
    return found


# What holds for all three.


def test_each_is_a_sound_body_with_its_two_paths() -> None:
    assert {d.name for d in ALL} == {"lid_card", "knife_guide", "notch_strip"}
    for drawing in ALL:
        profile, back = path_of(drawing, "profile"), path_of(drawing, "outline")
        assert np.abs(profile[-1] - back[0]).max() < EXACT_MM
        assert np.abs(back[-1] - profile[0]).max() < EXACT_MM
        assert body_of(drawing).is_valid
        cuts = [
            tuple(np.round(c, 6).ravel()) for ln in drawing.lines if ln.layer is Layer.CUT for c in ln.curve.cubics
        ]
        assert len(cuts) == len(set(cuts))


def test_holes_leave_material_and_there_is_one_to_hang_it_by() -> None:
    for drawing in ALL:
        body = body_of(drawing)
        assert "hang" in {line.id for line in drawing.lines}
        for hole in drawing.holes:
            assert body.exterior.distance(Polygon(hole.sampled(PER_CUBIC))) >= 5.0


def test_lettering_stays_on_the_body_and_off_everything_else() -> None:
    for drawing in ALL:
        body, texts, marks = body_of(drawing), lettered(drawing), marks_of(drawing)
        holes = [Polygon(hole.sampled(PER_CUBIC)) for hole in drawing.holes]
        for i, text in enumerate(texts):
            words = drawing.words[i].text
            assert body.contains(text), words
            assert not any(text.intersects(other) for other in (*holes, *marks)), words
            # lines of one block may touch by their faces' full height, letters never
            assert all(text.intersection(o).area < 0.5 for o in texts[i + 1 :]), words
        assert min(w.size for w in drawing.words) >= 3.0


def test_marks_stay_on_the_body_and_off_the_profile() -> None:
    for drawing in ALL:
        body, profile = body_of(drawing), LineString(path_of(drawing, "profile"))
        for mark in marks_of(drawing):
            assert body.contains(mark)
            assert mark.distance(profile) > 0.9  # a mark keeps off by 1.5, a notch's corner by a little less


def test_each_says_what_it_is_and_has_a_bar_to_prove_it_by() -> None:
    # 25.4 mm to the inch by definition (international yard and pound agreement, 1959)
    lengths = {"100 mm": 100.0, "50 mm": 50.0, "20 mm": 20.0, "4 in": 101.6, "2 in": 50.8, "1 in": 25.4}
    for drawing in ALL:
        assert "Hut honey jar" in said(drawing)
        assert "for use leather-hard" in said(drawing)
        bars = [w for w in drawing.words if w.text in lengths]
        assert len(bars) == 2
        for word in bars:
            mark = min(marks_of(drawing), key=lambda m: m.distance(Point(word.x, word.y)))
            left, low, right, high = mark.bounds
            assert max(right - left, high - low) == pytest.approx(lengths[word.text], abs=EXACT_MM)


# The lid card.


def width_at(card: Drawing, height: float) -> list[tuple[float, float]]:
    """(left, right) of each piece of the card on a level scan line."""
    left, _, right, _ = body_of(card).bounds
    cut = body_of(card).intersection(LineString([(left - 1, height), (right + 1, height)]))
    return sorted((piece.bounds[0], piece.bounds[2]) for piece in shapely.get_parts(cut))


@pytest.mark.parametrize("name", SEATS)
def test_the_plug_goes_in_by_its_first_step_only(name: str) -> None:
    card, seats = CARDS[name], SEATS[name]
    inside, band = seats.inside, seats.band_mm
    step = min(8.0, inside.deep_mm - 1.0)
    for height in np.linspace(TIP_MM, step, 9)[:-1] + 0.01:
        ((left, right),) = width_at(card, height)
        assert right - left == pytest.approx(inside.diameter_mm - band, abs=EXACT_MM)
        assert left == pytest.approx(-right, abs=EXACT_MM)
    for height in np.linspace(step, step + 8.0, 9)[:-1] + 0.01:
        ((left, right),) = width_at(card, height)
        assert right - left == pytest.approx(inside.diameter_mm + band, abs=EXACT_MM)
    # a seat drawn as two walls and a ledge: at the least accepted width the first step enters and the second
    # does not, before the tip meets the ledge; a hair over the widest accepted, the second enters too
    for width, enters in ((inside.diameter_mm - band, False), (inside.diameter_mm + band + 1e-6, True)):
        half = width / 2
        walls = shapely.union_all([box(-half - 9, 0, -half, 30), box(half, 0, half + 9, 30)])
        free = inside.deep_mm if math.isfinite(inside.deep_mm) else 20.0
        sunk = shapely.affinity.translate(body_of(card), 0, 30 - step - 0.5)
        assert (sunk.intersection(walls).area > 1e-9) != enters
        assert sunk.bounds[1] >= 30 - free  # not yet on the ledge
        assert shapely.affinity.translate(body_of(card), 0, 30 - step).intersection(walls).area < 1e-6


@pytest.mark.parametrize("name", SEATS)
def test_the_gap_goes_over_by_its_first_step_only(name: str) -> None:
    card, seats = CARDS[name], SEATS[name]
    outside, band, top = seats.outside, seats.band_mm, body_of(card).bounds[3]
    step = min(8.0, outside.deep_mm - 1.0)

    def gap(height: float) -> float:
        (_, left), (right, _) = width_at(card, height)
        return right - left

    for height in np.linspace(top - step, top - TIP_MM, 9)[:-1] + 0.01:
        assert gap(height) == pytest.approx(outside.diameter_mm + band, abs=EXACT_MM)
    deep = seats.rises_mm + 4.0  # what stands over the edge, and its play
    for height in np.linspace(top - step - 8.0, top - step, 9)[:-1] + 0.01:
        assert gap(height) == pytest.approx(outside.diameter_mm - band, abs=EXACT_MM)
    # with the card's second step on the edge, a knob as wide as the gap still has its play
    knob = box(-outside.diameter_mm / 4, top - step - seats.rises_mm - 3.9, outside.diameter_mm / 4, top)
    assert knob.intersection(body_of(card)).area == 0
    assert gap(top - step - 8.0 - deep + 3.1) == pytest.approx(outside.diameter_mm - band, abs=EXACT_MM)


def test_each_step_has_its_width_written_beside_it() -> None:
    for name, card in CARDS.items():
        seats, top = SEATS[name], body_of(card).bounds[3]
        boxes = dict(zip([w.text for w in card.words], lettered(card), strict=True))
        inside, outside, band = seats.inside, seats.outside, seats.band_mm
        goes, stops = (
            boxes[f"goes in: {mm(inside.diameter_mm - band)}"],
            boxes[f"must not go in: {mm(inside.diameter_mm + band)}"],
        )
        passes, holds = (
            boxes[f"goes over: {mm(outside.diameter_mm + band)}"],
            boxes[f"must not: {mm(outside.diameter_mm - band)}"],
        )
        # nearer the end is the step that goes
        assert goes.centroid.y < stops.centroid.y < inside.step_mm + 8.0
        assert top > passes.centroid.y > holds.centroid.y > top - outside.step_mm - 8.0 - 1.0
        if inside.step_mm == 8.0:
            assert goes.bounds[3] < 8.0 < stops.bounds[1]


def test_bands_are_half_to_one_millimetre() -> None:
    # common practice, no source: a wet rim moves by half a millimetre
    assert (LEATHER_HARD_BAND_MM, WET_BAND_MM) == (0.5, 1.0)


def test_a_seat_too_small_or_too_shallow_gets_no_card() -> None:
    good = SEATS["jam pot"]
    small = replace(good, inside=Tried("jar's mouth", 20.0))
    shallow = replace(good, outside=Tried("flange", 80.0, 2.0))
    for seats, word in ((small, "callipers serve better"), (shallow, "not felt")):
        assert word in str(why_no_lid_card(seats))
        with pytest.raises(ValueError, match=word):
            lid_card(says("lid card"), seats)
    assert why_no_lid_card(good) is None


# The knife guide.


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
    assert "cut 85 mm above the bat before turning, 84 above the foot after" in before
    assert "take 1 mm off the foot if cut after turning" in before
    after = said(GUIDES["high"])
    assert "cut 97 mm above the bat before turning, 96 above the foot after" in after
    assert "put 1 mm under the foot if cut before turning" in after
    for guide in GUIDES.values():
        assert "wheel head" in said(guide)
        assert "screw to a block" in said(guide)
    assert "knife on this edge" in before
    assert "knife under this edge" in said(GUIDES["cap"])


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


# The notch strip.


def test_the_published_net_of_a_frustum() -> None:
    # ceemrr.com "Net of a Frustum": diameters 5 and 8 in, 4 in apart: radii 7.12 and 11.39 in, 126.4 degrees
    notch = RimNotch(4 * MM_PER_INCH, 2.5 * MM_PER_INCH, 4 * MM_PER_INCH, 12.0, 10.0, overlap=0.0)
    for strip, rim in (
        (notch_strip(says("s"), notch), 11.39),
        (notch_strip(says("s"), replace(notch, rim_radius=2.5 * MM_PER_INCH, lower_radius=4 * MM_PER_INCH)), 7.12),
    ):
        edge, back = path_of(strip, "profile"), path_of(strip, "outline")
        centre, radius = circle_through(edge[0], edge[len(edge) // 2], edge[-1])
        # printed to two decimals of an inch and one of a degree
        assert radius / MM_PER_INCH == pytest.approx(rim, abs=0.005)
        other = np.hypot(*(back - centre).T) / MM_PER_INCH
        assert (other.min(), other.max()) == pytest.approx((7.12, 11.39), abs=0.005)
        a, b = edge[0] - centre, edge[-1] - centre
        turn = math.degrees(math.acos(float(a @ b) / radius**2))
        assert turn == pytest.approx(126.4, abs=0.05)
        # arcs in pieces of 0.4 radian stay within a hundredth of the circle
        assert np.abs(np.hypot(*(edge - centre).T) - radius).max() < CLOSE_MM


def circle_through(p: Floats, q: Floats, r: Floats) -> tuple[Floats, float]:
    """Centre and radius: equally far from all three."""
    centre = np.linalg.solve(2 * np.array([q - p, r - p]), np.array([q @ q - p @ p, r @ r - p @ p]))
    return centre, float(np.hypot(*(centre - p)))


def rim_marks(strip: Drawing) -> list[LineString]:
    """The short marks that start 1.5 mm under the rim line and are 6 mm long."""
    edge = LineString(path_of(strip, "profile"))
    return [
        m
        for m in marks_of(strip)
        if m.length == pytest.approx(6.0, abs=EXACT_MM) and m.distance(edge) == pytest.approx(1.5, abs=CLOSE_MM)
    ]


@pytest.mark.parametrize("name", NOTCHES)
def test_the_rim_is_marked_in_even_parts(name: str) -> None:
    strip, notch = STRIPS[name], NOTCHES[name]
    edge = LineString(path_of(strip, "profile"))
    round_mm = 2 * math.pi * notch.rim_radius
    # the rim line is as long as the rim is round; chords and cubics of arcs are 1e-6 of the length off
    assert edge.length == pytest.approx(round_mm, rel=1e-5)
    places = [edge.project(Point(m.coords[0])) for m in rim_marks(strip)]
    # with the notch in the middle, and with the seam where a mark falls on it
    places += [edge.length / 2, *([0.0] if notch.parts % 2 == 0 else [])]
    assert len(places) == notch.parts
    gaps = np.diff([*sorted(places), min(places) + edge.length])
    assert gaps == pytest.approx(np.full(notch.parts, round_mm / notch.parts), abs=CLOSE_MM)
    numbers = {w.text.split(":")[0] for w in strip.words}
    assert {str(k + 1) for k in range(notch.parts)} <= numbers


@pytest.mark.parametrize("name", NOTCHES)
def test_the_notch_has_the_cutters_width_and_a_round_bottom(name: str) -> None:
    strip, notch = STRIPS[name], NOTCHES[name]
    at_notch = [m for m in marks_of(strip) if m.length > 6.5 and abs(m.bounds[0] + m.bounds[2]) < 1e-6]
    (mark,) = [m for m in at_notch if m.coords[0][1] == pytest.approx(-1.5, abs=EXACT_MM)]
    left, low, right, high = mark.bounds
    assert (left, right) == pytest.approx((-notch.width / 2, notch.width / 2), abs=EXACT_MM)
    assert (low, high) == pytest.approx((-notch.depth, -1.5), abs=EXACT_MM)
    if notch.depth - 1.5 >= notch.width / 2:
        # area of a rectangle and half a disc; the cubic arc is 2.7e-4 of its radius off
        area = notch.width * (notch.depth - 1.5 - notch.width / 2) + math.pi * notch.width**2 / 8
        assert Polygon(mark.coords).area == pytest.approx(area, rel=1e-3)


@pytest.mark.parametrize("name", NOTCHES)
def test_rolled_up_the_left_end_lies_on_the_seam_line(name: str) -> None:
    strip, notch = STRIPS[name], NOTCHES[name]
    back, edge = path_of(strip, "outline"), path_of(strip, "profile")
    slant = math.hypot(notch.height, notch.rim_radius - notch.lower_radius)
    # the straight mark that ends 1.5 mm off both edges
    seams = [m for m in marks_of(strip) if m.length == pytest.approx(slant - 3.0, abs=CLOSE_MM)]
    (seam,) = [m for m in seams if m.bounds[0] > 10]
    assert seam.distance(Point(edge[-1])) == pytest.approx(1.5, abs=CLOSE_MM)
    # the left end is that long too, and the strip goes on past the line by the overlap
    assert float(np.hypot(*(back[-1] - back[-1 - PER_CUBIC]))) == pytest.approx(slant, abs=CLOSE_MM)
    assert LineString(back[: PER_CUBIC + 1]).length == pytest.approx(OVERLAP_MM, abs=CLOSE_MM)
    # lateral area of a frustum from rim to lower edge: pi (R + r) l, and the overlap's share of it
    share = 1 + OVERLAP_MM / (2 * math.pi * notch.rim_radius)
    area = math.pi * (notch.rim_radius + notch.lower_radius) * slant * share
    assert body_of(strip).area == pytest.approx(area, rel=1e-4)  # chords of its arcs


def test_a_notch_that_does_not_fit_gets_no_strip() -> None:
    good = NOTCHES["straight"]
    cases = {
        "a third of the rim": replace(good, width=110.0),
        "leaves less than 10 mm": replace(good, depth=31.0),
        "is no notch": replace(good, depth=1.0),
        "0 parts": replace(good, parts=0),
        "closes to a ring": replace(good, lower_radius=140.0, height=20.0),
    }
    for word, notch in cases.items():
        assert word in str(why_no_notch_strip(notch))
        with pytest.raises(ValueError, match=word):
            notch_strip(says("notch strip"), notch)
    assert why_no_notch_strip(good) is None
