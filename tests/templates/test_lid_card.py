"""The lid card: what goes in, what goes over, and what must not."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from shapely.geometry import LineString, box

from profiler.lengths import mm
from profiler.templates.drawing import Drawing
from profiler.templates.lettering import SEAT_BAND_MM
from profiler.templates.lid_card import (
    LEATHER_HARD_BAND_MM,
    TIP_MM,
    Tried,
    lid_card,
    why_no_lid_card,
)
from tests.templates.lid_tools import CARDS, EXACT_MM, SEATS, body_of, lettered, says


def width_at(card: Drawing, height: float) -> list[tuple[float, float]]:
    """(left, right) of each piece of the card on a level scan line."""
    left, _, right, _ = body_of(card).bounds
    cut = body_of(card).intersection(LineString([(left - 1, height), (right + 1, height)]))
    return sorted((piece.bounds[0], piece.bounds[2]) for piece in shapely.get_parts(cut))


@pytest.mark.parametrize("name", SEATS)
def test_the_plug_goes_in_by_its_first_step_only(name: str) -> None:
    card, seats = CARDS[name], SEATS[name]
    inside, band = seats.inside, seats.band_mm
    step = min(8.0, inside.deep_mm - 1.0)
    for height in np.linspace(TIP_MM, step, 9)[:-1] + 0.01:
        ((left, right),) = width_at(card, height)
        assert right - left == pytest.approx(inside.diameter_mm, abs=EXACT_MM)
        assert left == pytest.approx(-right, abs=EXACT_MM)
    for height in np.linspace(step, step + 8.0, 9)[:-1] + 0.01:
        ((left, right),) = width_at(card, height)
        assert right - left == pytest.approx(inside.diameter_mm + band, abs=EXACT_MM)
    # a seat drawn as two walls and a ledge: at the least accepted width the first step enters and the second
    # does not, before the tip meets the ledge; a hair over the widest accepted, the second enters too
    for width, enters in ((inside.diameter_mm, False), (inside.diameter_mm + band + 1e-6, True)):
        half = width / 2
        walls = shapely.union_all([box(-half - 9, 0, -half, 30), box(half, 0, half + 9, 30)])
        free = inside.deep_mm if math.isfinite(inside.deep_mm) else 20.0
        sunk = shapely.affinity.translate(body_of(card), 0, 30 - step - 0.5)
        assert (sunk.intersection(walls).area > 1e-9) != enters
        assert sunk.bounds[1] >= 30 - free  # not yet on the ledge
        assert shapely.affinity.translate(body_of(card), 0, 30 - step).intersection(walls).area < 1e-6


@pytest.mark.parametrize("name", SEATS)
def test_the_gap_goes_over_by_its_first_step_only(name: str) -> None:
    card, seats = CARDS[name], SEATS[name]
    outside, band, top = seats.outside, seats.band_mm, body_of(card).bounds[3]
    step = min(8.0, outside.deep_mm - 1.0)

    def gap(height: float) -> float:
        (_, left), (right, _) = width_at(card, height)
        return right - left

    for height in np.linspace(top - step, top - TIP_MM, 9)[:-1] + 0.01:
        assert gap(height) == pytest.approx(outside.diameter_mm, abs=EXACT_MM)
    deep = seats.rises_mm + 4.0  # what stands over the edge, and its play
    for height in np.linspace(top - step - 8.0, top - step, 9)[:-1] + 0.01:
        assert gap(height) == pytest.approx(outside.diameter_mm - band, abs=EXACT_MM)
    # with the card's second step on the edge, a knob as wide as the gap still has its play
    knob = box(-outside.diameter_mm / 4, top - step - seats.rises_mm - 3.9, outside.diameter_mm / 4, top)
    assert knob.intersection(body_of(card)).area == 0
    assert gap(top - step - 8.0 - deep + 3.1) == pytest.approx(outside.diameter_mm - band, abs=EXACT_MM)


def test_each_step_has_its_width_written_beside_it() -> None:
    for name, card in CARDS.items():
        seats, top = SEATS[name], body_of(card).bounds[3]
        boxes = dict(zip([w.text for w in card.words], lettered(card), strict=True))
        inside, outside, band = seats.inside, seats.outside, seats.band_mm
        goes, stops = (
            boxes[f"goes in: {mm(inside.diameter_mm)}"],
            boxes[f"must not go in: {mm(inside.diameter_mm + band)}"],
        )
        passes, holds = (
            boxes[f"goes over: {mm(outside.diameter_mm)}"],
            boxes[f"must not: {mm(outside.diameter_mm - band)}"],
        )
        # nearer the end is the step that goes
        assert goes.centroid.y < stops.centroid.y < inside.step_mm + 8.0
        assert top > passes.centroid.y > holds.centroid.y > top - outside.step_mm - 8.0 - 1.0
        assert goes.bounds[3] < inside.step_mm < stops.bounds[1]


def test_bands_are_half_to_one_millimetre() -> None:
    # common practice, no source: half a millimetre to one in all, as a wet rim moves by half a millimetre
    assert (LEATHER_HARD_BAND_MM, SEAT_BAND_MM) == (0.5, 1.0)


def test_a_seat_too_small_or_too_shallow_gets_no_card() -> None:
    good = SEATS["jam pot"]
    small = replace(good, inside=Tried("jar's mouth", 20.0))
    shallow = replace(good, outside=Tried("flange", 80.0, 2.0))
    for seats, word in ((small, "callipers serve better"), (shallow, "not felt")):
        assert word in str(why_no_lid_card(seats))
        with pytest.raises(ValueError, match=word):
            lid_card(says("lid card"), seats)
    assert why_no_lid_card(good) is None
