"""The seat of a lid drawn larger beside the closed pair: both parts as they stand, cut open, with what holds them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..geometry.curve import Curve, Floats, line, polyline
from ..geometry.fillet import NoRoomError, rounded
from ..lengths import mm
from ..lidded import LidMeasures
from ..lids.cut import CutPair
from ..lids.seat import Seat
from ..lids.sizes import CapLid, FlangeLid, GalleryLid
from .clipping import clipped, hatched
from .dimension import GAP, Marks, level_dimension, room_for, thin, upright_dimension
from .drawing import Layer, Line, Pen, Words
from .half import Half, mirrored

SCALES = (5.0, 4.0, 3.0, 2.5, 2.0, 1.5)
"""How much larger the seat may be drawn: the first at which it is no higher than the piece."""

LID_HATCH_DEG = 45.0
"""Slope of the lines across a lid's cut clay; the jar has none."""

HATCH = 0.75
"""From one line of it to the next, in font sizes."""

_AIR_MM = 3.0
"""What is shown of the clay round the seat."""

_LEVELS = 200
"""Heights at which the play is looked for: a seat is 20 mm deep at most, so every tenth of a millimetre."""


@dataclass(frozen=True, eq=False)
class Detail:
    """What a seat's detail shows, mm of the drawing's state.

    Attributes:
        jar: its outline, edges rounded.
        lid: its outline.
        window: (near, far, low, high): radii and heights it lies between.
        width: radii between which the seat's width is measured, and its size in words.
        depth: heights between which it centres or is let in, and that size in words.
        play: (radius, height, +1 up or -1 down) from where the play opens, and its size in words; None for a cut.
        notes: what else is to know, a line each.
    """

    jar: Curve
    lid: Curve
    window: tuple[float, float, float, float]
    width: tuple[float, float, str] | None
    depth: tuple[float, float, str]
    play: tuple[float, float, float, str] | None
    notes: tuple[str, ...]


def of_cut(jar: Half, lid: Half, cut: CutPair, measures: LidMeasures) -> Detail:
    """The joint of a cut lid, its edges rounded by the sponge."""
    outer, inner = jar.rim.start, jar.rim.end
    edge = cut.cut.edge * jar.scale[0]
    faces = np.array([outer, inner, lid.outside.start, lid.inside.start])
    window = (
        float(faces[:, 0].min()) - _AIR_MM,
        float(faces[:, 0].max()) + _AIR_MM,
        float(faces[:, 1].min()) - _AIR_MM,
        float(faces[:, 1].max()) + _AIR_MM,
    )
    low, high = sorted((float(outer[1]), float(inner[1])))
    way = "inward down" if cut.cut.slope == "inward_down" else "inward up"
    sink, contact = measures.sink_mm or 0.0, measures.contact_mm or 0.0
    return Detail(
        jar=_edged([jar.base + jar.outside, jar.rim, jar.inside.reversed()], edge),
        lid=_edged([lid.inside.reversed(), line(lid.inside.start, lid.outside.start), lid.outside], edge),
        window=window,
        width=(float(inner[0]), float(outer[0]), f"seat {mm(measures.seat_width_mm or 0.0)} wide"),
        depth=(low, high, f"holds {mm(measures.centring_depth_mm)} deep"),
        play=None,
        notes=(
            f"{cut.cut.angle:g}° {way}",
            f"sinks {sink:.1f}, bears on {contact:.1f}",
            *([f"edges rounded {edge:.1f}"] if edge > 0 else []),
        ),
    )


def of_fitted(jar: Half, lid: Half, table: GalleryLid | FlangeLid | CapLid, seat: Seat, play_mm: float) -> Detail:
    """The ledge, collar or neck, with the play beside it."""
    top, k_r, k_z = jar.top, jar.scale[0], jar.scale[1]
    rests, deep = k_z * seat.rests_at, k_z * seat.depth
    wall = jar.reach if isinstance(table, CapLid) else max(float(p[0]) for p in (jar.rim.start, jar.rim.at(0.5)))
    holds, width = k_r * seat.jar_radius, None
    if isinstance(table, GalleryLid):
        lip = k_r * (seat.mouth - table.ledge_width)
        window = (lip - _AIR_MM, wall + _AIR_MM, rests - k_z * table.ledge_thickness - _AIR_MM, top + 1.5 * _AIR_MM)
        width = (lip, k_r * seat.mouth, f"ledge {mm(k_r * table.ledge_width)} wide")
        span, depth = (rests, min(rests + deep, top)), (rests, top, f"let in {mm(top - rests)}")
        notes: tuple[str, ...] = (f"seat ⌀ {mm(2 * holds)}", f"lid ⌀ {mm(2 * lid.reach)}")
    elif isinstance(table, FlangeLid):
        own = lid.scale[0] * seat.lid_radius
        collar = own - lid.scale[0] * table.collar_thickness
        far = max(wall, lid.reach) + _AIR_MM
        window = (collar - _AIR_MM, far, rests - deep - 1.5 * _AIR_MM, rests + 2.5 * _AIR_MM)
        span, depth = (rests - deep, rests), (rests - deep, rests, f"collar {mm(deep)}")
        notes = (f"mouth ⌀ {mm(2 * holds)}", f"collar ⌀ {mm(2 * own)}")
    else:
        own = lid.scale[0] * seat.lid_radius
        inner = float(jar.rim.end[0])
        window = (min(inner, holds - 6.0) - _AIR_MM, lid.reach + _AIR_MM, lid.low - _AIR_MM, top + 2.5 * _AIR_MM)
        span, depth = (rests - deep, rests), (lid.low, rests, f"skirt {mm(rests - lid.low)}")
        notes = (f"neck ⌀ {mm(2 * holds)}", f"lid inside ⌀ {mm(2 * own)}")
    at = _closest(jar.section, lid.section, span, lid_outside=isinstance(table, CapLid))
    way = 1.0 if isinstance(table, GalleryLid) else -1.0
    return Detail(jar.section, lid.section, window, width, depth, (*at, way, f"play {play_mm:.1f} a side"), notes)


def _edged(curves: list[Curve], radius: float) -> Curve:
    """A closed outline whose corners on the joint are rounded, sharp where the rounding finds no room."""
    try:
        chain = rounded(curves, [radius, radius])
    except NoRoomError:
        chain = curves[0] + curves[1] + curves[2]
    return chain + line(chain.end, chain.start)


def _closest(jar: Curve, lid: Curve, span: tuple[float, float], *, lid_outside: bool) -> tuple[float, float]:
    """Middle of the narrowest place between jar and lid where they stand beside each other: (radius, height)."""
    best, found = np.inf, (0.0, span[0])
    for z in np.linspace(*span, _LEVELS + 2)[1:-1]:
        of_jar, of_lid = (curve.at(curve.crossings(1, float(z)))[:, 0] for curve in (jar, lid))
        if len(of_jar) and len(of_lid):
            a, b = (of_jar.max(), of_lid.min()) if lid_outside else (of_lid.max(), _facing(of_jar))
            if b - a < best:
                best, found = b - a, (float(a + b) / 2, float(z))
    return found


def _facing(radii: Floats) -> float:
    """Of the places where a level meets the jar's wall, its inside."""
    return float(np.sort(radii)[-2]) if len(radii) > 1 else float(radii[0])


def scale_for(detail: Detail, high: float) -> float:
    """How much larger than the view the detail is drawn, so that it is no higher than the piece."""
    _, _, low, top = detail.window
    return next((k for k in SCALES if k * (top - low) <= high), SCALES[-1])


def seat_detail(detail: Detail, left: float, high: float, size: float) -> Marks:
    """The seat enlarged in a box that stands on the table.

    Args:
        detail: what it shows.
        left: where it may begin, mm.
        high: how high it may be, mm.
        size: font size, mm.
    """
    near, far, low, top = detail.window
    k = scale_for(detail, high)
    right, roof = left + k * (far - near), k * (top - low)

    def at(r: float, z: float) -> tuple[float, float]:
        return left + k * (far - r), k * (z - low)

    lines: list[Line] = []
    for outline, is_lid in ((detail.jar, False), (detail.lid, True)):
        cut = outline
        for axis, value, keep in ((0, near, True), (0, far, False), (1, low, True), (1, top, False)):
            cut = clipped(cut, axis, value, above=keep)
        clay = mirrored(cut).mapped(k, k).moved(left + k * far, -k * low)
        lines.append(Line(clay, Layer.MARK, Pen.CLAY))
        if is_lid:
            lines += [thin(one) for one in hatched(clay, HATCH * size, LID_HATCH_DEG)]
    lines.append(thin(polyline([(left, 0.0), (right, 0.0), (right, roof), (left, roof), (left, 0.0)])))
    marks, above, under = Marks(tuple(lines)), roof + 0.6 * size, -0.2 * size
    if detail.play is not None:
        r, z, way, text = detail.play
        x, y = at(r, z)
        end = roof + 0.7 * size if way > 0 else -0.7 * size
        spot = end + (0.4 if way > 0 else -1.1) * size
        marks += Marks((thin(line([x, y], [x, end])),), (Words(text, max(x - 2 * size, left), spot, size),))
        above, under = (spot + 1.6 * size, under) if way > 0 else (above, spot)
    if detail.width is not None:
        inner, outer, text = detail.width
        row = under - 2.2 * size
        marks += level_dimension((at(outer, low)[0], 0.0), (at(inner, low)[0], 0.0), row, text, size)
        under = row - 0.3 * size
    foot, head, text = detail.depth
    marks += upright_dimension((right, at(0.0, foot)[1]), (right, at(0.0, head)[1]), right + 1.4 * size, text, size)
    title, middle = f"seat, {k:g} : 1", (at(0.0, foot)[1] + at(0.0, head)[1]) / 2
    if left + room_for(title, size) > right and above - middle < 1.6 * size:
        above = middle + 1.6 * size  # a low, narrow box: over the words beside it
    words = [Words(title, left, above, size)]
    words += [Words(note, left, under - (1.5 + 1.45 * row) * size, size) for row, note in enumerate(detail.notes)]
    return marks + Marks((), tuple(words))


def detail_reach(detail: Detail, left: float, high: float, size: float) -> float:
    """How far to the right the detail and its words come, mm."""
    near, far, _, _ = detail.window
    box = left + scale_for(detail, high) * (far - near)
    beside = box + (1.4 + 2 * GAP) * size + room_for(detail.depth[2], size)
    return max(beside, left + max(room_for(note, size) for note in detail.notes))
