"""Every number of a piece, in every state, full precision. Rounding is for people and done elsewhere."""

from __future__ import annotations

import math
from dataclasses import asdict, dataclass, replace
from typing import Any

from .clay.states import State
from .geometry.section import volume_below
from .piece import Cast, Piece
from .settings import Settings
from .thickness import Place, thickest, thinnest
from .trimming import Trimming, trimming

FILL_LINE_MM = 12.0
"""The fill line lies this far under the rim, fired (common practice, no source)."""


@dataclass(frozen=True)
class Measure:
    """A finished piece or part in one state."""

    height_mm: float
    rim_diameter_mm: float
    widest_diameter_mm: float
    foot_diameter_mm: float
    clay_volume_cm3: float
    capacity_ml: float | None
    mass_g: float


@dataclass(frozen=True)
class ThrownMeasure:
    """A piece or part as thrown, wet; heights above the bat."""

    clay_volume_cm3: float
    mass_g: float
    floor_mm: float | None
    height_mm: float
    rim_diameter_mm: float
    base_diameter_mm: float
    inside_depth_mm: float | None


@dataclass(frozen=True)
class PartMeasures:
    """All numbers of one part.

    Attributes:
        states: the finished part in each state.
        fill_ml: fired, to the fill line; None where there is no floor or the part is shallower than it.
        surface_cm2: of the finished part, fired.
        centre_height_mm: of mass, fired.
        tips_at_deg: how far it leans before it falls, empty; degrees from upright.
        thinnest: of the finished part, fired.
        thickest: of the finished part, fired.
    """

    states: dict[State, Measure]
    thrown: ThrownMeasure
    trimming: Trimming
    ball_g: float
    weigh_out_g: float
    fill_ml: float | None
    surface_cm2: float
    centre_height_mm: float
    tips_at_deg: float
    thinnest: Place
    thickest: Place


def measured_part(piece: Piece, cast: Cast, settings: Settings) -> PartMeasures:
    """Measure one part."""
    outline, section = cast.section.outline, cast.section
    height, widest = outline.highest(1)[1], outline.highest(0)[1]
    volume = section.volume_mm3 / 1000
    cavity = volume_below(cast.cavity, height) / 1000 if cast.holds else None
    wet = _growth(piece, State.WET)
    states = {}
    for state in State:
        k_r, k_z = piece.scale(state)
        k = k_r**2 * k_z
        states[state] = Measure(
            height_mm=k_z * height,
            rim_diameter_mm=k_r * cast.shape.rim_diameter,
            widest_diameter_mm=k_r * 2 * widest,
            foot_diameter_mm=k_r * cast.shape.foot_diameter,
            clay_volume_cm3=k * volume,
            capacity_ml=None if cavity is None else k * cavity,
            mass_g=piece.body.mass_g(wet * volume, state),
        )
    thrown = _thrown(piece, cast)
    ball = thrown.mass_g / (1 - cast.asked.loss_percent / 100)
    fired_r, fired_z = piece.scale(State.FIRED)
    fired = section.mapped(fired_r, fired_z)
    level = fired_z * height - FILL_LINE_MM
    fill = None
    if cast.holds and level > fired_z * float(cast.shape.inside.start[1]):
        fill = volume_below(cast.cavity.mapped(fired_r, fired_z), level) / 1000
    return PartMeasures(
        states=states,
        thrown=thrown,
        trimming=trimming(piece, cast),
        ball_g=ball,
        weigh_out_g=weighed_out(ball, settings.scales_step_g),
        fill_ml=fill,
        surface_cm2=fired.surface_mm2 / 100,
        centre_height_mm=fired.centroid_height_mm,
        tips_at_deg=math.degrees(math.atan2(fired_r * cast.shape.stands_on, fired.centroid_height_mm)),
        thinnest=thinnest(cast.shape).mapped(fired_r, fired_z),
        thickest=thickest(cast.shape).mapped(fired_r, fired_z),
    )


def weighed_out(ball_g: float, step_g: float) -> float:
    """The ball rounded up to the step of the scales, g.

    >>> weighed_out(561.2, 10), weighed_out(560.0, 10)
    (570.0, 560.0)
    """
    return math.ceil(ball_g / step_g - 1e-9) * float(step_g)


def _growth(piece: Piece, state: State) -> float:
    k_r, k_z = piece.scale(state)
    return k_r**2 * k_z


def _thrown(piece: Piece, cast: Cast) -> ThrownMeasure:
    k_r, k_z = piece.scale(State.WET)
    volume = _growth(piece, State.WET) * cast.thrown.volume_mm3 / 1000
    floor = None if cast.open_foot else float(cast.shape.inside.start[1])
    top = cast.thrown.outline.highest(1)[1]
    return ThrownMeasure(
        clay_volume_cm3=volume,
        mass_g=piece.body.mass_g(volume, State.WET),
        floor_mm=None if floor is None else k_z * (floor - cast.bat),
        height_mm=k_z * (top - cast.bat),
        rim_diameter_mm=k_r * 2 * max(cast.thrown_rim.highest(0)[1], cast.shape.rim_diameter / 2),
        base_diameter_mm=k_r * 2 * float(cast.thrown_base.end[0]),
        inside_depth_mm=None if floor is None else k_z * (top - floor),
    )


def joined(piece: Piece, parts: tuple[PartMeasures, ...]) -> tuple[dict[State, Measure], ThrownMeasure, Trimming]:
    """The whole piece's numbers from its parts': its shape is that of what stands assembled, weights add up."""
    if len(parts) == 1:
        return parts[0].states, parts[0].thrown, parts[0].trimming
    casts = piece.parts
    by_lift = sorted(range(len(casts)), key=lambda index: casts[index].lift)
    lower = by_lift[0]
    # what is served in: the jar, or the dish on its stand
    main = next(index for index, cast in enumerate(casts) if cast.holds)
    top = max(cast.placed(cast.section.outline).highest(1)[1] for cast in casts)
    states = {}
    for state in State:
        at = [p.states[state] for p in parts]
        states[state] = Measure(
            height_mm=piece.scale(state)[1] * top,
            rim_diameter_mm=at[main].rim_diameter_mm,
            widest_diameter_mm=max(m.widest_diameter_mm for m in at),
            foot_diameter_mm=at[lower].foot_diameter_mm,
            clay_volume_cm3=sum(m.clay_volume_cm3 for m in at),
            capacity_ml=at[main].capacity_ml,
            mass_g=sum(m.mass_g for m in at),
        )
    if piece.whole is not None:
        return states, _thrown(piece, piece.whole), trimming(piece, piece.whole)
    thrown = [p.thrown for p in parts]
    whole = replace(
        thrown[main],
        clay_volume_cm3=sum(t.clay_volume_cm3 for t in thrown),
        mass_g=sum(t.mass_g for t in thrown),
    )
    cuts = [p.trimming for p in parts]
    cut = replace(
        cuts[main],
        removed_cm3=sum(c.removed_cm3 for c in cuts),
        removed_g=sum(c.removed_g for c in cuts),
        reclaim_g=sum(c.reclaim_g for c in cuts),
    )
    return states, whole, cut


@dataclass(frozen=True)
class Measures:
    """All numbers of a piece; `parts` has one entry per part, by name."""

    piece: Piece
    parts: dict[str, PartMeasures]
    states: dict[State, Measure]
    thrown: ThrownMeasure
    trimming: Trimming

    @property
    def ball_g(self) -> float:
        """Clay to weigh before throwing, all parts, g."""
        return sum(p.ball_g for p in self.parts.values())

    @property
    def weigh_out_g(self) -> float:
        """The same with each ball rounded up to the step of the scales, g."""
        return sum(p.weigh_out_g for p in self.parts.values())

    @property
    def main(self) -> PartMeasures:
        """The part that holds something, or the only one."""
        return next(iter(self.parts.values()))


def measured(piece: Piece, settings: Settings) -> Measures:
    """Measure a piece."""
    parts = {cast.name: measured_part(piece, cast, settings) for cast in piece.parts}
    return Measures(piece, parts, *joined(piece, tuple(parts.values())))


def as_json(measures: Measures) -> dict[str, Any]:
    """The numbers under the names of the contract, full precision."""
    design = measures.piece.design
    made: dict[str, Any] = {
        "title": design.title,
        "form": design.form.kind,
        "clay": measures.piece.body.name,
        "sized": str(design.head.sized),
        "digest": design.digest,
        **_figures(measures.states, measures.thrown, measures.trimming, measures.ball_g, measures.weigh_out_g),
    }
    if len(measures.parts) == 1:
        made |= _more(measures.main)
    else:
        made["parts"] = {
            name: _figures(p.states, p.thrown, p.trimming, p.ball_g, p.weigh_out_g) | _more(p)
            for name, p in measures.parts.items()
        }
    return made


def _figures(
    states: dict[State, Measure], thrown: ThrownMeasure, cut: Trimming, ball: float, weighed: float
) -> dict[str, Any]:
    return {
        "states": {str(state): asdict(m) for state, m in states.items()},
        "thrown": asdict(thrown),
        "trimming": asdict(cut),
        "ball_g": ball,
        "weigh_out_g": weighed,
    }


def _more(part: PartMeasures) -> dict[str, Any]:
    return {
        "fill_ml": part.fill_ml,
        "surface_cm2": part.surface_cm2,
        "centre_height_mm": part.centre_height_mm,
        "tips_at_deg": part.tips_at_deg,
        "thinnest": asdict(part.thinnest),
        "thickest": asdict(part.thickest),
    }
