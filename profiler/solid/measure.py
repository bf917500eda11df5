"""What the kernel measures of a shape; runs in the kernel's process only."""

from __future__ import annotations

from typing import Any

from OCP.BRepGProp import BRepGProp
from OCP.GProp import GProp_GProps
from OCP.TopAbs import TopAbs_ShapeEnum
from OCP.TopExp import TopExp, TopExp_Explorer
from OCP.TopTools import TopTools_IndexedMapOfShape

from .trouble import UnusableError


def volume_of(shape: Any) -> float:
    """Volume, mm³."""
    found = GProp_GProps()
    BRepGProp.VolumeProperties_s(shape, found)
    return float(found.Mass())


def solids_of(shape: Any) -> list[Any]:
    """The solids a shape is made of."""
    found, explorer = [], TopExp_Explorer(shape, TopAbs_ShapeEnum.TopAbs_SOLID)
    while explorer.More():
        found.append(explorer.Current())
        explorer.Next()
    return found


def measured(shape: Any) -> dict[str, Any]:
    """Volume, surface, height of the centre of mass and number of faces of all the solids of a shape.

    Raises:
        UnusableError: the kernel gives it no volume.
    """
    # The kernel's fixed Gauss rule is exact to rounding on turned cubics (measured 4e-15); its adaptive one,
    # asked for a tolerance of 1e-9, is off by 1e-6.
    volume, surface = GProp_GProps(), GProp_GProps()
    BRepGProp.VolumeProperties_s(shape, volume)
    BRepGProp.SurfaceProperties_s(shape, surface)
    if not volume.Mass() > 0:
        raise UnusableError(f"the kernel gives it a volume of {volume.Mass():.6g} mm³")
    faces = TopTools_IndexedMapOfShape()
    TopExp.MapShapes_s(shape, TopAbs_ShapeEnum.TopAbs_FACE, faces)
    return {
        "volume_mm3": volume.Mass(),
        "surface_mm2": surface.Mass(),
        "centre_height_mm": volume.CentreOfMass().Z(),
        "faces": faces.Extent(),
    }
