"""One design on its way: built, measured, checked, and the solids that prove it."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np

from .checks import Check, Level, checked
from .clay.states import State
from .design.model import Design
from .faults import Fault
from .geometry.curve import Curve, line
from .geometry.section import Section
from .lidded import standing
from .measures import Measures, measured
from .measures_json import as_json
from .piece import Cast, Piece, piece_of
from .settings import Settings
from .solid import CUT_AGREE, NotchBox, Solid, compared, cut_job, turned_job
from .spoon.notch import taken_from_jar_mm3, taken_from_lid_mm3
from .trimming import shortage, waste

_PAST_MM = 0.2
"""How far the modeller's knife goes on past the wall: enough to leave it, too little to meet other clay."""


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
    try:
        piece = piece_of(design)
    except Fault as fault:
        if fault.field != "lid.height":
            raise
        from .study.heights import heights_wanted

        raise replace(fault, wanted=heights_wanted(design, settings) or fault.wanted) from fault
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
        notches: cut out of them, one or None for each.
        step: STEP file for it.
        stl: STL file for it.
        stands_on_mm: for what stands on a table, the largest radius that touches it: whence the lean it falls at.
    """

    name: str
    key: str
    sections: tuple[Section, ...]
    notches: tuple[NotchBox | None, ...]
    step: Path | None = None
    stl: Path | None = None
    stands_on_mm: float | None = None

    @property
    def request(self) -> dict[str, Any]:
        """What the modeller is asked."""
        return turned_job(self.name, self.sections, self.notches, step=self.step, stl=self.stl)

    @property
    def turned_mm3(self) -> float:
        """Volume of a full turn of its sections, mm³."""
        return sum(section.volume_mm3 for section in self.sections)

    @property
    def notched_mm3(self) -> float:
        """What the notches take of that, mm³."""
        return sum(
            (taken_from_jar_mm3 if notch.above else taken_from_lid_mm3)(section, notch.width, notch.level)
            for section, notch in zip(self.sections, self.notches, strict=True)
            if notch is not None
        )

    def told(self, solid: Solid) -> dict[str, dict[str, float]]:
        """What the modeller says of it, compared with the integral.

        Raises:
            SolidError: they disagree.
        """
        exact = self.turned_mm3
        turned = solid.volume_mm3 if solid.turned_mm3 is None else solid.turned_mm3
        compared(self.name, exact, turned)
        found = {
            "volume_cm3": solid.volume_mm3 / 1000,
            "surface_cm2": solid.surface_mm2 / 100,
            "centre_height_mm": solid.centre_height_mm,
            "relative_to_integral": turned / exact - 1,
        }
        if solid.turned_mm3 is not None:
            exact -= self.notched_mm3
            compared(f"{self.name}, notched", exact, solid.volume_mm3, CUT_AGREE)
            found["notched_relative_to_integral"] = solid.volume_mm3 / exact - 1
        if solid.mesh_volume_mm3 is not None:
            found["mesh_relative_to_integral"] = solid.mesh_volume_mm3 / exact - 1
        if self.stands_on_mm is not None:
            found["tips_at_deg"] = math.degrees(math.atan2(self.stands_on_mm, solid.centre_height_mm))
        return {self.key: found}


@dataclass(frozen=True, eq=False)
class WantedCut:
    """A closed form to be turned and cut in two as the knife does it, and what the sections say of the pieces.

    Attributes:
        name: of the job, with the piece's.
        whole: the form.
        faces: lines of the cut, from outside the form into its hollow.
        pieces: by the key under which its figures are told, mm³: jar, kerf and lid.
    """

    name: str
    whole: Section
    faces: tuple[Curve, ...]
    pieces: dict[str, float]

    @property
    def request(self) -> dict[str, Any]:
        """What the modeller is asked."""
        return cut_job(self.name, self.whole, self.faces)

    def told(self, solid: Solid) -> dict[str, dict[str, float]]:
        """What the modeller says of the pieces, compared with the sections.

        Raises:
            SolidError: they disagree.
        """
        found = {}
        for (key, exact), piece in zip(self.pieces.items(), solid.pieces_mm3 or (), strict=True):
            compared(f"{self.name} ({key})", exact, piece, CUT_AGREE)
            if exact:  # a knife that takes nothing leaves no kerf to tell of
                found[key] = {"volume_cm3": piece / 1000, "relative_to_integral": piece / exact - 1}
        return found


Wanted = WantedSolid | WantedCut


def wanted_solids(
    job: Job, states: tuple[State, ...] = (State.FIRED,), file: Callable[[str], Path] | None = None
) -> list[Wanted]:
    """The finished piece in each state, with its files; thrown (wet) and trimmed off (leather-hard), by part.

    Of a closed form whose lid is cut, also the form cut in two, fired.

    Args:
        job: the piece.
        states: in which the finished piece is turned.
        file: where a file of that name goes; None for no files.
    """
    found: list[Wanted] = [solid for state in states for solid in _finished(job, state, file)]
    found += _cut(job)
    for cast in job.piece.thrown:
        if cast.blend is None:
            continue
        lead = f"{cast.name} " if cast.name and cast is not job.piece.whole else ""
        found.append(_wanted(job, lead + "thrown", (cast.thrown.mapped(*cast.scale(State.WET)),)))
        if shortage(cast) is None:
            off = tuple(section.mapped(*cast.scale(State.LEATHER_HARD)) for section in waste(cast))
            found.append(_wanted(job, lead + "trimmed_off", off))
    return found


def _finished(job: Job, state: State, file: Callable[[str], Path] | None) -> list[WantedSolid]:
    """The finished piece in one state: whole in a STEP file, and each part in files of its own."""
    piece = job.piece
    end = "" if state is State.FIRED else f" {state}"
    k_r = piece.scale(state)[0]

    def place(name: str, kind: str) -> Path | None:
        return None if file is None else file(f"{name}{end}.{kind}".replace(" ", "_"))

    found = []
    several = len(piece.parts) > 1
    if several:
        sections = tuple(standing(piece, cast, state) for cast in piece.parts)
        notches = tuple(
            _notch(job, cast, state, section, above=cast.holds)
            for cast, section in zip(piece.parts, sections, strict=True)
        )
        lowest = min(piece.parts, key=lambda cast: cast.lift)
        whole = _wanted(job, f"whole{end}", sections, notches)
        found.append(replace(whole, step=place("piece", "step"), stands_on_mm=k_r * lowest.shape.stands_on))
    for cast in piece.parts:
        name = cast.name or "piece"
        lead = f"{cast.name} " if cast.name else ""
        section = cast.section.mapped(*cast.scale(state))
        notch = _notch(job, cast, state, section, above=cast.holds or cast.flipped)
        one = _wanted(job, f"{lead}finished{end}", (section,), (notch,))
        step, stl = place(name, "step"), place(name, "stl")
        found.append(replace(one, step=step, stl=stl, stands_on_mm=k_r * cast.shape.stands_on))
    return found


def _notch(job: Job, cast: Cast, state: State, section: Section, *, above: bool) -> NotchBox | None:
    """The notch in a part, in a state, where its section stands; None without one."""
    spoon = job.measures.spoon
    if spoon is None or spoon.notch_width_mm is None:
        return None
    depth = spoon.jar_notch_mm if cast.holds else spoon.lid_notch_mm if cast.name == "lid" else 0.0
    if depth <= 0:
        return None
    k_r, k_z = (now / fired for now, fired in zip(cast.scale(state), cast.scale(State.FIRED), strict=True))
    outline = section.outline
    level = outline.highest(1)[1] - k_z * depth if above else outline.lowest(1)[1] + k_z * depth
    return NotchBox(k_r * spoon.notch_width_mm, level, above)


def _cut(job: Job) -> list[WantedCut]:
    """The closed form of a cut lid, fired, and its cut; nothing for any other piece."""
    piece = job.piece
    if piece.whole is None or piece.pair is None or piece.pair.cut is None:
        return []
    cut, scale = piece.pair.cut, piece.scale(State.FIRED)
    faces = [cut.jar.rim.reversed()]
    if cut.kerf is not None:
        faces.append(cut.lid.base.moved(0.0, cut.lid_cut_height))
    way = np.array([math.cos(cut.cut.lean), math.sin(cut.cut.lean)])
    lines = []
    for face in faces:
        inner, outer = face.start, face.end
        lines.append(line(inner - min(_PAST_MM, inner[0] / 2) * way, outer + _PAST_MM * way).mapped(*scale))
    jar, lid = (cast.section.mapped(*scale).volume_mm3 for cast in piece.parts)
    kerf = 0.0 if cut.kerf is None else cut.kerf.mapped(*scale).volume_mm3
    pieces = {"cut_jar": jar, "kerf": kerf, "cut_lid": lid}
    return [WantedCut(f"{job.stem}: cut in two", piece.whole.section.mapped(*scale), tuple(lines), pieces)]


def _wanted(
    job: Job, key: str, sections: tuple[Section, ...], notches: tuple[NotchBox | None, ...] | None = None
) -> WantedSolid:
    return WantedSolid(f"{job.stem}: {key}", key.replace(" ", "_"), sections, notches or (None,) * len(sections))


def agreed(solids: Sequence[Wanted], answers: dict[str, Solid]) -> dict[str, Any]:
    """The modeller's figures of one piece's solids, each compared with the integral.

    Raises:
        SolidError: they disagree; names the piece.
    """
    found: dict[str, Any] = {}
    for wanted in solids:
        found |= wanted.told(answers[wanted.name])
    return found
