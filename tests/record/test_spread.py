"""Mean, standard deviation and ± against numpy, scipy and the tables of the NIST/SEMATECH e-Handbook.

The table values and the worked example are from memory of that handbook: 1.3.6.7.2 (t at 0.975) and 1.3.5.2
(ZARR13: 195 readings, mean 9.261460, standard deviation 0.022789, limits 9.258242 and 9.264679).
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from profiler.record.spread import believed, spread
from profiler.scatter import student_t

NIST_T = {1: 12.706, 2: 4.303, 3: 3.182, 4: 2.776, 5: 2.571, 9: 2.262, 10: 2.228, 11: 2.201, 30: 2.042, 100: 1.984}


@pytest.mark.parametrize(("freedom", "table"), NIST_T.items())
def test_t_is_the_handbooks(freedom: int, table: float) -> None:
    assert student_t(freedom) == pytest.approx(table, abs=5e-4)  # the table has three decimals


def test_the_handbooks_example_of_limits_for_a_mean() -> None:
    half = student_t(194) * 0.022789 / math.sqrt(195)
    assert 9.261460 - half == pytest.approx(
        9.258242, abs=2e-6
    )  # printed to six decimals, the deviation to five digits
    assert 9.261460 + half == pytest.approx(9.264679, abs=2e-6)


@given(
    st.lists(st.floats(-1000, 1000), min_size=2, max_size=30).filter(lambda values: max(values) - min(values) > 1e-3)
)
def test_it_is_what_numpy_and_scipy_say(values: list[float]) -> None:
    found = spread(values)
    assert found.plus_minus is not None
    assert found.mean == pytest.approx(np.mean(values), rel=1e-9, abs=1e-9)  # rounding of sums
    assert found.deviation == pytest.approx(np.std(values, ddof=1), rel=1e-9)
    low, high = stats.t.interval(0.95, len(values) - 1, loc=np.mean(values), scale=stats.sem(values))
    assert found.plus_minus == pytest.approx((high - low) / 2, rel=1e-9)
    assert (found.least, found.most) == (min(values), max(values))


def test_a_single_one_has_no_plus_minus() -> None:
    found = spread([12.5])
    assert (found.n, found.mean, found.deviation, found.plus_minus) == (1, 12.5, None, None)
    assert not found.apart_from(1.0)


def test_two_pots_are_far_from_sure() -> None:
    """By hand: 9 and 11 have s = √2 and s/√2 = 1, so the ± is t itself: 12.7 points."""
    found = spread([9.0, 11.0])
    assert found.plus_minus == pytest.approx(12.706, abs=5e-4)
    assert not found.apart_from(20.0)


def test_what_cannot_be_is_kept_apart() -> None:
    found = believed({"1": 12.0, "2": -104.0, "3": 35.0}, (-2.0, 35.0))
    assert found.by_pot == {"1": 12.0, "3": 35.0}
    assert found.left_out == {"2": -104.0}
    assert believed({}, (0.0, 1.0)).spread is None
