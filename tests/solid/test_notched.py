"""Notches as solids and as meshes: by hand in plain rings, and cut by a library of its own out of the whole mesh."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import manifold3d
import numpy as np
import pytest

from profiler.clay.states import State
from profiler.geometry.curve import polyline
from profiler.geometry.section import Section
from profiler.job import agreed, job_of, wanted_solids
from profiler.settings import Settings
from profiler.solid import Modeller, NotchBox, Solid, SolidError, turned_job
from profiler.spoon.notch import taken_from_jar_mm3, taken_from_lid_mm3
from tests.solid.reading import manifold, manifold_volume, read, volumes_read_back
from tests.study.designs import design_from

CUT = 1e-6
"""The issue's figure for what the kernel cuts; measured 4e-7 at most."""
CHORDS = 5e-4
"""The issue's figure for meshes whose chords lie within 0.01 mm: 0.05 %."""

# inside 40, outside 45 in radius, floor 5, 60 high; a lid like it, upside down; a step inside, 43 over 20
JAR = Section(polyline([(0, 0), (45, 0), (45, 60), (40, 60), (40, 5), (0, 5), (0, 0)]))
LID = Section(polyline([(0, 20), (40, 20), (40, 0), (45, 0), (45, 25), (0, 25), (0, 20)]))
LEDGE = Section(polyline([(0, 0), (45, 0), (45, 60), (43, 60), (43, 52), (38, 52), (38, 5), (0, 5), (0, 0)]))
# two rings that stand up from one floor: a notch through both, and through the gap between them
TWO = Section(
    polyline([(0, 0), (45, 0), (45, 60), (40, 60), (40, 10), (30, 10), (30, 50), (25, 50), (25, 5), (0, 5), (0, 0)])
)
# and one that overhangs the other, so that the notch's level lies in the clay of both and of the roof over them
ARCH = Section(
    polyline([(0, 0), (45, 0), (45, 60), (20, 60), (20, 40), (25, 40), (25, 55), (40, 55), (40, 5), (0, 5), (0, 0)])
)


def _strip(inner: float, outer: float, width: float) -> float:
    """Area of the near side of a ring within half a width of the x axis: an integral of circles, mm²."""

    def under(radius: float) -> float:
        half = width / 2
        return half * math.sqrt(radius**2 - half**2) + radius**2 * math.asin(half / radius)

    return under(outer) - under(inner)


BY_HAND = {
    "jar": (JAR, NotchBox(12, 50, above=True), 10 * _strip(40, 45, 12)),
    "lid": (LID, NotchBox(9, 6, above=False), 6 * _strip(40, 45, 9)),
    "through the ledge": (
        LEDGE,
        NotchBox(10, 48, above=True),
        8 * _strip(43, 45, 10) + 4 * _strip(38, 45, 10),
    ),
    "down to the ledge": (LEDGE, NotchBox(10, 52, above=True), 8 * _strip(43, 45, 10)),
    "through two rings": (TWO, NotchBox(14, 30, above=True), 30 * _strip(40, 45, 14) + 20 * _strip(25, 30, 14)),
    "through an arch": (
        ARCH,
        NotchBox(16, 45, above=True),
        15 * _strip(40, 45, 16) + 15 * _strip(20, 25, 16) + 5 * _strip(25, 40, 16),
    ),
    "nearly as wide as the hollow": (JAR, NotchBox(79.9, 50, above=True), 10 * _strip(40, 45, 79.9)),
    "a hair over a corner": (LEDGE, NotchBox(10, 52 + 1e-6, above=True), (8 - 1e-6) * _strip(43, 45, 10)),
}
_FORM = '[form]\nkind = "closed"\nbelly_diameter = 88\nheight = 95\n'
_JAR = '[form]\nkind = "jar"\nrim_diameter = 80\nheight = 100\nbelly_diameter = 90\n[lid]\nkind = "{}"\n'
_SPOON = '[spoon]\nlength = {}\nhandle_width = 8\n[notch]\nin = "{}"\ncutters = [6, 8, 10, 12, 14]\n'
DESIGNS = {
    f"{kind} {in_}": design_from(text + _SPOON.format(length, in_))
    for in_ in ("jar", "lid", "both")
    for kind, length, text in (
        ("cut", 125, _FORM + '[lid]\nkind = "cut"\nheight = 62\n'),
        ("gallery", 140, _JAR.format("gallery")),
        ("flange", 140, _JAR.format("flange")),
        ("cap", 140, _JAR.format("cap") + 'thrown = "right_way_up"\n'),
    )
}


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("notched")


@pytest.fixture(scope="module")
def solids(folder: Path) -> dict[str, Solid]:
    jobs = [
        turned_job(name, [section], [notch], step=folder / f"{name}.step", stl=folder / f"{name}.stl")
        for name, (section, notch, _) in BY_HAND.items()
    ]
    jobs += [
        turned_job(f"{name} whole", [one], stl=folder / f"{name} whole.stl") for name, (one, _, _) in BY_HAND.items()
    ]
    jobs.append(turned_job("again", [JAR], [BY_HAND["jar"][1]], stl=folder / "again.stl"))
    jobs.append(turned_job("one of two", [LID.moved(70), JAR], [None, BY_HAND["jar"][1]]))
    with Modeller.start(jobs) as modeller:
        return modeller.result(300.0)


@pytest.mark.parametrize("name", BY_HAND)
def test_the_solid_is_the_turned_one_less_its_notch(folder: Path, solids: dict[str, Solid], name: str) -> None:
    section, notch, by_hand = BY_HAND[name]
    solid = solids[name]
    assert solid.turned_mm3 == pytest.approx(section.volume_mm3, rel=1e-9)
    assert solid.volume_mm3 == pytest.approx(section.volume_mm3 - by_hand, rel=CUT)
    taken = (taken_from_jar_mm3 if notch.above else taken_from_lid_mm3)(section, notch.width, notch.level)
    assert taken == pytest.approx(by_hand, rel=1e-9)
    # edges that the kernel has cut are put into the file as it draws them through points
    assert volumes_read_back([folder / f"{name}.step"]) == pytest.approx([solid.volume_mm3], rel=CUT)


@pytest.mark.parametrize("name", BY_HAND)
def test_the_mesh_is_closed_and_shows_the_notch(folder: Path, solids: dict[str, Solid], name: str) -> None:
    _, notch, by_hand = BY_HAND[name]
    mesh = read(folder / f"{name}.stl")
    assert mesh.is_watertight
    assert mesh.is_winding_consistent
    assert mesh.body_count == 1
    assert mesh.volume == pytest.approx(solids[name].volume_mm3, rel=CHORDS)
    # corners stand in the file as 4-byte numbers, good to 6e-8 of a coordinate of 45 mm: 3e-6 mm on a wall of 5
    assert manifold_volume(mesh) == pytest.approx(mesh.volume, rel=4e-6)
    assert solids[name].mesh_volume_mm3 == pytest.approx(mesh.volume, rel=4e-6)
    # another library cuts the same box out of the mesh of the whole: chords of 0.01 mm on 5, and its own rounding
    whole = read(folder / f"{name} whole.stl")
    box = manifold3d.Manifold.cube((100, notch.width, 100)).translate(
        (0, -notch.width / 2, notch.level if notch.above else notch.level - 100)
    )
    assert mesh.volume == pytest.approx((manifold(whole) - box).volume(), rel=CHORDS)
    assert whole.volume - mesh.volume == pytest.approx(by_hand, rel=0.01)
    # no clay is left in the notch, by more than its sides are off as the circles become polygons
    assert (manifold(mesh) ^ box).volume() < 0.01 * by_hand


def test_only_the_part_that_has_one_is_notched(solids: dict[str, Solid]) -> None:
    both = solids["one of two"]
    assert both.turned_mm3 == pytest.approx(JAR.volume_mm3 + LID.volume_mm3, rel=1e-9)
    assert both.volume_mm3 == pytest.approx(JAR.volume_mm3 + LID.volume_mm3 - BY_HAND["jar"][2], rel=CUT)
    assert solids["jar whole"].turned_mm3 is None


def test_bytes_are_the_same_each_time(folder: Path, solids: dict[str, Solid]) -> None:
    assert "again" in solids
    assert (folder / "jar.stl").read_bytes() == (folder / "again.stl").read_bytes()


@pytest.mark.parametrize("name", ["jar", "lid", "through two rings"])
def test_the_sides_of_the_mesh_are_upright_and_as_far_apart_as_the_notch_is_wide(
    folder: Path, solids: dict[str, Solid], name: str
) -> None:
    assert name in solids
    _, notch, _ = BY_HAND[name]
    mesh, half = read(folder / f"{name}.stl"), notch.width / 2
    side = np.abs(np.abs(mesh.face_normals[:, 1]) - 1) < 1e-6
    high = mesh.triangles_center[:, 2] > notch.level if notch.above else mesh.triangles_center[:, 2] < notch.level
    side &= high & (mesh.triangles_center[:, 0] > 0) & (np.abs(mesh.triangles_center[:, 1]) < half + 0.01)
    assert side.any()
    # the corners go out with the circles, which as polygons are wider by a third of the 0.01 mm of a chord
    assert np.abs(np.abs(mesh.triangles[side][:, :, 1]) - half).max() < 0.01


@pytest.mark.parametrize("name", DESIGNS)
def test_every_lid_and_every_notch_in_every_state(name: str, tmp_path: Path) -> None:
    job = job_of(DESIGNS[name], Settings())
    wanted = wanted_solids(job, (State.FIRED, State.LEATHER_HARD), lambda file: tmp_path / file)
    with Modeller.start([one.request for one in wanted]) as modeller:
        answers = modeller.result(300.0)
    told = agreed(wanted, answers)
    spoon = job.measures.spoon
    assert spoon is not None
    for end, state in (("", State.FIRED), ("_leather_hard", State.LEATHER_HARD)):
        for part, taken in (("jar", spoon.jar_taken_cm3), ("lid", spoon.lid_taken_cm3)):
            figures = told[f"{part}_finished{end}"]
            assert ("notched_relative_to_integral" in figures) == (taken > 0)
            volume = job.measures.parts[part].states[state].clay_volume_cm3
            assert figures["volume_cm3"] == pytest.approx(volume, rel=CUT)
            mesh = read(tmp_path / f"{part}{end}.stl")
            assert mesh.is_watertight
            assert mesh.volume / 1000 == pytest.approx(volume, rel=CHORDS)
            assert (tmp_path / f"{part}{end}.step").is_file()
        both = sum(told[f"{part}_finished{end}"]["volume_cm3"] for part in ("jar", "lid"))
        assert told[f"whole{end}"]["volume_cm3"] == pytest.approx(both, rel=CUT)
    assert sorted(volumes_read_back([tmp_path / f"{part}.step" for part in ("jar", "lid")])) == pytest.approx(
        sorted(told[f"{part}_finished"]["volume_cm3"] * 1000 for part in ("jar", "lid")), rel=CUT
    )


def test_a_disagreement_over_a_notch_names_the_piece() -> None:
    job = job_of(DESIGNS["cut jar"], Settings())
    wanted = [one for one in wanted_solids(job) if one.name.endswith("jar finished")]
    with Modeller.start([one.request for one in wanted]) as modeller:
        answers = modeller.result()
    name = wanted[0].name
    agreed(wanted, answers)
    off = replace(answers[name], volume_mm3=answers[name].volume_mm3 * (1 + 2e-6))
    with pytest.raises(SolidError, match=r"^pot: jar finished, notched: .* agree to 1e-06"):
        agreed(wanted, {name: off})


@pytest.mark.parametrize(
    ("notch", "reason"),
    [
        (NotchBox(81, 50, above=True), "wider"),
        (NotchBox(12, 60, above=True), "nothing"),
        (NotchBox(12, 0, above=False), "nothing"),
        (NotchBox(0, 50, above=True), "nothing"),
    ],
)
def test_what_is_no_notch_is_named(notch: NotchBox, reason: str, tmp_path: Path) -> None:
    job = turned_job("jar", [JAR], [notch], stl=tmp_path / "jar.stl")
    with Modeller.start([job]) as modeller, pytest.raises(SolidError, match=f"^jar: .*{reason}"):
        modeller.result()
