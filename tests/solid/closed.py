"""Closed pairs as delivered, put to the modeller in a process of its own: run as `python -m tests.solid.closed`.

Request: `[{"step": path, "spoon": {...} or null, "deflection_mm"}, ...]`; see `_spoon` for its sizes. Answer, for
each: the solids of the STEP file from the lowest up, each with its `volume` and, in the upright plane square to the
notch's, its `outlines` (polylines in (distance, height), mm); and `common` and `apart`, by the names of two bodies:
the volume they share, mm³, and the least distance between them, mm.
"""

from __future__ import annotations

import json
import math
import sys
from itertools import combinations
from typing import Any

from OCP.BRepAdaptor import BRepAdaptor_Curve
from OCP.BRepAlgoAPI import BRepAlgoAPI_Common, BRepAlgoAPI_Section
from OCP.BRepExtrema import BRepExtrema_DistShapeShape
from OCP.BRepPrimAPI import BRepPrimAPI_MakeBox, BRepPrimAPI_MakeSphere
from OCP.GCPnts import GCPnts_QuasiUniformDeflection
from OCP.gp import gp_Ax2, gp_Dir, gp_Pln, gp_Pnt
from OCP.STEPControl import STEPControl_Reader
from OCP.TopAbs import TopAbs_ShapeEnum
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS

from profiler.solid.measure import measured, solids_of, volume_of


def _read(path: str) -> list[Any]:
    reader = STEPControl_Reader()
    reader.ReadFile(path)
    reader.TransferRoots()
    return sorted(solids_of(reader.OneShape()), key=lambda solid: float(measured(solid)["centre_height_mm"]))


def _spoon(sizes: dict[str, float]) -> dict[str, Any]:
    """A ball for the bowl, and a bar of the handle's width and thickness from its middle to the handle's end.

    The bar lies `lifted` higher than the ball has it, square to itself.
    """
    angle = math.radians(sizes["angle_deg"])
    along, across = gp_Dir(math.cos(angle), 0, math.sin(angle)), gp_Dir(0, 1, 0)
    x, z, half = sizes["bowl_x"], sizes["bowl_z"], sizes["thickness"] / 2
    down = half - sizes["lifted"]
    corner = gp_Pnt(x + down * math.sin(angle), -sizes["width"] / 2, z - down * math.cos(angle))
    # its own axes: along the handle, across it, and so up
    frame = gp_Ax2(corner, gp_Dir(along.Crossed(across).XYZ()), along)
    bar = BRepPrimAPI_MakeBox(frame, sizes["handle"], sizes["width"], sizes["thickness"]).Shape()
    return {"bowl": BRepPrimAPI_MakeSphere(gp_Pnt(x, 0, z), sizes["radius"]).Shape(), "handle": bar}


def _outlines(solid: Any, deflection: float) -> list[list[tuple[float, float]]]:
    """Where the plane x = 0 meets a solid's faces."""
    section = BRepAlgoAPI_Section(solid, gp_Pln(gp_Pnt(0, 0, 0), gp_Dir(1, 0, 0)), False)
    section.Approximation(True)
    section.Build()
    found, explorer = [], TopExp_Explorer(section.Shape(), TopAbs_ShapeEnum.TopAbs_EDGE)
    while explorer.More():
        curve = BRepAdaptor_Curve(TopoDS.Edge_s(explorer.Current()))
        points = GCPnts_QuasiUniformDeflection(curve, deflection)
        places = [points.Value(index) for index in range(1, points.NbPoints() + 1)]
        found.append([(place.Y(), place.Z()) for place in places])
        explorer.Next()
    return found


def answered(one: dict[str, Any]) -> dict[str, Any]:
    """All that is asked of one closed pair."""
    solids = _read(one["step"])
    bodies = dict(zip(("lower", "upper"), solids, strict=True))
    if one["spoon"] is not None:
        bodies |= _spoon(one["spoon"])
    pairs = [pair for pair in combinations(bodies, 2) if pair != ("bowl", "handle")]
    return {
        "solids": [
            {"volume": volume_of(solid), "outlines": _outlines(solid, one["deflection_mm"])} for solid in solids
        ],
        "common": {
            " ".join(pair): sum(
                volume_of(solid) for solid in solids_of(BRepAlgoAPI_Common(*(bodies[n] for n in pair)).Shape())
            )
            for pair in pairs
        },
        "apart": {
            " ".join(pair): BRepExtrema_DistShapeShape(*(bodies[n] for n in pair)).Value()
            for pair in pairs
            if pair != ("lower", "upper")
        },
    }


if __name__ == "__main__":
    json.dump([answered(one) for one in json.load(sys.stdin)], sys.stdout)
