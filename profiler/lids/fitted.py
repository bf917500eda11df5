"""Lids that are thrown by themselves: their outline in the frame they are thrown in, underside up."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from ..faults import Fault
from ..forms.rim import cap
from ..forms.shape import Shape
from ..geometry.curve import Curve, chained, line
from ..geometry.fillet import NoRoomError, filleted
from .crown import Crown, crown, parabola
from .seat import Seat
from .sizes import CapLid, FlangeLid, GalleryLid

_EDGE_MM = 1.5
_INSIDE_MM = 3.0
_LEAST_FACE_MM = 0.5
"""So much of a level edge must lie on a level ledge between their roundings, or the lid sinks between them."""
_FACE_MM = 1.0
"""A cap's level face reaches this far in from the top of the rim it rests on, beyond its play: pushed to one side it
still lies on it. A wider one would leave the edge thick, as the crown rises over it."""
_LEAST_ROOM_MM = 6.0
_STANDS_MM = 1e-3
"""What of an underside is so near its lowest place touches the table."""


def gallery_lid(lid: GalleryLid, seat: Seat) -> tuple[Shape, float]:
    """A disc whose level edge rests on the ledge.

    Returns:
        The lid, z = 0 on the bat it is thrown on, and the height of its resting face there, mm.
    """
    radius, edge = seat.lid_radius, min(_EDGE_MM, 0.3 * lid.edge_thickness)
    if radius - edge < seat.rests_from + _LEAST_FACE_MM:
        lacks = seat.rests_from + _LEAST_FACE_MM - (radius - edge)
        raise Fault(
            "the ledge is too narrow for a lid with so much play",
            f"{lid.ledge_width:.1f} mm wide, {lid.clearance:.1f} mm of play on each side",
            f"a ledge of at least {lid.ledge_width + lacks:.1f} mm",
            "lid.ledge_width",
        )
    top = crown(radius, lid.rise, lid.knob)
    rests = float(top.outside.end[1]) + lid.edge_thickness
    inner = seat.rests_from - _EDGE_MM
    side, face = line(top.outside.end, [radius, rests]), line([radius, rests], [inner, rests])
    under = _underside(top, lid.thickness, inner, rests)
    outside, rim, inside = _edged(
        [top.outside, side, face, under.reversed()],
        [edge, edge, _INSIDE_MM],
        turns_at=1,
        ends_at=2,
    )
    return _shape(top, outside, rim, inside, radius), rests


def flange_lid(lid: FlangeLid, seat: Seat) -> tuple[Shape, float]:
    """A disc that rests on the rim, with a collar that hangs into the mouth."""
    radius, collar = seat.rests_to, seat.lid_radius
    top = crown(radius, lid.rise, lid.knob)
    rests = float(top.outside.end[1]) + lid.edge_thickness
    high, inner = rests + lid.collar_depth, collar - lid.collar_thickness
    if inner < _LEAST_ROOM_MM or collar > radius - 1.0:
        raise Fault(
            "the collar does not fit under the lid",
            f"{2 * collar:.1f} mm across, {lid.collar_thickness:.1f} thick, under a lid of {2 * radius:.1f} mm",
            "a thinner collar, or a lid that stands out further",
            "lid.collar_thickness",
        )
    end = high - lid.collar_thickness / 2
    up = np.array([0.0, 1.0])
    over = cap(np.array([collar, end]), up, np.array([inner, end]), up)
    edge = min(_EDGE_MM, 0.3 * lid.edge_thickness)
    outside, rim, inside = _edged(
        [
            top.outside,
            line(top.outside.end, [radius, rests]),
            line([radius, rests], [collar, rests]),
            line([collar, rests], over.start) + over + line(over.end, [inner, rests]),
            _underside(top, lid.thickness, inner, rests).reversed(),
        ],
        [edge, edge, min(1.0, 0.3 * lid.collar_depth), min(_INSIDE_MM, 0.4 * lid.collar_depth)],
        turns_at=1,
        ends_at=3,
    )
    return _shape(top, outside, rim, inside, radius), rests


def cap_lid(lid: CapLid, seat: Seat) -> tuple[Shape, float]:
    """A disc with a skirt that comes down over the neck; it rests on the rim with a level face along its edge."""
    inner = seat.lid_radius
    radius = inner + lid.skirt_thickness
    top = crown(radius, lid.rise, lid.knob)
    rests = float(top.outside.end[1]) + lid.edge_thickness
    reach = lid.clearance + _FACE_MM
    face = seat.rests_to - reach
    if face < _LEAST_ROOM_MM:
        raise Fault(
            "the neck is too narrow for a lid to rest on its rim",
            f"the top of the rim {2 * seat.rests_to:.1f} mm across",
            f"at least {2 * (_LEAST_ROOM_MM + reach):.0f} mm",
            "lid.kind",
        )
    end = rests + lid.skirt_depth - lid.skirt_thickness / 2
    up = np.array([0.0, 1.0])
    over = cap(np.array([radius, end]), up, np.array([inner, end]), up)
    outside, rim, inside = _edged(
        [
            top.outside,
            line(top.outside.end, over.start),
            over,
            line(over.end, [inner, rests]),
            line([inner, rests], [face, rests]),
            _underside(top, lid.thickness, face, rests).reversed(),
        ],
        [2 * _EDGE_MM, 0.0, 0.0, min(_EDGE_MM, lid.clearance + 0.5), _INSIDE_MM],
        turns_at=1,
        ends_at=3,
    )
    return _shape(top, outside, rim, inside, radius), rests


def _underside(top: Crown, thickness: float, inner: float, rests: float) -> Curve:
    """The hollow under the lid, from its thickness on the axis to the inner edge of the resting face.

    A parabola like the crown's, and like that level over the flat a knobless lid stands on.
    """
    flat = 0.0 if top.level > 0 else float(top.base.end[0])
    floor = top.level + thickness
    if floor > rests + 1e-9:
        raise Fault(
            "the lid is thicker in its middle than its edge lets it be",
            f"{thickness:.1f} mm on the axis",
            f"at most {rests - top.level:.1f} mm, or a higher rise",
            "lid.thickness",
        )
    if flat == 0:
        return parabola(0.0, floor, inner, rests)
    return line([0.0, floor], [flat, floor]) + parabola(flat, floor, inner, rests)


def _edged(
    curves: Sequence[Curve], radii: Sequence[float], *, turns_at: int, ends_at: int
) -> tuple[Curve, Curve, Curve]:
    """Round the corners of a chain and part it into outside, rim, and inside (given upwards).

    Args:
        curves: from the crown round to the axis under the lid.
        radii: of the corner after each but the last.
        turns_at: the last curve of the outside.
        ends_at: the last curve of the rim.
    """
    try:
        parts, current = [], curves[0]
        bounds = []
        for following, radius in zip(curves[1:], radii, strict=True):
            made = _corner(current, following, radius)
            parts.append(made[0])
            bounds.append(sum(len(p) for p in parts))
            if made[1] is not None:
                parts.append(made[1])
            current = made[2]
        parts.append(current)
    except NoRoomError as trouble:
        raise Fault(
            "the lid's edge is too small for its rounded corners",
            str(trouble),
            "a thicker edge",
            "lid.edge_thickness",
        ) from trouble
    whole = chained(parts)
    first, last = bounds[turns_at], bounds[ends_at]
    outside, rim = Curve(whole.cubics[:first]), Curve(whole.cubics[first:last])
    return outside, rim, Curve(whole.cubics[last:]).reversed()


def _corner(first: Curve, second: Curve, radius: float) -> tuple[Curve, Curve | None, Curve]:
    made = filleted(first, second, radius)
    return (first, None, second) if made is None else made


def _shape(top: Crown, outside: Curve, rim: Curve, inside: Curve, radius: float) -> Shape:
    return Shape(
        base=top.base,
        outside=outside,
        rim=rim,
        inside=inside,
        wall_start=0.0,
        rim_diameter=2 * radius,
        foot_diameter=2 * float(top.base.end[0]),
        stands_on=top.stands_on,
    )


def right_way_up(lid: Shape) -> Shape:
    """The same lid for one that is thrown with its knob up: all clay inside at first, its underside trimmed out.

    Its base is the underside, from the axis out; its outside goes from the edge up to the knob, its rim over the
    knob to the axis, and its inside is the axis itself.
    """
    top = lid.section.outline.highest(1)[1]

    def over(curve: Curve) -> Curve:
        return curve.mapped(1.0, -1.0).moved(0.0, top)

    base = over(lid.inside + lid.rim.reversed())
    rim = over(lid.base.reversed())
    touching = [base.at(u)[0] for u in (base.lowest(1)[0], *base.crossings(1, _STANDS_MM))]
    return Shape(
        base=base,
        outside=over(lid.outside.reversed()),
        rim=rim,
        inside=line(base.start, rim.end),
        wall_start=0.0,
        rim_diameter=lid.rim_diameter,
        foot_diameter=2 * float(max(touching)),
        stands_on=float(max(touching)),
    )
