"""What must not be on a shelf, found one pair at a time from the numbers of the set file: no code of the packing."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import combinations

from profiler.kiln import KilnTable, Ware

SLACK_MM = 1e-6
"""A micrometre's thousandth: what sums of doubles leave, far under what a hand can set down."""

Spot = tuple[float, float]


def posts(kiln: KilnTable) -> list[Spot]:
    """Where the posts of a round shelf, or three or four of a rectangular one, stand; feet 30 mm, at the edge."""
    if kiln.diameter is not None:
        away = kiln.diameter / 2 - 15
        turns = [math.radians(90 + 360 * number / kiln.posts) for number in range(kiln.posts)]
        return [(away * math.cos(turn), away * math.sin(turn)) for turn in turns]
    assert kiln.width is not None
    assert kiln.depth is not None
    x, y = kiln.width / 2 - 15, kiln.depth / 2 - 15
    return {
        0: [],
        3: [(-x, -y), (x, -y), (0.0, y)],
        4: [(-x, -y), (x, -y), (-x, y), (x, y)],
    }[kiln.posts]


def wrong(
    placed: Sequence[tuple[Ware, Spot]], kiln: KilnTable, posts: Sequence[Spot], *, space: float, beyond: float = 0.0
) -> list[str]:
    """Every rim too near another or a post, off the shelf by more than `beyond`, and every foot off it."""
    found = []
    for (one, a), (other, b) in combinations(placed, 2):
        gap = math.dist(a, b) - one.reach_radius_mm - other.reach_radius_mm
        if gap < space - SLACK_MM:
            found.append(f"{one.name} {gap:.6f} mm from {other.name}")
    for ware, at in placed:
        for post in posts:
            if math.dist(at, post) - ware.reach_radius_mm - 15 < space - SLACK_MM:
                found.append(f"{ware.name} too near a post")
        if kiln.diameter is not None:
            edge = kiln.diameter / 2 - math.hypot(*at)
        else:
            assert kiln.width is not None
            assert kiln.depth is not None
            edge = min(kiln.width / 2 - abs(at[0]), kiln.depth / 2 - abs(at[1]))
        if edge + beyond < ware.reach_radius_mm - SLACK_MM:
            found.append(f"{ware.name} with its rim off the shelf")
        if edge < ware.foot_radius_mm - SLACK_MM:
            found.append(f"{ware.name} with its foot off the shelf")
    return found
