"""Solids, turned or flat, made in a child process; importing this loads no modeller.

The kernel can crash, hang or be missing: whatever it does ends here as a `SolidError` that names the piece.
"""

from __future__ import annotations

import contextlib
import json
import os
import signal
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from types import TracebackType
from typing import IO, Any

from profiler.geometry.curve import Curve
from profiler.geometry.section import Section

AGREE = 1e-9
"""Relative disagreement of integral and solid that is still rounding; measured 4e-15 (DESIGN, section 3)."""

CUT_AGREE = 1e-6
"""The same for what the kernel has cut with another solid or surface: measured 4e-7 for notches, 2e-11 for the
cone of a lid, whose figures the section gives."""

AT_JOB = "\x1eworking on "
"""What the kernel says on stderr before each job, so that a crash can be laid to its piece."""

# -P keeps the potter's folder off the child's path: a file of hers called json.py must not be imported.
_COMMAND: tuple[str, ...] = (sys.executable, "-P", "-m", "profiler.solid.kernel")
_ROOT = Path(__file__).resolve().parents[2]


class SolidError(RuntimeError):
    """A solid that could not be made, or that does not agree with the integral; names the piece."""


@dataclass(frozen=True)
class NotchBox:
    """What a notch takes off a turned part: all of its near side, x over 0, within |y| of half the width.

    Attributes:
        width: square to x, mm.
        level: height its floor or ceiling stands at, mm.
        above: whether it takes what is above the level, as in a jar's rim, or what is below.
    """

    width: float
    level: float
    above: bool


@dataclass(frozen=True)
class Solid:
    """What the modeller measures of a job.

    Attributes:
        volume_mm3: volume of all its solids, mm³.
        surface_mm2: surface of all its solids, mm².
        centre_height_mm: height of their common centre of mass, mm.
        faces: number of faces.
        turned_mm3: volume before the notches were cut, mm³, if there are any.
        pieces_mm3: of a form cut in two, the volumes below, between and above the faces of the cut, mm³; what is
            between is 0 for a knife that takes nothing.
        triangles: in its STL file, if it has one.
        mesh_volume_mm3: volume the triangles enclose, mm³.
        bevel_mm: width of a plate's bevel as cut, mm, if it has one.
        bevel_deg: its angle from the plate's face as cut.
    """

    volume_mm3: float
    surface_mm2: float
    centre_height_mm: float
    faces: int
    turned_mm3: float | None = None
    pieces_mm3: tuple[float, float, float] | None = None
    triangles: int | None = None
    mesh_volume_mm3: float | None = None
    bevel_mm: float | None = None
    bevel_deg: float | None = None


def turned_job(
    name: str,
    sections: Sequence[Section],
    notches: Sequence[NotchBox | None] = (),
    *,
    step: Path | None = None,
    stl: Path | None = None,
) -> dict[str, Any]:
    """A job for the modeller: sections turned into separate solids, with the files that are wanted of them.

    Args:
        name: of the job, and in the STEP file.
        sections: of the solids.
        notches: cut out of them, one or None for each; empty for none at all.
        step: file for it.
        stl: file for it.
    """
    return {
        "kind": "turned",
        "name": name,
        "outlines": [_outline(section) for section in sections],
        "notches": [None if notch is None else asdict(notch) for notch in notches or [None] * len(sections)],
        "step": _path(step),
        "stl": _path(stl),
    }


def cut_job(name: str, section: Section, faces: Sequence[Curve]) -> dict[str, Any]:
    """A job for the modeller: a closed form turned and cut in two, to be measured.

    Args:
        name: of the job.
        section: of the form, clay on the axis below and above its hollow.
        faces: the line of the knife, or of the lower and the upper edge of what it takes, (r, z) mm; each is turned
            about the axis and must run from outside the form through its wall into its hollow.
    """
    lines = [face.cubics.tolist() for face in faces]
    return {"kind": "cut", "name": name, "outline": _outline(section), "faces": lines, "step": None, "stl": None}


def plate_job(
    name: str,
    body: Curve,
    holes: Sequence[Curve] = (),
    *,
    thickness_mm: float,
    working: int = 0,
    edge_mm: float = 0.0,
    angle_deg: float | None = None,
    step: Path | None = None,
    stl: Path | None = None,
) -> dict[str, Any]:
    """A job for the modeller: a flat tool as a solid, with the files that are wanted of it.

    Args:
        name: of the job, and in the STEP file.
        body: closed outer contour, mm, either way round, begun by its working edge.
        holes: closed contours cut out of it.
        thickness_mm: of the plate, from z = 0 up.
        working: how many cubics of the body are the working edge.
        edge_mm: how much of the thickness stays square at a bevelled edge: its land, from z = 0 up.
        angle_deg: of the bevel from the plate's face; None leaves the edge square. Where the edge bends too
            tightly for it, the bevel is steeper: `Solid.bevel_deg` says how it came out.
        step: file for it.
        stl: file for it.
    """
    return {
        "kind": "plate",
        "name": name,
        "body": body.cubics.tolist(),
        "holes": [hole.cubics.tolist() for hole in holes],
        "working": working,
        "thickness_mm": thickness_mm,
        "edge_mm": edge_mm,
        "angle_deg": angle_deg,
        "step": _path(step),
        "stl": _path(stl),
    }


def _outline(section: Section) -> list[Any]:
    found: list[Any] = section.outline.cubics.tolist()
    return found


def _path(path: Path | None) -> str | None:
    return None if path is None else str(Path(path).absolute())


def compared(name: str, exact_mm3: float, solid_mm3: float, within: float = AGREE) -> None:
    """Check the solid's volume against the integral's, both mm³.

    Raises:
        SolidError: they disagree by more than a share of the integral.
    """
    # Written so that a NaN on either side is a disagreement too.
    if not abs(solid_mm3 - exact_mm3) <= within * abs(exact_mm3):
        raise SolidError(
            f"{name}: the solid has {solid_mm3:.12g} mm³, the integral {exact_mm3:.12g} mm³; "
            f"they must agree to {within:g}"
        )


class Modeller:
    """A running kernel. Made by `start`; a context manager that leaves no process behind.

    A piece that cannot be made is an error; a plate that cannot is left out and said in `refused`, by its name
    and with the reason, since the sheets of that tool are none the worse for it.

    Request, answer and chatter pass through files, not pipes: nothing blocks however long they are, and the
    parent writes its sheets meanwhile.
    """

    def __init__(
        self, process: subprocess.Popen[bytes], files: list[IO[bytes]], names: list[str], plates: list[str]
    ) -> None:
        self._process = process
        self._request, self._answer, self._chatter = files
        self._names, self._plates = names, plates
        self.refused: dict[str, str] = {}
        self._solids: dict[str, Solid] | None = None

    @classmethod
    def start(cls, jobs: Sequence[dict[str, Any]]) -> Modeller:
        """Start the kernel on jobs made by `turned_job`, `cut_job` and `plate_job`, at once and without waiting.

        Raises:
            ValueError: two jobs have one name.
            SolidError: the process cannot be started.
        """
        names = [str(job["name"]) for job in jobs]
        if len(set(names)) < len(names):
            raise ValueError("two solids have one name")
        path = os.pathsep.join(p for p in (os.environ.get("PYTHONPATH", ""), str(_ROOT)) if p)
        files: list[IO[bytes]] = [tempfile.TemporaryFile() for _ in range(3)]  # noqa: SIM115 - closed by `close`
        try:
            files[0].write(json.dumps({"jobs": list(jobs)}).encode("ascii"))
            files[0].seek(0)
            process = subprocess.Popen(  # noqa: S603 - the command is this program's own
                _COMMAND,
                stdin=files[0],
                stdout=files[1],
                stderr=files[2],
                env={**os.environ, "PYTHONPATH": path},
                start_new_session=True,
            )
        except BaseException as error:
            for file in files:
                file.close()
            if isinstance(error, OSError):
                raise SolidError(f"{_listed(names)}: the modeller does not start: {error}") from error
            raise
        return cls(process, files, names, [str(job["name"]) for job in jobs if job.get("kind") == "plate"])

    def result(self, timeout_s: float = 120.0) -> dict[str, Solid]:
        """Wait for the solids, by the names of their jobs.

        Raises:
            SolidError: a job failed, or the kernel crashed, is missing, or took longer than `timeout_s`.
        """
        if self._solids is None:
            try:
                self._solids = self._read(timeout_s)
            finally:
                self.close()
        return self._solids

    def _read(self, timeout_s: float) -> dict[str, Solid]:
        if self._answer.closed:
            raise SolidError(f"{_listed(self._names)}: the modeller was stopped")
        try:
            code = self._process.wait(timeout_s)
        except subprocess.TimeoutExpired:
            raise SolidError(f"{self._culprit()}: the modeller was stopped after {timeout_s:g} s") from None
        if code < 0:
            raise SolidError(f"{self._culprit()}: the modeller crashed ({_signal_name(-code)})")
        self._answer.seek(0)
        try:
            answer = json.loads(self._answer.read())
        except ValueError:
            last = self._said().strip().rpartition("\n")[2]
            raise SolidError(f"{self._culprit()}: the modeller gave no answer (code {code}): {last}") from None
        if "missing" in answer:
            raise SolidError(
                f"{_listed(self._names)}: the solid modeller does not load ({answer['missing']}). "
                "It needs the package cadquery-ocp and, on a bare Debian, the packages libgl1 and libx11-6. "
                "Measuring and sheets work without it."
            )
        found = answer["solids"]
        self.refused = {name: found[name]["error"] for name in self._plates if "error" in found[name]}
        made = [name for name in self._names if name not in self.refused]
        errors = [f"{name}: {found[name]['error']}" for name in made if "error" in found[name]]
        if errors:
            raise SolidError("\n".join(errors))
        return {name: Solid(**found[name]) for name in made}

    def _said(self) -> str:
        self._chatter.seek(0)
        return self._chatter.read().decode("utf-8", "replace")

    def _culprit(self) -> str:
        """The piece the kernel was at, or all of them if it had not begun."""
        said = self._said()
        if AT_JOB not in said:
            return _listed(self._names)
        line = said.rpartition(AT_JOB)[2].partition("\n")[0]
        with contextlib.suppress(ValueError):  # half a line, if it died while writing it
            return str(json.loads(line))
        return _listed(self._names)

    def close(self) -> None:
        """Kill the kernel and all it started, if it still runs; may be called twice."""
        if self._process.poll() is None:
            # It leads a session of its own, so its group is its id and holds nothing of ours.
            with contextlib.suppress(ProcessLookupError, PermissionError):
                os.killpg(self._process.pid, signal.SIGKILL)
            self._process.wait()
        for file in (self._request, self._answer, self._chatter):
            file.close()

    def __enter__(self) -> Modeller:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()


def _listed(names: Sequence[str]) -> str:
    return ", ".join(names) or "no piece"


def _signal_name(number: int) -> str:
    try:
        return signal.Signals(number).name
    except ValueError:
        return f"signal {number}"
