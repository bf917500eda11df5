"""From a wanted capacity to the cut, and back by another way."""

from __future__ import annotations

import numpy as np
import pytest

from profiler.clay.states import State
from profiler.lids.cut import Cut, cut_apart
from profiler.lids.sizes import CutLid
from profiler.study.choice import Chosen, Unreached, choose
from profiler.study.tried import Limits
from tests.study.designs import CYLINDER, FLAT, POT, design_from, study_of, trial_of

NEAR_ML = 0.05
"""The brief's figure; the trapezoids below are good to 0.01."""


def _by_slices(text: str, height: float, angle: float) -> float:
    """What the jar takes, ml, fired: discs of 0.005 mm and less under the overflow, no integral of the program's."""
    design = design_from(text)
    lid = design.head.lid
    assert isinstance(lid, CutLid)
    shape = design.form.build(design.sizes, design.asked)[0].shape
    jar = cut_apart(shape, Cut(height, angle, lid.slope, lid.gap, lid.edge)).jar
    inside = jar.inside.sampled(4000)
    if lid.slope == "inward_down":
        inside = np.concatenate([inside, jar.rim.reversed().sampled(4000)[1:]])
    k_r, k_z = design.body.scale(design.head.sized, State.FIRED)
    r, z = inside.T
    return float(np.pi * k_r**2 * k_z * np.trapezoid(r**2, z) / 1000)


@pytest.mark.parametrize(
    ("text", "wanted", "angles", "slant"),
    [
        (POT, 310.0, None, 40.0),
        (POT, 310.0, 33.0, 33.0),
        (FLAT, 150.0, (25.0, 35.0), 35.0),
        (CYLINDER, 280.0, 45.0, 45.0),
    ],
)
def test_the_cut_found_takes_what_was_wanted(
    text: str, wanted: float, angles: tuple[float, float] | float | None, slant: float
) -> None:
    found = choose(trial_of(text), wanted, angles=angles)
    assert isinstance(found, Chosen)
    assert found.tried.angle == slant
    assert found.tried.holds
    assert _by_slices(text, found.tried.height, slant) == pytest.approx(wanted, abs=NEAR_ML)


def test_near_the_top_of_a_dome_the_fullest_jar_is_not_the_highest_cut() -> None:
    # large and thick, so that there is still a lid to speak of
    dome = POT.replace("96", "192").replace("105", "210").replace("72", "144") + "[wall]\nrim = 10\nfoot = 10\n"
    found = choose(trial_of(dome), 7000.0, angles=40.0)
    assert isinstance(found, Unreached)
    ((_, most),) = found.reachable_ml
    (span,) = study_of(dome, angles=40.0).named.spans
    tried = [_by_slices(dome, float(h), 40.0) for h in np.arange(195, span.high.height, 0.1)]
    assert max(tried) > tried[-1] + 0.2
    # 1 mm from the fullest a jar takes 0.2 ml less, so within 0.05 mm of it 0.0005
    assert most == pytest.approx(max(tried), abs=NEAR_ML)
    assert isinstance(choose(trial_of(dome), most - 0.1, angles=40.0), Chosen)


def test_the_slant_is_the_one_nearest_to_forty_that_holds() -> None:
    limits = Limits(least_contact=2.5)
    found = choose(trial_of(POT, limits), 390.0)
    assert isinstance(found, Chosen)
    assert found.tried.angle != 40
    closer = [a for a in range(20, 61) if abs(a - 40) < abs(found.tried.angle - 40)]
    assert closer
    for angle in closer:
        assert isinstance(choose(trial_of(POT, limits), 390.0, angles=float(angle)), Unreached)


def test_a_capacity_out_of_reach_is_answered_with_the_true_range() -> None:
    limits = Limits(lid_weight_most=120, least_contact=2.5)
    found = choose(trial_of(POT, limits), 700.0, angles=40.0)
    assert isinstance(found, Unreached)
    ((low, high),) = found.reachable_ml
    (span,) = study_of(POT, angles=40.0, limits=limits).named.spans
    # an end is found to 0.01 mm, which is 0.07 ml at most: under a mouth of 48 mm radius
    assert _by_slices(POT, span.low.height, 40.0) == pytest.approx(low, abs=0.1)
    assert _by_slices(POT, span.high.height, 40.0) == pytest.approx(high, abs=0.1)
    assert f"{low:.1f} to {high:.1f} ml" in found.said()
    for wanted in (low + 0.1, high - 0.1):
        assert isinstance(choose(trial_of(POT, limits), wanted, angles=40.0), Chosen)
    for wanted in (low - 0.2, high + 0.2):
        assert isinstance(choose(trial_of(POT, limits), wanted, angles=40.0), Unreached)


def test_it_says_what_fails_at_a_capacity_the_limits_forbid() -> None:
    found = choose(trial_of(POT, Limits(lid_height_most=20)), 380.0, angles=40.0)
    assert isinstance(found, Unreached)
    assert "the lid is too high" in found.said()


def test_heights_bound_the_choice() -> None:
    assert isinstance(choose(trial_of(POT), 310.0, heights=(20, 40)), Unreached)
    found = choose(trial_of(POT), 310.0, heights=(60, 70))
    assert isinstance(found, Chosen)
    assert 60 <= found.tried.height <= 70
