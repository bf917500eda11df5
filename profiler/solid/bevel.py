"""The tools that cut a bevel along the working edge of a plate; runs in the kernel's process only.

Above the land a bevel takes off all that is nearer to the working edge than its width at that height. Each
smooth run of the edge has a cutter of triangular section, each corner that sticks into the plate's outside
and each end has a sector of a cone. Where the edge turns into the plate the cutters of its two sides meet.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise
from typing import Any

import numpy as np
from OCP.BRepBuilderAPI import (
    BRepBuilderAPI_MakeEdge,
    BRepBuilderAPI_MakeFace,
    BRepBuilderAPI_MakePolygon,
    BRepBuilderAPI_MakeSolid,
    BRepBuilderAPI_Sewing,
)
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepFill import BRepFill
from OCP.BRepLib import BRepLib
from OCP.BRepPrimAPI import BRepPrimAPI_MakeRevol
from OCP.Geom import Geom_BSplineCurve
from OCP.gp import gp_Ax1, gp_Dir, gp_Pnt
from OCP.TColStd import TColStd_Array1OfInteger, TColStd_Array1OfReal
from OCP.TopAbs import TopAbs_ShapeEnum
from OCP.TopoDS import TopoDS

from profiler.geometry.curve import Curve, Floats
from profiler.geometry.tolerance import STRAIGHT_RADIANS

from .outline import is_straight, poles
from .trouble import UnusableError
from .working_edge import WorkingEdge

OVER = 0.05
"""How much further than the plate's top a cutter goes on along its slope, as a share of its height."""

FIT_MM = 0.005
"""How far the inner line of a bevel may lie from the true parallel: half a chord of the mesh."""

_OUT_MM = 0.2  # how far a cutter reaches outside the plate at its top
_PAST = math.radians(100)  # how far a cone at an end goes on past the neighbouring edge, which may bend away
_ROUND = math.radians(350)  # and the most it turns, so that it stays a sector
_MOST_PIECES = 64
_SEW_MM = 1e-6
_BETWEEN: Floats = np.array([0.25, 0.5, 0.75])


def cutters(edge: WorkingEdge, land: float, thickness: float, width: float) -> Iterator[Any]:
    """The solids to be cut from a plate of a thickness, for a bevel from the height `land` up, all in mm.

    Raises:
        UnusableError: the kernel makes no solid of one.
    """
    top = thickness + OVER * (thickness - land)
    reach = width * (1 + OVER)
    cubics, turns, run = edge.run.cubics, edge.turns, edge.run
    out, ring = min(_OUT_MM, edge.hollow_mm / 2), edge.round and not edge.corners and not edge.closes_in_a_corner
    for first, last in pairwise([0, *edge.corners, edge.count]):
        yield _run_cutter(cubics[first:last], land, top, reach, out, ring=ring)
    for index in [*([0] if edge.closes_in_a_corner else []), *edge.corners]:
        if turns[index] > 0:
            continue
        yield _sector(cubics[index, 0], _left(run, index, 0), -float(turns[index]), land, top, reach)
    if edge.round:
        return
    for place, sign, beside in ((0, 1, edge.outline[-1]), (edge.count, -1, edge.outline[edge.count])):
        beyond = math.pi / 2 - float(turns[place])
        straight = is_straight(beside) and np.hypot(*(beside[3] - beside[0])) > reach
        if beyond > STRAIGHT_RADIANS or not straight:
            way = _left(run, min(place, edge.count - 1), int(place > 0))
            yield _sector(edge.outline[place, 0], way, sign * min(beyond + _PAST, _ROUND), land, top, reach)


def _left(run: Curve, index: int, t: int) -> Floats:
    """Unit vector into the plate at the start (t 0) or end (t 1) of one of the cubics."""
    x, y = Curve(run.cubics[index : index + 1]).direction(float(t))
    return np.array([-y, x])


def _run_cutter(cubics: Floats, land: float, top: float, reach: float, out: float, *, ring: bool) -> Any:
    """The cutter of a smooth run: a triangle with its point on the run, swept along it."""
    inner = _parallels(cubics, reach, ring=ring)
    outer = _parallels(cubics, -out, ring=ring)
    sewing = BRepBuilderAPI_Sewing(_SEW_MM)
    for cubic, inside, outside in zip(cubics, inner, outer, strict=True):
        edges = _edge(cubic[None], land), _edge(inside, top), _edge(outside, top)
        for one, other in zip(edges, (*edges[1:], edges[0]), strict=True):
            sewing.Add(BRepFill.Face_s(one, other))
    if not ring:
        for place, corner in ((0, 0), (-1, 3)):
            left, right = inner[place][place, corner], outer[place][place, corner]
            sewing.Add(_polygon((cubics[place, corner], land), (left, top), (right, top)))
    sewing.Perform()
    shell = sewing.SewedShape()
    if shell.ShapeType() != TopAbs_ShapeEnum.TopAbs_SHELL:
        raise UnusableError("the kernel does not close the bevel's cutter")
    solid = BRepBuilderAPI_MakeSolid(TopoDS.Shell_s(shell)).Solid()
    BRepLib.OrientClosedSolid_s(solid)
    if not BRepCheck_Analyzer(solid).IsValid():
        raise UnusableError("the bevel's cutter does not pass the kernel's own check")
    return solid


def _sector(centre: Floats, way: Floats, turn: float, land: float, top: float, reach: float) -> Any:
    """A sector of a cone that stands on its point, from a direction on by a turn in radians."""
    face = _polygon((centre, land), (centre + reach * way, top), (centre, top))
    axis = gp_Ax1(gp_Pnt(*centre.tolist(), 0), gp_Dir(0, 0, math.copysign(1.0, turn)))
    solid = TopoDS.Solid_s(BRepPrimAPI_MakeRevol(face, axis, abs(turn)).Shape())
    BRepLib.OrientClosedSolid_s(solid)
    return solid


def _polygon(*corners: tuple[Floats, float]) -> Any:
    made = BRepBuilderAPI_MakePolygon()
    for (x, y), z in corners:
        made.Add(gp_Pnt(float(x), float(y), z))
    made.Close()
    return BRepBuilderAPI_MakeFace(made.Wire(), True).Face()


def _parallels(cubics: Floats, distance: float, *, ring: bool) -> list[Floats]:
    """For each of the cubics the chain at a distance to its left, neighbours meeting in one point."""
    found = [_parallel(Curve(cubic[None]), distance) for cubic in cubics]
    for index in range(0 if ring else 1, len(found)):
        before, after = found[index - 1], found[index]
        before[-1, 3] = after[0, 0] = (before[-1, 3] + after[0, 0]) / 2
    return found


def _parallel(curve: Curve, distance: float) -> Floats:
    """Hermite cubics through points of the true parallel, halved until they are within FIT_MM of it."""
    pieces = 1
    while True:
        points, slopes = _displaced(curve, np.linspace(0.0, 1.0, pieces + 1), distance)
        step = slopes / (3 * pieces)
        cubics = np.stack([points[:-1], points[:-1] + step[:-1], points[1:] - step[1:], points[1:]], axis=1)
        between = np.arange(pieces)[:, None] + _BETWEEN
        off = np.abs(Curve(cubics).at(between) - _displaced(curve, between / pieces, distance)[0]).max()
        if off <= FIT_MM or pieces >= _MOST_PIECES:
            return cubics
        pieces *= 2


def _displaced(curve: Curve, t: Floats, distance: float) -> tuple[Floats, Floats]:
    """Points of the parallel of one cubic and their derivatives: the slope shrinks by 1 - κ d."""
    way = curve.direction(t)
    normal = np.stack([-way[..., 1], way[..., 0]], axis=-1)
    return curve.at(t) + distance * normal, curve.slope(t) * (1 - distance * curve.curvature(t))[..., None]


def _edge(chain: Floats, height: float) -> Any:
    """One edge of the kernel along a chain of cubics of equal share, at a height."""
    if len(chain) == 1 and is_straight(chain[0]):
        ends = (gp_Pnt(*chain[0, place].tolist(), height) for place in (0, 3))
        return BRepBuilderAPI_MakeEdge(*ends).Edge()
    points = [*chain[:, :3].reshape(-1, 2).tolist(), chain[-1, 3].tolist()]
    knots, times = TColStd_Array1OfReal(1, len(chain) + 1), TColStd_Array1OfInteger(1, len(chain) + 1)
    for index in range(len(chain) + 1):
        knots.SetValue(index + 1, index / len(chain))
        times.SetValue(index + 1, 4 if index in (0, len(chain)) else 3)
    curve = Geom_BSplineCurve(poles([gp_Pnt(x, y, height) for x, y in points]), knots, times, 3)
    return BRepBuilderAPI_MakeEdge(curve).Edge()
