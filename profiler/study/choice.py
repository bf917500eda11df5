"""From a wanted capacity to the cut: the way round that she decides by."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

from .said import degrees, height_said, verdict
from .study import ENDS_MM, GOOD_DEG, Slant, Span, angle_range, slant_at
from .tried import Figures, Trial, Tried

NEAR_ML = 1e-4
"""A capacity is met to this; the height then is good to about as many mm over 5."""

_COARSE_DEG = 5
_MOST_STEPS = 80
_GOLDEN = (5**0.5 - 1) / 2


@dataclass(frozen=True, eq=False)
class Chosen:
    """The cut that gives a wanted capacity with all limits kept.

    Attributes:
        wanted_ml: of the jar to overflow, fired.
        tried: the cut; height in full precision, slant as given or in whole degrees.
    """

    wanted_ml: float
    tried: Tried

    @property
    def figures(self) -> Figures:
        """Of the cut, which can be made."""
        if self.tried.figures is None:
            raise TypeError("a chosen cut came without its figures")
        return self.tried.figures

    def said(self) -> str:
        """In words."""
        height, angle = height_said(self.tried.height), degrees(self.tried.angle)
        figures = self.figures
        return (
            f"For {self.wanted_ml:g} ml cut at {height} mm and {angle}: the lid is {figures.lid_height_mm:.1f} mm "
            f"high and weighs {figures.lid_g:.0f} g, {figures.land_mm:.1f} mm of contact are left."
        )


@dataclass(frozen=True, eq=False)
class Unreached:
    """No cut gives the wanted capacity with all limits kept.

    Attributes:
        wanted_ml: what was asked.
        reachable_ml: the stretches of capacity that the limits leave, upwards; overlapping ones joined.
        why: what fails at the slant nearest to the good one, where the jar does take that much; else empty.
    """

    wanted_ml: float
    reachable_ml: tuple[tuple[float, float], ...]
    why: str

    def said(self) -> str:
        """In words."""
        if not self.reachable_ml:
            return f"No cut gives {self.wanted_ml:g} ml: there is none that keeps everything asked."
        ways = ", and ".join(f"{low:.1f} to {high:.1f} ml" for low, high in self.reachable_ml)
        why = f" At {self.wanted_ml:g} ml {self.why}." if self.why else ""
        return f"No cut gives {self.wanted_ml:g} ml: with everything kept the jar takes {ways}.{why}"


def choose(
    trial: Trial,
    capacity_ml: float,
    heights: tuple[float, float] | None = None,
    angles: tuple[float, float] | float | None = None,
) -> Chosen | Unreached:
    """The cut at which the jar takes a wanted capacity to overflow, fired.

    Of several slants the one nearest to 40° that holds: five degrees at a time, then the whole degrees between.

    Args:
        trial: of a design, with what jar and lid must keep.
        capacity_ml: wanted.
        heights: where the cut may be, mm of the sized state; anywhere if None.
        angles: the slant, or the flattest and steepest; where the lid neither slides nor jams if None.

    Raises:
        Fault: as `study`.
    """
    slants: dict[float, Slant] = {}

    def at(angle: float) -> Tried | None:
        slants[angle] = slant_at(trial, angle, heights)
        return _meeting(trial, slants[angle], capacity_ml)

    low, high = angle_range(angles)
    near = min(max(GOOD_DEG, low), high)
    coarse = [low, high, near, *(float(a) for a in range(0, 90, _COARSE_DEG) if low < a < high)]
    coarse = sorted(set(coarse), key=lambda angle: (abs(angle - near), angle))
    for position, angle in enumerate(coarse):
        found = at(angle)
        if found is None:
            continue
        missed = coarse[:position]
        between = [float(a) for a in range(90) if low < a < high and abs(a - near) < abs(angle - near)]
        for closer in sorted(set(between) - set(missed), key=lambda a: (abs(a - near), a)):
            better = at(closer)
            if better is not None:
                return Chosen(capacity_ml, better)
        return Chosen(capacity_ml, found)
    return Unreached(capacity_ml, _reachable(trial, slants.values()), _why(trial, slants[near], capacity_ml))


def _meeting(trial: Trial, slant: Slant, wanted: float) -> Tried | None:
    """The lowest cut within the slant's spans whose jar takes so much; None if there is none."""
    for span in slant.spans:
        cuts = _within(trial, slant, span)
        for low, high in pairwise([cuts[0], *cuts]):  # a span may be a single cut
            least, most = sorted((_ml(low), _ml(high)))
            if least - NEAR_ML <= wanted <= most + NEAR_ML:
                found = _solved(trial, low, high, wanted)
                if found.holds:
                    return found
    return None


def _within(trial: Trial, slant: Slant, span: Span) -> list[Tried]:
    """Cuts of a span upwards, between which capacity only rises or only falls.

    The higher the cut the more the jar takes, but not near the top of a round form: there clay takes the place of a
    funnel's room. So the fullest is looked for between its neighbours by the golden section.
    """
    cuts = [tried for tried in slant.trace if tried.height in span]
    top = max(range(len(cuts)), key=lambda number: _ml(cuts[number]))
    low, high = cuts[max(top - 1, 0)].height, cuts[min(top + 1, len(cuts) - 1)].height
    while 0 < top < len(cuts) - 1 and high - low > ENDS_MM:
        inner = [
            trial.at(high - _GOLDEN * (high - low), slant.angle),
            trial.at(low + _GOLDEN * (high - low), slant.angle),
        ]
        cuts += inner
        low, high = (low, inner[1].height) if _ml(inner[0]) > _ml(inner[1]) else (inner[0].height, high)
    return sorted((cut for cut in cuts if cut.takes_ml is not None), key=lambda tried: tried.height)


def _solved(trial: Trial, low: Tried, high: Tried, wanted: float) -> Tried:
    """The cut between two whose jar takes so much, or one on the way in which the spoon finds no place.

    Chords make it quick, every third step halves.
    """
    for step in range(_MOST_STEPS):
        for tried in (low, high):
            if abs(_ml(tried) - wanted) <= NEAR_ML:
                return tried
        share = 0.5 if step % 3 == 2 else (wanted - _ml(low)) / (_ml(high) - _ml(low))
        middle = trial.at(low.height + share * (high.height - low.height), low.angle, spoon_anyway=True)
        if middle.takes_ml is None:
            return middle
        low, high = (middle, high) if (_ml(middle) < wanted) == (_ml(low) < wanted) else (low, middle)
    return low


def _ml(tried: Tried) -> float:
    return -math.inf if tried.takes_ml is None else tried.takes_ml


def _reachable(trial: Trial, slants: Iterable[Slant]) -> tuple[tuple[float, float], ...]:
    """Capacities of the spans of all slants that were tried, overlapping ones joined."""
    found: list[tuple[float, float]] = []
    capacities = [[_ml(t) for t in _within(trial, slant, span)] for slant in slants for span in slant.spans]
    for low, high in sorted((min(some), max(some)) for some in capacities):
        if found and low <= found[-1][1]:
            found[-1] = found[-1][0], max(found[-1][1], high)
        else:
            found.append((low, high))
    return tuple(found)


def _why(trial: Trial, slant: Slant, wanted: float) -> str:
    """What fails at the cut of a slant that would give so much; empty where no height gives it."""
    can = [tried for tried in slant.trace if tried.takes_ml is not None]
    for low, high in pairwise(can):
        least, most = sorted((_ml(low), _ml(high)))
        if least <= wanted <= most:
            return verdict(_solved(trial, low, high, wanted))
    return ""
