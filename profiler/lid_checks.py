"""Remarks on lid, cut, spoon and notch: whether they fit, and the number that would cure it where they do not."""

from __future__ import annotations

import math
from dataclasses import replace

from .check import Check, Level
from .clay.states import State
from .faults import Fault, Faults
from .lengths import mm, tenth_up
from .lidded import LidMeasures, lid_measures
from .lids.contact import Kind
from .lids.cut import LEAST_LID_G
from .lids.fit import TOUCHES_MM, Fit, goes, points_of
from .lids.sizes import CutLid
from .measures import Measures
from .piece import Piece, piece_of
from .spoon.cutter import least_clearance
from .spooned import SpoonMeasures, hangs_mm, length_that_stays, notch_that_shuts

_SITS: dict[Kind, tuple[str, Level]] = {
    "sits": ("lid_angle", Level.NOTE),
    "slides": ("lid_slides", Level.NOTE),
    "jams": ("lid_jams", Level.WARNING),
    "falls_in": ("lid_falls_in", Level.ERROR),
    "drops_over": ("lid_drops_over", Level.ERROR),
}
"""By how a cut lid sits: the check, and how much it matters."""


_REACH = {"gallery": "ledge_depth", "flange": "collar_depth", "cap": "skirt_depth"}
"""What decides how far into or over the jar a lid goes."""

_LEAST_REACH = 60  # tenths of a mm: the ledge depth a design gets unless it says another
_MOST_GAP_MM = 3.0  # knife and sponge take less (common practice, no source)
_THICK_HANDLE_MM = 8.0  # no spoon's (common sense, no source)


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
            name, level = _SITS[lid.sits.kind]
            message = "; ".join(part for part in (lid.sits.reasons[0], lid.sits.cure) if part)
            if len(lid.sits.reasons) > 1:
                message += f" (and {'; '.join(lid.sits.reasons[1:])})"
            found.append(Check(name, level, message, lid.sits.field))
        message = "a closed form needs a pinhole until its lid is cut, or its air pushes at it as it shrinks"
        found.append(Check("pinhole", Level.NOTE, message))
        message = "scratch a register mark across the joint before you cut: the lid fits one way round only"
        found.append(Check("register", Level.NOTE, message))
    found += _slips(measures, lid)
    if lid.fit is not None and lid.clearance_wanted_mm is not None and lid.clearance_most_mm is not None:
        if lid.fit.fired.on_its_way and not goes(lid.fit.fired.passing_mm):
            found.append(_no_way_in(piece, lid.fit, lid.clearance_wanted_mm, lid.clearance_most_mm))
        else:
            found += _of_fit(lid.fit, lid.clearance_wanted_mm, lid.clearance_most_mm)
    jar_clay, lid_clay = (cast.body for cast in piece.parts)
    if jar_clay.digest_text() != lid_clay.digest_text():
        message = (
            f"the jar is of {jar_clay.name}, the lid of {lid_clay.name}: clays that mature at different heats may "
            "not stand one firing, the softer can slump, bloat or stick; ask the makers of both and fire a test pair"
        )
        if getattr(piece.design.head.lid, "fired", "") == "together":
            message += '; fired = "together" may not be possible'
        found.append(Check("two_clays", Level.WARNING, message, "lid.clay"))
    return found


def _slips(measures: Measures, lid: LidMeasures) -> list[Check]:
    """Figures of a cut lid that a slip of the pen makes."""
    table, found = measures.piece.design.head.lid, []
    if not isinstance(table, CutLid):
        return []
    if table.gap > _MOST_GAP_MM:
        message = f"a gap of {table.gap:g} mm takes more than knife and sponge do: over {_MOST_GAP_MM:g} mm"
        found.append(Check("lid_gap", Level.WARNING, message, "lid.gap"))
    states, wide = measures.parts["lid"].states, lid.seat_width_mm or 0.0
    high = states[State.FIRED].height_mm
    # what is stuck on is no part of it
    weight = measures.piece.body.mass_g(states[State.WET].clay_volume_cm3, State.FIRED)
    if weight < LEAST_LID_G or high < wide:
        message = f"no lid to speak of: {weight:.0f} g, {high:.1f} mm high on a wall {wide:.1f} mm thick (fired)"
        found.append(Check("lid_small", Level.WARNING, f"{message}; cut lower", "lid.height"))
    return found


def _no_way_in(piece: Piece, fit: Fit, wanted_mm: float, most_mm: float) -> Check:
    """That the lid, as large as it is drawn, does not get to its seat."""
    place, inside = ("neck", " inside") if fit.lid_outside else ("mouth", "")
    message = f"the lid does not go on: the {place} over the seat is {fit.passes_mm:.1f} mm, the lid {fit.lid_mm:.1f}"
    assert piece.design.head.lid is not None  # noqa: S101 - it has a fit
    field = _REACH[piece.design.head.lid.kind]
    depth = _reach_that_goes_in(piece, field, worst=True) or _reach_that_goes_in(piece, field, worst=False)
    cures = [] if depth is None else [f"a {field.replace('_', ' ')} of {depth:.1f} mm or less"]
    # with more play than that it would rattle
    if depth is None or wanted_mm <= most_mm:
        cures.append(f"a clearance of {tenth_up(wanted_mm):.1f} mm or more")
    cure = f"give it {' or '.join(cures)}"
    return Check("lid_binds", Level.ERROR, f"{message}{inside} (fired): {cure}", f"lid.{field}")


def _reach_that_goes_in(piece: Piece, field: str, *, worst: bool) -> float | None:
    """The deepest the lid may lie or reach and go on, in the worst case or as drawn, mm of the design; or None."""
    head = piece.design.head

    def goes_in(tenths: int) -> bool:
        assert head.lid is not None  # noqa: S101 - it has a reach
        table = head.lid.model_copy(update={field: tenths / 10})
        try:
            found = lid_measures(piece_of(replace(piece.design, head=head.model_copy(update={"lid": table}))))
        except (Fault, Faults):  # no such lid can be made
            return False
        if found is None or found.fit is None:
            return False
        return goes(found.fit.tightest.least_mm if worst else found.fit.fired.passing_mm)

    low, high = _LEAST_REACH, math.ceil(10 * getattr(head.lid, field))
    if low >= high or not goes_in(low):
        return None
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if goes_in(middle) else (low, middle)
    return low / 10


def _of_fit(fit: Fit, wanted_mm: float, most_mm: float) -> list[Check]:
    """Whether the lid binds or rattles, in the worst case; both cures as the design gives its clearance."""
    fired, allowed = fit.fired, fit.most_allowed_mm
    found = []
    wanted, most = tenth_up(wanted_mm), math.floor(10 * most_mm + 1e-6) / 10
    cure = f"give it a clearance of {wanted:.1f} mm or more"
    if not goes(fired.nominal_mm):
        larger = f"is larger than its seat, by {-fired.nominal_mm:.1f} mm on each side fired"
        tight = larger if fired.nominal_mm <= -TOUCHES_MM else "has no play in its seat (fired)"
        message = f"the lid {tight}: {cure}"
        found.append(Check("lid_binds", Level.ERROR, message, "lid.clearance"))
    elif not goes(fit.tightest.least_mm):
        message = f"the lid may bind: {fit.words}; {cure}"
        if fit.how == "apart":
            message += ", or dry and fire the two as a pair"
        found.append(Check("lid_binds", Level.WARNING, message, "lid.clearance"))
    if fired.most_mm > allowed:
        message = f"the lid may rattle: up to {fired.most_mm:.1f} mm of play on each side fired, over {allowed:g} mm"
        if wanted <= most:
            message += f"; give it a clearance of {most:.1f} mm or less"
        else:
            # what does not rattle would bind
            message += f"; with a clearance under {wanted:.1f} mm it may bind, so "
            message += (
                "dry and fire the two as a pair"
                if fit.how == "apart"
                else "throw both in one clay, dry and fire them as a pair"
                if fit.how == "two_bodies"
                else "throw the pair rounder, or measure each lid to its own jar"
            )
        found.append(Check("lid_rattles", Level.WARNING, message, "lid.clearance"))
    return found


def of_spoon(measures: Measures) -> list[Check]:
    """Whether the spoon lies, scoops, and lets the lid close."""
    spoon = measures.spoon
    if spoon is None:
        return []
    found = []
    if spoon.tips_out:
        message = "the spoon tips out: its weight lies beyond the rim; take a higher jar"
        longest = length_that_stays(measures.piece, spoon)
        if longest is not None:
            message += f", or a spoon of {math.floor(longest)} mm or shorter"
        found.append(Check("spoon_tips_out", Level.ERROR, message, "spoon.length"))
    elif spoon.falls_in:
        message = f"the spoon falls in: its handle ends {mm(-spoon.sticks_out_mm)} mm short of the wall's outside"
        shortest = length_that_stays(measures.piece, spoon)
        if shortest is not None:
            message += f"; take one of {math.ceil(shortest)} mm or longer"
        found.append(Check("spoon_falls_in", Level.ERROR, message, "spoon.length"))
    elif spoon.sticks_out_mm < 0:
        message = f"the spoon's end stays {mm(-spoon.sticks_out_mm)} mm inside the outside of the wall"
        found.append(Check("spoon_short", Level.NOTE, message, "spoon.length"))
    table = measures.piece.design.head.spoon
    if table is not None and table.handle_thickness > min(_THICK_HANDLE_MM, table.handle_width):
        message = f"a handle {table.handle_thickness:g} mm thick and {table.handle_width:g} mm wide: "
        message += "is the decimal point right?"
        found.append(Check("spoon_handle", Level.WARNING, message, "spoon.handle_thickness"))
    found += _notch_binds(measures, spoon)
    found += _of_reach(spoon)
    if spoon.lid_gap_mm is not None and spoon.lid_gap_mm <= -TOUCHES_MM:
        found.append(_rides_up(measures, spoon.lid_gap_mm))
    return found


def _notch_binds(measures: Measures, spoon: SpoonMeasures) -> list[Check]:
    """Whether the handle still passes its notch if the clay shrinks more than its figures say."""
    head, body = measures.piece.design.head, measures.piece.body
    if head.notch is None or head.spoon is None:
        return []
    handle, points = head.spoon.handle_width, points_of(body)
    given = head.notch.clearance if spoon.side_clearance_mm is None else spoon.side_clearance_mm
    wanted = least_clearance(handle, TOUCHES_MM, points, body)
    if given >= wanted:
        return []
    message = (
        f"the handle may bind in its notch, which leaves it {given:.1f} mm on each side and less if the clay shrinks "
        f"{points:g} points more: give the notch a clearance of {tenth_up(wanted):.1f} mm or more"
    )
    return [Check("notch_binds", Level.WARNING, message, "notch.clearance")]


def _of_reach(spoon: SpoonMeasures) -> list[Check]:
    """Whether it gets to the floor, lid off."""
    if spoon.scoop_axis_deg is None:
        message, level = (
            "the spoon does not reach the floor in the middle, and what is down there stays",
            Level.WARNING,
        )
        needs = spoon.reach_axis_mm
    elif spoon.scoop_far_deg is None:
        message = "the spoon does not reach the far corner of the floor: scoop from the other side"
        level, needs = Level.NOTE, spoon.reach_far_mm
    else:
        return []
    if needs is None:
        message += "; a longer one does not get past the neck either"
    else:
        message += f"; take one of {math.ceil(needs)} mm or longer"
    return [Check("spoon_reach", level, message, "spoon.length")]


def _rides_up(measures: Measures, gap: float) -> Check:
    """That the lid does not shut over the spoon, and the notch that would cure it."""
    notch, needs = measures.piece.design.head.notch, notch_that_shuts(measures.piece)
    message = f"the lid rides up over the spoon by {-gap:.1f} mm: "
    if needs is None:
        message += "no notch in the jar is deep enough; take a thinner handle, or leave the spoon out of the jar"
        return Check("lid_rides_up", Level.WARNING, message, "spoon.handle_thickness")
    hangs = hangs_mm(measures.piece)
    also = f" (the lid gets one {tenth_up(hangs):.1f} mm deep as well, up from its edge)" if hangs else ""
    if notch is None:
        message += (
            f"cut a [notch] for the handle, {tenth_up(needs):.1f} mm deep in the jar{also}, or leave it outside"
        )
        return Check("lid_rides_up", Level.WARNING, message, "notch")
    if notch.in_ == "jar":
        message += f"make the notch {tenth_up(needs):.1f} mm deep{also}"
        return Check("lid_rides_up", Level.WARNING, message, "notch.depth")
    message += (
        f'its own notch does not clear the handle; cut it in the jar (in = "jar"), {tenth_up(needs):.1f} mm deep'
    )
    message += also
    return Check("lid_rides_up", Level.WARNING, message, "notch.in")


def of_food(measures: Measures) -> list[Check]:
    """The class for food tests, where a notch makes the two ways of measuring its depth differ."""
    food = measures.food
    if food is None or food.overflow.depth_mm == food.rim.depth_mm:
        return []
    return [Check("food_class", Level.NOTE, food.message)]
