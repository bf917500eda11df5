"""Files with one thing wrong in each, and what must be said of it."""

from __future__ import annotations

from typing import NamedTuple

BOWL = """title = "Bowl"
clay = "stoneware"
sized = "fired"

[form]
kind = "bowl"
rim_diameter = 155
height = 68

[wall]
rim = 4.5
foot = 5

[floor]
thickness = 4.5

[foot_ring]
outer_diameter = 70
width = 6
depth = 5

[thrown]
base_diameter = 80
blend_height = 25
"""
PLATE = """[form]
kind = "plate"
rim_diameter = 265
height = 25
rim_width = 36
rim_rise = 6

[foot_ring]
outer_diameter = 160
width = 7
inner_diameter = 60
inner_width = 6
"""
JAR = """[form]
kind = "jar"
belly_diameter = 110
rim_diameter = 82
height = 120
foot_diameter = 76
neck_diameter = 77
neck_height = 105
"""
STAND = """[form]
kind = "stand"
rim_diameter = 240
height = 120
joint_diameter = 80
waist_diameter = 68
"""
TUMBLER = """[form]
kind = "cylinder"
rim_diameter = 82
height = 95
belly = 2
base_corner = 3

[wall]
rim = 3.5
"""
POINTS = """[form]
kind = "points"
curve = "straight"
outside = [[38, 0], [46, 25], [48, 50], [43, 85], [40, 105], [42, 120]]

[wall]
rim = 4

[floor]
thickness = 5

[foot_ring]
depth = 0
"""
INSIDE = POINTS.replace("[wall]", "inside = [[30, 6], [42, 50], [36, 120]]\n\n[wall]")
SMOOTH = POINTS.replace("straight", "smooth")
BODY = """name = "Hut clay"

[shrinkage]
leather_hard = 5
bone_dry = 6
bisque = 6.5
fired = 12

[density]
plastic = 1.95

[weight]
water = 21
loss_on_ignition = 6
"""


class Bad(NamedTuple):
    """A good file with one thing changed, and the field and words its message must hold."""

    base: str
    old: str
    new: str
    field: str
    says: str


RIM = "rim_diameter = 155"
BLEND = "blend_height = 25"
_DEPTH = "depth = 5"

DESIGNS = {
    "a misspelt key": Bad(BOWL, RIM, "rim_diametre = 155", "form.rim_diametre", "perhaps `rim_diameter`"),
    "a misspelt table": Bad(BOWL, "[foot_ring]", "[footring]", "footring", "perhaps `foot_ring`"),
    "a key of another form": Bad(BOWL, RIM, f"{RIM}\nbelly = 3", "form.belly", "one of"),
    "an unknown kind": Bad(BOWL, '"bowl"', '"boul"', "form.kind", "perhaps `bowl`"),
    "no kind": Bad(BOWL, 'kind = "bowl"\n', "", "form.kind", "one of bowl"),
    "an unknown clay": Bad(BOWL, '"stoneware"', '"stonewear"', "clay", "one of earthenware"),
    "a body file that is not there": Bad(BOWL, '"stoneware"', '"mine.toml"', "clay", "mine.toml"),
    "an unknown state": Bad(BOWL, '"fired"', '"glazed"', "sized", "'bisque'"),
    "an unknown unit": Bad(BOWL, 'sized = "fired"', 'units = "furlong"', "units", "'mm'"),
    "a weight for a length": Bad(BOWL, RIM, 'rim_diameter = "15 kg"', "form.rim_diameter", "6 1/4 in"),
    "a fraction over nothing": Bad(BOWL, RIM, 'rim_diameter = "6 1/0 in"', "form.rim_diameter", "over nothing"),
    "a fraction over one": Bad(BOWL, RIM, 'rim_diameter = "6 5/4 in"', "form.rim_diameter", "one or more"),
    "a word for a length": Bad(BOWL, RIM, 'rim_diameter = "wide"', "form.rim_diameter", "not a length"),
    "true for a length": Bad(BOWL, RIM, "rim_diameter = true", "form.rim_diameter", "not a length"),
    "a list for a length": Bad(BOWL, RIM, "rim_diameter = [155]", "form.rim_diameter", "not a length"),
    "a date for a length": Bad(BOWL, RIM, "rim_diameter = 2024-05-01", "form.rim_diameter", "not a length"),
    "not a number": Bad(BOWL, RIM, "rim_diameter = nan", "form.rim_diameter", "found nan"),
    "infinite": Bad(BOWL, RIM, "rim_diameter = inf", "form.rim_diameter", "found inf"),
    "negative": Bad(BOWL, RIM, "rim_diameter = -155", "form.rim_diameter", "more than 0"),
    "nothing": Bad(BOWL, RIM, "rim_diameter = 0", "form.rim_diameter", "more than 0"),
    "absurdly large": Bad(BOWL, RIM, "rim_diameter = 1e300", "form.rim_diameter", "at most 2000 mm"),
    "5,000 digits": Bad(BOWL, RIM, "rim_diameter = " + "9" * 5000, "", "too many digits"),
    "a missing size": Bad(BOWL, f"{RIM}\n", "", "form.rim_diameter", "missing"),
    "a number for a table": Bad(f"floor = 5\n{PLATE}", "floor = 5", "floor = 6", "floor", "a table"),
    "a number for a title": Bad(BOWL, 'title = "Bowl"', "title = 3", "title", "text in quotes"),
    "an empty title": Bad(BOWL, 'title = "Bowl"', 'title = ""', "title", "1 character or more"),
    "a title without end": Bad(BOWL, 'title = "Bowl"', f'title = "{"x" * 201}"', "title", "200 characters at most"),
    "a fullness over one": Bad(BOWL, RIM, f"{RIM}\nfullness = 1.5", "form.fullness", "at most 1"),
    "a fullness in words": Bad(BOWL, RIM, f'{RIM}\nfullness = "full"', "form.fullness", "a number"),
    "a fullness that is none": Bad(BOWL, RIM, f"{RIM}\nfullness = nan", "form.fullness", "found nan"),
    "a rim that lies flat": Bad(BOWL, RIM, f"{RIM}\nrim_angle = 5", "form.rim_angle", "at least 30"),
    "all of it lost": Bad(BOWL, BLEND, "loss_percent = 100", "thrown.loss_percent", "at most 60"),
    "a loss that is no number": Bad(BOWL, BLEND, "loss_percent = nan", "thrown.loss_percent", "found nan"),
    "a negative loss": Bad(BOWL, BLEND, "loss_percent = -5", "thrown.loss_percent", "at least 0"),
    "a negative skim": Bad(BOWL, BLEND, "skim = -1", "thrown.skim", "0 or more"),
    "an unknown recess": Bad(BOWL, _DEPTH, 'depth = 5\nrecess = "round"', "foot_ring.recess", "'flat'"),
    "a foot wider than the pot": Bad(
        BOWL, "outer_diameter = 70", "outer_diameter = 190", "foot_ring.outer_diameter", "wider than the pot"
    ),
    "a ring that fills itself": Bad(BOWL, "width = 6", "width = 35", "foot_ring.width", "less than 34"),
    "a floor thinner than nothing": Bad(BOWL, "thickness = 4.5", "thickness = -1", "floor.thickness", "more than 0"),
    "a floor above the rim": Bad(BOWL, "thickness = 4.5", "thickness = 70", "form.height", "more than"),
    "a ring deeper than the bowl": Bad(BOWL, _DEPTH, "depth = 64", "form.height", "more than"),
    "a wall as thick as the bowl": Bad(BOWL, "foot = 5", "foot = 60", "", "closer together"),
    "an inner ring with no diameter": Bad(BOWL, _DEPTH, f"{_DEPTH}\ninner_width = 5", "foot_ring", "inner_diameter"),
    "an edge wider than its ring": Bad(BOWL, _DEPTH, f"{_DEPTH}\nedge = 4", "foot_ring.edge", "edge"),
    "a blend height above the rim": Bad(BOWL, BLEND, "blend_height = 250", "thrown.blend_height", "not on the wall"),
    "a blend height in the foot": Bad(BOWL, BLEND, "blend_height = 0.5", "thrown.blend_height", "not on the wall"),
    "a base beyond reason": Bad(BOWL, "base_diameter = 80", "base_diameter = 1500", "", "thrown"),
    "a plate lower than its floor": Bad(PLATE, "height = 25", "height = 9", "form.height", "more than"),
    "a rim that climbs out of the plate": Bad(PLATE, "rim_rise = 6", "rim_rise = 24", "form.rim_rise", "at most"),
    "a rim as wide as the plate": Bad(PLATE, "rim_width = 36", "rim_width = 130", "form.rim_width", "no well"),
    "an inner ring outside the outer": Bad(
        PLATE, "inner_diameter = 60", "inner_diameter = 150", "foot_ring.inner_diameter", "at most"
    ),
    "two foot diameters": Bad(
        JAR,
        "neck_height = 105",
        "neck_height = 105\n\n[foot_ring]\nouter_diameter = 70",
        "foot_ring.outer_diameter",
        "76.0 mm under [form]",
    ),
    "a neck wider than the belly": Bad(
        JAR, "neck_diameter = 77", "neck_diameter = 130", "form.neck_diameter", "no wider than the belly"
    ),
    "a neck above the rim": Bad(JAR, "neck_height = 105", "neck_height = 140", "form.neck_height", "below rim"),
    "a turned ring on a stand": Bad(
        STAND, "waist_diameter = 68", "waist_diameter = 68\n\n[foot_ring]\nwidth = 5", "foot_ring", "no turned ring"
    ),
    "a pedestal of no height": Bad(STAND, "height = 120", "height = 40", "form.height", "50 mm or more"),
    "a waist as thin as its wall": Bad(
        STAND, "waist_diameter = 68", "waist_diameter = 12", "form.waist_diameter", "no room inside"
    ),
    "a wall thicker than the curve": Bad(
        TUMBLER,
        "belly = 2\nbase_corner = 3\n\n[wall]\nrim = 3.5",
        "belly = 60\n\n[wall]\nrim = 20",
        "wall",
        "thicker than the curve allows: at height 47",  # where it swells most, half of 95
    ),
    "a waist that closes": Bad(TUMBLER, "belly = 2", "belly = -38", "wall", "no room inside"),
    "a wall that fills the tumbler": Bad(TUMBLER, "rim = 3.5", "rim = 60", "wall", "no room inside"),
    "a corner larger than the base": Bad(TUMBLER, "base_corner = 3", "base_corner = 60", "", "60.0 mm"),
    "an inside corner without room": Bad(
        TUMBLER, "base_corner = 3", "inside_corner = 60", "form.inside_corner", "does not fit"
    ),
    "points that hang in the air": Bad(POINTS, "[38, 0]", "[38, 3]", "form.outside", "on the table"),
    "one point": Bad(
        POINTS, ", [46, 25], [48, 50], [43, 85], [40, 105], [42, 120]", "", "form.outside", "2 entries or more"
    ),
    "a point of three numbers": Bad(POINTS, "[46, 25]", "[46, 25, 3]", "form.outside.1", "2"),
    "a point left of the axis": Bad(POINTS, "[46, 25]", "[-46, 25]", "form.outside.1.0", "0 or more"),
    "a point below the table": Bad(POINTS, "[46, 25]", "[46, -25]", "", "-25"),
    "a point twice": Bad(POINTS, "[46, 25]", "[46, 25], [46, 25]", "form.outside", "each point once"),
    "an outline that crosses itself": Bad(
        INSIDE, "[48, 50], [43, 85]", "[48, 85], [60, 50], [43, 50], [43, 85]", "form", "crosses"
    ),
    "an inside outside the outside": Bad(INSIDE, "[42, 50]", "[60, 50]", "form", "crosses itself"),
    "a smooth curve that swings out": Bad(SMOOTH, "[46, 25], [48, 50]", "[90, 2], [91, 3]", "form.outside", "swings"),
    "a recess through the floor": Bad(INSIDE, "depth = 0", "depth = 6.5", "foot_ring.depth", "less deep than 6.0"),
    "1,500 points": Bad(POINTS, "[46, 25]", ", ".join(["[46, 25]"] * 1500), "form.outside", "at most 1,000"),
}

CHECKS = {
    "a base narrower than the ring": Bad(
        BOWL, "base_diameter = 80", "base_diameter = 50", "thrown_contains_finished", "10.0 mm are missing"
    ),
    "a floor of next to nothing": Bad(
        BOWL, "thickness = 4.5", "thickness = 0.2", "breaks_through", "0.2 mm of clay left"
    ),
}
"""Designs that can be read and built, but stand against a check; the field is the check's id."""

BODIES = {
    "an unknown key in a body": Bad(BODY, "bisque = 6.5", "bisk = 6.5", "shrinkage.bisk", "perhaps `bisque`"),
    "a missing shrinkage": Bad(BODY, "fired = 12\n", "", "shrinkage.fired", "missing"),
    "a shrinkage out of this world": Bad(BODY, "fired = 12", "fired = 100", "shrinkage.fired", "at most 35"),
    "a shrinkage in words": Bad(BODY, "fired = 12", 'fired = "12 %"', "shrinkage.fired", "a number"),
    "clay that grows in the fire": Bad(BODY, "fired = 12", "fired = 1", "shrinkage.fired", "grows too much"),
    "leather-hard beyond bone-dry": Bad(
        BODY, "leather_hard = 5", "leather_hard = 8", "shrinkage.leather_hard", "at most 6"
    ),
    "clay lighter than water": Bad(BODY, "plastic = 1.95", "plastic = 0.9", "density.plastic", "at least 1.2"),
    "clay too dry to shrink": Bad(BODY, "water = 21", "water = 6", "weight.water", "for this leather-hard"),
    "nothing left after the fire": Bad(
        BODY, "loss_on_ignition = 6", "loss_on_ignition = 100", "weight.loss_on_ignition", "at most 30"
    ),
}

FILES: dict[str, tuple[bytes, int | None, str]] = {
    "an empty file": (b"", 1, "found nothing; wanted a [form] table"),
    "a body for a design": (BODY.encode(), 1, "a [form] table"),
    "not UTF-8": (b'title = "Sch\xfcssel"\n' + BOWL.encode(), 1, "UTF-8"),
    "a zero byte": (BOWL.encode() + b"\n\x00", 26, "zero byte"),
    "an unclosed string": (b'[form]\nkind = "bowl\n', 2, "not valid TOML"),
    "a decimal comma": (b'[form]\nkind = "bowl"\nheight = 65,5 # high\n', 3, "wanted a point for decimals: 65.5"),
    "a key twice": (b'[form]\nkind = "bowl"\nkind = "bowl"\n', 3, "not valid TOML"),
    "5,000 brackets": (b"[form]\nrim_diameter = " + b"[" * 5000, 2, "nested too deep"),
    "a key of 40 kB": (b"[form]\n" + b"a." * 20000 + b"a = 1\n", 2, "too many dots"),
    "300 kB": (BOWL.encode() + b"#" * 300_000, None, "at most 256 kB"),
    "a table where the form stands": (b'form = "bowl"\n', 1, "a table"),
}
