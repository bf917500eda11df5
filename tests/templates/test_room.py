"""Free room: what is found lies inside, clear of what is taken, and nothing nearer was overlooked."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import LineString, Polygon, box

from profiler.geometry.curve import arc, chained, line, polyline
from profiler.templates.room import CELL_MM, Box, Room, dense

# A half disc on a bar: straight sides, an arc, and a corner that goes in.
OUTLINE = chained(
    [
        polyline([(0.0, 0.0), (120.0, 0.0), (120.0, 30.0), (80.0, 30.0)]),
        arc((40.0, 30.0), 40.0, 0.0, np.pi),
        line((0.0, 30.0), (0.0, 0.0)),
    ]
)
SHAPE = Polygon(OUTLINE.sampled(200))


def test_points_lie_no_further_apart_than_half_a_cell() -> None:
    points = dense(OUTLINE)
    assert np.hypot(*np.diff(points, axis=0).T).max() <= CELL_MM / 2
    assert points[0] == pytest.approx([0.0, 0.0])
    assert points[-1] == pytest.approx([0.0, 0.0])


@settings(max_examples=60, deadline=None, derandomize=True)
@given(
    width=st.floats(3, 90),
    height=st.floats(3, 60),
    margin=st.sampled_from((0.0, 1.0, 2.5)),
    near=st.tuples(st.floats(-20, 140), st.floats(-20, 90)),
)
def test_what_is_found_is_free_and_nearest(
    width: float, height: float, margin: float, near: tuple[float, float]
) -> None:
    room = Room(OUTLINE)
    taken = Box(30.0, 20.0, 45.0, 34.0)
    room.take(taken)
    mark = polyline([(90.0, 2.0), (100.0, 12.0)])
    room.take_curve(mark)
    free = SHAPE.difference(box(30, 20, 45, 34))
    stroke = LineString(mark.sampled(10))

    def fits(middle: tuple[float, float], spare: float) -> bool:
        x, y = middle
        half_x, half_y = width / 2 + margin + spare, height / 2 + margin + spare
        place = box(x - half_x, y - half_y, x + half_x, y + half_y)
        return free.contains(place) and not place.intersects(stroke)

    found = room.find(width, height, [near], margin)
    if found is not None:
        place, away = found
        assert (place.width, place.height) == pytest.approx((width, height))
        # an outline that clips a corner of a cell between two points may go unseen: a quarter cell at most
        assert fits(place.middle, -CELL_MM / 4)
        assert away == pytest.approx(float(np.hypot(place.middle[0] - near[0], place.middle[1] - near[1])))
    # cells that an edge passes count as taken whole: no place with two cells to spare is overlooked
    for x in np.arange(0.5, 120, 4.0):
        for y in np.arange(0.5, 70, 4.0):
            if fits((x, y), 2 * CELL_MM):
                assert found is not None
                assert found[1] <= np.hypot(x - near[0], y - near[1]) + CELL_MM


def test_a_copy_is_another_room() -> None:
    room = Room(OUTLINE)
    before = room.find(60.0, 20.0, [(40.0, 30.0)], 1.0)
    room.copy().take(Box(-10.0, -10.0, 200.0, 100.0))
    assert room.find(60.0, 20.0, [(40.0, 30.0)], 1.0) == before
    room.take(Box(-10.0, -10.0, 200.0, 100.0))
    assert room.find(3.0, 3.0, [(40.0, 30.0)], 0.0) is None


def test_the_nearest_of_several_places_counts() -> None:
    found = Room(OUTLINE).find(10.0, 10.0, [(500.0, 500.0), (100.0, 15.0)], 1.0)
    assert found is not None
    assert found[1] < CELL_MM
    assert shapely.Point(found[0].middle).distance(shapely.Point(100.0, 15.0)) < CELL_MM
