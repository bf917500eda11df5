"""How thick the clay is: the thinnest and the thickest place of a finished part."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .forms.shape import Shape
from .geometry.curve import Curve, Floats
from .geometry.tolerance import JOIN_MM

_PER_CUBIC = 24


@dataclass(frozen=True)
class Place:
    """A thickness and where it is, mm.

    Attributes:
        thickness_mm: distance, or diameter of a circle.
        r_mm: on the inside, distance from the axis.
        z_mm: on the inside, height.
    """

    thickness_mm: float
    r_mm: float
    z_mm: float

    def mapped(self, scale_r: float, scale_z: float) -> Place:
        """The same in another state; thickness goes with the width, as most of it does."""
        return Place(scale_r * self.thickness_mm, scale_r * self.r_mm, scale_z * self.z_mm)


def thinnest(shape: Shape) -> Place:
    """The least distance between inside and outer skin; rounded rims left out.

    Sampled, then the straight runs between samples are used, so it is good to about 0.01 mm.
    """
    inside = shape.inside.sampled(_PER_CUBIC)
    skin = _skin(shape).sampled(_PER_CUBIC)
    distance = _to_runs(inside, skin)
    at = int(np.argmin(distance))
    return Place(float(distance[at]), float(inside[at, 0]), float(inside[at, 1]))


def thickest(shape: Shape) -> Place:
    """The largest circle in the section, its diameter and where it touches the inside.

    A foot ring below the face of its recess is left out, its junction is not: there the section is closed
    by that face. The circle that touches the inside at p with normal n is limited by each point q of the
    skin to the radius |q - p|² / 2n·(q - p).
    """
    curve = shape.inside
    places = curve.places(_PER_CUBIC)[1:-1]
    p = curve.at(places)
    way = curve.direction(places)
    n = np.stack([way[:, 1], -way[:, 0]], axis=1)  # into the clay, to the right of the inside
    skin = _skin(shape, leave_out_ring=True).sampled(_PER_CUBIC)
    q = np.concatenate([skin, shape.rim.sampled(_PER_CUBIC)])
    away = q[None] - p[:, None]
    along = np.einsum("pqk,pk->pq", away, n)
    squared = np.einsum("pqk,pqk->pq", away, away)
    radius = np.where(along > 1e-9, squared / np.maximum(2 * along, 1e-9), np.inf).min(axis=1)
    at = int(np.argmax(radius))
    return Place(2 * float(radius[at]), float(p[at, 0]), float(p[at, 1]))


def _skin(shape: Shape, *, leave_out_ring: bool = False) -> Curve:
    """Base and outside; with the ring left out, the recess's face runs on to the outside."""
    if shape.inside.start[0] > JOIN_MM:
        return shape.outside  # an open foot: inside and outside meet at the table
    if not leave_out_ring or shape.recess is None:
        return shape.base + shape.outside
    recess, outside = shape.recess, shape.outside
    level = float(recess.end[1])
    crossing = outside.crossings(1, level)
    above = outside.part(float(crossing[0]), float(len(outside))) if len(crossing) else outside
    bridge = Curve(np.array([[recess.end, recess.end, above.start, above.start]]))
    return recess + bridge + above


def _to_runs(points: Floats, chain: Floats) -> Floats:
    """Distance of each point to a chain of straight runs, (n,) mm."""
    a, d = chain[:-1], np.diff(chain, axis=0)
    length = np.maximum((d * d).sum(axis=1), 1e-30)
    away = points[:, None] - a[None]
    t = np.clip(np.einsum("nmk,mk->nm", away, d) / length, 0.0, 1.0)
    gap = away - t[..., None] * d[None]
    return np.asarray(np.sqrt(np.einsum("nmk,nmk->nm", gap, gap)).min(axis=1))
