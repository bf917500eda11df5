"""Lidded pots as text, and what a test reads from what is measured of them."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

EXACT = 1e-9
"""Relative, as the project asks of every integral."""

# A closed cylinder with upright walls: outside 45, inside 40 in radius, floor 5, top 6 thick, sharp corners.
CYLINDER = """[form]
kind = "points"
outside = [[45, 0], [45, 100], [0, 100]]
inside = [[40, 5], [40, 94], [0, 94]]
"""
CUT = CYLINDER + '[lid]\nkind = "cut"\nheight = {height}\nangle = {angle}\nslope = "{slope}"\ngap = {gap}\n'
PLAIN_CUT = CUT.format(height=60, angle=40, slope="inward_down", gap=1.5)
JAR = '[form]\nkind = "jar"\nrim_diameter = 82\nheight = 100\nbelly_diameter = 86\n'
SPOON = "[spoon]\nlength = 135\nhandle_width = 8\n"
LID_KEYS = {"kind", "seat_width_mm", "centring_depth_mm", "sink_mm", "contact_mm", "clearance_mm"}
SPOON_KEYS = {
    "cutter_needed_mm",
    "cutter_mm",
    "notch_depth_mm",
    "angle_deg",
    "sticks_out_mm",
    "scoop_axis_deg",
    "scoop_far_deg",
}

Told = Callable[[str], tuple[int, dict[str, Any], str]]
"""Exit code, JSON and stderr of a design's text."""


def ids(found: dict[str, Any]) -> dict[str, str]:
    """The level of each check, by its id."""
    return {check["id"]: check["level"] for check in found["checks"]}
