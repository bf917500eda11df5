"""The largest circle in a section, against another library."""

from __future__ import annotations

import numpy as np
from shapely.geometry import LineString, Point, Polygon

from profiler.thickness import thickest
from tests.pieces import piece_from


def test_the_thickest_place_is_the_largest_circle_by_another_library() -> None:
    text = "[form]\nkind='bowl'\nrim_diameter=155\nheight=68\n[foot_ring]\nrecess='flat'\ndepth=0\n"
    (cast,) = piece_from(text).parts
    found = thickest(cast.shape)
    outline = LineString(cast.section.outline.sampled(200))
    polygon = Polygon(outline)
    r = np.linspace(1, 80, 160)
    z = np.linspace(0.2, 70, 160)
    # the axis is no boundary of the clay
    skin = LineString([place for place in outline.coords if place[0] > 1e-9])
    places = [Point(a, b) for a in r for b in z]
    largest = max(2 * skin.distance(place) for place in places if polygon.contains(place))
    # a grid of half a millimetre misses the best centre by up to a third of one, so the circle by twice that
    assert largest <= found.thickness_mm + 0.05
    assert found.thickness_mm <= largest + 0.7
