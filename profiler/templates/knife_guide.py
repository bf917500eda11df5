"""The knife guide: stands on the fixed table beside the wheel and leads the knife that cuts a lid from its jar.

What stands on the bat turns with it, so the guide stands beside the wheel head and reaches over it to the pot.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from ..geometry.curve import Curve, Floats, line
from ..lengths import mm
from .drawing import Drawing
from .frame import CORNER_MM, Body, Mark, finished, legs, point
from .lettering import Lettering
from .pointer_card import BAT_MM
from .room import dense

Slope = Literal["inward_down", "inward_up"]
"""Where the cut goes, from the outside to the inside."""

CLEAR_MM = 5.0
"""Kept between guide and pot, which may run out of true."""
EDGE_MM = 60.0
"""Length of the edge the knife lies on: most of a potter's blade (common practice, no source)."""
LEAST_EDGE_MM = 25.0
"""A shorter edge does not hold a slant."""
HAND_MM = 30.0
"""Room over the bat for the hand, where the knife comes from below (common practice, no source)."""

_ARM_MM, _LEAST_ARM_MM = 45.0, 10.0
_OVER_BAT_MM, _BESIDE_MM = 6.0, 10.0
_FOOT_MM, _BEYOND_MM = 96.0, 30.0
_INNER_CORNER_MM, _FOOT_CORNER_MM = 10.0, 2.0
_MOST_ASIDE = math.radians(70)  # a nose undercut further is too thin to lead a knife
_FURTHEST_MM = 30.0  # a blade led further from the pot wanders
_PAST_WALL_MM = 3.0
_SCREW_MM = 3.0


@dataclass(frozen=True, eq=False)
class Cut:
    """A cut along a cone, in mm of the state the pot is cut in.

    Attributes:
        outer: (r, z) where the middle of the cut meets the outside; z from the finished foot.
        slant_degrees: from level.
        slope: where it goes.
        outside: of the closed form, z from the finished foot; what the guide keeps clear of.
        way_through_mm: along the slant from the outside to the inside of the wall.
        skim_mm: how much lower than the finished foot the pot stands before it is turned.
    """

    outer: tuple[float, float]
    slant_degrees: float
    slope: Slope
    outside: Curve
    way_through_mm: float
    skim_mm: float = 0.0


@dataclass(frozen=True)
class Bench:
    """Her wheel and her knife, real mm. The defaults are a guess at a common wheel (no source): measure yours.

    Attributes:
        head_over_table_mm: height of the wheel head over the table the guide stands on.
        bat_mm: thickness of the bat; 0 where the pot stands on the wheel head.
        turning_radius_mm: of the wheel head or the bat, whichever reaches further.
        knife_mm: thickness of the blade where it lies on the guide; 0 lays the edge in the middle of the cut.
        turned: whether the pot is cut after its foot was turned.
    """

    head_over_table_mm: float = 50.0
    bat_mm: float = BAT_MM
    turning_radius_mm: float = 160.0
    knife_mm: float = 0.0
    turned: bool = False


COMMON = Bench()
"""The defaults."""


@dataclass(frozen=True, eq=False)
class _Place:
    """Where the guide's parts go: x from the wheel's middle, y from the table, mm.

    Attributes:
        start: of the edge, beside the pot.
        end: of the edge, away from it.
        into: unit vector from the edge into the body.
        level: of the arm's other side: under it where the knife lies on it, over it where it comes from below.
        nose: x where the side towards the pot meets that level.
        foot: x of the foot's inner end.
        aside: how far that side leans away from upright, radians.
        off: from where the cut meets the outside to `start`, along the cut.
        long: length of the edge; not over nothing where there is no room for one.
    """

    start: Floats
    end: Floats
    into: Floats
    level: float
    nose: float
    foot: float
    aside: float
    off: float
    long: float


def knife_guide(says: Lettering, cut: Cut, bench: Bench = COMMON) -> Drawing:
    """The guide in mm, the table at y = 0, the wheel's middle at x = 0.

    Its edge lies half a blade off the middle of the cut. Where the cut goes inward and down the knife lies on the
    edge; where it goes inward and up the guide hangs over the knife, which is held up against it: the hand comes
    from below there, and an arm under it would meet the bat.

    Args:
        says: what it says besides its heights.
        cut: the cut it is made for.
        bench: her wheel and her knife.

    Raises:
        ValueError: `why_no_knife_guide` tells why not.
    """
    why = why_no_knife_guide(cut, bench)
    if why is not None:
        raise ValueError(why)
    at, down = _place(cut, bench), cut.slope == "inward_down"
    (x0, y0), (x1, y1) = point(at.start), point(at.end)
    right = max(at.foot + _FOOT_MM, x1 + _BEYOND_MM)
    stand = [(right, 0.0, _FOOT_CORNER_MM), (at.foot, 0.0, _FOOT_CORNER_MM)]
    nose = (at.nose, at.level, CORNER_MM)
    if down:
        corners = [(right, y1, CORNER_MM), *stand, (at.foot, at.level, _INNER_CORNER_MM), nose]
    else:
        corners = [(at.foot, y1, _INNER_CORNER_MM), *stand[::-1], (right, at.level, CORNER_MM), nose]
    top = max(y1, at.level)
    middle, edge = (at.foot + right) / 2, (at.start + at.end) / 2
    first, rest = _notes(cut, bench, at)
    return finished(
        "knife_guide",
        Body(
            profile=line(at.start, at.end),
            outline=legs([(x1, y1, 0.0), *corners, (x0, y0, 0.0)]),
            marks=(Mark(point(edge), point(at.into), f"{cut.slant_degrees:.3g}°"),),
            lines=tuple(screw for x in (at.foot + 16.0, right - 16.0) for screw in _screw(x, 16.0)),
            labels=(
                ("on the table", (middle, 4.0)),
                ("screw to a block", (middle, 16.0)),
                ("knife on this edge" if down else "knife under this edge", point(edge + 14.0 * at.into)),
            ),
            hang=(right - 12.0, top - 12.0),
            grip=(middle, top / 2),
            upright=True,
        ),
        replace(says, notes=(first, *says.notes[:-1], *rest, *says.notes[-1:])),
    )


def why_no_knife_guide(cut: Cut, bench: Bench = COMMON) -> str | None:
    """Why there is no guide for this cut, as a sentence; None where there is one."""
    if not 0 < cut.slant_degrees < 90:
        return f"No knife guide: a slant of {cut.slant_degrees:.3g}° is no cone."
    at = _place(cut, bench)
    if at.off > _FURTHEST_MM or at.aside > _MOST_ASIDE:
        return "No knife guide: the pot's own wall is in the way of the knife."
    over_bat = float(at.start[1]) - bench.head_over_table_mm - bench.bat_mm
    if cut.slope == "inward_down" and at.start[1] - at.level < _LEAST_ARM_MM:
        return f"No knife guide: {mm(over_bat)} mm over the bat leaves no room for an arm under the knife."
    if cut.slope == "inward_up" and at.long < LEAST_EDGE_MM:
        return f"No knife guide: {mm(over_bat)} mm over the bat leaves no room for a hand under the knife."
    return None


def _place(cut: Cut, bench: Bench) -> _Place:
    down = cut.slope == "inward_down"
    bat = bench.head_over_table_mm + bench.bat_mm
    foot = bat + (0.0 if bench.turned else cut.skim_mm)
    slant, away = math.radians(cut.slant_degrees), -1.0 if down else 1.0
    way = np.array([math.cos(slant), -away * math.sin(slant)])
    into = np.array([math.sin(slant), away * math.cos(slant)])
    lifted = np.array([0.0, foot])
    pot = dense(cut.outside) + lifted
    met = np.array(cut.outer) + lifted + bench.knife_mm / 2 * into
    # the edge starts where it leaves the last of the circles round the places of the outside
    along, off = (pot - met) @ way, (pot - met) @ into
    near = np.abs(off) < CLEAR_MM
    begin = float((along[near] + np.sqrt(CLEAR_MM**2 - off[near] ** 2)).max(initial=CLEAR_MM))
    start = met + begin * way
    long = EDGE_MM if down else min(EDGE_MM, float(start[1] - bat - HAND_MM) / math.sin(slant))
    end = start + long * way
    level = max(bat + _OVER_BAT_MM, float(start[1]) - _ARM_MM) if down else float(start[1]) + _ARM_MM
    high = abs(float(start[1]) - level)
    aside = _aside(pot - start, away, high)
    nose = float(start[0]) + high * math.tan(min(aside, _MOST_ASIDE))
    beside = max(bench.turning_radius_mm, float(pot[:, 0].max())) + _BESIDE_MM
    inner = max(beside, (nose if down else float(end[0])) + 2 * _INNER_CORNER_MM)
    return _Place(start, end, into, level, nose, inner, aside, begin, long)


def _aside(pot: Floats, away: float, high: float) -> float:
    """The least lean outward of a side that runs from the origin up or down and stays clear of the pot, radians."""
    up = away * pot[:, 1]
    beside = pot[(up > 0) & (up < high + CLEAR_MM)]
    if not len(beside):
        return 0.0
    far = np.maximum(np.hypot(*beside.T), CLEAR_MM)
    return float((np.arctan2(beside[:, 0], away * beside[:, 1]) + np.arcsin(CLEAR_MM / far)).max(initial=0.0))


def _notes(cut: Cut, bench: Bench, at: _Place) -> tuple[str, tuple[str, ...]]:
    """The height it is made for, with that of the foot's other state, and the rest that is needed at the wheel."""
    turned, before = mm(cut.outer[1]), mm(cut.outer[1] + cut.skim_mm)
    height = (
        f"cut {turned} mm above the bat, foot turned ({before} before)"
        if bench.turned
        else f"cut {before} mm above the bat, foot not yet turned ({turned} once turned)"
    )
    on = f"bat of {mm(bench.bat_mm)}" if bench.bat_mm else "no bat"
    past = mm(at.off + cut.way_through_mm + _PAST_WALL_MM)
    way = "down" if cut.slope == "inward_down" else "up"
    return height, (
        f"slant {cut.slant_degrees:.3g}° inward and {way}, blade {past} mm past the edge",
        f"wheel head {mm(bench.head_over_table_mm)} mm above the table, {on}: measure, then pack or plane",
        "pot held down with clay, slow wheel, hand out of the blade's way",
    )


def _screw(x: float, y: float) -> tuple[Curve, Curve]:
    """A cross where a screw goes."""
    return line((x - _SCREW_MM, y), (x + _SCREW_MM, y)), line((x, y - _SCREW_MM), (x, y + _SCREW_MM))
