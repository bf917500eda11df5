"""What one millimetre of a size, or one point of shrinkage, does to the numbers: the design made anew with it."""

from __future__ import annotations

from collections.abc import Callable
from copy import deepcopy
from dataclasses import asdict, dataclass, replace
from functools import partial
from typing import Any

from .clay.body import Body, Shrinkage
from .clay.states import State
from .design.model import Design, design_of, resolved
from .design.toml_text import TomlText
from .faults import Fault, Faults
from .geometry.tolerance import JOIN_MM
from .measures import Measures, measured
from .piece import piece_of
from .settings import Settings

STEP_MM = 1.0
"""Fired."""

STEP_POINTS = 1.0
"""Of the fired shrinkage."""


@dataclass(frozen=True)
class Numbers:
    """The numbers that are looked at, of a whole piece; or by how much they move.

    Attributes:
        ball_g: clay to weigh, all parts, before it is rounded to the scales.
        fired_g: without glaze.
        capacity_ml: fired, brimful; None for what holds nothing.
        trimmed_g: what is turned off all parts, leather-hard.
        thrown_height_mm: of the part that holds something, wet, above the bat.
        thrown_across_mm: its rim, wet; of a closed form its widest place.
    """

    ball_g: float
    fired_g: float
    capacity_ml: float | None
    trimmed_g: float
    thrown_height_mm: float
    thrown_across_mm: float

    def less(self, other: Numbers) -> Numbers:
        """By how much these are more than others."""
        both = self.capacity_ml, other.capacity_ml
        return Numbers(
            ball_g=self.ball_g - other.ball_g,
            fired_g=self.fired_g - other.fired_g,
            capacity_ml=None if both[0] is None or both[1] is None else both[0] - both[1],
            trimmed_g=self.trimmed_g - other.trimmed_g,
            thrown_height_mm=self.thrown_height_mm - other.thrown_height_mm,
            thrown_across_mm=self.thrown_across_mm - other.thrown_across_mm,
        )

    @property
    def still(self) -> bool:
        """Whether nothing moves at all."""
        return not any(asdict(self).values())


@dataclass(frozen=True)
class Change:
    """One size changed.

    Attributes:
        name: of the size, for other programs.
        words: what is done to it.
        moves: by how much each number moves; None where the change cannot be made, or the design has no such size.
    """

    name: str
    words: str
    moves: Numbers | None


@dataclass(frozen=True)
class WhatIf:
    """A piece as it is designed, and what each change does to it."""

    designed: Numbers
    changes: tuple[Change, ...]

    @property
    def json(self) -> dict[str, Any]:
        """The moves of each change under its name, full precision."""
        return {
            "step": {"mm_fired": STEP_MM, "points_of_fired_shrinkage": STEP_POINTS},
            "designed": asdict(self.designed),
            "changes": {
                change.name: None if change.moves is None else asdict(change.moves) for change in self.changes
            },
        }


def what_if(measures: Measures, settings: Settings) -> WhatIf:
    """What a thicker wall or floor, a deeper foot, a wider rim, and a clay that shrinks more do to a piece.

    Every change is the design made anew with that size alone changed, as if it stood so in the file: nothing is taken
    as straight. A design given in fired sizes stays as large when its clay shrinks more, and is thrown larger.
    """
    design = measures.piece.design
    designed = _numbers(measures)
    widest, wider = _wider(design)
    wanted: list[tuple[str, str, Callable[[], Design | None]]] = [
        ("wall", f"wall {STEP_MM:g} mm thicker", partial(_thicker, design)),
        ("floor", f"floor {STEP_MM:g} mm thicker", partial(_thicker_floor, design)),
        ("foot_depth", f"foot {STEP_MM:g} mm deeper", partial(_deeper, design)),
        ("width", f"{widest} {STEP_MM:g} mm wider", wider),
        ("shrinkage", f"clay shrinks {STEP_POINTS:g} point more", partial(_shrinking_more, design)),
    ]
    return WhatIf(
        designed, tuple(Change(name, words, _moves(make, designed, settings)) for name, words, make in wanted)
    )


def _numbers(measures: Measures) -> Numbers:
    piece, thrown = measures.piece, measures.thrown
    fired, across = measures.states[State.FIRED], thrown.rim_diameter_mm
    if piece.thrown[0].shape.closes:
        across = max(measures.balls[""].states[State.WET].widest_diameter_mm, thrown.base_diameter_mm)
    return Numbers(
        ball_g=measures.ball_g,
        fired_g=fired.mass_g,
        capacity_ml=fired.capacity_ml,
        trimmed_g=measures.trimming.removed_g,
        thrown_height_mm=thrown.height_mm,
        thrown_across_mm=across,
    )


def _moves(make: Callable[[], Design | None], designed: Numbers, settings: Settings) -> Numbers | None:
    try:
        design = make()
        if design is None:
            return None
        moves = _numbers(measured(piece_of(design), settings)).less(designed)
    except (Fault, Faults):  # a size that leaves no room for another
        return None
    return None if moves.still else moves


def _steps(design: Design) -> tuple[float, float]:
    """A fired millimetre across and up, in the state the design is sized in."""
    k_r, k_z = design.body.scale(State.FIRED, design.head.sized)
    return STEP_MM * k_r, STEP_MM * k_z


def _with(design: Design, **tables: dict[str, Any]) -> Design:
    """The design as if these keys of its tables stood so in its file, mm of the sized state."""
    data = deepcopy(design.text.data)
    for table, keys in tables.items():
        data[table] = data.get(table, {}) | keys
    return design_of(TomlText(design.text.path, data, design.text.lines))


def _length(length_mm: float) -> str:
    """As a file may have it whatever its units."""
    return f"{length_mm:.12f} mm"


def _thicker(design: Design) -> Design:
    step = _steps(design)[0]
    asked = design.asked
    return _with(design, wall={"rim": _length(asked.rim_wall + step), "foot": _length(asked.foot_wall + step)})


def _thicker_floor(design: Design) -> Design:
    return _with(design, floor={"thickness": _length(design.asked.floor + _steps(design)[1])})


def _deeper(design: Design) -> Design | None:
    depth = design.asked.ring.depth
    return _with(design, foot_ring={"depth": _length(depth + _steps(design)[1])}) if depth else None


def _wider(design: Design) -> tuple[str, Callable[[], Design | None]]:
    """What is wider, the rim or of a closed form the belly, and how that is done."""
    for key, words in (("rim_diameter", "rim"), ("belly_diameter", "belly")):
        if hasattr(design.sizes, key):
            return words, partial(_wider_by_size, design, key)
    return "rim", partial(_wider_by_points, design)


def _wider_by_size(design: Design, key: str) -> Design:
    diameter: float = getattr(design.sizes, key)
    return _with(design, form={key: _length(diameter + _steps(design)[0])})


def _wider_by_points(design: Design) -> Design | None:
    """The last point of outside and inside moved out; None for points that close over the axis."""
    sides = {side: points for side in ("outside", "inside") if (points := getattr(design.sizes, side))}
    if any(points[-1][0] < JOIN_MM for points in sides.values()):
        return None
    out = _steps(design)[0] / 2
    moved = {side: [*points[:-1], (points[-1][0] + out, points[-1][1])] for side, points in sides.items()}
    return _with(design, form={side: _points(points) for side, points in moved.items()})


def _points(points: list[tuple[float, float]]) -> list[list[str]]:
    return [[_length(r), _length(z)] for r, z in points]


def _shrinking_more(design: Design) -> Design:
    body, lid_body = _more(design.body), _more(design.lid_body)
    asked = resolved(design.head, design.form, design.sizes, body)
    return replace(design, body=body, lid_body=lid_body, asked=asked)


def _more(body: Body) -> Body:
    def more(shrinkage: Shrinkage) -> Shrinkage:
        return replace(shrinkage, fired=shrinkage.fired + STEP_POINTS / 100)

    height = None if body.shrinkage_height is None else more(body.shrinkage_height)
    return replace(body, shrinkage=more(body.shrinkage), shrinkage_height=height)
