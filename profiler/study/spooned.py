"""How the spoon lies in the jar of one cut. It is slow against all the rest, so it is asked at a few cuts only."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from ..faults import Fault
from ..piece import piece_of
from ..settings import Settings
from ..spoon.notch import capacity_mm3
from ..spooned import SpoonMeasures, fired_jar, spoon_measures
from .said import heights_said
from .study import Study
from .tried import Tried


@dataclass(frozen=True, eq=False)
class Lies:
    """The spoon in the jar of one cut, fired.

    Attributes:
        tried: the cut.
        spoon: its numbers, the same that `measure` gives of a design cut so; None where it finds no place.
        notched_ml: what the jar takes until it runs over at the notch; None without one.
        why: where it finds no place, in words.
    """

    tried: Tried
    spoon: SpoonMeasures | None
    notched_ml: float | None
    why: str = ""


def spoon_lies(study: Study, settings: Settings) -> tuple[Lies, ...]:
    """The spoon at the ends of the span the example lies in, and at the example; nothing without spoon or example.

    Raises:
        Faults: measurements that are no spoon's.
    """
    shown = study.shown
    if study.design.head.spoon is None or shown is None:
        return ()
    span = study.named.span_at(shown.height)
    heights = {shown.height} | (set() if span is None else {float(height) for height in heights_said(span)})
    return tuple(lies_at(study, study.trial.at(height, study.named.angle), settings) for height in sorted(heights))


def lies_at(study: Study, tried: Tried, settings: Settings) -> Lies:
    """The spoon in the jar of one cut."""
    design = study.design
    lid = study.trial.lid.model_copy(update={"height": tried.height, "angle": tried.angle})
    try:
        piece = piece_of(replace(design, head=design.head.model_copy(update={"lid": lid})))
        spoon = spoon_measures(piece, settings)
    except Fault as fault:
        return Lies(tried, None, None, fault.what)
    if spoon is None or spoon.jar_notch_mm == 0:
        return Lies(tried, spoon, None)
    return Lies(tried, spoon, capacity_mm3(fired_jar(piece.parts[0]), spoon.jar_notch_mm) / 1000)


def lies_said(lies: Lies) -> str:
    """One line for people, without the cut it is of."""
    spoon = lies.spoon
    if spoon is None:
        return lies.why
    said = f"the spoon lies at {spoon.angle_deg:.0f}° and sticks out {max(spoon.sticks_out_mm, 0.0):.0f} mm"
    if lies.notched_ml is not None:
        # rounded to the side that lets the handle in, and to no more than it holds
        said += (
            f", notch {math.ceil(10 * spoon.jar_notch_mm) / 10:g} mm deep, {math.floor(lies.notched_ml)} ml up to it"
        )
    troubles = [
        text
        for text, found in (
            ("it falls in", spoon.falls_in),
            ("it tips out", spoon.tips_out),
            ("the lid does not close over it", spoon.lid_gap_mm is not None and spoon.lid_gap_mm < 0),
        )
        if found
    ]
    return f"{said}; {' and '.join(troubles)}" if troubles else said
