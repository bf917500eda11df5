"""Mean, standard deviation and plus or minus against numpy, printed tables and arithmetic by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from profiler.bars.spread import spread_of

VALUES = st.lists(st.floats(0.5, 30), min_size=2, max_size=40)


def _named(values: list[float]) -> dict[str, float]:
    return {f"bar {number}": value for number, value in enumerate(values)}


@given(VALUES)
def test_mean_and_deviation_are_numpys(values: list[float]) -> None:
    found = spread_of(_named(values))
    assert found is not None
    assert found.deviation is not None
    assert found.number == len(values)
    # both sum at most forty doubles: rounding only
    assert found.mean == pytest.approx(np.mean(values), rel=1e-12)
    assert found.deviation == pytest.approx(np.std(values, ddof=1), rel=1e-9, abs=1e-12)


# Student's t, 0.975 one-sided: as printed in any table, e.g. NIST/SEMATECH e-Handbook, 1.3.6.7.2 (from memory).
@pytest.mark.parametrize(("number", "student"), [(2, 12.706), (3, 4.303), (5, 2.776), (10, 2.262), (12, 2.201)])
def test_the_plus_or_minus_is_of_one_more_piece(number: int, student: float) -> None:
    values = [10.0 + 0.1 * (index % 3) for index in range(number)]
    found = spread_of(_named(values))
    assert found is not None
    by_table = student * float(np.std(values, ddof=1)) * math.sqrt(1 + 1 / number)
    # the table has three decimals, of 2.2 at the least: 3e-4
    assert found.plus_minus == pytest.approx(by_table, rel=3e-4)


def test_two_bars_by_hand() -> None:
    # 11 and 12: mean 11.5, deviation √(2 · 0.5²) = 0.70711; ± 12.706 · 0.70711 · √1.5 = 11.004
    found = spread_of(_named([11.0, 12.0]))
    assert found is not None
    assert (found.mean, found.number) == (11.5, 2)
    assert found.deviation == pytest.approx(0.70711, abs=5e-6)  # the last digit by hand
    assert found.plus_minus == pytest.approx(11.004, abs=1e-3)  # the table's t has three decimals


def test_one_bar_has_no_plus_or_minus_and_none_no_mean() -> None:
    one = spread_of({"A": 12.0})
    assert one is not None
    assert (one.mean, one.deviation, one.plus_minus, one.apart) == (12.0, None, None, ())
    assert spread_of({}) is None


def test_nineteen_more_in_twenty_lie_within_it() -> None:
    # drawn from a normal distribution; 4,000 tries scatter by √(0.95 · 0.05 / 4000) = 0.0034: four of those
    random, inside = np.random.default_rng(5), 0
    for _ in range(4000):
        *bars, more = random.normal(12.0, 0.3, 7)
        found = spread_of(_named(list(bars)))
        assert found is not None
        assert found.plus_minus is not None
        inside += abs(more - found.mean) <= found.plus_minus
    assert inside / 4000 == pytest.approx(0.95, abs=0.014)


def test_a_bar_stands_apart_by_the_modified_z_score() -> None:
    # Iglewicz and Hoaglin 1993 (from memory): 0.6745 |x - median| / MAD over 3.5. Median 12.0, distances 0, 0,
    # 0.1, 0.1, 0.2, 0.2 and the last's: MAD 0.1, so 0.1 · 3.5 / 0.6745 = 0.519 is the bound
    steady = [11.8, 11.9, 12.0, 12.0, 12.1, 12.2]
    for last, apart in ((12.5, False), (12.55, True), (11.4, True)):
        values = _named([*steady, last])
        middle = float(np.median(list(values.values())))
        usual = float(np.median([abs(value - middle) for value in values.values()]))
        scores = {name: 0.6745 * abs(value - middle) / usual for name, value in values.items()}
        found = spread_of(values)
        assert found is not None
        assert found.apart == tuple(name for name, score in scores.items() if score > 3.5)
        assert ("bar 6" in found.apart) == apart


def test_bars_that_agree_to_the_reading_show_none_apart() -> None:
    alike = _named([12.0, 12.0, 12.0, 12.0, 12.1])
    without, with_reading = spread_of(alike), spread_of(alike, reading=0.1)
    assert without is not None
    assert with_reading is not None
    assert without.apart == ("bar 4",)  # no scatter at all in the others
    assert with_reading.apart == ()


def test_of_three_bars_none_is_called_strange() -> None:
    found = spread_of(_named([12.0, 12.0, 14.0]))
    assert found is not None
    assert found.apart == ()
