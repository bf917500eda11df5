"""Watertight binary STL files; runs in the kernel's process only."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from OCP.BRepBuilderAPI import BRepBuilderAPI_Copy
from OCP.BRepMesh import BRepMesh_IncrementalMesh
from OCP.StlAPI import StlAPI_Writer

from profiler.geometry.cubics import bernstein, moment
from profiler.geometry.curve import Curve, Floats, polyline

from .trouble import UnusableError

MESH_MM = 0.01
"""How far a chord may lie off the shape: a tenth of the finest layer a printer of clay tools lays."""

MESH_SHARE = 5e-4
"""Relative difference of mesh and solid that is still the chords': measured up to 3e-4 on thin walls."""

PLATE_RADIANS = 0.3
"""The most neighbouring chords of a plate turn; finer only makes small roundings heavier, which MESH_MM holds."""

Mesh = NDArray[np.float32]
"""Triangles (n, 3, 3) in mm, anticlockwise seen from outside."""

_RECORD = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("more", "<u2")])


def turned_mesh(cubics: Floats) -> Mesh:
    """A lattice on the full turn of a checked outline, which follows it and the circles within MESH_MM.

    The kernel's own mesher makes ten times as many triangles of a bowl and lies 0.04 mm off it. The circles
    become polygons of their area, not inscribed ones, so the volume is that of the outline's chords.
    """
    points, steps = chords(cubics), steps_round(cubics)
    turn = 2 * np.pi / steps
    angle = turn * np.arange(steps)
    radius = points[:, 0] * np.sqrt(turn / np.sin(turn))
    place = np.stack(
        [
            radius[:, None] * np.cos(angle),
            radius[:, None] * np.sin(angle),
            np.broadcast_to(points[:, 1:], (len(points), steps)),
        ],
        axis=-1,
    ).astype(np.float32)
    along, round_ = np.roll(place, -1, axis=0), np.roll(place, -1, axis=1)
    both = np.roll(along, -1, axis=1)
    halves = (place, round_, both), (place, both, along)
    return np.concatenate([np.stack(corners, axis=2).reshape(-1, 3, 3) for corners in halves])


def steps_round(cubics: Floats) -> int:
    """Into how many chords a full turn is cut so that those of an outline's widest circle lie within MESH_MM."""
    return int(np.ceil(np.pi / np.arccos(1 - MESH_MM / max(Curve(cubics).highest(0)[1], 1.0))))


def chords(cubics: Floats) -> Floats:
    """Points on a closed outline whose chords lie within MESH_MM of it, the first not repeated, (n, 2) mm.

    On a thin wall they are made shorter until their volume of revolution holds.
    """
    chord_mm, exact = MESH_MM, moment(cubics, 2, 0)
    points = _chords(cubics, chord_mm)
    while abs(moment(polyline([*points, points[0]]).cubics, 2, 0) - exact) > MESH_SHARE / 2 * exact:
        chord_mm /= 2
        points = _chords(cubics, chord_mm)
    return points


def _chords(cubics: Floats, within: float) -> Floats:
    bend = 6 * np.abs(cubics[:, :2] - 2 * cubics[:, 1:3] + cubics[:, 2:]).max(axis=1)
    # a chord is off by at most an eighth of the second derivative over the square of the pieces
    pieces = np.maximum(np.ceil(np.sqrt(np.hypot(bend[:, 0], bend[:, 1]) / (8 * within))), 1).astype(int)
    return np.concatenate([bernstein(np.arange(n) / n) @ cubic for n, cubic in zip(pieces, cubics, strict=True)])


def plate_mesh(shape: Any, path: Path) -> Mesh:
    """The kernel's triangles of a plate, by way of a file.

    Chords along edges alone would make a quarter as many, but a wall 0.1 mm off between its lower and upper edge.

    Raises:
        UnusableError: the file cannot be written.
    """
    # The kernel keeps a mesh on its shape and would hand out an older, coarser one.
    fresh = BRepBuilderAPI_Copy(shape).Shape()
    BRepMesh_IncrementalMesh(fresh, MESH_MM, False, PLATE_RADIANS, False)
    writer = StlAPI_Writer()
    writer.ASCIIMode = False
    if not writer.Write(fresh, str(path)):
        raise UnusableError(f"the STL file {path} cannot be written")
    corners: Mesh = np.frombuffer(path.read_bytes()[84:], _RECORD)["corners"]
    return corners


def write_stl(meshes: Iterable[Mesh], path: Path) -> dict[str, Any]:
    """Write closed meshes as one file, and say how many triangles it has and what volume they enclose, mm³.

    Raises:
        UnusableError: a mesh is not closed, or the file cannot be written.
    """
    triangles = np.concatenate([_closed(mesh) for mesh in meshes])
    first, second, third = np.moveaxis(triangles.astype(np.float64), 1, 0)
    across = np.cross(second - first, third - first)
    length = np.linalg.norm(across, axis=1, keepdims=True)
    records = np.zeros(len(triangles), _RECORD)
    records["corners"] = triangles
    records["normal"] = np.divide(across, length, out=np.zeros_like(across), where=length > 0)
    head = b"binary STL, mm".ljust(80) + np.array([len(records)], "<u4").tobytes()
    try:
        path.write_bytes(head + records.tobytes())
    except OSError as error:
        raise UnusableError(f"the STL file {path} cannot be written: {error.strerror}") from None
    # the divergence theorem: each triangle and the origin make a pyramid, counted with its sign
    return {"triangles": len(triangles), "mesh_volume_mm3": float((first * np.cross(second, third)).sum()) / 6}


def _closed(mesh: Mesh) -> Mesh:
    """A mesh without what encloses nothing, proved to have each edge once either way.

    Two equal corners make a triangle a line, and the kernel lays a sliver along some edges twice, once either way
    round: both go.

    Raises:
        UnusableError: it has not.
    """
    points, corners = np.unique(mesh.reshape(-1, 3) + np.float32(0), axis=0, return_inverse=True)  # -0 becomes 0
    corners = corners.reshape(-1, 3)
    a, b, c = corners.T
    corners = _without_flaps(corners[(a != b) & (b != c) & (c != a)])
    start, end = corners.ravel(), np.roll(corners, -1, axis=1).ravel()
    ahead, back = np.sort(start * len(points) + end), np.sort(end * len(points) + start)
    if not len(corners) or (ahead != back).any() or (np.diff(ahead) == 0).any():
        raise UnusableError("the mesh is not closed")
    found: Mesh = points[corners]
    return found


def _without_flaps(corners: NDArray[np.intp]) -> NDArray[np.intp]:
    """Triangles (n, 3) of corners without the pairs that have the same three, once either way round."""
    least = np.argmin(corners, axis=1)
    first, second, third = (corners[np.arange(len(corners)), (least + step) % 3] for step in range(3))
    way_round = np.where(second < third, 1, -1)
    same = np.stack([first, np.minimum(second, third), np.maximum(second, third)], axis=1)
    _, which = np.unique(same, axis=0, return_inverse=True)
    which = which.ravel()
    flap = (np.bincount(which) == 2) & (np.bincount(which, way_round) == 0)
    return np.asarray(corners[~flap[which]])
