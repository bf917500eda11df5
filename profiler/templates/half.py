"""One part of a vessel as its drawing needs it: its curves in the asked state, at its place in the whole piece."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from ..geometry.curve import Curve, Floats
from ..geometry.tolerance import JOIN_MM
from ..piece import Cast

_ALONGSIDE = 0.998
"""Cosine of the angle between inside and outside (4 degrees) up to which the clay between is a wall, not a corner."""

_SQUARE = 0.08
"""Sine of the angle by which the way across a wall may miss the square: its taper and the sampling."""


@dataclass(frozen=True, eq=False)
class Half:
    """One part in the asked state at its place in the whole piece, r and z in mm."""

    cast: Cast
    section: Curve
    thrown: Curve
    trimmed_off: Curve | None
    outside: Curve
    rim: Curve
    inside: Curve
    scale: tuple[float, float]

    @property
    def lift(self) -> float:
        """Height it is set at, mm."""
        return self.cast.lift * self.scale[1]

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


def half_of(cast: Cast, scale: tuple[float, float]) -> Half:
    """The part with its curves times a scale (k_r, k_z), at the height it is set at."""

    def placed(curve: Curve) -> Curve:
        return curve.moved(0.0, cast.lift).mapped(*scale)

    trimmed_off = None
    if cast.blend is not None:
        outside = cast.thrown_outside
        if np.abs(outside.end - cast.shape.outside.end).max() < JOIN_MM:
            # above the blend point the thrown outside is the finished one and needs no second line
            outside = outside.part(0.0, float(outside.crossings(1, float(cast.blend[1]))[0]))
        trimmed_off = placed(cast.thrown_base + outside)
    return Half(
        cast,
        placed(cast.section.outline),
        placed(cast.thrown.outline),
        trimmed_off,
        placed(cast.shape.outside),
        placed(cast.shape.rim),
        placed(cast.shape.inside),
        scale,
    )


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
