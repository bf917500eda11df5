"""How a cut lid sits on its jar once the gap has let it sink."""

from __future__ import annotations

from dataclasses import dataclass
from math import atan2, cos, degrees, tan
from typing import Literal

import numpy as np

from ..geometry.curve import Floats
from ..geometry.tolerance import JOIN_MM
from .cut import CutPair

Kind = Literal["sits", "slides", "jams", "falls_in", "drops_over"]

SLIDES_UNDER_DEG = 20.0
SLIDES_UNDER_MM = 2.0
JAMS_OVER_DEG = 60.0
GOOD_DEG = (30.0, 45.0)
"""A lid may slide on a flatter joint or one that centres it less deep, jams in a steeper one, and sits well
between these angles (all common practice, no source)."""

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
    """

    kind: Kind
    contact: Contact
    centring_depth: float
    reasons: tuple[str, ...]


def contact_of(pair: CutPair, scale: tuple[float, float] = (1.0, 1.0)) -> Contact:
    """The contact of a pair's joint faces once the lid has sunk by gap / cos(angle).

    After that drop the two faces lie on one line, but where the wall leans their radial intervals differ. What
    they share, divided by cos(angle), loses at each end the rounded edge e / tan(corner / 2), the larger of
    jar's and lid's, the corner being the clay's own angle there. Where one face reaches past the other, that
    is on the safe side by up to as much as it reaches past.

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
    found: list[tuple[Kind, str]] = []
    if contact.contact_mm <= 0:
        found.append(_lost(pair, contact))
    if contact.angle > JAMS_OVER_DEG + _ROUNDING_DEG:
        found.append(
            ("jams", f"a joint of {contact.angle:.1f}° jams and can split the jar: over {JAMS_OVER_DEG:.0f}°")
        )
    if contact.angle < SLIDES_UNDER_DEG - _ROUNDING_DEG:
        found.append(
            ("slides", f"a joint of {contact.angle:.1f}° may let the lid slide: under {SLIDES_UNDER_DEG:.0f}°")
        )
    if depth < SLIDES_UNDER_MM:
        found.append(("slides", f"{depth:.1f} mm of centring may let the lid slide: under {SLIDES_UNDER_MM:.0f} mm"))
    kind: Kind = found[0][0] if found else "sits"
    low, high = GOOD_DEG
    if not found and not low - _ROUNDING_DEG <= contact.angle <= high + _ROUNDING_DEG:
        found.append(("sits", f"a joint of {contact.angle:.1f}°: {low:.0f} to {high:.0f}° is usual"))
    return Sits(kind, contact, depth, tuple(reason for _, reason in found))


def _lost(pair: CutPair, contact: Contact) -> tuple[Kind, str]:
    """Which way a lid without contact goes: the way it is displaced, or else the way its joint slopes."""
    if contact.overlap > 0:
        why = f"the rounded edges take {contact.outer_edge + contact.inner_edge:.1f} mm and leave no land"
    else:
        why = f"the faces miss each other by {-contact.overlap:.1f} mm after the lid has sunk"
    inwards = contact.offset < -JOIN_MM or (contact.offset <= JOIN_MM and pair.cut.slope == "inward_down")
    if inwards:
        return "falls_in", f"the lid falls into the jar: {why}"
    return "drops_over", f"the lid drops down over the jar: {why}"
