"""Which template a profile found in a sheet is, and how far it lies off."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from .geometry.curve import Curve, Floats
from .templates.drawing import Drawing

_QUARTER: Floats = np.array([[0.0, 1.0], [-1.0, 0.0]])  # (x, y) to (-y, x)


@dataclass(frozen=True)
class Found:
    """A profile found in a file.

    Attributes:
        name: of the template it is nearest to; empty where there is none to compare with.
        off_mm: the most a control point lies off; infinite where the two have not as many pieces.
        page: from 1; 0 in a file without pages.
    """

    name: str
    off_mm: float
    page: int = 0


def nearest(
    profile: Curve,
    outlines: Sequence[Curve],
    templates: Sequence[Drawing],
    most_mm: float,
    *,
    placed: bool,
    page: int = 0,
) -> Found:
    """The template a profile is nearest to; `placed` lets it be shifted and turned a quarter as a whole.

    Pointer cards of jar and lid can have the same working edge: of those whose profile fits within `most_mm` it is
    the one whose outline fits best too.
    """
    offs = [(min(_apart(profile, t.profile, placed=placed)), t) for t in templates if t.profile is not None]
    if not offs:
        return Found("", float("inf"), page)
    fits = [one for one in offs if one[0] <= most_mm]
    if fits:
        off, best = min(fits, key=lambda one: (_whole_apart(profile, outlines, one[1], placed=placed), one[0]))
    else:
        off, best = min(offs, key=lambda one: (one[0], one[1].name))
    return Found(best.name, off, page)


def rest_off(
    profile: Curve,
    outlines: Sequence[Curve],
    name: str,
    templates: Sequence[Drawing],
    most_mm: float,
    *,
    placed: bool = False,
) -> tuple[str, ...]:
    """What is wrong with the rest of the contour, which must lie to the profile as in the drawing."""
    wanted = next(t for t in templates if t.name == name)
    if wanted.profile is None or wanted.outline is None:
        return ()
    if len(outlines) != 1:
        return (f"{name}: {len(outlines)} outlines round the profile where one is wanted",)
    off = _whole_apart(profile, outlines, wanted, placed=placed)
    if off <= most_mm:
        return ()
    by = "has other pieces" if np.isinf(off) else f"lies {off:.2g} mm off"
    return (f"{name}: the outline round the profile {by}",)


def _whole_apart(profile: Curve, outlines: Sequence[Curve], wanted: Drawing, *, placed: bool) -> float:
    """The most profile and outline together lie off those of a template, mm; infinite where they cannot be its."""
    if wanted.profile is None or wanted.outline is None:
        return min(_apart(profile, wanted.profile, placed=placed)) if wanted.profile is not None else float("inf")
    if len(outlines) != 1:
        return float("inf")
    whole = [
        np.concatenate([edge.cubics, rest.cubics])
        for edge, rest in ((profile, outlines[0]), (wanted.profile, wanted.outline))
    ]
    return min(_between(*whole, placed=placed))


def _apart(found: Curve, wanted: Curve, *, placed: bool) -> list[float]:
    """The most two chains differ in a control point, mm, for each way the second may stand."""
    return _between(found.cubics, wanted.cubics, placed=placed)


def _between(found: Floats, wanted: Floats, *, placed: bool) -> list[float]:
    """The same of control points, (n, 4, 2)."""
    if len(found) != len(wanted):
        return [float("inf")]
    if not placed:
        return [float(np.abs(found - wanted).max())]
    gaps = [found - stands for stands in (wanted, wanted @ _QUARTER)]
    return [float(np.abs(gap - gap[0, 0]).max()) for gap in gaps]


def too_far(found: Found, most_mm: float) -> tuple[str, ...]:
    """What is wrong where a profile lies further off than `most_mm`, a sentence."""
    if found.off_mm <= most_mm:
        return ()
    if np.isinf(found.off_mm):
        return ("the profile is none of the design's: not one it could be has as many pieces",)
    return (f"the profile lies {found.off_mm:.2g} mm off that of {found.name}",)
