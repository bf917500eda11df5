"""The numbers of the spoon that lives in a jar, and of its notch: fired, real millimetres."""

from __future__ import annotations

import math
from dataclasses import asdict, dataclass, field, replace
from typing import Any

from .clay.states import State
from .faults import Fault, Faults
from .geometry.section import Section
from .lidded import standing
from .lids.sizes import CapLid, FlangeLid, GalleryLid, Notch
from .lids.sizes import Spoon as SpoonTable
from .piece import Cast, Piece
from .settings import Settings
from .spoon.cutter import Cutter, cutter_for
from .spoon.jar import Jar
from .spoon.measured import LEAST_MM, Spoon
from .spoon.notch import (
    capacity_mm3,
    fitting_depth,
    least,
    least_with_room,
    taken_from_jar_mm3,
    taken_from_lid_mm3,
)
from .spoon.rest import Rest, at_rest, upright_gap
from .spoon.scoop import left_mm3, scoop

_BOWL_SHARE, _BOWL_WIDTH_SHARE = 0.3, 0.65  # of the spoon's length, and of the bowl's (memory)
_SETTLED_MM = 1e-3
_HAIR_MM = 1e-6  # short of the level face a lid rests on, which a notch through its collar does not cut into


@dataclass(frozen=True)
class SpoonMeasures:
    """A spoon in its jar, fired; None where a number makes no sense.

    Attributes:
        cutter_needed_mm: width at leather-hard that leaves just the clearance; None without a notch.
        cutter_mm: the next cutter she owns; None if she named none.
        side_clearance_mm: what that cutter leaves on each side of the handle.
        notch_width_mm: as the notch comes out of the fire.
        notch_depth_mm: of its floor under the jar's rim; for a notch in the lid alone, up from the lid's edge.
        jar_notch_mm: of the floor in the jar under its rim; 0 for none.
        lid_notch_mm: of the lid's part of it, up from the lid's lowest place; 0 for none.
        angle_deg: of the handle at rest.
        sticks_out_mm: beyond the wall.
        scoop_axis_deg: flattest with the tip on the floor in the middle, lid off; None if it does not get there.
        scoop_far_deg: the same in the far corner.
        lid_gap_mm: room over the spoon under the closed lid; below 0 the lid rides up; None without a lid.
        capacity_unnotched_ml: what the jar would hold without the notch.
        left_ml: what stays in the filled jar if she holds the spoon no steeper than `steepest_deg`.
        steepest_deg: from the design.
        reach_axis_mm: length of spoon from the floor in the middle to the rim; None where no spoon gets there.
        reach_far_mm: from the far corner.
        tips_out: whether the spoon's weight lies outside what its handle bears on.
        falls_in: whether the handle is too short to reach that.
        jar_taken_cm3: clay the notch takes off the jar.
        lid_taken_cm3: off the lid.
    """

    cutter_needed_mm: float | None
    cutter_mm: float | None
    side_clearance_mm: float | None
    notch_width_mm: float | None
    notch_depth_mm: float
    jar_notch_mm: float
    lid_notch_mm: float
    angle_deg: float
    sticks_out_mm: float
    scoop_axis_deg: float | None
    scoop_far_deg: float | None
    lid_gap_mm: float | None
    capacity_unnotched_ml: float
    left_ml: float
    steepest_deg: float
    reach_axis_mm: float | None
    reach_far_mm: float | None
    tips_out: bool
    falls_in: bool
    jar_taken_cm3: float
    lid_taken_cm3: float

    @property
    def json(self) -> dict[str, Any]:
        """All of it by name."""
        return asdict(self)


def spoon_of(table: SpoonTable) -> Spoon:
    """The spoon of a design, what was not measured filled in.

    Raises:
        Faults: measurements that are no spoon's.
    """
    bowl = table.bowl_length or _BOWL_SHARE * table.length
    return Spoon(
        length=table.length,
        handle_width=table.handle_width,
        handle_thickness=table.handle_thickness,
        bowl_length=bowl,
        bowl_width=table.bowl_width or _BOWL_WIDTH_SHARE * bowl,
        balance=table.balance,
    )


def spoon_measures(piece: Piece, settings: Settings) -> SpoonMeasures | None:
    """The numbers of a piece's spoon and notch; None without a spoon.

    Raises:
        Fault, Faults: a notch without a spoon or in a lid that is not there, no vessel for it, no cutter wide
            enough, or a spoon that finds no place.
    """
    head = piece.design.head
    _check_tables(piece)
    if head.spoon is None:
        return None
    spoon, notch = spoon_of(head.spoon), head.notch
    cast = next(cast for cast in piece.parts if cast.holds)
    jar = fired_jar(cast)
    lid = standing(piece, piece.parts[1], State.FIRED) if piece.pair is not None else None
    cutter = None if notch is None else _cutter(piece, notch, settings, spoon)
    width = None if cutter is None else _fired_width(piece, cutter)
    closing = _closing(piece, jar, lid, spoon)
    jar_depth, lid_depth = _depths(notch, width, closing)
    rest = closing.rest(jar_depth)
    gap = None if lid is None else upright_gap(rest, spoon, lid, lid_depth)
    scooped = scoop(jar, spoon)
    jar_taken = lid_taken = 0.0
    if width is not None:
        if jar_depth > 0:
            jar_taken = taken_from_jar_mm3(jar.section, width, jar.rim_mm - jar_depth)
        if lid is not None and lid_depth > 0:
            lid_taken = taken_from_lid_mm3(lid, width, lid.outline.lowest(1)[1] + lid_depth)
    return SpoonMeasures(
        cutter_needed_mm=None if cutter is None else cutter.needed_mm,
        cutter_mm=None if cutter is None else cutter.cutter_mm,
        side_clearance_mm=None if cutter is None else cutter.clearance_mm,
        notch_width_mm=width,
        notch_depth_mm=lid_depth if notch is not None and notch.in_ == "lid" else jar_depth,
        jar_notch_mm=jar_depth,
        lid_notch_mm=lid_depth,
        angle_deg=rest.angle_deg,
        sticks_out_mm=rest.sticks_out_mm,
        scoop_axis_deg=scooped.axis_deg,
        scoop_far_deg=scooped.far_deg,
        lid_gap_mm=gap,
        capacity_unnotched_ml=capacity_mm3(jar, 0.0) / 1000,
        left_ml=left_mm3(jar, spoon, head.spoon.steepest, jar.rim_mm - jar_depth) / 1000,
        steepest_deg=head.spoon.steepest,
        reach_axis_mm=scooped.axis_reach_mm,
        reach_far_mm=scooped.far_reach_mm,
        tips_out=rest.tips_out,
        falls_in=rest.falls_in,
        jar_taken_cm3=jar_taken / 1000,
        lid_taken_cm3=lid_taken / 1000,
    )


def fired_jar(cast: Cast) -> Jar:
    """A vessel as its spoon meets it."""
    scale = cast.scale(State.FIRED)
    return Jar(cast.section.mapped(*scale), cast.cavity.mapped(*scale))


def notch_that_shuts(piece: Piece) -> float | None:
    """Depth of a notch in the jar with which the lid shuts over the spoon, mm fired; None if none does."""
    jar, spoon = _jar_and_spoon(piece)
    try:
        return _closing(piece, jar, standing(piece, piece.parts[1], State.FIRED), spoon).all_in_jar
    except Fault:  # on the way down its bowl finds no room
        return None


def hangs_mm(piece: Piece) -> float:
    """How far collar or skirt hang down where the jar is notched, mm fired: the lid gets a notch so deep, too."""
    if not isinstance(piece.design.head.lid, FlangeLid | CapLid) or piece.pair is None or piece.pair.seat is None:
        return 0.0
    return piece.parts[1].scale(State.FIRED)[1] * piece.pair.seat.depth - _HAIR_MM


def length_that_stays(piece: Piece, measures: SpoonMeasures) -> float | None:
    """The longest spoon with the same bowl that does not tip out, or the shortest that does not fall in, mm.

    It balances at the same share of its length. None where no length does.
    """
    jar, spoon = _jar_and_spoon(piece)
    share, shorter = spoon.balance_mm / spoon.length, measures.tips_out

    def stays(length: float) -> bool:
        try:
            rest = at_rest(jar, replace(spoon, length=length, balance=share * length), measures.jar_notch_mm)
        except (Fault, Faults):  # no spoon is so long, or its bowl finds no room
            return False
        return not rest.tips_out if shorter else not rest.falls_in and rest.sticks_out_mm >= 0

    if shorter:
        shortest = max(spoon.bowl_length + 1, LEAST_MM["length"])
        if not stays(shortest):
            return None
        return -least(lambda length: stays(-length), -spoon.length, -shortest, _SETTLED_MM)
    longest = spoon.length + 2 * (jar.rim_mm + jar.mouth_mm)
    return least(stays, spoon.length, longest, _SETTLED_MM) if stays(longest) else None


def _jar_and_spoon(piece: Piece) -> tuple[Jar, Spoon]:
    table = piece.design.head.spoon
    assert table is not None  # noqa: S101 - asked only of a piece that has one
    return fired_jar(next(cast for cast in piece.parts if cast.holds)), spoon_of(table)


def spoon_at_rest(piece: Piece, measures: SpoonMeasures) -> Rest | None:
    """Where the spoon lies, for a drawing; None without one."""
    if piece.design.head.spoon is None:
        return None
    return at_rest(*_jar_and_spoon(piece), measures.jar_notch_mm)


def _check_tables(piece: Piece) -> None:
    """Raise where spoon and notch do not go with the rest of the design."""
    head = piece.design.head
    if head.notch is not None and head.spoon is None:
        raise Fault("a notch without the spoon it is for", "[notch]", "a [spoon] too", "notch")
    if head.notch is not None and head.notch.in_ != "jar" and piece.pair is None:
        raise Fault("a notch in a lid that is not there", f'in = "{head.notch.in_}"', 'in = "jar"', "notch.in")
    if head.spoon is not None and not any(cast.holds for cast in piece.parts):
        raise Fault("a spoon in a form without a mouth", "[spoon]", "a [lid] that opens it", "spoon")


def _closing(piece: Piece, jar: Jar, lid: Section | None, spoon: Spoon) -> _Closing:
    head, hangs = piece.design.head, hangs_mm(piece)
    clearance = (head.notch or Notch()).clearance
    return _Closing(jar, lid, spoon, clearance, hangs, ledge=isinstance(head.lid, GalleryLid))


def _cutter(piece: Piece, notch: Notch, settings: Settings, spoon: Spoon) -> Cutter:
    owned = notch.cutters or settings.cutters_mm
    return cutter_for(spoon.handle_width, notch.clearance, piece.body, owned)


def _fired_width(piece: Piece, cutter: Cutter) -> float:
    k = piece.body.scale(State.LEATHER_HARD, State.FIRED)[0]
    return k * (cutter.needed_mm if cutter.cutter_mm is None else cutter.cutter_mm)


@dataclass(frozen=True, eq=False)
class _Closing:
    """What decides how deep a notch has to be: jar and shut lid as the spoon meets them, fired.

    Attributes:
        jar: with its rim whole.
        lid: where it lies when the jar is closed; None without one.
        spoon: as measured.
        clearance: wanted over the handle, mm.
        hangs: how far collar or skirt hang down beside the jar, mm; 0 for a lid without. Past them the handle must
            come wherever the notch is, so they are notched up to the face the lid rests on.
        ledge: whether the lid lies on a ledge below the rim.
        rests: how the spoon lies, by the depths that were asked for.
    """

    jar: Jar
    lid: Section | None
    spoon: Spoon
    clearance: float
    hangs: float
    ledge: bool
    rests: dict[float, Rest] = field(default_factory=dict)

    def rest(self, in_jar: float) -> Rest:
        """How the spoon lies in a notch so deep; each depth is looked at once."""
        if in_jar not in self.rests:
            self.rests[in_jar] = at_rest(self.jar, self.spoon, in_jar)
        return self.rests[in_jar]

    def gap(self, in_jar: float, in_lid: float) -> float:
        """Room over the spoon under the shut lid, mm; without a lid there is no end of it."""
        return math.inf if self.lid is None else upright_gap(self.rest(in_jar), self.spoon, self.lid, in_lid)

    def in_jar(self, in_lid: float, start: float) -> float | None:
        """The least depth in the jar from a start on that lets the lid shut with the clearance; None if none does."""

        def room(depth: float) -> float:
            return self.gap(depth, in_lid) - self.clearance + _SETTLED_MM

        deepest = self.jar.deepest_notch_mm
        if start > deepest:
            return None
        if room(start) >= 0:
            return start
        return least_with_room(room, start, deepest, _SETTLED_MM) if room(deepest) >= 0 else None

    def in_lid(self, in_jar: float, highest: float) -> float | None:
        """The least depth in the lid that lets it shut with the clearance; None if none does up to the highest."""
        assert self.lid is not None  # noqa: S101 - a notch in a lid has one
        lid, rest = self.lid, self.rest(in_jar)

        def room(depth: float) -> float:
            return upright_gap(rest, self.spoon, lid, depth) - self.clearance + _SETTLED_MM

        if room(self.hangs) >= 0:
            return self.hangs
        if highest <= self.hangs or room(highest) < 0:
            return None
        return least_with_room(room, self.hangs, highest, _SETTLED_MM)

    @property
    def all_in_jar(self) -> float | None:
        """The depth of a notch in the jar alone: what the handle needs, and deeper until the lid shuts over it."""
        # a lid on a ledge below the rim only has to shut
        return self.in_jar(self.hangs, 0.0 if self.ledge else fitting_depth(self.jar, self.spoon, self.clearance))


def _depths(notch: Notch | None, width: float | None, closing: _Closing) -> tuple[float, float]:
    """How deep jar and lid are notched, mm fired; what does not let the lid shut is for the checks to tell.

    In the jar: see `_Closing.all_in_jar`. In the lid: up to the level it rests on, and higher until it shuts, but
    never into the clay of its middle. In both: the jar takes half of what it would take alone, the lid the rest; what
    the lid cannot take the jar takes, too.
    """
    if notch is None or width is None:
        return 0.0, 0.0
    if notch.in_ == "jar":
        depth = notch.depth or closing.all_in_jar
        return (closing.jar.deepest_notch_mm if depth is None else depth), closing.hangs
    assert closing.lid is not None  # noqa: S101 - checked with the tables
    highest = max(_highest_in_lid(closing.lid, width), closing.hangs)
    if notch.in_ == "lid":
        if notch.depth is not None:
            if notch.depth > highest:
                raise Fault(
                    "the notch runs into the middle of the lid",
                    f"{notch.depth:.1f} mm up from its edge",
                    f"at most {highest:.1f} mm",
                    "notch.depth",
                )
            return 0.0, notch.depth
        in_jar = 0.0
    elif notch.depth is not None:
        in_jar = notch.depth
    else:
        alone = closing.all_in_jar
        half = (closing.jar.deepest_notch_mm if alone is None else alone) / 2
        in_jar = closing.in_jar(highest, half) or half
    in_lid = closing.in_lid(in_jar, highest)
    return in_jar, closing.hangs if in_lid is None else in_lid


def _highest_in_lid(lid: Section, width: float) -> float:
    """How far up from its lowest place a lid can be notched before the notch runs into the clay of its middle."""
    across = lid.outline.at(lid.outline.crossings(0, width / 2))
    return float(across[:, 1].min()) - lid.outline.lowest(1)[1] - _HAIR_MM
