"""Classes for food tests: the limits of TRADE (ISO 6486; FDA CPG 545.400 and 84/500/EEC, texts known second-hand)."""

from __future__ import annotations

import pytest

from profiler.food_class import FoodClass, FoodClasses


@pytest.mark.parametrize(
    ("depth", "holds", "words"),
    [
        (25.0, 900.0, "flatware"),  # to 25 mm
        (25.01, 900.0, "small hollowware"),  # deeper
        (80.0, 1099.0, "small hollowware"),  # under 1.1 litre
        (80.0, 1100.0, "large hollowware"),  # from 1.1
        (80.0, 2999.0, "large hollowware"),
        (80.0, 3000.0, "storage hollowware"),  # from 3 litre
        (20.0, 3500.0, "flatware"),
    ],
)
def test_the_limits(depth: float, holds: float, words: str) -> None:
    assert FoodClass(depth, holds).words == words


def test_a_notch_can_make_the_two_ways_differ() -> None:
    both = FoodClasses(overflow=FoodClass(24.0, 200.0), rim=FoodClass(32.0, 300.0))
    assert both.differ
    assert "flatware by ISO 6486, small hollowware by FDA CPG 545.400 and 84/500/EEC" in both.message
    assert "laboratory" in both.message
    assert "safe" not in both.message


def test_without_a_notch_they_agree() -> None:
    same = FoodClass(80.0, 300.0)
    assert not FoodClasses(same, same).differ
