"""An open jar: foot, belly, neck and a rim that turns out, from the outside."""

from __future__ import annotations

from typing import Literal

import numpy as np
from pydantic import Field

from ..faults import Fault
from ..geometry.curve import Curve, Floats, chained, cubic
from ..lengths import Length, LengthOrZero
from .foot import on_base
from .shape import Asked, Defaults, Form, Part
from .sizes import FormSizes
from .wall import to_rim


class JarSizes(FormSizes):
    """Sizes of an open jar."""

    kind: Literal["jar"]
    belly_diameter: Length = Field(description="Widest outside diameter.")
    rim_diameter: Length = Field(description="Largest outside diameter at the rim.")
    height: Length = Field(description="From the table to the top of the rim.")
    foot_diameter: Length | None = Field(None, description="Outside at the table; 0.7 of the belly.")
    belly_height: Length | None = Field(None, description="Height of the widest place; 0.45 of the height.")
    neck_diameter: Length | None = Field(None, description="Outside at the narrowest place; 0.94 of the rim.")
    neck_height: Length | None = Field(None, description="Height of the neck; 0.86 of the height.")
    base_corner: LengthOrZero = Field(2.5, description="Rounding of the outside at the table.")
    inside_corner: LengthOrZero = Field(8.0, description="Rounding between floor and wall inside.")


def build(sizes: JarSizes, asked: Asked) -> tuple[Part, ...]:
    """The curves of a jar."""
    foot = np.array([asked.ring.outer_diameter / 2, 0.0])
    belly = np.array([sizes.belly_diameter / 2, sizes.belly_height or 0.45 * sizes.height])
    neck = np.array(
        [(sizes.neck_diameter or 0.94 * sizes.rim_diameter) / 2, sizes.neck_height or 0.86 * sizes.height]
    )
    _in_order(sizes, foot, belly, neck)
    up = np.array([0.0, 1.0])

    def outside_to(end: Floats) -> Curve:
        low, middle, high = belly[1] - foot[1], neck[1] - belly[1], end[1] - neck[1]
        # a foot narrower than the belly leaves the table leaning out, towards a point straight under it
        lean = np.array([0.45 * (belly[0] - foot[0]), 0.33 * low])
        return chained(
            [
                cubic(foot, foot + lean, belly - 0.5 * low * up, belly),
                cubic(belly, belly + 0.5 * middle * up, neck - 0.42 * middle * up, neck),
                cubic(neck, neck + 0.4 * high * up, end - np.array([0.5 * (end[0] - neck[0]), 0.35 * high]), end),
            ]
        )

    outside = to_rim(
        outside_to,
        sizes.rim_diameter,
        sizes.height,
        lambda curve: (asked.rim_wall - asked.foot_wall) / curve.length,
        asked.rim_wall,
        from_inside=False,
    )
    return (Part("", on_base(outside, asked, sizes.inside_corner)),)


def _in_order(sizes: JarSizes, foot: Floats, belly: Floats, neck: Floats) -> None:
    if foot[0] > belly[0]:
        raise Fault(
            "the foot is wider than the belly",
            f"foot {2 * foot[0]:.1f}, belly {2 * belly[0]:.1f} mm",
            "a foot no wider than the belly",
            "form.foot_diameter",
        )
    if neck[0] > belly[0]:
        raise Fault(
            "the neck is wider than the belly",
            f"neck {2 * neck[0]:.1f}, belly {2 * belly[0]:.1f} mm",
            "a neck no wider than the belly",
            "form.neck_diameter",
        )
    if not 0.1 * sizes.height < belly[1] < neck[1] - 1 or neck[1] > 0.97 * sizes.height:
        raise Fault(
            "belly, neck and rim do not follow each other upwards",
            f"belly at {belly[1]:.1f}, neck at {neck[1]:.1f}, rim at {sizes.height:.1f} mm",
            "belly below neck below rim",
            "form.neck_height",
        )


FORM = Form(
    kind="jar",
    sizes=JarSizes,
    defaults=Defaults(
        rim_wall=4.2,
        foot_wall=4.7,
        floor=5.0,
        ring_depth=0.0,
        loss_percent=5.0,
        base_margin=4.0,
        blend_share=0.25,
    ),
    foot_diameter=lambda sizes: sizes.foot_diameter or 0.7 * sizes.belly_diameter,
    foot_named=lambda sizes: sizes.foot_diameter,
    height=lambda sizes: sizes.height,
    base_edge=lambda sizes: sizes.base_corner,
    build=build,
)
