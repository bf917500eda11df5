"""Slips of the pen in a spoon's sizes: each is told, and at its own field."""

from __future__ import annotations

import pytest

from profiler.faults import Faults
from profiler.spoon.measured import Spoon

# a mustard spoon and a salt spoon as they come from a drawer, mm (common sense, no source)
MUSTARD = {"length": 112.0, "handle_width": 6.0, "handle_thickness": 2.0, "bowl_length": 30.0, "bowl_width": 18.0}
SALT = {"length": 65.0, "handle_width": 3.0, "handle_thickness": 1.0, "bowl_length": 12.0, "bowl_width": 9.0}


def _told(**sizes: float) -> dict[str, str]:
    with pytest.raises(Faults) as caught:
        Spoon(**sizes)
    return {fault.field: fault.what for fault in caught.value.faults}


@pytest.mark.parametrize("spoon", [MUSTARD, SALT])
def test_a_spoon_from_the_drawer_is_one(spoon: dict[str, float]) -> None:
    assert Spoon(**spoon, balance=0.45 * spoon["length"]).balance_mm == 0.45 * spoon["length"]


@pytest.mark.parametrize("field", MUSTARD)
def test_one_size_in_centimetres_is_told_at_its_field(field: str) -> None:
    told = _told(**(MUSTARD | {field: MUSTARD[field] / 10}))
    assert list(told) == [f"spoon.{field}"]
    assert "in cm or inches?" in told[f"spoon.{field}"]


def test_a_spoon_wholly_in_centimetres_is_told_size_by_size() -> None:
    assert set(_told(**{field: size / 10 for field, size in MUSTARD.items()})) == {
        f"spoon.{field}" for field in MUSTARD
    }


@pytest.mark.parametrize("balance", [5.0, 105.0, -5.0])
def test_no_spoon_balances_at_its_ends(balance: float) -> None:
    assert list(_told(**MUSTARD, balance=balance)) == ["spoon.balance"]
