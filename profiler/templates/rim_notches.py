"""The notches that strips are made for: the jar's, down from its rim, and the lid's, up from its edge."""

from __future__ import annotations

import math
from functools import lru_cache

from ..clay.states import State
from ..geometry.curve import Curve, Floats
from ..lengths import mm
from ..lids.sizes import FlangeLid
from ..piece import Cast, Piece
from ..settings import Settings
from ..spooned import SpoonMeasures, spoon_measures
from .drawing import Drawing
from .lettering import is_lid, lettering, right_when
from .notch_strip import STRIP_MM, RimNotch, notch_strip, why_no_notch_strip

_HEIGHTS_MM = (STRIP_MM, 34.0, 28.0, 24.0)
_UNDER_MM = 10.0  # left of the strip under the notch
_OFF_WALL_MM = 7.0  # held at the edge, a strip may stand off the wall so far at its lower edge
_NEAR_MM = 1.0
_SAMPLES = 200
_NO_NOTCH_MM = 0.05


def jar_notch_strip(piece: Piece, settings: Settings) -> Drawing | None:
    """The strip for a jar's notch, leather-hard; None if not made."""
    return _strip(piece, settings, _jar(piece))


def why_no_jar_notch_strip(piece: Piece, settings: Settings) -> str | None:
    """Why a jar's notch gets no strip, as a sentence; None where it gets one, or there is no such notch."""
    return _why_not(piece, settings, _jar(piece))


def lid_notch_strip(piece: Piece, settings: Settings) -> Drawing | None:
    """The strip for a lid's notch, laid round the upturned lid, leather-hard; None if not made."""
    return _strip(piece, settings, _lid(piece))


def why_no_lid_notch_strip(piece: Piece, settings: Settings) -> str | None:
    """Why a lid's notch gets no strip, as a sentence; None where it gets one, or there is no such notch."""
    return _why_not(piece, settings, _lid(piece))


def rim_notch(piece: Piece, cast: Cast, spoon: SpoonMeasures) -> RimNotch | None:
    """A part's notch and the wall under its edge, mm leather-hard; None where nothing is cut into that wall.

    The strip is the cone from the edge down that the wall nowhere stands out of: round a belly it touches there and
    stands off below.

    Args:
        piece: it belongs to.
        cast: the jar, or the lid, which is laid down with its edge up.
        spoon: with its notch, fired.
    """
    if is_lid(cast) and isinstance(piece.design.head.lid, FlangeLid):
        return None  # it goes through the collar, inside the edge
    width = _width(spoon)
    wall, top = _edge_up(cast)
    radius, high = (float(x) for x in wall.end)
    if piece.whole is None:  # a rim that is rounded, not cut
        lean = wall.direction(float(len(wall)))
        radius, high = radius + (top - high) * float(lean[0] / lean[1]), top
    # the notch is counted from the part's highest place, which of a cut edge may be the inner one
    deep = _deep(cast, spoon) - (top - high)
    if deep <= 0:
        return None
    found = _strip_on(wall.sampled(_SAMPLES), radius, high, deep + _UNDER_MM)
    if found is None:
        return None
    long, lower = found
    return RimNotch(radius, lower, long, width, deep * math.hypot(long, lower - radius) / long)


def _jar(piece: Piece) -> Cast | None:
    return next((cast for cast in piece.parts if cast.holds), None)


def _lid(piece: Piece) -> Cast | None:
    return None if piece.pair is None else piece.parts[1]


def _strip(piece: Piece, settings: Settings, cast: Cast | None) -> Drawing | None:
    spoon = _notched(piece, settings, cast)
    if cast is None or spoon is None or _why_not(piece, settings, cast) is not None:
        return None
    notch = rim_notch(piece, cast, spoon)
    if notch is None:
        return None
    tool = "notch strip, lid with its edge up" if is_lid(cast) else "notch strip"
    return notch_strip(lettering(piece, cast, tool, State.LEATHER_HARD, [right_when(cast)]), notch)


def _why_not(piece: Piece, settings: Settings, cast: Cast | None) -> str | None:
    spoon = _notched(piece, settings, cast)
    if cast is None or spoon is None:
        return None
    notch = rim_notch(piece, cast, spoon)
    why = why_no_notch_strip(notch) if notch is not None else None
    if notch is not None and why is None:
        return None
    if not is_lid(cast):
        return why or "No notch strip: none lies on so short or so flat a wall."
    marked = "where the jar's notch is" if spoon.jar_notch_mm > 0 else "where the handle goes"
    return (
        f"No notch strip for the lid: none lies on its edge. Mark it {marked} and press the cutter of "
        f"{_width(spoon):.3g} mm in {mm(_deep(cast, spoon))} mm deep from below, leather-hard."
    )


def _notched(piece: Piece, settings: Settings, cast: Cast | None) -> SpoonMeasures | None:
    """The spoon's numbers where a part is notched for it; None where it is not."""
    if cast is None or piece.design.head.spoon is None or piece.design.head.notch is None:
        return None
    spoon = _spoon(piece, settings.cutters_mm)
    return spoon if _deep(cast, spoon) > _NO_NOTCH_MM else None


@lru_cache(16)
def _spoon(piece: Piece, cutters: tuple[float, ...]) -> SpoonMeasures:
    """The spoon's numbers; both strips and what is said of them ask for them."""
    found = spoon_measures(piece, Settings(cutters_mm=cutters))
    if found is None:
        raise ValueError("a piece without a spoon")
    return found


def _width(spoon: SpoonMeasures) -> float:
    """Of the cutter, or of one that would do where she has named none, mm."""
    width = spoon.cutter_needed_mm if spoon.cutter_mm is None else spoon.cutter_mm
    if width is None:
        raise ValueError("a spoon without a notch")
    return width


def _strip_on(wall: Floats, radius: float, high: float, least: float) -> tuple[float, float] | None:
    """Height along the axis of a strip that lies on a wall, and its radius at its lower edge; None if none does.

    Args:
        wall: its places, (n, 2) mm.
        radius: of the edge.
        high: of the edge.
        least: what the strip must reach down at least.
    """
    r, down = wall[:, 0], high - wall[:, 1]
    for long in _HEIGHTS_MM:
        beside = (down > _NEAR_MM) & (down <= long)
        if long < least or not beside.any() or down.max() < long:
            continue
        slope = float(((r - radius)[beside] / down[beside]).max())
        lower = radius + slope * long
        if lower - float(r[beside][0]) <= _OFF_WALL_MM:
            return long, lower
    return None


def _edge_up(cast: Cast) -> tuple[Curve, float]:
    """The outside up to the edge that is notched, and the height of the part's highest place, mm leather-hard.

    A lid that stands right way up in its own frame is turned over.
    """
    k_r, k_z = cast.scale(State.LEATHER_HARD)
    outside, whole = cast.shape.outside, cast.section.outline
    if is_lid(cast) and not cast.flipped:
        return outside.mapped(k_r, -k_z).reversed(), -k_z * whole.lowest(1)[1]
    return outside.mapped(k_r, k_z), k_z * whole.highest(1)[1]


def _deep(cast: Cast, spoon: SpoonMeasures) -> float:
    """The part's own notch from its highest place (a lid's with its edge up), mm leather-hard."""
    fired = spoon.lid_notch_mm if is_lid(cast) else spoon.jar_notch_mm
    return fired * cast.body.scale(State.FIRED, State.LEATHER_HARD)[1]
