"""The rise against searches that know nothing of how it was found: polygons let down step by step, and grids."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from shapely import Polygon, affinity
from shapely.geometry.base import BaseGeometry
from shapely.ops import unary_union

from profiler.clay.states import State
from profiler.faults import Fault
from profiler.lidded import standing
from profiler.piece import Piece
from profiler.stacking import nest, stack_height_mm
from tests.pieces import DEMO_DESIGNS, demo_piece, piece_from
from tests.strategies import any_design, designs

PER_CUBIC = 160
SEARCHED_MM = 2e-3
"""A run of 60 mm bent by 60 lies at most (60/160)²/8/60 = 3e-4 off its chords, on either curve."""
TOUCHES_MM2 = 1e-6
"""Two roundings of 1 mm overlap by this much 6e-5 mm after they touch."""
STEP_MM = 0.5

OPEN = [path for path in DEMO_DESIGNS if demo_piece(path).pair is None]


def _polygon(piece: Piece) -> BaseGeometry:
    parts = [Polygon(standing(piece, cast, State.FIRED).outline.sampled(PER_CUBIC)) for cast in piece.parts]
    return unary_union([part.buffer(0) for part in parts])


def _searched(lower: Piece, upper: Piece) -> float:
    """Let down from over the top in steps until the clay meets, then halved."""
    below, above = _polygon(lower), _polygon(upper)

    def clear(rise: float) -> bool:
        return below.intersection(affinity.translate(above, 0.0, rise)).area < TOUCHES_MM2

    high = below.bounds[3] + STEP_MM
    while high > 0 and clear(high - STEP_MM):
        high -= STEP_MM
    low = high - STEP_MM
    while high - low > SEARCHED_MM / 10:
        middle = (low + high) / 2
        low, high = (low, middle) if clear(middle) else (middle, high)
    return high


@pytest.mark.parametrize("path", OPEN, ids=lambda path: path.stem)
def test_each_open_demo_in_itself(path: Path) -> None:
    piece = demo_piece(path)
    assert nest(piece, piece).pitch_mm == pytest.approx(_searched(piece, piece), abs=SEARCHED_MM)


NEAR_MM = 0.3
CLOSE_MM = 1e-7
"""Chords of 20,000 to a rounding of 1 mm, and radii 0.0001 mm apart on it, are some 1e-9 off."""


@pytest.mark.parametrize("path", OPEN, ids=lambda path: path.stem)
def test_the_place_where_they_touch_is_looked_at_very_closely(path: Path) -> None:
    piece = demo_piece(path)
    found = nest(piece, piece)
    r = np.arange(max(found.r_mm - NEAR_MM, 0), found.r_mm + NEAR_MM, 1e-4)
    high, low = np.full(len(r), -np.inf), np.full(len(r), np.inf)
    for cast in piece.parts:
        outline = standing(piece, cast, State.FIRED).outline
        for index in range(len(outline)):
            points = outline.at(np.linspace(index, index + 1, 20_001))
            points = points[np.argsort(points[:, 0])]
            if np.ptp(points[:, 0]) > CLOSE_MM:  # upright runs end where others do
                z = np.interp(r, points[:, 0], points[:, 1], left=np.nan, right=np.nan)
                high, low = np.fmax(high, z), np.fmin(low, z)
    gap = (high - low).max()
    assert found.pitch_mm == pytest.approx(gap, abs=CLOSE_MM)


@pytest.mark.parametrize("upper", DEMO_DESIGNS, ids=lambda path: path.stem)
def test_each_demo_in_each_that_is_open(upper: Path) -> None:
    above = demo_piece(upper)
    for path in OPEN:
        below = demo_piece(path)
        assert nest(below, above).pitch_mm == pytest.approx(max(_searched(below, above), 0), abs=SEARCHED_MM), path


def _runs(piece: Piece) -> NDArray[np.float64]:
    """The outlines as straight runs, (n, 2, 2), each from the axis out."""
    chains = [standing(piece, cast, State.FIRED).outline.sampled(100) for cast in piece.parts]
    runs = np.concatenate([np.stack([points[:-1], points[1:]], axis=1) for points in chains])
    runs = np.where((runs[:, 0, 0] > runs[:, 1, 0])[:, None, None], runs[:, ::-1], runs)
    return np.asarray(runs[runs[:, 1, 0] - runs[:, 0, 0] > 1e-9])


def _gridded(piece: Piece) -> float:
    """The most, over radii 0.1 mm apart and all corners, of the highest clay less the lowest."""
    runs = _runs(piece)
    r = np.union1d(np.arange(0.05, runs[..., 0].max(), 0.1), runs[..., 0].ravel())
    high, low = np.full(len(r), -np.inf), np.full(len(r), np.inf)
    for (r0, z0), (r1, z1) in runs:
        on = slice(*np.searchsorted(r, [r0, r1 + 1e-12]))
        z = z0 + (r[on] - r0) / (r1 - r0) * (z1 - z0)
        high[on], low[on] = np.maximum(high[on], z), np.minimum(low[on], z)
    return float((high - low).max())


GRIDDED_MM = 4e-3
"""Chords of 100 to a run of 140 mm bent by 60 lie (140/100)²/8/60 = 4e-3 off it."""


@given(designs("bowl") | designs("plate") | designs("cylinder") | designs("points") | designs("stand"))
@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.filter_too_much])
def test_random_pots_against_a_grid(text: str) -> None:
    piece = _pot(text)
    assert nest(piece, piece).pitch_mm == pytest.approx(_gridded(piece), abs=GRIDDED_MM)


@given(any_design(), st.integers(1, 30))
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.filter_too_much])
def test_a_stack_is_never_higher_than_pots_on_pots(text: str, count: int) -> None:
    piece = _pot(text)
    found = nest(piece, piece)
    height = stack_height_mm(piece, 1)
    # to rounding of a height of 160 mm
    assert 0 < found.pitch_mm <= height + 1e-9
    assert 0 <= found.z_mm <= height + 1e-9
    assert stack_height_mm(piece, count) == pytest.approx(height + (count - 1) * found.pitch_mm, abs=1e-9)
    for state in State:
        other = nest(piece, piece, state)
        k_z = piece.scale(state)[1] / piece.scale(State.FIRED)[1]
        # a maximum is found to the square of how near its place is, far under any gauge
        assert other.pitch_mm == pytest.approx(k_z * found.pitch_mm, abs=1e-7)
        assert other.touches is found.touches


def _pot(text: str) -> Piece:
    try:
        return piece_from(text)
    except Fault:
        assume(False)
        raise
