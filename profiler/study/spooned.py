"""How the spoon lies in the jar of a cut. It is slow against all the rest, so it is tried at few heights."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from itertools import pairwise

from ..faults import Fault
from ..piece import piece_of
from ..settings import Settings
from ..spoon.notch import capacity_mm3
from ..spooned import SpoonMeasures, fired_jar, spoon_measures
from .said import heights_said, notch_said
from .study import Slant, Study, spans_of
from .tried import Trial, Tried

SPOON_ENDS_MM = 0.05
"""Where the spoon begins or ends to lie well is found to this; it is told to 0.1 mm."""


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

    @property
    def failing(self) -> frozenset[str]:
        """The requirements of the spoon that this cut does not keep."""
        spoon = self.spoon
        if spoon is None:
            return frozenset({"spoon_room"})
        troubles = {
            "spoon_falls": spoon.falls_in,
            "spoon_tips": spoon.tips_out,
            "spoon_closes": spoon.lid_gap_mm is not None and spoon.lid_gap_mm < 0,
        }
        return frozenset(name for name, found in troubles.items() if found)


def notch_at(trial: Trial, height: float, angle: float, settings: Settings) -> float:
    """Depth of the jar's notch at a cut, mm fired; 0 without one, or where the spoon finds no place."""
    if trial.design.head.notch is None:
        return 0.0
    spoon = _lies(trial, trial.at(height, angle), settings).spoon
    return 0.0 if spoon is None else spoon.jar_notch_mm


def with_spoon(study: Study, settings: Settings) -> Study:
    """The study with the slant it names held to the spoon too; as it is without a spoon.

    Where jar and lid hold, the spoon is laid into the jar at every height of the table and at the ends; between two
    that differ the place is looked for. A chosen cut in which the spoon does not lie well is no example any more.

    Raises:
        Fault, Faults: measurements that are no spoon's, or no cutter for its notch.
    """
    if study.design.head.spoon is None:
        return study
    slant = study.named
    tried = {t.height: t for t in slant.trace} | {row.height: row for row in slant.rows}
    if study.example is not None:
        tried[study.example[0]] = study.trial.at(*study.example)
    fixed = {row.height for row in slant.rows} | ({study.example[0]} if study.example else set())
    for span in slant.spans:
        inside = sorted({span.low.height, span.high.height} | {height for height in fixed if height in span})
        judged = {height: _judged(study, height, slant.angle, settings) for height in inside}
        for low, high in pairwise(inside):
            _close_in(study, judged[low], judged[high], settings, judged)
        known = sorted(judged)
        for height in [height for height in tried if height in span and height not in judged]:
            below = max(other for other in known if other < height)
            above = min(other for other in known if other > height)
            # both hold, or both fail, or they lie so close that nobody cuts between them
            nearer = judged[below] if judged[below].failing else judged[above]
            judged[height] = replace(tried[height], margins=tried[height].margins | _of_spoon(nearer.failing))
        tried |= judged
    trace = tuple(tried[height] for height in sorted(tried))
    held = Slant(slant.angle, tuple(tried[row.height] for row in slant.rows), trace, spans_of(trace))
    slants = tuple(held if other is slant else other for other in study.slants)
    example = study.example if study.example and tried[study.example[0]].holds else None
    return replace(study, slants=slants, named=held, example=example)


def _judged(study: Study, height: float, angle: float, settings: Settings) -> Tried:
    """A cut with what the spoon says of it among its requirements."""
    tried = study.trial.at(height, angle)
    return replace(tried, margins=tried.margins | _of_spoon(lies_at(study, tried, settings).failing))


def _of_spoon(failing: frozenset[str]) -> dict[str, float]:
    """Margins without a size: how far a spoon is from falling in is no matter of the cut's height alone."""
    return {name: -math.inf for name in failing if name.startswith("spoon_")}


def _close_in(study: Study, low: Tried, high: Tried, settings: Settings, judged: dict[float, Tried]) -> None:
    """Halve the stretch between two cuts of which one holds and one does not."""
    while high.height - low.height > SPOON_ENDS_MM and low.holds != high.holds:
        middle = _judged(study, (low.height + high.height) / 2, low.angle, settings)
        judged[middle.height] = middle
        low, high = (middle, high) if middle.holds == low.holds else (low, middle)


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
    return _lies(study.trial, tried, settings)


def _lies(trial: Trial, tried: Tried, settings: Settings) -> Lies:
    design = trial.design
    lid = trial.lid.model_copy(update={"height": tried.height, "angle": tried.angle})
    try:
        piece = piece_of(replace(design, head=design.head.model_copy(update={"lid": lid})))
        spoon = spoon_measures(piece, settings)
    except Fault as fault:
        if fault.field == "notch.cutters":  # another cut is no cure
            raise design.text.fault(fault) from fault
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
        said += f", notch {notch_said(spoon.jar_notch_mm)} mm deep, {lies.notched_ml:.0f} ml up to it"
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
