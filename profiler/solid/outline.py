"""Closed outlines of cubics as the kernel's wires and faces; runs in the kernel's process only."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge, BRepBuilderAPI_MakeFace, BRepBuilderAPI_MakeVertex
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeWire as MakeWire
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.Geom import Geom_BezierCurve
from OCP.gp import gp_Pnt
from OCP.TColgp import TColgp_Array1OfPnt
from OCP.TopoDS import TopoDS

from profiler.geometry.curve import Curve, Floats
from profiler.geometry.tolerance import JOIN_MM

from .trouble import UnusableError

LINE_MM = 1e-10
"""Handles this close to the thirds make a line: far over rounding, and 1e-12 of a pot's volume."""

Place = Callable[[float, float], Any]
"""Where a point of the outline lies in space: a function to the kernel's points."""


def closed(outline: list[Any]) -> tuple[Floats, NDArray[np.bool_]]:
    """The outline as (n, 4, 2) cubics in mm, closed to the last bit, without cubics that are points.

    Returns:
        The cubics, and which of those given they are.

    Raises:
        UnusableError: it is no chain, is open, or is a point.
    """
    try:
        cubics: Floats = np.array(Curve(np.array(outline, dtype=np.float64)).cubics)
    except ValueError as error:
        raise UnusableError(str(error)) from None
    gap = float(np.abs(cubics[0, 0] - cubics[-1, 3]).max())
    if gap > JOIN_MM:
        raise UnusableError(f"the outline is open: its ends are {gap:.3g} mm apart")
    kept = np.abs(cubics - cubics[:, :1]).max(axis=(1, 2)) > JOIN_MM
    cubics = cubics[kept]
    if not len(cubics):
        raise UnusableError("the outline is a single point")
    cubics[:, 0] = np.roll(cubics[:, 3], 1, axis=0)
    return cubics, kept


def is_straight(cubic: Floats) -> bool:
    """Whether a cubic (4, 2) is a line, its handles at thirds."""
    start, first, second, end = cubic
    off = max(np.abs(first - (2 * start + end) / 3).max(), np.abs(second - (start + 2 * end) / 3).max())
    return bool(off < LINE_MM)


def face(cubics: Floats, holes: Sequence[Floats], place: Place) -> Any:
    """The flat face inside a closed outline and outside its holes, all of them anticlockwise.

    Raises:
        UnusableError: an outline crosses or touches itself or another.
    """
    made = BRepBuilderAPI_MakeFace(_wire(cubics, place), True)
    if made.IsDone():
        for hole in holes:
            made.Add(TopoDS.Wire_s(_wire(hole, place).Reversed()))
    # A bow-tie makes a solid that passes every check; the flat face is where the kernel sees it.
    if not made.IsDone() or not BRepCheck_Analyzer(made.Face()).IsValid():
        raise UnusableError("the outline crosses or touches itself" + (" or a hole" if holes else ""))
    return made.Face()


def _wire(cubics: Floats, place: Place) -> Any:
    wire = MakeWire()
    for edge in _edges(cubics, place):
        wire.Add(edge)
        if not wire.IsDone():
            raise UnusableError("the kernel cannot join the outline's curves")
    if not wire.Wire().Closed():
        raise UnusableError("the outline touches itself: the kernel closes it too soon")
    return wire.Wire()


def _edges(cubics: Floats, place: Place) -> Iterator[Any]:
    """The outline's edges, neighbours sharing their vertex."""
    corners = [BRepBuilderAPI_MakeVertex(place(x, y)).Vertex() for x, y in cubics[:, 0].tolist()]
    for index, cubic in enumerate(cubics):
        start, end = corners[index], corners[(index + 1) % len(corners)]
        if is_straight(cubic):
            made = BRepBuilderAPI_MakeEdge(start, end)
        else:
            points = [place(x, y) for x, y in cubic.tolist()]
            made = BRepBuilderAPI_MakeEdge(Geom_BezierCurve(poles(points)), start, end)
        if not made.IsDone():
            raise UnusableError(f"the kernel makes no edge of curve {index + 1} of the outline")
        yield made.Edge()


def poles(points: Sequence[Any]) -> Any:
    """Points of the kernel in the kernel's own array."""
    found = TColgp_Array1OfPnt(1, len(points))
    for index, point in enumerate(points, 1):
        found.SetValue(index, point)
    return found


def level(height: float) -> Place:
    """Outlines in the plane z = height, mm."""
    return lambda x, y: gp_Pnt(x, y, height)


def upright(x: float, y: float) -> Any:
    """Outlines in the plane y = 0: (r, z) stands at (r, 0, z)."""
    return gp_Pnt(x, 0, y)
