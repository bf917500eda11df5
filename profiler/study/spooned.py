"""How the spoon lies in the jar of a cut, and what a cut has to keep for it."""

from __future__ import annotations

import math
from dataclasses import dataclass

from ..design.model import Design
from ..faults import Fault
from ..lids.pair import Paired
from ..piece import pair_of
from ..settings import Settings
from ..spoon.notch import capacity_mm3
from ..spooned import SpoonMeasures, fired_jar, spoon_measures

STAYS_MOST_SHARE = 0.1
"""Of what a jar takes may stay in it out of her spoon's reach; with more it is no jar to scoop from (common sense, no
source)."""


@dataclass(frozen=True, eq=False)
class Lies:
    """The spoon in the jar of one cut, fired.

    Attributes:
        spoon: its numbers, the same that `measure` gives of a design cut so; None where it finds no place.
        takes_ml: what the jar takes until it runs over, at its notch if it has one; None without a spoon's place.
        why: where it finds no place, in words.
    """

    spoon: SpoonMeasures | None
    takes_ml: float | None
    why: str = ""

    @property
    def notch_mm(self) -> float:
        """Depth of the notch in the jar's rim; 0 for none."""
        return 0.0 if self.spoon is None else self.spoon.jar_notch_mm

    @property
    def margins(self) -> dict[str, float]:
        """Of the spoon's requirements: how far from failing; those that hold or fail as a whole have no size."""
        spoon = self.spoon
        if spoon is None or self.takes_ml is None:
            return {"spoon_room": -math.inf}
        troubles = {
            "spoon_falls": spoon.falls_in,
            "spoon_tips": spoon.tips_out,
            "spoon_closes": spoon.lid_gap_mm is not None and spoon.lid_gap_mm < 0,
            "spoon_short": spoon.scoop_axis_deg is None,
        }
        stays = {"spoon_leaves": STAYS_MOST_SHARE * self.takes_ml - spoon.left_ml}
        return {name: -math.inf for name, found in troubles.items() if found} | stays


def laid_in(design: Design, pair: Paired, settings: Settings) -> Lies:
    """The spoon of a design laid into the jar of a pair that was cut from its form.

    Raises:
        Fault: no cutter of hers is wide enough for the notch, which another cut does not cure.
        Faults: measurements that are no spoon's.
    """
    try:
        piece = pair_of(design, pair)
        spoon = spoon_measures(piece, settings)
    except Fault as fault:
        if fault.field == "notch.cutters":
            raise design.text.fault(fault) from fault
        return Lies(None, None, fault.what)
    if spoon is None:
        raise TypeError("a spoon was to be laid in where there is none")
    return Lies(spoon, capacity_mm3(fired_jar(piece.parts[0]), spoon.jar_notch_mm) / 1000)
