"""A lid cut from a closed form: thrown in one, then cut in two along a cone with a knife held at a slant."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import cos, isfinite, radians, sin
from typing import Literal, NamedTuple

import numpy as np

from ..faults import Fault
from ..forms.shape import Shape, closed
from ..geometry.curve import Curve, line
from ..geometry.section import Section
from ..geometry.tolerance import JOIN_MM

Slope = Literal["inward_down", "inward_up"]

LEAST_LID_G = 15.0
"""A lighter lid is a chip (common sense, no source)."""

_CLEAR = "one at which the knife comes out inside, clear of floor and top"
_SAME_PLACE = 1e-9  # two places on a chain this close are one crossing found twice
_ON_JOIN = 1e-11  # a crossing this close to a join is the join: no cubic without a length is left behind
_LEVEL = 1e-9  # a unit tangent that climbs less runs level, give or take rounding


@dataclass(frozen=True)
class Cut:
    """Where and how the knife goes, mm of the sized state.

    Attributes:
        height: above the table, where the middle of the gap meets the outside.
        angle: of the joint from horizontal, degrees, 0 to under 90.
        slope: seen going from outside to inside; `inward_down` makes the lid a plug, `inward_up` a cap.
        gap: what knife and sponge take together, square to the joint; half of it comes off each part.
        edge: rounding of the joint's edges by the sponge.
    """

    height: float
    angle: float
    slope: Slope
    gap: float
    edge: float

    @property
    def lean(self) -> float:
        """Angle from the axis outwards along the joint, radians: positive where the joint climbs outwards."""
        return radians(self.angle) * (1 if self.slope == "inward_down" else -1)


@dataclass(frozen=True, eq=False)
class CutPair:
    """Jar and lid, and the seat they share, mm of the sized state.

    Attributes:
        cut: what was asked.
        jar: its rim is the joint, from the outer to the inner edge.
        lid: standing at z = 0 on its lowest place; its base is the joint from the inner to the outer edge, its
            rim the line down the axis. `rim_diameter` is that of the joint's outer edge.
        kerf: what knife and sponge take; None where they take nothing.
        outer: (r, z) where the middle of the gap meets the outside, z from the jar's table.
        inner: (r, z) where it meets the inside.
        lid_cut_height: height of the lid's z = 0 before it is lifted off.
        lid_lift: height of the lid's z = 0 when the jar is closed.
    """

    cut: Cut
    jar: Shape
    lid: Shape
    kerf: Section | None
    outer: tuple[float, float]
    inner: tuple[float, float]
    lid_cut_height: float
    lid_lift: float

    @property
    def seat_width(self) -> float:
        """Of the middle line, square to the axis, mm."""
        return abs(self.outer[0] - self.inner[0])

    @property
    def centring_depth(self) -> float:
        """Of the middle line, along the axis, mm; positive for both slopes."""
        return abs(self.outer[1] - self.inner[1])

    @property
    def sink(self) -> float:
        """How far the closed lid sits below where it was cut, mm: gap / cos(angle)."""
        return self.lid_cut_height - self.lid_lift

    @property
    def way_through_mm(self) -> float:
        """Length of the knife's way through the wall, along the middle line."""
        return float(np.hypot(self.seat_width, self.centring_depth))


class _Met(NamedTuple):
    """What the knife meets: where along its way, which curve, and the place on it."""

    along: float
    curve: str
    place: float


def cut_apart(shape: Shape, cut: Cut) -> CutPair:
    """Cut a closed form in two: the curves split where the two faces of the cut truly cross them.

    In a frame turned by the slant each face of the cut is a level, so a crossing is the root of one cubic. The
    knife goes through the wall only: what its line would meet beyond the inside does not count.

    Raises:
        Fault: the form has a mouth, or such a cut does not part it (`lid.height`, `lid.angle`, `lid.gap`, ...).
    """
    _check_figures(cut)
    _check_closed(shape)
    place = _cut_place(shape, cut)
    seen = _seen(shape, cut.lean)
    exit_place = _exit_place(shape, cut, seen, place)
    level = float(seen["outside"].at(place)[1])
    outer = _gap_edges(seen["outside"], place, level, cut.gap / 2)
    inner = _gap_edges(seen["inside"], exit_place, level, cut.gap / 2)
    across = outer and inner and all(_straight_across(seen, *ends) for ends in zip(outer, inner, strict=True))
    if not (outer and inner and across):
        raise Fault(
            "the gap is wider than there is wall to cut",
            f"{cut.gap:.1f} mm at height {cut.height:.1f} mm",
            "a narrower gap, or a cut further from floor, top and corners",
            "lid.gap",
        )
    return _parted(shape, cut, (place, exit_place), outer, inner)


def _parted(
    shape: Shape, cut: Cut, middle: tuple[float, float], outer: tuple[float, float], inner: tuple[float, float]
) -> CutPair:
    """The pair, from places on outside and inside: of the middle line, and below and above the gap."""
    if outer[0] <= shape.wall_start:
        raise Fault("the gap reaches into the foot", f"{cut.height:.1f} mm", _CLEAR, "lid.height")
    jar_outside, jar_inside = shape.outside.part(0.0, outer[0]), shape.inside.part(0.0, inner[0])
    if jar_inside.end[1] <= jar_inside.start[1] + JOIN_MM:
        raise Fault(
            "the knife comes out through the floor, so the jar has no wall",
            f"at radius {jar_inside.end[0]:.1f}, height {jar_inside.end[1]:.1f} mm",
            "a higher cut",
            "lid.height",
        )
    jar = replace(
        shape,
        outside=jar_outside,
        rim=line(jar_outside.end, jar_inside.end),
        inside=jar_inside,
        rim_diameter=2 * float(jar_outside.end[0]),
    )
    lid_outside = shape.outside.part(outer[1], float(len(shape.outside)))
    lid_inside = shape.inside.part(inner[1], float(len(shape.inside)))
    kerf = None
    if cut.gap > JOIN_MM:
        outside, inside = shape.outside.part(*outer), shape.inside.part(*inner)
        kerf = Section(
            outside + line(outside.end, inside.end) + inside.reversed() + line(inside.start, outside.start)
        )
    lid, cut_height = _lid(lid_outside, shape.rim, lid_inside)
    r_outer, z_outer = shape.outside.at(middle[0])
    r_inner, z_inner = shape.inside.at(middle[1])
    return CutPair(
        cut=cut,
        jar=jar,
        lid=lid,
        kerf=kerf,
        outer=(float(r_outer), float(z_outer)),
        inner=(float(r_inner), float(z_inner)),
        lid_cut_height=cut_height,
        lid_lift=cut_height - cut.gap / cos(cut.lean),
    )


def _lid(outside: Curve, rim: Curve, inside: Curve) -> tuple[Shape, float]:
    """The lid standing at z = 0, and the height it was at."""
    base = line(inside.start, outside.start)
    outline = closed(base, outside, rim, inside).outline
    place, lowest = outline.lowest(1)
    stands = [p for p in (outline.at(place), base.start, base.end) if p[1] <= lowest + JOIN_MM]
    stands_on = max(float(p[0]) for p in stands)
    base, outside, rim, inside = (curve.moved(0.0, -lowest) for curve in (base, outside, rim, inside))
    shape = Shape(
        base=base,
        outside=outside,
        rim=rim,
        inside=inside,
        wall_start=0.0,
        rim_diameter=2 * float(base.end[0]),
        foot_diameter=2 * stands_on,
        stands_on=stands_on,
    )
    return shape, lowest


def _check_figures(cut: Cut) -> None:
    for name in ("height", "angle", "gap", "edge"):
        if not isfinite(getattr(cut, name)):
            raise Fault("not a number", str(getattr(cut, name)), "a number", f"lid.{name}")
    if cut.slope not in ("inward_down", "inward_up"):
        raise Fault("unknown slope of the cut", str(cut.slope), "inward_down or inward_up", "lid.slope")
    if not 0 <= cut.angle < 90:
        raise Fault(
            "the cut's angle is not one a knife can be held at",
            f"{cut.angle:g} degrees",
            "from horizontal, 0 to under 90; 30 to 45 as a rule",
            "lid.angle",
        )
    for name in ("gap", "edge"):
        if getattr(cut, name) < 0:
            raise Fault(f"the {name} is below nought", f"{getattr(cut, name):g} mm", "0 or more", f"lid.{name}")


def _check_closed(shape: Shape) -> None:
    on_axis = (shape.inside.start, shape.outside.end, shape.inside.end)
    if max(float(point[0]) for point in on_axis) > JOIN_MM:
        raise Fault(
            "a lid can only be cut from a closed form",
            "an open mouth or foot",
            "outside and inside that both end on the axis at the top, and a floor",
            "lid.kind",
        )


def _cut_place(shape: Shape, cut: Cut) -> float:
    """Where on the outside the middle of the gap starts: on the one wall that climbs past that height."""
    outside, top = shape.outside, shape.outside.highest(1)[1]
    found = outside.crossings(1, cut.height)
    wall = [float(u) for u in found if u > shape.wall_start] if cut.height < top - JOIN_MM else []
    climbing = [u for u in wall if outside.direction(u)[1] > _LEVEL]
    if len(climbing) > 1:
        where = " and ".join(f"{float(outside.at(u)[0]):.1f}" for u in climbing)
        raise Fault(
            "the outside passes the height of the cut more than once",
            f"{cut.height:.1f} mm, at radius {where} mm",
            "a height it passes once",
            "lid.height",
        )
    if not climbing:
        what = "the cut is above the top" if cut.height >= top - JOIN_MM else "the cut is in or below the foot"
        raise Fault(what, f"{cut.height:.1f} mm", _CLEAR, "lid.height")
    return _settled(climbing[0])


def _settled(place: float) -> float:
    return float(round(place)) if abs(place - round(place)) < _ON_JOIN else place


def _seen(shape: Shape, lean: float) -> dict[str, Curve]:
    """Base, outside and inside in a frame turned with the joint: first outwards along it, then square to it."""
    turn = np.array([[cos(lean), -sin(lean)], [sin(lean), cos(lean)]])
    curves = {"base": shape.base, "outside": shape.outside, "inside": shape.inside}
    return {name: Curve(curve.cubics @ turn) for name, curve in curves.items()}


def _met(seen: dict[str, Curve], place: float) -> _Met | None:
    """What a knife going in at a place of the outside meets first; None if that is the axis."""
    start, level = (float(x) for x in seen["outside"].at(place))
    met = [
        _Met(float(curve.at(u)[0]), name, float(u)) for name, curve in seen.items() for u in curve.crossings(1, level)
    ]
    return max((one for one in met if one.along < start - JOIN_MM), default=None)


def _exit_place(shape: Shape, cut: Cut, seen: dict[str, Curve], place: float) -> float:
    """The place on the inside where the knife comes out.

    Raises:
        Fault: it does not, at this angle or at this height.
    """
    enters = bool(seen["outside"].slope(place)[1] > 0)
    met = _met(seen, place) if enters else None
    if met is not None and met.curve == "inside" and 0 < _settled(met.place) < len(shape.inside):
        return _settled(met.place)
    if not enters:
        what = "the knife lies along the outside and never goes into the clay"
    elif met is None or met.curve == "inside":
        what = "the knife never comes out of the clay: its way ends on the axis"
    else:
        r, z = {"base": shape.base, "outside": shape.outside}[met.curve].at(met.place)
        side = "under the foot" if met.curve == "base" else "on the outside again"
        what = f"the knife does not reach the inside: it comes out {side}, at radius {r:.1f}, height {z:.1f} mm"
    level_cut = _met(_seen(shape, 0.0), place)
    if level_cut is not None and level_cut.curve == "inside":
        found = f"{cut.angle:g} degrees {cut.slope} at height {cut.height:.1f} mm"
        raise Fault(what, found, "a flatter cut, 30 to 45 degrees as a rule", "lid.angle")
    raise Fault(what, f"{cut.height:.1f} mm", _CLEAR, "lid.height")


def _gap_edges(curve: Curve, middle: float, level: float, half: float) -> tuple[float, float] | None:
    """The places below and above the middle where a curve, seen turned, leaves the gap; None if it does not."""
    below = [u for u in curve.crossings(1, level - half) if u <= middle + _SAME_PLACE]
    above = [u for u in curve.crossings(1, level + half) if u >= middle - _SAME_PLACE]
    if not below or not above:
        return None
    first, last = _settled(float(below[-1])), _settled(float(above[0]))
    if first <= 0 or last >= len(curve):
        return None
    if first < last:
        inside_gap = curve.part(first, last)
        if inside_gap.lowest(1)[1] < level - half - JOIN_MM or inside_gap.highest(1)[1] > level + half + JOIN_MM:
            return None
    return first, last


def _straight_across(seen: dict[str, Curve], outer: float, inner: float) -> bool:
    """Whether a face of the cut runs through clay from its outer edge to its inner."""
    met = _met(seen, outer)
    return met is not None and met.curve == "inside" and bool(abs(met.place - inner) < 1e-6)
