"""The piece: every part finished and thrown, as curves in the state the potter sized it in."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from .clay.body import Body
from .clay.states import State
from .design.model import Design
from .faults import Fault
from .forms.shape import Asked, Part, Shape, closed
from .forms.wall import thickened
from .geometry.curve import Curve, Floats, cubic, line
from .geometry.offset import Taper
from .geometry.section import Section, crossing_point
from .geometry.tolerance import JOIN_MM
from .lids.pair import Paired, paired

_HANDLE_SHARE, _MOST_HANDLE = 0.4, 0.8
"""Of the way from the blend to the base's edge: how far the waste runs on along the tangent, and at most."""
_LOOSER = 1.02


@dataclass(frozen=True, eq=False)
class Cast:
    """One part of a piece, before and after trimming; everything in mm of the sized state, standing at z = 0.

    Attributes:
        name: of the part; empty in a piece of one part.
        shape: the finished outline.
        section: the finished section.
        thrown_base: from the axis along the bat to the edge of the clay.
        thrown_outside: from there to the rim's rounding.
        thrown_rim: over the top to the inside.
        thrown: the thrown section.
        blend: (r, z) where the finished outside takes over from the waste; None if nothing is trimmed.
        lift: height the part is set at in the whole piece.
        ribs: the sides ribs are made for.
        asked: its figures.
        body: its clay.
        sized: state in which its curves hold.
        flipped: whether it stands in the whole piece upside down: its z there is lift - z.
    """

    name: str
    shape: Shape
    section: Section
    thrown_base: Curve
    thrown_outside: Curve
    thrown_rim: Curve
    thrown: Section
    blend: Floats | None
    lift: float
    ribs: tuple[str, ...]
    asked: Asked
    body: Body
    sized: State
    flipped: bool = False

    def scale(self, state: State) -> tuple[float, float]:
        """What r and z of its curves are multiplied with in a state."""
        return self.body.scale(self.sized, state)

    def placed(self, curve: Curve) -> Curve:
        """A curve of the part where it stands in the whole piece, mm of the sized state."""
        return (curve.mapped(1.0, -1.0) if self.flipped else curve).moved(0.0, self.lift)

    @property
    def bat(self) -> float:
        """Height of the bat the part is thrown on; nought or below, mm."""
        return self.thrown_base.lowest(1)[1]

    @cached_property
    def cavity(self) -> Curve:
        """The inside from the axis up to the highest place of the rim: what water meets."""
        top, _ = self.shape.rim.highest(1)
        over = (
            []
            if top >= len(self.shape.rim) - JOIN_MM
            else [self.shape.rim.part(top, float(len(self.shape.rim))).reversed()]
        )
        return Curve(np.concatenate([c.cubics for c in [self.shape.inside, *over]]))

    @property
    def holds(self) -> bool:
        """Whether it can be filled: it has a floor and a mouth."""
        return not (self.open_foot or self.shape.closes or self.shape.solid or self.flipped)

    @property
    def open_foot(self) -> bool:
        """Whether the part has no floor, like a pedestal."""
        return bool(self.shape.inside.start[0] > JOIN_MM)


@dataclass(frozen=True, eq=False)
class Piece:
    """A design as geometry.

    Attributes:
        design: where it came from.
        parts: one, or several that are joined, or a jar and its lid.
        whole: the closed form a jar and its lid were thrown as, before the cut.
        pair: how jar and lid fit, for a design with a lid.
    """

    design: Design
    parts: tuple[Cast, ...]
    whole: Cast | None = None
    pair: Paired | None = None

    @property
    def thrown(self) -> tuple[Cast, ...]:
        """What comes off the wheel: each part, or the closed form that is cut later."""
        return self.parts if self.whole is None else (self.whole,)

    @property
    def body(self) -> Body:
        """Its clay."""
        return self.design.body

    @property
    def asked(self) -> Asked:
        """Its sizes with defaults filled in."""
        return self.design.asked

    @property
    def sized(self) -> State:
        """State in which its curves hold."""
        return self.design.head.sized

    def scale(self, state: State) -> tuple[float, float]:
        """What r and z of the curves are multiplied with in a state."""
        return self.body.scale(self.sized, state)


def piece_of(design: Design) -> Piece:
    """Build the curves of a design.

    Raises:
        Fault: a shape that cannot be made, with file, line and field.
    """

    def cast(part: Part, body: Body = design.body) -> Cast:
        return _cast(part, design.asked, body, design.head.sized)

    try:
        parts = design.form.build(design.sizes, design.asked)
        if design.head.lid is None:
            return Piece(design, tuple(cast(part) for part in parts))
        if len(parts) > 1:
            raise Fault(f"a {design.form.kind} takes no lid", "[lid]", "a jar, a cylinder, points, or closed", "lid")
        pair = paired(parts[0], design.head.lid, design.asked)
        whole = None if pair.whole is None else cast(pair.whole)
        return Piece(design, (cast(pair.jar), cast(pair.lid, design.lid_body)), whole, pair)
    except Fault as fault:
        raise design.text.fault(fault) from fault


def pair_of(design: Design, pair: Paired) -> Piece:
    """Jar and lid as a spoon meets them: without the form they were thrown as.

    Raises:
        Fault: an outline that crosses itself.
    """
    jar, lid = (
        _cast(part, design.asked, body, design.head.sized)
        for part, body in ((pair.jar, design.body), (pair.lid, design.lid_body))
    )
    return Piece(design, (jar, lid), None, pair)


def _cast(part: Part, asked: Asked, body: Body, sized: State) -> Cast:
    shape, asked = part.shape, part.asked or asked
    section = shape.section
    _sound(section, f"the finished {part.name or 'piece'}")
    if asked.base_diameter is None or asked.blend_height is None or not part.trimmed:
        base, outside, rim, blend = shape.base, shape.outside, shape.rim, None
        thrown = section
    else:
        base, outside, rim, blend = _thrown(part, asked, asked.base_diameter / 2, asked.blend_height)
        thrown = closed(base, outside, rim, shape.inside)
        _sound(thrown, "the thrown piece")
    return Cast(
        name=part.name,
        shape=shape,
        section=section,
        thrown_base=base,
        thrown_outside=outside,
        thrown_rim=rim,
        thrown=thrown,
        blend=blend,
        lift=part.lift,
        ribs=part.ribs,
        asked=asked,
        body=body,
        sized=sized,
        flipped=part.flipped,
    )


def _sound(section: Section, what: str) -> None:
    """Check that a section may be turned: nothing left of the axis, nothing crossing.

    Raises:
        Fault: it may not.
    """
    place = section.outline.lowest(0)[1]
    if place < -JOIN_MM:
        raise Fault(f"{what} reaches across the axis", f"{-place:.2f} mm", "sizes that leave it on one side", "form")
    crossing = crossing_point(section.outline)
    if crossing is not None:
        raise Fault(
            f"the outline of {what} crosses itself",
            f"at radius {crossing[0]:.1f}, height {crossing[1]:.1f} mm",
            "sizes that keep inside, outside and foot apart",
            "form",
        )


def _thrown(part: Part, asked: Asked, base_radius: float, height: float) -> tuple[Curve, Curve, Curve, Floats]:
    """Base, outside, rim and blend point of the thrown part."""
    shape = part.shape
    if not asked.blend_given:
        # a default that would lie in the foot moves up onto the wall
        low, high = float(shape.outside.at(shape.wall_start)[1]), float(shape.outside.end[1])
        height = max(height, low + 0.15 * (high - low))
    places = shape.outside.crossings(1, height)
    if not len(places) or height >= shape.outside.end[1] - 1.0 or places[-1] <= shape.wall_start:
        low, high = float(shape.outside.at(shape.wall_start)[1]), float(shape.outside.end[1])
        raise Fault(
            "the blend height is not on the wall",
            f"{height:.1f} mm",
            f"between {low:.1f} and {high - 1:.1f} mm",
            "thrown.blend_height",
        )
    upper = shape.outside.part(float(places[-1]), float(len(shape.outside)))
    rim = shape.rim
    if asked.extra_wall:
        upper = _thicker(upper, asked.extra_wall, runs_out=not part.flat_curve and len(rim) > 1)
        if len(rim) == 1:
            rim = line(upper.end, rim.start) + rim
    edge = np.array([base_radius, -asked.skim])
    blend = upper.start
    if part.flat_curve:
        lower = line(edge, blend)
    else:
        handle = blend - _handle_mm(edge, upper) * upper.direction(0.0)
        lower = cubic(edge, edge + (handle - edge) / 3, handle, blend)
    return line([0.0, -asked.skim], edge), lower + upper, rim, shape.outside.at(float(places[-1]))


def _handle_mm(edge: Floats, upper: Curve) -> float:
    """How far the waste follows the tangent of the finished curve: so far that it bends no tighter than that.

    With a handle h on the tangent and its start d off it, a cubic whose first handle is a third of the way ends with
    the curvature 4/9 · d/h²; bent tighter than the finished curve it would run into the clay that stays.
    """
    blend, way = upper.start, upper.direction(0.0)
    apart = float(np.hypot(*(blend - edge)))
    off, bends = float((edge - blend) @ np.array([-way[1], way[0]])), float(upper.curvature(0.0))
    least = _LOOSER * math.sqrt(4 / 9 * off / bends) if off > 0 and bends > 0 else 0.0
    return max(_HANDLE_SHARE * apart, min(least, _MOST_HANDLE * apart))


def _thicker(upper: Curve, extra: float, *, runs_out: bool) -> Curve:
    """The outside thickened; below a rounded rim, thrown as it stays, it runs out over the upper half."""
    if not runs_out:
        return thickened(upper, Taper(extra))
    middle = float(np.interp(upper.length / 2, upper.arc_lengths, np.arange(len(upper) + 1)))
    low, high = upper.part(0.0, middle), upper.part(middle, float(len(upper)))
    return thickened(low, Taper(extra)) + thickened(high, Taper(extra, -extra / high.length))
