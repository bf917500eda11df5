"""A closed form cut in two along a cone, as the knife does it; runs in the kernel's process only."""

from __future__ import annotations

from typing import Any

import numpy as np
from OCP.BRepAlgoAPI import BRepAlgoAPI_Splitter
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge
from OCP.BRepClass3d import BRepClass3d_SolidClassifier
from OCP.BRepPrimAPI import BRepPrimAPI_MakeRevol
from OCP.Geom import Geom_BezierCurve
from OCP.gp import gp_Ax1, gp_Dir, gp_Pnt
from OCP.TopAbs import TopAbs_State
from OCP.TopTools import TopTools_ListOfShape

from profiler.geometry.curve import Floats
from profiler.geometry.tolerance import JOIN_MM

from .measure import solids_of, volume_of
from .outline import poles, upright
from .stl import Mesh, turned_mesh
from .trouble import UnusableError
from .turned import checked, together, turned


def made(job: dict[str, Any]) -> tuple[Any, dict[str, Any]]:
    """The pieces of one job's form, together, and the volume of each: below, between and above the cut's faces.

    Raises:
        UnusableError: the outline makes no solid, or the faces do not cut it into just these pieces.
    """
    cubics = checked(job["outline"])
    forms, tools = TopTools_ListOfShape(), TopTools_ListOfShape()
    forms.Append(turned(cubics))
    for line in job["faces"]:
        tools.Append(_face(np.array(line)[0]))
    splitter = BRepAlgoAPI_Splitter()
    splitter.SetArguments(forms)
    splitter.SetTools(tools)
    splitter.SetToFillHistory(False)
    splitter.Build()
    if not splitter.IsDone():
        raise UnusableError("the kernel does not cut the form")
    pieces = solids_of(splitter.Shape())
    if len(pieces) != len(job["faces"]) + 1:
        raise UnusableError(f"the cut leaves {len(pieces)} pieces of the form")
    floor, top = _on_axis(cubics)
    below = next((piece for piece in pieces if _holds(piece, floor)), None)
    rest = [piece for piece in pieces if piece is not below]
    above = next((piece for piece in rest if _holds(piece, top)), None)
    if below is None or above is None:
        raise UnusableError("the cut does not part the floor of the form from its top")
    between = [piece for piece in rest if piece is not above]
    volumes = [volume_of(below), sum(volume_of(piece) for piece in between), volume_of(above)]
    return together(pieces), {"pieces_mm3": volumes}


def meshes(job: dict[str, Any], shape: Any) -> list[Mesh]:  # noqa: ARG001 - the outline says it better
    """The triangles of the form before the cut."""
    return [turned_mesh(checked(job["outline"]))]


def _face(line: Floats) -> Any:
    """A cubic turned about the axis; a line too stays a cubic.

    Of a turned line the kernel makes a plane where it is level, and meets the form's turned cubics with that to
    1e-5 only; a turned cubic it meets to 1e-11.
    """
    edge = BRepBuilderAPI_MakeEdge(Geom_BezierCurve(poles([upright(r, z) for r, z in line.tolist()]))).Edge()
    return BRepPrimAPI_MakeRevol(edge, gp_Ax1(gp_Pnt(0, 0, 0), gp_Dir(0, 0, 1))).Shape()


def _on_axis(cubics: Floats) -> tuple[float, float]:
    """Heights in the middle of the form's lowest and highest clay on the axis.

    Raises:
        UnusableError: there are no two such places.
    """
    runs = cubics[(cubics[:, :, 0] == 0).all(axis=1)]
    heights = np.sort((runs[:, 0, 1] + runs[:, 3, 1]) / 2)
    if len(heights) < 2 or heights[-1] - heights[0] < JOIN_MM:
        raise UnusableError("the form is not closed: there is no clay on its axis below and above a hollow")
    return float(heights[0]), float(heights[-1])


def _holds(piece: Any, height: float) -> bool:
    """Whether a piece has clay on the axis at a height, mm."""
    return bool(BRepClass3d_SolidClassifier(piece, gp_Pnt(0, 0, height), JOIN_MM).State() == TopAbs_State.TopAbs_IN)
