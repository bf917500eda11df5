"""A shallow dish on a hollow pedestal, thrown in two parts and joined."""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

import numpy as np
from pydantic import Field

from ..faults import Fault
from ..geometry.curve import Curve, Floats, chained, cubic, line
from ..geometry.fillet import NoRoomError, filleted
from ..geometry.offset import Taper
from ..geometry.tolerance import JOIN_MM
from ..lengths import Length
from .foot import on_ring, taper_slope
from .shape import Asked, Defaults, Form, Part, Shape
from .sizes import FormSizes
from .wall import to_rim, walled

_RIM_WAY = np.array([np.cos(np.radians(50)), np.sin(np.radians(50))])
"""A dish's edge climbs at 50 degrees."""

_ROUNDS = 12
_SETTLED_MM = 1e-9


class StandSizes(FormSizes):
    """Sizes of a dish on a pedestal."""

    kind: Literal["stand"]
    rim_diameter: Length = Field(description="Largest outside diameter of the dish.")
    height: Length = Field(description="From the table to the top of the dish.")
    dish_depth: Length | None = Field(None, description="Inside, at the middle; 0.12 of the rim.")
    joint_diameter: Length | None = Field(None, description="Where dish and pedestal are joined; 0.3 of the rim.")
    waist_diameter: Length | None = Field(None, description="Narrowest outside of the pedestal; 0.85 of the joint.")
    foot_diameter: Length | None = Field(None, description="Of the pedestal at the table; 0.5 of the rim.")


def build(sizes: StandSizes, asked: Asked) -> tuple[Part, ...]:
    """The curves of dish and pedestal; the dish's foot is as wide as the pedestal's top."""
    depth = sizes.dish_depth or 0.12 * sizes.rim_diameter
    joint = sizes.joint_diameter or 0.3 * sizes.rim_diameter
    dish_height = asked.floor + depth
    lift = sizes.height - dish_height
    if lift < 15:
        raise Fault(
            "the pedestal is too short to throw",
            f"{lift:.1f} mm under a dish {dish_height:.1f} mm high",
            f"a height of {dish_height + 15:.0f} mm or more",
            "form.height",
        )
    on_joint = replace(
        asked, ring=replace(asked.ring, outer_diameter=joint, depth=0.0, edge=0.0, inner_diameter=None)
    )
    dish = Part("dish", _dish(sizes, on_joint, dish_height), lift, ("inside",))
    pedestal = Part("pedestal", _pedestal(sizes, asked, joint, lift), 0.0, ("outside",), trimmed=False)
    return dish, pedestal


def _dish(sizes: StandSizes, asked: Asked, height: float) -> Shape:
    def inside_to(end: Floats) -> Curve:
        rise = float(end[1]) - asked.floor
        return cubic([0.0, asked.floor], [0.6 * end[0], asked.floor], end - 0.45 * rise / _RIM_WAY[1] * _RIM_WAY, end)

    inside = to_rim(
        inside_to,
        sizes.rim_diameter,
        height,
        lambda curve: taper_slope(curve, asked),
        asked.rim_wall,
        from_inside=True,
    )
    return on_ring(inside, asked)


def _pedestal(sizes: StandSizes, asked: Asked, joint: float, height: float) -> Shape:
    foot, waist = asked.ring.outer_diameter / 2, (sizes.waist_diameter or 0.85 * joint) / 2
    if waist - asked.foot_wall < 5:
        raise Fault(
            "the pedestal's waist leaves no room inside",
            f"{2 * waist:.1f} mm across, wall {asked.foot_wall:.1f} mm",
            "a wider waist or joint",
            "form.waist_diameter",
        )
    # the flare's edge is sharp before it is rounded: it starts further out, so that the rounded foot is as asked
    sharp, further, before = foot, 0.0, 0.0
    for _ in range(_ROUNDS):
        outside = _flare(sharp, waist, joint / 2, height)
        made = _edge(line([0.0, 0.0], outside.start), outside, asked.ring.edge)
        short = foot - made[1].part(0.0, 1.0).highest(0)[1]
        if abs(short) < _SETTLED_MM:
            break
        # out by what it is short, then by the chord through the last two
        further = further * short / (before - short) if further and before != short else short
        sharp, before = sharp + further, short
    slope = (asked.rim_wall - asked.foot_wall) / outside.length
    inside = _level_ends(walled(outside, Taper(asked.foot_wall, slope), from_inside=False), 0.0, height)
    rounded_base, rounded_outside = _edge(line(inside.start, outside.start), outside, asked.ring.edge)
    return Shape(
        base=rounded_base,
        outside=rounded_outside,
        rim=line(outside.end, inside.end),
        inside=inside,
        wall_start=0.0,
        rim_diameter=joint,
        foot_diameter=2 * foot,
        stands_on=float(rounded_base.end[0]),
    )


def _edge(base: Curve, outside: Curve, radius: float) -> tuple[Curve, Curve]:
    """Base and outside with the edge between them rounded, or left sharp where there is no room."""
    try:
        made = filleted(base, outside, radius)
    except NoRoomError:
        made = None
    return (base, outside) if made is None else (made[0], made[1] + made[2])


def _flare(foot: float, waist: float, joint: float, height: float) -> Curve:
    """The pedestal's outside from its radii at the table, the waist and the joint."""
    middle = 0.6 * height
    return chained(
        [
            cubic(
                [foot, 0.0], [foot - 0.45 * (foot - waist), 0.12 * height], [waist, 0.45 * middle], [waist, middle]
            ),
            cubic(
                [waist, middle],
                [waist, middle + 0.5 * (height - middle)],
                [joint - 0.4 * (joint - waist), height - 0.2 * (height - middle)],
                [joint, height],
            ),
        ]
    )


def _level_ends(curve: Curve, low: float, high: float) -> Curve:
    """The curve cut at two levels, or run on straight to them where it ends short."""
    if curve.start[1] > low + JOIN_MM:
        way = curve.direction(0.0)
        curve = line(curve.start - way * (curve.start[1] - low) / way[1], curve.start) + curve
    elif curve.start[1] < low - JOIN_MM:
        curve = curve.part(float(curve.crossings(1, low)[0]), float(len(curve)))
    if curve.end[1] < high - JOIN_MM:
        way = curve.direction(len(curve))
        curve = curve + line(curve.end, curve.end + way * (high - curve.end[1]) / way[1])
    elif curve.end[1] > high + JOIN_MM:
        curve = curve.part(0.0, float(curve.crossings(1, high)[-1]))
    return curve


FORM = Form(
    kind="stand",
    sizes=StandSizes,
    defaults=Defaults(
        rim_wall=4.5,
        foot_wall=5.0,
        floor=6.0,
        ring_depth=0.0,
        loss_percent=8.0,
        base_margin=6.0,
        blend_share=0.6,
    ),
    foot_diameter=lambda sizes: sizes.foot_diameter or 0.5 * sizes.rim_diameter,
    foot_named=lambda sizes: sizes.foot_diameter,
    height=lambda sizes: sizes.dish_depth or 0.12 * sizes.rim_diameter,
    build=build,
    takes_ring=False,
)
