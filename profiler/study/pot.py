"""The pot of a study in half section, with the range of its cuts drawn on it: the picture a potter understands."""

from __future__ import annotations

import numpy as np

from ..forms.shape import Shape
from ..geometry.curve import Curve, Floats, line, polyline
from ..templates.dimension import MIDDLE, Marks, thin
from ..templates.drawing import Layer, Line, Pen, Words
from .labels import spread
from .said import degrees, height_said, heights_said
from .study import ENDS_MM, Span, Study
from .tried import Tried

_LABEL_ROOM = 20.0
_OUT_MM = 2.5
"""How far a cut's line stands out of the clay on both sides, on paper."""
_PLACES = 2001
"""Along a curve: a tenth of a millimetre apart, or less, on a pot 200 mm high; less than a line is wide."""


def half_section(study: Study, wide: float, high: float, size: float) -> Marks:
    """The closed form right of its axis, scaled into a box from the origin, its cuts at the named slant.

    Args:
        study: whose pot and spans.
        wide: of the box with the labels, mm.
        high: of the box, mm.
        size: font size, mm.
    """
    shape = _whole(study)
    outline = shape.section.outline
    captions = (3 if study.trial.lid.at_cut is None else 4) * 1.5 * size
    scale = min((wide - _LABEL_ROOM) / outline.highest(0)[1], (high - captions - 2 * size) / outline.highest(1)[1])
    foot = captions + (high - captions - scale * outline.highest(1)[1]) / 2

    def placed(curve: Curve) -> Curve:
        return curve.mapped(scale, scale).moved(0.0, foot)

    right, top = scale * outline.highest(0)[1], foot + scale * outline.highest(1)[1]
    lines = [Line(placed(outline), Layer.MARK, Pen.CLAY)]
    wide_spans = [span for span in study.named.spans if span.high.height - span.low.height > ENDS_MM]
    lines += [Line(placed(_cut_through(study, span, shape)), Layer.MARK, Pen.WASTE) for span in wide_spans]
    lines.append(Line(line([0.0, foot - 1.5 * size], [0.0, top + 1.5 * size]), Layer.MARK, Pen.CENTRE))
    lines.append(thin(line([0.0, foot], [right + 3.0, foot])))
    marks = Marks(tuple(lines))
    named: list[tuple[Tried, str, Pen]] = []
    for span in [] if study.one_height else study.named.spans:
        for end, text in zip((span.low, span.high), heights_said(span), strict=True):
            named.append((study.trial.at(end.height, study.named.angle), text, Pen.SEEN))
    shown = study.shown
    if shown is not None:
        named.append((shown, height_said(shown.height), Pen.SEEN if study.one_height else Pen.DASHED))
    places = [_joint(tried, shape, scale, foot) for tried, _, _ in named]
    column = max([right, *(float(ends[0, 0]) for ends in places)]) + 3.0
    heights = spread([float(ends[0, 1]) for ends in places], 1.25 * size)
    for (_, text, pen), ends, y in zip(named, places, heights, strict=True):
        marks += Marks(
            (Line(polyline(ends), Layer.MARK, pen), thin(polyline([ends[0], (column, y), (column + 1.0, y)]))),
            (Words(f"{text} mm", column + 1.8, y - MIDDLE * size, size),),
        )
    return marks + Marks(words=_captions(study, foot - 2.8 * size, size))


def _captions(study: Study, y: float, size: float) -> tuple[Words, ...]:
    texts = [f"cut at {degrees(study.named.angle)}"]
    if study.one_height:
        texts.append("it holds" if study.named.spans else "it does not hold")
    elif study.named.spans:
        texts += ["light clay: the cut holds", "broken line: the example"]
    else:
        texts.append("no height holds")
    if study.trial.lid.at_cut is not None:
        texts.append("more clay at the example's cut" if study.shown else "the wall without its clay at the cut")
    return tuple(Words(text, 0.0, y - 1.5 * size * number, size) for number, text in enumerate(texts))


def _whole(study: Study) -> Shape:
    """The form as it is thrown for the example's cut, with its knob and its clay there; else as it is without."""
    shown = study.shown
    return study.trial.part.shape if shown is None or shown.figures is None else shown.figures.whole


def _joint(tried: Tried, shape: Shape, scale: float, foot: float) -> Floats:
    """Both ends of a cut's line on paper, the outer one first, a little beyond the drawn clay, (2, 2) mm."""
    if tried.figures is None:
        raise TypeError("a cut that holds came without its figures")
    meets = np.array([tried.figures.pair.outer, tried.figures.pair.inner])
    within = shape.inside.at(_place(shape.inside, meets, 1))
    ends = scale * np.array([meets[0], within]) + np.array([0.0, foot])
    way = (ends[1] - ends[0]) / np.hypot(*(ends[1] - ends[0]))
    found: Floats = ends + np.stack([-_OUT_MM * way, _OUT_MM * way])
    return found


def _cut_through(study: Study, span: Span, shape: Shape) -> Curve:
    """The clay between the lowest and the highest cut of a span, closed, mm of the sized state."""
    tried = [study.trial.at(end.height, study.named.angle).figures for end in (span.low, span.high)]
    joints = [np.array([figures.pair.outer, figures.pair.inner]) for figures in tried if figures is not None]
    outside, inside = (
        curve.part(*(_place(curve, ends, near) for ends in joints))
        for curve, near in ((shape.outside, 0), (shape.inside, 1))
    )
    return outside + line(outside.end, inside.end) + inside.reversed() + line(inside.start, outside.start)


def _place(curve: Curve, ends: Floats, near: int) -> float:
    """Where a joint's line meets a curve, next to one of its ends: a wall thrown thicker there is not drawn so."""
    places = np.linspace(0.0, len(curve.cubics), _PLACES)
    points = curve.at(places)
    way = ends[1] - ends[0]
    off = (points[:, 0] - ends[0, 0]) * way[1] - (points[:, 1] - ends[0, 1]) * way[0]
    first = np.flatnonzero(off[:-1] * off[1:] <= 0)
    nearest = first[np.argmin(np.hypot(*(points[first] - ends[near]).T))]
    share = off[nearest] / (off[nearest] - off[nearest + 1])
    return float(places[nearest] + share * (places[nearest + 1] - places[nearest]))
