"""What a whole catalogue costs: 1,000 designs of every form and lid, measured in one command.

    .venv/bin/python benchmarks/catalogue.py

Not a test: it is timed, so it depends on what else the machine does; of several runs the best counts, for each of
the times alike. Exit code 1 where a bound is missed.
"""

# ruff: noqa: S603, T201 - a script that starts this project's own program and prints what it found

from __future__ import annotations

import json
import os
import platform
import random
import subprocess
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path

RUNS = 3
FEW, MANY = 100, 1000
MOST_IMPORTS = 4.0
MOST_GROWTH = 11.0
LEAST_INTEGRAL = 20.0
SOLIDS = 33
"""Designs turned in the modeller: three of each kind."""

_FORMS = {"cut": "closed", "gallery": "jar", "flange": "cylinder", "cap": "jar"}
KINDS = ("bowl", "plate", "cylinder", "jar", "closed", "stand", "points", *_FORMS)
"""Every form without a lid, and every lid."""

Draw = Callable[[float, float], float]


def main() -> None:
    """Print the table; exit with 1 where a bound is missed."""
    print(f"{os.cpu_count()} processors, {platform.machine()}, Python {platform.python_version()}, best of {RUNS}")
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        os.environ["PROFILER_SETTINGS"] = str(folder / "none.toml")
        yard = _told("import cadquery", ["-c", "import cadquery"])
        few, many = (
            _told(f"measure, {count:,} designs", ["-m", "profiler", "measure", _written(folder, count), "--json"])
            for count in (FEW, MANY)
        )
        faster = _integral_against_solid(folder / str(MANY))
    bounds = (
        (
            "1,000 designs, in imports of cadquery",
            many / yard,
            many / yard <= MOST_IMPORTS,
            f"at most {MOST_IMPORTS:g}",
        ),
        ("from 100 to 1,000 designs, times", many / few, many / few <= MOST_GROWTH, f"at most {MOST_GROWTH:g}"),
        ("integral, times as fast as the solid", faster, faster >= LEAST_INTEGRAL, f"at least {LEAST_INTEGRAL:g}"),
    )
    for what, found, holds, wanted in bounds:
        print(f"{what:<38}{found:8.1f}   {wanted:<12}{'' if holds else 'MISSED'}")
    if not all(holds for _, _, holds, _ in bounds):
        sys.exit(1)


def design(number: int) -> str:
    """The text of a design file: forms and lids in turn, sizes drawn by its number."""
    drawn = random.Random(number)  # noqa: S311 - sizes, no secrets

    def mm(low: float, high: float) -> float:
        return round(drawn.uniform(low, high), 1)

    kind = KINDS[number % len(KINDS)]
    form = _FORMS.get(kind, kind)
    walls = f"[wall]\nrim = {mm(3.5, 5)}\nfoot = {mm(4.5, 6)}\n"
    text = f'title = "No. {number}"\n[form]\nkind = "{form}"\n{_sizes(form, mm)}{walls}{_lid(kind, mm)}'
    if kind == "cut" and number % 3 == 0:  # every third pot with a cut lid has a spoon in it
        text += f"[spoon]\nlength = {mm(125, 145)}\nhandle_width = 6\n[notch]\n"
    return text


def _sizes(form: str, mm: Draw) -> str:
    """The rest of `[form]`; ranges in which every draw makes a pot."""
    if form == "bowl":
        return f"rim_diameter = {mm(110, 300)}\nheight = {mm(55, 110)}\nfullness = {mm(0.2, 0.6)}\n"
    if form == "plate":
        return f"rim_diameter = {mm(190, 300)}\nheight = {mm(24, 32)}\nrim_width = {mm(18, 32)}\n"
    if form == "stand":
        return f"rim_diameter = {mm(200, 300)}\nheight = {mm(90, 160)}\n"
    if form == "closed":
        return f"belly_diameter = {mm(76, 140)}\nheight = {mm(90, 130)}\nshoulder = {mm(0.55, 0.8)}\n"
    if form == "cylinder":
        wide = mm(70, 110)
        return f"rim_diameter = {wide}\nbase_diameter = {wide - mm(0, 8):.1f}\nheight = {mm(75, 160)}\n"
    if form == "jar":
        wide = mm(80, 100)
        return f"rim_diameter = {wide}\nbelly_diameter = {wide + mm(4, 40):.1f}\nheight = {mm(95, 180)}\n"
    foot, high = mm(30, 50), mm(80, 140)
    belly = foot + mm(3, 7)
    points = f"[[{foot}, 0], [{belly:.1f}, {high / 3:.1f}], [{belly + mm(-2, 2):.1f}, {high}]]"
    return f'curve = "{"smooth" if high > 110 else "straight"}"\noutside = {points}\n'


def _lid(kind: str, mm: Draw) -> str:
    """`[lid]`; nothing for a form without one."""
    if kind == "cut":
        return f'[lid]\nkind = "cut"\nheight = {mm(64, 68)}\n'
    if kind == "gallery":
        return f'[lid]\nkind = "gallery"\nledge_width = {mm(4, 6)}\nledge_depth = {mm(4, 6)}\n'
    if kind == "flange":
        return f'[lid]\nkind = "flange"\ncollar_depth = {mm(6, 12)}\n'
    return f'[lid]\nkind = "cap"\nskirt_depth = {mm(10, 16)}\n' if kind == "cap" else ""


def _written(folder: Path, count: int) -> str:
    """A folder of so many design files."""
    made = folder / str(count)
    made.mkdir()
    for number in range(count):
        (made / f"no_{number:04d}.toml").write_text(design(number), encoding="utf-8")
    return str(made)


def _told(what: str, words: list[str]) -> float:
    """Wall time of a fresh interpreter, s; printed with its processor time and the most memory of one process."""
    found = [
        json.loads(subprocess.run([sys.executable, "-c", _WATCHED, *words], check=True, capture_output=True).stdout)
        for _ in range(RUNS)
    ]
    wall, processors, memory = (min(run[index] for run in found) for index in range(3))
    memory /= 1024 if sys.platform == "linux" else 1024 * 1024
    print(f"{what:<28}{wall:7.2f} s  {processors:7.2f} s of processors  {memory:5.0f} MB in one process")
    return float(wall)


# A process of its own between, so that the figures are this run's and not those of an earlier child.
_WATCHED = """
import json, resource, subprocess, sys, time
began = time.perf_counter()
subprocess.run([sys.executable, *sys.argv[1:]], stdout=subprocess.DEVNULL, check=True)
took = time.perf_counter() - began
used = resource.getrusage(resource.RUSAGE_CHILDREN)
print(json.dumps([took, used.ru_utime + used.ru_stime, used.ru_maxrss]))
"""


def _integral_against_solid(folder: Path) -> float:
    """Median over designs: time to turn a section and ask its volume, over time of the integral, curve and all."""
    words = [sys.executable, "-c", _COMPARED, *map(str, sorted(folder.glob("*.toml"))[:SOLIDS])]
    found = json.loads(subprocess.run(words, check=True, capture_output=True).stdout)
    print(f"volume of {found['sections']} sections: {found['integral_ms']:.3f} ms each by integral, ", end="")
    print(f"{found['solid_ms']:.2f} ms by the solid, apart at most {found['apart']:.1g} of it")
    return float(found["faster"])


_COMPARED = """
import json, statistics, sys, time
from pathlib import Path
import cadquery as cq
import numpy as np
from profiler.design.model import read_design
from profiler.geometry.curve import Curve
from profiler.geometry.section import Section
from profiler.piece import piece_of

def edge(cubic):
    points = [cq.Vector(r, 0, z) for r, z in cubic.tolist()]
    straight = np.abs(np.diff(cubic, n=2, axis=0)).max() < 1e-10
    return cq.Edge.makeLine(points[0], points[3]) if straight else cq.Edge.makeBezier(points)

def solid(cubics):
    wire = cq.Wire.assembleEdges([edge(cubic) for cubic in cubics])
    return cq.Solid.revolve(wire, [], 360, cq.Vector(0, 0, 0), cq.Vector(0, 0, 1)).Volume()

def integral(cubics):
    return Section(Curve(cubics)).volume_mm3

def timed(make, cubics):
    took, volume = [], 0.0
    for _ in range(3):
        began = time.perf_counter()
        volume = make(cubics)
        took.append(time.perf_counter() - began)
    return min(took), volume

times, apart = [], 0.0
for path in sys.argv[1:]:
    for cast in piece_of(read_design(Path(path))).parts:
        cubics = cast.section.outline.cubics
        kept = cubics[np.abs(cubics - cubics[:, :1]).max(axis=(1, 2)) > 1e-9]
        (exact_s, exact), (turned_s, turned) = timed(integral, kept), timed(solid, kept)
        apart = max(apart, abs(turned / exact - 1))
        times.append((exact_s, turned_s))
print(json.dumps({
    "sections": len(times),
    "integral_ms": 1000 * statistics.median(a for a, b in times),
    "solid_ms": 1000 * statistics.median(b for a, b in times),
    "faster": statistics.median(b / a for a, b in times),
    "apart": apart,
}))
"""

if __name__ == "__main__":
    main()
