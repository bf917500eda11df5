"""The notch itself: how deep the handle needs it, what it takes off the clay, and what the jar still holds."""

from __future__ import annotations

import math
from collections.abc import Callable
from itertools import pairwise

import numpy as np

from ..faults import Fault
from ..geometry.cubics import bernstein, bernstein_slope
from ..geometry.curve import Curve, Floats
from ..geometry.section import Section, volume_below
from .jar import Jar
from .measured import Spoon
from .rest import at_rest

_ENOUGH = 1e-12
_MOST_HALVINGS = 8
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(16)
_DEPTH_MM = 1e-4
_MOST_ROUNDS = 8
_STEEPEST_CHORD = 0.9
"""What is needed may change by this share of the depth; by more, and there is a step in between."""
_TRIED_MM = 0.5
_CHORDS = 6


def depth_for(handle_thickness: float, angle_deg: float, wall: float, clearance: float) -> float:
    """Depth over the notch's floor that a handle lying through the wall takes, mm: t tan θ + h/cos θ + clearance.

    Args:
        handle_thickness: h, mm.
        angle_deg: θ, of the handle, from horizontal, under 90.
        wall: t, its thickness along the notch's floor, mm.
        clearance: over the handle, measured upright, mm.

    >>> round(depth_for(2.0, 45.0, 4.0, 1.0), 6)
    7.828427
    """
    angle = math.radians(angle_deg)
    return wall * math.tan(angle) + handle_thickness / math.cos(angle) + clearance


def fitting_depth(jar: Jar, spoon: Spoon, clearance: float) -> float:
    """The least depth, fired, at which the notch is as deep as the spoon that lies in it needs, mm, to 1e-4.

    A deeper notch lets the handle lie flatter, which needs less: about (wall + thickness)/(width inside) of the
    change less, and more or less again where the wall leans. So asking again with the depth last needed comes closer,
    and chords through what two askings gave settle soon. Where the notch comes into a ledge the clay it has to clear
    grows at once, and asking goes to and fro; there the depths are tried from the rim down. Of no use for a spoon
    that tips out or falls in: see `Rest`.

    Raises:
        Fault: even the deepest notch the jar may have is not enough; otherwise as `at_rest`.
    """

    def needed(depth: float) -> float:
        rest = at_rest(jar, spoon, depth)
        return depth_for(spoon.handle_thickness, rest.angle_deg, rest.wall_mm, clearance)

    deepest, depth = jar.deepest_notch_mm, 0.0
    before: tuple[float, float] | None = None
    for _ in range(_MOST_ROUNDS):
        needs = needed(depth)
        if abs(needs - depth) <= _DEPTH_MM:
            return max(depth, needs)
        grows = 0.0 if before is None else (needs - before[1]) / (depth - before[0])
        if abs(grows) > _STEEPEST_CHORD:
            break
        # the rim without a notch is no place for a chord: the clay under the handle is another
        before = (depth, needs) if depth > 0 else None
        depth = min(depth + (needs - depth) / (1 - grows), deepest)
        if before is not None and depth == before[0]:
            break
    low = 0.0
    for high in np.append(np.arange(_TRIED_MM, deepest, _TRIED_MM), deepest):
        if needed(float(high)) <= high:
            break
        low = float(high)
    else:
        raise Fault(
            "no notch is deep enough for the handle as it lies in this jar",
            f"{deepest:.1f} mm at most, {needed(deepest):.1f} mm needed",
            "a wider or lower jar, or a thinner handle",
            "notch.depth",
        )
    return least(lambda tried: needed(tried) <= tried, low, float(high), _DEPTH_MM)


def least(holds: Callable[[float], bool], low: float, high: float, within: float) -> float:
    """The least place from which on something holds, from above, given that it does not at low and does at high."""
    while high - low > within:
        middle = (low + high) / 2
        low, high = (low, middle) if holds(middle) else (middle, high)
    return high


def least_with_room(room: Callable[[float], float], low: float, high: float, within: float) -> float:
    """The same place as `least` finds for room that is nought or more and grows, asked of fewer places.

    A few chords close in on where it changes first; of the places in the middle that `least` would ask for, most then
    lie on a side that is known.
    """
    fails, holds, lacks, spare = low, high, room(low), room(high)
    for _ in range(_CHORDS):
        if holds - fails <= within or not lacks < 0 <= spare:
            break
        # a little to each side of the chord's place in turn, so that both ends come in
        chord = fails + (holds - fails) * lacks / (lacks - spare)
        place = chord + within / 8 * (1 if spare > -lacks else -1)
        if not fails < place < holds:
            break
        found = room(place)
        if found >= 0:
            holds, spare = place, found
        else:
            fails, lacks = place, found
    return least(lambda place: place >= holds or (place > fails and room(place) >= 0), low, high, within)


def taken_from_jar_mm3(section: Section, width: float, level: float) -> float:
    """Clay that a notch takes off the rim of a jar, mm³: all of the near wall above a level.

    The notch has upright, parallel sides a chord's width apart, so at radius r it takes the angle 2 asin(w/2r) out of
    the turn: V = ∬ 2 r asin(w/2r) dA = ∮ F dz with F(r) = r² asin(k/r) + k √(r² - k²), k = w/2. Good to 1e-9.

    Args:
        section: of the jar, in the state that width and level are in, mm.
        width: of the notch, a chord.
        level: of the notch's floor.

    Raises:
        Fault: the notch is wider than the clay it is cut into.
    """
    return _taken(section.outline, width, level, 1.0)


def taken_from_lid_mm3(section: Section, width: float, level: float) -> float:
    """Clay that a notch takes off the edge of a lid, mm³: all of it below a level; otherwise as for a jar."""
    return _taken(section.outline, width, level, -1.0)


def capacity_mm3(jar: Jar, depth: float) -> float:
    """What the jar holds to the notch's floor, `depth` under the rim, mm³: it runs over there."""
    return volume_below(jar.inside, jar.rim_mm - depth)


def _taken(outline: Curve, width: float, level: float, side: float) -> float:
    half = width / 2
    cuts = np.concatenate([[0.0], outline.crossings(1, level), [float(len(outline))]])
    total = 0.0
    for first, last in pairwise(cuts):
        if last - first < 1e-9 or side * (outline.at((first + last) / 2)[1] - level) < 0:
            continue
        beyond = outline.part(float(first), float(last))
        narrow = beyond.lowest(0)[1]
        if narrow < half:
            raise Fault(
                "the notch is wider than the clay it is cut into",
                f"{width:.1f} mm",
                f"less than {2 * narrow:.1f} mm",
                "notch.cutters",
            )
        total += _swept(beyond.cubics, half)
    return total


def _swept(cubics: Floats, half: float) -> float:
    """∫ F(r) dz along the cubics, each cut into twice as many pieces until that changes nothing."""
    before = math.inf
    for halvings in range(_MOST_HALVINGS):
        pieces = 2**halvings
        t = (np.arange(pieces)[:, None] + (_NODES + 1) / 2).ravel() / pieces
        weights = np.tile(_WEIGHTS / 2, pieces) / pieces
        r = np.maximum(np.einsum("gk,nk->ng", bernstein(t), cubics[:, :, 0]), half)
        dz = np.einsum("gk,nk->ng", bernstein_slope(t), cubics[:, :, 1])
        swept = (r**2 * np.arcsin(half / r) + half * np.sqrt(r**2 - half**2)) * dz
        now = float((swept @ weights).sum())
        if abs(now - before) <= _ENOUGH * abs(now):
            break
        before = now
    return now
