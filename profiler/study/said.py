"""The study in words: where everything holds and what ends it, or what stands in the way and which limit to relax."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass
from math import isfinite

from ..lengths import inches_text
from .spooned import STAYS_MOST_SHARE, Lies
from .study import End, Slant, Span, Study, slant_of
from .tried import KNIFE, Limits, Trial, Tried

_TENTH = 0.1
_SHORTEST = 1e-6

_FAILS = {
    KNIFE: "the form cannot be cut",
    "least_contact": "too little contact is left",
    "slides": "the lid may slide",
    "jams": "the lid jams",
    "lid_small": "there is no lid to speak of",
    "jar_small": "the jar takes next to nothing",
    "capacity_least": "the jar takes too little",
    "capacity_most": "the jar takes too much",
    "lid_height_most": "the lid is too high",
    "lid_weight_most": "the lid is too heavy",
    "spoon_room": "the spoon finds no place",
    "spoon_falls": "the spoon falls in",
    "spoon_tips": "the spoon tips out",
    "spoon_closes": "the lid does not close over the spoon",
    "spoon_short": "the spoon does not reach the floor",
    "spoon_leaves": f"over {STAYS_MOST_SHARE:.0%} stays out of the spoon's reach",
}
"""What is wrong where a requirement fails, the one that loses the lid first."""

_SHORT = {
    "least_contact": "little contact",
    "slides": "may slide",
    "jams": "jams",
    "lid_small": "lid too small",
    "jar_small": "jar too small",
    "capacity_least": "takes too little",
    "capacity_most": "takes too much",
    "lid_height_most": "lid too high",
    "lid_weight_most": "lid too heavy",
    "spoon_room": "spoon: no place",
    "spoon_falls": "spoon falls in",
    "spoon_tips": "spoon tips out",
    "spoon_closes": "rides on spoon",
    "spoon_short": "spoon too short",
    "spoon_leaves": "too much stays",
}

_CURES = {
    KNIFE: "a flatter cut, a narrower gap or other heights",
    "least_contact": "a narrower gap, edges less rounded, or more clay at the cut",
    "slides": "a steeper cut, or more clay at the cut",
    "jams": "a flatter cut",
    "lid_small": "a lower cut",
    "jar_small": "a higher cut",
}
"""What helps against those that are no limit of hers."""


@dataclass(frozen=True)
class Relaxed:
    """A limit that alone stands in the way, and what it would have to be.

    Attributes:
        limit: its name.
        asked: as it stands.
        needed: what the cut reaches where everything else holds.
        at: that cut.
    """

    limit: str
    asked: float
    needed: float
    at: Tried


def heights_said(span: Span) -> tuple[str, str]:
    """The ends of a span, mm, rounded inwards to a tenth, or to a hundredth where it is narrower than that.

    >>> heights_said(Span(End(61.97, frozenset()), End(71.06, frozenset())))
    ('62', '71')
    """
    low, high = span.low.height, span.high.height
    for digits in (1, 2, 3):
        unit = 10**digits
        first = math.ceil(low * unit - _SHORTEST) / unit
        last = math.floor(high * unit + _SHORTEST) / unit
        if first <= last:
            break
    return f"{first:g}", f"{last:g}"


def degrees(angle: float) -> str:
    """A slant for people.

    >>> degrees(40.0), degrees(37.25)
    ('40°', '37.2°')
    """
    return f"{round(angle, 1):g}°"


def height_said(height: float) -> str:
    """A height of a cut for people, to the twentieth of a millimetre.

    >>> height_said(66.0), height_said(66.4321)
    ('66', '66.45')
    """
    return f"{round(20 * height) / 20:g}"


def notch_said(depth: float) -> str:
    """Depth of a notch for people, mm, rounded to the side that lets the handle in.

    >>> notch_said(6.61)
    '6.7'
    """
    return f"{math.ceil(10 * depth - _SHORTEST) / 10:g}"


def sentence(study: Study) -> str:
    """Where everything holds, what the jar takes there and what ends it; or what would have to give."""
    shown = study.shown
    if shown is None or shown.takes_ml is None:
        return _nothing_holds(study)
    named = study.named
    ways = ", and ".join(_between(span, study) for span in named.spans)
    at = "" if study.one_height else f"at {height_said(shown.height)} mm "
    said = f"At {degrees(named.angle)}, {ways} everything holds; {at}the jar takes {shown.takes_ml:.0f} ml"
    notch = 0.0 if shown.lies is None else shown.lies.notch_mm
    said += f" to its notch, {notch_said(notch)} mm deep." if notch else "."
    span = named.span_at(shown.height)
    return said if span is None else f"{said} {_ends(span)}".rstrip()


def _between(span: Span, study: Study) -> str:
    low, high = heights_said(span)
    if study.one_height:
        return f"at {low} mm"
    if low == high:
        return f"only at {low} mm"
    if study.design.head.units != "in":
        return f"between {low} and {high} mm"
    inches = f"{inches_text(span.low.height)} to {inches_text(span.high.height)}"
    return f"between {low} and {high} mm (about {inches})"


def _ends(span: Span) -> str:
    if span.low.fails and end_said(span.low) == end_said(span.high):
        return f"Beyond that, {end_said(span.low)}."
    parts = [f"{way} {end_said(end)}" for way, end in (("lower,", span.low), ("higher,", span.high)) if end.fails]
    text = "; ".join(parts)
    return f"{text[0].upper()}{text[1:]}." if text else ""


def end_said(end: End) -> str:
    """What fails beyond an end of a span.

    >>> end_said(End(71.0, frozenset({"slides"}))), end_said(End(80.0, frozenset()))
    ('the lid may slide', 'the range ends')
    """
    if not end.fails:
        return "the range ends"
    if KNIFE in end.fails:
        return end.why
    return " and ".join(_FAILS[name] for name in _FAILS if name in end.fails)


def verdict(tried: Tried) -> str:
    """One cut in a few words: what fails, or that it holds."""
    figures = tried.figures
    if figures is None:
        return tried.why
    said = [_FAILS[name] for name in _FAILS if name in tried.failing]
    if figures.lost:
        said[0] = "the lid falls in" if figures.lost == "falls_in" else "the lid drops over the jar"
    return " and ".join(said) or "everything holds"


def short_verdict(tried: Tried) -> str:
    """The same as short as a table needs it."""
    figures = tried.figures
    if figures is None:
        return "cannot be cut"
    said = [_SHORT[name] for name in _SHORT if name in tried.failing]
    if figures.lost:
        said[0] = "falls in" if figures.lost == "falls_in" else "drops over"
    return ", ".join(said) or "holds"


def _nothing_holds(study: Study) -> str:
    limits, slants = study.limits, study.slants
    spoon = Counter(name for tried in study.named.trace for name in tried.failing if name.startswith("spoon_"))
    unspooned = _again(study.trial.under(study.limits, spooned=False), study.named) if spoon else study.named
    if unspooned.spans:
        ways = ", and ".join(_between(span, study) for span in unspooned.spans)
        worst = _FAILS[max(sorted(spoon), key=lambda name: spoon[name])]
        at = degrees(study.named.angle)
        return f"At {at}, {ways} jar and lid hold, but {worst}: another spoon or notch is needed."
    where = degrees(slants[0].angle)
    if len(slants) > 1:
        where = f"from {where} to {degrees(slants[-1].angle)}"
    low, high = study.heights
    between = f"at {height_said(low)} mm" if study.one_height else f"between {low:.1f} and {high:.1f} mm"
    head = f"Nothing holds {where if len(slants) > 1 else f'at {where}'} {between}."
    if not limits.asked:
        return f"{head} {_stands_in_the_way(slants)}"
    found = relaxed(study)
    if found:
        ways = "; or ".join(_would(one) for one in found)
        return f"{head} {ways[0].upper()}{ways[1:]}."
    free = study.trial.under(Limits())
    bare = tuple(_again(free, slant) for slant in slants)
    if not any(slant.spans for slant in bare):
        return f"{head} Whatever the limits: {_stands_in_the_way(bare)}"
    return f"{head} No limit alone is in the way: {_alone(study)}"


def relaxed(study: Study) -> list[Relaxed]:
    """For each limit that alone stands in the way: the least it would have to give, over all slants."""
    found = []
    for limit in study.limits.asked:
        trial = study.trial.under(study.limits.without(limit))
        best: tuple[float, Tried] | None = None
        for slant in study.slants:
            for tried in _again(trial, slant).trace:
                # judged by the limits that are left; the margin is that of the limit left out
                margin = study.trial.at(tried.height, tried.angle).margins.get(limit, -math.inf)
                if tried.holds and isfinite(margin) and (best is None or margin > best[0]):
                    best = margin, tried
        if best is not None:
            asked = float(getattr(study.limits, limit))
            needed = asked + (best[0] if limit.endswith("least") or limit == "least_contact" else -best[0])
            found.append(Relaxed(limit, asked, needed, best[1]))
    return found


def _again(trial: Trial, slant: Slant) -> Slant:
    """A slant under other limits."""
    return slant_of(trial, slant.angle, tuple(tried.height for tried in slant.trace), ())


def _would(one: Relaxed) -> str:
    """What a relaxed limit would allow, rounded to the side where it holds."""
    cut = f"a cut at {height_said(one.at.height)} mm and {degrees(one.at.angle)}"
    floor_ml, ceil = math.floor(one.needed), math.ceil(one.needed)
    if one.limit == "least_contact":
        tenth = math.floor(one.needed / _TENTH) * _TENTH
        return f"with {tenth:.1f} mm of contact in place of {one.asked:g}, {cut} would do"
    if one.limit == "capacity_least":
        return f"with {floor_ml} ml as the least in place of {one.asked:g}, {cut} would do"
    if one.limit == "capacity_most":
        return f"with {ceil} ml as the most in place of {one.asked:g}, {cut} would do"
    if one.limit == "lid_height_most":
        high = math.ceil(one.needed / _TENTH) * _TENTH
        return f"with a lid of {high:.1f} mm in place of {one.asked:g}, {cut} would do"
    return f"with a lid of {ceil} g in place of {one.asked:g}, {cut} would do"


def _stands_in_the_way(slants: tuple[Slant, ...]) -> str:
    """What fails at most of the cuts that were tried, and what helps."""
    counts = dict.fromkeys(_CURES, 0)
    for slant in slants:
        for tried in slant.trace:
            for name in tried.failing & counts.keys():
                counts[name] += 1
    worst = max(counts, key=lambda name: counts[name])
    return f"Mostly {_FAILS[worst]}: {_CURES[worst]} would help."


def _alone(study: Study) -> str:
    """What each limit by itself leaves of the heights at the named slant."""
    parts = []
    for limit in study.limits.asked:
        only = Limits(**{limit: getattr(study.limits, limit)})
        spans = _again(study.trial.under(only), study.named).spans
        ways = [f"{low} mm" if low == high else f"{low} to {high} mm" for low, high in map(heights_said, spans)]
        where = " and ".join(ways) or "nowhere"
        parts.append(f"{_KEEPS[limit].format(getattr(study.limits, limit))} {where}")
    return f"at {degrees(study.named.angle)} " + ", ".join(parts) + "."


_KEEPS = {
    "least_contact": "{:g} mm of contact",
    "capacity_least": "{:g} ml or more",
    "capacity_most": "{:g} ml or less",
    "lid_height_most": "a lid {:g} mm high or less",
    "lid_weight_most": "a lid of {:g} g or less",
}


def lies_said(lies: Lies) -> str:
    """How the spoon lies, in one line without the cut it is of."""
    spoon = lies.spoon
    if spoon is None:
        return lies.why
    said = f"the spoon lies at {spoon.angle_deg:.0f}° and sticks out {max(spoon.sticks_out_mm, 0.0):.0f} mm"
    if lies.notch_mm:
        said += f", notch {notch_said(lies.notch_mm)} mm deep, {lies.takes_ml:.0f} ml up to it"
    troubles = [_FAILS[name] for name in _FAILS if lies.margins.get(name, 0.0) < 0]
    return f"{said}; {' and '.join(troubles)}" if troubles else said


def to_write(study: Study) -> str:
    """Which keys of `[lid]` make the example the design's own cut; empty where they do already."""
    shown, lid = study.shown, study.trial.lid
    if shown is None or (shown.height, shown.angle) == (lid.height, lid.angle):
        return ""
    if lid.height is not None and study.example is None:  # her own cut was not what she asked about
        return ""
    height = height_said(shown.height)
    # in a design in inches a bare number would be inches
    keys = [f'height = "{height} mm"' if study.design.head.units == "in" else f"height = {height}"]
    if shown.angle != lid.angle:
        keys.append(f"angle = {round(shown.angle, 1):g}")
    return f"To cut it so, write into [lid] of {study.design.path.name}: {' and, on the next line, '.join(keys)}"
