"""The rows of a study as text: the same for a terminal and for the page."""

from __future__ import annotations

import math

from ..lengths import inches_text
from .said import degrees, end_said, height_said, heights_said, notch_said, short_verdict
from .study import Slant, Span, Study
from .tried import Tried

_NONE = "–"
_LEAST_TOLD_ML = 1e-6


def heads(study: Study) -> list[str]:
    """What stands over the columns; the last has no head."""
    with_spoon = [*(["notch"] if _has_notch(study) else []), "stays"] if study.trial.spooned else []
    place = "slant" if study.one_height else "height"
    return [place, "jar ml", *with_spoon, "lid g", "lid mm", "seat", "centring", "contact", ""]


def cells(study: Study, row: Tried) -> list[str]:
    """One row under `heads`: the place, starred where it is the example, the figures, and what fails."""
    place = inches_text(row.height) if study.design.head.units == "in" else height_said(row.height)
    if study.one_height:
        place = degrees(row.angle)
    if is_example(study, row):
        place = f"*{place}"
    if row.figures is None:
        return [place, *[_NONE] * (len(heads(study)) - 2), short_verdict(row)]
    figures = row.figures
    takes = _NONE if row.takes_ml is None else f"{row.takes_ml:.0f}"
    return [
        place,
        takes,
        *(_with_spoon(study, row) if study.trial.spooned else []),
        f"{figures.lid_g:.0f}",
        f"{figures.lid_height_mm:.1f}",
        f"{figures.seat_mm:.1f}",
        f"{figures.centring_mm:.1f}",
        f"{max(figures.land_mm, 0.0):.1f}",
        short_verdict(row),
    ]


SPAN_HEADS = ("slant", "holds, mm", "jar ml", "lower", "higher")


def span_cells(study: Study) -> list[list[str]]:
    """A row for each stretch in which everything holds, under `SPAN_HEADS`."""
    found = []
    for slant in study.slants:
        if not slant.spans:
            found.append([degrees(slant.angle), "nowhere", "", "", ""])
        for number, span in enumerate(slant.spans):
            low, high = heights_said(span)
            where = low if low == high else f"{low} to {high}"
            name = "" if number else degrees(slant.angle)
            found.append([name, where, _takes(study, slant, span), end_said(span.low), end_said(span.high)])
    return found


def _takes(study: Study, slant: Slant, span: Span) -> str:
    """What the jar takes at the ends of a span; between them it may take a little more."""
    first, last = (f"{study.trial.at(end.height, slant.angle).takes_ml:.0f}" for end in (span.low, span.high))
    return first if first == last else f"{first} to {last}"


def is_example(study: Study, row: Tried) -> bool:
    """Whether a row is the cut the sentence takes as its example."""
    return study.shown is not None and (row.height, row.angle) == (study.shown.height, study.shown.angle)


def notes(study: Study) -> list[str]:
    """What has to be said of the columns, a line each."""
    stuck_on = any(extra.on == "lid" and extra.height for extra in study.design.head.extras)
    knob = "with its knob" if stuck_on or study.trial.lid.knob else "from edge to top"
    star = "; * the example" if any(is_example(study, row) for row in study.rows) else ""
    found = [f"lengths in mm; lid mm: its height, {knob}{star}"]
    spoon = study.design.head.spoon
    if spoon is not None:
        notch = "jar ml: to the notch of that row; " if _has_notch(study) else ""
        found.append(f"{notch}stays: ml out of the spoon's reach, held at {spoon.steepest:g}° at most")
    return found


def _has_notch(study: Study) -> bool:
    notch = study.design.head.notch
    return study.trial.spooned and notch is not None and notch.in_ != "lid"


def _with_spoon(study: Study, row: Tried) -> list[str]:
    notch = stays = _NONE
    if row.lies is not None and row.lies.spoon is not None:
        notch = f"{float(notch_said(row.lies.notch_mm)):.1f}"
        stays = f"{math.ceil(row.lies.spoon.left_ml - _LEAST_TOLD_ML)}"
    return [notch, stays] if _has_notch(study) else [stays]
