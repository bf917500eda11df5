"""The cut a knife guide is made for: the closed form leather-hard, and her wheel."""

from __future__ import annotations

import math

import numpy as np

from ..clay.states import State
from ..piece import Piece
from ..settings import Settings
from .drawing import Drawing
from .knife_guide import Bench, Cut, knife_guide, why_no_knife_guide
from .lettering import lettering, right_when


def knife_guide_of(piece: Piece, settings: Settings) -> Drawing | None:
    """The knife guide of a piece with a cut lid; None if not made."""
    cut, whole = cut_of(piece), piece.whole
    if cut is None or whole is None or why_no_knife_guide_of(piece, settings) is not None:
        return None
    says = lettering(piece, whole, "knife guide", State.LEATHER_HARD, [right_when(whole)])
    return knife_guide(says, cut, bench_of(settings))


def why_no_knife_guide_of(piece: Piece, settings: Settings) -> str | None:
    """Why a cut lid gets no guide, as a sentence; None where it gets one, or no lid is cut."""
    cut = cut_of(piece)
    return None if cut is None else why_no_knife_guide(cut, bench_of(settings))


def cut_of(piece: Piece) -> Cut | None:
    """The cut in mm leather-hard, before the foot is turned; None where no lid is cut.

    Where clay shrinks more along the axis than across, a slant gets flatter: it is that of the cone as it is now.
    """
    whole = piece.whole
    if piece.pair is None or piece.pair.cut is None or whole is None:
        return None
    pair = piece.pair.cut
    k_r, k_z = whole.scale(State.LEATHER_HARD)
    slant = math.radians(pair.cut.angle)
    rise, run = k_z * math.sin(slant), k_r * math.cos(slant)
    return Cut(
        outer=(k_r * pair.outer[0], k_z * pair.outer[1]),
        slant_degrees=math.degrees(math.atan2(rise, run)),
        slope=pair.cut.slope,
        outside=whole.thrown_outside.mapped(k_r, k_z),
        way_through_mm=float(np.hypot(k_r * pair.seat_width, k_z * pair.centring_depth)),
        skim_mm=-k_z * whole.bat,
    )


def bench_of(settings: Settings) -> Bench:
    """Her wheel and her knife; she cuts before she turns the foot."""
    return Bench(
        head_over_table_mm=settings.head_over_table_mm,
        bat_mm=settings.bat_thickness_mm,
        turning_radius_mm=settings.turning_radius_mm,
        knife_mm=settings.knife_mm,
    )
