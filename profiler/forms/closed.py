"""A closed form thrown in one, from the outside: foot, belly and a crown over the axis; its lid is cut from it."""

from __future__ import annotations

from typing import Annotated, Literal

import numpy as np
from pydantic import Field

from ..faults import Fault
from ..geometry.curve import chained, cubic
from ..lengths import Length, LengthOrZero
from .foot import on_base
from .shape import Asked, Defaults, Form, Part
from .sizes import FormSizes


class ClosedSizes(FormSizes):
    """Sizes of a closed form."""

    kind: Literal["closed"]
    belly_diameter: Length = Field(description="Widest outside diameter.")
    height: Length = Field(description="From the table to the top, without a knob.")
    foot_diameter: Length | None = Field(None, description="Outside at the table; 0.75 of the belly.")
    belly_height: Length | None = Field(None, description="Height of the widest place; 0.45 of the height.")
    shoulder: Annotated[float, Field(ge=0.2, le=0.95, allow_inf_nan=False)] = Field(
        0.55, description="How full the shoulder is: 0.2 a cone, 0.55 round, 0.95 square."
    )
    base_corner: LengthOrZero = Field(2.5, description="Rounding of the outside at the table.")
    inside_corner: LengthOrZero = Field(8.0, description="Rounding between floor and wall inside.")


def build(sizes: ClosedSizes, asked: Asked) -> tuple[Part, ...]:
    """The curves of a closed form."""
    foot = np.array([asked.ring.outer_diameter / 2, 0.0])
    belly = np.array([sizes.belly_diameter / 2, sizes.belly_height or 0.45 * sizes.height])
    top = np.array([0.0, sizes.height])
    if foot[0] > belly[0]:
        raise Fault(
            "the foot is wider than the belly",
            f"foot {2 * foot[0]:.1f}, belly {2 * belly[0]:.1f} mm",
            "a foot no wider than the belly",
            "form.foot_diameter",
        )
    if not 0.1 * sizes.height < belly[1] < 0.9 * sizes.height:
        raise Fault(
            "the belly does not lie between foot and top",
            f"belly at {belly[1]:.1f}, top at {sizes.height:.1f} mm",
            f"a belly between {0.1 * sizes.height:.1f} and {0.9 * sizes.height:.1f} mm up",
            "form.belly_height",
        )
    up, in_ = np.array([0.0, 1.0]), np.array([1.0, 0.0])
    low, high = float(belly[1]), float(top[1] - belly[1])
    lean = np.array([0.45 * (belly[0] - foot[0]), 0.33 * low])
    outside = chained(
        [
            cubic(foot, foot + lean, belly - 0.5 * low * up, belly),
            cubic(belly, belly + sizes.shoulder * high * up, top + sizes.shoulder * belly[0] * in_, top),
        ]
    )
    return (Part("", on_base(outside, asked, sizes.inside_corner)),)


FORM = Form(
    kind="closed",
    sizes=ClosedSizes,
    defaults=Defaults(
        rim_wall=4.5,
        foot_wall=4.8,
        floor=5.0,
        ring_depth=0.0,
        loss_percent=5.0,
        base_margin=4.0,
        blend_share=0.2,
    ),
    foot_diameter=lambda sizes: sizes.foot_diameter or 0.75 * sizes.belly_diameter,
    foot_named=lambda sizes: sizes.foot_diameter,
    height=lambda sizes: sizes.height,
    base_edge=lambda sizes: sizes.base_corner,
    build=build,
)
