"""The numbers of the spoon that lives in a jar, and of its notch: fired, real millimetres."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any

from .clay.states import State
from .faults import Fault
from .geometry.section import Section
from .lidded import standing
from .lids.sizes import CapLid, FlangeLid, GalleryLid, Notch
from .lids.sizes import Spoon as SpoonTable
from .piece import Cast, Piece
from .settings import Settings
from .spoon.cutter import Cutter, cutter_for
from .spoon.jar import Jar
from .spoon.measured import Spoon
from .spoon.notch import capacity_mm3, fitting_depth, taken_from_jar_mm3, taken_from_lid_mm3
from .spoon.rest import Rest, at_rest, upright_gap
from .spoon.scoop import left_mm3, scoop

_BOWL_SHARE, _BOWL_WIDTH_SHARE = 0.3, 0.65  # of the spoon's length, and of the bowl's (memory)
_ROUNDS = 12
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
    jar_depth, lid_depth = _depths(piece, notch, width, jar, lid, spoon)
    rest = at_rest(jar, spoon, jar_depth)
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
        tips_out=rest.tips_out,
        falls_in=rest.falls_in,
        jar_taken_cm3=jar_taken / 1000,
        lid_taken_cm3=lid_taken / 1000,
    )


def fired_jar(cast: Cast) -> Jar:
    """A vessel as its spoon meets it."""
    scale = cast.scale(State.FIRED)
    return Jar(cast.section.mapped(*scale), cast.cavity.mapped(*scale))


def spoon_at_rest(piece: Piece, measures: SpoonMeasures) -> Rest | None:
    """Where the spoon lies, for a drawing; None without one."""
    table = piece.design.head.spoon
    if table is None:
        return None
    cast = next(cast for cast in piece.parts if cast.holds)
    return at_rest(fired_jar(cast), spoon_of(table), measures.jar_notch_mm)


def _check_tables(piece: Piece) -> None:
    """Raise where spoon and notch do not go with the rest of the design."""
    head = piece.design.head
    if head.notch is not None and head.spoon is None:
        raise Fault("a notch without the spoon it is for", "[notch]", "a [spoon] too", "notch")
    if head.notch is not None and head.notch.in_ != "jar" and piece.pair is None:
        raise Fault("a notch in a lid that is not there", f'in = "{head.notch.in_}"', 'in = "jar"', "notch.in")
    if head.spoon is not None and not any(cast.holds for cast in piece.parts):
        raise Fault("a spoon in a form without a mouth", "[spoon]", "a [lid] that opens it", "spoon")


def _cutter(piece: Piece, notch: Notch, settings: Settings, spoon: Spoon) -> Cutter:
    owned = notch.cutters or settings.cutters_mm
    return cutter_for(spoon.handle_width, notch.clearance, piece.body, owned)


def _fired_width(piece: Piece, cutter: Cutter) -> float:
    k = piece.body.scale(State.LEATHER_HARD, State.FIRED)[0]
    return k * (cutter.needed_mm if cutter.cutter_mm is None else cutter.cutter_mm)


def _depths(
    piece: Piece, notch: Notch | None, width: float | None, jar: Jar, lid: Section | None, spoon: Spoon
) -> tuple[float, float]:
    """How deep jar and lid are notched, mm fired.

    In the jar: as deep as the handle needs, and deeper where the lid would ride up otherwise; a lid that lies on a
    ledge below the rim only has to close. In the lid: up to the level it rests on (through collar or skirt, past
    which the handle must come anyway), and higher until it closes, but never into the clay of its middle. In both:
    the jar takes half of what the handle needs, the lid the rest.
    """
    if notch is None or width is None:
        return 0.0, 0.0
    table = piece.design.head.lid
    hangs = 0.0
    if isinstance(table, FlangeLid | CapLid) and piece.pair is not None and piece.pair.seat is not None:
        hangs = piece.parts[1].scale(State.FIRED)[1] * piece.pair.seat.depth - _HAIR_MM
    if notch.in_ == "jar":
        if notch.depth is not None:
            return notch.depth, hangs
        if lid is not None and isinstance(table, GalleryLid):
            return _closing_depth(jar, lid, spoon, notch.clearance), hangs
        return _jar_depth(jar, lid, spoon, notch.clearance, hangs), hangs
    assert lid is not None  # noqa: S101 - checked with the tables
    deepest = _deepest_in_lid(lid, width)
    if notch.in_ == "lid":
        jar_depth = 0.0
        if notch.depth is not None:
            if notch.depth > deepest:
                raise Fault(
                    "the notch runs into the middle of the lid",
                    f"{notch.depth:.1f} mm up from its edge",
                    f"at most {deepest:.1f} mm",
                    "notch.depth",
                )
            return jar_depth, notch.depth
    else:
        jar_depth = notch.depth or fitting_depth(jar, spoon, notch.clearance) / 2
    rest = at_rest(jar, spoon, jar_depth)
    return jar_depth, _lid_depth(rest, lid, spoon, notch.clearance, hangs, max(deepest, hangs))


def _jar_depth(jar: Jar, lid: Section | None, spoon: Spoon, clearance: float, hangs: float) -> float:
    depth = fitting_depth(jar, spoon, clearance)
    if lid is None:
        return depth
    gap = upright_gap(at_rest(jar, spoon, depth), spoon, lid, hangs)
    if gap >= 0:
        return depth
    start = depth
    for _ in range(_ROUNDS):
        if abs(clearance - gap) < _SETTLED_MM:
            break
        deeper = min(max(depth + clearance - gap, start), jar.deepest_notch_mm)
        if deeper == depth:
            break
        depth = deeper
        gap = upright_gap(at_rest(jar, spoon, depth), spoon, lid, hangs)
    return depth


def _closing_depth(jar: Jar, lid: Section, spoon: Spoon, clearance: float) -> float:
    """The least depth, mm, at which the lid closes with the clearance over the spoon; the deepest if none does."""
    low, high = 0.0, jar.deepest_notch_mm
    while high - low > _SETTLED_MM:
        middle = (low + high) / 2
        closes = upright_gap(at_rest(jar, spoon, middle), spoon, lid, 0.0) >= clearance
        low, high = (low, middle) if closes else (middle, high)
    return high


def _lid_depth(rest: Rest, lid: Section, spoon: Spoon, clearance: float, low: float, high: float) -> float:
    """The least notch in the lid, from low to high, that closes with the clearance; low where none does."""

    def closes(depth: float) -> bool:
        return upright_gap(rest, spoon, lid, depth) >= clearance

    if closes(low) or not closes(high):
        return low
    while high - low > _SETTLED_MM:
        middle = (low + high) / 2
        low, high = (low, middle) if closes(middle) else (middle, high)
    return high


def _deepest_in_lid(lid: Section, width: float) -> float:
    """How far up from its lowest place a lid can be notched before the notch runs into the clay of its middle."""
    across = lid.outline.at(lid.outline.crossings(0, width / 2))
    return float(across[:, 1].min()) - lid.outline.lowest(1)[1] - _HAIR_MM
