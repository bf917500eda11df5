"""A set's folder on its way: its sheets and its numbers."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass

from .. import __version__
from ..delivery import Delivery
from ..job import figures
from ..kiln import write_kiln_plan
from ..order import Order
from ..settings import Settings
from .measured_set import MeasuredSet
from .set_json import loads_json, set_json
from .wheel_sheet import write_wheel_sheet


@dataclass(frozen=True, eq=False)
class SetPack:
    """What is made of one set, beside the folders of its pieces.

    Attributes:
        measured: the set.
        delivery: its folder.
        settings: of her workshop.
        order: how its sheets come.
    """

    measured: MeasuredSet
    delivery: Delivery
    settings: Settings
    order: Order

    def write(self) -> None:
        """Write every file of the folder."""
        measured, paper = self.measured, self.order.paper
        sheet = self.delivery.path("wheel_sheet.pdf")
        title, stamp = measured.pots.title, stamp_of_set(measured, self.settings, self.order)
        write_wheel_sheet(title, measured.pieces, sheet, settings=self.settings, paper=paper, stamp=stamp)
        numbers = set_json(measured, [figures(piece.job) for piece in measured.pieces])
        if measured.loads:
            numbers["firings"] = loads_json(measured.loads)
            plan = self.delivery.path("kiln_plan.pdf")
            write_kiln_plan(title, measured.loads, plan, paper=paper, stamp=stamp)
        text = json.dumps(numbers, indent=1, ensure_ascii=False, allow_nan=False)
        self.delivery.path("measures.json").write_text(text + "\n", encoding="utf-8")


def stamp_of_set(measured: MeasuredSet, settings: Settings, order: Order) -> str:
    """Version and a digest of all that a set's sheets stand on."""
    whole = f"{measured.pots.digest} {settings.model_dump_json()} {order}"
    return f"profiler {__version__} · {hashlib.sha256(whole.encode()).hexdigest()[:8]}"
