"""Designs for the tests of the study: a cylinder worked by hand, a smooth pot, a flat one given by points."""

from __future__ import annotations

import tomllib

from profiler.design.model import Design, design_of
from profiler.design.toml_text import TomlText
from profiler.study.study import Study, study
from profiler.study.tried import Limits, Trial
from tests.pieces import ROOT

CYLINDER = """title = "Closed cylinder"
[form]
kind = "points"
outside = [[45, 0], [45, 100], [0, 100]]
inside = [[0, 5], [41, 5], [41, 94], [0, 94]]
[lid]
kind = "cut"
height = 60
angle = 40
"""
POT = """title = "Mustard pot"
[form]
kind = "closed"
belly_diameter = 96
height = 105
[lid]
kind = "cut"
height = 72
angle = 40
"""
FLAT = """title = "Salt cellar"
sized = "wet"
[form]
kind = "points"
curve = "smooth"
outside = [[40, 0], [62, 30], [55, 55], [25, 70], [0, 74]]
inside = [[0, 6], [34, 7], [57, 30], [50, 52], [24, 65], [0, 68]]
[lid]
kind = "cut"
height = 40
angle = 35
slope = "inward_up"
gap = 1
"""
SPOON = """[spoon]
length = 140
handle_width = 8
[notch]
in = "jar"
"""


def design_from(text: str) -> Design:
    """The design a file with this text would be."""
    return design_of(TomlText(ROOT / "pot.toml", tomllib.loads(text), {}))


def trial_of(text: str, limits: Limits | None = None) -> Trial:
    """Cuts of it, held to limits."""
    return Trial(design_from(text), limits or Limits())


def study_of(
    text: str,
    heights: tuple[float, float] | None = None,
    angles: tuple[float, float] | float | None = None,
    limits: Limits | None = None,
) -> Study:
    """A study of the design with this text."""
    return study(trial_of(text, limits), heights, angles)
