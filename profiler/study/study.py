"""Cut height and slant run through a range: what every cut gives, and between which heights everything holds."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

from ..design.model import Design
from ..faults import Fault
from ..lengths import MM_PER_INCH
from ..lids.contact import JAMS_OVER_DEG, SLIDES_UNDER_DEG
from .tried import KNIFE, Limits, Trial, Tried

GOOD_DEG = 40.0
"""The slant taken where none is said: the middle of the good ones (common practice, no source)."""

ENDS_MM = 0.01
"""Ends are found to this; they are told to 0.1 mm."""

_MOST_ROWS, _MOST_SLANTS = 20, 4
_MOST_AT_ONE = 6
"""Slants where a single height is studied: the table then has a row for each."""

_STEPS_MM = (0.5, 1.0, 2.0, 2.5, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0)
_STEPS_IN = tuple(MM_PER_INCH * share for share in (1 / 16, 1 / 8, 1 / 4, 1 / 2, 1.0, 2.0, 4.0, 8.0))
_STEPS_DEG = (1.0, 2.0, 5.0, 10.0, 15.0, 20.0, 30.0, 45.0)
_WIDEST_MM = 3.0
"""Between two cuts that are tried lies no more than this, or the form's height over `_LEAST_NODES`."""
_LEAST_NODES = 30


@dataclass(frozen=True)
class End:
    """One end of a span.

    Attributes:
        height: the last one that holds, mm of the sized state, to `ENDS_MM`.
        fails: the requirements that fail beyond it; none where the range that was asked for ends.
        why: where the form cannot be cut beyond it, in words.
    """

    height: float
    fails: frozenset[str]
    why: str = ""


@dataclass(frozen=True)
class Span:
    """Heights between which every requirement holds."""

    low: End
    high: End

    def __contains__(self, height: float) -> bool:
        return self.low.height <= height <= self.high.height


@dataclass(frozen=True, eq=False)
class Slant:
    """All cuts of one slant.

    Attributes:
        angle: degrees from horizontal.
        rows: at the heights of the table, with the spoon wherever there is a jar.
        trace: at every height that was tried, upwards.
        spans: where everything holds, upwards.
    """

    angle: float
    rows: tuple[Tried, ...]
    trace: tuple[Tried, ...]
    spans: tuple[Span, ...]

    def span_at(self, height: float) -> Span | None:
        """The span that holds a height."""
        return next((span for span in self.spans if height in span), None)


@dataclass(frozen=True, eq=False)
class Study:
    """A study of one design.

    Attributes:
        trial: what it was made with.
        heights: the range, mm of the sized state.
        slants: flattest first.
        named: the slant the sentence is about: the design's own if it is among them and holds somewhere, else the
            one nearest to `GOOD_DEG` that does; that of the example where one was given.
        example: height and angle of a cut that was chosen already.
    """

    trial: Trial
    heights: tuple[float, float]
    slants: tuple[Slant, ...]
    named: Slant
    example: tuple[float, float] | None = None

    @property
    def design(self) -> Design:
        """The design."""
        return self.trial.design

    @property
    def limits(self) -> Limits:
        """What was asked."""
        return self.trial.limits

    @property
    def one_height(self) -> bool:
        """Whether a single height is studied, over the slants."""
        return self.heights[0] == self.heights[1]

    @property
    def rows(self) -> tuple[Tried, ...]:
        """Of the table: a slant each where a single height is studied, else the heights of the named slant."""
        if self.one_height:
            return tuple(row for slant in self.slants for row in slant.rows)
        rows, shown = self.named.rows, self.shown
        if shown is None or shown.height in [row.height for row in rows]:
            return rows
        return tuple(sorted([*rows, shown], key=lambda row: row.height))

    @property
    def shown(self) -> Tried | None:
        """The cut taken as an example: the chosen one, the design's own height, or the middle of the widest span.

        The design's own may be left open.
        """
        if self.example is not None:
            return self.trial.at(*self.example)
        own = self.trial.lid.height
        if own is not None and self.named.span_at(own) is not None:
            return self.trial.at(own, self.named.angle)
        if not self.named.spans:
            return None
        widest = max(self.named.spans, key=lambda span: span.high.height - span.low.height)
        middle = (widest.low.height + widest.high.height) / 2
        rounded = round(2 * middle) / 2
        return self.trial.at(rounded if rounded in widest else middle, self.named.angle)


def study(
    trial: Trial,
    heights: tuple[float, float] | None = None,
    angles: tuple[float, float] | float | None = None,
    example: tuple[float, float] | None = None,
) -> Study:
    """Run cut height and slant through a range.

    Args:
        trial: of a design whose lid's height and angle only say where the example is taken.
        heights: lowest and highest cut, mm of the sized state, which may be one; all that the form allows if None.
        angles: flattest and steepest slant, or the only one, degrees from horizontal; where the lid neither slides
            nor jams if None.
        example: height and angle of a cut within these ranges that keeps the limits, as `choose` finds it.

    Raises:
        Fault: a range that is none or that misses the form.
    """
    heights, given = _heights(trial, heights)
    own_height, own_angle = example or (trial.lid.height, trial.lid.angle)
    at = _row_heights(trial, heights, given=given, own=own_height)
    nodes = _nodes(trial, heights, at)
    most = _MOST_AT_ONE if heights[0] == heights[1] else _MOST_SLANTS
    slants = tuple(slant_of(trial, angle, nodes, at) for angle in slants_in(own_angle, angles, most))
    if not given:
        slants = _trimmed(slants)
    own = next((s for s in slants if s.angle == own_angle and s.spans), None)
    named = own or min(slants, key=lambda s: (not s.spans, abs(s.angle - GOOD_DEG)))
    return Study(trial, heights, slants, named, example)


def slant_at(trial: Trial, angle: float, heights: tuple[float, float] | None = None) -> Slant:
    """One slant without the rows of a table."""
    heights, _ = _heights(trial, heights)
    return slant_of(trial, angle, _nodes(trial, heights, ()), ())


def slant_of(trial: Trial, angle: float, nodes: tuple[float, ...], rows: tuple[float, ...]) -> Slant:
    """Every cut of one slant; where the failing requirements change between two nodes, the place is looked for.

    Between two nodes that both fail the same requirement nothing is looked for: a stretch that holds and is
    narrower than the nodes lie apart (3 mm, or a thirtieth of the height) can only hide between two such.
    """
    # the rows come first: then what is in the trace of them has its spoon tried, too
    told = tuple(trial.at(height, angle, spoon_anyway=True) for height in rows)
    tried = {height: trial.at(height, angle) for height in nodes}
    for low, high in pairwise(nodes):
        _refine(trial, tried[low], tried[high], tried)
    trace = tuple(tried[height] for height in sorted(tried))
    return Slant(angle, told, trace, spans_of(trace))


def slants_in(own: float, angles: tuple[float, float] | float | None, most: int = _MOST_SLANTS) -> tuple[float, ...]:
    """So many slants at most: the ends of a range, nice steps between, the design's own if it lies there.

    >>> slants_in(40.0, (30.0, 45.0)), slants_in(37.0, (20.0, 60.0)), slants_in(40.0, 33.0)
    ((30.0, 35.0, 40.0, 45.0), (20.0, 37.0, 40.0, 60.0), (33.0,))

    Raises:
        Fault: no range of angles a knife can be held at.
    """
    low, high = angle_range(angles)
    own_too = {own} if low <= own <= high else set()
    for step in _STEPS_DEG:
        found = sorted({low, high, *own_too, *_multiples(low, high, step)})
        if len(found) <= most:
            break
    return tuple(found)


def angle_range(angles: tuple[float, float] | float | None) -> tuple[float, float]:
    """Flattest and steepest of the slants asked for, degrees.

    Raises:
        Fault: no range of angles a knife can be held at.
    """
    if angles is None:
        return SLIDES_UNDER_DEG, JAMS_OVER_DEG
    low, high = angles if isinstance(angles, tuple) else (angles, angles)
    if not 0 <= low <= high < 90:
        found = f"{low:g} to {high:g} degrees" if low != high else f"{low:g} degrees"
        wanted = "from horizontal, 0 to under 90, the flatter one first; 30 to 45 as a rule"
        raise Fault("the slants are no range a knife can be held at", found, wanted, "--angles")
    return low, high


def _heights(trial: Trial, heights: tuple[float, float] | None) -> tuple[tuple[float, float], bool]:
    """The range, and whether she gave it."""
    lowest, highest = trial.reach
    if heights is None:
        return (lowest, highest), False
    low, high = heights
    reach = f"between {lowest:.1f} and {highest:.1f} mm"
    if low > high:
        raise Fault("the heights are no range", f"{low:.1f} to {high:.1f} mm", "the lower one first", "--heights")
    if high <= lowest or low >= highest:
        raise Fault("the heights miss the form", f"{low:.1f} to {high:.1f} mm", reach, "--heights")
    return (low, high), True


def _multiples(low: float, high: float, step: float) -> list[float]:
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    return [step * number for number in range(first, last + 1)]


def _row_heights(trial: Trial, heights: tuple[float, float], *, given: bool, own: float | None) -> tuple[float, ...]:
    """Heights of the table: multiples of a nice step, the ends of a given range, the example's or design's own."""
    low, high = heights
    fixed = {*(heights if given else ()), *([own] if own is not None and low <= own <= high else ())}
    for step in _STEPS_IN if trial.design.head.units == "in" else _STEPS_MM:
        round_ones = _multiples(low, high, step)
        found = sorted(fixed.union(h for h in round_ones if all(abs(h - other) >= ENDS_MM for other in fixed)))
        if len(found) <= _MOST_ROWS:
            break
    return tuple(found)


def _nodes(trial: Trial, heights: tuple[float, float], rows: tuple[float, ...]) -> tuple[float, ...]:
    """Heights that are tried in any case: the rows, the ends, and enough between them."""
    fixed = sorted({*heights, *rows})
    widest = min(_WIDEST_MM, (trial.reach[1] - trial.reach[0]) / _LEAST_NODES)
    found = [fixed[0]]
    for low, high in pairwise(fixed):
        pieces = max(1, math.ceil((high - low) / widest - 1e-9))
        found += [low + (high - low) * number / pieces for number in range(1, pieces)] + [high]
    return tuple(found)


def _refine(trial: Trial, low: Tried, high: Tried, tried: dict[float, Tried]) -> None:
    """Close in on every change between two cuts that could have a stretch that holds between them."""
    steps = 0
    while high.height - low.height > ENDS_MM and low.failing != high.failing and not low.failing & high.failing:
        middle = trial.at(_between(low, high, steps), low.angle)
        tried[middle.height] = middle
        steps += 1
        if not _alike(low, middle) and not _alike(middle, high):
            _refine(trial, low, middle, tried)
            _refine(trial, middle, high, tried)
            return
        low, high = (middle, high) if _alike(low, middle) else (low, middle)


def _alike(low: Tried, high: Tried) -> bool:
    return low.failing == high.failing or bool(low.failing & high.failing)


def _between(low: Tried, high: Tried, steps: int) -> float:
    """The next height to try: where the chord of a margin crosses nought, a little to either side; or the middle.

    The chord soon is at the place but only ever from one side; going past it by less than is asked for closes in
    from the other side too. Every third step halves, so that a margin with a jump is found as well.
    """
    a, b = low.height, high.height
    changed = sorted(low.failing ^ high.failing)
    name = changed[0] if changed else KNIFE
    first, last = low.margins.get(name, math.nan), high.margins.get(name, math.nan)
    if steps % 3 == 2 or not (math.isfinite(first) and math.isfinite(last)):
        return (a + b) / 2
    past = 0.4 * ENDS_MM * (1 if steps % 3 else -1)
    chord = a + (b - a) * first / (first - last) + past
    return min(max(chord, a + 0.3 * ENDS_MM), b - 0.3 * ENDS_MM)


def spans_of(trace: tuple[Tried, ...]) -> tuple[Span, ...]:
    """The stretches of a trace, which runs upwards, in which every cut holds."""
    found: list[Span] = []
    low: End | None = None
    before: Tried | None = None
    for tried in trace:
        if tried.holds and low is None:
            low = _end(tried, before)
        elif not tried.holds and low is not None and before is not None:
            found.append(Span(low, _end(before, tried)))
            low = None
        before = tried
    if low is not None and before is not None:
        found.append(Span(low, _end(before, None)))
    return tuple(found)


def _end(last: Tried, beyond: Tried | None) -> End:
    return End(last.height, frozenset(), "") if beyond is None else End(last.height, beyond.failing, beyond.why)


def _trimmed(slants: tuple[Slant, ...]) -> tuple[Slant, ...]:
    """Rows without the heights at which no slant can be cut: the range was not hers."""
    keep = [any(row.figures for row in rows) for rows in zip(*(slant.rows for slant in slants), strict=True)]
    return tuple(
        Slant(s.angle, tuple(row for row, kept in zip(s.rows, keep, strict=True) if kept), s.trace, s.spans)
        for s in slants
    )
