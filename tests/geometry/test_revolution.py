"""Solids of revolution against the answers of OpenStax Calculus (volumes 1 and 2, CC BY-NC-SA 4.0)."""

from __future__ import annotations

from math import asin, pi, sqrt

import numpy as np
import pytest
import sympy  # type: ignore[import-untyped]  # it brings no types

from profiler.geometry.cubics import refined_surface
from profiler.geometry.curve import Curve, arc, chained, cubic, line, polyline
from profiler.geometry.section import Section, volume_below

EXACT = 1e-9
"""Relative, for what a chain of cubics holds exactly: the issue asks it; rounding is about 1e-15."""

ARC = 2.73e-4
"""A quarter arc drawn as one cubic is nowhere inside the circle and at most this share of the radius
outside it (exact: the greatest excess of the cubic with handles 4/3 (√2 - 1)). Hence the tolerances below:
an area may be too large by twice, a volume by three times that share."""

Pair = tuple[float, float]


def _parabola(start: Pair, corner: Pair, end: Pair) -> Curve:
    """A parabola by its two ends and the crossing of its end tangents, raised to a cubic: exact."""
    p, q, r = (np.array(point, dtype=float) for point in (start, corner, end))
    return cubic(p, p + 2 / 3 * (q - p), r + 2 / 3 * (q - r), r)


def _closed(*curves: Curve) -> Section:
    return Section(chained(curves))


DOME = _closed(_parabola((2, 0), (1, 4), (0, 4)), line((0, 4), (0, 0)), line((0, 0), (2, 0)))
WASHER = _closed(_parabola((1, 1), (1.5, 2), (2, 4)), polyline([(2, 4), (1, 4), (1, 1)]))
SHELL = _closed(line((0, 0), (2, 0)), _parabola((2, 0), (1, 2), (0, 0)))
FRUSTUM = _closed(polyline([(0, 0), (1, 0), (4, 3), (0, 3), (0, 0)]))


@pytest.mark.parametrize(
    ("section", "answer"),
    [
        pytest.param(DOME, 8 * pi, id="paraboloid x = sqrt(4 - y) about y"),
        pytest.param(FRUSTUM, 21 * pi, id="cone frustum, radii 1 and 4, height 3"),
        pytest.param(WASHER, 9 * pi / 2, id="washer sqrt(x) over 1, x 1..4, about x"),
        pytest.param(SHELL, 8 * pi / 3, id="shell 2x - x^2, x 0..2, about y"),
    ],
)
def test_volumes_that_cubics_hold_exactly(section: Section, answer: float) -> None:
    assert section.volume_mm3 == pytest.approx(answer, rel=EXACT)


@pytest.mark.parametrize(("radius", "out", "answer"), [(2.0, 4.0, 32 * pi**2), (1.0, 3.0, 6 * pi**2)])
def test_discs_by_the_theorem_of_pappus(radius: float, out: float, answer: float) -> None:
    torus = Section(arc((out, 0.0), radius, 0.0, 2 * pi))
    assert answer <= torus.volume_mm3 <= answer * (1 + ARC) ** 2  # by ARC: never inside, twice the excess at most


def test_sphere_less_its_cap() -> None:
    # π/3 (h + R)(h - 2R)² for R 5 and a cap 2 high
    lower = _closed(arc((0.0, 0.0), 5.0, -pi / 2, asin(3 / 5)), polyline([(4, 3), (0, 3), (0, -5)]))
    assert lower.volume_mm3 == pytest.approx(pi / 3 * 7 * 64, rel=3 * ARC)  # a volume of an arc


def test_surface_of_a_paraboloid_bowl() -> None:
    bowl = _parabola((0, 0), (1, 0), (2, 4))  # y = x², x 0..2
    answer = pi / 6 * (17 * sqrt(17) - 1)
    assert 2 * pi * refined_surface(bowl.cubics) == pytest.approx(answer, rel=EXACT)


@pytest.mark.parametrize(
    ("curve", "answer"),
    [
        pytest.param(arc((0.0, 0.0), 2.0, 0.0, pi / 2), 8 * pi, id="hemisphere, radius 2"),
        pytest.param(arc((1.0, 0.0), 1.0, 0.0, pi / 2), pi * (2 + pi), id="rounded rim, radius 1"),
    ],
)
def test_surfaces_of_arcs(curve: Curve, answer: float) -> None:
    # twice the excess of an arc
    assert 2 * pi * refined_surface(curve.cubics) == pytest.approx(answer, rel=2 * ARC)


def test_a_cubic_of_full_degree_against_sympy() -> None:
    # an outline with no symmetry: one bent cubic, closed straight to the axis
    handles = [(30, 0), (52, 11), (17, 40), (41, 63)]
    t = sympy.symbols("t")
    basis = [(1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t**2 * (1 - t), t**3]
    r = sum(b * h[0] for b, h in zip(basis, handles, strict=True))
    z = sum(b * h[1] for b, h in zip(basis, handles, strict=True))
    volume = sympy.pi * sympy.integrate(sympy.expand(r**2 * sympy.diff(z, t)), (t, 0, 1))
    moment = sympy.pi * sympy.integrate(sympy.expand(z * r**2 * sympy.diff(z, t)), (t, 0, 1))
    area = sympy.integrate(sympy.expand(r * sympy.diff(z, t)), (t, 0, 1))
    pot = _closed(cubic(*handles), polyline([(41, 63), (0, 63), (0, 0), (30, 0)]))
    assert pot.volume_mm3 == pytest.approx(float(volume), rel=EXACT)
    assert pot.area_mm2 == pytest.approx(float(area), rel=EXACT)
    assert pot.centroid_height_mm == pytest.approx(float(moment / volume), rel=EXACT)


@pytest.mark.parametrize("level", [0.5, 1.0, 2.7, 4.0])
def test_a_paraboloid_fills_with_the_square_of_the_level(level: float) -> None:
    # y = r² holds π ∫ y dy = π h² / 2 to the level h (exact)
    assert volume_below(_parabola((0, 0), (1, 0), (2, 4)), level) == pytest.approx(pi * level**2 / 2, rel=EXACT)


def test_a_cone_balances_at_a_quarter_of_its_height() -> None:
    # exact: the centroid of a cone stands a quarter of its height above its base
    cone = _closed(polyline([(0, 0), (3, 0), (0, 8), (0, 0)]))
    assert cone.centroid_height_mm == pytest.approx(2.0, rel=EXACT)
    assert cone.surface_mm2 == pytest.approx(pi * 3 * (3 + sqrt(73)), rel=EXACT)  # π r (r + slant), exact


def test_a_state_is_an_affine_map_of_the_section() -> None:
    # a body that shrinks differently along the axis: V grows with k_r² k_z, z̄ with k_z (exact)
    mapped = DOME.mapped(0.88, 0.9)
    assert mapped.volume_mm3 == pytest.approx(8 * pi * 0.88**2 * 0.9, rel=EXACT)
    assert mapped.centroid_height_mm == pytest.approx(0.9 * DOME.centroid_height_mm, rel=EXACT)
