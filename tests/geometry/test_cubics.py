"""Cubics as bare numbers, against the polynomials and the quadrature of general libraries."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.interpolate import BPoly, PPoly

from profiler.geometry.cubics import arc_lengths, refined_surface, zeros
from profiler.geometry.curve import Curve, polyline
from profiler.geometry.section import crossing_point

CUBICS = np.random.default_rng(7).uniform(-100, 100, size=(200, 4))
ROUNDING = 1e-9
"""Both solve to rounding, 1e-14 of 100 mm; where a root is flat that is 1e-9 of the place."""


@pytest.mark.parametrize(
    "p", [*CUBICS, np.sort(CUBICS[0]), [3.0, 1.0, -1.0, -3.0], [0.0, 1.0, 2.0, 3.0], [4, 1, 1, 4]]
)
def test_zeros_are_those_of_the_polynomial(p: np.ndarray) -> None:
    found = PPoly.from_bernstein_basis(BPoly(np.asarray(p, dtype=float)[:, None], [0, 1])).roots(extrapolate=False)
    assert sorted(zeros(list(map(float, p)))) == pytest.approx(sorted(found), abs=ROUNDING)


def test_a_coordinate_that_is_nought_all_along_has_no_zeros() -> None:
    assert zeros([0.0, 0.0, 0.0, 0.0]) == []


@pytest.mark.parametrize("cubic", CUBICS[:40].reshape(-1, 4, 2), ids=str)
def test_lengths_and_surfaces_are_those_of_adaptive_quadrature(cubic: np.ndarray) -> None:
    cubic = cubic + np.array([150.0, 0.0])
    point = BPoly(cubic[:, None], [0, 1])
    slope = point.derivative()
    length = quad(lambda t: np.hypot(*slope(t)), 0, 1, epsabs=0, epsrel=1e-11, limit=200)[0]
    surface = quad(lambda t: point(t)[0] * np.hypot(*slope(t)), 0, 1, epsabs=0, epsrel=1e-11, limit=200)[0]
    # DESIGN: lengths and surfaces are good to 1e-9 of themselves
    assert arc_lengths(cubic[None])[0] == pytest.approx(length, rel=1e-9)
    assert refined_surface(cubic[None]) == pytest.approx(surface, rel=1e-9)


def test_a_single_place_is_the_same_as_one_of_many() -> None:
    chain = np.cumsum(np.random.default_rng(3).uniform(-9, 9, size=(13, 2)), axis=0)
    curve = Curve(np.stack([chain[3 * k : 3 * k + 4] for k in range(4)]))
    places = np.linspace(0, 4, 33)
    for of in (curve.at, curve.slope, curve.bend):
        assert np.array([of(float(u)) for u in places]) == pytest.approx(of(places), abs=1e-12)
    point, slope, bend = curve.jet(2.3)
    assert (point, slope, bend) == tuple(tuple(of(2.3)) for of in (curve.at, curve.slope, curve.bend))


def test_a_chain_that_crosses_itself_is_found_and_one_that_touches_nothing_is_not() -> None:
    bow = [[0, 0], [40, 40], [40, 0], [0, 40], [0, 0]]
    square = [[0, 0], [40, 0], [40, 40], [0, 40], [0, 0]]
    assert crossing_point(polyline(bow)) == pytest.approx([20, 20], abs=1e-9)
    assert crossing_point(polyline(square)) is None
