"""How many of one kind go on a shelf, against published tables and plain layouts."""

from __future__ import annotations

import math
import time
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from profiler.kiln import KilnTable, Ware, fits, per_shelf
from tests.kiln.apart import posts, wrong

SEEN = {
    1: 1.0,
    2: 2.0,
    3: 2.15470,
    4: 2.41421,
    5: 2.70130,
    6: 3.0,
    7: 3.0,
    8: 3.30476,
    10: 3.81303,
    11: 3.92380,
    12: 4.02960,
    14: 4.32843,
    19: 4.86370,
}
"""Radius of the circle over that of the discs (Graham 1968, Pirl 1969, Melissen 1994, Fodor 1999, as tabulated in
Wikipedia, "Circle packing in a circle", seen)."""

MEMORY = {9: 3.6131, 13: 4.2361, 15: 4.5213, 16: 4.6154, 17: 4.7920, 18: 4.8637, 20: 5.1223}
"""The rest of that table, from memory."""

PUBLISHED = SEEN | MEMORY

LARGER = 1.002
"""The shelf is so much larger than the least one."""


def _round(diameter: float, **more: object) -> KilnTable:
    return KilnTable.model_validate({"shelf": "round", "diameter": diameter, "clear_height": 400, "posts": 0, **more})


def _rectangular(width: float, depth: float, **more: object) -> KilnTable:
    return KilnTable.model_validate(
        {"shelf": "rectangular", "width": width, "depth": depth, "clear_height": 400, "posts": 0, **more}
    )


def _ware(radius: float, foot: float | None = None) -> Ware:
    return Ware("cup", radius / 2 if foot is None else foot, radius, 90.0)


@pytest.mark.parametrize("count", sorted(PUBLISHED))
@pytest.mark.parametrize(("radius", "space"), [(40.0, 0.0), (33.7, 6.4)])
def test_the_best_count_known_is_reached(count: int, radius: float, space: float) -> None:
    # discs of r + g/2 in a circle of R + g/2
    shelf = LARGER * PUBLISHED[count] * (radius + space / 2) - space / 2
    kiln, ware = _round(2 * shelf, space=space), _ware(radius)
    began = time.process_time()
    places = per_shelf(ware, kiln)
    # the processor's time, for others work on this machine at the same time
    assert time.process_time() - began < 2.0
    assert len(places) >= count
    assert not wrong([(ware, at) for at in places], kiln, [], space=space)


@pytest.mark.parametrize("count", [2, 3, 4, 5, 7, 19])
def test_no_more_than_is_proven_go_on_a_shelf_too_small(count: int) -> None:
    """2 to 7 and 19 are proven optimal (Graham 1968, Fodor 1999): on a shelf 0.2 % under the least, one fewer."""
    places = per_shelf(_ware(40.0), _round(2 * 40.0 * PUBLISHED[count] * 0.998, space=0))
    assert len(places) < count


def _plain(radius: float, kiln: KilnTable) -> int:
    """The fullest plain layout: hexagonal, on a middle or on a gap, rows along either side or from a corner."""
    pitch = 2 * radius + kiln.space
    high = pitch * math.sqrt(3) / 2
    if kiln.diameter is not None:
        room, best = kiln.diameter / 2 - radius, 0
        for x0, y0 in [(0.0, 0.0), (pitch / 2, 0.0), (pitch / 2, pitch / math.sqrt(12)), (pitch / 4, high / 2)]:
            for step, row in ((high, 0.5), (pitch, 0.0)):
                spots = [
                    (x0 + pitch * (i + row * (j % 2)), y0 + step * j) for i in range(-40, 41) for j in range(-40, 41)
                ]
                best = max(best, sum(math.hypot(*spot) <= room + 1e-9 for spot in spots))
        return best
    assert kiln.width is not None
    assert kiln.depth is not None
    counts = []
    for width, depth in ((kiln.width, kiln.depth), (kiln.depth, kiln.width)):
        across, up = width - 2 * radius, depth - 2 * radius
        if min(across, up) < 0:
            return 0
        long = math.floor(across / pitch + 1e-9) + 1
        short = math.floor((across - pitch / 2) / pitch + 1e-9) + 1 if across >= pitch / 2 else 0
        rows = math.floor(up / high + 1e-9) + 1
        counts += [math.ceil(rows / 2) * long + rows // 2 * short, long * (math.floor(up / pitch + 1e-9) + 1)]
    return max(counts)


@pytest.mark.parametrize("radius", [22.0, 31.0, 38.5, 47.0, 61.0, 84.0, 120.0, 171.0])
@pytest.mark.parametrize("kiln", [_round(480), _round(380), _rectangular(600, 300), _rectangular(450, 450)], ids=str)
def test_never_fewer_than_a_plain_layout(kiln: KilnTable, radius: float) -> None:
    ware = _ware(radius)
    places = per_shelf(ware, kiln)
    assert len(places) >= _plain(radius, kiln)
    assert not wrong([(ware, at) for at in places], kiln, [], space=kiln.space)


def test_rows_fill_a_tray() -> None:
    """Rows by hand: 5 by 3 discs of 100 touch both ways in 500 x 300; hexagonal rows would hold 5 + 4 + 5 = 14."""
    assert len(per_shelf(_ware(50.0), _rectangular(500, 300, space=0))) == 15


@settings(max_examples=25, deadline=None)
@given(
    radius=st.floats(35, 220),
    foot=st.floats(0.2, 1.0),
    size=st.tuples(st.floats(250, 600), st.floats(250, 600)),
    round_=st.booleans(),
    count=st.sampled_from([0, 3, 4]),
    space=st.floats(0, 12),
    edge=st.floats(0, 60),
    overhang=st.booleans(),
)
def test_no_layout_is_wrong(
    radius: float,
    foot: float,
    size: tuple[float, float],
    round_: bool,
    count: int,
    space: float,
    edge: float,
    overhang: bool,
) -> None:
    more: dict[str, Any] = {
        "posts": count,
        "space": space,
        "edge_to_wall": edge,
        "rim": "overhang" if overhang else "on_shelf",
    }
    kiln = _round(size[0], **more) if round_ else _rectangular(*size, **more)
    ware = _ware(radius, foot * radius)
    places = per_shelf(ware, kiln)
    # 25 mm are kept to the wall unless the file says otherwise; without an overhang rims stay on the shelf as well
    beyond = edge - 25.0 if overhang else min(0.0, edge - 25.0)
    assert not wrong([(ware, at) for at in places], kiln, posts(kiln), space=space, beyond=beyond)


def test_posts_take_room() -> None:
    ware = _ware(40.0)
    with_posts, bare = (len(per_shelf(ware, _round(400, posts=count))) for count in (3, 0))
    assert with_posts < bare


def test_seven_mugs_stand_between_three_posts() -> None:
    """Six round one on a shelf of 480: a ring of 6 at 152 from the middle stays 6.4 mm off posts at 225, by hand.

    Posts at 90, 210 and 330 degrees, mugs of 146 across at 120, 180, ... : half a turn of 60 degrees lies between
    them, and sqrt(152.4^2 + 225^2 - 2 * 152.4 * 225 * cos 30) = 121.2 is more than 73 + 15 + 6.4 = 94.4.
    """
    assert len(per_shelf(_ware(73.0), _round(480, posts=3))) == 7


def test_a_rim_may_overhang_where_she_says_so_but_no_foot() -> None:
    wide = _ware(100.0, foot=40.0)
    kept = per_shelf(wide, _round(330, space=0, edge_to_wall=80))
    out = _round(330, space=0, edge_to_wall=80, rim="overhang")
    over = per_shelf(wide, out)
    # two rims of 200 want 400 on the shelf; overhanging, their middles go out to 165 - max(40, 100 - 55) = 120
    assert (len(kept), len(over)) == (1, 3)
    assert not wrong([(wide, at) for at in over], out, [], space=0, beyond=55.0)
    assert len(per_shelf(_ware(100.0, foot=100.0), out)) == 1


def test_what_does_not_go_in_has_no_place() -> None:
    kiln = _round(400, clear_height=120)
    tall = Ware("jug", 40, 60, 121.0)
    assert not fits(tall, kiln)
    assert per_shelf(tall, kiln) == ()
    assert fits(Ware("jug", 40, 60, 120.0), kiln)
    assert not fits(Ware("platter", 100, 201, 30), kiln)
    # on the top shelf no post is in its way
    widest = Ware("platter", 100, 200, 30)
    assert fits(widest, _round(400, posts=3))
    assert per_shelf(widest, _round(400, posts=3)) == ()
    assert len(per_shelf(widest, kiln)) == 1


def test_the_same_shelf_comes_out_the_same() -> None:
    assert per_shelf(_ware(44.0), _round(470)) == per_shelf(_ware(44.0), _round(470))
