"""The largest circle in a section, against another library."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from shapely.geometry import LineString, Point, Polygon

from profiler.check import Level
from profiler.checks import checked
from profiler.measures import measured
from profiler.settings import Settings
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


JAR = '[form]\nkind = "jar"\nrim_diameter = 82\nheight = 100\nbelly_diameter = 86\n'
CYLINDER = '[form]\nkind = "cylinder"\nrim_diameter = 84\nheight = 95\n'
CUT = '[form]\nkind = "closed"\nbelly_diameter = 95\nheight = 100\n[lid]\nkind = "cut"\nheight = 66\n'
PAIRS = {
    **{
        f"{kind} on a {name}": f'{form}[lid]\nkind = "{kind}"\n'
        for kind in ("gallery", "flange", "cap")
        for name, form in (("jar", JAR), ("cylinder", CYLINDER))
    },
    "cut": CUT,
    "cap, right way up": JAR + '[lid]\nkind = "cap"\nthrown = "right_way_up"\n',
}


@pytest.mark.parametrize("name", PAIRS)
def test_ledge_collar_skirt_and_joint_bound_the_circle_too(name: str) -> None:
    for cast in piece_from(PAIRS[name]).parts:
        found = thickest(cast.shape)
        outline = LineString(cast.section.outline.sampled(60))
        skin = LineString([place for place in outline.coords if place[0] > 1e-9])
        left, low, right, high = outline.bounds
        r, z = np.meshgrid(np.arange(left + 0.1, right, 0.25), np.arange(low + 0.1, high, 0.25))
        inside = shapely.contains_xy(Polygon(outline), r.ravel(), z.ravel())
        places = shapely.points(r.ravel()[inside], z.ravel()[inside])
        largest = 2 * float(shapely.distance(skin, places).max())
        # a grid of a quarter of a millimetre misses the best centre by up to 0.18 mm, so the circle by twice that
        assert largest - 0.05 <= found.thickness_mm <= largest + 0.36


@pytest.mark.parametrize("name", PAIRS)
def test_a_pair_as_it_comes_is_not_warned_of(name: str) -> None:
    checks = checked(measured(piece_from(PAIRS[name]), Settings()))
    assert [check.message for check in checks if check.level is not Level.NOTE] == []


def test_a_ledge_much_thicker_than_the_wall_is() -> None:
    wide = JAR + '[lid]\nkind = "gallery"\nledge_width = 12\nledge_thickness = 12\n'
    (check,) = [check for check in checked(measured(piece_from(wide), Settings())) if check.id == "uneven"]
    assert check.level is Level.WARNING
    # 12 mm of ledge beside a wall of 4.2 is less than three times as thick as that only with a thinner ledge
    noted = JAR + '[lid]\nkind = "gallery"\nledge_width = 7\nledge_thickness = 5\n'
    (check,) = [check for check in checked(measured(piece_from(noted), Settings())) if check.id == "uneven"]
    assert check.level is Level.NOTE
    assert "ledge" in check.message
