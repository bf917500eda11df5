"""A closed outline in the (r, z) half plane, and what a full turn of it measures."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from .curve import Curve, Floats, moment, refined_surface
from .tolerance import JOIN_MM


@dataclass(frozen=True, eq=False)
class Section:
    """A closed chain run anticlockwise, turned about the axis to make a solid.

    Attributes:
        outline: the chain; its end is its start.
    """

    outline: Curve

    def __post_init__(self) -> None:
        if np.abs(self.outline.start - self.outline.end).max() > JOIN_MM:
            raise ValueError("a section is not closed")

    @property
    def volume_mm3(self) -> float:
        """Volume of a full turn, mm³: π ∮ r² dz (Green's theorem on 2π ∬ r dA)."""
        return np.pi * moment(self.outline.cubics, 2, 0)

    @property
    def area_mm2(self) -> float:
        """Area of the section, mm²: ∮ r dz."""
        return moment(self.outline.cubics, 1, 0)

    @property
    def centroid_height_mm(self) -> float:
        """Height of the turned solid's centre of mass, mm: (π/V) ∮ z r² dz."""
        return np.pi * moment(self.outline.cubics, 2, 1) / self.volume_mm3

    @property
    def surface_mm2(self) -> float:
        """Surface of the turned solid, mm²: 2π ∮ r ds, to 1e-9. Runs along the axis add nothing."""
        return 2 * np.pi * refined_surface(self.outline.cubics)

    def mapped(self, scale_r: float, scale_z: float) -> Section:
        """The section with r and z multiplied."""
        return Section(self.outline.mapped(scale_r, scale_z))

    def moved(self, dz: float) -> Section:
        """The section lifted by dz, mm."""
        return Section(self.outline.moved(0.0, dz))


def volume_below(wall: Curve, level: float) -> float:
    """Volume inside a curve that starts on the axis, to a level, mm³: π ∫ r² dz over what is below."""
    cuts = np.concatenate([[0.0], wall.crossings(1, level), [float(len(wall))]])
    total = 0.0
    for first, last in pairwise(cuts):
        if last - first > 1e-9 and wall.at((first + last) / 2)[1] < level:
            total += moment(wall.part(float(first), float(last)).cubics, 2, 0)
    return np.pi * total


def crossing_point(curve: Curve, per_cubic: int = 7) -> Floats | None:
    """A point (r, z) where a closed chain crosses itself, to the accuracy of its sampling, or None."""
    points = curve.sampled(per_cubic)
    p, q = points[:-1], points[1:]
    keep = np.abs(q - p).max(axis=1) > JOIN_MM
    p, q = p[keep], q[keep]
    d = q - p
    n = len(p)

    def side(of: Floats) -> Floats:
        """Cross products of each run with the vector to each of the points, (runs, points)."""
        return np.asarray(
            d[:, None, 0] * (of[None, :, 1] - p[:, None, 1]) - d[:, None, 1] * (of[None, :, 0] - p[:, None, 0])
        )

    to_p = side(p)
    straddles = to_p * side(q) < 0
    both = straddles & straddles.T
    i, j = np.nonzero(np.triu(both, 2))
    apart = (i + n - j) % n != 1
    i, j = i[apart], j[apart]
    if not len(i):
        return None
    a, b = i[0], j[0]
    t = -to_p[b, a] / (d[b, 0] * d[a, 1] - d[b, 1] * d[a, 0])
    return np.asarray(p[a] + t * d[a])
