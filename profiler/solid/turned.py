"""Solids of revolution: a section turned about the z axis; runs in the kernel's process only."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from OCP.BRep import BRep_Builder
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepPrimAPI import BRepPrimAPI_MakeRevol
from OCP.gp import gp_Ax1, gp_Dir, gp_Pnt
from OCP.TopAbs import TopAbs_ShapeEnum
from OCP.TopoDS import TopoDS_Compound

from profiler.geometry.curve import Curve, Floats
from profiler.geometry.section import Section
from profiler.geometry.tolerance import JOIN_MM

from .measure import volume_of
from .notch import notched
from .notch_mesh import notched_mesh
from .outline import closed, face, upright
from .stl import Mesh, turned_mesh
from .trouble import UnusableError


def checked(outline: list[Any]) -> Floats:
    """The outline as (n, 4, 2) cubics in mm, closed, right of the axis and anticlockwise.

    The kernel makes a solid of an open chain, leaves a pin-hole in one a hair off the axis, and dies on one
    that crosses the axis: so all of that is looked at first, and what lies within rounding is set right.

    Raises:
        UnusableError: the outline is none of these.
    """
    cubics, _ = closed(outline)
    radii = cubics[:, :, 0]
    radii[np.abs(radii) < JOIN_MM] = 0.0
    least = Curve(cubics).lowest(0)[1]
    if least < -JOIN_MM:
        raise UnusableError(f"the outline crosses the axis: it goes to r = {least:.6g} mm")
    if Section(Curve(cubics)).area_mm2 <= 0:
        raise UnusableError("the outline runs clockwise or encloses nothing")
    # whatever its handles, a cubic on the axis is a line there
    on_axis = ~cubics[:, :, 0].any(axis=1)
    first, last = cubics[on_axis, 0], cubics[on_axis, 3]
    cubics[on_axis, 1], cubics[on_axis, 2] = (2 * first + last) / 3, (first + 2 * last) / 3
    return cubics


def turned(cubics: Floats) -> Any:
    """The solid of a full turn of a checked outline about the z axis.

    Raises:
        UnusableError: the outline crosses itself, or the kernel makes no single valid solid of it.
    """
    # An edge on the axis stays in the face and turns into nothing: the kernel leaves it out by itself.
    axis = gp_Ax1(gp_Pnt(0, 0, 0), gp_Dir(0, 0, 1))
    shape = BRepPrimAPI_MakeRevol(face(cubics, (), upright), axis).Shape()
    if shape.ShapeType() != TopAbs_ShapeEnum.TopAbs_SOLID:
        raise UnusableError("a full turn of the outline is not one solid")
    if not BRepCheck_Analyzer(shape).IsValid():
        raise UnusableError("the solid does not pass the kernel's own check")
    return shape


def made(job: dict[str, Any]) -> tuple[Any, dict[str, Any]]:
    """One job's solids, together, and their volume before the notches were cut, if there are any.

    Raises:
        UnusableError: one of the outlines does not make a solid, or loses it to its notch.
    """
    outlines = [checked(outline) for outline in job["outlines"]]
    solids = [turned(outline) for outline in outlines]
    if not solids:
        raise UnusableError("there is no outline to turn")
    told = {}
    if any(job["notches"]):
        told["turned_mm3"] = sum(volume_of(solid) for solid in solids)
        solids = [
            solid if notch is None else notched(solid, outline, notch)
            for solid, outline, notch in zip(solids, outlines, job["notches"], strict=True)
        ]
    return solids[0] if len(solids) == 1 else together(solids), told


def together(shapes: Sequence[Any]) -> Any:
    """Shapes as one, each still by itself."""
    whole, builder = TopoDS_Compound(), BRep_Builder()
    builder.MakeCompound(whole)
    for shape in shapes:
        builder.Add(whole, shape)
    return whole


def meshes(job: dict[str, Any], shape: Any) -> list[Mesh]:  # noqa: ARG001 - the outlines say it better
    """The triangles of each of a job's solids."""
    return [
        turned_mesh(checked(outline)) if notch is None else notched_mesh(checked(outline), notch)
        for outline, notch in zip(job["outlines"], job["notches"], strict=True)
    ]
