"""Cutter sizes against published shrinkage figures, turned round."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from profiler.clay.body import Body, Shrinkage
from profiler.faults import Fault, Faults
from profiler.spoon.cutter import cutter_for, needed_width
from profiler.spoon.measured import BALANCE_SHARE, Spoon


def _body(leather_hard: float, fired: float) -> Body:
    return Body("test", Shrinkage(leather_hard, max(leather_hard, 0.06), 0.065, fired), 1.95, 0.21, 0.06)


@pytest.mark.parametrize(
    ("fired", "total", "wet", "within"),
    [
        # Clayart, subject 70279: fired 6 in at 11.5 %; printed to 0.01
        (6.0, 0.115, 6.78, 0.005),
        # Clayart, subject 98083: fired 10 in at 12.5 %; 11.4286 to four places
        (10.0, 0.125, 11.4286, 5e-5),
        # Clayart, subject 76833: a wet mug of 100 mm at 15 % comes out at 85 mm
        (85.0, 0.15, 100.0, 1e-9),
        # glazestuff, "Shrink Rule": a coil of 5.0 in comes out at 4.5 in, 10 %
        (4.5, 0.10, 5.0, 1e-9),
    ],
)
def test_cut_as_thrown_the_notch_is_the_wet_size_of_a_published_fired_size(
    fired: float, total: float, wet: float, within: float
) -> None:
    # cut before anything has shrunk, the notch is handle and clearances at the published wet size
    needed = needed_width(fired * 0.6, fired * 0.2, _body(0.0, total))
    assert needed == pytest.approx(wet, abs=within)


def test_cut_dry_only_the_firing_is_left() -> None:
    # Digitalfire Reference Library: 6.25 % drying and 6.66 % firing on the dry length make 12.5 % (12.4938 exactly)
    needed = needed_width(8.0, 1.0, _body(0.0625, 0.124938))
    # the total is rounded to six places, hence 1e-5 of 10 mm
    assert needed == pytest.approx(10.0 / (1 - 0.0666), abs=1e-5)


def test_adding_the_shrinkage_on_is_too_narrow() -> None:
    # the common published mistake, fired x (1 + S), is S² too small: 1.69 % at 13 % (exact)
    needed = needed_width(8.0, 1.0, _body(0.0, 0.13))
    assert 10.0 * 1.13 / needed == pytest.approx(1 - 0.0169, abs=1e-12)


def test_eight_mm_one_a_side_five_and_twelve_per_cent() -> None:
    # by hand: 10 x 0.95 / 0.88 = 10.795
    cutter = cutter_for(8.0, 1.0, _body(0.05, 0.12), [6.0, 14.0, 10.0, 12.0])
    assert cutter.needed_mm == pytest.approx(10.795, abs=5e-4)
    assert cutter.cutter_mm == 12.0
    # the notch fires to 12 x 0.88 / 0.95 = 11.1158, which leaves 3.1158 beside the handle
    assert cutter.clearance_mm == pytest.approx(3.1158 / 2, abs=5e-5)


def test_a_cutter_of_just_the_size_will_do() -> None:
    body = _body(0.05, 0.12)
    exact = needed_width(8.0, 1.0, body)
    assert cutter_for(8.0, 1.0, body, [exact]).clearance_mm == pytest.approx(1.0, abs=1e-12)


def test_cutters_all_too_small_name_the_size_needed() -> None:
    body = _body(0.05, 0.12)
    with pytest.raises(Fault) as caught:
        cutter_for(8.0, 1.0, body, [6.0, 10.0])
    assert caught.value.field == "notch.cutters"
    assert "10.8 mm" in caught.value.wanted
    # the size in the message is big enough, not merely the needed one rounded
    assert cutter_for(8.0, 1.0, body, [10.8]).cutter_mm == 10.8


@pytest.mark.parametrize(("owned", "asked"), [([0.6, 0.8, 1.0], True), ([6.0, 10.0], False)])
def test_a_box_of_cutters_in_another_unit_is_asked_about(owned: list[float], asked: bool) -> None:
    with pytest.raises(Fault) as caught:
        cutter_for(8.0, 1.0, _body(0.05, 0.12), owned)
    assert ("in cm or inches?" in caught.value.what) == asked


def test_without_a_box_of_cutters_only_the_size_needed_is_known() -> None:
    cutter = cutter_for(8.0, 1.0, _body(0.05, 0.12), [])
    assert (cutter.cutter_mm, cutter.clearance_mm) == (None, None)


@given(
    handle=st.floats(3, 20),
    clearance=st.floats(0.2, 3),
    leather=st.floats(0, 0.06),
    fired=st.floats(0.065, 0.16),
    owned=st.lists(st.floats(2, 40), min_size=1, max_size=8),
)
def test_the_cutter_is_the_narrowest_that_clears(
    handle: float, clearance: float, leather: float, fired: float, owned: list[float]
) -> None:
    body = _body(leather, fired)
    notch_fired = {width: width * (1 - fired) / (1 - leather) for width in owned}
    # 1e-7: a cutter within rounding of the needed size counts as big enough
    clears = [width for width in owned if (notch_fired[width] - handle) / 2 >= clearance - 1e-7]
    if not clears:
        with pytest.raises(Fault, match="no cutter is wide enough"):
            cutter_for(handle, clearance, body, owned)
        return
    cutter = cutter_for(handle, clearance, body, owned)
    assert cutter.cutter_mm == min(clears)
    assert cutter.clearance_mm == pytest.approx((notch_fired[min(clears)] - handle) / 2, abs=1e-9)


def test_what_is_no_spoon_is_refused_all_at_once() -> None:
    with pytest.raises(Faults) as caught:
        Spoon(length=130, handle_width=8, handle_thickness=50, bowl_length=40, bowl_width=30, balance=150)
    assert {fault.field for fault in caught.value.faults} == {"spoon.handle_thickness", "spoon.balance"}
    with pytest.raises(Faults, match=r"spoon\.length: not a length"):
        Spoon(length=-1, handle_width=8, handle_thickness=2, bowl_length=40, bowl_width=30)
    with pytest.raises(Faults, match="as long as the spoon"):
        Spoon(length=60, handle_width=8, handle_thickness=2, bowl_length=60, bowl_width=30)


def test_the_balance_point_is_hers_or_a_share_of_the_length() -> None:
    assert Spoon(130, 8, 2, 40, 30).balance_mm == pytest.approx(BALANCE_SHARE * 130)
    assert Spoon(130, 8, 2, 40, 30, balance=55).balance_mm == 55
