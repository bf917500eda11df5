"""A piece as another meets it: its outline as it stands, what of it is foot and what is well, and its handles.

Where on its side a handle sits no design says. So it counts as a collar that goes round the pot, from the bottom of
the part it is stuck on to the top of that part: a cup with a handle goes only where all of that goes.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from ..clay.states import State
from ..geometry.curve import Floats, line
from ..geometry.section import Section
from ..lidded import standing
from ..measures import extras_on, top_mm
from ..piece import Cast, Piece


@dataclass(frozen=True, eq=False)
class Met:
    """What meets another piece, mm of a state.

    Attributes:
        cubics: (n, 4, 2), (r, z).
        well: (n,) whether a cubic belongs to the inside of what holds something.
        base: (n,) whether it belongs to the face the piece stands on, or to what that encloses.
        edge: up to this height the outside is the rounding of the foot.
    """

    cubics: Floats
    well: tuple[bool, ...]
    base: tuple[bool, ...]
    edge: float


def from_above(piece: Piece, state: State) -> Met:
    """The piece as what is let down on it meets it."""
    return _with_handle(piece, state, upwards=True)


def from_below(piece: Piece, state: State) -> Met:
    """The piece as it meets what it is let down on."""
    return _with_handle(piece, state, upwards=False)


def height_mm(piece: Piece, state: State) -> float:
    """Of the piece as it stands, closed, with what stands up over it, mm."""
    return max(top_mm(piece, cast, state) for cast in piece.parts)


def lowest_part(piece: Piece) -> Cast:
    """The part that stands on the table."""
    return min(piece.parts, key=lambda cast: cast.lift)


def _with_handle(piece: Piece, state: State, *, upwards: bool) -> Met:
    met = _outlines(piece, state)
    for cast in piece.parts:
        reach = max((extra.reach for extra in extras_on(piece, cast)), default=0.0)
        if reach:
            collar = _collar(standing(piece, cast, state), piece.scale(state)[0] * reach, upwards=upwards)
            met = replace(
                met,
                cubics=np.concatenate([met.cubics, collar]),
                well=(*met.well, False),
                base=(*met.base, not upwards and cast is lowest_part(piece)),
            )
    return met


def _collar(section: Section, reach: float, *, upwards: bool) -> Floats:
    """The level face of the collar that a handle counts as: its top, or its underside."""
    outline = section.outline
    place, level = outline.highest(1) if upwards else outline.lowest(1)
    return line([outline.at(place)[0], level], [outline.highest(0)[1] + reach, level]).cubics


def _outlines(piece: Piece, state: State) -> Met:
    cubics, well, base = [], [], []
    lowest = lowest_part(piece)
    for cast in piece.parts:
        shape, outline = cast.shape, standing(piece, cast, state).outline
        counts = [len(shape.base), len(shape.outside) + len(shape.rim), len(shape.inside)]
        names = [name for name, count in zip("bsi", counts, strict=True) for _ in range(count)]
        names += ["s"] * (len(outline) - len(names))
        if cast.flipped:
            names.reverse()
        cubics.append(outline.cubics)
        well += [cast.holds and name == "i" for name in names]
        base += [cast is lowest and name == "b" for name in names]
    edge = lowest.scale(state)[1] * lowest.asked.ring.edge
    return Met(np.concatenate(cubics), tuple(well), tuple(base), edge)
