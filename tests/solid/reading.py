"""Solids' files read by libraries that share nothing with the writers."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

import manifold3d
import numpy as np
import trimesh


def read(path: Path) -> trimesh.Trimesh:
    """The mesh of a file as trimesh reads it, equal corners merged."""
    mesh = trimesh.load_mesh(path)
    assert isinstance(mesh, trimesh.Trimesh)
    return mesh


def manifold(mesh: trimesh.Trimesh) -> manifold3d.Manifold:
    """A mesh as manifold3d's solid, with which it finds nothing wrong."""
    solid = manifold3d.Manifold(
        manifold3d.Mesh(
            vert_properties=np.asarray(mesh.vertices, dtype=np.float32),
            tri_verts=np.asarray(mesh.faces, dtype=np.uint32),
        )
    )
    assert solid.status() == manifold3d.Error.NoError
    return solid


def manifold_volume(mesh: trimesh.Trimesh) -> float:
    """The volume manifold3d gives a mesh it finds nothing wrong with."""
    return float(manifold(mesh).volume())


_READ = """
import sys
import cadquery
for path in sys.argv[1:]:
    solids = cadquery.importers.importStep(path).solids().vals()
    print(len(solids), sum(solid.Volume() for solid in solids))
"""


def volumes_read_back(paths: Sequence[Path]) -> list[float]:
    """What the modeller's own reader makes of STEP files of one solid each, mm³, in a process of its own."""
    done = subprocess.run(
        [sys.executable, "-c", _READ, *map(str, paths)], capture_output=True, text=True, check=True, timeout=300
    )
    rows = [row.split() for row in done.stdout.splitlines()]
    assert [count for count, _ in rows] == ["1"] * len(paths)
    return [float(volume) for _, volume in rows]
