"""The solid modeller in a process of its own: one JSON request on stdin, one JSON answer on stdout.

Run as `python -m profiler.solid.kernel`; nothing else in the project imports the modeller. It works
straight on the modeller's own classes, whose import takes a third of the time of the layer above them.

Request: `{"jobs": [{"name": str, "outlines": [[[[r, z] x 4], ...], ...], "step": path or null}, ...]}`.
Answer: `{"solids": {name: {"volume_mm3", "surface_mm2", "centre_height_mm", "faces", "valid"}}}`, where a
job that failed has `{"error": "..."}` instead, or `{"missing": "..."}` when the modeller does not load.
"""

from __future__ import annotations

import json
import os
import re
import signal
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np

from profiler.geometry.curve import Curve, Floats
from profiler.geometry.section import Section
from profiler.geometry.tolerance import JOIN_MM
from profiler.solid import AT_JOB

LAST_SECONDS = 900
"""A kernel whose parent was killed ends itself after this long, whatever it is doing."""

LINE_MM = 1e-10
"""Handles this close to the thirds make a line: far over rounding, and 1e-12 of a pot's volume."""

_PRODUCT = re.compile(r"PRODUCT\('PIECE[^']*',\s*'PIECE[^']*'")


class UnusableError(Exception):
    """An outline or a solid that cannot be used; its text goes into the answer."""


def checked(outline: list[Any]) -> Floats:
    """The outline as (n, 4, 2) cubics in mm, closed, right of the axis and anticlockwise.

    The kernel makes a solid of an open chain, leaves a pin-hole in one a hair off the axis, and dies on one
    that crosses the axis: so all of that is looked at first, and what lies within rounding is set right.

    Raises:
        UnusableError: the outline is none of these.
    """
    try:
        cubics: Floats = np.array(Curve(np.array(outline, dtype=np.float64)).cubics)
    except ValueError as error:
        raise UnusableError(str(error)) from None
    gap = float(np.abs(cubics[0, 0] - cubics[-1, 3]).max())
    if gap > JOIN_MM:
        raise UnusableError(f"the outline is open: its ends are {gap:.3g} mm apart")
    cubics = cubics[np.abs(cubics - cubics[:, :1]).max(axis=(1, 2)) > JOIN_MM]
    if not len(cubics):
        raise UnusableError("the outline is a single point")
    cubics[:, 0] = np.roll(cubics[:, 3], 1, axis=0)
    radii = cubics[:, :, 0]
    radii[np.abs(radii) < JOIN_MM] = 0.0
    least = Curve(cubics).lowest(0)[1]
    if least < -JOIN_MM:
        raise UnusableError(f"the outline crosses the axis: it goes to r = {least:.6g} mm")
    if Section(Curve(cubics)).area_mm2 <= 0:
        raise UnusableError("the outline runs clockwise or encloses nothing")
    return cubics


def is_straight(cubic: Floats) -> bool:
    """Whether a cubic (4, 2) is a line: its handles at thirds, or all of it on the axis."""
    start, first, second, end = cubic
    off = max(np.abs(first - (2 * start + end) / 3).max(), np.abs(second - (start + 2 * end) / 3).max())
    return bool(off < LINE_MM or not cubic[:, 0].any())


def turned(cubics: Floats) -> Any:
    """The solid of a full turn of a checked outline about the z axis.

    Raises:
        UnusableError: the outline crosses itself, or the kernel makes no single valid solid of it.
    """
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace, BRepBuilderAPI_MakeWire
    from OCP.BRepCheck import BRepCheck_Analyzer
    from OCP.BRepPrimAPI import BRepPrimAPI_MakeRevol
    from OCP.gp import gp_Ax1, gp_Dir, gp_Pnt
    from OCP.TopAbs import TopAbs_ShapeEnum

    wire = BRepBuilderAPI_MakeWire()
    for edge in _edges(cubics):
        wire.Add(edge)
        if not wire.IsDone():
            raise UnusableError("the kernel cannot join the outline's curves")
    if not wire.Wire().Closed():
        raise UnusableError("the outline touches itself: the kernel closes it too soon")
    face = BRepBuilderAPI_MakeFace(wire.Wire(), True)
    # A bow-tie turns into a solid that passes every check; the flat face is where the kernel sees it.
    if not face.IsDone() or not BRepCheck_Analyzer(face.Face()).IsValid():
        raise UnusableError("the outline crosses or touches itself")
    # An edge on the axis stays in the face and turns into nothing: the kernel leaves it out by itself.
    shape = BRepPrimAPI_MakeRevol(face.Face(), gp_Ax1(gp_Pnt(0, 0, 0), gp_Dir(0, 0, 1))).Shape()
    if shape.ShapeType() != TopAbs_ShapeEnum.TopAbs_SOLID:
        raise UnusableError("a full turn of the outline is not one solid")
    if not BRepCheck_Analyzer(shape).IsValid():
        raise UnusableError("the solid does not pass the kernel's own check")
    return shape


def _edges(cubics: Floats) -> Iterator[Any]:
    """The outline's edges in the plane y = 0, neighbours sharing their vertex."""
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge, BRepBuilderAPI_MakeVertex
    from OCP.Geom import Geom_BezierCurve
    from OCP.gp import gp_Pnt
    from OCP.TColgp import TColgp_Array1OfPnt

    corners = [BRepBuilderAPI_MakeVertex(gp_Pnt(r, 0, z)).Vertex() for r, z in cubics[:, 0].tolist()]
    for index, cubic in enumerate(cubics):
        start, end = corners[index], corners[(index + 1) % len(corners)]
        if is_straight(cubic):
            made = BRepBuilderAPI_MakeEdge(start, end)
        else:
            poles = TColgp_Array1OfPnt(1, 4)
            for place, (r, z) in enumerate(cubic.tolist(), 1):
                poles.SetValue(place, gp_Pnt(r, 0, z))
            made = BRepBuilderAPI_MakeEdge(Geom_BezierCurve(poles), start, end)
        if not made.IsDone():
            raise UnusableError(f"the kernel makes no edge of curve {index + 1} of the outline")
        yield made.Edge()


def solid_of(job: dict[str, Any]) -> dict[str, Any]:
    """Build one job's solids, write its STEP file if one is asked for, and measure them together.

    Raises:
        UnusableError: one of the outlines does not make a solid, or the file cannot be written.
    """
    from OCP.BRep import BRep_Builder
    from OCP.BRepGProp import BRepGProp
    from OCP.GProp import GProp_GProps
    from OCP.TopAbs import TopAbs_ShapeEnum
    from OCP.TopExp import TopExp
    from OCP.TopoDS import TopoDS_Compound
    from OCP.TopTools import TopTools_IndexedMapOfShape

    solids = [turned(checked(outline)) for outline in job["outlines"]]
    if not solids:
        raise UnusableError("there is no outline to turn")
    whole = solids[0]
    if len(solids) > 1:
        whole, builder = TopoDS_Compound(), BRep_Builder()
        builder.MakeCompound(whole)
        for solid in solids:
            builder.Add(whole, solid)
    # The kernel's fixed Gauss rule is exact to rounding on turned cubics (measured 4e-15); its adaptive one,
    # asked for a tolerance of 1e-9, is off by 1e-6.
    volume, surface = GProp_GProps(), GProp_GProps()
    BRepGProp.VolumeProperties_s(whole, volume)
    BRepGProp.SurfaceProperties_s(whole, surface)
    if not volume.Mass() > 0:
        raise UnusableError(f"the kernel gives it a volume of {volume.Mass():.6g} mm³")
    faces = TopTools_IndexedMapOfShape()
    TopExp.MapShapes_s(whole, TopAbs_ShapeEnum.TopAbs_FACE, faces)
    if job.get("step"):
        write_step(whole, Path(job["step"]), job["name"])
    return {
        "volume_mm3": volume.Mass(),
        "surface_mm2": surface.Mass(),
        "centre_height_mm": volume.CentreOfMass().Z(),
        "faces": faces.Extent(),
        "valid": True,
    }


def step_text(text: str) -> str:
    r"""A string as ISO 10303-21 (6.4.3) writes it: printable ASCII as it is, the rest by its code point.

    >>> step_text("Hütte's")
    "H\\X2\\00FC\\X0\\tte''s"
    """
    parts = []
    for sign in text:
        code = ord(sign)
        if sign in "'\\":
            parts.append(sign * 2)
        elif 32 <= code < 127:
            parts.append(sign)
        elif code < 0x10000:
            parts.append(f"\\X2\\{code:04X}\\X0\\")
        else:
            parts.append(f"\\X4\\{code:08X}\\X0\\")
    return "".join(parts)


def write_step(shape: Any, path: Path, name: str) -> None:
    """Write a shape in mm as a STEP file that is the same, byte for byte, each time.

    The kernel counts its products, dates its header and writes names in raw UTF-8, so the header and the
    product's name are set afterwards.

    Raises:
        UnusableError: the file cannot be written.
    """
    from OCP.IFSelect import IFSelect_ReturnStatus
    from OCP.Interface import Interface_Static
    from OCP.STEPControl import STEPControl_StepModelType, STEPControl_Writer

    writer = STEPControl_Writer()
    Interface_Static.SetCVal_s("write.step.unit", "MM")
    Interface_Static.SetCVal_s("write.step.product.name", "PIECE")
    Interface_Static.SetIVal_s("write.step.assembly", 0)  # several solids are one product, not an assembly
    writer.Transfer(shape, STEPControl_StepModelType.STEPControl_AsIs)
    if writer.Write(str(path)) != IFSelect_ReturnStatus.IFSelect_RetDone:
        raise UnusableError(f"the STEP file {path} cannot be written")
    text = path.read_text(encoding="utf-8")
    label = step_text(name)
    body, count = _PRODUCT.subn(lambda _: f"PRODUCT('{label}','{label}'", text[text.index("\nDATA;") :])
    schema = re.search(r"FILE_SCHEMA\(.*?\);", text, re.DOTALL)
    if count != 1 or not schema:
        raise UnusableError(f"the STEP file {path} does not look as the kernel writes it")
    header = (
        "ISO-10303-21;\nHEADER;\n"
        "FILE_DESCRIPTION(('solid of revolution'),'2;1');\n"
        f"FILE_NAME('{label}','1970-01-01T00:00:00',(''),(''),'','profiler','');\n"
        f"{schema[0]}\nENDSEC;"
    )
    path.write_text(header + body, encoding="ascii", newline="\n")


def answered(request: dict[str, Any]) -> dict[str, Any]:
    """The answer to a request; never raises for what a job or the modeller does."""
    try:
        import OCP.BRepPrimAPI  # noqa: F401 - loads the modeller once, here, where its absence can be told
    except ImportError as error:
        return {"missing": str(error)}
    solids: dict[str, Any] = {}
    for job in request["jobs"]:
        sys.stderr.write(f"{AT_JOB}{json.dumps(job['name'])}\n")
        sys.stderr.flush()
        try:
            solids[job["name"]] = solid_of(job)
        except UnusableError as trouble:
            solids[job["name"]] = {"error": str(trouble)}
        except Exception as trouble:  # the kernel's own errors have no common base but this
            solids[job["name"]] = {"error": f"the kernel gave up: {type(trouble).__name__} {trouble}".strip()}
    return {"solids": solids}


def main() -> None:
    """Read the request, keep the kernel's own chatter off stdout, write the answer."""
    answer_to = os.dup(1)
    os.dup2(2, 1)
    if hasattr(signal, "alarm"):
        signal.alarm(LAST_SECONDS)
    answer = answered(json.load(sys.stdin))
    with os.fdopen(answer_to, "w", encoding="ascii") as stream:
        json.dump(answer, stream)


if __name__ == "__main__":
    main()
