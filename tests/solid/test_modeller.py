"""The child process: what happens when it crashes, hangs or is missing."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from pathlib import Path

import pytest

from profiler.geometry.curve import polyline
from profiler.geometry.section import Section
from profiler.solid import Modeller, SolidError, turned_job

DISC = Section(polyline([(0, 0), (4, 0), (4, 1), (0, 1), (0, 0)]))


@pytest.fixture
def stand_in(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A package the child finds in the place of the modeller: it loads, then does what a test writes."""
    package = tmp_path / "OCP"
    package.mkdir()
    (package / "__init__.py").touch()
    (package / "BRepPrimAPI.py").touch()
    monkeypatch.setenv("PYTHONPATH", str(tmp_path))
    return package


def _gone(pid: int, within_s: float = 5.0) -> bool:
    """Whether a process ends in that time; one nobody has waited for yet counts as ended."""
    until = time.monotonic() + within_s
    while time.monotonic() < until:
        stat = Path(f"/proc/{pid}/stat")
        try:
            if stat.read_text().rpartition(")")[2].split()[0] == "Z":
                return True
        except (FileNotFoundError, ProcessLookupError):
            return True
        time.sleep(0.02)
    return False


def test_importing_the_client_loads_no_modeller() -> None:
    script = (
        "import sys, profiler.solid\n"
        "print([m for m in sys.modules if m.split('.')[0] in ('OCP', 'cadquery', 'vtk', 'casadi')])"
    )
    root = Path(__file__).resolve().parents[2]
    done = subprocess.run(
        [sys.executable, "-c", script], cwd=root, capture_output=True, text=True, check=True, timeout=60
    )
    assert done.stdout.strip() == "[]"


def test_a_crash_names_the_piece_it_happened_in(stand_in: Path) -> None:
    # The first job stumbles over the stand-in, the second brings the process down.
    (stand_in / "BRep.py").write_text(
        "import os, signal, pathlib\n"
        "seen = pathlib.Path(__file__).with_name('seen')\n"
        "if seen.exists(): os.kill(os.getpid(), signal.SIGKILL)\n"
        "seen.touch()\n"
        "raise RuntimeError('once')\n"
    )
    jobs, told = (
        [turned_job(name, [DISC]) for name in ("bowl", "Šálek")],
        r"^Šálek: the modeller crashed \(SIGKILL\)$",
    )
    with Modeller.start(jobs) as modeller, pytest.raises(SolidError, match=told):
        modeller.result()


def test_a_hang_ends_with_all_that_the_kernel_started(stand_in: Path) -> None:
    told = stand_in / "pids"
    (stand_in / "BRep.py").write_text(
        "import os, pathlib, subprocess, sys, time\n"
        "child = subprocess.Popen([sys.executable, '-c', 'import time; time.sleep(60)'])\n"
        f"part = pathlib.Path({str(told)!r} + '.part')\n"
        "part.write_text(f'{os.getpid()} {child.pid}')\n"
        f"part.rename({str(told)!r})\n"
        "time.sleep(60)\n"
    )
    with Modeller.start([turned_job("bowl", [DISC])]) as modeller:
        until = time.monotonic() + 30
        while not told.exists():
            assert time.monotonic() < until, "the child never got to its work"
            time.sleep(0.02)
        begun = time.monotonic()
        with pytest.raises(SolidError, match=r"^bowl: the modeller was stopped after 0\.1 s$"):
            modeller.result(timeout_s=0.1)
        # Far below the 60 s it would sleep, far above what a kill takes.
        assert time.monotonic() - begun < 10
    for pid in told.read_text().split():
        assert _gone(int(pid)), pid


def test_leaving_early_kills_the_child() -> None:
    with Modeller.start([turned_job("bowl", [DISC])]) as modeller:
        pid = modeller._process.pid
        os.kill(pid, 0)
    assert _gone(pid)
    with pytest.raises(SolidError, match="bowl: the modeller was stopped"):
        modeller.result()


def test_missing_system_libraries_are_one_message(stand_in: Path) -> None:
    (stand_in / "BRepPrimAPI.py").write_text(
        "raise ImportError('libGL.so.1: cannot open shared object file: No such file or directory')"
    )
    with Modeller.start([turned_job("bowl", [DISC])]) as modeller, pytest.raises(SolidError) as caught:
        modeller.result()
    message = str(caught.value)
    assert message.startswith("bowl: ")
    assert all(word in message for word in ("libGL.so.1", "libgl1", "libx11-6"))
    assert "\n" not in message


def test_an_answer_that_is_none_is_an_error(stand_in: Path) -> None:
    (stand_in / "BRep.py").write_text("import os\nos._exit(0)\n")
    told = "bowl: the modeller gave no answer"
    with Modeller.start([turned_job("bowl", [DISC])]) as modeller, pytest.raises(SolidError, match=told):
        modeller.result()


def test_a_file_of_hers_is_not_imported(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "json.py").write_text("raise SystemExit('imported from the folder she works in')")
    monkeypatch.chdir(tmp_path)
    with Modeller.start([turned_job("bowl", [DISC])]) as modeller:
        solids = modeller.result()
        assert modeller.result() is solids
    assert solids["bowl"].faces == 3


def test_two_turned_job_one_name_are_refused() -> None:
    with pytest.raises(ValueError, match="one name"):
        Modeller.start([turned_job("bowl", [DISC]), turned_job("bowl", [DISC])])
