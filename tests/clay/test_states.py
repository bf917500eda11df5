"""The states and their order."""

from __future__ import annotations

from profiler.clay.states import State


def test_order_is_that_of_the_work() -> None:
    # Throwing, trimming, drying, first and second firing: the order any handbook of throwing gives.
    assert [state.value for state in State] == ["wet", "leather_hard", "bone_dry", "bisque", "fired"]


def test_words_differ_and_are_plain() -> None:
    words = [state.words for state in State]
    assert len(set(words)) == 5
    assert not any("_" in w for w in words)
