"""A wall of given thickness at foot and rim, made from its inside or from its outside."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from ..faults import Fault
from ..geometry.curve import Curve, Floats
from ..geometry.offset import FoldError, Taper, offset
from .rim import cap, end_ways, overhang

_ROUNDS = 12
_SETTLED_MM = 1e-11
STEEPEST = 0.5
"""Change of thickness per length of wall: steeper is a wedge, not a wall."""


def to_rim(
    governing: Callable[[Floats], Curve],
    rim_diameter: float,
    height: float,
    taper_of: Callable[[Curve], float],
    rim_wall: float,
    *,
    from_inside: bool,
) -> Curve:
    """The governing curve whose rounded rim has just that diameter and height.

    The rounding depends on the direction and taper at the curve's end, those on where the end is: a fixed
    point, reached in a few rounds since the end moves the direction very little.

    Raises:
        Fault: the wall tapers too fast.

    Args:
        governing: makes the curve that ends at a given point.
        rim_diameter: largest outside diameter within the rounding, mm.
        height: of the top, mm.
        taper_of: change of the wall per mm of that curve.
        rim_wall: thickness at the rim, mm.
        from_inside: whether the curve is the inside.
    """
    end = np.array([rim_diameter / 2 - (rim_wall if from_inside else 0.0), height - rim_wall / 2])
    curve, off, guessed = governing(end), np.zeros(2), end
    for _ in range(_ROUNDS):
        way = curve.direction(len(curve))
        taper = taper_of(curve)
        if abs(taper) > STEEPEST:
            raise Fault(
                "the wall changes faster from foot to rim than it can be thrown",
                f"{rim_wall:.1f} mm at the rim",
                "thicknesses at rim and foot that are closer together",
                "wall",
            )
        squeeze = 1 - rim_wall * float(curve.curvature(len(curve)))
        out_way, in_way = end_ways(way, taper, squeeze, from_inside=from_inside)
        across = rim_wall * np.array([-out_way[1], out_way[0]])
        outer, inner = (end - across, end) if from_inside else (end, end + across)
        reach_r, reach_z = overhang(cap(outer, out_way, inner, in_way), end)
        wanted = np.array([rim_diameter / 2 - reach_r, height - reach_z])
        off, last = wanted - end, off
        settled = np.abs(off).max() < _SETTLED_MM
        # what is wanted moves little and evenly with the end, so the chord through two rounds says where they meet
        change = off - last
        share = float(off @ change) / float(change @ change) if last.any() and change.any() and not settled else 0.0
        end, guessed = wanted - share * (wanted - guessed), wanted
        curve = governing(end)
        if settled:
            break
    return curve


def rim_between(outside: Curve, inside: Curve) -> Curve:
    """The rounded rim between two finished curves."""
    return cap(outside.end, outside.direction(len(outside)), inside.end, inside.direction(len(inside)))


def walled(curve: Curve, taper: Taper, *, from_inside: bool) -> Curve:
    """The other side of a wall: the outside of an inside, or the inside of an outside.

    Raises:
        Fault: the wall is thicker than the curve allows, with the height where it folds.
    """
    if from_inside:
        return _offset(curve, Taper(-taper.start_mm, -taper.slope), square_to_result=True)
    return _offset(curve, taper)


def thickened(outside: Curve, extra: Taper) -> Curve:
    """An outside moved out by an extra that is square to it.

    Raises:
        Fault: the extra folds in a hollow of the outside.
    """
    return _offset(outside, Taper(-extra.start_mm, -extra.slope))


def _offset(curve: Curve, distance: Taper, *, square_to_result: bool = False) -> Curve:
    try:
        return offset(curve, distance, square_to_result=square_to_result)
    except FoldError as fold:
        raise Fault(
            f"the wall is thicker than the curve allows: {fold}",
            f"{fold.distance_mm:.1f} mm of wall at height {fold.z_mm:.1f} mm",
            "a thinner wall or a softer curve there",
            "wall",
        ) from fold
