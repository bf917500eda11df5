"""What is wanted of the pot, as an amount that a piece gives; fired, unless it is the ball."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from ..checks import Level, checked
from ..clay.states import State
from ..faults import Fault
from ..measures import Measures, measured
from ..piece import Piece
from ..settings import Settings
from ..stacking import Touch, nest, stack_height_mm

MOST_ML, MOST_G, MOST_STACKED = 100_000.0, 100_000.0, 100
"""No pot of a studio takes more or weighs more, and no stack is higher."""

_LEVEL_MM = 0.05
"""A well counts as level where it has risen by less than this: the foot's face itself is no truer."""
_LEVEL_SHARE = 0.25
"""A well that is level over so much of its mouth is a plate's, and a foot belongs on the level."""


@dataclass(frozen=True, eq=False)
class Target:
    """What is wanted.

    Attributes:
        option: where she asked for it.
        wanted: the amount; None for the largest that nests.
        unit: of the amount.
        near: the amount is met to this before sizes are rounded.
        within: and to this afterwards.
        amount: of a piece; None where it has none at this size. Where `wanted` is None it is anything but None as
            long as the piece nests.
        says: the amount in words, `{}` standing for the number.
        holding: whether the piece must hold something.
    """

    option: str
    wanted: float | None
    unit: str
    near: float
    within: float
    amount: Callable[[Piece], float | None]
    says: str
    holding: bool = False

    def told(self, amount: float) -> str:
        """An amount in words, full enough to be told from what was asked."""
        return self.says.format(f"{amount:.1f} {self.unit}")

    def possible(self, piece: Piece) -> None:
        """See whether a piece can be asked this at all, whatever its size.

        Raises:
            Fault: it holds nothing.
        """
        if self.holding and not any(cast.holds for cast in piece.parts):
            kind = piece.design.form.kind
            raise Fault("the piece holds nothing", f'kind = "{kind}"', "--ball or --fired-mass", self.option)


def of_capacity(ml: float, settings: Settings) -> Target:
    """Brimful, fired."""
    _in_range(ml, MOST_ML, "ml", "--capacity")

    def amount(measures: Measures) -> float | None:
        return measures.states[State.FIRED].capacity_ml

    return _measure("--capacity", ml, "ml", amount, "takes {} brimful", settings, holding=True)


def of_fill(ml: float, settings: Settings) -> Target:
    """To the fill line, fired."""
    _in_range(ml, MOST_ML, "ml", "--fill")
    return _measure("--fill", ml, "ml", lambda m: m.main.fill_ml, "takes {} to the fill line", settings, holding=True)


def of_ball(grams: float, settings: Settings) -> Target:
    """Clay to weigh before throwing, all balls, before rounding to the scales."""
    _in_range(grams, MOST_G, "g", "--ball")
    return _measure("--ball", grams, "g", lambda m: m.ball_g, "is thrown from {}", settings)


def of_fired_mass(grams: float, settings: Settings) -> Target:
    """All parts, fired."""
    _in_range(grams, MOST_G, "g", "--fired-mass")
    return _measure("--fired-mass", grams, "g", lambda m: m.states[State.FIRED].mass_g, "weighs {} fired", settings)


def of_stack(count: int, height_mm: float) -> Target:
    """So many standing in each other are so high, fired."""
    if not 2 <= count <= MOST_STACKED:
        raise Fault("no stack", f"{count} of them", f"2 to {MOST_STACKED} of them", "--stack")

    def amount(piece: Piece) -> float | None:
        return stack_height_mm(piece, count, State.FIRED)

    says = f"makes a stack of {count} that is {{}} high"
    return Target("--stack", height_mm, "mm", 1e-4, 0.05, amount, says)


def of_nesting(plate: Piece, settings: Settings) -> Target:
    """The largest that nests in another piece, both fired: its foot stands in the well, and its rim stays within.

    In a well that is level it stands on the level; in a round one wherever it stands on its foot, the wall free.
    Nothing of it reaches out over the plate's edge, and no check says error of it.
    """
    level, edge = _level_mm(plate), _widest_mm(plate)

    def amount(piece: Piece) -> float | None:
        if _widest_mm(piece) > edge:
            return None
        nested = nest(plate, piece, State.FIRED)
        stands = nested.touches is Touch.FOOT and (level is None or nested.z_mm <= level)
        return nested.pitch_mm if stands and nested.pitch_mm > 0 and _can_be_made(piece, settings) else None

    return Target("--nests-in", None, "mm", 0.0, 0.0, amount, "stands in the plate, {} above the table")


def _can_be_made(piece: Piece, settings: Settings) -> bool:
    return all(check.level is not Level.ERROR for check in checked(measured(piece, settings)))


def _widest_mm(piece: Piece) -> float:
    """The largest diameter of the piece itself, fired."""
    return max(2 * cast.scale(State.FIRED)[0] * cast.section.outline.highest(0)[1] for cast in piece.parts)


def _level_mm(plate: Piece) -> float | None:
    """Up to which height the well counts as level, fired; None where it is round."""
    cast = next((cast for cast in plate.parts if cast.holds), None)
    if cast is None or plate.pair is not None:
        what = "nothing can stand in it"
        raise Fault(what, plate.design.title, "an open piece, such as a plate", "--nests-in", plate.design.path)
    k_r, k_z = cast.scale(State.FIRED)
    inside = cast.shape.inside.mapped(k_r, k_z)
    level = float(inside.start[1]) + _LEVEL_MM
    risen = inside.crossings(1, level)
    flat = float(inside.at(float(risen[0]))[0]) if len(risen) else float(inside.end[0])
    return level + k_z * cast.lift if flat >= _LEVEL_SHARE * float(inside.end[0]) else None


def _measure(
    option: str,
    wanted: float,
    unit: str,
    of: Callable[[Measures], float | None],
    says: str,
    settings: Settings,
    *,
    holding: bool = False,
) -> Target:
    def amount(piece: Piece) -> float | None:
        return of(measured(piece, settings))

    return Target(option, wanted, unit, 1e-3, 0.05, amount, says, holding)


def _in_range(value: float, most: float, unit: str, option: str) -> None:
    if not 0 < value <= most:
        raise Fault("not an amount", f"{value:g} {unit}", f"more than 0, at most {most:g} {unit}", option)
