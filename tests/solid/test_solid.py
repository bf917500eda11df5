"""Solids against published closed forms, the exact integral, and the modeller's own reader."""

from __future__ import annotations

import math
import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from scipy.interpolate import CubicSpline

from profiler.geometry.curve import Curve, arc, chained, cubic, line, polyline
from profiler.geometry.section import Section
from profiler.solid import Modeller, Solid, SolidError, compared, turned_job

# The sections below are cubics without any fitting, so only rounding separates the solid from the formula:
# a few hundred additions of doubles, 1e-13, with room for the kernel's own.
EXACT = 1e-12


def _parabola(start: tuple[float, float], middle: tuple[float, float], end: tuple[float, float]) -> Curve:
    """A parabola's arc by where its end tangents meet, raised to a cubic."""
    a, m, b = np.array(start), np.array(middle), np.array(end)
    return cubic(a, (a + 2 * m) / 3, (b + 2 * m) / 3, b)


def _splined(points: np.ndarray[tuple[int, int], np.dtype[np.float64]]) -> Curve:
    """A C2 cubic through points, as fitted offsets are."""
    u = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    slope, step = CubicSpline(u, points)(u, 1), np.diff(u)[:, None] / 3
    first, last = points[:-1], points[1:]
    return Curve(np.stack([first, first + slope[:-1] * step, last - slope[1:] * step, last], axis=1))


def _bowl() -> Section:
    """A round bowl of twenty cubics inside and twenty outside."""
    turn = np.linspace(0, np.pi / 2, 21)
    inside = _splined(np.stack([75 * np.sin(turn), 66 - 60 * np.cos(turn)], axis=1))
    outside = _splined(np.stack([79.5 * np.sin(turn), 66 - 65 * np.cos(turn) ** 1.1], axis=1))
    rim, axis = line(outside.end, inside.end), line(inside.start, outside.start)
    return Section(chained([outside, rim, inside.reversed(), axis]))


def _cusp() -> Section:
    """What trimming takes off: the thrown curve leaves the finished one on its tangent, at a cusp."""
    leaving = np.array([-2.0, -20.0]) / math.hypot(2, 20)
    thrown = cubic((60, 60), np.array([60, 60]) + 20 * leaving, (57, 15), (55, 0))
    finished = cubic((60, 60), (58, 40), (45, 20), (30, 10))
    ends = [line((30, 10), (30, 0)), line((30, 0), (55, 0))]
    return Section(chained([thrown.reversed(), finished, *ends]))


SECTIONS = {
    "frustum": Section(polyline([(0, 0), (4, 0), (1, 3), (0, 3), (0, 0)])),
    "paraboloid": Section(chained([line((0, 0), (2, 0)), _parabola((2, 0), (1, 4), (0, 4)), line((0, 4), (0, 0))])),
    "washer": Section(chained([_parabola((1, 1), (1.5, 2), (2, 4)), line((2, 4), (1, 4)), line((1, 4), (1, 1))])),
    "shell": Section(chained([line((0, 0), (2, 0)), _parabola((2, 0), (1, 2), (0, 0))])),
    "full bowl": Section(chained([_parabola((0, 0), (1, 0), (2, 4)), line((2, 4), (0, 4)), line((0, 4), (0, 0))])),
    "ring": Section(arc((4, 0), 2, 0, 2 * np.pi)),
    "ball": Section(chained([arc((0, 0), 5, -np.pi / 2, np.pi / 2), line((0, 5), (0, -5))])),
    "bowl": _bowl(),
    "cusp": _cusp(),
    "no handle": Section(
        chained(
            [
                cubic((0, 0), (2, 0), (4, 1), (4, 3)),
                cubic((4, 3), (4, 3), (0, 3), (0, 3)),
                line((0, 3), (0, 0)),
            ]
        )
    ),
    "near the axis": Section(polyline([(9e-8, 0), (4, 0), (1, 3), (0, 3), (0, 1), (9e-8, 0)])),
}


@pytest.fixture(scope="module")
def step(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("step") / "Schüssel.step"


TITLE = "Hütte's \\ šálek ∅ 🍵\n2"


@pytest.fixture(scope="module")
def solids(step: Path) -> dict[str, Solid]:
    jobs = [turned_job(name, [section]) for name, section in SECTIONS.items()]
    jobs.append(turned_job("two", [SECTIONS["frustum"], SECTIONS["ring"].moved(10)]))
    jobs.append(turned_job(TITLE, [SECTIONS["bowl"], SECTIONS["ring"].moved(90)], step=step))
    jobs.append(turned_job("again", [SECTIONS["bowl"]], step=step.with_name("first.step")))
    jobs.append(turned_job("again ", [SECTIONS["bowl"]], step=step.with_name("second.step")))
    with Modeller.start(jobs) as modeller:
        return modeller.result()


@pytest.mark.parametrize(
    ("name", "volume"),
    [
        # OpenStax, Calculus, volumes of revolution: the answers in closed form.
        ("frustum", 21 * math.pi),
        ("paraboloid", 8 * math.pi),
        ("washer", 9 * math.pi / 2),
        ("shell", 8 * math.pi / 3),
        # The same frustum started 9e-8 mm off the axis: that must leave neither a pin-hole nor a difference.
        ("near the axis", 21 * math.pi),
    ],
)
def test_volume_is_the_published_one(solids: dict[str, Solid], name: str, volume: float) -> None:
    assert solids[name].volume_mm3 == pytest.approx(volume, rel=EXACT)


def test_surface_is_the_published_one(solids: dict[str, Solid]) -> None:
    # OpenStax, Calculus: y = x², 0 to 2, turned about y; the disc on top adds 4π. The kernel integrates the
    # square root of a polynomial by a Gauss rule: not exact, so 1e-6.
    lateral = math.pi / 6 * (17 * math.sqrt(17) - 1)
    assert solids["full bowl"].surface_mm2 == pytest.approx(lateral + 4 * math.pi, rel=1e-6)


def test_centre_of_mass_of_a_paraboloid(solids: dict[str, Solid]) -> None:
    # Centre of a solid paraboloid: a third of its height above its base (calculus; height 4 here).
    assert solids["paraboloid"].centre_height_mm == pytest.approx(4 / 3, rel=EXACT)


def test_ring_is_pappus_as_near_as_its_arcs(solids: dict[str, Solid]) -> None:
    # OpenStax, Calculus, Pappus: a disc of 2 at 4 from the axis, 32π². Quarter arcs bulge by at most 2.7e-4
    # of the radius, twice that in area.
    assert solids["ring"].volume_mm3 == pytest.approx(32 * math.pi**2, rel=5.4e-4)


@pytest.mark.parametrize("name", SECTIONS)
def test_solid_agrees_with_the_integral(solids: dict[str, Solid], name: str) -> None:
    section, solid = SECTIONS[name], solids[name]
    # The outline "near the axis" is moved by 9e-8 mm at its axis, 1e-14 mm³; all others by nothing.
    assert solid.volume_mm3 == pytest.approx(section.volume_mm3, rel=EXACT)
    # Green's theorem and the kernel share no code; 1e-9 mm is a thousand roundings of 100 mm.
    assert solid.centre_height_mm == pytest.approx(section.centroid_height_mm, abs=1e-9)
    # Two quadratures of a square root, the integral's good to 1e-9.
    assert solid.surface_mm2 == pytest.approx(section.surface_mm2, rel=1e-6)


def test_edges_on_the_axis_make_no_face(solids: dict[str, Solid]) -> None:
    # Counted by hand: base, cone and top of a frustum; one face for each of the four arcs of a ring.
    assert solids["frustum"].faces == 3
    assert solids["near the axis"].faces == 3
    assert solids["ring"].faces == 4


def test_two_outlines_are_two_solids_of_one_job(solids: dict[str, Solid]) -> None:
    both = SECTIONS["frustum"].volume_mm3 + SECTIONS["ring"].volume_mm3
    assert solids["two"].volume_mm3 == pytest.approx(both, rel=EXACT)
    assert solids["two"].faces == 7


READ = """
import sys
import cadquery
shape = cadquery.importers.importStep(sys.argv[1])
print(len(shape.solids().vals()), sum(s.Volume() for s in shape.solids().vals()))
"""


def test_step_reads_back_with_its_volume(solids: dict[str, Solid], step: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-c", READ, str(step)], capture_output=True, text=True, check=True, timeout=120
    )
    count, volume = done.stdout.split()[-2:]
    assert count == "2"
    # Numbers stand in the file with 15 digits.
    assert float(volume) == pytest.approx(solids[TITLE].volume_mm3, rel=1e-9)


def test_step_carries_its_title_as_the_standard_writes_it(solids: dict[str, Solid], step: Path) -> None:
    assert TITLE in solids
    text = step.read_text(encoding="ascii")
    written = re.findall(r"PRODUCT\('((?:[^']|'')*)','", text)
    assert len(written) == 1

    def sign(match: re.Match[str]) -> str:
        return chr(int(match[1] or match[2], 16))

    # ISO 10303-21, 6.4.3 (from memory): \X2\ four, \X4\ eight hexadecimal digits; '' and \\ for themselves.
    plain = re.sub(r"\\X2\\([0-9A-F]{4})\\X0\\|\\X4\\([0-9A-F]{8})\\X0\\", sign, written[0])
    assert plain.replace("''", "'").replace("\\\\", "\\") == TITLE


def test_step_is_the_same_each_time(solids: dict[str, Solid], step: Path) -> None:
    assert "again" in solids
    first, second = (step.with_name(f"{n}.step").read_text(encoding="ascii") for n in ("first", "second"))
    assert first.replace("'again'", "'again '") == second


@pytest.mark.parametrize("factor", [1 + 2e-9, 1 - 2e-9, math.nan])
def test_a_disagreement_names_the_piece_and_both_numbers(factor: float) -> None:
    compared("bowl", 1234.5, 1234.5 * (1 + 1e-10))
    with pytest.raises(SolidError, match=r"^bowl: .* integral 1234\.5 mm"):
        compared("bowl", 1234.5, 1234.5 * factor)


BAD = {
    "bow-tie": (polyline([(1, 0), (1, 2.5), (5, 0), (4, 3), (1, 0)]), "crosses"),
    "clockwise": (polyline([(1, 0), (1, 3), (4, 3), (4, 0), (1, 0)]), "clockwise"),
    "over the axis": (polyline([(-1, 0), (4, 0), (4, 3), (-1, 0)]), "axis"),
    "dips over the axis": (
        chained([polyline([(0.5, 0), (4, 0), (4, 3), (0.5, 3)]), cubic((0.5, 3), (-1, 2), (-1, 1), (0.5, 0))]),
        "axis",
    ),
    "open": (polyline([(1, 0), (4, 0), (4, 3), (1, 3)]), "open"),
    "spike": (polyline([(1, 0), (4, 0), (4, 3), (4, 0), (5, 5), (1, 0)]), "crosses|touches"),
    "point": (polyline([(1, 0), (1, 0)]), "point"),
}


def test_what_makes_no_solid_is_named_with_the_reason() -> None:
    jobs = [
        {**turned_job(name, []), "outlines": [curve.cubics.tolist()]}  # a section would refuse the open one
        for name, (curve, _) in BAD.items()
    ]
    jobs += [
        turned_job("empty", []),
        {**turned_job("letters", []), "outlines": [[["a"]]]},
        turned_job("nowhere", [SECTIONS["ring"]], step=Path("/no such folder/x.step")),
        turned_job("nowhere either", [SECTIONS["ring"]], stl=Path("/no such folder/x.stl")),
        turned_job("good", [SECTIONS["ring"]]),
    ]
    with Modeller.start(jobs) as modeller, pytest.raises(SolidError) as caught:
        modeller.result()
    told = dict(row.split(": ", 1) for row in str(caught.value).splitlines())
    assert set(told) == {*BAD, "empty", "letters", "nowhere", "nowhere either"}
    for name, (_, reason) in BAD.items():
        assert re.search(reason, told[name]), told[name]
    assert "cannot be written" in told["nowhere"]
    assert "cannot be written" in told["nowhere either"]
    assert "Traceback" not in str(caught.value)


@pytest.mark.parametrize("of", [lambda s: s.volume_mm3, lambda s: s.surface_mm2, lambda s: s.faces])
def test_results_are_numbers(solids: dict[str, Solid], of: Callable[[Solid], float]) -> None:
    assert all(of(solid) > 0 for solid in solids.values())
