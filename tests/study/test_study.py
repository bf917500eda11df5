"""What a study finds, against solids worked by hand and cuts made one by one."""

from __future__ import annotations

from itertools import pairwise
from math import cos, inf, pi, radians, tan

import numpy as np
import pytest

from profiler.clay.states import State
from profiler.faults import Fault
from profiler.forms.shape import Shape
from profiler.geometry.section import volume_below
from profiler.lids.contact import sits
from profiler.lids.cut import Cut, Slope, cut_apart
from profiler.lids.sizes import CutLid
from profiler.study.said import heights_said, sentence
from profiler.study.study import End, Span
from profiler.study.tried import Limits, Trial
from tests.pieces import DEMO_DESIGNS
from tests.study.designs import CYLINDER, FLAT, POT, design_from, study_of, trial_of

EXACT = 1e-9
"""Relative, for volumes of straight runs: a few hundred additions of doubles, the state's scale included."""

STEP_MM = 0.01
END_MM = 0.02
"""A study looks for ends to 0.01 mm; the search by steps of 0.01 adds as much."""


@pytest.mark.parametrize("slope", ["inward_down", "inward_up"])
@pytest.mark.parametrize("angle", [20.0, 40.0, 55.0])
def test_a_cylinder_takes_what_plane_geometry_says(slope: Slope, angle: float) -> None:
    """Radius 41 inside and 45 outside; DESIGN.md 6: to the outer edge of a funnel, the inner edge of a cone."""
    design = design_from(CYLINDER + f'slope = "{slope}"\n')
    way = 1 if slope == "inward_down" else -1
    found = Trial(design, Limits()).at(60.0, angle).figures
    assert found is not None
    rise = 4 * tan(radians(angle))
    half_gap = 1.5 / 2 / cos(radians(angle))
    outer = 60.0 - half_gap
    inner = outer - way * rise
    plain = pi * 41**2 * (inner - 5)
    funnel = pi * rise / 3 * (41**2 + 41 * 45 + 45**2) if slope == "inward_down" else 0.0
    assert found.capacity_ml == pytest.approx((plain + funnel) / 1000, rel=EXACT)
    # the lid: a disc on top, and the wall's ring, whose lower face is the joint; 2 pi times the integral of r z(r)
    moment = (45**3 - 41**3) / 3 - 41 * (45**2 - 41**2) / 2
    joint_inside = 60.0 + half_gap - way * rise
    ring = 2 * pi * ((94 - joint_inside) * (45**2 - 41**2) / 2 - way * tan(radians(angle)) * moment)
    volume_cm3 = (pi * 45**2 * 6 + ring) / 1000
    assert found.lid_g == pytest.approx(design.body.density(State.FIRED) * volume_cm3, rel=EXACT)
    lowest = min(joint_inside, joint_inside + way * rise)
    assert found.lid_height_mm == pytest.approx(100 - lowest, rel=EXACT)
    assert found.seat_mm == pytest.approx(4, rel=EXACT)
    assert found.centring_mm == pytest.approx(rise, rel=EXACT)
    # DESIGN.md 6: in an upright wall the drop costs nothing, rounding e / tan(corner / 2) at each end
    corners = [radians(90 - angle) / 2, radians(90 + angle) / 2]
    sharper = 2 * max(0.5 / tan(corner) for corner in corners)
    assert found.land_mm == pytest.approx(4 / cos(radians(angle)) - sharper, abs=1e-6)


def test_sized_wet_is_told_fired() -> None:
    """A pot sized wet holds (1 - S)³ of what its wet sizes hold."""
    wet = trial_of('sized = "wet"\n' + CYLINDER).at(60.0, 40.0).figures
    fired = trial_of(CYLINDER).at(60.0, 40.0).figures
    assert wet is not None
    assert fired is not None
    left = 1 - design_from(CYLINDER).body.shrinkage.at(State.FIRED)
    assert wet.capacity_ml / fired.capacity_ml == pytest.approx(left**3, rel=EXACT)
    assert wet.lid_height_mm / fired.lid_height_mm == pytest.approx(left, rel=EXACT)


CLOSED = [POT, CYLINDER, FLAT, *(t for t in (p.read_text("utf-8") for p in DEMO_DESIGNS) if 'kind = "cut"' in t)]


@pytest.mark.parametrize("text", CLOSED)
def test_the_lower_the_cut_the_smaller_the_jar_and_the_larger_the_lid(text: str) -> None:
    """Common practice, no source; of a cut through the wall: near the top of a dome a funnel's room counts more."""
    for slant in study_of(text, angles=(25.0, 45.0)).slants:
        figures = [tried.figures for tried in slant.trace if tried.figures is not None]
        widest = max(f.pair.inner[0] for f in figures)
        figures = [f for f in figures if f.pair.inner[0] > widest / 2]
        assert len(figures) > 10
        for low, high in pairwise(figures):
            assert low.capacity_ml < high.capacity_ml
            assert low.lid_g > high.lid_g
            # in the level top of a cylinder the lid is as high as that is thick, to rounding
            assert low.lid_height_mm > high.lid_height_mm - 1e-9


def _holds(design_text: str, height: float, angle: float, limits: Limits) -> bool:
    """One cut judged from its parts, with nothing of the study."""
    design = design_from(design_text)
    lid = design.head.lid
    assert isinstance(lid, CutLid)
    key = design_text
    if key not in _SHAPES:
        _SHAPES[key] = design.form.build(design.sizes, design.asked)[0].shape
    try:
        pair = cut_apart(_SHAPES[key], Cut(height, angle, lid.slope, lid.gap, lid.edge))
    except Fault:
        return False
    k_r, k_z = design.body.scale(design.head.sized, State.FIRED)
    seat = sits(pair, (k_r, k_z))
    top = max(pair.jar.rim.start[1], pair.jar.rim.end[1])
    funnel = pair.jar.rim.start[1] > pair.jar.rim.end[1]  # it runs over its outer edge; a cone at its inner
    cavity = pair.jar.inside + pair.jar.rim.reversed() if funnel else pair.jar.inside
    holds_ml = k_r**2 * k_z * volume_below(cavity, top) / 1000
    lid_g = k_r**2 * k_z * pair.lid.section.volume_mm3 / 1000 * design.body.density(State.FIRED)
    high = k_z * pair.lid.section.outline.highest(1)[1]
    return (
        seat.kind == "sits"
        and holds_ml >= 5  # less than a teaspoon is no jar (common sense, no source)
        and lid_g >= 15  # grams; lighter, or lower than its wall is thick, it is no lid (common sense, no source)
        and high >= k_r * pair.seat_width
        and seat.contact.contact_mm >= limits.least_contact
        and (limits.capacity_least or -inf) <= holds_ml <= (limits.capacity_most or inf)
        and high <= (limits.lid_height_most or inf)
        and lid_g <= (limits.lid_weight_most or inf)
    )


_SHAPES: dict[str, Shape] = {}

RANGES = [
    (POT, 40.0, Limits()),
    (POT, 20.0, Limits()),
    (POT, 45.0, Limits(least_contact=2.6, capacity_least=250, lid_height_most=45)),
    (POT, 40.0, Limits(capacity_least=309.0, capacity_most=310.0)),
    (POT, 35.0, Limits(capacity_most=200, lid_weight_most=170)),
    (FLAT, 35.0, Limits(least_contact=2, lid_height_most=40)),
    (FLAT, 60.0, Limits()),
    (CYLINDER, 40.0, Limits(capacity_least=200, lid_weight_most=250)),
]


@pytest.mark.parametrize(("text", "angle", "limits"), RANGES)
def test_the_ends_are_where_cuts_made_one_by_one_stop_holding(text: str, angle: float, limits: Limits) -> None:
    made = study_of(text, angles=angle, limits=limits)
    assert made.named.spans
    ends = [end for span in made.named.spans for end in (span.low, span.high)]
    for number, end in enumerate(ends):
        way = 1 if number % 2 else -1
        steps = np.arange(-5, 6) * STEP_MM
        holds = [_holds(text, end.height + way * step, angle, limits) for step in steps]
        last = max(step for step, held in zip(steps, holds, strict=True) if held)
        assert all(held == (step <= last) for step, held in zip(steps, holds, strict=True))
        assert -STEP_MM / 2 <= last <= END_MM
        assert end.fails


@pytest.mark.parametrize(("text", "angle", "limits"), RANGES)
def test_no_height_holds_but_those_in_a_span(text: str, angle: float, limits: Limits) -> None:
    made = study_of(text, angles=angle, limits=limits)
    low, high = made.heights
    for height in np.arange(low, high, 0.7):
        in_a_span = made.named.span_at(float(height)) is not None
        near = min(abs(height - end.height) for span in made.named.spans for end in (span.low, span.high))
        assert near < END_MM or _holds(text, float(height), angle, limits) == in_a_span


def test_each_end_names_what_fails_beyond_it() -> None:
    limits = Limits(least_contact=2.6, capacity_least=250, lid_height_most=45)
    (span,) = study_of(POT, angles=45.0, limits=limits).named.spans
    trial = trial_of(POT, limits)
    for end, beyond in ((span.low, -0.05), (span.high, 0.05)):
        assert trial.at(end.height + beyond, 45.0).failing == end.fails
    (whole,) = study_of(POT, heights=(50, 80), angles=40.0).named.spans
    assert (whole.low, whole.high) == (End(50, frozenset()), End(80, frozenset()))


@pytest.mark.parametrize(("angle", "fails"), [(0.0, "slides"), (15.0, "slides"), (65.0, "jams"), (89.0, "knife")])
def test_flat_steep_and_upright_cuts_never_hold(angle: float, fails: str) -> None:
    made = study_of(CYLINDER, heights=(30, 70), angles=angle)
    assert not made.named.spans
    assert all(fails in row.failing for row in made.named.rows)
    assert "Nothing holds" in sentence(made)


def test_the_sentence_says_the_range_and_what_the_jar_takes() -> None:
    made = study_of(POT, heights=(50, 80), angles=40.0)
    shown = made.shown
    assert shown is not None
    assert shown.height == 72
    assert shown.figures is not None
    said = f"between 50 and 80 mm everything holds; at 72 mm the jar takes {shown.figures.capacity_ml:.0f} ml"
    assert said in sentence(made)
    assert heights_said(Span(End(61.93, frozenset()), End(71.08, frozenset()))) == ("62", "71")


def test_where_nothing_holds_it_says_which_limit_would_have_to_give() -> None:
    limits = Limits(capacity_least=350, lid_height_most=30)
    made = study_of(POT, angles=40.0, limits=limits)
    # at 350 ml the lid is as high as the study without that limit says it is where the jar just takes 350
    low = study_of(POT, angles=40.0, limits=Limits(capacity_least=350)).named.spans[0].low
    lowest_lid = trial_of(POT).at(low.height, 40.0).figures
    assert lowest_lid is not None
    assert lowest_lid.lid_height_mm < 36  # so it does not hold with every lid
    said = sentence(study_of(POT, heights=(50, 75), angles=40.0, limits=limits))
    assert "Nothing holds" in said
    assert "place of 30" in said
    assert made.named.spans  # and above 75 mm it does


def test_what_is_stuck_on_the_lid_counts() -> None:
    bare = trial_of(POT).at(72.0, 40.0).figures
    knob = '[[extras]]\nname = "knob"\nweight_g = 30\nheight = 14\non = "lid"\n'
    design = design_from(POT + knob)
    with_knob = Trial(design, Limits()).at(72.0, 40.0).figures
    assert bare is not None
    assert with_knob is not None
    # DESIGN.md 4: m_fired = m_wet (1 - w)(1 - LOI)
    fired_g = 30 * (1 - design.body.water) * (1 - design.body.loss_on_ignition)
    assert with_knob.lid_g - bare.lid_g == pytest.approx(fired_g, rel=EXACT)
    assert with_knob.lid_height_mm - bare.lid_height_mm == pytest.approx(14, rel=EXACT)


@pytest.mark.parametrize(
    ("text", "heights", "angles", "field"),
    [
        (POT, (80, 50), None, "--heights"),
        (POT, (200, 300), None, "--heights"),
        (POT, (0.5, 1.5), None, "--heights"),
        (POT, None, (40.0, 30.0), "--angles"),
        (POT, None, 90.0, "--angles"),
        (POT.split("[lid]")[0], None, None, "lid.kind"),
        (
            '[form]\nkind = "cylinder"\n' + "rim_diameter = 80\nheight = 90\n" + POT[POT.index("[lid]") :],
            None,
            None,
            "lid.kind",
        ),
    ],
)
def test_what_cannot_be_studied_is_a_fault(
    text: str, heights: tuple[float, float] | None, angles: tuple[float, float] | float | None, field: str
) -> None:
    with pytest.raises(Fault) as caught:
        study_of(text, heights, angles)
    assert caught.value.field == field
