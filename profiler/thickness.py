"""How thick the clay is: the thinnest and the thickest place of a finished part."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from .forms.shape import Shape
from .geometry.curve import Curve, Floats
from .geometry.tolerance import JOIN_MM

_STEP_MM = 0.5
"""The outer skin is looked at this far apart: a circle of 5 mm bulges between two such places by 0.013 mm."""

_RESTS_MM = 1e-3
"""What of an underside is so near its lowest place touches the table."""

_STEEP = -0.9
"""A hollow whose tangent falls more than this has come to the side of a collar."""

_SPARSE = 8
"""Every eighth point of the skin, and the eight likeliest places of the inside, are looked at first."""

_SAME_MM = 1e-9
"""Thicknesses this close are one: far over rounding."""

_COARSE_MM = 1.5
_FINE_MM = 0.05
"""The inside is looked at this far apart, then round the best place."""


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
    curve = _inner(shape)
    skin = shape.outside + shape.rim if shape.solid else _skin(shape)
    runs = skin.at(_places(skin, _STEP_MM))

    def distances(places: Floats) -> Floats:
        return _to_runs(curve.at(places), runs)

    place, distance = _best(curve, distances, _first_least)
    r, z = curve.at(place)
    return Place(distance, float(r), float(z))


def thickest(shape: Shape) -> Place:
    """The largest circle in the section, its diameter and where it touches the inside.

    A foot ring below the face of its recess is left out, its junction is not: there the section is closed
    by that face. The circle that touches the inside at p with normal n is limited by each point q of the
    skin, and of the inside itself where that turns back under a ledge, to the radius |q - p|² / 2n·(q - p).
    """
    curve = _inner(shape)
    if shape.solid:
        sides = [shape.base.part(_rests(shape), float(len(shape.base))), shape.outside, shape.rim]
    else:
        sides = [_skin(shape, leave_out_ring=True)]
        sides += [shape.base] if _open_below(shape) else []
        sides += [] if shape.closes else [shape.rim]  # a closed form's rim runs down the axis
    q = np.concatenate([side.at(_places(side, _STEP_MM)) for side in (*sides, curve)])

    def diameters(places: Floats) -> Floats:
        p, way = curve.at(places), curve.direction(places)
        n = np.stack([way[:, 1], -way[:, 0]], axis=1)  # into the clay, to the right of the inside
        # a few of the points limit each circle from above, so the rest is asked only where that leaves the most
        most = _limited(p, n, q[::_SPARSE])
        found = np.full(len(p), -np.inf)
        first = np.argsort(-most)[:_SPARSE]
        found[first] = _limited(p[first], n[first], q)
        rest = np.flatnonzero((most >= found.max() - _SAME_MM) & np.isinf(found))
        found[rest] = _limited(p[rest], n[rest], q)
        return found

    place, diameter = _best(curve, diameters, lambda values: _first_least(-values))
    r, z = curve.at(place)
    return Place(diameter, float(r), float(z))


def _best(curve: Curve, measure: Callable[[Floats], Floats], choose: Callable[[Floats], int]) -> tuple[float, float]:
    """The place with the chosen value, and that value: looked for coarsely, then finely to both sides."""
    places = _places(curve, _COARSE_MM)
    at = choose(measure(places))
    low, high = float(places[max(at - 1, 0)]), float(places[min(at + 1, len(places) - 1)])
    steps = max(int(2 * _COARSE_MM / _FINE_MM), 2)
    fine = np.append(np.linspace(low, high, steps), places[at])
    values = measure(fine)
    at = choose(values)
    return float(fine[at]), float(values[at])


def _first_least(values: Floats) -> int:
    """The first of the least: along an even floor rounding alone would choose."""
    return int(np.argmax(values <= values.min() + _SAME_MM))


def _places(curve: Curve, step: float) -> Floats:
    """Places on a curve about a step apart, however long its cubics are; both ends included."""
    counts = np.maximum(np.ceil(np.diff(curve.arc_lengths) / step - _SAME_MM), 2).astype(int)
    within = [index + np.arange(count) / count for index, count in enumerate(counts)]
    return np.concatenate([*within, [float(len(curve))]])


def _inner(shape: Shape) -> Curve:
    """The side thickness is taken from, clay to its right: the inside, or the hollow under a solid lid."""
    return shape.base.part(0.0, _rests(shape)).reversed() if shape.solid else shape.inside


def _rests(shape: Shape) -> float:
    """Where the hollow under a solid lid ends: at the side of a collar or skirt, or else where it rests."""
    places = _places(shape.base, _FINE_MM)
    low = shape.base.lowest(1)[1]
    ends = (shape.base.direction(places)[:, 1] < _STEEP) | (shape.base.at(places)[:, 1] < low + _RESTS_MM)
    return float(places[max(int(np.argmax(ends)), 1)])


def _open_below(shape: Shape) -> bool:
    """Whether there is no floor: the foot of a pedestal, or a lid cut from a closed form."""
    return bool(shape.inside.start[0] > JOIN_MM)


def _skin(shape: Shape, *, leave_out_ring: bool = False) -> Curve:
    """Base and outside; with the ring left out, the recess's face runs on to the outside."""
    if _open_below(shape):
        return shape.outside  # inside and outside meet at the table, or at the joint of a lid that was cut off
    if not leave_out_ring or shape.recess is None:
        return shape.base + shape.outside
    recess, outside = shape.recess, shape.outside
    level = float(recess.end[1])
    crossing = outside.crossings(1, level)
    above = outside.part(float(crossing[0]), float(len(outside))) if len(crossing) else outside
    bridge = Curve(np.array([[recess.end, recess.end, above.start, above.start]]))
    return recess + bridge + above


def _limited(p: Floats, normal: Floats, q: Floats) -> Floats:
    """The diameter to which points q limit each circle that touches p and lies along its normal, (n,) mm."""
    r, z = q[:, 0] - p[:, :1], q[:, 1] - p[:, 1:]
    along = r * normal[:, :1] + z * normal[:, 1:]
    diameter = np.full(along.shape, np.inf)
    np.divide(r * r + z * z, along, out=diameter, where=along > 1e-9)
    return np.asarray(diameter.min(axis=1))


def _to_runs(points: Floats, chain: Floats) -> Floats:
    """Distance of each point to a chain of straight runs, (n,) mm."""
    d = np.diff(chain, axis=0)
    squared = (d * d).sum(axis=1)
    away = np.sqrt((chain[:, 0] - points[:, :1]) ** 2 + (chain[:, 1] - points[:, 1:]) ** 2)
    # no place of a run is further from both of its ends than half of it, so only runs that start so near count
    nearest = away.min(axis=1)
    i, j = np.nonzero(away[:, :-1] <= (nearest + np.sqrt(squared.max()))[:, None])
    to = points[i] - chain[j]
    t = np.clip((to * d[j]).sum(axis=1) / np.maximum(squared[j], 1e-30), 0.0, 1.0)
    gap = to - t[:, None] * d[j]
    np.minimum.at(nearest, i, np.hypot(gap[:, 0], gap[:, 1]))
    return np.asarray(nearest)
