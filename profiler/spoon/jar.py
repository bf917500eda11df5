"""The fired jar as the spoon meets it: points on its inside, the notch's floor, and what the handle lies on."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from ..faults import Fault
from ..geometry.curve import Curve, Floats
from ..geometry.section import Section

SPACING_MM = 0.1
"""Points on the clay lie this close: a disc of 10 mm sinks 0.1²/(8·10) = 0.0001 mm between two of them."""

_DEEPEST_SHARE = 0.45
"""A notch's floor lies in the upper half of the inside, and a little above its lower end."""

_ROUNDING_MM = 3.0
"""The outside of a rim without a notch is taken this far down, past its rounding."""


@dataclass(frozen=True, eq=False)
class Jar:
    """A jar (of a lidded pair: the jar without its lid), fired, standing at z = 0, in (r, z) mm.

    Attributes:
        section: its closed outline.
        inside: from the axis on the floor up to the highest place of the rim.
    """

    section: Section
    inside: Curve

    @property
    def rim_mm(self) -> float:
        """Height of the highest place of the rim."""
        return float(self.inside.end[1])

    @property
    def floor_mm(self) -> float:
        """Height of the floor on the axis."""
        return float(self.inside.start[1])

    @property
    def mouth_mm(self) -> float:
        """The narrowest width in the upper half of the inside."""
        return 2 * float(self.upper(self.points)[:, 0].min())

    @property
    def deepest_notch_mm(self) -> float:
        """How far under the rim a notch's floor may lie."""
        return _DEEPEST_SHARE * (self.rim_mm - self.floor_mm)

    @cached_property
    def points(self) -> Floats:
        """Points of the inside, from the axis up, none further than `SPACING_MM` from the next, (n, 2) mm."""
        return spaced(self.inside)

    def upper(self, points: Floats) -> Floats:
        """Those of the points that lie in the upper half of the inside: where a handle may bear."""
        return points[points[:, 1] >= (self.rim_mm + self.floor_mm) / 2]

    def notched(self, depth: float) -> Notched:
        """The near side with everything above the notch's floor away.

        Args:
            depth: of the floor under the highest place of the rim, mm; 0 for a rim without a notch.

        Raises:
            Fault: the floor would not lie in the upper half of the inside.
        """
        if not 0 <= depth <= self.deepest_notch_mm:
            raise Fault(
                "the notch's floor is not in the upper half of the jar",
                f"{depth:.1f} mm",
                f"from 0 to {self.deepest_notch_mm:.1f} mm",
                "notch.depth",
            )
        level = self.rim_mm - depth
        if depth == 0:
            inner, outer = float(self.inside.end[0]), self._wall_at(level - _ROUNDING_MM)[1]
            return Notched(level, inner, outer, self.points)
        inner, outer = self._wall_at(level)
        low = self.points[self.points[:, 1] <= level]
        return Notched(level, inner, outer, np.concatenate([low, row(inner, outer, level)]))

    def _wall_at(self, level: float) -> tuple[float, float]:
        """Distances from the axis of the wall's inside and outside at a height, mm."""
        outline = self.section.outline
        across = outline.at(outline.crossings(1, level))[:, 0]
        return float(across.min()), float(across.max())


@dataclass(frozen=True, eq=False)
class Notched:
    """The near side of a jar in the plane of its notch.

    Attributes:
        level_mm: height of the notch's floor.
        inner_mm: distance of the floor's inner edge from the axis.
        outer_mm: of its outer edge.
        points: of the clay the spoon can meet, (n, 2) mm.
    """

    level_mm: float
    inner_mm: float
    outer_mm: float
    points: Floats

    @property
    def wall_mm(self) -> float:
        """Thickness of the wall along the notch's floor."""
        return self.outer_mm - self.inner_mm


def spaced(curve: Curve) -> Floats:
    """Points on a curve, no two neighbours further apart than `SPACING_MM`, every corner among them, (n, 2) mm."""
    # a cubic's speed is at most three times its longest handle
    fastest = 3 * np.hypot(*np.moveaxis(np.diff(curve.cubics, axis=1), -1, 0)).max(axis=1)
    counts = np.maximum(1, np.ceil(fastest / SPACING_MM).astype(int))
    places = [index + np.arange(count) / count for index, count in enumerate(counts)]
    return curve.at(np.concatenate([*places, [float(len(curve))]]))


def row(first: float, last: float, height: float) -> Floats:
    """Points on a level run, both ends among them, (n, 2) mm."""
    count = 2 + int(abs(last - first) / SPACING_MM)
    return np.stack([np.linspace(first, last, count), np.full(count, height)], axis=1)


def mirrored(points: Floats) -> Floats:
    """The points on the far side, in the same order."""
    far: Floats = points * np.array([-1.0, 1.0])
    return far


def bearing(points: Floats, angle: float, thickness: float) -> tuple[float, Floats]:
    """How high a handle lies on some points, and on which of them.

    Args:
        points: (n, 2) mm.
        angle: of the handle, radians.
        thickness: of the handle, mm.

    Returns:
        Distance of the handle's middle line from the origin, along the normal (-sin, cos); the point it bears on.
    """
    across = points @ np.array([-np.sin(angle), np.cos(angle)])
    highest = int(np.argmax(across))
    return float(across[highest]) + thickness / 2, points[highest]
