"""Heights that a design whose cut was refused may have instead: told beside the fault."""

from __future__ import annotations

import numpy as np

from ..design.model import Design
from ..faults import Fault, Faults
from ..settings import Settings
from .said import heights_said
from .study import slant_of
from .tried import Limits, Trial

_PLACES = 16
"""Cuts that are tried at the least: a stretch in which all holds may hide between two, and is then not told."""


def heights_wanted(design: Design, settings: Settings) -> str:
    """Between which heights everything holds at the design's own slant, in words; empty where none is found.

    Args:
        design: with a cut lid, its thicker wall, knob and spoon.
        settings: her cutters.
    """
    try:
        trial = Trial(design, Limits(), settings)
        low, high = trial.reach
        places = tuple(float(height) for height in np.linspace(low, high, _PLACES))
        spans = slant_of(trial, trial.lid.angle, places, ()).spans
    except (Fault, Faults):  # others, which are told when this is mended
        return ""
    own = trial.lid.height or 0.0
    if not spans:
        return ""
    nearest = min(spans, key=lambda span: max(span.low.height - own, own - span.high.height))
    return "between {} and {} mm, where everything holds at that slant".format(*heights_said(nearest))
