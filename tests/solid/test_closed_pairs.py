"""Every lid on its jar and the stand put together, as delivered in one STEP file, with the spoon at rest in it.

The file is read back by the modeller in a process of its own (`tests.solid.closed`), which looks for interference;
contact and clearance are measured by a general geometry library on the upright section of the solids it read.
"""

from __future__ import annotations

import json
import math
import subprocess
import sys
from dataclasses import dataclass, replace
from typing import Any

import pytest
from shapely import LineString, Polygon, affinity, box, polygonize, unary_union
from shapely.geometry.base import BaseGeometry

from profiler.clay.states import State
from profiler.design.model import read_design
from profiler.job import Job, WantedSolid, agreed, job_of, wanted_solids
from profiler.lids.sizes import CutLid
from profiler.settings import Settings
from profiler.solid import Modeller
from profiler.spooned import spoon_at_rest, spoon_of
from tests.pieces import ROOT
from tests.study.designs import design_from

WITHIN_MM = 0.01
"""The issue's figure for contact and clearance."""
NIL_MM3 = 1e-3
"""Faces of 300 mm² that lie on each other share this much where they are 3e-6 mm into each other, which is what the
kernel takes two places for one by; a bowl of 15 mm that stands 0.003 mm in the floor shares as much, and a rest is
found to 0.001 mm."""
DEFLECTION_MM = 2e-4
"""How far the chords of the section read back may lie off it."""

_CLOSED = '[form]\nkind = "closed"\nbelly_diameter = 88\nheight = 95\n'
_CUT = _CLOSED + '[lid]\nkind = "cut"\nheight = {}\nangle = 40\ngap = 1.5\nslope = "{}"\n'
_JAR = '[form]\nkind = "jar"\nrim_diameter = 80\nheight = 100\nbelly_diameter = 90\n'
_JAR += '[lid]\nclearance = 1.1\nkind = "{}"\n'
_SPOON = (
    '[spoon]\nlength = {}\nhandle_width = 8\nhandle_thickness = 2\n[notch]\nin = "{}"\ncutters = [6, 8, 10, 12, 14]\n'
)
DESIGNS = {
    "cut down, jar notched": _CUT.format(62, "inward_down") + _SPOON.format(125, "jar"),
    "cut up, both notched": _CUT.format(57, "inward_up") + _SPOON.format(125, "both"),
    "gallery, jar notched": _JAR.format("gallery") + _SPOON.format(140, "jar"),
    "flange, both notched": _JAR.format("flange") + _SPOON.format(140, "both"),
    "cap, lid notched": _JAR.format("cap") + _SPOON.format(140, "lid"),
}
DEMO = ("mustard_pot", "jam_jar", "butter_jar", "tea_caddy", "fruit_stand")
NAMES = (*DESIGNS, *DEMO)
LIDDED = tuple(name for name in NAMES if name != "fruit_stand")


@dataclass(frozen=True)
class Closed:
    """A closed pair: what the program says, and what was read back."""

    job: Job
    whole: WantedSolid
    read: dict[str, Any]

    def half(self, index: int) -> BaseGeometry:
        """The upright section of the lower (0) or upper (1) solid, to the right of the axis."""
        lines = [LineString(points) for points in self.read["solids"][index]["outlines"]]
        # ends of neighbouring edges are up to 6e-7 mm apart where the file meets the kernel's own rounding
        made = unary_union(list(polygonize([unary_union(lines, grid_size=1e-5)]).geoms))
        half: BaseGeometry = made.intersection(box(0, -1e3, 1e3, 1e3))
        return half


def _spoon(job: Job) -> dict[str, float] | None:
    """The spoon at rest, as `tests.solid.closed` makes a solid of it.

    The rest is found in one plane; a flat bar on the round edge of the notch's floor bears at its two sides, where
    the edge stands w²/8r nearer to the axis: square to itself it lies that times the sine of its angle higher.
    """
    measures = job.measures.spoon
    if measures is None:
        return None
    rest, table = spoon_at_rest(job.piece, measures), job.piece.design.head.spoon
    assert rest is not None
    assert table is not None
    spoon, (radius, _) = spoon_of(table), rest.handle_at
    sagitta = radius - math.sqrt(radius**2 - (spoon.handle_width / 2) ** 2)
    return {
        "angle_deg": rest.angle_deg,
        "bowl_x": rest.bowl_at[0],
        "bowl_z": rest.bowl_at[1],
        "radius": spoon.bowl_radius_mm,
        "handle": spoon.length - spoon.bowl_radius_mm,
        "thickness": spoon.handle_thickness,
        "width": spoon.handle_width,
        "lifted": sagitta * math.sin(math.radians(rest.angle_deg)),
    }


@pytest.fixture(scope="module")
def closed(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Closed]:
    """Every pair; one child turns and writes them all, another reads and measures them."""
    folder = tmp_path_factory.mktemp("closed")
    designs = {name: design_from(text) for name, text in DESIGNS.items()}
    designs |= {name: read_design(ROOT / "designs_demo" / f"{name}.toml") for name in DEMO}
    jobs = {name: job_of(design, Settings()) for name, design in designs.items()}
    wanted = {}
    for name, job in jobs.items():
        whole = next(one for one in wanted_solids(job) if isinstance(one, WantedSolid) and one.key == "whole")
        wanted[name] = replace(whole, name=name, step=folder / f"{name}.step")
    with Modeller.start([whole.request for whole in wanted.values()]) as modeller:
        answers = modeller.result(600.0)
    for whole in wanted.values():
        agreed([whole], answers)
    request = [
        {"step": str(wanted[name].step), "spoon": _spoon(jobs[name]), "deflection_mm": DEFLECTION_MM}
        for name in NAMES
    ]
    done = subprocess.run(
        [sys.executable, "-m", "tests.solid.closed"],
        input=json.dumps(request),
        capture_output=True,
        text=True,
        check=True,
        timeout=900,
        cwd=ROOT,
    )
    read = json.loads(done.stdout.rpartition("\n")[2])
    return {name: Closed(jobs[name], wanted[name], one) for name, one in zip(NAMES, read, strict=True)}


@pytest.mark.parametrize("name", NAMES)
def test_what_is_delivered_are_the_parts_where_they_stand(closed: dict[str, Closed], name: str) -> None:
    one = closed[name]
    parts = one.job.measures.parts.values()
    told = sorted(part.states[State.FIRED].clay_volume_cm3 for part in parts)
    # the 1e-6 for what is cut out of a solid; numbers stand in the file with 15 digits
    assert sorted(solid["volume"] / 1000 for solid in one.read["solids"]) == pytest.approx(told, rel=1e-6)
    assert max(float(one.half(index).bounds[3]) for index in (0, 1)) == pytest.approx(
        max(section.outline.highest(1)[1] for section in one.whole.sections), abs=WITHIN_MM
    )
    for index in (0, 1):
        half, section = one.half(index), one.whole.sections[index if name != "fruit_stand" else 1 - index]
        # chords lie within the deflection all along the outline
        assert half.area == pytest.approx(section.area_mm2, abs=DEFLECTION_MM * half.length)


@pytest.mark.parametrize("name", NAMES)
def test_nothing_is_in_the_way_of_anything(closed: dict[str, Closed], name: str) -> None:
    one = closed[name]
    assert one.job.measures.spoon is None or len(one.read["common"]) == 5
    assert max(one.read["common"].values()) < NIL_MM3


@pytest.mark.parametrize("name", NAMES)
def test_the_upper_part_rests_on_the_lower(closed: dict[str, Closed], name: str) -> None:
    lower, upper = closed[name].half(0), closed[name].half(1)
    assert lower.distance(_moved(upper, up=WITHIN_MM)) > 0
    assert lower.distance(_moved(upper, up=-WITHIN_MM)) == 0


@pytest.mark.parametrize("name", [name for name in NAMES if name.startswith(("cut", "mustard"))])
def test_a_cut_lids_slopes_touch_after_its_sink(closed: dict[str, Closed], name: str) -> None:
    one, lid = closed[name], closed[name].job.measures.lid
    table = one.job.piece.design.head.lid
    assert isinstance(table, CutLid)
    assert lid is not None
    assert lid.sink_mm is not None
    assert lid.contact_mm is not None
    jar, top = one.half(0), one.half(1)
    # where it was cut the two slopes are as far apart as the knife and the sponge took
    assert jar.distance(_moved(top, up=lid.sink_mm)) == pytest.approx(table.gap, abs=WITHIN_MM)
    # closed, they lie on each other along all of the land that is told of, which leaves out their rounded edges, and
    # no further than a slope is long: the knife's way, give or take what a leaning wall changes it by across the gap
    touching = top.boundary.intersection(jar.buffer(WITHIN_MM / 2)).length
    assert lid.way_through_mm is not None
    assert lid.contact_mm < touching < lid.way_through_mm + table.gap


@pytest.mark.parametrize("name", [name for name in LIDDED if not name.startswith(("cut", "mustard"))])
def test_the_others_have_their_clearance_at_the_side(closed: dict[str, Closed], name: str) -> None:
    lid, table = closed[name].job.measures.lid, closed[name].job.piece.design.head.lid
    assert lid is not None
    assert lid.clearance_mm is not None
    assert table is not None
    wanted = 1.1 if name in DESIGNS else lid.clearance_mm
    assert lid.clearance_mm == pytest.approx(wanted, abs=WITHIN_MM)
    # off its seat by a hair, the lid is pushed aside until it meets the jar: a cap's from outside, the others from in
    jar, top = closed[name].half(0), _moved(closed[name].half(1), up=WITHIN_MM)
    way = -1 if table.kind == "cap" else 1
    assert jar.distance(_moved(top, out=way * (wanted - WITHIN_MM))) > 0
    assert jar.distance(_moved(top, out=way * (wanted + WITHIN_MM))) == 0


@pytest.mark.parametrize("name", [*DESIGNS, "mustard_pot"])
def test_the_spoon_lies_in_the_jar_and_under_the_lid(closed: dict[str, Closed], name: str) -> None:
    one = closed[name]
    assert one.job.measures.spoon is not None
    assert not one.job.measures.spoon.tips_out
    assert not one.job.measures.spoon.falls_in
    apart = one.read["apart"]
    assert apart["lower bowl"] < WITHIN_MM
    assert apart["lower handle"] < WITHIN_MM
    assert apart["upper bowl"] > 0
    assert apart["upper handle"] > 0


@pytest.mark.parametrize("name", DESIGNS)
def test_without_its_notch_the_spoon_would_be_in_the_way(closed: dict[str, Closed], name: str) -> None:
    # the same spoon in the same place, its handle as a bar in the plane of the notch, and the parts without a notch
    spoon = _spoon(closed[name].job)
    assert spoon is not None
    angle, half = math.radians(spoon["angle_deg"]), spoon["thickness"] / 2
    start = (spoon["bowl_x"], spoon["bowl_z"])
    end = (start[0] + spoon["handle"] * math.cos(angle), start[1] + spoon["handle"] * math.sin(angle))
    bar = LineString([start, end]).buffer(half, cap_style="flat")
    clay = unary_union([closed[name].half(0), closed[name].half(1)])
    assert bar.intersection(clay).area > 1.0  # mm²; a bar 2 mm thick through a wall of 4 takes 8 of it


def _moved(half: BaseGeometry, *, up: float = 0.0, out: float = 0.0) -> BaseGeometry:
    assert isinstance(half, Polygon)
    return affinity.translate(half, out, up)
