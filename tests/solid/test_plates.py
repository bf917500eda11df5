"""Plates against closed forms of mensuration, and what cannot be made."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import trimesh

from profiler.geometry.curve import Curve, arc, chained, cubic, line, polyline
from profiler.solid import Modeller, Solid, plate_job
from profiler.templates.catalogue import ALL, chosen
from tests.pieces import piece_from
from tests.solid.reading import manifold_volume, read, volumes_read_back

# Flat faces only: nothing but rounding separates the solid from the formula.
EXACT = 1e-12
# The kernel's own limit for two points being one, over a bevel a few mm wide.
KERNEL = 1e-6


def _box(wide: float, high: float, *, from_: int = 0) -> Curve:
    corners = [(0, 0), (wide, 0), (wide, high), (0, high)]
    turned = corners[from_:] + corners[:from_]
    return polyline([*turned, turned[0]])


def _round(radius: float, centre: Sequence[float] = (0.0, 0.0)) -> Curve:
    # twenty arcs: a cubic's error falls with the sixth power of its turn, from 2.7e-4 to 2e-8 of the radius
    ends = np.linspace(0, 2 * np.pi, 21)
    return chained([arc(centre, radius, a, b) for a, b in pairwise(ends)])


def _closing(profile: Curve, *corners: tuple[float, float]) -> Curve:
    return chained([profile, polyline([profile.end, *corners, profile.start])])


BOX, DISC = _box(60, 40), _round(30)
NOTCHED = polyline([(0, 0), (20, 0), (20, 15), (40, 15), (40, 0), (60, 0), (60, 40), (0, 40), (0, 0)])
CURVED = chained([line((0, 0), (15, 0)), cubic((15, 0), (25, 0), (35, 10), (45, 10)), line((45, 10), (60, 10))])


def _feather(off: float) -> Curve:
    """A hollow quarter round of 30 mm that runs out in a point on a straight side, the tangent off by rounding."""
    hollow = chained([arc((0, 30), 30, 0, -np.pi / 4), arc((0, 30), 30, -np.pi / 4, -np.pi / 2)]).cubics.copy()
    hollow[-1, 2:, 1] = off, 0
    hollow[-1, 3, 0] = 0
    return _closing(Curve(hollow), (60, 0), (60, 30))


def _bevelled(name: str, body: Curve, holes: Sequence[Curve] = (), **more: Any) -> dict[str, Any]:
    """A plate of 5 mm with its first side bevelled by 4 at 45 degrees, where nothing else is said."""
    sizes: dict[str, Any] = {"thickness_mm": 5.0, "working": 1, "edge_mm": 1.0, "angle_deg": 45.0}
    return plate_job(name, body, holes, **sizes | more)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("plates")


@pytest.fixture(scope="module")
def solids(folder: Path) -> dict[str, Solid]:
    hole = _round(4, (30, 25))
    jobs = [
        plate_job("flat", BOX, [hole], thickness_mm=5.0, step=folder / "flat.step", stl=folder / "flat.stl"),
        plate_job("flat clockwise", BOX.reversed(), [hole.reversed()], thickness_mm=5.0),
        _bevelled("side", BOX, step=folder / "side.step", stl=folder / "side.stl"),
        _bevelled("side again", BOX, stl=folder / "again.stl"),
        _bevelled("side clockwise", _box(60, 40, from_=1).reversed(), working=1),
        _bevelled("side at 30", BOX, angle_deg=30.0),
        _bevelled("two sides", BOX, working=2),
        _bevelled("all round", BOX, working=4),
        _bevelled("to nothing", BOX, edge_mm=0.0),
        _bevelled("disc", DISC, working=20, stl=folder / "disc.stl"),
        _bevelled("disc with a hole", DISC, [_round(5)], working=20),
        _bevelled("notch", NOTCHED, working=5, stl=folder / "notch.stl"),
        _bevelled("curved", _closing(CURVED, (60, 40), (0, 40)), working=3),
        _bevelled("tight", _closing(arc((0, 0), 2, -np.pi, 0), (2, 40), (-2, 40)), working=2),
        _bevelled("feather", _feather(1e-12), working=2),
        _bevelled("feather turned", _feather(-1e-12), working=2),
    ]
    with Modeller.start(jobs) as modeller:
        return modeller.result()


def test_a_flat_plate_is_area_times_thickness(solids: dict[str, Solid]) -> None:
    # mensuration: (60 x 40 - π 4²) x 5; twenty arcs leave 2e-8 of the hole's radius, 1e-9 of the plate
    expected = (60 * 40 - math.pi * 16) * 5
    assert solids["flat"].volume_mm3 == pytest.approx(expected, rel=1e-9)
    assert solids["flat clockwise"].volume_mm3 == pytest.approx(solids["flat"].volume_mm3, rel=EXACT)
    assert solids["flat"].centre_height_mm == pytest.approx(2.5, rel=EXACT)
    # four sides, two faces, one for each of the hole's twenty arcs
    assert solids["flat"].faces == 26
    assert solids["flat"].bevel_mm is None


@pytest.mark.parametrize("name", ["side", "side again", "side clockwise"])
def test_a_bevelled_side_takes_a_prism_off(solids: dict[str, Solid], name: str) -> None:
    # mensuration: a triangular prism, 60 long, its section d²/(2 tan a) with d = 5 - 1
    assert solids[name].volume_mm3 == pytest.approx(60 * 40 * 5 - 60 * 4**2 / 2, rel=EXACT)
    assert solids[name].bevel_mm == pytest.approx(4, rel=EXACT)
    assert solids[name].bevel_deg == pytest.approx(45, rel=EXACT)
    assert solids[name].faces == 7


def test_the_angle_is_from_the_plates_face(solids: dict[str, Solid]) -> None:
    gone = 60 * 4**2 / 2 / math.tan(math.radians(30))
    assert solids["side at 30"].volume_mm3 == pytest.approx(60 * 40 * 5 - gone, rel=EXACT)
    assert solids["side at 30"].bevel_mm == pytest.approx(4 * math.sqrt(3), rel=EXACT)


def test_a_bevel_may_leave_no_land(solids: dict[str, Solid]) -> None:
    assert solids["to nothing"].volume_mm3 == pytest.approx(60 * 40 * 5 - 60 * 5**2 / 2, rel=EXACT)


def test_bevels_meet_in_a_mitre(solids: dict[str, Solid]) -> None:
    # both prisms, less the pyramid on 4 x 4 and 4 high in which they overlap
    gone = (60 + 40) * 4**2 / 2 - 4**3 / 3
    assert solids["two sides"].volume_mm3 == pytest.approx(60 * 40 * 5 - gone, rel=EXACT)


def test_a_bevel_all_round_leaves_a_prismoid(solids: dict[str, Solid]) -> None:
    # mensuration, the prismoidal formula: h/6 (A + 4 M + B) with 60 x 40 below and 52 x 32 above
    expected = 60 * 40 + 4 / 6 * (60 * 40 + 4 * 56 * 36 + 52 * 32)
    assert solids["all round"].volume_mm3 == pytest.approx(expected, rel=KERNEL)


def test_a_bevelled_disc_is_a_cylinder_and_a_frustum(solids: dict[str, Solid]) -> None:
    # mensuration: π h/3 (R² + R r + r²); 0.0002 mm is what parallels of arcs of 18 degrees leave
    expected = math.pi * (30**2 + 4 / 3 * (30**2 + 30 * 26 + 26**2))
    assert solids["disc"].volume_mm3 == pytest.approx(expected, rel=KERNEL)
    hole = solids["disc"].volume_mm3 - solids["disc with a hole"].volume_mm3
    assert hole == pytest.approx(math.pi * 25 * 5, rel=KERNEL)


def test_corners_out_of_the_plate_are_rounded_and_into_it_mitred(solids: dict[str, Solid]) -> None:
    # Prisms along 20, 15, 20, 15 and 20. At (20, 0) and (40, 0) the edge turns into the plate by 90°: less the
    # pyramid 4³/3 in which two prisms overlap; at (20, 15) and (40, 15) out of it: a quarter cone, π 4³/12, more.
    gone = 90 * 8 - 2 * 4**3 / 3 + 2 * math.pi * 4**3 / 12
    assert solids["notch"].volume_mm3 == pytest.approx(60 * 40 * 5 - 20 * 15 * 5 - gone, rel=KERNEL)


def test_a_bend_one_way_and_back_takes_what_a_straight_edge_does(solids: dict[str, Solid]) -> None:
    # Steiner: a strip s wide has the area L s - τ s²/2, and this edge turns as much one way as the other.
    flat = 60 * (40 - 5) * 5  # it is the same seen from both its ends, so half of its rise is under it
    # the parallel is fitted within 0.005 mm of 4, and what is off goes both ways
    assert flat - solids["curved"].volume_mm3 == pytest.approx(CURVED.length * 4**2 / 2, rel=5e-3 / 4)


@pytest.mark.parametrize("name", ["feather", "feather turned"])
def test_a_bevel_may_end_where_the_plate_runs_out_in_a_point(solids: dict[str, Solid], name: str) -> None:
    # plane geometry: a quarter ring outside the arc of R, less what of it lies under the plate's straight side,
    # half a segment of the circle of R + s: (π/4)((R+s)² - R²) - ((R+s)² acos(R/(R+s)) - R √((R+s)² - R²))/2
    s = np.linspace(0, 4, 2001)
    far = 30 + s
    strip = np.pi / 4 * (far**2 - 30**2) - (far**2 * np.arccos(30 / far) - 30 * np.sqrt(far**2 - 30**2)) / 2
    gone = float(np.trapezoid(strip, s))
    # the arc in two cubics and the fitted parallel, each within 0.005 mm, of a bevel 4 mm wide
    assert (60 * 30 - 30**2 * np.pi / 4) * 5 - solids[name].volume_mm3 == pytest.approx(gone, rel=5e-3 / 4)
    assert solids[name].bevel_mm == pytest.approx(4, rel=EXACT)


def test_a_tight_bend_gets_the_widest_bevel_that_does_not_fold(solids: dict[str, Solid]) -> None:
    bevel = solids["tight"].bevel_mm
    # a half round of 2 mm: no wider than its radius, and no less than three quarters of it
    assert bevel is not None
    assert 1.5 < bevel < 2.0
    assert solids["tight"].bevel_deg == pytest.approx(math.degrees(math.atan(4 / bevel)), rel=EXACT)


@pytest.mark.parametrize("name", ["flat", "side", "disc", "notch"])
def test_the_mesh_is_watertight_and_as_large(folder: Path, solids: dict[str, Solid], name: str) -> None:
    mesh = read(folder / f"{name}.stl")
    assert mesh.is_watertight
    assert mesh.volume == pytest.approx(solids[name].volume_mm3, rel=5e-4)
    # corners are 4-byte numbers, 6e-8 of 60 mm
    assert manifold_volume(mesh) == pytest.approx(mesh.volume, rel=1e-6)
    assert np.allclose(mesh.bounds[:, 2], [0, 5], atol=1e-6)


def test_a_bevelled_box_is_a_handful_of_triangles(solids: dict[str, Solid]) -> None:
    # seven flat faces: two triangles for each of five, three for each of the two ends
    assert solids["side"].triangles == 2 * 5 + 2 * 3


def test_bytes_are_the_same_each_time(folder: Path, solids: dict[str, Solid]) -> None:
    assert "side again" in solids
    assert (folder / "side.stl").read_bytes() == (folder / "again.stl").read_bytes()
    assert "'flat plate'" in (folder / "side.step").read_text(encoding="ascii")


def test_step_reads_back_with_its_volume(folder: Path, solids: dict[str, Solid]) -> None:
    names = ("flat", "side")
    for name, volume in zip(names, volumes_read_back([folder / f"{name}.step" for name in names]), strict=True):
        # numbers stand in the file with 15 digits
        assert volume == pytest.approx(solids[name].volume_mm3, rel=1e-9)


def test_what_cannot_be_made_is_named_with_the_reason() -> None:
    tight = _closing(arc((0, 0), 0.4, -np.pi, 0), (9, 40), (-9, 40))
    jobs = {
        "open": (_bevelled("open", polyline([(0, 0), (60, 0), (60, 40)])), "open"),
        "bow-tie": (_bevelled("bow-tie", polyline([(0, 0), (60, 40), (60, 0), (0, 30), (0, 0)])), "crosses"),
        "hole outside": (_bevelled("hole outside", BOX, [_round(4, (90, 20))]), "hole"),
        "hole over the edge": (_bevelled("hole over the edge", BOX, [_round(4, (30, 1))]), "hole"),
        "no edge": (_bevelled("no edge", BOX, working=0), "no working edge"),
        "no thickness": (_bevelled("no thickness", BOX, thickness_mm=0.0), "0 mm thick"),
        "all land": (_bevelled("all land", BOX, edge_mm=5.0), "leaves 5 mm"),
        "upright": (_bevelled("upright", BOX, angle_deg=90.0), "90°"),
        "too tight": (_bevelled("too tight", tight, working=2), "radius"),
        "too wide": (_bevelled("too wide", _box(60, 20), angle_deg=10.0), "meets another edge"),
        "over a hole": (_bevelled("over a hole", BOX, [_round(4, (30, 6))]), "meets another edge"),
    }
    with Modeller.start([job for job, _ in jobs.values()]) as modeller:
        assert modeller.result() == {}
    assert set(modeller.refused) == set(jobs)
    for name, (_, reason) in jobs.items():
        assert re.search(reason, modeller.refused[name]), (name, modeller.refused[name])


def test_a_sliver_the_kernel_lays_twice_is_no_hole(tmp_path: Path) -> None:
    """The rib of a plain mug: the kernel meshes an edge at its toe with a flap, once either way round."""
    piece = piece_from('[form]\nkind="cylinder"\nrim_diameter=82\nheight=95\n')
    rib = next(one.drawing for one in chosen(piece, ALL) if one.kind == "outside_rib")
    assert rib.body is not None
    assert rib.profile is not None
    path = tmp_path / "rib.stl"
    more: dict[str, Any] = {"thickness_mm": 4.0, "working": len(rib.profile), "edge_mm": 1.0, "angle_deg": 45.0}
    with Modeller.start([plate_job("rib", rib.body, rib.holes, stl=path, **more)]) as modeller:
        assert modeller.result(60.0)
        assert not modeller.refused
    assert trimesh.load_mesh(path).is_watertight
