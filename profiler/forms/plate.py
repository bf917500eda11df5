"""A plate: a level well, a shoulder where the rim starts, a rim that rises to the edge."""

from __future__ import annotations

from typing import Literal

import numpy as np
from pydantic import Field

from ..faults import Fault
from ..geometry.curve import Curve, Floats, line
from ..geometry.fillet import NoRoomError, rounded
from ..lengths import Length, LengthOrZero
from .foot import on_ring, taper_slope
from .shape import Asked, Defaults, Form, Part
from .sizes import FormSizes
from .wall import to_rim


class PlateSizes(FormSizes):
    """Sizes of a plate."""

    kind: Literal["plate"]
    rim_diameter: Length = Field(description="Largest outside diameter at the edge.")
    height: Length = Field(description="From the table to the top of the edge.")
    rim_width: Length | None = Field(None, description="From shoulder to edge, level; 0.14 of the diameter.")
    rim_rise: LengthOrZero | None = Field(None, description="How far the rim climbs; 0.45 of the inside depth.")
    well_curve: Length | None = Field(None, description="Rounding where the well turns up; over half its side.")
    shoulder_curve: Length | None = Field(None, description="Rounding of the shoulder; the rest of the side.")


def build(sizes: PlateSizes, asked: Asked) -> tuple[Part, ...]:
    """The curves of a plate."""
    bottom = asked.ring.depth + asked.floor
    depth = sizes.height - bottom
    if depth <= asked.rim_wall / 2 + 1:
        raise Fault(
            "the plate is lower than its ring, floor and edge",
            f"height {sizes.height:.1f} mm",
            f"more than {bottom + asked.rim_wall / 2 + 1:.1f} mm",
            "form.height",
        )
    width = sizes.rim_width or 0.14 * sizes.rim_diameter
    rise = 0.45 * depth if sizes.rim_rise is None else sizes.rim_rise
    if rise > depth - 1:
        raise Fault(
            "the rim climbs more than the plate is deep",
            f"{rise:.1f} mm",
            f"at most {depth - 1:.1f} mm",
            "form.rim_rise",
        )
    shoulder = np.array([sizes.rim_diameter / 2 - width, bottom + depth - rise])
    # the side of the well leans at 45 degrees, a slope the ribs and a fork can both follow
    well = np.array([shoulder[0] - (shoulder[1] - bottom), bottom])
    if well[0] <= 10:
        raise Fault("the rim leaves no well", f"{width:.1f} mm", "a narrower rim", "form.rim_width")
    side = float(np.hypot(*(shoulder - well)))

    def inside_to(end: Floats) -> Curve:
        bend = np.pi / 4 - np.arctan2(end[1] - shoulder[1], end[0] - shoulder[0])
        curves = (
            sizes.well_curve or 0.55 * side / np.tan(np.pi / 8),
            sizes.shoulder_curve or 0.4 * side / max(np.tan(abs(bend) / 2), 0.1),
        )
        try:
            return rounded([line([0.0, bottom], well), line(well, shoulder), line(shoulder, end)], list(curves))
        except NoRoomError as trouble:
            raise Fault(
                "the roundings of well and shoulder do not fit between well and edge",
                f"well_curve {curves[0]:.1f}, shoulder_curve {curves[1]:.1f} mm",
                "smaller ones",
                "form.well_curve",
            ) from trouble

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
    kind="plate",
    sizes=PlateSizes,
    defaults=Defaults(
        rim_wall=4.5, foot_wall=5.0, floor=5.0, ring_depth=4.0, loss_percent=12.0, base_margin=10.0, blend_share=0.34
    ),
    foot_diameter=lambda sizes: 0.6 * sizes.rim_diameter,
    height=lambda sizes: sizes.height,
    build=build,
)
