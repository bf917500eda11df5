"""Templates for a laser or a fine router, whose cut has a width of its own: what is left has the true edge."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from ..geometry.curve import Curve, chained
from ..geometry.outset import ClosedUpError, clearance, outset, outset_runs
from ..sheets import face
from .drawing import Drawing, Layer, Line, Words

MAX_KERF_MM = 3.0
"""Widest cut allowed for: over it a tool is a router with passes of its own, and swallows small roundings."""

_SAMPLES = 16  # to a cubic, where the cutter's reach is looked at
_TEXT_MM, _BELOW_MM = 3.6, 4.0


def for_kerf(drawing: Drawing, kerf_mm: float) -> Drawing:
    """A template with the paths a cutter follows in place of the edges it leaves; it says so in words.

    The cutter takes half its width on either side of its path, so round the body the path runs so much outside
    and round a hole so much inside. The line `profile` is then the path beside the working edge and `outline`
    the rest; turns about the corners where the two meet belong to `outline`. Marks and words stay. Slab
    patterns are treated alike: the clay is cut with a knife, but the pattern it goes round is cut like a rib.

    An outer corner is left sharp. In an inner corner of angle α a round cutter leaves a web that is
    (1 / sin(α / 2) - 1) kerf / 2 deep at the corner.

    Args:
        drawing: a template.
        kerf_mm: width of the cut, mm.

    Raises:
        ValueError: the drawing is no template, the width is not over 0 and at most MAX_KERF_MM, the cut does not
            fit into a hole or a gap, or would leave a web deeper than half its width.
    """
    if not (math.isfinite(kerf_mm) and 0 < kerf_mm <= MAX_KERF_MM):
        raise ValueError(f"the cutter's width is {kerf_mm:g} mm; it must be over 0 and at most {MAX_KERF_MM:g} mm")
    edge, body = drawing.profile, drawing.body
    if edge is None or body is None:
        raise ValueError(f"{drawing.name} is not a template: it has no body to cut out")
    paths = _body_paths(drawing.name, edge, body, kerf_mm)
    lines = [
        line
        if line.layer is not Layer.CUT
        else replace(line, curve=paths[line.id] if line.id in paths else _hole_path(drawing.name, line, kerf_mm))
        for line in drawing.lines
    ]
    width = f"{kerf_mm:.3g}\u00a0mm"
    note = f"cut edges allow for a cutter {width} wide: not a gauge as printed"
    title = f"{drawing.title}, for a cutter {width} wide"
    return replace(drawing, title=title, lines=tuple(lines), words=(*drawing.words, _note(drawing, note)))


def _body_paths(name: str, edge: Curve, body: Curve, kerf: float) -> dict[str, Curve]:
    """The path round the body, cut where the working edge ends and starts."""
    try:
        runs = outset_runs(body, kerf / 2)
    except ClosedUpError as error:
        raise ValueError(f"{name}: a cutter {kerf:g} mm wide does not get round the body: {error}") from error
    _check_web(name, body, chained(run.curve for run in runs), kerf)
    # the runs are in the body's order, so a turn where the edge starts comes last, and one where it ends after it
    first = next((index for index, run in enumerate(runs) if run.of >= len(edge)), len(runs))
    if not 0 < first < len(runs):
        raise ValueError(f"{name}: a cutter {kerf:g} mm wide leaves nothing of the working edge or of the outline")
    return {
        "profile": chained(run.curve for run in runs[:first]),
        "outline": chained(run.curve for run in runs[first:]),
    }


def _hole_path(name: str, line: Line, kerf: float) -> Curve:
    try:
        path = outset(line.curve, -kerf / 2)
    except ClosedUpError as error:
        raise ValueError(f"{name}: a cutter {kerf:g} mm wide does not fit the hole `{line.id}`: {error}") from error
    _check_web(name, line.curve, path, kerf)
    return path


def _check_web(name: str, contour: Curve, path: Curve, kerf: float) -> None:
    """See that the cutter comes near every place of a contour.

    Raises:
        ValueError: it leaves more than half its width standing.
    """
    points = contour.sampled(_SAMPLES)
    missed = points[np.isinf(clearance(points, path, kerf))]
    if len(missed):
        x, y = missed[0]
        raise ValueError(
            f"{name}: a cutter {kerf:g} mm wide cannot follow the edge near ({x:.1f}, {y:.1f}) mm: "
            f"it would leave over {kerf / 2:.3g} mm standing"
        )


def _note(drawing: Drawing, text: str) -> Words:
    """The note under the body, in the waste: engraved on the tool it would call a true gauge untrue."""
    left, bottom, _, _ = drawing.bounds()
    return Words(text, left, bottom - _BELOW_MM - face.ASCENT * _TEXT_MM, _TEXT_MM)
