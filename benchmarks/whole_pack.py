"""What making packs costs, as ratios to importing the solid modeller's Python layer on the same machine.

    .venv/bin/python benchmarks/whole_pack.py

Not a test: it is timed. Wanted: all sheets of one piece, without solids, in at most one `import cadquery`.
"""

# ruff: noqa: S603, T201 - a script that starts this project's own program and prints what it found

from __future__ import annotations

import os
import platform
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

RUNS = 3
DEMO = Path(__file__).resolve().parents[1] / "designs_demo"
DESIGNS = [path for path in sorted(DEMO.glob("*.toml")) if "[form]" in path.read_text("utf-8")]
_SHEETS = """
import sys, time
from pathlib import Path
from profiler.delivery import Delivery
from profiler.design.model import read_design
from profiler.job import job_of
from profiler.order import Order
from profiler.pack import Pack
from profiler.settings import Settings

design, out = map(Path, sys.argv[1:])
with Delivery(out, design.stem) as delivery:
    Pack(job_of(read_design(design), Settings()), delivery, Settings(), Order()).sheets()
"""


def main() -> None:
    """Print the table."""
    print(f"{os.cpu_count()} processors, {platform.machine()}, Python {platform.python_version()}")
    with tempfile.TemporaryDirectory() as folder:
        os.environ["PROFILER_SETTINGS"] = str(Path(folder) / "none.toml")
        yard, memory = _measured(["-c", "import cadquery"], folder)
        print(f"import cadquery                     {yard:6.2f} s          {memory:5.0f} MB   (median of {RUNS})")
        for path in DESIGNS:
            took, memory = _measured(["-c", _SHEETS, str(path), folder], folder)
            print(f"sheets without solids, {path.stem:<18}{took:6.2f} s  {took / yard:5.2f}   {memory:5.0f} MB")
        for words, name in (([], "the whole demo"), (["--kerf", "0.2"], "with files for a cutter")):
            took, memory = _measured(["-m", "profiler", "make", str(DEMO), "--out", folder, *words], folder)
            print(f"make, {name:<30}{took:6.2f} s  {took / yard:5.2f}   {memory:5.0f} MB")


def _measured(words: list[str], folder: str) -> tuple[float, float]:
    """Median wall time of a fresh interpreter, s, and the most memory one of its processes held, MB."""
    times = []
    for _ in range(RUNS + 1):
        began = time.perf_counter()
        subprocess.run([sys.executable, "-c", _WATCHED, *words], cwd=folder, check=True, stdout=subprocess.DEVNULL)
        times.append(time.perf_counter() - began)
    most = int((Path(folder) / "peak").read_text())
    return statistics.median(times[1:]), most / (1024 if sys.platform == "linux" else 1024 * 1024)


# A process of its own between, so that the peak is this run's and not that of an earlier child.
_WATCHED = """
import resource, subprocess, sys
from pathlib import Path
code = subprocess.run([sys.executable, *sys.argv[1:]], stdout=subprocess.DEVNULL).returncode
Path("peak").write_text(str(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss))
sys.exit(code)
"""

if __name__ == "__main__":
    main()
