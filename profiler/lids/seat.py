"""The seat a jar and its lid share, and the jar's side of it."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from ..faults import Fault
from ..forms.shape import Shape
from ..geometry.curve import Curve, Floats, line
from ..geometry.fillet import NoRoomError, rounded
from .sizes import CapLid, FlangeLid, GalleryLid

_LIP_MM = 1.0
_CORNER_MM = 0.8
_HAIR_MM = 1e-3
_HEIGHTS, _PER_CUBIC = 2000, 200


@dataclass(frozen=True)
class Seat:
    """Where a lid is held, mm of the sized state.

    Attributes:
        jar_radius: of the jar where it holds the closed lid from the side: where the two come closest.
        lid_radius: of the lid there.
        mouth: radius of the narrowest (cap: the widest) place of the jar over the seat.
        passes: radius of the jar where the lid has the least room on its way there.
        rests_at: height of the face the lid rests on, from the table.
        depth: how far lid and jar stand beside each other.
        rests_from: inner radius of where the lid rests.
        rests_to: outer radius of where the lid rests.
    """

    jar_radius: float
    lid_radius: float
    rests_at: float
    depth: float
    rests_from: float
    rests_to: float
    mouth: float
    passes: float

    @property
    def clearance(self) -> float:
        """Play per side of the closed lid, mm."""
        return abs(self.jar_radius - self.lid_radius)

    def widened(self, by: float) -> Seat:
        """The seat of a lid so much larger in radius at its side, mm; the play stays what was asked for."""
        # a lid on a ledge rests as far out as it is wide
        rests_to = self.rests_to + (by if self.rests_to == self.lid_radius else 0.0)
        return replace(self, jar_radius=self.jar_radius + by, lid_radius=self.lid_radius + by, rests_to=rests_to)


def with_ledge(jar: Shape, lid: GalleryLid) -> tuple[Shape, Seat]:
    """The jar with a ledge inside its mouth, and the seat over it.

    The wall over the ledge stays as it is; the ledge stands in from its narrowest place, its underside slopes
    back to the wall at 45 degrees, which holds while it is thrown.

    Raises:
        Fault: there is no room for the ledge.
    """
    top = jar.rim.highest(1)[1]
    level, wall = top - lid.ledge_depth, jar.inside
    above = wall.crossings(1, level)
    if len(above) != 1 or level <= wall.start[1]:
        raise Fault(
            "the ledge lies too deep for the jar", f"{lid.ledge_depth:.1f} mm", "a higher one", "lid.ledge_depth"
        )
    upper = wall.part(float(above[0]), float(len(wall)))
    seat = min(upper.lowest(0)[1], jar.rim.end[0])
    lip = seat - lid.ledge_width
    if lip < 5.0:
        raise Fault(
            "the ledge closes the mouth", f"{lid.ledge_width:.1f} mm wide", "a narrower one", "lid.ledge_width"
        )
    under = level - lid.ledge_thickness
    # down the slope of 45 degrees until it meets the wall
    reach = 2 * float(wall.highest(0)[1])
    slope = line([lip, under], [lip + reach, under - reach])
    meets = _first_meeting(wall, slope)
    if meets is None:
        raise Fault(
            "the underside of the ledge does not meet the wall over the floor",
            f"ledge {lid.ledge_width:.1f} wide, {lid.ledge_thickness:.1f} mm thick",
            "a smaller ledge or a higher jar",
            "lid.ledge_width",
        )
    lower = wall.part(0.0, meets)
    try:
        inside = rounded(
            [
                lower,
                line(lower.end, [lip, under]),
                line([lip, under], [lip, level]),
                line([lip, level], upper.start),
                upper,
            ],
            [2.0, _LIP_MM, _LIP_MM, _CORNER_MM],
        )
    except NoRoomError as trouble:
        raise Fault(
            "the ledge is too small for its rounded edges",
            f"{lid.ledge_width:.1f} wide, {lid.ledge_thickness:.1f} mm thick",
            f"at least {4 * _LIP_MM:g} mm of both",
            "lid.ledge_width",
        ) from trouble
    beside = min(lid.ledge_depth, lid.edge_thickness)
    seated = Seat(seat, seat - lid.clearance, level, beside, lip + _LIP_MM, seat - lid.clearance, seat, seat)
    return replace(jar, inside=inside), seated


def mouth_of(jar: Shape, lid: FlangeLid) -> Seat:
    """The seat of a lid that rests on the rim, its collar in the mouth.

    Raises:
        Fault: the mouth is too narrow or too low for the collar.
    """
    place, top = jar.rim.highest(1)
    over = jar.inside + jar.rim.part(place, float(len(jar.rim))).reversed()
    upper = _top_part(over, top - lid.collar_depth + lid.collar_thickness / 2, "lid.collar_depth")
    mouth = upper.lowest(0)[1]
    outer = jar.rim_diameter / 2 + lid.overhang
    return Seat(mouth, mouth - lid.clearance, top, lid.collar_depth, float(jar.rim.at(place)[0]), outer, mouth, mouth)


def neck_of(jar: Shape, lid: CapLid) -> Seat:
    """The seat of a lid that comes down over the neck and rests on the rim.

    Raises:
        Fault: the neck is lower than the skirt.
    """
    place, top = jar.rim.highest(1)
    over = _up_the_outside(jar)
    upper = _top_part(over, top - lid.skirt_depth + lid.skirt_thickness / 2, "lid.skirt_depth")
    neck = upper.highest(0)[1]
    return Seat(neck, neck + lid.clearance, top, lid.skirt_depth, 0.0, float(jar.rim.at(place)[0]), neck, neck)


def plays_mm(jar: Shape, lid: Shape, rests: float, seat: Seat, *, lid_outside: bool) -> tuple[float, float]:
    """The least level distance between lid and jar where they stand beside each other, mm: closed, and on the way.

    What stands beside a place of the jar when closed has passed all places over that one on its way.

    Looked at in 2000 heights, which on roundings of a few mm is good to a thousandth.

    Args:
        jar: standing.
        lid: as it is thrown, its underside up.
        rests: height of the lid's resting face in that frame.
        seat: where it comes to lie.
        lid_outside: whether the lid goes over the jar.
    """
    top, _ = jar.rim.highest(1)
    if lid_outside:
        side = _up_the_outside(jar)
        place, _ = lid.rim.highest(1)
        facing = lid.rim.part(place, float(len(lid.rim))) + lid.inside.reversed()
    else:
        side = jar.inside + jar.rim.part(top, float(len(jar.rim))).reversed()
        place, _ = lid.rim.highest(1)
        facing = lid.outside + lid.rim.part(0.0, place) if place > 0 else lid.outside
    of_lid = facing.sampled(_PER_CUBIC)[:: 1 if not lid_outside else -1]
    of_lid = np.stack([of_lid[:, 0], seat.rests_at + rests - of_lid[:, 1]], axis=1)[::-1]
    heights = _beside(seat, of_lid, jar.rim.highest(1)[1], float(jar.inside.start[1]))
    of_jar = _top_part(side, float(heights[0]), "lid").sampled(_PER_CUBIC)
    sign = -1.0 if lid_outside else 1.0
    over = of_jar[of_jar[:, 1] >= heights[-1], 0]
    room = sign * np.append(np.interp(heights, of_jar[:, 1], of_jar[:, 0]), over)
    passed = np.minimum.accumulate(room[::-1])[::-1][:_HEIGHTS]
    of_its_own = sign * np.interp(heights, of_lid[:, 1], of_lid[:, 0])
    return float((room[:_HEIGHTS] - of_its_own).min()), float((passed - of_its_own).min())


def _up_the_outside(jar: Shape) -> Curve:
    """The outside and the rim as far as its top, which on a level rim is where the rim begins."""
    top, _ = jar.rim.highest(1)
    return jar.outside + jar.rim.part(0.0, top) if top > 0 else jar.outside


def _beside(seat: Seat, of_lid: Floats, top: float, floor: float) -> Floats:
    """Heights at which lid and jar stand beside each other, short of the face the lid rests on."""
    if seat.rests_at >= top - _HAIR_MM:
        low, high = max(seat.rests_at - seat.depth, float(of_lid[0, 1]), floor), seat.rests_at
    else:
        low, high = seat.rests_at, min(seat.rests_at + seat.depth, top)
    return np.linspace(low + _HAIR_MM, high - _HAIR_MM, _HEIGHTS)


def _top_part(curve: Curve, level: float, field: str) -> Curve:
    places = curve.crossings(1, level)
    if not len(places):
        raise Fault(
            "the lid reaches further down than the jar is high",
            f"to a height of {level:.1f} mm",
            "a shorter reach",
            field,
        )
    return curve.part(float(places[-1]), float(len(curve)))


def _first_meeting(wall: Curve, slope: Curve) -> float | None:
    """The highest place of the wall on the slope's line, below its start; None if nowhere."""
    # on r + z = the line's own sum: a crossing of the sheared curve
    total = float(slope.start.sum())
    sheared = Curve(wall.cubics @ np.array([[1.0, 0.0], [1.0, 1.0]]))
    places = [u for u in sheared.crossings(0, total) if wall.at(u)[1] < slope.start[1]]
    return float(max(places)) if places else None
