"""How a cut lid sits on its jar once the gap has let it sink."""

from __future__ import annotations

from dataclasses import dataclass
from math import atan2, ceil, cos, degrees, radians, sin, tan
from typing import Literal

import numpy as np

from ..geometry.curve import Curve, Floats
from ..geometry.tolerance import JOIN_MM
from .cut import CutPair

Kind = Literal["sits", "slides", "jams", "falls_in", "drops_over"]

SLIDES_UNDER_DEG = 20.0
SLIDES_UNDER_MM = 2.0
JAMS_OVER_DEG = 60.0
GOOD_DEG = (30.0, 45.0)
"""A lid may slide on a flatter joint or one that centres it less deep, jams in a steeper one, and sits well
between these angles (all common practice, no source)."""

_LEVEL_DEG = 5.0  # flatter than this it is as good as level (memory)
_ROUNDING_DEG = 1e-9  # a joint cut at 20 degrees comes back from its points as 20 give or take rounding


@dataclass(frozen=True)
class Contact:
    """Where the two faces of a joint lie on each other after the drop, mm.

    Attributes:
        angle: of the joint from horizontal, degrees.
        overlap: of the two faces, square to the axis, before the edges are rounded; negative where they miss.
        offset: how much further out the lid's face lies than the jar's; negative in a wall that leans inwards.
        outer_edge: what rounding takes off the outer end, along the slope.
        inner_edge: off the inner end.
        contact_mm: land that is left, along the slope; 0 where there is none.
    """

    angle: float
    overlap: float
    offset: float
    outer_edge: float
    inner_edge: float
    contact_mm: float


@dataclass(frozen=True)
class Sits:
    """How the lid sits, and why.

    Attributes:
        kind: `sits`; `slides` (it may); `jams`, which can split the jar; without contact `falls_in` or
            `drops_over` the jar.
        contact: the figures.
        centring_depth: mm.
        reasons: in words, the one that decides first; empty for a good seat.
        cure: what would cure the first, in words with the number, mm and degrees as the design gives them.
        field: the design file's key for that; both empty for a good seat.
    """

    kind: Kind
    contact: Contact
    centring_depth: float
    reasons: tuple[str, ...]
    cure: str
    field: str


def contact_of(pair: CutPair, scale: tuple[float, float] = (1.0, 1.0)) -> Contact:
    """The contact of a pair's joint faces once the lid has sunk by gap / cos(angle).

    After that drop the two faces lie on one line, but where the wall leans their radial intervals differ. What
    they share, divided by cos(angle), loses at each end the rounded edge e / tan(corner / 2), the larger of
    jar's and lid's, the corner being the clay's own angle there. Where the face with the finer corner reaches past
    the other, part of its rounding lies beyond what they share: there the rule gives less land than there is, at
    each end by at most as much as it reaches past, |offset| / cos(angle); elsewhere just what there is.

    Args:
        pair: jar and lid.
        scale: factors on r and z to another state; the rounding goes with r.
    """
    factors = np.array(scale)
    jar, lid = pair.jar, pair.lid
    jar_outer, jar_inner = jar.rim.start * factors, jar.rim.end * factors
    lid_outer, lid_inner = lid.base.end * factors, lid.base.start * factors
    inward = jar_inner - jar_outer
    slant = atan2(abs(float(inward[1])), abs(float(inward[0])))
    jar_out, jar_in = (-curve.slope(len(curve)) * factors for curve in (jar.outside, jar.inside))
    lid_out, lid_in = (curve.slope(0.0) * factors for curve in (lid.outside, lid.inside))
    radius = pair.cut.edge * scale[0]
    outer_edge = max(_edge(radius, inward, jar_out), _edge(radius, inward, lid_out))
    inner_edge = max(_edge(radius, -inward, jar_in), _edge(radius, -inward, lid_in))
    overlap = float(min(jar_outer[0], lid_outer[0]) - max(jar_inner[0], lid_inner[0]))
    land = overlap / cos(slant) - outer_edge - inner_edge
    offset = float(lid_outer[0] + lid_inner[0] - jar_outer[0] - jar_inner[0]) / 2
    return Contact(degrees(slant), overlap, offset, outer_edge, inner_edge, max(land, 0.0))


def _edge(radius: float, joint: Floats, wall: Floats) -> float:
    """Length a rounding takes from a joint, mm: radius / tan(corner / 2) between the two ways into the clay."""
    corner = atan2(abs(float(joint[0] * wall[1] - joint[1] * wall[0])), float(joint @ wall))
    return radius / tan(corner / 2)


def sits(pair: CutPair, scale: tuple[float, float] = (1.0, 1.0)) -> Sits:
    """How the lid of a pair sits, in the state the scale leads to."""
    contact = contact_of(pair, scale)
    depth = pair.centring_depth * scale[1]
    found: list[tuple[Kind, str, str, str]] = []
    usual = f"cut at {GOOD_DEG[0]:.0f} to {GOOD_DEG[1]:.0f}°"
    if contact.contact_mm <= 0:
        found.append((*_lost(pair, contact), *_less_taken(pair, contact, scale)))
    if contact.angle > JAMS_OVER_DEG + _ROUNDING_DEG:
        why = f"a joint of {contact.angle:.1f}° jams and can split the jar: over {JAMS_OVER_DEG:.0f}°"
        found.append(("jams", why, usual, "lid.angle"))
    if contact.angle < SLIDES_UNDER_DEG - _ROUNDING_DEG:
        why = f"a joint of {contact.angle:.1f}° may let the lid slide: under {SLIDES_UNDER_DEG:.0f}°"
        if contact.angle < _LEVEL_DEG:
            why = f"on a joint of {contact.angle:.1f}° the lid slides: nothing holds it from the side"
        found.append(("slides", why, usual, "lid.angle"))
    if depth < SLIDES_UNDER_MM:
        why = f"{depth:.1f} mm of centring may let the lid slide: under {SLIDES_UNDER_MM:.0f} mm"
        found.append(("slides", why, *_deeper(pair, scale)))
    kind: Kind = found[0][0] if found else "sits"
    low, high = GOOD_DEG
    if not found and not low - _ROUNDING_DEG <= contact.angle <= high + _ROUNDING_DEG:
        # a remark, nothing to cure
        why = f"a joint of {contact.angle:.1f}° holds; {low:.0f} to {high:.0f}° is usual"
        found.append(("sits", why, "", "lid.angle"))
    cure, field = found[0][2:] if found else ("", "")
    return Sits(kind, contact, depth, tuple(reason for _, reason, _, _ in found), cure, field)


def _less_taken(pair: CutPair, contact: Contact, scale: tuple[float, float]) -> tuple[str, str]:
    """The gap, or else the rounding, that just leaves some land: what each takes goes with it, in a straight wall."""
    seat, edges = scale[0] * pair.seat_width, contact.outer_edge + contact.inner_edge
    slope = cos(radians(contact.angle))
    missed, left = seat - contact.overlap, seat - edges * slope
    if missed > JOIN_MM and left > 0:
        gap = _below(pair.cut.gap * left / missed)
        if gap > 0:
            return f"take at most {gap:.1f} mm with knife and sponge, or leave more clay at the cut", "lid.gap"
    elif contact.overlap > 0 and edges > 0:
        edge = _below(pair.cut.edge * contact.overlap / slope / edges)
        if edge > 0:
            return f"round the edges by {edge:.1f} mm at most, or leave more clay at the cut", "lid.edge"
    return "take less with knife and sponge, round the edges less, or leave more clay at the cut", "lid.gap"


def _below(bound: float) -> float:
    """The last tenth that is truly below a bound."""
    return (ceil(10 * bound - 1e-6) - 1) / 10


def _deeper(pair: CutPair, scale: tuple[float, float]) -> tuple[str, str]:
    """The slant, or else the wall, that would centre the lid deep enough.

    A wall t thick that leans inwards by β is centred by t sin α / cos(α - β), a cap's (`inward_up`) by
    t sin α / cos(α + β); both solved for α, and for t.
    """
    slant = radians(pair.cut.angle)
    lean = (_lean(pair.jar.outside) + _lean(pair.jar.inside)) / 2 * (1 if pair.cut.slope == "inward_down" else -1)
    wall, wanted = pair.way_through_mm * cos(slant - lean), SLIDES_UNDER_MM / scale[1]
    cures = []
    needed = atan2(wanted * cos(lean), wall - wanted * sin(lean))
    steeper = ceil(degrees(needed) - 1e-6)
    if steeper <= GOOD_DEG[1]:
        cures.append(f"cut at {steeper:.0f}° or more")
    if pair.cut.angle >= SLIDES_UNDER_DEG:
        thicker = ceil(10 * wall * wanted / pair.centring_depth - 1e-6) / 10
        cures.append(f"leave {thicker:.1f} mm of clay at the cut")
    return (" or ".join(cures) or f"cut at {GOOD_DEG[1]:.0f}° through a thicker wall"), "lid.angle"


def _lean(curve: Curve) -> float:
    """How far a wall leans inwards where it has been cut, from upright, radians."""
    along = curve.slope(float(len(curve)))
    return atan2(-float(along[0]), float(along[1]))


def _lost(pair: CutPair, contact: Contact) -> tuple[Kind, str]:
    """Which way a lid without contact goes: the way it is displaced, or else the way its joint slopes."""
    if contact.overlap > 0:
        shared, rounded = contact.overlap / cos(radians(contact.angle)), contact.outer_edge + contact.inner_edge
        why = f"{shared:.1f} mm of the joint would meet, and its rounded edges take {rounded:.1f} mm: no land is left"
    else:
        why = f"the faces miss each other by {-contact.overlap:.1f} mm after the lid has sunk"
    inwards = contact.offset < -JOIN_MM or (contact.offset <= JOIN_MM and pair.cut.slope == "inward_down")
    if inwards:
        return "falls_in", f"the lid falls into the jar: {why}"
    return "drops_over", f"the lid drops down over the jar: {why}"
