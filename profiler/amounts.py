"""Amounts as people read them, by the unit at the end of a number's name: metric, or inches and ounces."""

from __future__ import annotations

from .lengths import MM_PER_INCH, Units, inches_text, mm

GRAMS_PER_OUNCE = 28.349523125
"""Exact: a sixteenth of the international pound of 0.45359237 kg."""

ML_PER_FLUID_OUNCE = 231 * MM_PER_INCH**3 / 1000 / 128
"""Exact: the US gallon is 231 cubic inches and has 128 fluid ounces."""

_FINE_MM = 12.0
"""Thinner than this a thickness is told to a tenth of a millimetre, or a hundredth of an inch."""

_MUCH_G = 10_000.0
"""From here on clay is told in kilograms or pounds."""


def amount(name: str, value: float, units: Units) -> tuple[str, str]:
    """A number and its unit in words, from the full figure and the name it has in `measure --json`.

    >>> amount("mass_g", 561.2, "mm"), amount("mass_g", 561.2, "in")
    (('560', 'g'), ('19.8', 'oz'))
    >>> amount("capacity_ml", 354.9, "in"), amount("height_mm", 158.75, "in"), amount("tips_at_deg", 41.26, "mm")
    (('12.0', 'fl oz'), ('6 1/4', 'in'), ('41', '°'))
    """
    imperial = units == "in"
    if name.endswith("_mm"):
        if "thick" in name or (imperial and abs(value) < _FINE_MM):
            return (f"{value / MM_PER_INCH:.2f}", "in") if imperial else (f"{value:.1f}", "mm")
        return (inches_text(value).removesuffix(" in"), "in") if imperial else (mm(value), "mm")
    if name.endswith("_g") and abs(value) >= _MUCH_G:
        return (f"{value / GRAMS_PER_OUNCE / 16:.1f}", "lb") if imperial else (f"{value / 1000:.1f}", "kg")
    if name.endswith("weigh_out_g"):
        return (f"{value / GRAMS_PER_OUNCE:.2f}", "oz") if imperial else (f"{value:g}", "g")
    if name.endswith("_g"):
        return (f"{value / GRAMS_PER_OUNCE:.1f}", "oz") if imperial else (f"{5 * round(value / 5):d}", "g")
    if name.endswith("_ml"):
        return (f"{value / ML_PER_FLUID_OUNCE:.1f}", "fl oz") if imperial else (f"{5 * round(value / 5):d}", "ml")
    if name.endswith("_cm3"):
        return (f"{value * 1000 / MM_PER_INCH**3:.1f}", "in³") if imperial else (f"{value:.0f}", "cm³")
    if name.endswith("_cm2"):
        return (f"{value * 100 / MM_PER_INCH**2:.1f}", "in²") if imperial else (f"{value:.0f}", "cm²")
    if name.endswith("_deg"):
        return f"{value:.0f}", "°"
    return f"{value:g}", ""
