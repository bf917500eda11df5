"""How the spoon lies in the jar: bowl on the inside, handle in the notch, its weight as low as it will go."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from ..faults import Fault
from ..geometry.curve import Floats
from ..geometry.section import Section
from .jar import SPACING_MM, Jar, Notched, bearing, mirrored, row, spaced
from .measured import Spoon

_ROUNDING_MM = 1e-6
_STEP_DEG = 1.0
_STEEPEST_DEG = 89.0
_ROUNDS = 5
_ROUND_SAMPLES = 17
_THINNED = 16
_CORNER = 0.1
"""Between two points on a curve that turns by less than so many radians no bowl comes to lie."""
_ROOM_MM = 3.0
"""What a degree moves a spoon 170 mm long."""
_NARROWS = 0.15
"""Each round's angles lie an eighth as far apart as those before; a little more, to be sure."""
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
        wall_mm: thickness of the wall along the notch's floor.
    """

    angle_deg: float
    sticks_out_mm: float
    handle_at: tuple[float, float]
    bowl_at: tuple[float, float]
    touches: tuple[tuple[float, float], ...]
    balance_at: tuple[float, float]
    end_at: tuple[float, float]
    wall_mm: float

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


def at_rest(jar: Jar, spoon: Spoon, depth: float) -> Rest:
    """The position with the lowest centre of mass among those where the handle bears and the bowl touches.

    At every angle from 0 up to nearly upright the handle is laid on the notch's floor and the spoon slid down along
    it until the bowl touches. A level floor bears at its inner edge as long as the handle rises outwards; a spoon
    that bore at the outer edge would be on its way out. Where clay stands further in below the notch (the joint of
    a cut lid, a neck) the handle bears on that. Angles at which some of the spoon would be in clay are left out.
    Places come out within 0.001 mm.

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
    bears, clay = jar.upper(near.points), np.concatenate([mirrored(jar.points), near.points])
    found = _lowest(spoon, bears, clay)
    if found is None:
        raise Fault(
            "the spoon's bowl finds no room in the jar with its handle in the notch",
            f"a bowl {spoon.bowl_length:g} mm long",
            f"one that lies clear of the wall in a mouth of {jar.mouth_mm:.1f} mm",
            "spoon.bowl_length",
        )
    return _lying(*found, spoon, near, bears, clay)


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


def _lowest(spoon: Spoon, bears: Floats, clay: Floats) -> tuple[float, Floats] | None:
    """Angle (radians) and bowl's centre of the spoon whose weight lies lowest; None where it finds no place.

    Every whole degree is tried against a part of the clay's points, which lets no spoon lie higher than all of them
    do; the best of them against all, until the best is one of these. Then the degrees beside it are searched.
    """
    angles = np.radians(np.linspace(0.0, _STEEPEST_DEG, round(_STEEPEST_DEG / _STEP_DEG) + 1))
    few = _thinned(clay)
    heights, centres = _slid_down(angles, spoon, bears, few)
    exact = np.zeros(len(angles), dtype=bool)
    while not exact[best := int(np.argmin(heights))]:
        beside = slice(max(best - 1, 0), best + 2)
        heights[beside], centres[beside] = _slid_down(angles[beside], spoon, bears, clay)
        exact[beside] = True
    if not np.isfinite(heights[best]):
        return None
    for room in (_ROOM_MM, np.inf):
        angle, height, centre = _beside(angles[best], centres[best], spoon, bears, clay, room)
        (true,), _ = _slid_down(np.array([angle]), spoon, bears, clay)
        if math.isfinite(height) and true <= height + _TOUCH_MM / 10:
            break
    return angle, centre


def _beside(
    angle: float, centre: Floats, spoon: Spoon, bears: Floats, clay: Floats, room: float
) -> tuple[float, float, Floats]:
    """Angle, height of the weight and bowl's centre of the lowest spoon within a degree of one, radians.

    Args:
        angle: to search beside.
        centre: of its bowl.
        spoon: as measured.
        bears: what the handle may lie on.
        clay: what it must not enter.
        room: clay within that of the spoon may come in its way; with the angles it narrows round by round.
    """
    step = math.radians(_STEP_DEG)
    for _ in range(_ROUNDS):
        clay = _close(angle, centre, spoon, clay, room)
        ends = max(angle - step, 0.0), min(angle + step, math.radians(_STEEPEST_DEG))
        angles = np.linspace(*ends, _ROUND_SAMPLES)
        heights, centres = _slid_down(angles, spoon, bears, clay)
        best = int(np.argmin(heights))
        angle, centre, step = float(angles[best]), centres[best], (ends[1] - ends[0]) / (_ROUND_SAMPLES - 1)
        room = max(room * _NARROWS, SPACING_MM)
    return angle, float(heights[best]), centre


def _thinned(clay: Floats) -> Floats:
    """Every sixteenth of the points, and all corners."""
    steps = np.diff(clay, axis=0)
    turns = np.abs(steps[:-1, 0] * steps[1:, 1] - steps[:-1, 1] * steps[1:, 0])
    kept = np.arange(len(clay)) % _THINNED == 0
    kept[1:-1] |= turns > _CORNER * np.hypot(*steps[:-1].T) * np.hypot(*steps[1:].T)
    kept[-1] = True
    few: Floats = clay[kept]
    return few


def _close(angle: float, centre: Floats, spoon: Spoon, clay: Floats, room: float) -> Floats:
    """The points of the clay within some room of a spoon."""
    apart = clay - centre
    along, off = apart @ _way(angle), apart @ np.array([-math.sin(angle), math.cos(angle)])
    by_bowl = np.hypot(*apart.T) < spoon.bowl_radius_mm + room
    by_handle = (along > 0) & (np.abs(off) < spoon.handle_thickness / 2 + room)
    close: Floats = clay[by_bowl | by_handle]
    return close


def _slid_down(angles: Floats, spoon: Spoon, bears: Floats, clay: Floats) -> tuple[Floats, Floats]:
    """Spoons slid down at some angles (radians): where they come to lie against some points.

    Returns:
        Heights of their centres of mass, (n,) mm, inf where no place is free of clay; centres of their bowls, (n, 2).
    """
    ways = np.stack([np.cos(angles), np.sin(angles)], axis=1)
    normals = np.stack([-ways[:, 1], ways[:, 0]], axis=1)
    radius, half = spoon.bowl_radius_mm, spoon.handle_thickness / 2
    over = normals @ bears.T
    highest = np.argmax(over, axis=1)
    across = np.take_along_axis(over, highest[:, None], axis=1) + half
    along, off = ways @ clay.T, np.abs(normals @ clay.T - across)
    # the handle runs on from the bowl's centre, so no clay may lie ahead of that in its way
    lowest = np.where(off < half - _ROUNDING_MM, along, -np.inf).max(axis=1, initial=-np.inf)
    # each point of clay keeps the bowl's centre off a stretch of the handle's way
    reach = np.sqrt(np.maximum(radius**2 - off**2, 0.0))
    first = np.where(off < radius, along - reach, np.inf)
    last = np.where(off < radius, along + reach, -np.inf)
    # from the first of them on up to where no stretch goes on
    at = np.maximum(first.min(axis=1, initial=np.inf), lowest)
    while True:
        further = np.maximum(at, np.where(first <= at[:, None], last, -np.inf).max(axis=1, initial=-np.inf))
        if (further <= at).all():
            break
        at = further
    free = at < (bears[highest] * ways).sum(axis=1)
    at = np.where(free, at, 0.0)
    centres = across * normals + at[:, None] * ways
    return np.where(free, centres[:, 1] + (spoon.balance_mm - radius) * ways[:, 1], np.inf), centres


def _lying(angle: float, centre: Floats, spoon: Spoon, near: Notched, bears: Floats, clay: Floats) -> Rest:
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
        wall_mm=near.wall_mm,
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
