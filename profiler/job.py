"""One design on its way: built, measured, checked, and the solids that prove it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from .checks import Check, Level, checked
from .clay.states import State
from .design.model import Design
from .geometry.section import Section
from .measures import Measures, as_json, measured
from .piece import Piece, piece_of
from .settings import Settings
from .solid import Solid, compared
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
        step: file for it.
        stands_on_mm: for what stands on a table, the largest radius that touches it: whence the lean it falls at.
    """

    name: str
    key: str
    sections: tuple[Section, ...]
    step: Path | None = None
    stands_on_mm: float | None = None


def wanted_solids(job: Job, step: Path | None) -> list[WantedSolid]:
    """Finished (fired; the STEP file holds the whole), thrown (wet) and trimmed off (leather-hard), by part."""
    piece = job.piece
    found = []
    if len(piece.parts) > 1:
        whole = tuple(_in(piece, cast.section.moved(cast.lift), State.FIRED) for cast in piece.parts)
        lowest = min(piece.parts, key=lambda cast: cast.lift)
        stands_on = piece.scale(State.FIRED)[0] * lowest.shape.stands_on
        found.append(WantedSolid(f"{job.stem}: whole", "whole", whole, step, stands_on))
        step = None
    for cast in piece.parts:
        lead = f"{cast.name} " if cast.name else ""
        finished = (_in(piece, cast.section, State.FIRED),)
        stands_on = piece.scale(State.FIRED)[0] * cast.shape.stands_on
        key = f"{lead}finished"
        found.append(WantedSolid(f"{job.stem}: {key}", key.replace(" ", "_"), finished, step, stands_on))
        if cast.blend is None:
            continue
        found.append(_wanted(job, lead + "thrown", (_in(piece, cast.thrown, State.WET),)))
        if shortage(cast) is None:
            off = tuple(_in(piece, section, State.LEATHER_HARD) for section in waste(cast))
            found.append(_wanted(job, lead + "trimmed_off", off))
    return found


def _wanted(job: Job, key: str, sections: tuple[Section, ...]) -> WantedSolid:
    return WantedSolid(f"{job.stem}: {key}", key.replace(" ", "_"), sections)


def _in(piece: Piece, section: Section, state: State) -> Section:
    return section.mapped(*piece.scale(state))


def agreed(job: Job, solids: list[WantedSolid], answers: dict[str, Solid]) -> dict[str, Any]:
    """The modeller's figures of one piece, each compared with the integral.

    Raises:
        SolidError: they disagree; names the piece.
    """
    found: dict[str, Any] = {}
    for wanted in solids:
        if not wanted.name.startswith(f"{job.stem}: "):
            continue
        exact = sum(section.volume_mm3 for section in wanted.sections)
        solid = answers[wanted.name]
        compared(wanted.name, exact, solid.volume_mm3)
        found[wanted.key] = {
            "volume_cm3": solid.volume_mm3 / 1000,
            "surface_cm2": solid.surface_mm2 / 100,
            "centre_height_mm": solid.centre_height_mm,
            "relative_to_integral": solid.volume_mm3 / exact - 1,
        }
        if wanted.stands_on_mm is not None:
            tips = math.degrees(math.atan2(wanted.stands_on_mm, solid.centre_height_mm))
            found[wanted.key]["tips_at_deg"] = tips
    return found
