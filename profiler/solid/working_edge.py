"""What of a plate's outline is bevelled, and what a bevel there takes off; runs in the kernel's process only."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from profiler.geometry.curve import Curve, Floats
from profiler.geometry.fillet import turn_between
from profiler.geometry.tolerance import STRAIGHT_RADIANS

from .outline import is_straight

ROOM = 0.9
"""The widest bevel as a share of the tightest radius the edge bends round: at the centre it would fold."""

_HALF_TURN = math.pi - STRAIGHT_RADIANS
_INSIDE = 1e-6  # a place just within a cubic: at an end with a handle of no length there is no curvature
_SAMPLES = 50  # places to a cubic at which its curvature is looked at


@dataclass(frozen=True, eq=False)
class WorkingEdge:
    """The first cubics of a plate's outline, the plate on their left.

    Attributes:
        outline: all of the plate's cubics, (n, 4, 2) mm, anticlockwise.
        count: how many of them are the working edge.
    """

    outline: Floats
    count: int

    @cached_property
    def run(self) -> Curve:
        """The edge itself."""
        return Curve(self.outline[: self.count])

    @property
    def round(self) -> bool:
        """Whether it is the whole outline, which has no ends."""
        return self.count == len(self.outline)

    @cached_property
    def turns(self) -> Floats:
        """Turn at each of its joins, both ends included, radians, positive where it turns into the plate.

        Half a turn is one into the plate where the plate runs out in a point between the two edges, and one
        out of it where a slit runs in. The two ways round have the same direction, so the sign of a half turn
        comes from how the edges part from there: into the plate if the one that arrives bends away to the right
        of the one that leaves.
        """
        around = np.roll(self.outline, 1, axis=0)
        after = self.outline[np.arange(self.count + 1) % len(self.outline)]
        before = around[np.arange(self.count + 1) % len(self.outline)]
        return np.array([_turn(Curve(a[None]), Curve(b[None])) for a, b in zip(before, after, strict=True)])

    @cached_property
    def corners(self) -> list[int]:
        """The joins between its ends that are corners."""
        return [index for index in range(1, self.count) if abs(self.turns[index]) > STRAIGHT_RADIANS]

    @property
    def closes_in_a_corner(self) -> bool:
        """Whether it is the whole outline and begins at a corner."""
        return self.round and bool(abs(self.turns[0]) > STRAIGHT_RADIANS)

    @cached_property
    def _bends(self) -> Floats:
        # within the cubics, since at a join the curvature has two values
        t = (np.arange(_SAMPLES) + 0.5) / _SAMPLES
        ends = np.array([_INSIDE, 1 - _INSIDE])
        places = np.arange(self.count)[:, None] + np.concatenate([t, ends])
        return self.run.curvature(places)

    @property
    def tightest_mm(self) -> float:
        """The least radius with its centre on the plate's side, mm; infinite for straight runs."""
        most = float(self._bends.max())
        return 1 / most if most > 0 else math.inf

    @property
    def hollow_mm(self) -> float:
        """The least radius with its centre outside the plate, mm."""
        most = -float(self._bends.min())
        return 1 / most if most > 0 else math.inf

    def removed(self, width: float, height: float) -> tuple[float, float]:
        """What a bevel takes off, mm³, and how far that may be wrong.

        A strip of width s along an edge of length L that turns smoothly by τ into the plate has the area
        L s - τ s²/2 (Steiner); corners and ends add more in s². With s = w z/h the integral over the height h
        is L w h/2 + k w² h/3, k being the sum of the coefficients of s².
        """
        slope = self.run.slope(self.run.places(_SAMPLES))
        angles = np.unwrap(np.arctan2(slope[:, 1], slope[:, 0]))
        smooth = float(angles[-1] - angles[0]) - sum(float(self.turns[index]) for index in self.corners)
        joins = [*self.corners, *([] if self.round else [0, self.count])]
        squares = [self._square(index, width) for index in [*joins, *([0] if self.closes_in_a_corner else [])]]
        cubed = width * width * height / 3
        length = self.run.length * width * height / 2 - sum(self._outside(index, width, height) for index in joins)
        # the fitted parallel is off by a thousandth of a bevel's width, and the area by as much
        within = sum(slack for _, slack in squares) * cubed + 1e-3 * length
        return length + (sum(square for square, _ in squares) - smooth / 2) * cubed, within

    def _square(self, index: int, width: float) -> tuple[float, float]:
        """The coefficient of s² of a corner or an end, and how far it may be wrong.

        A corner into the plate takes tan(τ/2) where its two strips overlap, one out of it adds the sector -τ/2.
        At an end with the turn τ to the next edge the strip goes on by the sector (90° - τ)/2, or the next edge
        cuts tan(τ - 90°)/2 off. All that where the edges beside it are straight for as far as it goes; else it
        is off by half a square at most, or a whole one where the plate runs out in a point.
        """
        turn, square = float(self.turns[index]), math.pi / 2
        if turn > _HALF_TURN:
            return 0.0, 1.0
        beside = [self.outline[index - 1], self.outline[index % len(self.outline)]]
        if not self.round and index in (0, self.count):
            taken = math.tan(min(turn - square, 1.5)) if turn > square else 0.0
            found = (square - turn) / 2 if turn <= square else -taken / 2
        else:
            taken = math.tan(min(turn / 2, 1.5)) if turn > 0 else 0.0
            found = -taken if turn > 0 else -turn / 2
        if all(is_straight(cubic) and np.hypot(*(cubic[3] - cubic[0])) > max(1.0, taken) * width for cubic in beside):
            return found, 0.0
        return max(found, -0.5), 1.0 if turn > square else 0.5

    def _outside(self, index: int, width: float, height: float) -> float:
        """What of the strip lies outside the plate where it runs out in a point between two edges, mm³.

        With κ the curvature by which they part, the plate is κ x²/2 wide at x from the point, narrower than s as
        far as √(2 s/κ): of the strip 2/3 s √(2 s/κ) is outside there, and over the height that times 2/5.
        """
        if self.turns[index] <= _HALF_TURN:
            return 0.0
        parting = _parting(*(Curve(self.outline[place % len(self.outline)][None]) for place in (index - 1, index)))
        return 4 / 15 * width * height * math.sqrt(2 * width / abs(parting))


def _parting(arriving: Curve, leaving: Curve) -> float:
    """Curvature of the edge that leaves less that of the one that arrives, seen from their join on, 1/mm."""
    # the edge that arrives, followed back from the point, bends the other way
    return float(arriving.curvature(1 - _INSIDE) + leaving.curvature(_INSIDE))


def _turn(arriving: Curve, leaving: Curve) -> float:
    turn = turn_between(arriving, leaving)
    return turn if abs(turn) <= _HALF_TURN else math.copysign(turn, -_parting(arriving, leaving))
