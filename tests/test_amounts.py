"""Amounts in words against the definitions of the units."""

from __future__ import annotations

import pytest

from profiler.amounts import GRAMS_PER_OUNCE, ML_PER_FLUID_OUNCE, amount


def test_the_units_are_those_of_the_handbook() -> None:
    """NIST Handbook 44, appendix C (from memory): the avoirdupois ounce and the US fluid ounce."""
    assert pytest.approx(28.349523125, rel=1e-12) == GRAMS_PER_OUNCE  # exact by definition
    assert pytest.approx(29.5735295625, rel=1e-12) == ML_PER_FLUID_OUNCE


@pytest.mark.parametrize(
    ("name", "value", "metric", "imperial"),
    [
        ("states.fired.height_mm", 68.0, ("68", "mm"), ("2 11/16", "in")),
        ("thrown.floor_mm", 11.4, ("11.5", "mm"), ("0.45", "in")),
        ("thinnest.thickness_mm", 4.04, ("4.0", "mm"), ("0.16", "in")),
        ("ball_g", 453.59237, ("455", "g"), ("16.0", "oz")),
        ("weigh_out_g", 560.0, ("560", "g"), ("19.75", "oz")),
        ("states.fired.capacity_ml", 473.176473, ("475", "ml"), ("16.0", "fl oz")),
        ("clay_volume_cm3", 16.387064, ("16", "cm³"), ("1.0", "in³")),
        ("surface_cm2", 6.4516, ("6", "cm²"), ("1.0", "in²")),
        ("clay_g", 45359.237, ("45.4", "kg"), ("100.0", "lb")),
        ("tips_at_deg", 31.5, ("32", "°"), ("32", "°")),
    ],
)
def test_an_amount_in_both(name: str, value: float, metric: tuple[str, str], imperial: tuple[str, str]) -> None:
    """A pound is 453.59237 g, a US pint 473.176473 ml, a cubic inch 16.387064 ml: all exact by definition."""
    assert amount(name, value, "mm") == metric
    assert amount(name, value, "in") == imperial
