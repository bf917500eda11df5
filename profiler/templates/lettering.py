"""What a template says: its title, what it is for, the number that matters at it, and the rest."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ..clay.states import State
from ..lengths import mm
from ..piece import Cast, Piece

BAND_MM = 1.5
"""A wet rim is accepted so much wider or narrower."""

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
    title = piece.design.title + (f", {cast.name}" if cast.name else "")
    words = "for use wet, as thrown" if state is State.WET else f"for use {state.words}"
    fired = f"{_shrunk(piece, State.FIRED)} fired"
    shrinkage = f"shrinks {fired}" if state is State.WET else f"shrinks {_shrunk(piece, state)} by now, {fired}"
    return Lettering((title, tool, words), (*notes, piece.body.name, shrinkage, _HINT))


def right_when(piece: Piece, cast: Cast) -> str:
    """The rim that tells the leather-hard moment a tool is drawn for: leather-hard is a range."""
    rim = cast.shape.rim_diameter * piece.scale(State.LEATHER_HARD)[0]
    return f"right when your rim measures {mm(rim)} mm"


def accepted(piece: Piece, cast: Cast) -> str:
    """The band of the rim's width in which a wet pot is accepted."""
    return f"rim {mm(cast.shape.rim_diameter * piece.scale(State.WET)[0])} ± {BAND_MM} mm across"


def _shrunk(piece: Piece, state: State) -> str:
    across = 100 * piece.body.shrinkage.at(state)
    if piece.body.shrinkage_height is None:
        return f"{across:.3g}\u00a0%"
    return f"{across:.3g}\u00a0% across and {100 * piece.body.shrinkage_height.at(state):.3g}\u00a0% up"
