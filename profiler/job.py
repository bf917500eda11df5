"""One design on its way: built, measured, checked, and the solids that prove it."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from .checks import Check, Level, checked
from .clay.states import State
from .design.model import Design
from .geometry.section import Section
from .lidded import standing
from .measures import Measures, as_json, measured
from .piece import Piece, piece_of
from .settings import Settings
from .solid import Solid, compared, turned_job
from .trimming import shortage, waste


@dataclass(frozen=True, eq=False)
class Job:
    """One piece on its way through."""

    piece: Piece
    measures: Measures
    checks: tuple[Check, ...]

    @property
    def stem(self) -> str:
        """Name of its folder."""
        return self.piece.design.path.stem

    @property
    def stands(self) -> bool:
        """Whether an error stands against it."""
        return any(check.level is Level.ERROR for check in self.checks)


def job_of(design: Design, settings: Settings) -> Job:
    """Build, measure and check one design.

    Raises:
        Fault: a shape that cannot be made.
    """
    piece = piece_of(design)
    measures = measured(piece, settings)
    return Job(piece, measures, checked(measures))


def figures(job: Job) -> dict[str, Any]:
    """What `measure --json` prints of a piece."""
    checks = [{"id": c.id, "level": str(c.level), "message": c.message} for c in job.checks]
    return as_json(job.measures) | {"checks": checks}


@dataclass(frozen=True, eq=False)
class WantedSolid:
    """A solid to be turned, and what the integral says of it.

    Attributes:
        name: of the job, with the piece's.
        key: under which its figures are told.
        sections: turned into one solid each.
        step: STEP file for it.
        stl: STL file for it.
        stands_on_mm: for what stands on a table, the largest radius that touches it: whence the lean it falls at.
    """

    name: str
    key: str
    sections: tuple[Section, ...]
    step: Path | None = None
    stl: Path | None = None
    stands_on_mm: float | None = None

    @property
    def request(self) -> dict[str, Any]:
        """What the modeller is asked."""
        return turned_job(self.name, self.sections, step=self.step, stl=self.stl)


def wanted_solids(
    job: Job, states: tuple[State, ...] = (State.FIRED,), file: Callable[[str], Path] | None = None
) -> list[WantedSolid]:
    """The finished piece in each state, with its files; thrown (wet) and trimmed off (leather-hard), by part.

    Args:
        job: the piece.
        states: in which the finished piece is turned.
        file: where a file of that name goes; None for no files.
    """
    found = [solid for state in states for solid in _finished(job, state, file)]
    for cast in job.piece.thrown:
        if cast.blend is None:
            continue
        lead = f"{cast.name} " if cast.name else ""
        found.append(_wanted(job, lead + "thrown", (cast.thrown.mapped(*cast.scale(State.WET)),)))
        if shortage(cast) is None:
            off = tuple(section.mapped(*cast.scale(State.LEATHER_HARD)) for section in waste(cast))
            found.append(_wanted(job, lead + "trimmed_off", off))
    return found


def _finished(job: Job, state: State, file: Callable[[str], Path] | None) -> list[WantedSolid]:
    """The finished piece in one state: whole in a STEP file, and each part in an STL file of its own."""
    piece = job.piece
    end = "" if state is State.FIRED else f" {state}"
    k_r = piece.scale(state)[0]
    found = []
    step = None if file is None else file(f"piece{end.replace(' ', '_')}.step")
    if len(piece.parts) > 1:
        sections = tuple(standing(piece, cast, state) for cast in piece.parts)
        lowest = min(piece.parts, key=lambda cast: cast.lift)
        whole = _wanted(job, f"whole{end}", sections)
        found.append(replace(whole, step=step, stands_on_mm=k_r * lowest.shape.stands_on))
        step = None
    for cast in piece.parts:
        lead = f"{cast.name} " if cast.name else ""
        stl = None if file is None else file(f"{cast.name or 'piece'}{end}.stl".replace(" ", "_"))
        one = _wanted(job, f"{lead}finished{end}", (cast.section.mapped(*cast.scale(state)),))
        found.append(replace(one, step=step, stl=stl, stands_on_mm=k_r * cast.shape.stands_on))
    return found


def _wanted(job: Job, key: str, sections: tuple[Section, ...]) -> WantedSolid:
    return WantedSolid(f"{job.stem}: {key}", key.replace(" ", "_"), sections)


def agreed(solids: Sequence[WantedSolid], answers: dict[str, Solid]) -> dict[str, Any]:
    """The modeller's figures of one piece's solids, each compared with the integral.

    Raises:
        SolidError: they disagree; names the piece.
    """
    found: dict[str, Any] = {}
    for wanted in solids:
        exact = sum(section.volume_mm3 for section in wanted.sections)
        solid = answers[wanted.name]
        compared(wanted.name, exact, solid.volume_mm3)
        found[wanted.key] = {
            "volume_cm3": solid.volume_mm3 / 1000,
            "surface_cm2": solid.surface_mm2 / 100,
            "centre_height_mm": solid.centre_height_mm,
            "relative_to_integral": solid.volume_mm3 / exact - 1,
        }
        if solid.mesh_volume_mm3 is not None:
            found[wanted.key]["mesh_relative_to_integral"] = solid.mesh_volume_mm3 / exact - 1
        if wanted.stands_on_mm is not None:
            tips = math.degrees(math.atan2(wanted.stands_on_mm, solid.centre_height_mm))
            found[wanted.key]["tips_at_deg"] = tips
    return found
