"""What a lid card is made for: the seat of jar and lid, as each is in the state the card is used in."""

from __future__ import annotations

from typing import NamedTuple

from ..clay.states import State
from ..geometry.curve import Curve, chained
from ..lengths import mm
from ..lids.seat import Seat
from ..lids.sizes import AnyLid, CapLid, CutLid, FlangeLid, GalleryLid
from ..piece import Cast, Piece
from .drawing import Drawing
from .lettering import SEAT_BAND_MM, pair_lettering, right_when
from .lid_card import LEATHER_HARD_BAND_MM, Seats, Tried, lid_card, why_no_lid_card

_LID_UP = "lid with its underside up"
_SAID = {
    "gallery": ("mouth over the gallery", "lid's edge"),
    "flange": ("jar's mouth", "lid's collar"),
    "cap": ("jar's neck", "lid's inside"),
}


class _Side(NamedTuple):
    """A side of a part that a gauge is let down along, upwards; and how deep it goes there, mm in a state."""

    curve: Curve
    deep: float


def lid_card_in(piece: Piece, state: State) -> Drawing | None:
    """The lid card of a pair for a state, wet or leather-hard; None if not made."""
    if why_no_lid_card_in(piece, state) is not None:
        return None
    lid, seats = piece.design.head.lid, seats_of(piece, state)
    if lid is None or isinstance(lid, CutLid) or seats is None:
        return None
    notes = [_depth(piece, lid, state), _LID_UP]
    if state is State.LEATHER_HARD:
        notes.insert(0, right_when(piece.parts[0]))
    # in brackets, as the name of a page leaves out what follows a comma
    tool = f"lid card ({'wet' if state is State.WET else state.words})"
    return lid_card(pair_lettering(piece, tool, state, notes), seats)


def why_no_lid_card_in(piece: Piece, state: State) -> str | None:
    """Why a pair gets no lid card for a state, as a sentence; None where it gets one or has no lid."""
    lid = piece.design.head.lid
    if isinstance(lid, CutLid):
        # said once, for the first of the two cards
        return "No lid card: jar and lid fit by their cut. The knife guide leads it." if state is State.WET else None
    if lid is not None and lid.thrown == "right_way_up" and state is State.WET:
        return (
            "No lid card for wet clay: thrown with its knob up, the lid gets its edge when it is turned. "
            "Try jar and lid leather-hard."
        )
    seats = seats_of(piece, state)
    return None if seats is None else why_no_lid_card(seats)


def seats_of(piece: Piece, state: State) -> Seats | None:
    """What is tried, in mm of a state, each part in its own clay; None for a piece without such a lid.

    The lid's side is upright, so that its width is the same all the way; the jar's is looked at as far down as the
    gauge's step goes, wet as it is thrown.
    """
    lid, pair = piece.design.head.lid, piece.pair
    if lid is None or isinstance(lid, CutLid) or pair is None or pair.seat is None:
        return None
    jar, top = piece.parts
    side = _jar_side(jar, lid, pair.seat, state)
    of_jar, of_lid = _SAID[lid.kind]
    # how far down the jar is tried, before its width there is known
    step = Tried(of_jar, 0.0, side.deep).step_mm
    crossed = side.curve.crossings(1, float(side.curve.end[1]) - step)
    upper = side.curve.part(float(crossed[-1]), float(len(side.curve)))
    radius = upper.highest(0)[1] if isinstance(lid, CapLid) else upper.lowest(0)[1]
    jars = Tried(of_jar, 2 * radius, side.deep)
    lids = Tried(of_lid, 2 * top.scale(state)[0] * pair.seat.lid_radius, _lid_deep(top, lid, state))
    band = SEAT_BAND_MM if state is State.WET else LEATHER_HARD_BAND_MM
    return Seats(lids, jars, band) if isinstance(lid, CapLid) else Seats(jars, lids, band)


def _jar_side(jar: Cast, lid: AnyLid, seat: Seat, state: State) -> _Side:
    """The jar's side of the seat up to its highest place, as it is in a state."""
    k_r, k_z = jar.scale(state)
    outside, rim = (jar.thrown_outside, jar.thrown_rim) if state is State.WET else (jar.shape.outside, jar.shape.rim)
    place, top = rim.highest(1)
    if isinstance(lid, CapLid):
        curve = chained([outside, rim.part(0.0, place)]) if place > 0 else outside
    else:
        inner = rim.part(place, float(len(rim))).reversed() if place < len(rim) else None
        curve = jar.shape.inside if inner is None else chained([jar.shape.inside, inner])
    # a plug meets the ledge; down a neck or a mouth a gauge goes as far as the lid does, or further
    deep = top - seat.rests_at if isinstance(lid, GalleryLid) else seat.depth
    return _Side(curve.mapped(k_r, k_z), k_z * deep)


def _depth(piece: Piece, lid: GalleryLid | FlangeLid | CapLid, state: State) -> str:
    """How deep what the lid is held by is in a state, and how wide a ledge: what no gauge of the card tells."""
    jar, top = piece.parts
    when = "as thrown" if state is State.WET else state.words
    if isinstance(lid, GalleryLid):
        k_r, k_z = jar.scale(state)
        return f"ledge {mm(k_z * lid.ledge_depth)} down, {mm(k_r * lid.ledge_width)} wide {when}"
    k_z = top.scale(state)[1]
    if isinstance(lid, FlangeLid):
        return f"collar {mm(k_z * lid.collar_depth)} deep {when}"
    return f"skirt {mm(k_z * lid.skirt_depth)} deep {when}"


def _lid_deep(top: Cast, lid: GalleryLid | FlangeLid | CapLid, state: State) -> float:
    """How far down the upturned lid's side a gauge goes, mm: to the bat, or to the foot of collar or skirt."""
    k_z = top.scale(state)[1]
    if isinstance(lid, FlangeLid):
        return k_z * lid.collar_depth
    if isinstance(lid, CapLid):
        return k_z * lid.skirt_depth
    return k_z * (float(top.section.outline.highest(1)[1]) - (top.bat if state is State.WET else 0.0))
