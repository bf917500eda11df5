"""Slab patterns: the disc and the wrap of a straight-sided pot that is built instead of thrown; wet."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from ..clay.states import State
from ..forms.cylinder import CylinderSizes
from ..forms.points import PointsSizes
from ..geometry.curve import Curve, Floats, arc, chained, line, polyline
from ..lengths import mm
from ..lids.sizes import GalleryLid
from ..piece import Cast, Piece
from .drawing import Drawing
from .frame import Body, finished
from .lettering import Lettering, is_lid, lettering

BEVEL_DEGREES = 45
"""Slant of the joints."""

_FINE_RADIANS = 0.4  # an arc this short is 7e-8 of its radius off the circle
_FLAT_MM = 0.01  # an edge that bends less than this is drawn straight
_OFF_MM = 1.5  # a mark keeps off the cut by so much
_LEAST_BASE_MM = 15.0
_MOST_DEGREES = 300.0
_LINED_MM = 42.0  # a smaller disc needs the room for its words
_EVEN = 1.5  # thickest over thinnest of a wall that one rolled slab can stand for
_SAME_MM = 1e-6


@dataclass(frozen=True)
class _Slab:
    """A straight wall on a flat base as slabs, mm wet.

    Attributes:
        outer: outside radius at the table.
        foot: mid-thickness radius at the table.
        rim: mid-thickness radius at the top.
        height: from the table to the top of the rim.
        wall: thickness of the wall.
        floor: thickness of the base.
        thinnest: of the wall in the section.
        thickest: of the wall in the section.
    """

    outer: float
    foot: float
    rim: float
    height: float
    wall: float
    floor: float
    thinnest: float
    thickest: float


def frustum_net(d1: float, d2: float, height: float) -> tuple[float, float, float]:
    """The flat pattern of a truncated cone: inner radius, outer radius (in the unit given) and degrees.

    With R and r the radii and l the slant the pattern is a ring sector of radii r l/(R - r) and R l/(R - r)
    and angle 360 (R - r)/l. Two equal diameters make a rectangle: infinite radii and no angle.

    >>> [round(value, 4) for value in frustum_net(5, 8, 4)]
    [7.12, 11.392, 126.4044]

    Args:
        d1: one diameter.
        d2: the other.
        height: between the two, square to them.

    Raises:
        ValueError: a diameter under nothing, or both nothing, or a height not over nothing.
    """
    small, large = sorted((d1 / 2, d2 / 2))
    if not (small >= 0 and large > 0 and height > 0):
        raise ValueError(f"no truncated cone has diameters {d1} and {d2} and height {height}")
    if large == small:
        return math.inf, math.inf, 0.0
    slant = math.hypot(height, large - small)
    return small * slant / (large - small), large * slant / (large - small), 360 * (large - small) / slant


def slab_disc(piece: Piece, cast: Cast) -> Drawing | None:
    """The base in mm wet, its wide face up; None for a part that gets no slab patterns.

    Disc and wrap meet in a bevel that starts at the outer edge at the table.
    """
    return _disc(piece, cast, _slab(cast)) if _built(piece, cast) else None


def slab_wrap(piece: Piece, cast: Cast, overlap_mm: float | None = None) -> Drawing | None:
    """The wall in mm wet, outer face up; None for a part that gets no slab patterns.

    It is as long as the wall's mid-thickness is round, since a slab bent round is stretched outside and
    squeezed inside.

    Args:
        piece: what is built.
        cast: the part of it.
        overlap_mm: what it has past its seam; as thick as the wall, which is what two bevels at 45° take.
    """
    if not _built(piece, cast):
        return None
    slab = _slab(cast)
    return _wrap(piece, cast, slab, slab.thickest if overlap_mm is None else overlap_mm)


def _built(piece: Piece, cast: Cast) -> bool:
    return _straight(piece, cast) and why_no_slab_patterns(piece, cast) is None


def why_no_slab_patterns(piece: Piece, cast: Cast) -> str | None:
    """Why a straight-sided part gets no slab patterns, as a sentence; None where it gets them or is not straight."""
    if not _straight(piece, cast):
        return None
    if isinstance(piece.design.head.lid, GalleryLid):
        return "No slab patterns: the wall carries a ledge, which is thrown."
    if cast.shape.recess is not None:
        return "No slab patterns: the part has a turned foot ring."
    slab = _slab(cast)
    if slab.thickest > _EVEN * slab.thinnest:
        return (
            f"No slab patterns: the wall goes from {mm(slab.thinnest)} to {mm(slab.thickest)} mm wet, "
            "and a slab is even."
        )
    if min(slab.foot, slab.rim) < _LEAST_BASE_MM:
        return f"No slab patterns: the narrow end is under {2 * _LEAST_BASE_MM:.0f} mm across wet."
    if frustum_net(2 * slab.foot, 2 * slab.rim, slab.height)[2] > _MOST_DEGREES:
        return "No slab patterns: the wall is so flat that its pattern closes to a ring."
    return None


def _straight(piece: Piece, cast: Cast) -> bool:
    """Whether the part is the form itself and that has a straight wall; no lid, and nothing that closes."""
    sizes = piece.design.sizes
    if is_lid(cast) or cast.shape.closes:
        return False
    if isinstance(sizes, CylinderSizes):
        return sizes.belly == 0
    if isinstance(sizes, PointsSizes):
        return len(sizes.outside) == 2 and (sizes.inside is None or len(sizes.inside) == 2)
    return False


def _slab(cast: Cast) -> _Slab:
    """The finished wall as an even slab: its outside, and the mean of its thickness at both ends."""
    k_r, k_z = cast.scale(State.WET)
    outside = Curve(cast.shape.outside.cubics[-1:]).mapped(k_r, k_z)
    inside = Curve(cast.shape.inside.cubics[-1:]).mapped(k_r, k_z)
    way = (outside.end - outside.start) / np.hypot(*(outside.end - outside.start))
    inwards = np.array([-way[1], way[0]])
    ends = sorted(float((end - outside.start) @ inwards) for end in (inside.start, inside.end))
    wall = sum(ends) / 2
    top = k_z * cast.shape.rim.highest(1)[1]

    def at(height: float, off: float) -> float:
        """Radius at a height of the line so far inside the outside."""
        from_start = outside.start + off * inwards
        return float(from_start[0] + (height - from_start[1]) * way[0] / way[1])

    return _Slab(
        outer=at(0.0, 0.0),
        foot=at(0.0, wall / 2),
        rim=at(top, wall / 2),
        height=top,
        wall=wall,
        floor=k_z * float(cast.shape.inside.start[1]),
        thinnest=ends[0],
        thickest=ends[1],
    )


def _disc(piece: Piece, cast: Cast, slab: _Slab) -> Drawing:
    """The base, its wide face up: that face reaches to the outside, the narrow one a slab's thickness less."""
    narrow = slab.outer - slab.floor
    says = lettering(
        piece,
        cast,
        "slab pattern: disc",
        State.WET,
        (
            f"{mm(2 * slab.outer)} mm across, {mm(slab.floor)} mm thick, bevel {BEVEL_DEGREES}°",
            f"wide face up: the bevel leaves {mm(2 * narrow)} mm below",
            f"mid-thickness {mm(2 * slab.outer - slab.floor)} mm across",
        ),
    )
    ring = _round((0.0, 0.0), narrow, 0.0, 2 * math.pi)
    ring = chained([Curve(ring.cubics[:-1]), Curve(_ended(ring.cubics[-1:], ring.start))])
    return _pattern(
        "slab_disc",
        Body(
            profile=_round((0.0, 0.0), slab.outer, -math.pi / 2, math.pi / 2),
            outline=_round((0.0, 0.0), slab.outer, math.pi / 2, 1.5 * math.pi),
            lines=(ring,) if slab.outer > _LINED_MM else (),
            hang=(0.0, slab.outer),
        ),
        says,
    )


def _wrap(piece: Piece, cast: Cast, slab: _Slab, overlap: float) -> Drawing:
    """The wall, outer face up, its lower edge down; the profile is that edge from seam to seam."""
    inner, outer, degrees = frustum_net(2 * slab.foot, 2 * slab.rim, slab.height)
    round_mm = 2 * math.pi * slab.foot
    notes = [
        f"slab {mm(slab.wall)} mm thick; {mm(round_mm)} mm round at the lower edge, {mm(slab.height)} mm high",
        f"bevel the lower edge and both ends {BEVEL_DEGREES}°",
        f"the ends overlap {mm(overlap)} mm, from line to edge",
    ]
    # how far the lower edge of the sector bends away from straight
    if degrees == 0 or max(outer, inner) * (1 - math.cos(math.radians(degrees) / 2)) < _FLAT_MM:
        body = _rectangle(round_mm, math.hypot(slab.height, slab.rim - slab.foot), overlap)
    else:
        notes.insert(1, f"radii {mm(inner)} and {mm(outer)} mm, {degrees:.1f}°, on the mid-thickness")
        body = _sector(inner, outer, math.radians(degrees), overlap, wide_below=slab.foot > slab.rim)
    return _pattern("slab_wrap", body, lettering(piece, cast, "slab pattern: wrap", State.WET, notes))


def _rectangle(wide: float, high: float, overlap: float) -> Body:
    left = -wide / 2
    marks = tuple(line((x, _OFF_MM), (x, high - _OFF_MM)) for x in (left + overlap, -left))
    return Body(
        profile=line((left, 0.0), (-left, 0.0)),
        outline=polyline([(-left, 0.0), (-left + overlap, 0.0), (-left + overlap, high), (left, high), (left, 0.0)]),
        lines=marks,
        labels=_seams(marks),
        hang=(-left - 10.0, high - 10.0),
        grip=(0.0, high * 0.6),
    )


def _sector(inner: float, outer: float, turn: float, overlap: float, *, wide_below: bool) -> Body:
    """The ring sector with its lower edge's middle at the origin, the overlap at its right end."""
    low, high = (outer, inner) if wide_below else (inner, outer)
    sign = -1.0 if wide_below else 1.0
    # angles from the middle line, to the right; a line parallel to a radius leaves a circle at an arcsine

    def to_right(radius: float, off: float) -> float:
        return turn / 2 + math.asin(off / radius)

    def place(radius: float, angle: float) -> Floats:
        return np.array([radius * math.sin(angle), sign * (radius * math.cos(angle) - low)])

    def along(radius: float, first: float, last: float) -> Curve:
        made = _round((0.0, 0.0), radius, math.pi / 2 - first, math.pi / 2 - last)
        flipped = made.mapped(1.0, sign).moved(0.0, -sign * low).cubics.copy()
        flipped[0, 0], flipped[-1, 3] = place(radius, first), place(radius, last)
        return Curve(flipped)

    end_low, end_high = to_right(low, overlap), to_right(high, overlap)
    profile = along(low, -turn / 2, turn / 2)
    outline = chained(
        [
            along(low, turn / 2, end_low),
            line(place(low, end_low), place(high, end_high)),
            along(high, end_high, -turn / 2),
            line(place(high, -turn / 2), place(low, -turn / 2)),
        ]
    )
    seams = [
        (place(low, turn / 2), place(high, turn / 2)),
        (place(low, end_low - turn), place(high, end_high - turn)),
    ]
    marks = tuple(_short(a, b) for a, b in seams)
    return Body(
        profile=profile,
        outline=outline,
        lines=marks,
        labels=_seams(marks),
        hang=(place((low + high) / 2, turn / 2)[0] - 10.0, place((low + high) / 2, turn / 2)[1]),
        grip=(0.0, sign * (high - low) / 2),
    )


def _seams(marks: tuple[Curve, ...]) -> tuple[tuple[str, tuple[float, float]], ...]:
    middles = [m.at(0.5) for m in marks]
    right, left = sorted(middles, key=lambda p: -float(p[0]))
    return (
        ("seam", (float(right[0]) - 7.0, float(right[1]))),
        ("seam", (float(left[0]) + 7.0, float(left[1]))),
    )


def _short(start: Floats, end: Floats) -> Curve:
    """A line that keeps off both its ends."""
    way = (end - start) / np.hypot(*(end - start))
    return line(start + _OFF_MM * way, end - _OFF_MM * way)


def _round(centre: tuple[float, float], radius: float, first: float, last: float) -> Curve:
    """An arc in short cubics, so that a large radius stays round."""
    pieces = max(1, math.ceil(abs(last - first) / _FINE_RADIANS))
    angles = np.linspace(first, last, pieces + 1)
    return chained(arc(centre, radius, a, b) for a, b in pairwise(angles))


def _ended(cubics: Floats, end: Floats) -> Floats:
    made = cubics.copy()
    made[-1, 3] = end
    return made


def _pattern(name: str, body: Body, says: Lettering) -> Drawing:
    title, tool, _ = says.head
    return finished(name, body, replace(says, head=(title, tool, "for use wet, as rolled")))
