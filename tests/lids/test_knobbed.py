"""A knob turned from the top of a closed form: its sizes, where it grows out, and its clay, measured elsewhere."""

from __future__ import annotations

from math import pi, sqrt

import numpy as np
import pytest
from shapely.geometry import LineString, Polygon

from profiler.clay.states import State
from profiler.faults import Fault
from profiler.lidded import standing
from profiler.measures import Measures, measured
from profiler.piece import Piece
from profiler.settings import Settings
from tests.pieces import piece_from

EXACT = 1e-12
"""Relative, for volumes of curves split exactly: a few hundred additions of doubles."""

OFF_MM = 0.01
"""The issue's figure: a tenth of what callipers show."""

FORMS = {
    "closed": '[form]\nkind = "closed"\nbelly_diameter = 95\nheight = 100\n',
    "pointed": '[form]\nkind = "closed"\nbelly_diameter = 100\nheight = 100\nshoulder = 0.3\n',
    "smooth points": '[form]\nkind = "points"\ncurve = "smooth"\n'
    "outside = [[40, 0], [46, 30], [44, 60], [36, 85], [20, 97], [0, 100]]\n",
    "flat top": '[form]\nkind = "points"\noutside = [[45, 0], [45, 100], [0, 100]]\n'
    "inside = [[40, 5], [40, 94], [0, 94]]\n",
    "cone": '[form]\nkind = "points"\noutside = [[50, 0], [50, 60], [0, 100]]\n',
}
LID = '[lid]\nkind = "cut"\nheight = {height}\nslope = "{slope}"\n'
KNOB = "[lid.knob]\ndiameter = 26\nheight = 18\nneck_diameter = 16\n"
SLOPES = ("inward_down", "inward_up")


def _pieces(form: str, slope: str = "inward_down") -> tuple[Piece, Piece]:
    """A design without and with its knob."""
    text = FORMS[form] + LID.format(height=50, slope=slope)
    return piece_from(text), piece_from(text + KNOB)


def _polygon(piece: Piece) -> Polygon:
    assert piece.whole is not None
    polygon = Polygon(piece.whole.section.outline.sampled(400))
    assert polygon.is_valid
    return polygon


def _radii(polygon: Polygon, heights: np.ndarray) -> np.ndarray:
    return np.array([polygon.intersection(LineString([(0, z), (200, z)])).bounds[2] for z in heights])


@pytest.mark.parametrize("form", FORMS)
def test_sizes_of_the_knob(form: str) -> None:
    bare, knobbed = (_polygon(piece) for piece in _pieces(form))
    top = bare.bounds[3]
    assert top == pytest.approx(100, abs=OFF_MM)
    assert knobbed.bounds[3] == pytest.approx(100 + 18, abs=OFF_MM)
    radii = _radii(knobbed, np.linspace(85, 118 - 2.01, 1500))  # up to the rounded edge, 2 mm
    assert radii[-500:].max() == pytest.approx(13, abs=OFF_MM)
    assert radii.min() == pytest.approx(8, abs=OFF_MM)
    # its top runs level to the axis, and no clay hangs in the air: one radius at every height
    assert _radii(knobbed, np.array([118 - 1e-6]))[0] > 13 - 2.01  # but for the rounded edge, 2 mm
    for height in np.linspace(top - 3, top + 17.9, 60):
        level = knobbed.intersection(LineString([(0, height), (200, height)]))
        assert len(getattr(level, "geoms", [level])) == 1


@pytest.mark.parametrize("form", FORMS)
def test_all_but_the_top_stays(form: str) -> None:
    bare, knobbed = _pieces(form)
    assert bare.whole is not None
    assert knobbed.whole is not None
    before, after = bare.whole.shape, knobbed.whole.shape
    assert np.array_equal(before.inside.cubics, after.inside.cubics)
    assert np.array_equal(before.base.cubics, after.base.cubics)
    grown = _polygon(knobbed).symmetric_difference(_polygon(bare))
    # all of it is on the top, no further from the axis than knob or rounded neck; 0.01 mm² is two samplings of one
    # curve, whose 400 chords a cubic are off by up to 1e-4 mm over 100 mm
    top = Polygon([(0, 80), (13.01, 80), (13.01, 119), (0, 119)])
    assert grown.difference(top).area < 0.01
    assert _polygon(bare).difference(_polygon(knobbed)).area < 0.01  # and none was taken
    # the outside runs on smoothly from the form into the knob and round its edge: no corner but what the form has
    corners = [np.degrees(_turn(shape.outside.cubics)) for shape in (before, after)]
    assert sorted(corners[1][corners[1] > 1.0]) == pytest.approx(sorted(corners[0][corners[0] > 1.0]))


def _turn(cubics: np.ndarray) -> np.ndarray:
    """Angles between neighbouring cubics where they join, radians."""
    ends, starts = cubics[:-1, 3] - cubics[:-1, 2], cubics[1:, 1] - cubics[1:, 0]
    cross = ends[:, 0] * starts[:, 1] - ends[:, 1] * starts[:, 0]
    return np.asarray(np.abs(np.arctan2(cross, (ends * starts).sum(axis=1))))


@pytest.mark.parametrize("slope", SLOPES)
@pytest.mark.parametrize("form", FORMS)
def test_the_knob_is_on_the_lid_and_the_jar_is_as_it_was(form: str, slope: str) -> None:
    bare, knobbed = _pieces(form, slope)
    (jar, lid), (jar_bare, lid_bare) = knobbed.parts, bare.parts
    assert jar.section.outline.cubics == pytest.approx(jar_bare.section.outline.cubics, abs=1e-9)  # split elsewhere
    assert knobbed.whole is not None
    assert knobbed.pair is not None
    cut = knobbed.pair.cut
    assert cut is not None
    assert cut.kerf is not None
    parts = (jar.section, lid.section, cut.kerf)
    assert sum(part.volume_mm3 for part in parts) == pytest.approx(knobbed.whole.section.volume_mm3, rel=EXACT)
    # its clay as a pile of rings between the two outlines, r by shapely: over 6000 of them the trapezes and the
    # 400 chords a cubic are good to a thousandth
    with_knob, without = _polygon(knobbed), _polygon(bare)
    heights = np.linspace(80, 118 - 1e-9, 6001)
    discs = _radii(with_knob, heights) ** 2
    below = heights < 100 - 1e-9
    discs[below] -= _radii(without, heights[below]) ** 2
    clay = pi * float(np.trapezoid(discs, heights))
    assert lid.section.volume_mm3 - lid_bare.section.volume_mm3 == pytest.approx(clay, rel=2e-3)


def test_a_knob_on_a_flat_top_by_hand() -> None:
    # no wider than its neck it is a cylinder: 20 wide, 12 high; less its rounded edge, plus the rounding at its foot
    text = FORMS["flat top"] + LID.format(height=50, slope="inward_down")
    knob = "[lid.knob]\ndiameter = 20\nheight = 12\nneck_diameter = 20\n"
    bare, knobbed = piece_from(text), piece_from(text + knob)
    more = knobbed.parts[1].section.volume_mm3 - bare.parts[1].section.volume_mm3
    # both roundings are a fifth of the height at most, but the edge's 2: Pappus on a square less a quarter disc
    corner = 1 - pi / 4
    lever = (1 / 2 - pi / 4 * (1 - 4 / (3 * pi))) / corner  # of its centroid from the two flat sides

    def ring(radius: float, side: float, out: float) -> float:
        return 2 * pi * (side + out * lever * radius) * corner * radius**2

    by_hand = pi * 10**2 * 12 - ring(2.0, 10, -1) + ring(2.4, 10, 1)
    # a quarter arc's cubic is 2.7e-4 of its radius off the circle: 6e-4 mm over roundings of 2 to 2.4 mm
    assert more == pytest.approx(by_hand, abs=2 * pi * 10 * (pi / 2 * 4.4) * 6e-4)


def _measures(text: str) -> Measures:
    return measured(piece_from(text), Settings())


def test_the_clay_of_the_knob_counts_everywhere() -> None:
    text = FORMS["closed"] + "[thrown]\nblend_height = 20\n" + LID.format(height=50, slope="inward_down")
    bare, knobbed = _measures(text), _measures(text + KNOB)
    more = knobbed.piece.parts[1].section.volume_mm3 - bare.piece.parts[1].section.volume_mm3
    assert more > pi * 8**2 * 16  # the neck, all the way up
    wet_g = 1.95 * more / 0.88**3 / 1000  # g/cm³ and shrinkage of the shipped stoneware
    for one, other in (
        (knobbed.states[State.WET], bare.states[State.WET]),
        (knobbed.parts["lid"].states[State.WET], bare.parts["lid"].states[State.WET]),
        (knobbed.thrown, bare.thrown),
    ):
        assert one.mass_g - other.mass_g == pytest.approx(wet_g, rel=1e-9)
    assert knobbed.ball_g - bare.ball_g == pytest.approx(wet_g / 0.95, rel=1e-9)  # 5 % lost
    for state, left in ((State.FIRED, 1.0), (State.WET, 1 / 0.88)):
        for high, low in ((knobbed.states, bare.states), (knobbed.parts["lid"].states, bare.parts["lid"].states)):
            assert high[state].height_mm - low[state].height_mm == pytest.approx(18 * left, abs=1e-9)
    for state in State:
        jar, as_it_was = (one.parts["jar"].states[state] for one in (knobbed, bare))
        assert (jar.mass_g, jar.capacity_ml) == pytest.approx((as_it_was.mass_g, as_it_was.capacity_ml), rel=1e-9)
    # trimming is at the foot, where nothing changed
    assert knobbed.trimming.removed_cm3 == pytest.approx(bare.trimming.removed_cm3, rel=1e-9)
    assert knobbed.trimming.floor_left_mm == pytest.approx(bare.trimming.floor_left_mm, rel=1e-9)
    assert knobbed.trimming.ring_above_head_mm == pytest.approx(
        bare.trimming.ring_above_head_mm + 18 * 0.95 / 0.88, abs=1e-9
    )  # head down, it stands on the knob


@pytest.mark.parametrize("slope", SLOPES)
def test_closed_the_knobbed_lid_lies_in_its_seat(slope: str) -> None:
    _, piece = _pieces("closed", slope)
    jar, lid = (Polygon(standing(piece, cast, State.FIRED).outline.sampled(400)) for cast in piece.parts)
    assert jar.intersection(lid).area < 0.005  # they touch along a face
    assert jar.distance(lid) < 1e-6


DOWN = LID.format(height=50, slope="inward_down")
HIGH = LID.format(height=99, slope="inward_down")
STEEP = '[form]\nkind = "points"\noutside = [[45, 0], [45, 60], [30, 65], [10, 105], [0, 105]]\n'
SUNKEN = (
    '[form]\nkind = "points"\noutside = [[50, 0], [50, 90], [30, 95], [10, 80], [0, 78]]\n'
    "inside = [[0, 5], [46, 5], [46, 87], [30, 90], [10, 75], [0, 73]]\n"
)


@pytest.mark.parametrize(
    ("text", "knob", "field", "words"),
    [
        # the lid is 2·45 wide where it is cut: four fifths of that at most
        (FORMS["flat top"] + DOWN, "diameter = 74\nheight = 18\n", "lid.knob", "does not fit"),
        (FORMS["flat top"] + DOWN, "diameter = 20\nheight = 18\nneck_diameter = 24\n", "lid.knob", "does not fit"),
        (
            FORMS["closed"] + HIGH,
            "diameter = 13\nheight = 18\nneck_diameter = 13\n",
            "lid.height",
            "meets the knob",
        ),
        (SUNKEN + DOWN, "diameter = 30\nheight = 3\nneck_diameter = 30\n", "lid.knob", "out of the hollow"),
        # a millimetre from the steep edge of the top there is no room to round it in
        (STEEP + DOWN, "diameter = 18\nheight = 18\nneck_diameter = 18\n", "lid.knob", "no room to be rounded"),
    ],
)
def test_a_knob_that_cannot_be_turned(text: str, knob: str, field: str, words: str) -> None:
    with pytest.raises(Fault) as caught:
        piece_from(text + f"gap = 0.5\n[lid.knob]\n{knob}")
    assert caught.value.field == field
    assert words in caught.value.what
    assert caught.value.found
    assert caught.value.wanted


def test_a_knob_in_a_hollow_top_stands_on_its_middle() -> None:
    piece = piece_from(SUNKEN + DOWN + KNOB)
    assert piece.whole is not None
    assert piece.whole.section.outline.highest(1)[1] == pytest.approx(78 + 18, abs=1e-9)


@pytest.mark.parametrize("form", FORMS)
def test_a_knob_is_found_upright_on_the_axis(form: str) -> None:
    # the section's middle: from the inside's top straight up to the knob's top there is clay and nothing else
    _, piece = _pieces(form)
    assert piece.whole is not None
    under = float(piece.whole.shape.inside.end[1])
    axis = _polygon(piece).intersection(LineString([(1e-3, under - 1), (1e-3, 200)]))
    assert axis.length == pytest.approx(118 - under, abs=OFF_MM)


def test_under_a_cone_the_inside_is_as_far_down_as_its_slope_asks() -> None:
    # the wall of `points` without an inside, 4 mm square to a cone that falls 40 over 50: 4·√(40² + 50²)/50 upright
    bare, _ = _pieces("cone")
    assert bare.whole is not None
    assert 100 - float(bare.whole.shape.inside.end[1]) == pytest.approx(4 * sqrt(40**2 + 50**2) / 50, abs=1e-9)
    assert float(bare.whole.shape.inside.end[0]) == pytest.approx(0, abs=1e-9)
