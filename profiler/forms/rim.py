"""The rounding of a rim: from the outside over the top to the inside, tangent to both."""

from __future__ import annotations

import numpy as np

from ..geometry.curve import Curve, Floats, quarter_handle


def cap(outer: Floats, outer_way: Floats, inner: Floats, inner_way: Floats) -> Curve:
    """Two cubics from the end of the outside to the end of the inside; a half circle where both run alike.

    Args:
        outer: end of the outside (r, z), mm.
        outer_way: unit tangent of the outside there, towards the rim.
        inner: end of the inside (r, z), mm.
        inner_way: unit tangent of the inside there, towards the rim.
    """
    radius = float(np.hypot(*(inner - outer))) / 2
    ahead = outer_way + inner_way
    ahead = ahead / np.hypot(*ahead)
    over = np.array([-ahead[1], ahead[0]])
    top = (outer + inner) / 2 + radius * ahead
    handle = radius * quarter_handle(np.pi / 2)
    return Curve(
        np.array(
            [
                [outer, outer + handle * outer_way, top - handle * over, top],
                [top, top + handle * over, inner + handle * inner_way, inner],
            ]
        )
    )


def end_ways(way: Floats, slope: float, squeeze: float, *, from_inside: bool) -> tuple[Floats, Floats]:
    """Unit tangents (outside, inside) at a rim, from one of them and the wall's change per mm of its length.

    The wall is square to the outside. Seen from the inside the outside leans by the angle whose sine is the
    slope; seen from the outside the inside leans by the angle whose tangent is slope / squeeze, the squeeze
    being how much shorter the inside runs than the outside there, 1 - thickness · curvature.
    """
    left = np.array([-way[1], way[0]])
    if from_inside:
        # outside = inside - t·(sin·way + cos·left): its tangent is square to that
        return np.sqrt(1 - slope * slope) * way - slope * left, way
    other = squeeze * way + slope * left
    return way, other / np.hypot(*other)


def overhang(rim: Curve, origin: Floats) -> tuple[float, float]:
    """How far the rim reaches (outward, upward) beyond a point of it, mm."""
    return rim.highest(0)[1] - float(origin[0]), rim.highest(1)[1] - float(origin[1])
