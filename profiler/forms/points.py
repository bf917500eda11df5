"""A pot given by points: measured with callipers, or drawn."""

from __future__ import annotations

from typing import Annotated, Literal

import numpy as np
from pydantic import Field

from ..faults import Fault
from ..geometry.curve import Curve, Floats, line, polyline
from ..geometry.offset import Taper
from ..geometry.tolerance import JOIN_MM
from ..lengths import Point
from .foot import base_of, edged_foot, inside_on_floor
from .shape import Asked, Defaults, Form, Part, Shape
from .sizes import FormSizes
from .wall import walled

_OVERSHOOT = 0.05
"""A smooth curve may leave the radii of its two neighbouring points by this share of the larger one."""


class PointsSizes(FormSizes):
    """Points of the outside and, if they were measured, of the inside."""

    kind: Literal["points"]
    outside: Annotated[list[Point], Field(min_length=2)] = Field(
        description="[radius, height] from the table up; the first at height 0."
    )
    inside: Annotated[list[Point], Field(min_length=2)] | None = Field(
        None, description="[radius, height] from the floor up; left out, wall and floor make it."
    )
    curve: Literal["straight", "smooth"] = Field("straight", description="How the points are joined.")


def build(sizes: PointsSizes, asked: Asked) -> tuple[Part, ...]:
    """The curves of a pot given by points."""
    outside = _through(sizes.outside, sizes.curve, "outside")
    if abs(outside.start[1]) > JOIN_MM:
        raise Fault(
            "the outside does not start on the table",
            f"height {outside.start[1]:.2f} mm",
            "0: heights are measured from the surface the finished piece stands on",
            "form.outside",
        )
    if sizes.outside[0][0] <= 1.0:
        raise Fault(
            "the outside starts on the axis, so there is no foot to stand on",
            f"radius {sizes.outside[0][0]:.2f} mm",
            "the radius of the base first",
            "form.outside",
        )
    lowest = min(outside.lowest(1)[1], *(z for _, z in sizes.inside or sizes.outside))
    if lowest < -JOIN_MM:
        raise Fault(
            "a point lies below the table",
            f"height {lowest:.2f} mm",
            "0 or more: heights are measured from the surface the finished piece stands on",
            "form.outside",
        )
    recess = line([0.0, asked.ring.depth], [outside.start[0], asked.ring.depth]) if asked.ring.depth else None
    if sizes.inside is None:
        inside = _made_inside(outside, asked)
    else:
        inside = _through(sizes.inside, sizes.curve, "inside")
        if inside.start[0] > JOIN_MM:
            inside = line([0.0, inside.start[1]], inside.start) + inside
    left = float(inside.start[1]) - asked.ring.depth
    if left <= 0:
        raise Fault(
            "the recess goes through the floor",
            f"floor at {inside.start[1]:.1f} mm, ring {asked.ring.depth:.1f} mm deep",
            f"a ring less deep than {inside.start[1]:.1f} mm",
            "foot_ring.depth",
        )
    base, edge = base_of(asked.ring, recess)
    base, outside = edged_foot(base, outside, edge)
    shape = Shape(
        base=base,
        outside=outside,
        rim=line(outside.end, inside.end),
        inside=inside,
        wall_start=0.0,
        rim_diameter=2 * float(outside.end[0]),
        foot_diameter=2 * sizes.outside[0][0],
        stands_on=float(base.end[0]),
        recess=recess,
    )
    return (Part("", shape, ribs=("inside", "outside"), flat_curve=sizes.curve == "straight"),)


def _made_inside(outside: Curve, asked: Asked) -> Curve:
    """The inside at the wall's thickness, from a level floor to a level rim, or to the axis where it closes."""
    slope = (asked.rim_wall - asked.foot_wall) / outside.length
    inside = walled(outside, Taper(asked.foot_wall, slope), from_inside=False)
    if outside.end[0] < JOIN_MM:
        return inside_on_floor(_to_axis(inside), asked.ring.depth + asked.floor, 0.0)
    top = float(outside.end[1])
    over = inside.crossings(1, top)
    if inside.end[1] < top - JOIN_MM:
        way = inside.direction(len(inside))
        inside = inside + line(inside.end, inside.end + way * (top - inside.end[1]) / way[1])
    elif inside.end[1] > top + JOIN_MM and len(over):
        inside = inside.part(0.0, float(over[-1]))
    return inside_on_floor(inside, asked.ring.depth + asked.floor, 0.0)


def _to_axis(inside: Curve) -> Curve:
    """The inside of a form that closes, ended on the axis: under a pointed top it passes it, under a hollow it stops.

    Raises:
        Fault: it runs along the axis and never comes to it.
    """
    way = inside.direction(len(inside))
    if abs(inside.end[0]) < JOIN_MM:
        return inside
    if inside.end[0] < 0:
        return inside.part(0.0, float(inside.crossings(0, 0.0)[-1]))
    if way[0] > -JOIN_MM:
        raise Fault(
            "the outside comes to the axis upright, so the wall beside it has no top",
            f"at height {inside.end[1]:.1f} mm",
            "a last run that leads inwards, or points of the inside",
            "form.outside",
        )
    return inside + line(inside.end, inside.end - way * inside.end[0] / way[0])


def _through(points: list[Point], curve: str, name: str) -> Curve:
    p = np.array(points, dtype=np.float64)
    steps = np.hypot(*np.diff(p, axis=0).T)
    if (steps < 0.01).any():
        at = int(np.argmin(steps))
        raise Fault(
            "two points that follow each other are the same",
            f"[{p[at][0]:.2f}, {p[at][1]:.2f}] mm",
            "each point once",
            f"form.{name}",
        )
    if curve == "straight" or len(p) == 2:
        return polyline(p)
    return _smooth(p, steps, name)


def _smooth(p: Floats, steps: Floats, name: str) -> Curve:
    """The C2 cubic spline through the points by chord length, as cubic Béziers."""
    from scipy.interpolate import CubicSpline  # half a second to import, and most designs need none

    knots = np.concatenate([[0.0], np.cumsum(steps)])
    # level where it meets the axis: a pot has no peak in its middle
    ends = p[0, 0] < JOIN_MM, p[-1, 0] < JOIN_MM
    level, free = ((1, [1.0, 0.0]), (1, [-1.0, 0.0])), (2, [0.0, 0.0])
    if any(ends):
        kinds = tuple(way if on_axis else free for way, on_axis in zip(level, ends, strict=True))
        slopes = CubicSpline(knots, p, bc_type=kinds)(knots, 1)  # type: ignore[arg-type]  # its stubs know no lists here
    else:
        slopes = CubicSpline(knots, p)(knots, 1)
    third = (np.diff(knots) / 3)[:, None]
    made = Curve(np.stack([p[:-1], p[:-1] + third * slopes[:-1], p[1:] - third * slopes[1:], p[1:]], axis=1))
    for index in range(len(made)):
        piece = Curve(made.cubics[index : index + 1])
        low, high = sorted((float(p[index, 0]), float(p[index + 1, 0])))
        beyond = max(piece.highest(0)[1] - high, low - piece.lowest(0)[1])
        if beyond > _OVERSHOOT * high or piece.lowest(0)[1] < -JOIN_MM:
            raise Fault(
                "the smooth curve swings out between two points",
                f"by {beyond:.1f} mm between heights {p[index, 1]:.1f} and {p[index + 1, 1]:.1f} mm",
                'one more point there, or curve = "straight"',
                f"form.{name}",
            )
    return made


FORM = Form(
    kind="points",
    sizes=PointsSizes,
    defaults=Defaults(
        rim_wall=4.0,
        foot_wall=4.0,
        floor=5.0,
        ring_depth=0.0,
        loss_percent=7.0,
        ring_edge=0.0,
        nose=0.0,
        trimmed=False,
    ),
    foot_diameter=lambda sizes: 2 * sizes.outside[0][0],
    foot_named=lambda sizes: 2 * sizes.outside[0][0],
    height=lambda sizes: max(z for _, z in sizes.outside),
    build=build,
)
