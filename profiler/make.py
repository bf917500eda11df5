"""The whole job: designs to numbers, solids, templates and sheets, delivered whole or not at all."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from . import __version__
from .bench_card import write_bench_card
from .checks import Check, Level, checked
from .clay.states import State
from .delivery import Delivery, commit_all, recover
from .design.model import Design
from .geometry.section import Section
from .measures import Measures, as_json, measured
from .piece import Piece, piece_of
from .proof import prove_pdf, prove_svg
from .settings import Settings
from .sheets.pdf import write_templates_pdf
from .sheets.svg import write_svg
from .solid import Modeller, Solid, compared, jobs_of
from .templates.catalogue import not_made, templates_of
from .templates.section_view import section_view
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


def made(
    jobs: list[Job],
    out: Path,
    settings: Settings,
    paper: str,
    tell: Callable[[str], None],
) -> list[Path]:
    """Make and deliver every piece; returns the folders.

    Raises:
        Fault: the folder cannot be written.
        SolidError: a solid that is not what the integral says, or no modeller.
        ProofError: a sheet that does not hold what it should.
    """
    recover(out)
    with ExitStack() as stack:
        deliveries = [stack.enter_context(Delivery(out, job.stem)) for job in jobs]
        steps = [delivery.path("piece.step") for delivery in deliveries]
        solids = [solid for job, step in zip(jobs, steps, strict=True) for solid in wanted_solids(job, step)]
        modeller = stack.enter_context(Modeller.start([jobs_of(s.name, s.sections, s.step) for s in solids]))
        proofs = []
        for job, delivery in zip(jobs, deliveries, strict=True):
            tell(f"{job.piece.design.title}: sheets")
            proofs.append(_sheets(job, delivery, settings, paper))
        tell("waiting for the solids")
        answers = modeller.result(60.0 + 10.0 * len(solids))
        for job, delivery, proof in zip(jobs, deliveries, proofs, strict=True):
            numbers = figures(job) | {"solid": agreed(job, solids, answers), "proof": proof}
            text = json.dumps(numbers, indent=1, ensure_ascii=False, allow_nan=False)
            delivery.path("measures.json").write_text(text + "\n", encoding="utf-8")
        commit_all(deliveries)
        return [delivery.final for delivery in deliveries]


@dataclass(frozen=True, eq=False)
class WantedSolid:
    """A solid to be turned, and what the integral says of it."""

    name: str
    key: str
    sections: tuple[Section, ...]
    step: Path | None = None


def wanted_solids(job: Job, step: Path | None) -> list[WantedSolid]:
    """Finished (fired; the STEP file holds the whole), thrown (wet) and trimmed off (leather-hard), by part."""
    piece = job.piece
    found = []
    if len(piece.parts) > 1:
        whole = tuple(_in(piece, cast.section.moved(cast.lift), State.FIRED) for cast in piece.parts)
        found.append(WantedSolid(f"{job.stem}: whole", "whole", whole, step))
        step = None
    for cast in piece.parts:
        lead = f"{cast.name} " if cast.name else ""
        found.append(_wanted(job, lead + "finished", (_in(piece, cast.section, State.FIRED),), step))
        if cast.blend is None:
            continue
        found.append(_wanted(job, lead + "thrown", (_in(piece, cast.thrown, State.WET),)))
        if shortage(cast) is None:
            off = tuple(_in(piece, section, State.LEATHER_HARD) for section in waste(cast))
            found.append(_wanted(job, lead + "trimmed_off", off))
    return found


def _wanted(job: Job, key: str, sections: tuple[Section, ...], step: Path | None = None) -> WantedSolid:
    return WantedSolid(f"{job.stem}: {key}", key.replace(" ", "_"), sections, step)


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
    return found


def stamp_of(design: Design, settings: Settings, paper: str) -> str:
    """Version and a digest of design, body and settings, so that an old rib can be told from a new one."""
    whole = f"{design.digest} {settings.model_dump_json()} {paper}"
    return f"profiler {__version__} · {hashlib.sha256(whole.encode()).hexdigest()[:8]}"


def _sheets(job: Job, delivery: Delivery, settings: Settings, paper: str) -> dict[str, Any]:
    """Write and read back every sheet of a piece; returns what the reading found."""
    piece = job.piece
    stamp = stamp_of(piece.design, settings, paper)
    view = section_view(piece)
    write_svg(view, delivery.path("section.svg"), stamp=stamp)
    drawings = templates_of(piece)
    svg_off = 0.0
    for drawing in drawings:
        path = delivery.path(f"templates/{drawing.name}.svg")
        write_svg(drawing, path, stamp=stamp)
        svg_off = max(svg_off, prove_svg(drawing, path))
    proof: dict[str, Any] = {"svg_off_mm": svg_off, "templates": [drawing.name for drawing in drawings]}
    if drawings:
        path = delivery.path("templates.pdf")
        write_templates_pdf(drawings, path, paper=paper, stamp=stamp)
        proof["pdf_off_mm"] = prove_pdf(drawings, path)
    proof["left_out"] = [f"{name}: {why}" for name, why in not_made(piece)]
    names = ", ".join(drawing.name.replace("_", " ") for drawing in drawings) or "no templates"
    write_bench_card(
        job.measures,
        job.checks,
        view,
        delivery.path("bench_card.pdf"),
        paper=paper,
        stamp=stamp,
        sheets=f"With this card: {names}; read back and found 1:1.",
    )
    return proof
