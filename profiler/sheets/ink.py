"""How each pen looks, the same in every file that is looked at or printed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..geometry.curve import Floats
from ..templates.drawing import Layer, Pen


@dataclass(frozen=True)
class Ink:
    """A stroke and a fill.

    Attributes:
        width: of the stroke, mm.
        stroke: its colour, `#rrggbb`, or empty for none.
        fill: the colour inside, or empty for none.
        dashes: lengths on and off, mm.
    """

    width: float
    stroke: str
    fill: str = ""
    dashes: tuple[float, ...] = ()


TEXT_COLOUR = "#1d1d1b"

EDGES = {
    Layer.CUT: Ink(0.25, "#000000"),
    Layer.MARK: Ink(0.20, "#1f5fa8"),
    Layer.TEXT: Ink(0.18, TEXT_COLOUR),
}
"""The plain line of each layer."""

PENS = {
    Pen.THIN: Ink(0.18, "#55524e"),
    Pen.DASHED: Ink(0.20, "#3d3a37", dashes=(2.0, 1.2)),
    Pen.CENTRE: Ink(0.18, "#55524e", dashes=(7.0, 1.2, 1.2, 1.2)),
    Pen.SEEN: Ink(0.25, "#2b2724"),
    Pen.CLAY: Ink(0.25, "#2b2724", fill="#cdbfb1"),
    Pen.WASTE: Ink(0.10, "#a5987f", fill="#efe6d6"),
}
"""The pens that look the same on every layer."""


def ink_of(layer: Layer, pen: Pen) -> Ink:
    """How a line of that layer and pen is drawn."""
    return EDGES[layer] if pen is Pen.EDGE else PENS[pen]


def straight(cubic: Floats) -> bool:
    """Whether a cubic, (4, 2) mm, is straight with its handles at thirds, so that a file may hold a line.

    A nanometre is a hundred thousandth of what the files must keep.
    """
    p, q = cubic[0], cubic[3]
    thirds = np.stack([p + (q - p) / 3, q - (q - p) / 3])
    return bool(np.abs(cubic[1:3] - thirds).max() < 1e-6)
