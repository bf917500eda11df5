"""Every template of many pots, laid against the clay it is held to."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache, cached_property
from pathlib import Path

import numpy as np
import pytest
import shapely
from shapely.geometry import LineString, Polygon, box
from shapely.geometry.base import BaseGeometry

from profiler.clay.states import State
from profiler.design.model import design_of
from profiler.design.toml_text import TomlText
from profiler.geometry.curve import Curve, Floats
from profiler.piece import Cast, Piece, piece_of
from profiler.sheets.extent import box_of_words
from profiler.templates.drawing import Drawing, Layer, Words
from profiler.templates.inside_rib import inside_rib
from profiler.templates.inside_stick import inside_stick
from profiler.templates.outside_rib import outside_rib
from profiler.templates.pointer_card import pointer_card
from profiler.templates.tombo import tombo
from profiler.templates.trimming_gauge import trimming_gauge
from profiler.templates.turning_stick import turning_stick
from tests.pieces import DEMO_DESIGNS, demo_piece

PER_CUBIC = 200
"""Sampling a cubic at so many places leaves chords less than 1e-3 mm off it at these radii."""
CLOSE_MM = 0.01
"""DESIGN section 9 asks this of a profile; a tenth of what a potter can see."""

Draw = Callable[[Piece, Cast], Drawing | None]

FOLLOWING: dict[str, Draw] = {
    "inside_rib": inside_rib,
    "inside_stick": inside_stick,
    "outside_rib": outside_rib,
    "trimming_gauge": trimming_gauge,
    "turning_stick": turning_stick,
}
"""Tools whose edge is a run of the section itself."""

SETTING: dict[str, Draw] = {"pointer_card": pointer_card, "tombo": tombo}
"""Tools that touch the clay at a few places."""

DESIGNS = {
    "bowl": '[form]\nkind="bowl"\nrim_diameter=155\nheight=68\n',
    "wide bowl": '[form]\nkind="bowl"\nrim_diameter=300\nheight=120\n',
    "small bowl": '[form]\nkind="bowl"\nrim_diameter=90\nheight=40\n',
    "flat recess": '[form]\nkind="bowl"\nrim_diameter=155\nheight=68\n[foot_ring]\nrecess="flat"\n',
    "plate": '[form]\nkind="plate"\nrim_diameter=265\nheight=25\n',
    "two rings": '[form]\nkind="plate"\nrim_diameter=265\nheight=25\n'
    "[foot_ring]\nouter_diameter=158\ninner_diameter=60\n",
    "button": '[form]\nkind="plate"\nrim_diameter=265\nheight=25\n'
    "[foot_ring]\nouter_diameter=158\ninner_diameter=20\ninner_width=10\n",
    "cylinder": '[form]\nkind="cylinder"\nrim_diameter=82\nheight=95\n',
    "low beaker": '[form]\nkind="cylinder"\nrim_diameter=115\nheight=47\nbase_diameter=74\n',
    "ringed beaker": '[form]\nkind="cylinder"\nrim_diameter=100\nheight=90\n'
    "[foot_ring]\nouter_diameter=70\ndepth=5\n",
    "jar": '[form]\nkind="jar"\nbelly_diameter=110\nrim_diameter=85\nheight=115\n',
    "flask": '[form]\nkind="jar"\nbelly_diameter=150\nrim_diameter=80\nheight=220\n',
    "stand": '[form]\nkind="stand"\nrim_diameter=220\nheight=110\n[thrown]\nblend_height=18\n',
    "points": '[form]\nkind="points"\noutside=[[40,0],[60,25],[70,60],[74,90]]\n'
    "[foot_ring]\ndepth=5\n[floor]\nthickness=5\n[thrown]\nbase_diameter=96\nblend_height=20\n",
    "smooth points": '[form]\nkind="points"\ncurve="smooth"\noutside=[[35,0],[48,30],[50,60],[46,95],[50,110]]\n',
    "thicker": '[form]\nkind="points"\noutside=[[40,0],[44,90]]\n'
    "[thrown]\nbase_diameter=90\nblend_height=20\nextra_wall=1.5\n",
    "cone": '[form]\nkind="points"\noutside=[[20,0],[80,57]]\ninside=[[0,6],[51,38]]\n',
    "tight inner ring": '[form]\nkind="bowl"\nrim_diameter=153\nheight=110\n'
    "[foot_ring]\nouter_diameter=69\ninner_diameter=24.7\ninner_width=8.5\n",
    "two shrinkages": 'clay="body.toml"\n[form]\nkind="bowl"\nrim_diameter=155\nheight=68\n',
    "leather": 'sized="leather_hard"\n[form]\nkind="bowl"\nrim_diameter=155\nheight=68\n',
    "beaker of points": '[form]\nkind="points"\noutside=[[35,0],[38,60],[40,80]]\n',
    "belly": '[form]\nkind="points"\noutside=[[60,0],[104,60],[45,120],[46,130]]\n',
    "bottle": '[form]\nkind="points"\ncurve="smooth"\noutside=[[40,0],[60,40],[52,80],[35,110],[38,125]]\n',
    "closed": '[form]\nkind="closed"\nbelly_diameter=90\nheight=95\n',
    "cut": '[form]\nkind="closed"\nbelly_diameter=84\nheight=92\nshoulder=0.7\n[lid]\nkind="cut"\nheight=66\n',
    "cut, ring, knob": '[form]\nkind="closed"\nbelly_diameter=140\nheight=130\nshoulder=0.8\n[foot_ring]\ndepth=5\n'
    '[lid]\nkind="cut"\nheight=95\nslope="inward_up"\nknob={diameter=24, height=16}\n',
    "gallery": '[form]\nkind="jar"\nbelly_diameter=100\nrim_diameter=95\nheight=110\n'
    '[lid]\nkind="gallery"\nledge_width=6\nknob={diameter=20, height=14}\n',
    "gallery, upright": 'clay="body.toml"\n[form]\nkind="cylinder"\nrim_diameter=120\nheight=90\n'
    '[lid]\nkind="gallery"\nledge_width=8\nthrown="right_way_up"\nknob={diameter=26, height=16}\n',
    "flange": '[form]\nkind="cylinder"\nrim_diameter=220\nheight=200\n'
    '[lid]\nkind="flange"\nrise=25\ncollar_depth=12\nknob={diameter=40, height=24}\n',
    "flange, upright": '[form]\nkind="cylinder"\nrim_diameter=110\nheight=70\n'
    '[lid]\nkind="flange"\nthrown="right_way_up"\nrise=14\nknob={diameter=26, height=16}\n',
    "cap": '[form]\nkind="jar"\nbelly_diameter=96\nrim_diameter=62\nneck_diameter=62\nheight=112\n'
    '[thrown]\nextra_wall=1\n[lid]\nkind="cap"\n',
    "cap of two clays": 'clay="porcelain"\n[form]\nkind="jar"\nbelly_diameter=130\nrim_diameter=90\n'
    'neck_diameter=90\nheight=130\n[lid]\nkind="cap"\nclay="body.toml"\nclearance=3\nfired="apart"\n',
    "egg cup": '[form]\nkind="points"\noutside=[[16,0],[20,50]]\n',
}
"""Invented sizes."""

# Invented: a body that shrinks differently along the axis, so that a mixed-up scale shows.
BODY = """name = "Hut clay"
[shrinkage]
leather_hard = 4
bone_dry = 6
bisque = 6.5
fired = 12
[shrinkage_height]
leather_hard = 6
bone_dry = 9
bisque = 9.5
fired = 15
[density]
plastic = 1.95
[weight]
water = 21
loss_on_ignition = 6
"""


def pieces(folder: Path) -> dict[str, Piece]:
    """The invented pots and those of the demo; the clay body goes into the folder."""
    (folder / "body.toml").write_text(BODY)
    made = {path.stem: demo_piece(path) for path in DEMO_DESIGNS}
    for name, text in DESIGNS.items():
        path, whole = folder / f"{name}.toml", f'title="Hut {name}"\n{text}'
        made[name] = piece_of(design_of(TomlText(path, tomllib.loads(whole), {})))
    return made


@dataclass(frozen=True, eq=False)
class Held:
    """A drawing and the clay it is held against."""

    drawing: Drawing
    kind: str
    piece: Piece
    cast: Cast

    @property
    def name(self) -> str:
        """What a failing test prints."""
        return f"{self.drawing.title} ({self.kind})"

    @property
    def state(self) -> State:
        """Two tools are used leather-hard, the others wet (DESIGN section 8)."""
        return State.LEATHER_HARD if self.kind in ("trimming_gauge", "turning_stick") else State.WET

    def laid(self, curve: Curve) -> Curve:
        """A curve of the piece where the clay is when the tool is held to it."""
        k_r, k_z = self.cast.scale(self.state)
        if self.kind == "trimming_gauge":
            return curve.mapped(k_r, -k_z)
        if self.kind == "turning_stick":
            return curve.mapped(k_r, -k_z).moved(0.0, k_z * self.cast.shape.rim.highest(1)[1])
        return curve.mapped(k_r, k_z)

    @cached_property
    def clay(self) -> BaseGeometry:
        """Both halves of the section: a tool that reaches past the axis meets the other one too."""
        section = self.cast.thrown if self.state is State.WET else self.cast.section
        points = self.laid(section.outline).sampled(PER_CUBIC)
        halves = [Polygon(points).buffer(0), Polygon(points * [-1, 1]).buffer(0)]
        whole = shapely.union_all(halves)
        assert whole.area == pytest.approx(2 * halves[0].area, rel=1e-6)  # nothing lost in the repair
        return whole

    @property
    def body(self) -> Polygon:
        """The tool without its holes."""
        return body_of(self.drawing)

    @property
    def said(self) -> str:
        """All its words."""
        return " ".join(w.text for w in self.drawing.words)


def held(pieces: dict[str, Piece], tools: dict[str, Draw]) -> list[Held]:
    """Every drawing that some tools make of some pieces."""
    return [
        Held(drawing, kind, piece, cast)
        for piece in pieces.values()
        for cast in piece.thrown
        for kind, draw in tools.items()
        if (drawing := draw(piece, cast)) is not None
    ]


@cache
def body_of(drawing: Drawing) -> Polygon:
    return Polygon(np.concatenate([part(drawing, "profile"), part(drawing, "outline")[1:-1]]))


def part(drawing: Drawing, name: str) -> Floats:
    """Places of the one line with this name."""
    found = [line for line in drawing.lines if line.id == name]
    assert len(found) == 1
    return found[0].curve.sampled(PER_CUBIC)


def holes(drawing: Drawing) -> list[Polygon]:
    return [Polygon(curve.sampled(PER_CUBIC)) for curve in drawing.holes]


def marks(drawing: Drawing) -> list[LineString]:
    return [LineString(line.curve.sampled(20)) for line in drawing.lines if line.layer is Layer.MARK]


def box_round(words: Words) -> Polygon:
    return box(*box_of_words(words))


def check_words(drawing: Drawing) -> None:
    """Words stay on the body, off holes, marks and each other."""
    body, texts = body_of(drawing), [box_round(w) for w in drawing.words]
    for i, text in enumerate(texts):
        what = (drawing.title, drawing.words[i].text)
        assert body.contains(text), what
        assert not any(text.intersects(hole) for hole in holes(drawing)), what
        assert not any(text.intersects(mark) for mark in marks(drawing)), what
        # not even the full heights of the face meet: what is left is the rounding of the boxes
        assert all(text.intersection(other).area < 1e-6 for other in texts[i + 1 :]), what
