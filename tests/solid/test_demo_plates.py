"""Every template of every demo piece as a plate, against a general library of plane geometry (shapely)."""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest
import shapely
import trimesh
from shapely import ops

from profiler.geometry.cubics import moment
from profiler.geometry.curve import Curve, Floats
from profiler.solid import Modeller, Solid, plate_job
from tests.pieces import DEMO_DESIGNS, demo_piece
from tests.solid.reading import manifold_volume, read, volumes_read_back

THICK, LAND, ANGLE = 5.0, 1.0, 45.0
HEIGHT = THICK - LAND

# Chords of 0.01 mm, and where the bevel is cut a parallel fitted within 0.005 mm.
MESH = 0.01
FIT = 0.005
_FINE = 200  # chords to a cubic: of one 140 mm long and 30 mm in radius, 0.7 mm long and 0.002 mm off


@dataclass(frozen=True, eq=False)
class Tool:
    """A template's contour."""

    body: Curve
    holes: tuple[Curve, ...]
    working: int

    @property
    def area_mm2(self) -> float:
        """By the exact integral."""
        return abs(moment(self.body.cubics, 1, 0)) - sum(abs(moment(hole.cubics, 1, 0)) for hole in self.holes)

    @property
    def polygon(self) -> shapely.Polygon:
        """The plate seen from above, in fine chords."""
        return shapely.Polygon(self.body.sampled(_FINE), [hole.sampled(_FINE) for hole in self.holes])

    @property
    def profile(self) -> shapely.LineString:
        """The working edge in the same chords."""
        return shapely.LineString(Curve(self.body.cubics[: self.working]).sampled(_FINE))

    def at(self, width: float) -> shapely.Polygon:
        """The plate's section where the bevel is so wide: without all that is nearer to the working edge."""
        left = self.polygon.difference(self.profile.buffer(width, quad_segs=100))
        parts = [part for part in shapely.get_parts(left) if isinstance(part, shapely.Polygon)]
        return max(parts, key=lambda part: part.area)


def _tools() -> dict[str, Tool]:
    # imported here, so that a template that fails to draw is a failing test and not a broken collection
    from profiler.templates.catalogue import ALL, chosen

    found = {}
    for path in DEMO_DESIGNS:
        for template in chosen(demo_piece(path), ALL):
            drawing, tool = template.drawing, template.tool
            if drawing.body is not None and drawing.profile is not None and not tool.pattern:
                working = len(drawing.profile) if tool.works else 0
                found[f"{path.stem} {drawing.name}"] = Tool(drawing.body, drawing.holes, working)
    return found


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("tools")


@pytest.fixture(scope="module")
def tools() -> dict[str, Tool]:
    return _tools()


@pytest.fixture(scope="module")
def flat(folder: Path, tools: dict[str, Tool]) -> dict[str, Solid]:
    jobs = [
        plate_job(name, tool.body, tool.holes, thickness_mm=THICK, stl=folder / f"{name} flat.stl")
        for name, tool in tools.items()
    ]
    with Modeller.start(jobs) as modeller:
        return modeller.result(500.0)


@pytest.fixture(scope="module")
def bevelled(folder: Path, tools: dict[str, Tool]) -> dict[str, Solid]:
    jobs = [
        plate_job(
            name,
            tool.body,
            tool.holes,
            thickness_mm=THICK,
            working=tool.working,
            edge_mm=LAND,
            angle_deg=ANGLE,
            step=folder / f"{name}.step",
            stl=folder / f"{name}.stl",
        )
        for name, tool in tools.items()
        if tool.working
    ]
    with Modeller.start(jobs) as modeller:
        return modeller.result(500.0)


def _section(mesh: trimesh.Trimesh, height: float) -> shapely.Polygon:
    """The plate's section at a height, from the cuts of its triangles."""
    cuts: Floats = trimesh.intersections.mesh_plane(mesh, [0, 0, 1], [0, 0, height])  # type: ignore[no-untyped-call]
    # a millionth of a millimetre: two triangles place their common point within rounding
    lines = shapely.linestrings(np.round(cuts[:, :, :2], 6))
    faces = list(ops.polygonize(np.asarray(lines).tolist()))
    return max(faces, key=lambda face: face.area)


def test_there_are_templates_of_every_piece(tools: dict[str, Tool]) -> None:
    assert {name.split(" ")[0] for name in tools} == {path.stem for path in DEMO_DESIGNS}


def test_a_flat_tool_is_its_area_times_its_thickness(tools: dict[str, Tool], flat: dict[str, Solid]) -> None:
    for name, tool in tools.items():
        assert flat[name].volume_mm3 == pytest.approx(tool.area_mm2 * THICK, rel=1e-9), name
        # chords 0.002 mm off over all of the contour, at the very most
        chords = 0.002 * tool.polygon.length * THICK
        assert flat[name].volume_mm3 == pytest.approx(tool.polygon.area * THICK, abs=chords), name


def test_the_bevel_is_as_wide_as_asked_or_as_the_edge_allows(
    tools: dict[str, Tool], bevelled: dict[str, Solid]
) -> None:
    asked, whole = HEIGHT / math.tan(math.radians(ANGLE)), 0
    for name, solid in bevelled.items():
        assert solid.bevel_mm is not None
        assert 1.0 < solid.bevel_mm <= asked + 1e-9, name
        edge = Curve(tools[name].body.cubics[: tools[name].working])
        tightest = 1 / np.abs(edge.curvature(edge.places(50))).max()
        if tightest > asked:
            whole += 1
            assert solid.bevel_mm == pytest.approx(asked, rel=1e-12), name
    assert whole > len(bevelled) / 2


def test_the_bevel_takes_off_what_is_nearer_to_the_edge(
    tools: dict[str, Tool], flat: dict[str, Solid], bevelled: dict[str, Solid]
) -> None:
    nodes, weights = np.polynomial.legendre.leggauss(6)
    for name, solid in bevelled.items():
        tool, width = tools[name], solid.bevel_mm or 0.0
        areas = [tool.polygon.area - tool.at(width * (x + 1) / 2).area for x in nodes]
        removed = flat[name].volume_mm3 - solid.volume_mm3
        # half the height times what the parallel may be off along the edge, and shapely's own chords
        off = (FIT + 0.002) * tool.profile.length * HEIGHT / 2
        assert removed == pytest.approx(HEIGHT / 2 * float(weights @ areas), abs=off), name


def test_the_meshes_are_watertight_and_as_large(
    folder: Path, flat: dict[str, Solid], bevelled: dict[str, Solid]
) -> None:
    for end, solids in ((" flat", flat), ("", bevelled)):
        for name, solid in solids.items():
            path = folder / f"{name}{end}.stl"
            mesh = read(path)
            assert mesh.is_watertight, path.name
            assert mesh.body_count == 1, path.name
            assert mesh.volume == pytest.approx(solid.volume_mm3, rel=5e-4), path.name
            # corners are 4-byte numbers, 6e-8 of 200 mm
            assert manifold_volume(mesh) == pytest.approx(mesh.volume, rel=4e-6), path.name


def test_the_land_is_the_profile(folder: Path, tools: dict[str, Tool], bevelled: dict[str, Solid]) -> None:
    assert bevelled
    for name in bevelled:
        section = _section(read(folder / f"{name}.stl"), LAND / 2)
        assert section.boundary.hausdorff_distance(tools[name].polygon.boundary) < MESH + 0.002, name


def test_at_the_top_the_edge_lies_the_bevels_width_further_in(
    folder: Path, tools: dict[str, Tool], bevelled: dict[str, Solid]
) -> None:
    below = 0.01
    for name, solid in bevelled.items():
        width = (solid.bevel_mm or 0.0) * (HEIGHT - below) / HEIGHT
        section, due = _section(read(folder / f"{name}.stl"), THICK - below), tools[name].at(width)
        # mesh, fit and chords; the point where two lines meet at 30 degrees is off by four times that
        assert section.boundary.hausdorff_distance(due.boundary) < 4 * (MESH + FIT + 0.002), name
        assert section.symmetric_difference(due).area < (MESH + FIT + 0.002) * due.length, name


def test_step_reads_back_with_its_volume(folder: Path, tools: dict[str, Tool], bevelled: dict[str, Solid]) -> None:
    paths = [folder / f"{name}.step" for name in bevelled]
    for (name, solid), volume in zip(bevelled.items(), volumes_read_back(paths), strict=True):
        # where the bevel meets the land its curve is read to the kernel's 1e-7 mm, over the face of the bevel
        bevel = 1e-7 * tools[name].profile.length * math.hypot(HEIGHT, solid.bevel_mm or 0.0)
        assert volume == pytest.approx(solid.volume_mm3, rel=1e-9, abs=bevel), name
