"""The whole job: designs to numbers, solids, templates and sheets, delivered whole or not at all."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable
from contextlib import ExitStack
from pathlib import Path
from typing import Any

from . import __version__
from .bench_card import write_bench_card
from .delivery import Delivery, commit_all, recover
from .design.model import Design
from .job import Job, agreed, figures, wanted_solids
from .proof import prove_dxf, prove_pdf, prove_svg
from .settings import Settings
from .sheets.dxf import write_dxf
from .sheets.pdf import write_templates_pdf
from .sheets.svg import write_svg
from .solid import Modeller, jobs_of
from .templates.catalogue import not_made, templates_of
from .templates.section_view import section_view


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
    drawings = templates_of(piece, settings.bat_thickness_mm)
    svg_off = dxf_off = 0.0
    for drawing in drawings:
        path = delivery.path(f"templates/{drawing.name}.svg")
        write_svg(drawing, path, stamp=stamp)
        svg_off = max(svg_off, prove_svg(drawing, path))
        path = delivery.path(f"templates/{drawing.name}.dxf")
        write_dxf(drawing, path, stamp=stamp)
        dxf_off = max(dxf_off, prove_dxf(drawing, path))
    proof: dict[str, Any] = {
        "svg_off_mm": svg_off,
        "dxf_off_mm": dxf_off,
        "templates": [drawing.name for drawing in drawings],
    }
    printed = tuple(drawing for drawing in drawings if "slab_" not in drawing.name)
    if printed:
        path = delivery.path("templates.pdf")
        write_templates_pdf(printed, path, paper=paper, stamp=stamp)
        proof["pdf_off_mm"] = prove_pdf(printed, path)
    proof["left_out"] = [f"{name}: {why}" for name, why in not_made(piece)]
    write_bench_card(
        job.measures,
        job.checks,
        view,
        delivery.path("bench_card.pdf"),
        paper=paper,
        stamp=stamp,
        sheets=f"{len(drawings)} templates with this card, read back and found 1:1.",
    )
    return proof
