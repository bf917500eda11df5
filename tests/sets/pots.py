"""Designs and clay for a set whose figures are worked by hand: straight sides, sized wet, a clay of 2 g/cm³."""

from __future__ import annotations

from pathlib import Path

CLAY = """name = "Round figures"

[shrinkage]
leather_hard = 5
bone_dry = 6
bisque = 6
fired = 12

[density]
plastic = 2.0

[weight]
water = 20
loss_on_ignition = 5
"""

BEAKER = """title = "Beaker"
clay = "clay.toml"
sized = "wet"

[form]
kind = "points"
curve = "straight"
outside = [[40, 0], [40, 100]]
inside = [[36, 5], [36, 100]]

[foot_ring]
depth = 0

[thrown]
base_diameter = 100
blend_height = 50
skim = 0
loss_percent = 4
"""

DISH = """title = "Dish"
clay = "clay.toml"
sized = "wet"

[form]
kind = "points"
curve = "straight"
outside = [[50, 0], [70, 30]]
inside = [[45, 5], [65, 30]]

[foot_ring]
depth = 0
"""


def laid_out(folder: Path, **files: str) -> Path:
    """Write the clay, the two designs, and files by their stems; the folder."""
    for stem, text in {"clay": CLAY, "beaker": BEAKER, "dish": DISH, **files}.items():
        (folder / f"{stem}.toml").write_text(text, encoding="utf-8")
    return folder


def set_of(*lines: tuple[str, int], head: str = "", end: str = "") -> str:
    """The text of a set file: (design, count) of each piece."""
    pieces = "".join(f'\n[[piece]]\ndesign = "{design}.toml"\ncount = {count}\n' for design, count in lines)
    return f'title = "Two"\n{head}{pieces}{end}'
