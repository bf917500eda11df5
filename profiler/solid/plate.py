"""Plates: flat tools as solids, their working edge bevelled if asked; runs in the kernel's process only.

The drawing lies in (x, y), the thickness along z from 0 up; the land of a bevelled edge is at the bottom.
"""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import numpy as np
from OCP.BRep import BRep_Tool
from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepPrimAPI import BRepPrimAPI_MakePrism
from OCP.gp import gp_Vec
from OCP.TopAbs import TopAbs_ShapeEnum
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS
from OCP.TopTools import TopTools_ListOfShape

from profiler.geometry.cubics import Floats, moment
from profiler.geometry.tolerance import JOIN_MM, STRAIGHT_RADIANS

from . import AGREE
from .bevel import cutters
from .measure import solids_of, volume_of
from .outline import closed, face, level
from .stl import Mesh, plate_mesh
from .trouble import UnusableError
from .working_edge import ROOM, WorkingEdge

LEAST_BEVEL_MM = 0.5
"""A bevel narrower than a printer's nozzle is none."""


def made(job: dict[str, Any]) -> tuple[Any, dict[str, Any]]:
    """One job's plate, and how wide its bevel is.

    Raises:
        UnusableError: the outline makes no plate, or the bevel cannot be cut.
    """
    body, working = _anticlockwise(job["body"], job["working"])
    holes = [_anticlockwise(hole, 0)[0] for hole in job["holes"]]
    thickness = float(job["thickness_mm"])
    if not (math.isfinite(thickness) and thickness > 0):
        raise UnusableError(f"a plate cannot be {thickness:g} mm thick")
    plate = BRepPrimAPI_MakePrism(face(body, holes, level(0.0)), gp_Vec(0, 0, thickness)).Shape()
    if plate.ShapeType() != TopAbs_ShapeEnum.TopAbs_SOLID or not BRepCheck_Analyzer(plate).IsValid():
        raise UnusableError("the plate does not pass the kernel's own check")
    exact = (moment(body, 1, 0) - sum(moment(hole, 1, 0) for hole in holes)) * thickness
    flat = volume_of(plate)
    if not abs(flat - exact) <= AGREE * exact:
        raise UnusableError(f"the plate has {flat:.12g} mm³, area times thickness {exact:.12g} mm³")
    if job["angle_deg"] is None:
        return plate, {}
    edge = WorkingEdge(*_from_a_corner(body, working))
    return _bevelled(plate, edge, thickness, float(job["edge_mm"]), float(job["angle_deg"]))


def meshes(job: dict[str, Any], shape: Any) -> list[Mesh]:
    """The triangles of a job's plate."""
    return [plate_mesh(shape, Path(job["stl"]))]


def _anticlockwise(outline: list[Any], working: int) -> tuple[Floats, int]:
    """An outline of any orientation as anticlockwise cubics, still begun by its working edge, and that's length."""
    cubics, kept = closed(outline)
    working = int(kept[:working].sum())
    if moment(cubics, 1, 0) < 0:
        cubics = np.roll(cubics[::-1, ::-1], working, axis=0)
    return cubics, working


def _from_a_corner(body: Floats, working: int) -> tuple[Floats, int]:
    """A working edge all round begins at a corner, if there is one: then only a smooth one has no end at all."""
    if 0 < working == len(body):
        sharp = np.flatnonzero(np.abs(WorkingEdge(body, working).turns[:-1]) > STRAIGHT_RADIANS)
        if len(sharp):
            return np.roll(body, -int(sharp[0]), axis=0), working
    return body, working


def _bevelled(
    plate: Any, edge: WorkingEdge, thickness: float, land: float, angle: float
) -> tuple[Any, dict[str, Any]]:
    """The plate with its working edge bevelled at an angle from its face, down to a land.

    Where the edge bends into the plate more tightly than the bevel is wide, the bevel is as wide as it can
    be and steeper than asked.

    Raises:
        UnusableError: there is no edge or no room for a bevel, or what was cut off is not what should be.
    """
    if not edge.count:
        raise UnusableError("there is no working edge to bevel")
    height = thickness - land
    if not (0 < angle < 90 and land >= 0 and height > 0):
        raise UnusableError(f"no bevel of {angle:g}° leaves {land:g} mm of a plate of {thickness:g} mm")
    asked = height / math.tan(math.radians(angle))
    width = min(asked, ROOM * edge.tightest_mm)
    if width < LEAST_BEVEL_MM:
        raise UnusableError(
            f"a bevel would be {width:.2g} mm wide at most, and {LEAST_BEVEL_MM:g} mm is the least: the working "
            f"edge bends with a radius of {edge.tightest_mm:.2g} mm"
        )
    cut = BRepAlgoAPI_Cut()
    shapes, tools = TopTools_ListOfShape(), TopTools_ListOfShape()
    shapes.Append(plate)
    for cutter in cutters(edge, land, thickness, width):
        tools.Append(cutter)
    cut.SetArguments(shapes)
    cut.SetTools(tools)
    cut.SetToFillHistory(False)
    cut.Build()
    if not cut.IsDone():
        raise UnusableError("the kernel does not cut the bevel")
    solid = _only_solid(cut.Shape())
    gone = volume_of(plate) - volume_of(solid)
    due, within = edge.removed(width, height)
    if not (gone > 0 and abs(gone - due) <= within and abs(_top(solid) - thickness) < JOIN_MM):
        raise UnusableError(
            f"the bevel takes {gone:.6g} mm³ off where {due:.6g} ± {within:.2g} mm³ are due: "
            f"{width:.3g} mm wide, it meets another edge of the plate"
        )
    return solid, {"bevel_mm": width, "bevel_deg": math.degrees(math.atan(height / width))}


def _top(solid: Any) -> float:
    """Height of the highest corner, mm."""
    heights, explorer = [], TopExp_Explorer(solid, TopAbs_ShapeEnum.TopAbs_VERTEX)
    while explorer.More():
        heights.append(float(BRep_Tool.Pnt_s(TopoDS.Vertex_s(explorer.Current())).Z()))
        explorer.Next()
    return max(heights)


def _only_solid(shape: Any) -> Any:
    """The one valid solid of what a cut leaves."""
    solids = solids_of(shape)
    if not solids:
        raise UnusableError("the bevel leaves nothing of the plate")
    if len(solids) > 1:
        raise UnusableError("the bevel cuts the plate in pieces")
    solid = solids[0]
    if not BRepCheck_Analyzer(solid).IsValid():
        raise UnusableError("the bevelled plate does not pass the kernel's own check")
    return solid
