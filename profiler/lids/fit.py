"""How a lid that is thrown by itself fits its jar through the fire: the play per side in every state."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from ..clay.body import Body
from ..clay.states import State
from ..geometry.tolerance import JOIN_MM
from .seat import Seat

How = Literal["together", "apart", "two_bodies"]

TOGETHER_POINTS = 0.2
"""Points of shrinkage by which a lid and a jar that dry and are fired as a pair still differ (DESIGN, section 6)."""

UNKNOWN_POINTS = 2.0
"""Plus or minus on the shrinkage of a body that says none: what suppliers state (TRADE, shrinkage)."""

SMALL_MM = 150.0
"""Seats narrower than this count as small (memory)."""

MOST_SMALL_MM, MOST_LARGE_MM = 2.0, 3.0
"""Play per side over which a small or a large lid rattles: the upper ends of 1 to 2 and 2 to 3 mm (memory)."""


TOUCHES_MM = 0.05
"""Play or lack of it under this is nought to the tenth it is told in: the two just touch."""


def goes(play_mm: float) -> bool:
    """Whether a lid goes on with so much play per side; one that just touches does not.

    >>> goes(0.1), goes(0.0), goes(-0.4)
    (True, False, False)
    """
    return play_mm >= TOUCHES_MM


@dataclass(frozen=True)
class Clearance:
    """Play per side in one state, mm; below nought the lid does not go on.

    Attributes:
        state: when.
        nominal_mm: of the closed lid, if all goes as the bodies say.
        passing_mm: the same at the narrowest (cap: the widest) place on its way there.
        least_mm: in the worst case of shrinkage and of mouth and lid that are not round, closed or on the way in.
        most_mm: in the worst case the other way.
        on_its_way: whether it is tighter where the lid passes a narrower (cap: wider) place than where it lies.
    """

    state: State
    nominal_mm: float
    passing_mm: float
    least_mm: float
    most_mm: float
    on_its_way: bool


@dataclass(frozen=True)
class Fit:
    """A lid's fit through the fire.

    Attributes:
        how: dried and fired as a pair, fired apart, or in two bodies.
        states: the play, in every state.
        points: by how much the shrinkages may differ in the end, jar against lid, in points.
        lid_outside: whether the lid goes over the jar instead of into it.
        seat_mm: diameter of the jar at the seat, fired.
        passes_mm: of the narrowest (cap: the widest) place on the way there, fired.
        lid_mm: of the lid where it is held, fired.
    """

    how: How
    states: dict[State, Clearance]
    points: float
    lid_outside: bool
    seat_mm: float
    passes_mm: float
    lid_mm: float

    @property
    def fired(self) -> Clearance:
        """After the glaze firing."""
        return self.states[State.FIRED]

    @property
    def tightest(self) -> Clearance:
        """Where it is most likely to bind."""
        return min(self.states.values(), key=lambda clearance: clearance.least_mm)

    @property
    def most_allowed_mm(self) -> float:
        """Play per side over which it rattles."""
        return MOST_SMALL_MM if self.seat_mm < SMALL_MM else MOST_LARGE_MM

    @property
    def words(self) -> str:
        """The worst case in a sentence."""
        worst = self.tightest
        more, other = ("lid", "jar") if self.lid_outside else ("jar", "lid")
        if worst.state is State.WET:
            why = "as far out of round as is allowed for"
        else:
            why = {
                "together": f"dried and fired as a pair, the {more} shrinking {self.points:.1f} points more than the "
                f"{other}",
                "apart": f"fired apart, the {more} shrinking {self.points:.1f} points more than the {other}",
                "two_bodies": f"in two clays, the {more} shrinking {self.points:.1f} points more against the {other} "
                "than their figures say",
            }[self.how]
        if abs(worst.least_mm) < TOUCHES_MM:
            said = "the lid just touches"
        elif worst.least_mm < 0:
            said = f"the lid is {-worst.least_mm:.1f} mm too tight on each side"
        else:
            said = f"{worst.least_mm:.1f} mm of play on each side"
        if worst.on_its_way:
            place = "the neck is wider" if self.lid_outside else "the mouth is narrower"
            said += f", where {place} over the seat"
        return f"tightest {worst.state.words} ({why}): {said}"

    def cure_mm(self, clearance: float, scale_of_lid: dict[State, float]) -> float:
        """The least clearance that goes on in every state, in the worst case, mm of the sized state.

        Args:
            clearance: of the design, mm of the sized state.
            scale_of_lid: factor on the lid's radii by state; the lid is what a clearance changes.
        """
        lacks = ((TOUCHES_MM - c.least_mm) / scale_of_lid[c.state] for c in self.states.values())
        return max(0.0, clearance + max(lacks))


def fit_of(
    seat: Seat, jar: Body, lid: Body, sized: State, *, lid_outside: bool, apart: bool, out_of_round: float
) -> Fit:
    """The play of a lid in every state: D_seat (1 - S_jar) against D_lid (1 - S_lid), each S with its plus or minus.

    A difference of shrinkage comes about as the clay shrinks, so a state has the share of it that its shrinkage
    has of the whole. What is not round counts the same in all.

    Args:
        seat: mm of the sized state.
        jar: clay of the jar.
        lid: clay of the lid.
        sized: state the seat is given in.
        lid_outside: whether the lid goes over the jar.
        apart: whether they are fired apart, so that the full plus or minus of each counts in the fire.
        out_of_round: on the diameter, mm.
    """
    two = jar.digest_text() != lid.digest_text()
    how: How = "two_bodies" if two else "apart" if apart else "together"
    jar_wet = seat.jar_radius * jar.scale(sized, State.WET)[0]
    lid_wet = seat.lid_radius * lid.scale(sized, State.WET)[0]
    full = (points_of(jar), points_of(lid))
    pair = (TOGETHER_POINTS / 2, TOGETHER_POINTS / 2)
    sign = -1.0 if lid_outside else 1.0
    states = {}
    for state in State:
        in_fire = state in (State.BISQUE, State.FIRED)
        points = full if two or (apart and in_fire) else pair
        k_jar, k_lid = jar.scale(sized, state)[0], lid.scale(sized, state)[0]
        nominal = sign * (seat.jar_radius * k_jar - seat.lid_radius * k_lid)
        passing = min(nominal, sign * (seat.passes * k_jar - seat.lid_radius * k_lid))
        spread = out_of_round / 2
        for radius, body, of in ((jar_wet, jar, points[0]), (lid_wet, lid, points[1])):
            spread += radius * of / 100 * _share(body, state)
        states[state] = Clearance(
            state, nominal, passing, passing - spread, nominal + spread, passing < nominal - JOIN_MM
        )
    points_in_all = sum(pair) if how == "together" else sum(full)
    k_jar, k_lid = (2 * body.scale(sized, State.FIRED)[0] for body in (jar, lid))
    wide = seat.jar_radius * k_jar, seat.passes * k_jar, seat.lid_radius * k_lid
    return Fit(how, states, points_in_all, lid_outside, *wide)


def points_of(body: Body) -> float:
    """Plus or minus on the fired shrinkage of a body, in points."""
    return UNKNOWN_POINTS if body.spread_points is None else body.spread_points


def _share(body: Body, state: State) -> float:
    """How much of the whole shrinkage a state has behind it, 0 to 1."""
    whole = body.shrinkage.at(State.FIRED)
    if whole <= 0:  # a body that grows in the fire as much as it dried: all of it counts once it is fired
        return 1.0 if state is State.FIRED else 0.0
    return min(max(body.shrinkage.at(state) / whole, 0.0), 1.0)
