"""What a form makes: the curves of a finished part, and what was asked of it in plain numbers."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from ..geometry.curve import Curve, line
from ..geometry.section import Section
from ..geometry.tolerance import JOIN_MM
from .sizes import FormSizes


@dataclass(frozen=True)
class Ring:
    """A foot ring in mm of the sized state; depth 0 is a flat base. `nose` rounds its inner corners."""

    outer_diameter: float
    width: float
    depth: float
    recess: str
    edge: float
    inner_diameter: float | None
    inner_width: float
    inner_short: float
    nose: float


@dataclass(frozen=True)
class Asked:
    """Everything a design says besides its form, defaults filled in, mm of the sized state."""

    rim_wall: float
    foot_wall: float
    floor: float
    ring: Ring
    base_diameter: float | None
    blend_height: float | None
    blend_given: bool
    skim: float
    extra_wall: float
    loss_percent: float


@dataclass(frozen=True, eq=False)
class Shape:
    """The outline of a finished part, from the axis at the foot round to the axis inside.

    Attributes:
        base: from the axis (or the inner edge of an open foot) to the outer edge of the foot.
        outside: from there to the rim's rounding.
        rim: over the top, from the outside to the inside.
        inside: from the axis (or the inner edge of an open foot) up to the rim's rounding.
        wall_start: place on `outside` where the wall leaves the foot.
        rim_diameter: largest outside diameter within the rounding of the rim, mm.
        foot_diameter: at the standing face, mm.
        stands_on: largest radius that touches the table, mm.
        recess: the face of the clay inside the ring, from the axis out; None for a flat or open foot.
    """

    base: Curve
    outside: Curve
    rim: Curve
    inside: Curve
    wall_start: float
    rim_diameter: float
    foot_diameter: float
    stands_on: float
    recess: Curve | None = None

    @property
    def closes(self) -> bool:
        """Whether it has no mouth: outside and inside both end on the axis, and `rim` runs down it."""
        return bool(self.outside.end[0] < JOIN_MM)

    @cached_property
    def solid(self) -> bool:
        """Whether nothing is hollow but what trimming takes from below: its inside is the axis itself."""
        return bool(self.inside.highest(0)[1] < JOIN_MM)

    @cached_property
    def section(self) -> Section:
        """The closed outline, anticlockwise."""
        return closed(self.base, self.outside, self.rim, self.inside)


def closed(base: Curve, outside: Curve, rim: Curve, inside: Curve) -> Section:
    """Close base, outside, rim and inside (given upwards) along the axis."""
    chain = base + outside + rim + inside.reversed()
    if np.abs(chain.end - chain.start).max() > JOIN_MM:
        chain = chain + line(chain.end, chain.start)
    return Section(chain)


@dataclass(frozen=True, eq=False)
class Part:
    """One thing thrown by itself.

    Attributes:
        name: empty for a piece of one part.
        shape: its finished outline, standing at z = 0.
        lift: height it is set at in the whole piece, mm.
        ribs: which sides a rib is made for: "inside", "outside".
        flat_curve: whether the waste below the blend is a straight line (kind `points`, straight).
        trimmed: whether it is thrown with waste at the foot.
        flipped: whether it stands in the piece the other way up than it is thrown: z there is lift - z.
        asked: its own figures where they are not the design's.
    """

    name: str
    shape: Shape
    lift: float = 0.0
    ribs: tuple[str, ...] = ("outside",)
    flat_curve: bool = False
    trimmed: bool = True
    flipped: bool = False
    asked: Asked | None = None


@dataclass(frozen=True)
class Defaults:
    """A form's fair figures for what a design leaves out, mm fired."""

    rim_wall: float
    foot_wall: float
    floor: float
    ring_depth: float
    loss_percent: float
    recess: str = "flat"
    ring_width: float = 6.0
    ring_edge: float = 0.8
    skim: float = 1.0
    base_margin: float = 8.0
    blend_share: float = 0.45
    nose: float = 2.0
    trimmed: bool = True


@dataclass(frozen=True)
class Form:
    """A kind of vessel: its sizes, its defaults, and how they become curves.

    Attributes:
        kind: the word in the design file.
        sizes: model of its `[form]` table.
        defaults: for the other tables.
        foot_diameter: outer diameter of the foot when a design names none, from its sizes.
        foot_named: that diameter where the form's own table says it, else None.
        height: overall height of the part that is trimmed, about; the blend height defaults to a share of it.
        build: the curves.
        takes_ring: whether `[foot_ring]` makes sense for it.
        base_edge: rounding of a flat base's edge, from its sizes; the ring's own edge where a form has none.
    """

    kind: str
    sizes: type[FormSizes]
    defaults: Defaults
    foot_diameter: Callable[[Any], float]
    height: Callable[[Any], float]
    build: Callable[[Any, Asked], tuple[Part, ...]]
    base_edge: Callable[[Any], float] | None = None
    foot_named: Callable[[Any], float | None] = lambda _: None
    takes_ring: bool = True
