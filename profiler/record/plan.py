"""What is planned of everything that can be noted of one design."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from difflib import get_close_matches

from ..clay.body import Body
from ..clay.states import State
from ..faults import Fault
from ..measures import FinishedPart, Measures, PartMeasures
from ..piece import Cast
from .quantity import UPRIGHT, Quantity

_CLOSED_MM = 1.0
"""A rim under this is no rim: the form closes over the axis."""
_SAME = 1e-3
"""Lengths of the same clay agree to this once shrinkage is taken out; with a skim of 1 mm on 100 they do not."""


@dataclass(frozen=True)
class Planned:
    """One planned figure.

    Attributes:
        quantity: what it is of.
        value: in the quantity's unit.
        body: the clay it is made of.
        plastic_mm: for a length, what it is before it shrinks; None where the clay there is turned off later, or
            where it is no length.
    """

    quantity: Quantity
    value: float
    body: Body
    plastic_mm: float | None = None

    @property
    def upright(self) -> bool:
        """Whether it lies along the axis."""
        return self.quantity.what in UPRIGHT

    def same_clay(self, other: Planned) -> bool:
        """Whether two lengths end on the same clay, each in its state: then their ratio tells of shrinkage."""
        if self.plastic_mm is None or other.plastic_mm is None:
            return False
        return abs(self.plastic_mm - other.plastic_mm) <= _SAME * other.plastic_mm


Plan = Mapping[str, Planned]
"""Planned figures by the key of their quantity."""


def plan_of(measures: Measures) -> dict[str, Planned]:
    """All that can be noted of a piece, in the order it is made."""
    found = [*_thrown(measures)]
    several = len(measures.parts) > 1
    for state in list(State)[1:]:
        if several:
            found += _whole(measures, state)
        for cast in measures.piece.parts:
            found += _finished(cast, measures.parts[cast.name], state)
    return {planned.quantity.key: planned for planned in found}


def planned_for(plan: Plan, quantity: Quantity) -> Planned:
    """What is planned of one quantity.

    Args:
        plan: of the piece.
        quantity: to look up.

    Raises:
        Fault: the piece has no such thing.
    """
    key = quantity.key
    if key in plan:
        return plan[key]
    alike = [name for name in plan if name.rpartition(".")[2] == key.rpartition(".")[2]]
    near = alike or get_close_matches(key, plan, n=3)
    wanted = " or ".join(f"`{name}`" for name in near) or "one of those that `profiler note` lists without a figure"
    raise Fault("this piece has no such measure", f"`{key}`", wanted)


def _thrown(measures: Measures) -> Iterator[Planned]:
    """Weights at the wheel, and sizes as thrown, of each ball."""
    casts = measures.piece.thrown
    for cast, (name, ball) in zip(casts, measures.balls.items(), strict=True):
        body = cast.body

        def of(what: str, value: float, state: State | None = None, part: str = name, body: Body = body) -> Planned:
            return Planned(Quantity(what, state, part), value, body)

        yield of("ball", ball.weigh_out_g)
        yield of("thrown", ball.thrown.mass_g)
        trimmed = ball.trimming.removed_cm3 > 1e-6
        if trimmed:
            yield of("trimmed", ball.trimming.removed_g)
        for what, size in _sizes_thrown(cast, ball, lid=name == "lid"):
            turned_off = trimmed and what in ("foot", "floor")
            yield Planned(Quantity(what, State.WET, name), size, body, None if turned_off else size)


def _sizes_thrown(cast: Cast, ball: PartMeasures, *, lid: bool) -> Iterator[tuple[str, float]]:
    thrown, k_r = ball.thrown, cast.scale(State.WET)[0]
    yield "height", thrown.height_mm
    if not lid and thrown.rim_diameter_mm > _CLOSED_MM:
        yield "rim", thrown.rim_diameter_mm
    yield "widest", k_r * 2 * float(cast.thrown.outline.highest(0)[1])
    if not lid:
        yield "foot", thrown.base_diameter_mm
    if thrown.inside_depth_mm is not None:
        yield "depth", thrown.inside_depth_mm
    if thrown.floor_mm is not None:
        yield "floor", thrown.floor_mm


def _whole(measures: Measures, state: State) -> Iterator[Planned]:
    """The piece as it stands closed or joined; its parts have their own figures."""
    at, design = measures.states[state], measures.piece.design
    k_r, k_z = design.body.scale(state, State.WET)
    of_one = design.body == design.lid_body
    yield Planned(Quantity("weight", state), at.mass_g, design.body)
    for what, size, k in (("height", at.height_mm, k_z), ("widest", at.widest_diameter_mm, k_r)):
        yield Planned(Quantity(what, state), size, design.body, k * size if of_one else None)


def _finished(cast: Cast, part: FinishedPart, state: State) -> Iterator[Planned]:
    """A finished part in a state from leather-hard on."""
    at, (k_r, k_z) = part.states[state], cast.scale(state)
    wet_r, wet_z = (wet / now for wet, now in zip(cast.scale(State.WET), (k_r, k_z), strict=True))
    inside = float(cast.shape.inside.start[1])
    lid = cast.name == "lid"
    sizes = [("height", at.height_mm), ("widest", at.widest_diameter_mm)]
    if not lid:
        sizes.append(("foot", at.foot_diameter_mm))
        if at.rim_diameter_mm > _CLOSED_MM:
            sizes.append(("rim", at.rim_diameter_mm))
    if cast.holds:
        sizes.append(("depth", k_z * (float(cast.section.outline.highest(1)[1]) - inside)))
        sizes.append(("floor", k_z * (inside - float(cast.shape.base.start[1]))))
    yield Planned(Quantity("weight", state, cast.name), at.mass_g, cast.body)
    for what, size in sizes:
        grown = wet_z if what in UPRIGHT else wet_r
        yield Planned(Quantity(what, state, cast.name), size, cast.body, grown * size)
    if at.capacity_ml is not None:
        yield Planned(Quantity("brimful", state, cast.name), at.capacity_ml, cast.body)
