"""How quick the quick path is, as ratios to importing the solid modeller's Python layer on the same machine.

    .venv/bin/python benchmarks/quick_path.py

Not a test: it is timed, so it depends on what else the machine does. Wanted: `measure` at most 0.4 and `make`
at most 2.5 of `import cadquery`.
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

RUNS = 5
DEMO = Path(__file__).resolve().parents[1] / "designs_demo"
DESIGNS = [path for path in sorted(DEMO.glob("*.toml")) if "[form]" in path.read_text("utf-8")]
SETTINGS = "PROFILER_SETTINGS"


def main() -> None:
    """Print the table."""
    from profiler.design.model import read_design
    from profiler.job import job_of
    from profiler.settings import Settings

    print(f"{os.cpu_count()} processors, {platform.machine()}, Python {platform.python_version()}")
    design = str(DEMO / "porridge_bowl.toml")
    with tempfile.TemporaryDirectory() as folder:
        os.environ[SETTINGS] = str(Path(folder) / "none.toml")
        yard = _median(["-c", "import cadquery"], folder)
        print(f"import cadquery             {yard:6.2f} s   (median of {RUNS}, as all that follow)")
        for name, words, most in (
            ("profiler measure, 1 design", ["measure", design], 0.4),
            ("profiler make, 1 design", ["make", design, "--out", folder], 2.5),
        ):
            took = _median(["-m", "profiler", *words], folder)
            print(f"{name:<27} {took:6.2f} s   {took / yard:.2f} of it, wanted at most {most}")
    for path in DESIGNS:
        one = read_design(path)
        settings = Settings()
        job_of(one, settings)
        times = []
        for _ in range(RUNS):
            began = time.perf_counter()
            job_of(one, settings)
            times.append(time.perf_counter() - began)
        print(f"curves, numbers, checks     {1000 * statistics.median(times):6.1f} ms  {path.stem}")


def _median(words: list[str], folder: str) -> float:
    """Wall time of a fresh interpreter, s; one run before, so that files are in the machine's memory."""
    times = []
    for _ in range(RUNS + 1):
        began = time.perf_counter()
        subprocess.run([sys.executable, *words], cwd=folder, check=True, stdout=subprocess.DEVNULL)
        times.append(time.perf_counter() - began)
    return statistics.median(times[1:])


if __name__ == "__main__":
    main()
