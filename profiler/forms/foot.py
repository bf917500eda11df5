"""The foot of a piece: a flat base or a turned ring, its recess, and where the wall grows out of it."""

from __future__ import annotations

import numpy as np

from ..faults import Fault
from ..geometry.curve import Curve, Floats, line
from ..geometry.fillet import NoRoomError, filleted, rounded
from ..geometry.offset import Taper
from ..geometry.root import first_root
from ..geometry.tolerance import JOIN_MM
from .shape import Asked, Ring, Shape
from .wall import rim_between, walled

_LEAST_SIDE_MM = 1.0
"""A ring's side lower than this cannot be turned or felt."""
_LEAST_ROOM_MM = 0.5


def foot_place(inside: Curve, radius: float, foot_wall: float, rim_wall: float) -> float | None:
    """Place on the inside across the wall from where the outside is at `radius`; None if nowhere."""

    def beyond(places: Floats) -> Floats:
        way = inside.direction(places)
        left = np.stack([-way[:, 1], way[:, 0]], axis=1)
        slope = (rim_wall - foot_wall) / np.maximum(inside.length - inside.arc_length_at(places), foot_wall)
        slope = np.clip(slope, -0.5, 0.5)
        across = slope[:, None] * way + np.sqrt(1 - slope**2)[:, None] * left
        return np.asarray(inside.at(places)[:, 0] - foot_wall * across[:, 0] - radius)

    return first_root(beyond, 0.0, float(len(inside)))


def taper_from(inside: Curve, place: float, asked: Asked) -> Taper:
    """The wall along the whole inside: `foot_wall` at the place, `rim_wall` at the end."""
    run = float(inside.arc_length_at(place))
    slope = (asked.rim_wall - asked.foot_wall) / (inside.length - run)
    return Taper(asked.foot_wall - slope * run, slope)


def taper_slope(inside: Curve, asked: Asked) -> float:
    """Change of the wall per mm of inside; 0 when the foot is out of reach (a fault elsewhere)."""
    place = foot_place(inside, asked.ring.outer_diameter / 2, asked.foot_wall, asked.rim_wall)
    return 0.0 if place is None else taper_from(inside, place, asked).slope


def on_ring(inside: Curve, asked: Asked) -> Shape:
    """A piece designed from the inside, set on its foot.

    Raises:
        Fault: the foot is wider than the wall, or there is no room for the ring's side.
    """
    ring = asked.ring
    radius = ring.outer_diameter / 2
    place = foot_place(inside, radius, asked.foot_wall, asked.rim_wall)
    if place is None:
        raise Fault(
            "the foot is wider than the pot leaves room for",
            f"{ring.outer_diameter:.1f} mm",
            f"less than {2 * (inside.end[0] - asked.foot_wall):.0f} mm",
            "foot_ring.outer_diameter",
        )
    taper = taper_from(inside, place, asked)
    upper = inside.part(place, float(len(inside)))
    wall = walled(upper, Taper(asked.foot_wall, taper.slope), from_inside=True)
    if abs(float(wall.start[0]) - radius) > JOIN_MM:
        raise Fault(
            "the foot is so wide that there is hardly a wall between it and the rim",
            f"{ring.outer_diameter:.1f} mm",
            "a narrower foot",
            "foot_ring.outer_diameter",
        )
    side = float(wall.start[1])
    if 0 < side < 1.2 * ring.edge and side >= _LEAST_SIDE_MM:
        raise Fault(
            "the rounding of the foot's edge is larger than the foot's side",
            f"{ring.edge:.1f} mm",
            f"at most {side / 1.2:.1f} mm",
            "foot_ring.edge",
        )
    if side < _LEAST_SIDE_MM:
        raise Fault(
            "the wall meets the table before it meets the foot: its outside is "
            f"{side:.1f} mm high where the foot ends",
            f"floor {asked.floor:.1f}, ring {ring.depth:.1f} deep, wall {asked.foot_wall:.1f} mm at the foot",
            f"a thicker floor, a deeper ring, or a thinner wall at the foot: {_LEAST_SIDE_MM:.1f} mm of side",
            "wall" if asked.foot_wall > asked.floor + ring.depth else "foot_ring.depth",
        )
    rise = line([radius, 0.0], [radius, side])
    joined = _junction(rise, wall, ring.nose)
    recess = recess_face(inside, asked) if ring.depth else None
    base, edge_out = base_of(ring, recess)
    outside = edged_foot(base, joined[0], edge_out)
    return Shape(
        base=outside[0],
        outside=outside[1] + joined[1],
        rim=rim_between(wall, inside),
        inside=inside,
        wall_start=float(len(outside[1] + joined[1]) - len(joined[2])),
        rim_diameter=2 * rim_between(wall, inside).highest(0)[1],
        foot_diameter=ring.outer_diameter,
        stands_on=float(outside[0].end[0]),
        recess=recess,
    )


def _junction(rise: Curve, wall: Curve, nose: float) -> tuple[Curve, Curve, Curve]:
    """The ring's side, what follows it, and the bare wall within that."""
    radius = min(nose, 0.5 * rise.length)
    try:
        made = filleted(rise, wall, radius)
    except NoRoomError:
        made = None
    return (rise, wall, wall) if made is None else (made[0], made[1] + made[2], made[2])


def edged_foot(base: Curve, side: Curve, radius: float) -> tuple[Curve, Curve]:
    """Base and the ring's side with the edge between them rounded: (base, edge + side)."""
    try:
        made = filleted(base, side, radius)
    except NoRoomError as trouble:
        raise Fault(
            "the rounding of the foot's edge is larger than the foot",
            f"{radius:.1f} mm",
            "a smaller one",
            "foot_ring.edge",
        ) from trouble
    return (base, side) if made is None else (made[0], made[1] + made[2])


def recess_face(inside: Curve, asked: Asked) -> Curve:
    """The face of the clay inside the ring, from the axis out to beyond the ring's inner face."""
    ring = asked.ring
    reach = ring.outer_diameter / 2
    if ring.recess == "flat":
        return line([0.0, ring.depth], [reach, ring.depth])
    place = foot_place(inside, reach, asked.floor, asked.floor)
    lower = inside if place is None else inside.part(0.0, place)
    return walled(lower, Taper(asked.floor), from_inside=True)


def base_of(ring: Ring, recess: Curve | None) -> tuple[Curve, float]:
    """From the axis to the sharp outer edge of the standing face, and that edge's rounding.

    Raises:
        Fault: rings that overlap or leave no recess.
    """
    outer = ring.outer_diameter / 2
    if recess is None:
        return line([0.0, 0.0], [outer, 0.0]), ring.edge
    inner = outer - ring.width
    if inner <= 1.0:
        raise Fault(
            "the ring is so wide that nothing is left inside it",
            f"width {ring.width:.1f} of a ring {ring.outer_diameter:.1f} across",
            f"less than {outer - 1:.1f} mm",
            "foot_ring.width",
        )
    stops = [(inner, outer, 0.0)]
    if ring.inner_diameter is not None:
        second = ring.inner_diameter / 2
        if second > inner - 2.0:
            raise Fault(
                "the inner ring does not fit inside the outer one",
                f"{ring.inner_diameter:.1f} mm",
                f"at most {2 * inner - 4:.1f} mm",
                "foot_ring.inner_diameter",
            )
        stops.insert(0, (max(second - ring.inner_width, 0.0), second, ring.inner_short))
    curves: list[Curve] = []
    radii: list[float] = []
    at = 0.0
    for low, high, face in stops:
        if low > JOIN_MM:
            floor = _between(recess, at, low)
            curves += [floor, line(floor.end, [low, face])]
            radii += [min(ring.nose, 0.4 * (floor.end[1] - face)), ring.edge]
        if high == outer:
            curves.append(line([low, face], [high, face]))
        else:
            rise = _between(recess, high, inner).start
            curves += [line([low, face], [high, face]), line([high, face], rise)]
            radii += [ring.edge, min(ring.nose, 0.4 * (rise[1] - face))]
        at = high
    try:
        return rounded(curves, radii), ring.edge
    except NoRoomError as trouble:
        raise Fault(
            "the ring is too small for its rounded edges",
            f"width {ring.width:.1f}, depth {ring.depth:.1f}, edge {ring.edge:.1f} mm",
            "a wider ring or a smaller edge",
            "foot_ring",
        ) from trouble


def _between(recess: Curve, low: float, high: float) -> Curve:
    """The part of the recess face between two radii."""
    first = 0.0 if low <= JOIN_MM else float(recess.crossings(0, low)[0])
    return recess.part(first, float(recess.crossings(0, high)[0]))


def on_base(outside: Curve, asked: Asked, inside_corner: float) -> Shape:
    """A piece designed from the outside: the wall grows inward, a level floor meets it in a rounded corner.

    Args:
        outside: from the sharp edge of the foot at z = 0 to the rim's rounding, or to the axis where it closes.
        asked: wall, floor and ring.
        inside_corner: rounding between floor and wall inside, mm.

    Raises:
        Fault: the wall folds, the floor is above the rim, or a rounding has no room.
    """
    ring = asked.ring
    slope = (asked.rim_wall - asked.foot_wall) / outside.length
    wall_inside = walled(outside, Taper(asked.foot_wall, slope), from_inside=False)
    inside = inside_on_floor(wall_inside, ring.depth + asked.floor, inside_corner)
    recess = line([0.0, ring.depth], [ring.outer_diameter / 2, ring.depth]) if ring.depth else None
    base, edge = base_of(ring, recess)
    made = edged_foot(base, outside, edge)
    closes = outside.end[0] < JOIN_MM
    rim = line(outside.end, inside.end) if closes else rim_between(outside, inside)
    return Shape(
        base=made[0],
        outside=made[1],
        rim=rim,
        inside=inside,
        wall_start=0.0 if made[1] is outside else 1.0,
        rim_diameter=2 * rim.highest(0)[1],
        foot_diameter=ring.outer_diameter,
        stands_on=float(made[0].end[0]),
        recess=recess,
    )


def inside_on_floor(wall_inside: Curve, level: float, corner: float) -> Curve:
    """The inside of a wall from a level floor up, with the corner between them rounded.

    Raises:
        Fault: the floor is above the rim, the wall closes over the axis, or the corner has no room.
    """
    crossings = wall_inside.crossings(1, level)
    if len(crossings):
        upper = wall_inside.part(float(crossings[-1]), float(len(wall_inside)))
    elif wall_inside.start[1] > level > 0:
        upper = line([wall_inside.start[0], level], wall_inside.start) + wall_inside
    else:
        raise Fault(
            "the floor is higher than the wall",
            f"floor at {level:.1f} mm, wall ending at {wall_inside.end[1]:.1f} mm",
            "a higher piece or a thinner floor",
            "floor.thickness",
        )
    closes = wall_inside.end[0] < JOIN_MM
    if wall_inside.lowest(0)[1] < -JOIN_MM or (not closes and wall_inside.lowest(0)[1] <= _LEAST_ROOM_MM):
        raise Fault(
            "the wall leaves no room inside",
            f"an inside radius of {wall_inside.lowest(0)[1]:.1f} mm",
            "a thinner wall or a wider piece",
            "wall",
        )
    floor = line([0.0, level], upper.start)
    try:
        made = filleted(floor, upper, corner)
    except NoRoomError as trouble:
        raise Fault(
            "the rounding between floor and wall does not fit inside",
            f"{corner:.1f} mm",
            "a smaller one",
            "form.inside_corner",
        ) from trouble
    return floor + upper if made is None else made[0] + made[1] + made[2]
