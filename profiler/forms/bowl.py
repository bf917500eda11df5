"""A bowl: one unbroken inside curve, level on the axis, on a foot ring."""

from __future__ import annotations

from typing import Annotated, Literal

import numpy as np
from pydantic import Field

from ..faults import Fault
from ..geometry.curve import Curve, Floats, cubic
from ..lengths import Length
from .foot import on_ring, taper_slope
from .shape import Asked, Defaults, Form, Part
from .sizes import FormSizes
from .wall import to_rim


class BowlSizes(FormSizes):
    """Sizes of a bowl."""

    kind: Literal["bowl"]
    rim_diameter: Length = Field(description="Largest outside diameter at the rim.")
    height: Length = Field(description="From the table to the top of the rim.")
    fullness: Annotated[float, Field(ge=0, le=1)] = Field(
        0.3, description="0 straight and shallow-sided, 0.5 round, 1 nearly flat-bottomed."
    )
    rim_angle: Annotated[float, Field(ge=30, le=100)] = Field(
        66, description="Degrees of the wall at the rim from level; 90 is upright, more turns in."
    )


def build(sizes: BowlSizes, asked: Asked) -> tuple[Part, ...]:
    """The curves of a bowl."""
    bottom = asked.ring.depth + asked.floor
    if sizes.height - asked.rim_wall <= bottom:
        raise Fault(
            "the bowl is lower than its ring, floor and rim",
            f"height {sizes.height:.1f} mm",
            f"more than {bottom + asked.rim_wall:.1f} mm",
            "form.height",
        )
    lean = np.radians(sizes.rim_angle)
    rim_way = np.array([np.cos(lean), np.sin(lean)])

    def inside_to(end: Floats) -> Curve:
        reach, rise = float(end[0]), float(end[1]) - bottom
        # 0.5523 of each span is the quarter ellipse; fullness moves both handles about it
        along, up = (
            (0.30 + 0.50 * sizes.fullness) * reach,
            (0.40 + 0.30 * sizes.fullness) * rise / np.sin(lean),
        )
        return cubic([0.0, bottom], [along, bottom], end - up * rim_way, end)

    inside = to_rim(
        inside_to,
        sizes.rim_diameter,
        sizes.height,
        lambda curve: taper_slope(curve, asked),
        asked.rim_wall,
        from_inside=True,
    )
    return (Part("", on_ring(inside, asked), ribs=("inside",)),)


FORM = Form(
    kind="bowl",
    sizes=BowlSizes,
    defaults=Defaults(
        rim_wall=4.0,
        foot_wall=4.5,
        floor=4.0,
        ring_depth=5.0,
        loss_percent=7.0,
        recess="domed",
        base_margin=5.0,
        blend_share=0.36,
    ),
    foot_diameter=lambda sizes: 0.45 * sizes.rim_diameter,
    height=lambda sizes: sizes.height,
    build=build,
)
