"""Jars for the spoon's tests, fired: plain ones worked by hand, thrown ones, and all of them as polygons."""

from __future__ import annotations

import numpy as np
from shapely import Polygon, affinity, box
from shapely.geometry.base import BaseGeometry

from profiler.clay.states import State
from profiler.geometry.curve import line, polyline
from profiler.geometry.section import Section
from profiler.spoon.jar import Jar
from profiler.spoon.measured import Spoon
from tests.pieces import piece_from

CHORDS_MM = 0.008

JAM_SPOON = Spoon(length=135, handle_width=8, handle_thickness=2, bowl_length=42, bowl_width=30)
LADLE = Spoon(length=260, handle_width=12, handle_thickness=3, bowl_length=70, bowl_width=50)


def cylinder(radius: float, height: float, wall: float = 4.0, floor: float = 5.0) -> Jar:
    """A jar with an upright wall, a level floor, a level rim and sharp corners; radius is the inside's."""
    inside = polyline([[0, floor], [radius, floor], [radius, height]])
    outside = polyline([[0, 0], [radius + wall, 0], [radius + wall, height], [radius, height]])
    return Jar(Section(outside + inside.reversed() + line([0, floor], [0, 0])), inside)


def funnel() -> Jar:
    """A jar whose lid was cut from it: the wall leans in, the joint falls from its outer to its inner edge."""
    inside = polyline([[0, 5], [40, 5], [42, 60], [34, 84], [38.5, 88.5]])
    outside = polyline([[0, 0], [46, 0], [46.5, 60], [38.5, 88.5]])
    return Jar(Section(outside + inside.reversed() + line([0, 5], [0, 0])), inside)


def thrown(text: str) -> Jar:
    """The jar of a design's text, fired."""
    piece = piece_from(text)
    scale = piece.scale(State.FIRED)
    return Jar(piece.parts[0].section.mapped(*scale), piece.parts[0].cavity.mapped(*scale))


NECKED = """[form]
kind = "jar"
belly_diameter = 86
rim_diameter = 82
height = 100
foot_diameter = 76
neck_diameter = 77
neck_height = 88
"""
CROCK = """[form]
kind = "cylinder"
rim_diameter = 120
height = 150
inside_corner = 5
[wall]
rim = 6
foot = 6
"""
BOWL = """[form]
kind = "bowl"
rim_diameter = 155
height = 68
"""

JARS = {
    "cylinder": (cylinder(38, 95), JAM_SPOON, 8.0),
    "cut lid, notch deeper than its joint": (funnel(), JAM_SPOON, 9.0),
    "cut lid, notch shallower than its joint": (funnel(), JAM_SPOON, 3.0),
    "jam jar": (thrown(NECKED), JAM_SPOON, 9.0),
    "ladle crock": (thrown(CROCK), LADLE, 12.0),
    "porridge bowl": (thrown(BOWL), JAM_SPOON, 6.0),
    "porridge bowl, rim whole": (thrown(BOWL), JAM_SPOON, 0.0),
}


def peaked() -> Jar:
    """A jar whose floor rises to a peak on the axis, higher than a handle lying across would pass."""
    inside = polyline([[0, 40], [8, 5], [45, 5], [45, 70]])
    outside = polyline([[0, 0], [49, 0], [49, 70], [45, 70]])
    return Jar(Section(outside + inside.reversed() + line([0, 40], [0, 0])), inside)


_GALLERY = thrown(NECKED + '[lid]\nkind = "gallery"\n')
LEDGED = {
    # its ledge lies 6 mm under the rim and is 5 wide, 4 thick: whole, cut into, and cut right through
    "gallery, notch over its ledge": (_GALLERY, JAM_SPOON, 4.0),
    "gallery, notch into its ledge": (_GALLERY, JAM_SPOON, 8.0),
    "gallery, notch through its ledge": (_GALLERY, JAM_SPOON, 13.0),
}

PEAKED = (peaked(), Spoon(length=135, handle_width=8, handle_thickness=2, bowl_length=20, bowl_width=15), 8.0)


def half(jar: Jar) -> BaseGeometry:
    """The section to the right of the axis as a polygon, within `CHORDS_MM` of it."""
    # 40 chords to a cubic stray by under 0.005 mm on these jars; those that bend by less than 0.003 are joined
    return Polygon(jar.section.outline.sampled(40)).simplify(0.003)


def halves(jar: Jar, depth: float) -> tuple[BaseGeometry, BaseGeometry]:
    """The clay in the plane of the notch: far side, and near side less the notch."""
    right = half(jar)
    far = affinity.scale(right, -1, 1, origin=(0, 0))
    return far, right.difference(box(0, jar.rim_mm - depth, 1e3, 1e3)) if depth else right


def way(angle: float) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    """Unit vector at an angle in radians."""
    return np.array([np.cos(angle), np.sin(angle)])
