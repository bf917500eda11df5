"""Pots for the tests of sizing: straight ones whose clay and room are worked by hand."""

from __future__ import annotations

import tomllib
from pathlib import Path

from profiler.design.model import Design, design_of
from profiler.design.toml_text import TomlText
from profiler.measures import Measures, measured
from profiler.settings import Settings
from profiler.sizing.free import one_size, whole_form
from profiler.sizing.sized import Sized, sized
from profiler.sizing.sizes import size_named
from profiler.sizing.target import Target
from tests.pieces import ROOT, piece_from

SETTINGS = Settings()

BEAKER = """[form]
kind = "points"
outside = [[40, 0], [40, 100]]

[wall]
rim = 5
foot = 5

[floor]
thickness = 5
"""
"""A straight beaker: 40 mm in radius, 100 high, wall and floor 5 mm, nothing rounded, nothing trimmed."""


def design_from(text: str, path: Path = ROOT / "pot.toml") -> Design:
    """The design in a text."""
    return design_of(TomlText(path, tomllib.loads(text), {}))


def measures_of(text: str) -> Measures:
    """All numbers of the piece in a text, by the way `measure` goes."""
    return measured(piece_from(text), SETTINGS)


def sized_text(text: str, target: Target, free: str | None = None) -> Sized:
    """The design in a text sized; the whole form where no size is named."""
    design = design_from(text)
    may_change = whole_form(design) if free is None else one_size(design, size_named(design, free))
    return sized(design, text, target, may_change, SETTINGS)
