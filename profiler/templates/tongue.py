"""The edge of a leather-hard tool that lies on the foot: across the recess, past an inner ring, to the ring."""

from __future__ import annotations

import numpy as np

from ..geometry.curve import Curve, Floats, chained, line, polyline
from ..piece import Cast

SIDE_MM = 0.5
"""Play on each side of a ring: the tongue is 1 mm narrower than the recess."""
FREE_MM = 1.0
"""Play over an inner ring, which stands short of the first."""
_ON_FACE_MM = 1e-6


def foot_edge(cast: Cast, k_r: float, k_z: float) -> tuple[Curve, Curve | None]:
    """What of a tool lies on the foot, from the axis out, foot up with the standing face at y = 0, in mm.

    Returns:
        The run that follows the clay from the axis (for a flat base: all of it), and what leads on from
        there to the inner edge of the ring's standing face (None for a flat base). The tongue follows the
        recess between its roundings, then leaves at 45 degrees: the clay's rounding, which starts tangent
        there, stays below that line all the way.
    """
    flip = np.array([k_r, -k_z])
    base = cast.shape.base
    if cast.shape.recess is None:
        return base.mapped(k_r, -k_z), None
    ring = cast.asked.ring
    inner = k_r * (ring.outer_diameter / 2 - ring.width)
    runs = [run.mapped(k_r, -k_z) for run in _runs(base, cast.shape.recess)]
    if ring.inner_diameter is None:
        first = _up_to(runs[0], inner - SIDE_MM)
        return first, _out(first, inner - SIDE_MM, 0.0) + _level(first, inner - SIDE_MM, base, flip)
    low, high = k_r * max(ring.inner_diameter / 2 - ring.inner_width, 0.0), k_r * ring.inner_diameter / 2
    over = max(FREE_MM - k_z * ring.inner_short, 0.0)
    outer = _up_to(_from(runs[-1], high + SIDE_MM), inner - SIDE_MM)
    if low > SIDE_MM and len(runs) > 1:
        first = _up_to(runs[0], low - SIDE_MM)
        leave = _out(first, low - SIDE_MM, over)
    else:
        first = Curve(base.cubics[:1] * flip)  # a button in the middle: its face is what there is to follow
        leave = line(first.end, [first.end[0], over])
    down = _out(outer.mapped(-1, 1).reversed(), -high - SIDE_MM, over).mapped(-1, 1).reversed()
    up = _out(outer, inner - SIDE_MM, 0.0) + _level(outer, inner - SIDE_MM, base, flip)
    return first, chained([leave, line(leave.end, down.start), down, outer, up])


def _runs(base: Curve, recess: Curve) -> list[Curve]:
    """The parts of the base that are the face of the recess, between the roundings."""
    runs: list[list[Floats]] = [[]]
    for one in base.cubics:
        middle = Curve(one[None]).at(0.5)
        places = recess.crossings(0, float(middle[0]))
        if len(places) and abs(float(recess.at(places[0])[1] - middle[1])) < _ON_FACE_MM:
            runs[-1].append(one)
        elif runs[-1]:
            runs.append([])
    return [Curve(np.array(run)) for run in runs if run]


def _up_to(run: Curve, x: float) -> Curve:
    """The run as far as x at most."""
    return run if run.end[0] <= x else run.part(0.0, float(run.crossings(0, x)[0]))


def _from(run: Curve, x: float) -> Curve:
    """The run from x at least."""
    return run if run.start[0] >= x else run.part(float(run.crossings(0, x)[0]), float(len(run)))


def _out(run: Curve, x: float, level: float) -> Curve:
    """From the end of a run at 45 degrees out to x, then up to a level."""
    step = x - float(run.end[0])
    corner = [x, min(float(run.end[1]) + step, level)]
    if step < 1e-6:
        return line(run.end, [run.end[0], level])
    return polyline([run.end, corner, [x, level]])


def _level(run: Curve, x: float, base: Curve, flip: Floats) -> Curve:
    """From the top of the tongue's side to the inner edge of the standing face."""
    start = [max(x, float(run.end[0])) if x - run.end[0] >= 1e-6 else float(run.end[0]), 0.0]
    return line(start, base.cubics[-1, 0] * flip)
