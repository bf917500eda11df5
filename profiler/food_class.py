"""The class a piece falls in where its glaze is tested for food, by both ways of measuring how deep it is.

ISO 6486 takes the depth from the lowest inside place to the plane of overflow; FDA CPG 545.400 and 84/500/EEC take it
to the plane of the upper rim (texts known second-hand). They differ on a jar with a notch. The class says which
limits a laboratory tests against; it says nothing about whether a piece may be used.
"""

from __future__ import annotations

from dataclasses import dataclass

from .lengths import mm

FLAT_MM = 25.0
"""Flatware is up to this deep inside, hollowware deeper."""

LARGE_ML, STORAGE_ML = 1100.0, 3000.0

CAUTION = "only a laboratory's leach test of your glaze decides, under the rules of your country"


@dataclass(frozen=True)
class FoodClass:
    """A class, and the depth and content it comes from, fired."""

    depth_mm: float
    holds_ml: float

    @property
    def words(self) -> str:
        """The class.

        >>> FoodClass(25.0, 300.0).words, FoodClass(25.1, 300.0).words, FoodClass(90.0, 1100.0).words
        ('flatware', 'small hollowware', 'large hollowware')
        """
        if self.depth_mm <= FLAT_MM:
            return "flatware"
        if self.holds_ml >= STORAGE_ML:
            return "storage hollowware"
        return "large hollowware" if self.holds_ml >= LARGE_ML else "small hollowware"


@dataclass(frozen=True)
class FoodClasses:
    """Both ways: `overflow` as in ISO 6486, `rim` as in FDA CPG 545.400 and 84/500/EEC."""

    overflow: FoodClass
    rim: FoodClass

    @property
    def differ(self) -> bool:
        """Whether the two ways put it into different classes."""
        return self.overflow.words != self.rim.words

    @property
    def message(self) -> str:
        """Both in words."""
        over, rim = self.overflow, self.rim
        if self.differ:
            named = f"{over.words} by ISO 6486, {rim.words} by FDA CPG 545.400 and 84/500/EEC"
        else:
            named = f"{over.words} either way"
        deep = f"{mm(over.depth_mm)} mm deep to the overflow, {mm(rim.depth_mm)} mm to the upper rim"
        return f"class for food tests: {named} ({deep}); {CAUTION}"
