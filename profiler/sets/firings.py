"""A set on its way through the kiln: what of it fits on a shelf, and each firing's load."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ..check import Check, Level
from ..kiln import Firing, KilnTable, Load, Ware, fits, loaded, per_shelf, ware_of
from ..lengths import mm
from ..stacking import Touch, nest
from .counted import Counted


@dataclass(frozen=True)
class OnShelf:
    """One kind by itself in the glaze firing, at bisque size, rims on the shelf.

    Attributes:
        fits: whether it goes into the kiln at all.
        per_shelf: how many stand on a shelf that carries posts.
    """

    fits: bool
    per_shelf: int


def on_shelf(counted: Counted, kiln: KilnTable) -> OnShelf:
    """How many of one kind go on a shelf, glazed."""
    ware = _ware(counted, Firing.GLAZE)
    return OnShelf(fits(ware, kiln), len(per_shelf(ware, kiln)))


def does_not_fit(counted: Counted) -> Check:
    """The warning of a kind that does not go into the kiln, with what it takes."""
    ware = _ware(counted, Firing.GLAZE)
    across, high = mm(2 * ware.reach_radius_mm), mm(ware.height_mm)
    handles = " with its handles" if any(extra.reach for extra in counted.job.piece.design.head.extras) else ""
    message = f"does not go into this kiln: bisque-fired it is {across} mm across{handles} and {high} mm high"
    return Check("kiln", Level.WARNING, message)


def loads(pieces: Sequence[Counted], glaze_firings: Sequence[str], kiln: KilnTable) -> tuple[Load, ...]:
    """The bisque firing of a set with its spares, then its glaze firings.

    Args:
        pieces: of the set.
        glaze_firings: what she calls the glaze firing of each; those of one name go in together.
        kiln: it is fired in.
    """
    made = [loaded([_ware(piece, Firing.BISQUE) for piece in pieces], kiln, Firing.BISQUE)]
    for name in dict.fromkeys(glaze_firings):
        together = [piece for piece, own in zip(pieces, glaze_firings, strict=True) if own == name]
        wares = [_ware(piece, Firing.GLAZE) for piece in together]
        made.append(loaded(wares, kiln, Firing.GLAZE, name))
    return tuple(made)


def _ware(counted: Counted, firing: Firing) -> Ware:
    """All that are thrown of a kind; in the bisque firing one stands in the next, if its foot stands in the well."""
    piece, state = counted.job.piece, firing.state
    pitch = None
    if firing is Firing.BISQUE:
        one = nest(piece, piece, state)
        pitch = one.pitch_mm if one.touches is Touch.FOOT else None
    return ware_of(piece, counted.to_throw, state, piece.design.title, pitch)
