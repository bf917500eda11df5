"""A notch cut out of a turned part, as the notch's integral has it; runs in the kernel's process only."""

from __future__ import annotations

import math
from typing import Any

from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut
from OCP.BRepBuilderAPI import BRepBuilderAPI_Transform
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepPrimAPI import BRepPrimAPI_MakeBox
from OCP.gp import gp_Ax1, gp_Dir, gp_Pnt, gp_Trsf

from profiler.geometry.curve import Curve, Floats

from .measure import solids_of
from .trouble import UnusableError

_OUT_MM = 1.0  # how far the cutter reaches past the part


def notched(solid: Any, cubics: Floats, notch: dict[str, Any]) -> Any:
    """A part less a box from the axis outwards along x, above or below a level.

    Args:
        solid: the part, turned.
        cubics: its outline.
        notch: `width`, `level` and whether it takes what is `above` that.

    Raises:
        UnusableError: the notch goes past the part, or does not leave it one valid solid.
    """
    # not the kernel's own bounds: the close ones take four times as long as the cut
    outline = Curve(cubics)
    bottom, top, right = outline.lowest(1)[1], outline.highest(1)[1], outline.highest(0)[1]
    half, level = notch["width"] / 2, notch["level"]
    if not (half > 0 and bottom < level < top):
        raise UnusableError(f"a notch {2 * half:g} mm wide at a height of {level:.6g} mm takes nothing of the part")
    low, high = (level, top + _OUT_MM) if notch["above"] else (bottom - _OUT_MM, level)
    # where a turned face begins and ends the kernel cuts a hundred times less closely (8e-6): let that be opposite
    half_turn = gp_Trsf()
    half_turn.SetRotation(gp_Ax1(gp_Pnt(0, 0, 0), gp_Dir(0, 0, 1)), math.pi)
    part = BRepBuilderAPI_Transform(solid, half_turn, True).Shape()
    box = BRepPrimAPI_MakeBox(gp_Pnt(0, -half, low), gp_Pnt(right + _OUT_MM, half, high)).Shape()
    found = solids_of(BRepAlgoAPI_Cut(part, box).Shape())
    if len(found) != 1:
        raise UnusableError(f"the notch leaves {len(found)} pieces of the part")
    if not BRepCheck_Analyzer(found[0]).IsValid():
        raise UnusableError("the notched part does not pass the kernel's own check")
    return found[0]
