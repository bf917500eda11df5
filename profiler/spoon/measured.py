"""What the potter measures of her spoon, once."""

from __future__ import annotations

from dataclasses import dataclass

from ..faults import Fault, Faults

LONGEST_MM = 1000.0
"""No spoon for a pot is longer (common sense, no source)."""

SHORTEST_MM, WIDEST_HANDLE_MM = 60.0, 40.0
"""No spoon is shorter, no handle wider: a unit is missing or the point has slipped (common sense, no source)."""

BALANCE_SHARE = 0.45
"""A spoon balances at about this share of its length from the bowl's tip (memory).

Most spoons rest level on a finger just past the place where the bowl runs into the handle, a little on the bowl's
side of the middle, as the bowl is broad and the handle long.
"""


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

        for field in ("length", "handle_width", "handle_thickness", "bowl_length", "bowl_width"):
            if not getattr(self, field) > 0:
                wrong(field, "not a length", "more than 0 mm")
        if self.length > LONGEST_MM:
            wrong("length", "longer than any spoon for a pot", f"at most {LONGEST_MM:g} mm")
        elif 0 < self.length < SHORTEST_MM:
            what = "shorter than any spoon: is a unit missing, or is it in cm or inches?"
            wrong("length", what, f"at least {SHORTEST_MM:g} mm")
        if self.handle_width > WIDEST_HANDLE_MM:
            wrong("handle_width", "wider than any spoon's handle", f"at most {WIDEST_HANDLE_MM:g} mm")
        if not faults:
            if self.bowl_length >= self.length:
                wrong("bowl_length", "the bowl is as long as the spoon", f"less than {self.length:g} mm")
            if self.handle_thickness >= self.bowl_length:
                wrong("handle_thickness", "the handle is thicker than the bowl", f"less than {self.bowl_length:g} mm")
            if self.balance is not None and not 0 < self.balance < self.length:
                wrong("balance", "the spoon does not balance there", f"between 0 and {self.length:g} mm")
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
