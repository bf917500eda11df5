"""What the potter measures of her spoon, once."""

from __future__ import annotations

from dataclasses import dataclass

from ..faults import Fault, Faults

LONGEST_MM = 1000.0
"""No spoon for a pot is longer (common sense, no source)."""

WIDEST_HANDLE_MM = 40.0
"""No handle is wider: the point has slipped (common sense, no source)."""

LEAST_MM = {"length": 60.0, "handle_width": 1.5, "handle_thickness": 0.5, "bowl_length": 8.0, "bowl_width": 5.0}
"""No spoon, not even one for salt, has less: a unit is missing or the point has slipped (common sense, no source)."""

BALANCES = 0.2, 0.8
"""Shares of the length between which every spoon balances (common sense, no source)."""

BALANCE_SHARE = 0.45
"""A spoon balances at about this share of its length from the bowl's tip (memory).

Most spoons rest level on a finger just past the place where the bowl runs into the handle, a little on the bowl's
side of the middle, as the bowl is broad and the handle long.
"""

_SLIP = "is a unit missing, or is it in cm or inches?"


@dataclass(frozen=True)
class Spoon:
    """A metal spoon, real millimetres.

    Attributes:
        length: from the bowl's tip to the handle's end.
        handle_width: where it crosses the rim.
        handle_thickness: there, seen from the side.
        bowl_length: along the spoon.
        bowl_width: across it.
        balance: from the bowl's tip to the place it balances on; None for `BALANCE_SHARE` of the length.

    Raises:
        Faults: measurements that are no spoon's.
    """

    length: float
    handle_width: float
    handle_thickness: float
    bowl_length: float
    bowl_width: float
    balance: float | None = None

    def __post_init__(self) -> None:
        faults = []

        def wrong(field: str, what: str, wanted: str) -> None:
            faults.append(Fault(what, f"{getattr(self, field):g} mm", wanted, f"spoon.{field}"))

        for field, least in LEAST_MM.items():
            if not getattr(self, field) > 0:
                wrong(field, "not a length", "more than 0 mm")
            elif getattr(self, field) < least:
                wrong(field, f"less than any spoon's: {_SLIP}", f"at least {least:g} mm")
        if self.length > LONGEST_MM:
            wrong("length", "longer than any spoon for a pot", f"at most {LONGEST_MM:g} mm")
        if self.handle_width > WIDEST_HANDLE_MM:
            wrong("handle_width", "wider than any spoon's handle", f"at most {WIDEST_HANDLE_MM:g} mm")
        if not faults:
            if self.bowl_length >= self.length:
                wrong("bowl_length", "the bowl is as long as the spoon", f"less than {self.length:g} mm")
            if self.handle_thickness >= self.bowl_length:
                wrong("handle_thickness", "the handle is thicker than the bowl", f"less than {self.bowl_length:g} mm")
            low, high = (share * self.length for share in BALANCES)
            if self.balance is not None and not low <= self.balance <= high:
                wrong("balance", f"no spoon balances there: {_SLIP}", f"between {low:g} and {high:g} mm from the tip")
        if faults:
            raise Faults(faults)

    @property
    def balance_mm(self) -> float:
        """From the bowl's tip to the centre of mass."""
        return BALANCE_SHARE * self.length if self.balance is None else self.balance

    @property
    def bowl_radius_mm(self) -> float:
        """Of the disc that stands for the bowl: half its length."""
        return self.bowl_length / 2
