"""A whole set in the kiln: every piece once, nothing too near, every shelf under the next."""

from __future__ import annotations

import time
from collections import Counter

import numpy as np
import pytest

from profiler.kiln import Firing, KilnTable, Load, Ware, loaded
from tests.kiln.apart import posts, wrong

ROUND = KilnTable(shelf="round", diameter=480, clear_height=550)
SQUARE = KilnTable(shelf="rectangular", width=560, depth=500, clear_height=600, posts=4)
ONE_SHELF = KilnTable(shelf="round", diameter=420, clear_height=250, posts=0)


def _twenty(seed: int) -> list[Ware]:
    chance = np.random.default_rng(seed)
    wares = []
    for number in range(20):
        radius, high = chance.uniform(25, 120), chance.uniform(25, 230)
        pitch = (None, high, 0.3 * high)[number % 3]
        wares.append(
            Ware(f"kind {number}", chance.uniform(0.4, 1) * radius, radius, high, (1, 2, 6)[number % 3], pitch)
        )
    return wares


def faults(load: Load, wares: list[Ware]) -> list[str]:
    """What is wrong with a load, from the numbers of the file."""
    kiln, found = load.kiln, []
    bisque = load.firing is Firing.BISQUE
    pieces: Counter[Ware] = Counter()
    for shelves in load.kilnfuls:
        for number, shelf in enumerate(shelves):
            for place in shelf.places:
                pieces[place.ware] += place.pieces
                if place.pieces > (kiln.stack_limit if bisque else 1):
                    found.append("stacked too high")
                if place.pieces > 1 and place.ware.pitch_mm is None:
                    found.append("something stands on a lid")
            top = number == len(shelves) - 1
            placed = [(place.ware, (place.x_mm, place.y_mm)) for place in shelf.places]
            found += wrong(placed, kiln, [] if top else posts(kiln), space=0 if bisque else kiln.space)
            # pitch by pitch, not by the program's own sum
            tallest = max(p.ware.height_mm + (p.pieces - 1) * (p.ware.pitch_mm or 0) for p in shelf.places)
            if top:
                over = kiln.clear_height - shelf.stands_at_mm
                if shelf.posts_mm:
                    found.append("posts on the top shelf")
            else:
                if any(post not in kiln.post_heights for post in shelf.posts_mm) or len(shelf.posts_mm) > 2:
                    found.append("no such post")
                over = sum(shelf.posts_mm) - kiln.headroom
                rise = shelves[number + 1].stands_at_mm - shelf.stands_at_mm
                if abs(rise - sum(shelf.posts_mm) - kiln.shelf_thickness) > 1e-9:
                    found.append("a shelf in the air")
            if tallest > over + 1e-9:
                found.append(f"{tallest} mm under {over}")
    wanted = Counter({ware: ware.count for ware in wares if ware not in load.left_out})
    if pieces != wanted:
        found.append(f"{pieces} are not {wanted}")
    return found


@pytest.mark.parametrize("kiln", [ROUND, SQUARE, ONE_SHELF], ids=["round", "rectangular", "one shelf"])
@pytest.mark.parametrize("firing", Firing)
def test_every_piece_is_in_once_and_nothing_touches(kiln: KilnTable, firing: Firing) -> None:
    wares = _twenty(3)
    began = time.process_time()
    load = loaded(wares, kiln, firing)
    # the processor's time, for others work on this machine at the same time
    assert time.process_time() - began < 10
    assert faults(load, wares) == []
    assert all(ware.height_mm > kiln.clear_height for ware in load.left_out)


def test_a_shelf_of_cups_and_one_over_it() -> None:
    """14 cups in a kiln whose shelf takes 7: two shelves, the lower one's post the next over 90 + 12.7, by hand."""
    cups = Ware("cup", 30, 73, 90, 14)
    load = loaded([cups], ROUND, Firing.GLAZE)
    assert faults(load, [cups]) == []
    (shelves,) = load.kilnfuls
    assert [len(shelf.places) for shelf in shelves] == [7, 7]
    # stock from half an inch to ten: 4 in = 101.6 is too low, 4 and a half = 4 + 1/2 in stand on each other
    assert shelves[0].posts_mm == pytest.approx((101.6, 12.7))
    assert shelves[1].stands_at_mm == pytest.approx(114.3 + 15)


def test_bowls_nest_in_a_bisque_firing_and_cups_stand_rim_to_rim() -> None:
    bowls, cups = Ware("bowl", 35, 80, 70, 8, 22), Ware("cup", 30, 42, 95, 6, 95)
    load = loaded([bowls, cups], ROUND, Firing.BISQUE)
    assert faults(load, [bowls, cups]) == []
    (shelves,) = load.kilnfuls
    assert len(shelves) == 1
    stacks = sorted((place.ware.name, place.pieces) for place in shelves[0].places)
    assert stacks[:2] == [("bowl", 4), ("bowl", 4)]
    assert shelves[0].tallest_mm >= 70 + 3 * 22


def test_what_is_too_wide_for_posts_goes_on_the_top_shelf() -> None:
    platters = Ware("platter", 120, 235, 40, 2)
    jugs = Ware("jug", 50, 70, 240, 3)
    load = loaded([jugs, platters], ROUND, Firing.GLAZE)
    assert faults(load, [jugs, platters]) == []
    assert len(load.kilnfuls) == 2
    assert all(shelves[-1].places[0].ware == platters for shelves in load.kilnfuls)


def test_two_kinds_alike_in_all_are_both_fired() -> None:
    one = Ware("cup", 30, 42, 95, 3)
    load = loaded([one, one], ROUND, Firing.GLAZE)
    assert sum(len(shelf.places) for shelves in load.kilnfuls for shelf in shelves) == 6


def test_what_goes_into_no_kiln_is_said() -> None:
    tall, wide, cup = Ware("jug", 50, 70, 551, 1), Ware("platter", 120, 241, 40, 1), Ware("cup", 30, 42, 95, 2)
    load = loaded([tall, wide, cup], ROUND, Firing.GLAZE)
    assert load.left_out == (tall, wide)
    assert faults(load, [cup]) == []
    assert loaded([tall], ROUND, Firing.GLAZE).kilnfuls == ()


@pytest.mark.parametrize("over", [-1e-8, 0.0, 5e-8, 9e-8])
def test_what_is_as_high_as_the_kiln_or_its_posts_goes_in(over: float) -> None:
    """A rounding of a double's sum either way neither loses a piece nor goes on for ever."""
    highest = Ware("vase", 40, 60, ROUND.clear_height + over, 1)
    # two posts of 10 in under the next shelf, less the headroom
    under = Ware("jug", 40, 230, 2 * 254.0 - ROUND.headroom + over, 2, None)
    load = loaded([highest, under], ROUND, Firing.GLAZE)
    assert load.left_out == ()
    assert sum(len(shelf.places) for shelves in load.kilnfuls for shelf in shelves) == 3


def test_the_check_sees_what_is_wrong() -> None:
    cup = Ware("cup", 30, 40, 95)
    assert wrong([(cup, (0, 0)), (cup, (86.4, 0))], ROUND, posts(ROUND), space=6.4) == []
    assert len(wrong([(cup, (0, 0)), (cup, (86.39, 0))], ROUND, [], space=6.4)) == 1
    assert len(wrong([(cup, (200.01, 0))], ROUND, [], space=6.4)) == 1
    assert len(wrong([(cup, (0, 170))], ROUND, posts(ROUND), space=6.4)) == 1
    assert len(wrong([(Ware("plate", 40, 40, 20), (0, -205))], ROUND, [], space=6.4, beyond=10)) == 1
    assert len(wrong([(cup, (0, 211))], SQUARE, [], space=6.4)) == 1
