"""Straight-sided pots whose stacking is worked by hand, mm fired."""

from __future__ import annotations

SHARP = "[foot_ring]\ndepth = 0\nedge = 0\n"


def straight(outside: list[list[float]], inside: list[list[float]], more: str = SHARP) -> str:
    """A design of straight runs, its foot a sharp flat base unless said."""
    return f'[form]\nkind = "points"\ncurve = "straight"\noutside = {outside}\ninside = {inside}\n{more}'


CONE = straight([[30, 0], [45, 60]], [[27, 8], [40, 60]])
"""Outside r = 30 + z/4, inside r = 25 + z/4: a wall 5 mm thick, level."""

SHALLOW_CONE = straight([[30, 0], [45, 60]], [[31.25, 25], [40, 60]])
"""The same with a floor 25 mm thick."""

CYLINDER = straight([[40, 0], [40, 80]], [[36, 5], [36, 80]])

NECKED = straight([[30, 0], [60, 40], [26, 70], [26, 80]], [[20, 5], [55, 40], [22, 70], [22, 80]])
"""A belly of 60 under a neck of 26."""
