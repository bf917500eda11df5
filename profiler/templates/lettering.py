"""What a template says: its title, what it is for, the number that matters at it, and the rest."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ..clay.body import Body
from ..clay.states import State
from ..lengths import mm
from ..lids.sizes import CapLid, FlangeLid
from ..piece import Cast, Piece

BAND_MM = 1.5
"""A wet rim is accepted so much wider or narrower."""
SEAT_BAND_MM = 1.0
"""Where jar and lid must fit, so much across and in all, as on the wet lid card: wider what goes round the other,
narrower what goes into it, so that no part takes from their play (common practice, no source)."""

_HINT = "laminate, or trace on thin ply or plastic; dull sharp edges"


@dataclass(frozen=True)
class Lettering:
    """What a template says.

    Attributes:
        head: title, tool and state.
        notes: first the key, the number that matters at this tool, which stands under the head and is larger;
            last the hint, the first to go where there is no room.
    """

    head: tuple[str, str, str]
    notes: tuple[str, ...]


def lettering(piece: Piece, cast: Cast, tool: str, state: State, notes: Sequence[str] = ()) -> Lettering:
    """What every template says, and its own notes, of which the first is the key."""
    part = "jar and lid in one" if cast is piece.whole else cast.name
    title = piece.design.title + (f", {part}" if part else "")
    return Lettering((title, tool, _in_use(state)), (*notes, *_clay(cast.body, state), _HINT))


def pair_lettering(piece: Piece, tool: str, state: State, notes: Sequence[str] = ()) -> Lettering:
    """The same of a tool for jar and lid together, each with its own clay where they have two."""
    jar, lid = piece.parts
    clay = _clay(jar.body, state)
    if lid.body != jar.body:
        clay = tuple(f"{cast.name}: {', '.join(_clay(cast.body, state))}" for cast in piece.parts)
    return Lettering((f"{piece.design.title}, jar and lid", tool, _in_use(state)), (*notes, *clay, _HINT))


def right_when(cast: Cast) -> str:
    """The width that tells the leather-hard moment a tool is drawn for: leather-hard is a range."""
    where, across = measured_at(cast)
    return f"right when your {where} measures {mm(across * cast.scale(State.LEATHER_HARD)[0])} mm"


def accepted(piece: Piece, cast: Cast) -> str:
    """The band of the width in which a wet pot is accepted: of a lid with a collar thrown up, the collar's."""
    where, across = measured_at(cast)
    pair = piece.pair
    if collar_mm(piece, cast) and pair is not None and pair.seat is not None:
        where, across = "collar", 2 * pair.seat.lid_radius
    return f"{where} {in_band(piece, cast, across * cast.scale(State.WET)[0])} mm across"


def in_band(piece: Piece, cast: Cast, across_mm: float) -> str:
    """A wet width with the band in which it is accepted, in the lid card's words where jar and lid must fit.

    The wall keeps its thickness, so that what lies across from a seat may be off to the same side as the seat.

    Args:
        piece: what is thrown.
        cast: the part of it.
        across_mm: the width as drawn, at the part's upper edge, mm wet.
    """
    lid, pair = piece.design.head.lid, piece.pair
    # a lid thrown with its knob up gets its seat when it is turned
    if lid is None or pair is None or pair.seat is None or (is_lid(cast) and not cast.flipped):
        return f"{mm(across_mm)} ± {BAND_MM:g}"
    goes_round = is_lid(cast) == isinstance(lid, CapLid)
    least, most = (0.0, SEAT_BAND_MM) if goes_round else (-SEAT_BAND_MM, 0.0)
    return f"between {mm(across_mm + least)} and {mm(across_mm + most)}"


def measured_at(cast: Cast) -> tuple[str, float]:
    """Where callipers tell how large a part is, and its width there in mm of the sized state."""
    if cast.shape.closes:
        return "widest place", 2 * cast.shape.outside.highest(0)[1]
    return "edge" if is_lid(cast) else "rim", cast.shape.rim_diameter


def is_lid(cast: Cast) -> bool:
    """Whether a part is the lid of a pair."""
    return cast.name == "lid"


def collar_mm(piece: Piece, cast: Cast) -> float:
    """How high the collar of a lid is that is thrown with it up, mm of the sized state; 0 for any other part."""
    lid = piece.design.head.lid
    return lid.collar_depth if is_lid(cast) and cast.flipped and isinstance(lid, FlangeLid) else 0.0


def top_of(piece: Piece, cast: Cast) -> str:
    """What is uppermost when a part is turned: the foot, or of a lid thrown upside down its knob or crown."""
    if not cast.flipped:
        return "underside" if is_lid(cast) else "foot"
    lid = piece.design.head.lid
    return "crown" if lid is None or lid.knob is None else "knob"


def _in_use(state: State) -> str:
    return "for use wet, as thrown" if state is State.WET else f"for use {state.words}"


def _clay(body: Body, state: State) -> tuple[str, ...]:
    """The clay's name, and what it has shrunk and will."""
    fired = f"{_shrunk(body, State.FIRED)} fired"
    return body.name, f"shrinks {fired}" if state is State.WET else f"shrinks {_shrunk(body, state)} by now, {fired}"


def _shrunk(body: Body, state: State) -> str:
    across = 100 * body.shrinkage.at(state)
    if body.shrinkage_height is None:
        return f"{across:.3g}\u00a0%"
    return f"{across:.3g}\u00a0% across and {100 * body.shrinkage_height.at(state):.3g}\u00a0% up"
