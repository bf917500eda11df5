"""The search on functions whose answers are known by themselves."""

from __future__ import annotations

import math

import pytest

from profiler.sizing.search import Search

NEAR = 1e-6
EVERY = tuple(float(value) for value in range(-10, 11))


def test_a_cube_root() -> None:
    found = Search(lambda x: x**3, EVERY, 1.0).nearest(2.0, NEAR)
    assert found == pytest.approx(2 ** (1 / 3), abs=NEAR)  # a slope of 4.8 there: nearer than what it is met to


def test_of_several_the_nearest_to_the_start() -> None:
    square = Search(lambda x: x * x, EVERY, 3.0)
    assert square.nearest(20.0, NEAR) == pytest.approx(math.sqrt(20))
    assert Search(lambda x: x * x, EVERY, -3.0).nearest(20.0, NEAR) == pytest.approx(-math.sqrt(20))


def test_of_two_as_many_places_away_the_nearer_one() -> None:
    """Both answers lie past the next place from the start: -0.95 is nearer to 0.2 than 1.45 is."""
    found = Search(lambda x: abs(x - 0.25), EVERY, 0.2).nearest(1.2, NEAR)
    assert found == pytest.approx(-0.95, abs=1e-5)


def test_two_that_lie_between_two_places_are_found_at_the_peak() -> None:
    """A parabola that only near its top, at 0.5, comes over what is wanted: 7.0 < 7.2 at both places beside it."""
    hill = Search(lambda x: 7.25 - (x - 0.5) ** 2, EVERY, -6.0)
    found = hill.nearest(7.2, NEAR)
    assert found is not None
    assert abs(found - 0.5) == pytest.approx(math.sqrt(0.05), abs=1e-5)


def test_what_cannot_be_made_ends_the_search_and_is_told() -> None:
    def amount(x: float) -> float | None:
        return x if 1.3 <= x <= 4.7 else None

    search = Search(amount, EVERY, 2.0)
    assert search.nearest(4.65, NEAR) == pytest.approx(4.65, abs=NEAR)  # past the last place that can be made
    assert search.nearest(5.0, NEAR) is None
    (only,) = search.stretches()
    # ends are found to a ten-thousandth of their place, from inside
    assert (only.low, only.high) == pytest.approx((1.3, 4.7), abs=5e-4)
    assert 1.3 <= only.least <= only.most <= 4.7


def test_a_gap_within_a_bracket_is_gone_round() -> None:
    def amount(x: float) -> float | None:
        return None if 0.4 < x < 0.6 else x

    search = Search(amount, EVERY, 0.0)
    assert search.nearest(0.3, NEAR) == pytest.approx(0.3, abs=NEAR)
    assert search.nearest(0.7, NEAR) == pytest.approx(0.7, abs=NEAR)
    assert search.nearest(0.5, NEAR) is None


def test_a_jump_over_what_is_wanted_gives_nothing() -> None:
    assert Search(lambda x: x if x < 0.5 else x + 3, EVERY, 0.0).nearest(2.0, NEAR) is None


def test_nothing_at_all() -> None:
    nowhere = Search(lambda _: None, EVERY, 0.0)
    assert nowhere.nearest(1.0, NEAR) is None
    assert nowhere.stretches() == ()


def test_two_stretches_and_the_top_of_a_hill_are_told() -> None:
    def amount(x: float) -> float | None:
        return None if -2.5 < x < -1.5 else 10 - (x - 3.4) ** 2

    low, high = Search(amount, EVERY, 0.0).stretches()
    assert (low.low, low.high) == pytest.approx((-10, -2.5), abs=3e-4)
    assert (high.low, high.high) == pytest.approx((-1.5, 10), abs=3e-4)
    assert high.most == pytest.approx(10, abs=1e-4)  # between its places, not at one


def test_each_value_is_asked_for_once() -> None:
    asked: list[float] = []

    def amount(x: float) -> float:
        asked.append(x)
        return x**3

    search = Search(amount, EVERY, 1.0)
    search.nearest(500.0, NEAR)
    search.nearest(900.0, NEAR)
    search.stretches()
    assert len(asked) == len(set(asked))
