"""A closed outline in the (r, z) half plane, and what a full turn of it measures."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from .cubics import moment, refined_surface
from .curve import Curve, Floats
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
    d = q - p
    runs = np.abs(d).max(axis=1) > JOIN_MM
    number = np.cumsum(runs)
    i, j = _near(curve.cubics, per_cubic)
    between = number[j] - number[i]
    apart = runs[i] & runs[j] & (between >= 2) & (between != number[-1] - 1)
    i, j = i[apart], j[apart]

    def side(line: NDArray[np.intp], of: Floats) -> Floats:
        """On which side of some of the runs some points lie, and how far."""
        return np.asarray(d[line, 0] * (of[:, 1] - p[line, 1]) - d[line, 1] * (of[:, 0] - p[line, 0]))

    start, end = side(j, p[i]), side(j, q[i])
    crossed = np.flatnonzero((start * end < 0) & (side(i, p[j]) * side(i, q[j]) < 0))
    if not len(crossed):
        return None
    first = crossed[np.lexsort((j[crossed], i[crossed]))[0]]
    return np.asarray(p[i[first]] + start[first] / (start[first] - end[first]) * d[i[first]])


def _near(cubics: Floats, per_cubic: int) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Pairs of sampled runs that may meet: the boxes round the control points of their cubics do."""
    low, high = cubics.min(axis=1), cubics.max(axis=1)
    meet = ((low[:, None] <= high[None]) & (low[None] <= high[:, None])).all(axis=2)
    a, b = np.nonzero(np.triu(meet))
    one, other = np.divmod(np.arange(per_cubic**2), per_cubic)
    return (per_cubic * a[:, None] + one).ravel(), (per_cubic * b[:, None] + other).ravel()
