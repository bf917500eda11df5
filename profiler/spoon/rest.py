"""How the spoon lies in the jar: bowl on the inside, handle in the notch, its weight as low as it will go."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from ..faults import Fault
from ..geometry.curve import Floats
from ..geometry.section import Section
from .jar import SPACING_MM, Jar, Notched, bearing, mirrored, row, spaced
from .measured import Spoon

_ROUNDING_MM = 1e-6
_STEP_DEG = 1.0
_STEEPEST_DEG = 89.0
_ROUNDS = 6
_ROUND_SAMPLES = 17
_SPARSE = 8
_TOUCH_MM = 1e-3
"""Clay this close to the bowl touches it: ten times what the spacing of the points leaves open."""


@dataclass(frozen=True)
class Rest:
    """A spoon at rest in the plane of the notch; places are (x, z) in mm, x positive towards the notch.

    Attributes:
        angle_deg: of the handle.
        sticks_out_mm: length of handle beyond the outside of the wall, which is taken at the notch's floor;
            negative where the end does not come through the wall.
        handle_at: where the handle bears: the inner edge of the notch's floor, or clay inside that stands in further.
        bowl_at: centre of the bowl's disc.
        touches: where the bowl touches the inside, from the far side on.
        balance_at: the spoon's centre of mass.
        end_at: middle of the handle's end.
    """

    angle_deg: float
    sticks_out_mm: float
    handle_at: tuple[float, float]
    bowl_at: tuple[float, float]
    touches: tuple[tuple[float, float], ...]
    balance_at: tuple[float, float]
    end_at: tuple[float, float]

    @property
    def falls_in(self) -> bool:
        """Whether the handle ends before it reaches what it should lie on: the spoon slides into the jar."""
        angle = math.radians(self.angle_deg)
        beyond = [end - at for end, at in zip(self.end_at, self.handle_at, strict=True)]
        return beyond[0] * math.cos(angle) + beyond[1] * math.sin(angle) < 0

    @property
    def overhang_mm(self) -> float:
        """How far the centre of mass lies out beyond what the handle bears on; over 0 the spoon tips out."""
        return self.balance_at[0] - self.handle_at[0]

    @property
    def tips_out(self) -> bool:
        """Whether the spoon is so long that its weight lifts the bowl and it falls out of the jar."""
        return self.overhang_mm > 0


@lru_cache(maxsize=32)
def at_rest(jar: Jar, spoon: Spoon, depth: float) -> Rest:
    """The position with the lowest centre of mass among those where the handle bears and the bowl touches.

    At every angle from 0 up to nearly upright the handle is laid on the notch's floor and the spoon slid down along
    it until the bowl touches. A level floor bears at its inner edge as long as the handle rises outwards; a spoon
    that bore at the outer edge would be on its way out. Where clay stands further in below the notch (the joint of
    a cut lid, a neck) the handle bears on that. Angles at which some of the spoon would be in clay are left out.
    Places come out within 0.001 mm. The last few answers are kept: room, notch and drawing ask for the same.

    Args:
        jar: fired.
        spoon: as measured.
        depth: of the notch's floor under the rim, fired, mm; 0 if only the lid is notched.

    Raises:
        Fault: the bowl does not pass the mouth, or no position is free of clay; a depth as `Jar.notched` has it.
    """
    if spoon.bowl_width >= jar.mouth_mm:
        raise Fault(
            "the spoon's bowl is wider than the jar's mouth",
            f"{spoon.bowl_width:g} mm",
            f"less than {jar.mouth_mm:.1f} mm, fired",
            "spoon.bowl_width",
        )
    near = jar.notched(depth)
    bears = jar.upper(near.points)
    clay = np.concatenate([mirrored(jar.points), near.points])
    angles = np.linspace(0.0, math.radians(_STEEPEST_DEG), round(_STEEPEST_DEG / _STEP_DEG) + 1)
    angle = _lowest(angles, spoon, bears, clay)
    step = float(angles[1])
    for _ in range(_ROUNDS):
        angles = np.linspace(max(0.0, angle - step), angle + step, _ROUND_SAMPLES)
        heights = _heights(angles, spoon, bears, _in_reach(angle, step, spoon, bears, clay))
        angle = float(angles[np.argmin(heights)])
        step = float(angles[-1] - angles[0]) / (_ROUND_SAMPLES - 1)
    across, along = (float(found[0]) for found in _slid_down(np.array([angle]), spoon, bears, clay))
    if math.isnan(along):
        raise Fault(
            "the spoon's bowl finds no room in the jar with its handle in the notch",
            f"a bowl {spoon.bowl_length:g} mm long",
            f"one that lies clear of the wall in a mouth of {jar.mouth_mm:.1f} mm",
            "spoon.bowl_length",
        )
    way = _way(angle)
    return _lying(angle, spoon, near, bears, clay, across * np.array([-way[1], way[0]]) + along * way)


def upright_gap(rest: Rest, spoon: Spoon, lid: Section, depth: float) -> float:
    """The least room over the spoon under a lid that is shut, mm, measured upright, the way the lid comes down.

    Nought or more and the lid closes; below nought it rides up on the spoon by so much.

    Args:
        rest: how the spoon lies.
        spoon: as measured.
        lid: fired, in the jar's heights, lowered by its sink.
        depth: of the lid's notch, up from the lid's lowest place, fired, mm; 0 for none.
    """
    points = spaced(lid.outline)
    near = points
    if depth > 0:
        ceiling = lid.outline.lowest(1)[1] + depth
        across = lid.outline.at(lid.outline.crossings(1, ceiling))[:, 0]
        cut = row(float(across.min()), float(across.max()), ceiling)
        near = np.concatenate([points[points[:, 1] >= ceiling], cut])
    over = np.concatenate([mirrored(points), near])
    return float((over[:, 1] - _top(rest, spoon, over[:, 0])).min())


def _top(rest: Rest, spoon: Spoon, x: Floats) -> Floats:
    """Height of the spoon's upper side over some places, -inf where there is no spoon."""
    angle, centre = math.radians(rest.angle_deg), rest.bowl_at
    up = spoon.handle_thickness / 2 * np.array([-math.sin(angle), math.cos(angle)])
    corners = np.array([np.array(centre) + up, np.array(rest.end_at) + up, np.array(rest.end_at) - up])
    bar = np.interp(x, corners[:, 0], corners[:, 1], left=-np.inf, right=-np.inf)
    inside = spoon.bowl_radius_mm**2 - (x - centre[0]) ** 2
    disc = np.where(inside >= 0, centre[1] + np.sqrt(np.maximum(inside, 0.0)), -np.inf)
    top: Floats = np.maximum(bar, disc)
    return top


def _way(angle: float) -> Floats:
    """The direction of a handle, from the bowl out."""
    return np.array([math.cos(angle), math.sin(angle)])


def _lowest(angles: Floats, spoon: Spoon, bears: Floats, clay: Floats) -> float:
    """The first of the angles (radians) at which the centre of mass lies lowest.

    With some of the clay away a spoon slides no less far down: so every eighth point says how low it could lie at
    each angle, and all of them are asked only at angles at which that is lower than what was found.
    """
    could = _heights(angles, spoon, bears, clay[::_SPARSE]) - _ROUNDING_MM
    heights = np.full(len(angles), np.inf)
    for index in np.argsort(could, kind="stable"):
        if could[index] > heights.min():
            break
        heights[index] = _heights(angles[index : index + 1], spoon, bears, clay)[0]
    return float(angles[np.argmin(heights)])


def _in_reach(angle: float, step: float, spoon: Spoon, bears: Floats, clay: Floats) -> Floats:
    """The clay that bowl or handle can meet at angles (radians) no more than a step away."""
    span = float(np.hypot(*np.ptp(np.concatenate([clay, bears]), axis=0)))
    off = clay @ np.array([-math.sin(angle), math.cos(angle)]) - bearing(bears, angle, spoon.handle_thickness)[0]
    # turning by the step moves clay and bearing against each other by no more than this
    near: Floats = clay[np.abs(off) < max(spoon.bowl_radius_mm, spoon.handle_thickness) + step * span]
    return near


def _heights(angles: Floats, spoon: Spoon, bears: Floats, clay: Floats) -> Floats:
    """Height of the centre of mass of a spoon slid down at each angle (radians), mm; inf where it finds no place."""
    across, along = _slid_down(angles, spoon, bears, clay)
    beyond = spoon.balance_mm - spoon.bowl_radius_mm
    height: Floats = across * np.cos(angles) + (along + beyond) * np.sin(angles)
    return np.where(np.isnan(height), np.inf, height)


def _slid_down(angles: Floats, spoon: Spoon, bears: Floats, clay: Floats) -> tuple[Floats, Floats]:
    """Where the centre of the bowl comes to lie at each angle (radians).

    Returns:
        Its distance from the origin across the handle, and along it, mm; nan along where no place is free of clay.
    """
    cosine, sine = np.cos(angles), np.sin(angles)
    way, normal = np.stack([cosine, sine], axis=1), np.stack([-sine, cosine], axis=1)
    heights = normal @ bears.T
    highest = heights.argmax(axis=1)
    across = heights[np.arange(len(angles)), highest] + spoon.handle_thickness / 2
    ends = (bears[highest] * way).sum(axis=1)
    along, off = way @ clay.T, np.abs(normal @ clay.T - across[:, None])
    radius, half = spoon.bowl_radius_mm, spoon.handle_thickness / 2
    # the handle runs on from the bowl's centre, so no clay may lie ahead of that in its way
    lowest = np.where(off < half - _ROUNDING_MM, along, -np.inf).max(axis=1)
    # each point of clay keeps the bowl's centre off a stretch of the handle's way
    meets = off < radius
    reach = np.sqrt(np.maximum(radius**2 - off * off, 0.0))
    first, last = np.where(meets, along - reach, np.inf), np.where(meets, along + reach, -np.inf)
    # from where the lowest begins: past the end of every stretch that has begun by there, until none has
    place = first.min(axis=1)
    for start in (place, lowest):
        place = np.maximum(place, start)
        while True:
            past = np.maximum(place, np.where(first <= place[:, None], last, -np.inf).max(axis=1))
            if (past == place).all():
                break
            place = past
    return np.asarray(across), np.where(place < ends, place, np.nan)


def _lying(angle: float, spoon: Spoon, near: Notched, bears: Floats, clay: Floats, centre: Floats) -> Rest:
    way, radius = _way(angle), spoon.bowl_radius_mm
    end = centre + (spoon.length - radius) * way
    return Rest(
        angle_deg=math.degrees(angle),
        sticks_out_mm=float((end[0] - near.outer_mm) / way[0]),
        handle_at=_place(bearing(bears, angle, spoon.handle_thickness)[1]),
        bowl_at=_place(centre),
        touches=_touches(centre, radius, clay),
        balance_at=_place(centre + (spoon.balance_mm - radius) * way),
        end_at=_place(end),
    )


def _touches(centre: Floats, radius: float, clay: Floats) -> tuple[tuple[float, float], ...]:
    """One place for each run of clay that touches the disc, the nearest of the run."""
    away = np.hypot(*(clay - centre).T)
    close = np.flatnonzero(away <= radius + _TOUCH_MM)
    close = close[np.argsort(clay[close, 0], kind="stable")]
    runs = np.split(close, 1 + np.flatnonzero(np.hypot(*np.diff(clay[close], axis=0).T) > 10 * SPACING_MM))
    return tuple(_place(clay[run[np.argmin(away[run])]]) for run in runs)


def _place(point: Floats) -> tuple[float, float]:
    return float(point[0]), float(point[1])
