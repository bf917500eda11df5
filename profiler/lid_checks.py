"""Remarks on lid, cut, spoon and notch: whether they fit, and the number that would cure it where they do not."""

from __future__ import annotations

import math

from .check import Check, Level
from .lengths import mm
from .lids.contact import Kind
from .lids.fit import Fit
from .measures import Measures

_SITS: dict[Kind, tuple[str, Level, str]] = {
    "sits": ("lid_angle", Level.NOTE, "lid.angle"),
    "slides": ("lid_slides", Level.NOTE, "lid.angle"),
    "jams": ("lid_jams", Level.WARNING, "lid.angle"),
    "falls_in": ("lid_falls_in", Level.ERROR, "lid.gap"),
    "drops_over": ("lid_drops_over", Level.ERROR, "lid.gap"),
}
"""By how a cut lid sits: the check, how much it matters, and what cures it."""

_CURES: dict[Kind, str] = {
    "sits": "",
    "slides": "; cut at 30 to 45°, through a thicker wall if need be",
    "jams": "; cut at 30 to 45°",
    "falls_in": "; take less with knife and sponge, cut at another slant, or leave more clay at the cut",
    "drops_over": "; take less with knife and sponge, cut at another slant, or leave more clay at the cut",
}


def of_lid(measures: Measures) -> list[Check]:
    """How the lid sits or fits, and what a closed form needs before it is opened."""
    lid, piece = measures.lid, measures.piece
    if lid is None:
        if len(piece.parts) == 1 and piece.parts[0].shape.closes:
            message = "a closed form needs a pinhole, or its air bursts it as it dries and in the fire"
            return [Check("pinhole", Level.NOTE, message)]
        return []
    found = []
    if lid.sits is not None:
        if lid.sits.reasons:
            name, level, field = _SITS[lid.sits.kind]
            message = f"{lid.sits.reasons[0]}{_CURES[lid.sits.kind]}"
            if len(lid.sits.reasons) > 1:
                message += f" (also: {'; '.join(lid.sits.reasons[1:])})"
            found.append(Check(name, level, message, field))
        message = "a closed form needs a pinhole until its lid is cut, or its air pushes at it as it shrinks"
        found.append(Check("pinhole", Level.NOTE, message))
        message = "scratch a register mark across the joint before you cut: the lid fits one way round only"
        found.append(Check("register", Level.NOTE, message))
    if lid.fit is not None and lid.clearance_wanted_mm is not None:
        found += _of_fit(lid.fit, lid.clearance_wanted_mm)
    return found


def _of_fit(fit: Fit, wanted_mm: float) -> list[Check]:
    """Whether the lid binds or rattles, in the worst case."""
    fired, most = fit.fired, fit.most_allowed_mm
    found = []
    spread = fired.most_mm - fired.nominal_mm
    cure = f"a clearance of {math.ceil(10 * wanted_mm - 1e-6) / 10:.1f} mm or more"
    if fired.nominal_mm < 0:
        message = f"the lid is larger than its seat, by {-fired.nominal_mm:.1f} mm on each side fired: give it {cure}"
        found.append(Check("lid_binds", Level.ERROR, message, "lid.clearance"))
    elif fit.tightest.least_mm < 0:
        message = f"the lid may bind, {fit.words}; give it {cure}"
        if fit.how == "apart":
            message += ", or dry and fire the two as a pair"
        found.append(Check("lid_binds", Level.WARNING, message, "lid.clearance"))
    if fired.most_mm > most:
        message = f"the lid may rattle: up to {fired.most_mm:.1f} mm of play on each side fired, over {most:g} mm"
        if spread < most - spread:
            message += (
                f"; give it a clearance of {math.floor(10 * (most - spread) + 1e-6) / 10:.1f} mm or less, fired"
            )
        else:
            message += "; no clearance cures both, only a pair in one clay, dried and fired as one, comes closer"
        found.append(Check("lid_rattles", Level.WARNING, message, "lid.clearance"))
    return found


def of_spoon(measures: Measures) -> list[Check]:
    """Whether the spoon lies, scoops, and lets the lid close."""
    spoon = measures.spoon
    if spoon is None:
        return []
    found = []
    if spoon.tips_out:
        message = "the spoon tips out: its weight lies beyond the rim; take a shorter one or a higher jar"
        found.append(Check("spoon_tips_out", Level.ERROR, message, "spoon.length"))
    elif spoon.falls_in:
        message = f"the spoon falls in: its handle ends {mm(-spoon.sticks_out_mm)} mm short of the wall's outside"
        found.append(Check("spoon_falls_in", Level.ERROR, f"{message}; take a longer one", "spoon.length"))
    elif spoon.sticks_out_mm < 0:
        message = f"the spoon's end stays {mm(-spoon.sticks_out_mm)} mm inside the outside of the wall"
        found.append(Check("spoon_short", Level.NOTE, message, "spoon.length"))
    if spoon.scoop_axis_deg is None:
        message = "the spoon does not reach the floor in the middle; what is down there stays"
        found.append(Check("spoon_reach", Level.WARNING, message, "spoon.length"))
    elif spoon.scoop_far_deg is None:
        message = "the spoon does not reach the far corner of the floor: turn the jar, or take a longer one"
        found.append(Check("spoon_reach", Level.NOTE, message, "spoon.length"))
    if spoon.lid_gap_mm is not None and spoon.lid_gap_mm < 0:
        notch = measures.piece.design.head.notch
        up = math.ceil(10 * -spoon.lid_gap_mm - 1e-6) / 10
        if notch is None:
            cure = "a [notch] for the handle, or a jar without its lid"
        elif notch.in_ != "jar":
            cure = 'a notch in the jar (in = "jar"), or a thinner handle'
        else:
            cure = f"a notch about {up:.1f} mm deeper, or a thinner handle"
        message = f"the lid rides up over the spoon by {up:.1f} mm: {cure}"
        found.append(Check("lid_rides_up", Level.WARNING, message, "notch.depth"))
    return found


def of_food(measures: Measures) -> list[Check]:
    """The class for food tests, where a notch makes the two ways of measuring its depth differ."""
    food = measures.food
    if food is None or food.overflow.depth_mm == food.rim.depth_mm:
        return []
    return [Check("food_class", Level.NOTE, food.message)]
