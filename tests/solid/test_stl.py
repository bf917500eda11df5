"""STL files of turned pieces, read by two general mesh libraries (trimesh, manifold3d)."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from profiler.clay.states import State
from profiler.geometry.curve import arc, chained, line, polyline
from profiler.geometry.section import Section
from profiler.solid import Modeller, Solid, turned_job
from tests.pieces import DEMO_DESIGNS, demo_piece
from tests.solid.reading import manifold_volume, read

# The figure for chords of 0.01 mm: 0.05 %.
CHORDS = 5e-4
# Corners stand in the file as 4-byte numbers, good to 6e-8 of a coordinate of 100 mm: 6e-6 mm on a wall of 3.
FLOATS = 4e-6

PLAIN = {
    "ball": Section(chained([arc((0, 0), 20, -np.pi / 2, np.pi / 2), line((0, 20), (0, -20))])),
    "cone": Section(polyline([(0, 0), (30, 0), (0, 40), (0, 0)])),
    "ring": Section(arc((40, 0), 8, 0, 2 * np.pi)),
}


def _states() -> dict[str, Section]:
    """Every part of every demo piece in every state, by a name good for a file."""
    found = {}
    for path in DEMO_DESIGNS:
        piece = demo_piece(path)
        for cast in piece.parts:
            for state in State:
                name = f"{path.stem} {cast.name or 'whole'} {state}"
                found[name] = cast.section.mapped(*cast.scale(state))
    return found


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("stl")


@pytest.fixture(scope="module")
def sections() -> dict[str, Section]:
    return PLAIN | _states()


@pytest.fixture(scope="module")
def solids(folder: Path, sections: dict[str, Section]) -> dict[str, Solid]:
    jobs = [turned_job(name, [section], stl=folder / f"{name}.stl") for name, section in sections.items()]
    jobs.append(turned_job("again", [PLAIN["ring"]], stl=folder / "again.stl"))
    jobs.append(turned_job("two", [PLAIN["cone"], PLAIN["ring"].moved(50)], stl=folder / "two.stl"))
    with Modeller.start(jobs) as modeller:
        return modeller.result(500.0)


def test_every_piece_in_every_state_is_watertight_and_as_large(
    folder: Path, sections: dict[str, Section], solids: dict[str, Solid]
) -> None:
    assert sum(name.endswith(tuple(State)) for name in sections) >= 5 * len(DEMO_DESIGNS)
    for name, section in sections.items():
        mesh = read(folder / f"{name}.stl")
        assert mesh.is_watertight, name
        assert mesh.is_winding_consistent, name
        assert mesh.body_count == 1, name
        assert mesh.volume == pytest.approx(section.volume_mm3, rel=CHORDS), name
        assert manifold_volume(mesh) == pytest.approx(mesh.volume, rel=FLOATS), name
        assert solids[name].mesh_volume_mm3 == pytest.approx(mesh.volume, rel=FLOATS), name
        assert solids[name].triangles == len(mesh.faces), name


@pytest.mark.parametrize(
    ("name", "volume"),
    [
        # mensuration, any handbook: ball 4/3 π r³, cone π r² h/3, ring 2 π² R r²
        ("ball", 4 / 3 * math.pi * 20**3),
        ("cone", math.pi * 30**2 * 40 / 3),
        ("ring", 2 * math.pi**2 * 40 * 8**2),
    ],
)
def test_volume_is_the_handbooks(folder: Path, solids: dict[str, Solid], name: str, volume: float) -> None:
    assert name in solids
    # quarter arcs bulge by up to 2.7e-4 of the radius on top of the chords, twice that in area
    assert read(folder / f"{name}.stl").volume == pytest.approx(volume, rel=CHORDS + 5.4e-4)


@pytest.mark.parametrize("name", ["ball", "ring"])
def test_no_chord_is_further_off_than_it_says(folder: Path, solids: dict[str, Solid], name: str) -> None:
    assert name in solids
    mesh = read(folder / f"{name}.stl")
    middles = np.concatenate([mesh.triangles_center, mesh.vertices[mesh.edges_unique].mean(axis=1)])
    r, z = np.hypot(middles[:, 0], middles[:, 1]), middles[:, 2]
    off = np.hypot(r, z) - 20 if name == "ball" else np.hypot(r - 40, z) - 8
    # 0.01 mm along the outline, as much around, and the arc's own 2.7e-4 of its radius
    assert np.abs(off).max() < 0.01 + 0.01 + 2.7e-4 * (20 if name == "ball" else 8)


def test_two_solids_are_two_bodies_of_one_file(folder: Path, solids: dict[str, Solid]) -> None:
    mesh = read(folder / "two.stl")
    assert mesh.is_watertight
    assert mesh.body_count == 2
    assert solids["two"].volume_mm3 == pytest.approx(mesh.volume, rel=CHORDS)


def test_bytes_are_the_same_each_time(folder: Path, solids: dict[str, Solid]) -> None:
    assert "again" in solids
    first = (folder / "ring.stl").read_bytes()
    assert first == (folder / "again.stl").read_bytes()
    # a file that begins with this word is taken for the text form of the format
    assert not first.startswith(b"solid")
    assert len(first) == 84 + 50 * (solids["ring"].triangles or 0)


def test_without_a_path_there_is_no_mesh() -> None:
    with Modeller.start([turned_job("cone", [PLAIN["cone"]])]) as modeller:
        solid = modeller.result()["cone"]
    assert solid.triangles is None
    assert solid.mesh_volume_mm3 is None
