"""A tumbler or mug body: straight, tapered or bellied, from the outside."""

from __future__ import annotations

from typing import Literal

import numpy as np
from pydantic import Field

from ..geometry.curve import Curve, Floats, cubic
from ..lengths import Length, LengthOrZero, SignedLength
from .foot import on_base
from .shape import Asked, Defaults, Form, Part
from .sizes import FormSizes
from .wall import to_rim


class CylinderSizes(FormSizes):
    """Sizes of a tumbler or mug body."""

    kind: Literal["cylinder"]
    rim_diameter: Length = Field(description="Largest outside diameter at the rim.")
    height: Length = Field(description="From the table to the top of the rim.")
    base_diameter: Length | None = Field(None, description="Outside at the table, before rounding; as the rim.")
    belly: SignedLength = Field(0.0, description="How far the middle of the wall swells out; negative is waisted.")
    base_corner: LengthOrZero = Field(3.0, description="Rounding of the outside at the table.")
    inside_corner: LengthOrZero = Field(6.0, description="Rounding between floor and wall inside.")


def build(sizes: CylinderSizes, asked: Asked) -> tuple[Part, ...]:
    """The curves of a cylinder."""
    start = np.array([asked.ring.outer_diameter / 2, 0.0])

    def outside_to(end: Floats) -> Curve:
        run = end - start
        out = 4 / 3 * sizes.belly * np.array([run[1], -run[0]]) / np.hypot(*run)
        return cubic(start, start + run / 3 + out, end - run / 3 + out, end)

    outside = to_rim(
        outside_to,
        sizes.rim_diameter,
        sizes.height,
        lambda curve: (asked.rim_wall - asked.foot_wall) / curve.length,
        asked.rim_wall,
        from_inside=False,
    )
    return (Part("", on_base(outside, asked, sizes.inside_corner)),)


FORM = Form(
    kind="cylinder",
    sizes=CylinderSizes,
    defaults=Defaults(
        rim_wall=3.8,
        foot_wall=4.3,
        floor=4.5,
        ring_depth=0.0,
        loss_percent=5.0,
        base_margin=3.0,
        blend_share=0.25,
    ),
    foot_diameter=lambda sizes: sizes.base_diameter or sizes.rim_diameter,
    foot_named=lambda sizes: sizes.base_diameter,
    height=lambda sizes: sizes.height,
    base_edge=lambda sizes: sizes.base_corner,
    build=build,
)
