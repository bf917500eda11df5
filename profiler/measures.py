"""Every number of a piece, in every state, full precision. Rounding is for people and done elsewhere."""

from __future__ import annotations

import math
from dataclasses import dataclass, fields, replace

from .clay.states import State
from .faults import Fault, Faults
from .food_class import FoodClass, FoodClasses
from .geometry.section import volume_below
from .lidded import LidMeasures, lid_measures, standing
from .lids.sizes import Extra
from .piece import Cast, Piece
from .settings import Settings
from .spooned import SpoonMeasures, spoon_measures
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
class FinishedPart:
    """All numbers of one finished part.

    Attributes:
        states: the part in each state, with what is stuck on it in its weight, less the notch.
        fill_ml: fired, to the fill line; None where there is no floor or the part is shallower than it.
        fill_line_mm: how far under the rim that line is, fired; a notch in the jar lowers it.
        surface_cm2: of the finished part, fired.
        centre_height_mm: of mass, fired.
        tips_at_deg: how far it leans before it falls, empty; degrees from upright.
        thinnest: of the finished part, fired.
        thickest: of the finished part, fired.
    """

    states: dict[State, Measure]
    fill_ml: float | None
    fill_line_mm: float
    surface_cm2: float
    centre_height_mm: float
    tips_at_deg: float
    thinnest: Place
    thickest: Place


@dataclass(frozen=True)
class PartMeasures(FinishedPart):
    """All numbers of a part that is thrown by itself, from a ball of its own."""

    thrown: ThrownMeasure
    trimming: Trimming
    ball_g: float
    weigh_out_g: float


def finished_part(piece: Piece, cast: Cast, spoon: SpoonMeasures | None = None) -> FinishedPart:
    """Measure one finished part.

    Args:
        piece: it belongs to.
        cast: the part.
        spoon: with its notch, which takes clay off the part and lowers where a jar overflows.
    """
    outline, section = cast.section.outline, cast.section
    height, widest = outline.highest(1)[1], outline.highest(0)[1]
    fired_r, fired_z = cast.scale(State.FIRED)
    notch = spoon.jar_notch_mm if spoon is not None and cast.holds else 0.0
    volume = section.volume_mm3 / 1000 - _notched_cm3(cast, spoon) / (fired_r**2 * fired_z)
    cavity = volume_below(cast.cavity, height - notch / fired_z) / 1000 if cast.holds else None
    wet = _growth(cast, State.WET)
    stuck_on = sum(extra.weight_g for extra in extras_on(piece, cast)) / piece.body.mass_g(1.0, State.WET)
    states = {}
    for state in State:
        k_r, k_z = cast.scale(state)
        k = k_r**2 * k_z
        states[state] = Measure(
            height_mm=k_z * height,
            rim_diameter_mm=k_r * cast.shape.rim_diameter,
            widest_diameter_mm=k_r * 2 * widest,
            foot_diameter_mm=k_r * cast.shape.foot_diameter,
            clay_volume_cm3=k * volume,
            capacity_ml=None if cavity is None else k * cavity,
            mass_g=cast.body.mass_g(wet * volume, state) + piece.body.mass_g(stuck_on, state),
        )
    fired = section.mapped(fired_r, fired_z)
    line = max(_fill_line(piece), notch)
    level = fired_z * height - line
    fill = None
    if cast.holds and level > fired_z * float(cast.shape.inside.start[1]):
        fill = volume_below(cast.cavity.mapped(fired_r, fired_z), level) / 1000
    return FinishedPart(
        states=states,
        fill_ml=fill,
        fill_line_mm=line,
        surface_cm2=fired.surface_mm2 / 100,
        centre_height_mm=fired.centroid_height_mm,
        tips_at_deg=math.degrees(math.atan2(fired_r * cast.shape.stands_on, fired.centroid_height_mm)),
        thinnest=thinnest(cast.shape).mapped(fired_r, fired_z),
        thickest=thickest(cast.shape).mapped(fired_r, fired_z),
    )


def measured_part(cast: Cast, finished: FinishedPart, settings: Settings) -> PartMeasures:
    """What a part takes to throw and trim, beside what it is when it is finished."""
    thrown = _thrown(cast)
    ball = thrown.mass_g / (1 - cast.asked.loss_percent / 100)
    return PartMeasures(
        **{field.name: getattr(finished, field.name) for field in fields(finished)},
        thrown=thrown,
        trimming=trimming(cast),
        ball_g=ball,
        weigh_out_g=weighed_out(ball, settings.scales_step_g),
    )


def _notched_cm3(cast: Cast, spoon: SpoonMeasures | None) -> float:
    """Clay the notch takes off a part, fired."""
    if spoon is None:
        return 0.0
    return spoon.jar_taken_cm3 if cast.holds else spoon.lid_taken_cm3 if cast.name == "lid" else 0.0


def extras_on(piece: Piece, cast: Cast) -> list[Extra]:
    """What is stuck on a part: on the lid, or else on what holds something."""
    on_lid = cast.name == "lid"
    main = on_lid or cast is piece.parts[_main(piece)]
    return [extra for extra in piece.design.head.extras if main and (extra.on == "lid") == on_lid]


def _main(piece: Piece) -> int:
    """Which part is served in: the jar, the dish on its stand, or the only one."""
    return next((index for index, cast in enumerate(piece.parts) if cast.holds), 0)


def _fill_line(piece: Piece) -> float:
    """How far under the rim she fills it, mm fired."""
    lid = piece.design.head.lid
    if lid is None or lid.fill_line is None:
        return FILL_LINE_MM
    return piece.scale(State.FIRED)[1] * lid.fill_line


def weighed_out(ball_g: float, step_g: float) -> float:
    """The ball rounded up to the step of the scales, g.

    >>> weighed_out(561.2, 10), weighed_out(560.0, 10)
    (570.0, 560.0)
    """
    return math.ceil(ball_g / step_g - 1e-9) * float(step_g)


def _growth(cast: Cast, state: State) -> float:
    k_r, k_z = cast.scale(state)
    return k_r**2 * k_z


def _thrown(cast: Cast) -> ThrownMeasure:
    k_r, k_z = cast.scale(State.WET)
    volume = _growth(cast, State.WET) * cast.thrown.volume_mm3 / 1000
    floor = None if cast.open_foot or cast.shape.solid else float(cast.shape.inside.start[1])
    top = cast.thrown.outline.highest(1)[1]
    return ThrownMeasure(
        clay_volume_cm3=volume,
        mass_g=cast.body.mass_g(volume, State.WET),
        floor_mm=None if floor is None else k_z * (floor - cast.bat),
        height_mm=k_z * (top - cast.bat),
        rim_diameter_mm=k_r * 2 * max(cast.thrown_rim.highest(0)[1], cast.shape.rim_diameter / 2),
        base_diameter_mm=k_r * 2 * float(cast.thrown_base.end[0]),
        inside_depth_mm=None if floor is None or cast.shape.closes else k_z * (top - floor),
    )


def joined(piece: Piece, parts: tuple[FinishedPart, ...]) -> dict[State, Measure]:
    """The whole piece in each state: its shape is that of what stands assembled, weights add up."""
    casts = piece.parts
    by_lift = sorted(range(len(casts)), key=lambda index: casts[index].lift)
    lower = by_lift[0]
    main = _main(piece)
    states = {}
    for state in State:
        at = [p.states[state] for p in parts]
        states[state] = Measure(
            height_mm=max(top_mm(piece, cast, state) for cast in casts),
            rim_diameter_mm=at[main].rim_diameter_mm,
            widest_diameter_mm=max(m.widest_diameter_mm for m in at),
            foot_diameter_mm=at[lower].foot_diameter_mm,
            clay_volume_cm3=sum(m.clay_volume_cm3 for m in at),
            capacity_ml=at[main].capacity_ml,
            mass_g=sum(m.mass_g for m in at),
        )
    return states


def top_mm(piece: Piece, cast: Cast, state: State) -> float:
    """How high a part reaches where it stands, with what is stuck on top of it, mm."""
    extra = max((extra.height for extra in extras_on(piece, cast)), default=0.0)
    return standing(piece, cast, state).outline.highest(1)[1] + piece.scale(state)[1] * extra


def _from_balls(parts: tuple[PartMeasures, ...], main: int) -> tuple[ThrownMeasure, Trimming]:
    """Throwing and trimming of the whole piece: sizes of its main part, clay of all."""
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
    return whole, cut


@dataclass(frozen=True)
class Measures:
    """All numbers of a piece.

    Attributes:
        piece: that was measured.
        parts: each finished part, by name; one that is thrown by itself with its ball's numbers, as in `balls`.
        balls: what is thrown from one ball each, by name: the parts, or the closed form that a lid is cut from,
            under an empty name.
        states: the whole, assembled and closed.
        thrown: all of it, with the sizes of the part that holds something.
        trimming: likewise.
        lid: None without a lid.
        spoon: None without a spoon.
        food: None for what holds nothing.
    """

    piece: Piece
    parts: dict[str, FinishedPart]
    balls: dict[str, PartMeasures]
    states: dict[State, Measure]
    thrown: ThrownMeasure
    trimming: Trimming
    lid: LidMeasures | None = None
    spoon: SpoonMeasures | None = None
    food: FoodClasses | None = None

    @property
    def ball_g(self) -> float:
        """Clay to weigh before throwing, all parts, g."""
        return sum(p.ball_g for p in self.balls.values())

    @property
    def weigh_out_g(self) -> float:
        """The same with each ball rounded up to the step of the scales, g."""
        return sum(p.weigh_out_g for p in self.balls.values())

    @property
    def main(self) -> FinishedPart:
        """The part that holds something, or the only one."""
        return self.parts[self.piece.parts[_main(self.piece)].name]


def measured(piece: Piece, settings: Settings) -> Measures:
    """Measure a piece.

    Raises:
        Fault, Faults: a spoon, notch or extra that does not go with the rest, with file, line and field.
    """
    text = piece.design.text
    try:
        return _measured(piece, settings)
    except Faults as several:
        raise Faults([text.fault(fault) for fault in several.faults]) from several
    except Fault as fault:
        raise text.fault(fault) from fault


def _measured(piece: Piece, settings: Settings) -> Measures:
    if piece.pair is None and any(extra.on == "lid" for extra in piece.design.head.extras):
        raise Fault("something stuck on a lid that is not there", 'on = "lid"', 'on = "piece"', "extras")
    spoon = spoon_measures(piece, settings)
    parts = {cast.name: finished_part(piece, cast, spoon) for cast in piece.parts}
    if piece.whole is None:
        balls = {cast.name: measured_part(cast, parts[cast.name], settings) for cast in piece.parts}
        parts |= balls
    else:
        balls = {"": measured_part(piece.whole, finished_part(piece, piece.whole), settings)}
    thrown, trimmed = _from_balls(tuple(balls.values()), 0 if piece.whole is not None else _main(piece))
    return Measures(
        piece=piece,
        parts=parts,
        balls=balls,
        states=joined(piece, tuple(parts.values())),
        thrown=thrown,
        trimming=trimmed,
        lid=lid_measures(piece),
        spoon=spoon,
        food=_food(piece, parts, spoon),
    )


def _food(piece: Piece, parts: dict[str, FinishedPart], spoon: SpoonMeasures | None) -> FoodClasses | None:
    cast = next((cast for cast in piece.parts if cast.holds), None)
    if cast is None:
        return None
    holds = parts[cast.name].states[State.FIRED].capacity_ml or 0.0
    inside = cast.cavity.mapped(*cast.scale(State.FIRED))
    deep = inside.highest(1)[1] - inside.lowest(1)[1]
    if spoon is None:
        same = FoodClass(deep, holds)
        return FoodClasses(same, same)
    return FoodClasses(FoodClass(deep - spoon.jar_notch_mm, holds), FoodClass(deep, spoon.capacity_unnotched_ml))
