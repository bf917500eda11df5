"""The wall of a closed form thrown thicker where its lid is cut off: more clay inside, the outside as it was."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from ..faults import Fault
from ..forms.shape import Shape
from ..forms.wall import STEEPEST
from ..geometry.curve import Curve, Floats
from ..geometry.offset import fitted
from ..geometry.root import first_root
from ..geometry.tolerance import FIT_SHARE, JOIN_MM

EVEN_SHARE = 1.0
"""The wall keeps what is added so far to both sides of the cut, as a share of its thickness there: the joint of a
cut at up to 45 degrees stays within it, so the seat gets all of the clay."""

RUNS_OUT_SHARE = 2.5
"""What is added runs out over this share of the thickness at the cut: 15 to 18 mm for 6 to 7 mm, about the width of
the finger that throws it, and no step for a tool to catch on. A share, so that a piece sized in another state is
made of the very same curves, only scaled."""

_SAME_PLACE = 1e-9
_STEEPEST_OF_STEP = 1.5  # the cubic step 3x² - 2x³ climbs so much at its middle


@dataclass(frozen=True)
class _Swell:
    """How much of what is added lies where, by the length along the inside from the cut.

    Attributes:
        even: up to there, on both sides, all of it, mm.
        below: then it runs out over so much below the cut, mm.
        above: and above it.
    """

    even: float
    below: float
    above: float

    @property
    def turns(self) -> tuple[float, float, float, float]:
        """Lengths from the cut where it starts, is whole, starts to run out, and has run out."""
        return -self.even - self.below, -self.even, self.even, self.even + self.above

    def at(self, lengths: Floats) -> tuple[Floats, Floats]:
        """The share, and its change per mm of length."""
        run = np.where(lengths < 0, self.below, self.above)
        x = np.clip((np.abs(lengths) - self.even) / run, 0.0, 1.0)
        share, change = 1 - x * x * (3 - 2 * x), 6 * x * (1 - x) / run
        return share, np.where(lengths < 0, change, -change)


def thicker_at_cut(shape: Shape, cut_at: tuple[float, float], wanted: float) -> Shape:
    """A closed form whose wall has a thickness where the middle of the gap meets its outside.

    The inside moves straight away from the outside, along the line that is square to the outside there: whole
    beside the cut, less and less further off, so that corners it has stay corners and its roundings round.

    Args:
        shape: the form.
        cut_at: (r, z) where the middle of the gap meets the outside, mm.
        wanted: thickness there, square to the outside, mm.

    Raises:
        Fault: the wall is thicker already, or what is added has no room to run out.
    """
    spot = np.array(cut_at)
    place = _nearest(shape.outside, spot)
    way = shape.outside.direction(place)
    into = np.array([-way[1], way[0]])  # the outside climbs, so the clay is to its left
    there, across = _across(shape.inside, spot, into)
    more = wanted - across
    if more < -JOIN_MM:
        raise Fault(
            "the wall is thicker at the cut than it shall be",
            f"{wanted:.2f} mm at the cut, where the wall is {across:.2f} mm already",
            f"{np.ceil(100 * across - 1e-6) / 100:.2f} mm or more, or a thinner [wall]",
            "lid.at_cut",
        )
    if more < JOIN_MM:
        return shape
    swell = _room(shape.inside, there, more, wanted)
    return replace(shape, inside=_swollen(shape.inside, there, swell, more * into, FIT_SHARE * wanted))


def _nearest(curve: Curve, spot: Floats) -> float:
    """The place on a curve where it goes through a point: of those at its height, the nearest."""
    places = curve.crossings(1, float(spot[1]))
    return float(places[np.argmin(np.abs(curve.at(places)[:, 0] - spot[0]))])


def _across(inside: Curve, spot: Floats, into: Floats) -> tuple[float, float]:
    """Place on the inside straight across from a point of the outside, and how far that is, mm."""
    turn = np.array([[into[0], -into[1]], [into[1], into[0]]])
    seen = Curve((inside.cubics - spot) @ turn)
    met = [(float(seen.at(u)[0]), float(u)) for u in seen.crossings(1, 0.0)]
    across, place = min((one for one in met if one[0] > JOIN_MM), default=(0.0, 0.0))
    if not 0 < place < len(inside) or inside.at(place)[1] <= inside.start[1] + JOIN_MM:
        raise Fault(
            "straight across from the cut there is no wall",
            f"at height {spot[1]:.1f} mm",
            "a cut between floor and top, or no at_cut",
            "lid.height",
        )
    return place, across


def _room(inside: Curve, there: float, more: float, wanted: float) -> _Swell:
    """How what is added runs out between the floor and the axis at the top.

    Raises:
        Fault: it would be steeper than a wall can be thrown.
    """
    middle = float(inside.arc_length_at(there))
    on_floor = [u for u in inside.crossings(1, float(inside.start[1])) if u < there]
    floor = float(inside.arc_length_at(on_floor[-1])) if on_floor else 0.0
    even, runs_out = EVEN_SHARE * wanted, RUNS_OUT_SHARE * wanted
    least = _STEEPEST_OF_STEP * more / STEEPEST
    if runs_out < least - JOIN_MM:
        raise Fault(
            "the wall changes faster towards the cut than it can be thrown",
            f"{more:.1f} mm more than the wall, over {runs_out:.1f} mm of it",
            "a thickness at the cut closer to the wall's",
            "lid.at_cut",
        )
    rooms = {"floor": middle - floor - even, "top": inside.length - middle - even}
    for name, room in rooms.items():
        if room < least - JOIN_MM:
            raise Fault(
                f"between the cut and the {name} the thicker wall has no room to run out",
                f"{more:.1f} mm more than the wall, {max(room, 0.0):.1f} mm of wall to run out in",
                f"{least:.1f} mm: a cut {least - room:.1f} mm further from the {name}, or a smaller at_cut",
                "lid.height",
            )
    return _Swell(even, min(rooms["floor"], runs_out), min(rooms["top"], runs_out))


def _swollen(inside: Curve, there: float, swell: _Swell, push: Floats, within: float) -> Curve:
    """The inside moved by a push, all of it near a place and none of it further off."""
    middle = float(inside.arc_length_at(there))
    stops = _stops([_place_at(inside, middle + length) for length in swell.turns])
    made = [inside.part(0.0, stops[0]).cubics] if stops[0] > 0 else []
    for low, high in pairwise(stops):
        piece = inside.part(low, high)

        def moved(t: Floats, piece: Curve = piece, low: float = low, high: float = high) -> tuple[Floats, Floats]:
            slope = piece.slope(t)
            share, change = swell.at(inside.arc_length_at(low + t * (high - low)) - middle)
            grows = change * np.hypot(slope[..., 0], slope[..., 1])
            return piece.at(t) + share[..., None] * push, slope + grows[..., None] * push

        made.append(fitted(moved, within))
    if stops[-1] < len(inside):
        made.append(inside.part(stops[-1], float(len(inside))).cubics)
    return Curve(np.concatenate(made))


def _stops(turns: list[float]) -> list[float]:
    """The turns and a chain's joins between them, each once."""
    joins = range(math.ceil(turns[0]), math.floor(turns[-1]) + 1)
    stops = [turns[0]]
    for stop in sorted([*turns[1:], *map(float, joins)]):
        if stop - stops[-1] > _SAME_PLACE:
            stops.append(stop)
        elif stop == round(stop):
            stops[-1] = stop  # a join stays one, to the last digit
    return stops


def _place_at(curve: Curve, length: float) -> float:
    """The place on a curve that far along it."""
    if length <= JOIN_MM or length >= curve.length - JOIN_MM:
        return 0.0 if length <= JOIN_MM else float(len(curve))
    place = first_root(lambda places: curve.arc_length_at(places) - length, 0.0, float(len(curve)))
    if place is None:
        raise ArithmeticError(f"no place {length} mm along a curve of {curve.length} mm")
    return place
