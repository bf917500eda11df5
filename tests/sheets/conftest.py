"""Drawings of no particular pot, for the writers."""

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from profiler.geometry.curve import arc, chained, cubic, line, polyline
from profiler.sheets.dxf import write_dxf
from profiler.templates.drawing import Drawing, Layer, Line, Pen, Words

Rib = Callable[..., Drawing]


@pytest.fixture
def title() -> str:
    """Czech, Greek, Japanese, an emoji, quotes and what XML must escape."""
    return 'Hrnek "Žluťoučký" & κύπελλο <茶> 🍵'


@pytest.fixture
def rib() -> Rib:
    """A rib of a given width and height whose edge has cubics, a straight run cut in two, and a corner."""

    def make(width: float, height: float, name: str = "inside_rib", title: str = "Hut bowl") -> Drawing:
        w, h = width, height
        edge = chained(
            [
                cubic((0, 0), (0.31234567 * w, 0), (0.62 * w, 0.12 * h), (0.72 * w, 0.45 * h)),
                cubic((0.72 * w, 0.45 * h), (0.77 * w, 0.6 * h), (0.8 * w, 0.65 * h), (0.8 * w, 0.7 * h)),
                polyline([(0.8 * w, 0.7 * h), (0.85 * w, 0.8 * h), (0.9 * w, 0.9 * h)]),
            ]
        )
        back = polyline([(0.9 * w, 0.9 * h), (w, 0.9 * h), (w, -0.1 * h), (0, -0.1 * h), (0, 0)])
        lines = (
            Line(edge, Layer.CUT, id="profile"),
            Line(back, Layer.CUT),
            Line(arc((0.9 * w, 0), 3, 0, 2 * np.pi), Layer.CUT),
            Line(line((0, 0.3 * h), (0.5 * w, 0.3 * h)), Layer.MARK),
            Line(line((0, -0.1 * h), (0, 0.9 * h)), Layer.MARK, Pen.CENTRE),
        )
        words = (Words(title, 3, -0.08 * h, 4, bold=True), Words("rim", w, 0.5 * h, 3.5, "middle", 90))
        return Drawing(name, title, lines, words)

    return make


@pytest.fixture
def dxf(rib: Rib, tmp_path: Path) -> Path:
    """That rib as a DXF file of the writer's."""
    write_dxf(rib(95, 85), tmp_path / "rib.dxf", stamp="stamp")
    return tmp_path / "rib.dxf"
