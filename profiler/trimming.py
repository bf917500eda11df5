"""What trimming takes off, and the numbers she turns by."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from .clay.states import State
from .geometry.curve import Curve, Floats, chained, line
from .geometry.section import Section
from .geometry.tolerance import JOIN_MM
from .piece import Cast

_NEAR_MM = 0.01
"""The thrown clay may lie this far within the finished outline: a tenth of what callipers show."""


@dataclass(frozen=True)
class Shortage:
    """Where the thrown clay does not reach the finished outline, mm of the sized state.

    Attributes:
        depth_mm: how much is missing, square to the axis.
        z_mm: height of the worst place.
    """

    depth_mm: float
    z_mm: float


@dataclass(frozen=True)
class Trimming:
    """Trimming of one part.

    Attributes:
        removed_cm3: at leather-hard.
        removed_g: at leather-hard.
        reclaim_g: the same clay as plastic clay, back at throwing stiffness.
        floor_left_mm: on the axis, leather-hard.
        recess_above_head_mm: height of the recess's face above the wheel head, leather-hard and upside down.
        ring_above_head_mm: height of the ring's face above the wheel head; leather-hard.
        recess_depth_mm: depth inside the ring on the axis, leather-hard.
        side_cut_mm: the most that comes off at the side, level; leather-hard.
        side_cut_height_mm: where, above the finished foot; leather-hard.
    """

    removed_cm3: float
    removed_g: float
    reclaim_g: float
    floor_left_mm: float | None
    recess_above_head_mm: float | None
    ring_above_head_mm: float
    recess_depth_mm: float
    side_cut_mm: float
    side_cut_height_mm: float


def trimming(cast: Cast) -> Trimming:
    """The trimming of one part, from the difference of its two sections."""
    k_r, k_z = cast.scale(State.LEATHER_HARD)
    sized_cm3 = (cast.thrown.volume_mm3 - cast.section.volume_mm3) / 1000
    wet_r, wet_z = cast.scale(State.WET)
    wet_cm3 = sized_cm3 * wet_r**2 * wet_z
    height = cast.section.outline.highest(1)[1]
    face = float(cast.shape.base.start[1])
    cut, at = _side_cut(cast)
    # a lid thrown right way up has no floor, and turned over it stands on no rim
    floorless = cast.open_foot or cast.shape.solid
    return Trimming(
        removed_cm3=sized_cm3 * k_r**2 * k_z,
        removed_g=cast.body.mass_g(wet_cm3, State.LEATHER_HARD),
        reclaim_g=cast.body.mass_g(wet_cm3, State.WET),
        floor_left_mm=None if floorless else k_z * (float(cast.shape.inside.start[1]) - face),
        recess_above_head_mm=None if floorless else k_z * (height - face),
        ring_above_head_mm=k_z * height,
        recess_depth_mm=k_z * face,
        side_cut_mm=k_r * cut,
        side_cut_height_mm=k_z * at,
    )


def _below_blend(cast: Cast) -> tuple[Curve, Curve] | None:
    """The thrown and the finished outside below the blend, both upwards."""
    if cast.blend is None:
        return None
    outside = cast.shape.outside
    place = float(outside.crossings(1, float(cast.blend[1]))[-1])
    return Curve(cast.thrown_outside.cubics[:1]), outside.part(0.0, place)


@lru_cache(maxsize=8)
def _gaps(cast: Cast) -> tuple[Floats, Floats] | None:
    """Level distance from finished to thrown below the blend, and the heights, mm of the sized state."""
    below = _below_blend(cast)
    if below is None:
        return None
    thrown, finished = below[0].sampled(2000), below[1].sampled(40)
    reach = np.interp(finished[:, 1], thrown[:, 1], thrown[:, 0])
    return reach - finished[:, 0], finished[:, 1]


def _side_cut(cast: Cast) -> tuple[float, float]:
    gaps = _gaps(cast)
    if gaps is None:
        return 0.0, 0.0
    at = int(np.argmax(gaps[0]))
    return float(gaps[0][at]), float(gaps[1][at])


def shortage(cast: Cast) -> Shortage | None:
    """Where the thrown clay does not contain the finished piece, or None where it does everywhere."""
    gaps = _gaps(cast)
    if gaps is None:
        return None
    at = int(np.argmin(gaps[0]))
    if gaps[0][at] >= -_NEAR_MM:
        return None
    return Shortage(-float(gaps[0][at]), float(gaps[1][at]))


def waste(cast: Cast) -> tuple[Section, ...]:
    """What trimming takes off, each loop its own section, mm of the sized state.

    With clay under the ring (the skim) it is one loop. Without, the ring stands on the bat and parts the
    waste in two: the recess, and what lies outside the ring.
    """
    if cast.blend is None:
        return ()
    shape, base = cast.shape, cast.thrown_base
    top = _where_they_part(cast)
    if cast.bat < -JOIN_MM:
        loop = [base, top[0], *top[1], (shape.base + _up_to(shape.outside, top[2])).reversed()]
        return (_loop(loop),)
    face = len(shape.base) - 1
    made = []
    if face:
        inner = Curve(shape.base.cubics[:face])
        made.append(_loop([line(base.start, inner.end), inner.reversed()]))
    outer = _up_to(shape.outside, top[2])
    made.append(_loop([line(shape.base.end, base.end), top[0], *top[1], outer.reversed()]))
    return tuple(made)


def _where_they_part(cast: Cast) -> tuple[Curve, list[Curve], float]:
    """The thrown outside that bounds the waste, the run back to the finished outside, and its place there."""
    outside = cast.shape.outside
    place = float(outside.crossings(1, float(cast.blend[1]))[-1]) if cast.blend is not None else 0.0
    if np.abs(cast.thrown_outside.cubics[0, 3] - outside.at(place)).max() < JOIN_MM:
        return Curve(cast.thrown_outside.cubics[:1]), [], place
    # a thicker wall all the way up: back along the top, or where it has run out
    gap = np.abs(cast.thrown_outside.end - outside.end).max()
    back = [line(cast.thrown_outside.end, outside.end)] if gap > JOIN_MM else []
    return cast.thrown_outside, back, float(len(outside))


def _up_to(outside: Curve, place: float) -> Curve:
    return outside.part(0.0, place)


def _loop(curves: list[Curve]) -> Section:
    kept = [c for c in curves if len(c) > 1 or np.abs(c.end - c.start).max() > JOIN_MM]
    chain = chained(kept)
    if np.abs(chain.end - chain.start).max() > JOIN_MM:
        chain = chain + line(chain.end, chain.start)
    return Section(chain)
