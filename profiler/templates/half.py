"""One part of a vessel as its drawing needs it: its curves in the asked state, where it stands in the whole piece."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from ..clay.states import State
from ..geometry.curve import Curve, Floats, chained
from ..geometry.tolerance import JOIN_MM
from ..lidded import standing
from ..piece import Cast, Piece

_ALONGSIDE = 0.998
"""Cosine of the angle between inside and outside (4 degrees) up to which the clay between is a wall, not a corner."""

_SQUARE = 0.08
"""Sine of the angle by which the way across a wall may miss the square: its taper and the sampling."""


@dataclass(frozen=True, eq=False)
class Half:
    """One part in the asked state at its place in the whole piece, r and z in mm.

    Attributes:
        cast: the part.
        section: finished.
        thrown: before trimming.
        trimmed_off: the outer edge of what trimming takes; None if it takes nothing.
        base: its foot from the axis out, as it is thrown, like the next three.
        outside: from there to the rim.
        rim: over its top.
        inside: from the axis up.
        scale: what r and z were multiplied with.
        lift: height of its z = 0.
    """

    cast: Cast
    section: Curve
    thrown: Curve
    trimmed_off: Curve | None
    base: Curve
    outside: Curve
    rim: Curve
    inside: Curve
    scale: tuple[float, float]
    lift: float

    @property
    def top(self) -> float:
        """Its highest clay, mm."""
        return self.section.highest(1)[1]

    @property
    def low(self) -> float:
        """Its lowest clay, mm."""
        return self.section.lowest(1)[1]

    @property
    def reach(self) -> float:
        """Its widest radius, mm."""
        return self.section.highest(0)[1]

    @cached_property
    def wall_at_foot(self) -> tuple[Floats, Floats]:
        """Lowest place above the foot where the wall has an inside square across from it: (outer, inner)."""
        places = self.outside.places(32)
        for place in places[places >= self.cast.shape.wall_start - 1e-9][:-1]:
            outer = self.outside.at(place)
            facing = _nearest(self.inside, outer)
            inner = self.inside.at(facing)
            along = self.outside.direction(min(place + 1e-6, len(self.outside)))
            across = (inner - outer) / np.hypot(*(inner - outer))
            alongside = abs(float(along @ self.inside.direction(facing)))
            if alongside > _ALONGSIDE and abs(float(across @ along)) < _SQUARE:
                return outer, inner
        return self.outside.end, self.inside.end

    @cached_property
    def seen(self) -> Curve:
        """What shows of it from outside, from below upwards."""
        place, _ = self.rim.highest(1)
        if self.cast.flipped:  # thrown with its underside up
            lowest, _ = self.rim.lowest(1)
            edge = [self.rim.part(0.0, lowest).reversed()] if lowest > JOIN_MM else []
            return chained([*edge, self.outside.reversed(), self.base.reversed()])
        if self.cast.shape.solid:  # thrown right way up, its rim runs over the knob
            return chained([self.outside, self.rim])
        if self.cast.shape.closes:
            return self.outside
        return chained([self.outside, *([self.rim.part(0.0, place)] if place > JOIN_MM else [])])


def half_of(piece: Piece, cast: Cast, state: State) -> Half:
    """The part with its curves in a state, where it stands in the whole piece."""
    lift = _lift(piece, cast, state)

    def placed(curve: Curve) -> Curve:
        return _placed(curve, cast, cast.scale(state), lift)

    trimmed_off = None
    if cast.blend is not None:
        outside = cast.thrown_outside
        if np.abs(outside.end - cast.shape.outside.end).max() < JOIN_MM:
            # above the blend point the thrown outside is the finished one and needs no second line
            outside = outside.part(0.0, float(outside.crossings(1, float(cast.blend[1]))[0]))
        trimmed_off = placed(cast.thrown_base + outside)
    return Half(
        cast,
        standing(piece, cast, state).outline,
        placed(cast.thrown.outline),
        trimmed_off,
        placed(cast.shape.base),
        placed(cast.shape.outside),
        placed(cast.shape.rim),
        placed(cast.shape.inside),
        cast.scale(state),
        lift,
    )


def _lift(piece: Piece, cast: Cast, state: State) -> float:
    """Height that a part's z = 0 comes to, mm."""
    there, own = standing(piece, cast, state).outline, cast.scale(state)[1] * cast.section.outline.lowest(1)[1]
    return there.highest(1)[1] + own if cast.flipped else there.lowest(1)[1] - own


def _placed(curve: Curve, cast: Cast, scale: tuple[float, float], lift: float) -> Curve:
    """A curve of the part where it stands."""
    return curve.mapped(scale[0], -scale[1] if cast.flipped else scale[1]).moved(0.0, lift)


def mirrored(curve: Curve) -> Curve:
    """The curve on the cut side: mirrored, which keeps its handles exact."""
    return curve.mapped(-1.0, 1.0)


def _nearest(curve: Curve, point: Floats) -> float:
    """The place on a curve nearest to a point, to a thousandth of a cubic: enough for half a millimetre in words."""
    places = curve.places(32)
    for _ in range(2):
        best = float(places[np.argmin(np.hypot(*(curve.at(places) - point).T))])
        step = float(places[1] - places[0])
        places = np.linspace(max(best - step, 0.0), min(best + step, float(len(curve))), 65)
    return best
