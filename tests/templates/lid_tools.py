"""Lid cards, knife guides and notch strips of small, middle and large pots, and how tests look at them."""

from __future__ import annotations

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon, box

from profiler.geometry.curve import Curve, Floats, chained, cubic
from profiler.sheets.face import ASCENT, DESCENT, width_mm
from profiler.templates.drawing import Drawing, Layer
from profiler.templates.knife_guide import (
    Bench,
    Cut,
    Slope,
    knife_guide,
)
from profiler.templates.lettering import SEAT_BAND_MM, Lettering
from profiler.templates.lid_card import (
    LEATHER_HARD_BAND_MM,
    Seats,
    Tried,
    lid_card,
)
from profiler.templates.notch_strip import STRIP_MM, RimNotch, notch_strip

PER_CUBIC = 100  # a quarter arc of 7 mm in 100 chords lies 2e-4 mm off
# Straight edges between computed corners: rounding only.
EXACT_MM = 1e-9
# Chords of arcs, and cubics for arcs: a tenth of what a knife follows.
CLOSE_MM = 0.01


def says(tool: str) -> Lettering:
    return Lettering(
        ("Hut honey jar, lid", tool, "for use leather-hard"),
        ("hut stoneware", "shrinks 5.4 % by now, 12 % fired", "laminate, or trace on thin ply or plastic"),
    )


# A shoulder that leans in more and more, closed at the top.
FORM = chained(
    [cubic((50, 0), (62, 30), (66, 60), (52, 84)), cubic((52, 84), (44, 97), (20, 104), (0, 106))],
)


def outer_at(form: Curve, height: float) -> tuple[float, float]:
    return float(form.at(form.crossings(1, height)[0])[0]), height


def cut_of(height: float, slant: float, slope: Slope, size: float = 1.0, skim: float = 1.1) -> Cut:
    form = FORM.mapped(size, size)
    return Cut(outer_at(form, height * size), slant, slope, form, 7.0, skim_mm=skim)


SEATS = {
    "egg pot": Seats(Tried("jar's mouth", 36.3), Tried("flange", 33.1, 6.0), LEATHER_HARD_BAND_MM),
    "jam pot": Seats(Tried("mouth over the gallery", 92.0, 7.0), Tried("lid", 89.4), SEAT_BAND_MM, rises_mm=12.0),
    "bread crock": Seats(Tried("mouth over the gallery", 214.0, 9.5), Tried("lid", 210.0), LEATHER_HARD_BAND_MM),
    "cap": Seats(Tried("cap", 74.0), Tried("neck", 71.0, 11.0), LEATHER_HARD_BAND_MM),
}
CUTS = {
    "shoulder": (cut_of(84, 40, "inward_down"), Bench()),
    "high": (cut_of(96, 30, "inward_down"), Bench(turned=True, knife_mm=1.0)),
    "cap": (cut_of(84, 40, "inward_up"), Bench()),
    "steep cap": (cut_of(90, 55, "inward_up"), Bench(knife_mm=0.8, bat_mm=0.0)),
    "crock": (cut_of(80, 45, "inward_down", 2.4), Bench(head_over_table_mm=90.0)),
    "mustard": (cut_of(80, 45, "inward_down", 0.55), Bench(20.0, 0.0, 130.0)),
    "low": (cut_of(30, 35, "inward_down"), Bench()),
}
NOTCHES = {
    "straight": RimNotch(47.5, 47.5, STRIP_MM, 11.0, 9.0),
    "many parts": RimNotch(52.0, 52.0, STRIP_MM, 11.0, 9.0, parts=11),
    "small": RimNotch(27.5, 31.0, 38.0, 9.0, 7.0, parts=3),
    "leaning in": RimNotch(45.0, 54.0, 35.0, 12.0, 10.0),
    "leaning out": RimNotch(95.0, 88.0, STRIP_MM, 14.0, 12.0, parts=6),
    "shallow notch": RimNotch(60.0, 60.0005, STRIP_MM, 14.0, 4.0, parts=5),
    "hardly leaning": RimNotch(60.0, 59.5, STRIP_MM, 14.0, 7.0, parts=1),
}
CARDS = {name: lid_card(says("lid card"), seats) for name, seats in SEATS.items()}
GUIDES = {name: knife_guide(says("knife guide"), cut, bench) for name, (cut, bench) in CUTS.items()}
STRIPS = {name: notch_strip(says("notch strip"), notch) for name, notch in NOTCHES.items()}
ALL = [*CARDS.values(), *GUIDES.values(), *STRIPS.values()]


def path_of(drawing: Drawing, name: str) -> Floats:
    (found,) = [line for line in drawing.lines if line.id == name]
    return found.curve.sampled(PER_CUBIC)


def body_of(drawing: Drawing) -> Polygon:
    return Polygon(np.concatenate([path_of(drawing, "profile"), path_of(drawing, "outline")[1:-1]]))


def said(drawing: Drawing) -> str:
    return " ".join(w.text for w in drawing.words)


def marks_of(drawing: Drawing) -> list[LineString]:
    return [LineString(ln.curve.sampled(40)) for ln in drawing.lines if ln.layer is Layer.MARK]


def lettered(drawing: Drawing) -> list[Polygon]:
    """The box of each line of text, by the face's own widths."""
    found = []
    for w in drawing.words:
        wide = width_mm(w.text, w.size, w.bold)
        left = w.x - (wide / 2 if w.anchor == "middle" else 0.0)
        upright = box(left, w.y - DESCENT * w.size, left + wide, w.y + ASCENT * w.size)
        found.append(shapely.affinity.rotate(upright, w.turned, origin=(w.x, w.y)))
    return found
