"""Triangles of a turned part with a notch: a lattice that leaves the notch out; runs in the kernel's process only.

The kernel's own mesher takes ten to thirty seconds for such a part. Here every circle of the lattice has a corner
on either side of the notch, at the angle asin(w/2r) where the circle meets that plane. Between these two corners
the outline's runs that the notch takes away are left out; its floor is laid between the circles at its level, and
its two sides are the flat piece of section beyond that level.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray
from OCP.BRep import BRep_Tool
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace, BRepBuilderAPI_MakePolygon
from OCP.BRepMesh import BRepMesh_IncrementalMesh
from OCP.TopLoc import TopLoc_Location

from profiler.geometry.curve import Floats

from .outline import upright
from .stl import MESH_MM, Mesh, chords, steps_round
from .trouble import UnusableError

_SNAP_MM = 1e-3
"""A corner this near to the notch's level is put on it: a tenth of a chord's error, and no sliver is left."""

Indices = NDArray[np.intp]


def notched_mesh(cubics: Floats, notch: dict[str, Any]) -> Mesh:
    """A closed mesh of the full turn of a checked outline less a notch, within MESH_MM of it.

    Raises:
        UnusableError: the notch is wider than the clay it is cut into, or its sides are no faces.
    """
    half, level, way = notch["width"] / 2, float(notch["level"]), 1.0 if notch["above"] else -1.0
    points, beyond = _levelled(chords(cubics), level, way)
    gone = beyond | np.roll(beyond, -1)  # the run from each point to the next
    inner = float(points[gone | np.roll(gone, 1), 0].min(initial=np.inf))
    if inner < half:
        raise UnusableError("the notch is wider than the clay it is cut into")
    # inwards of the notch's clay nothing is cut, so the corners' angle need not grow further there
    angle = np.arcsin(half / np.maximum(points[:, 0], inner))
    step = 2 * np.pi / steps_round(cubics)
    far, near = int(np.ceil((2 * np.pi - 2 * angle.min()) / step)), int(np.ceil(2 * angle.max() / step))
    round_ = np.concatenate(
        [
            angle[:, None] + (2 * np.pi - 2 * angle[:, None]) * np.arange(far) / far,
            -angle[:, None] + 2 * angle[:, None] * np.arange(near) / near,
        ],
        axis=1,
    )
    # as in the lattice of a whole turn, the circles become polygons of their area
    wide = np.sqrt(step / np.sin(step)) * points[:, :1]
    high = np.broadcast_to(points[:, 1:], round_.shape)
    place = np.stack([wide * np.cos(round_), wide * np.sin(round_), high], axis=-1).astype(np.float32)
    runs, all_round, beside = np.arange(len(points)), np.arange(far + near), np.arange(far)
    made = [
        _between(place, runs[~gone], runs[~gone] + 1, all_round),
        _between(place, runs[gone], runs[gone] + 1, beside),
    ]
    floors = _floors(points, gone)
    for first, last in floors:
        # it faces away from the clay: up in a jar's rim, down in a lid's edge
        row, other = (last, first) if notch["above"] else (first, last)
        made.append(_between(place, np.array([row]), np.array([other]), all_round[far:]))
    for loop in _sides(gone, floors):
        corners = _flat(points[loop])
        made.append(place[loop, 0][corners])
        made.append(place[loop, far][corners[:, ::-1]])
    return np.concatenate(made)


def _levelled(points: Floats, level: float, way: float) -> tuple[Floats, NDArray[np.bool_]]:
    """The outline's corners with those on the notch's level added, and which of them lie beyond it."""
    points = points.copy()
    points[np.abs(points[:, 1] - level) < _SNAP_MM, 1] = level
    over, after = way * (points[:, 1] - level), np.roll(points, -1, axis=0)
    crossed = np.flatnonzero(over * np.roll(over, -1) < 0)
    share = (level - points[crossed, 1]) / (after[crossed, 1] - points[crossed, 1])
    radius = points[crossed, 0] + share * (after[crossed, 0] - points[crossed, 0])
    points = np.insert(points, crossed + 1, np.stack([radius, np.full_like(radius, level)], axis=1), axis=0)
    return points, way * (points[:, 1] - level) > 0


def _between(place: Mesh, rows: Indices, others: Indices, columns: Indices) -> Mesh:
    """Two triangles for each mesh between some rows and others, and some columns and those after them."""
    then = (columns + 1) % place.shape[1]
    others = others % len(place)
    corners = (place[np.ix_(*at)] for at in ((rows, columns), (rows, then), (others, then), (others, columns)))
    a, b, c, d = corners
    found: Mesh = np.stack([a, b, c, a, c, d], axis=2).reshape(-1, 3, 3)
    return found


def _ends(gone: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """Where each stretch of runs that are gone begins and ends, by its corners."""
    starts = np.flatnonzero(gone & ~np.roll(gone, 1))
    ends = np.flatnonzero(~gone & np.roll(gone, 1))
    after = np.searchsorted(ends, starts, side="right") % max(len(ends), 1)
    return [(int(start), int(ends[index])) for start, index in zip(starts, after, strict=True)]


def _floors(points: Floats, gone: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """The notch's level stretches through clay, each by the corners at its inner and its outer edge."""
    corners = sorted((corner for ends in _ends(gone) for corner in ends), key=lambda corner: float(points[corner, 0]))
    return list(zip(corners[::2], corners[1::2], strict=True))


def _sides(gone: NDArray[np.bool_], floors: list[tuple[int, int]]) -> list[Indices]:
    """The outlines of the section beyond the notch's level: stretches that are gone, joined along its floors."""
    over = {a: b for pair in floors for a, b in (pair, pair[::-1])}
    stretches, loops = dict(_ends(gone)), []
    while stretches:
        loop: list[int] = []
        start = next(iter(stretches))
        while start in stretches:
            end = stretches.pop(start)
            loop += [index % len(gone) for index in range(start, end + 1 + (len(gone) if end < start else 0))]
            start = over[end]
        loops.append(np.array(loop))
    return loops


def _flat(points: Floats) -> Indices:
    """Triangles of a flat outline without corners of their own, by its corners, anticlockwise.

    Raises:
        UnusableError: the kernel makes no face or no such triangles of it.
    """
    polygon = BRepBuilderAPI_MakePolygon()
    for r, z in points.tolist():
        polygon.Add(upright(r, z))
    polygon.Close()
    face = BRepBuilderAPI_MakeFace(polygon.Wire(), True)
    if not face.IsDone():
        raise UnusableError("the notch's side is no face")
    BRepMesh_IncrementalMesh(face.Face(), MESH_MM, False, 0.5, False)
    mesh = BRep_Tool.Triangulation_s(face.Face(), TopLoc_Location())
    nodes = np.array([(node.X(), node.Z()) for node in map(mesh.Node, range(1, mesh.NbNodes() + 1))])
    off = np.hypot(*(nodes[:, None] - points[None]).transpose(2, 0, 1))
    if off.min(axis=1).max() > _SNAP_MM:
        raise UnusableError("the kernel adds corners to the notch's side")
    corners: Indices = off.argmin(axis=1)[
        np.array([mesh.Triangle(n).Get() for n in range(1, mesh.NbTriangles() + 1)]) - 1
    ]
    a, b, c = (points[corners[:, column]] for column in range(3))
    clockwise = ((b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0]).sum() < 0
    return corners[:, ::-1] if clockwise else corners
