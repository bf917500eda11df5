"""One piece's folder on its way: every sheet written and read back, every solid ordered."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from . import __version__
from .bench_card import write_bench_card
from .delivery import Delivery
from .design.model import Design
from .job import Job, Wanted, agreed, figures, wanted_solids
from .order import Order
from .proof import prove_dxf, prove_pdf, prove_svg
from .settings import Settings
from .sheets.dxf import write_dxf
from .sheets.pdf import write_templates_pdf
from .sheets.svg import write_svg
from .solid import Solid, plate_job
from .templates.catalogue import Template, chosen, not_made
from .templates.drawing import Drawing
from .templates.kerf import for_kerf
from .templates.section_view import section_view
from .what_if import WhatIf, what_if


@dataclass(frozen=True, eq=False)
class Pack:
    """What is made of one piece.

    Attributes:
        job: the piece, measured and checked.
        delivery: its folder.
        settings: of her workshop.
        order: what of it is wanted, and how.
    """

    job: Job
    delivery: Delivery
    settings: Settings
    order: Order

    @cached_property
    def templates(self) -> tuple[Template, ...]:
        """Those ordered."""
        return chosen(self.job.piece, self.order.choice, self.settings)

    @cached_property
    def what_if(self) -> WhatIf:
        """What a millimetre more does to it."""
        return what_if(self.job.measures, self.settings)

    @cached_property
    def solids(self) -> list[Wanted]:
        """The piece's own."""
        return wanted_solids(self.job, self.order.solids, self.delivery.path)

    @property
    def requests(self) -> list[dict[str, Any]]:
        """All the modeller is to make: the piece, and each stiff tool as a plate."""
        plates = [self._plate(template) for template in self._stiff]
        return [solid.request for solid in self.solids] + plates

    @property
    def _stiff(self) -> list[Template]:
        return [template for template in self.templates if not template.tool.pattern]

    def _plate_name(self, template: Template) -> str:
        return f"{self.job.stem}: {template.drawing.name}"

    def _plate(self, template: Template) -> dict[str, Any]:
        drawing, rib = template.drawing, self.order.rib
        if drawing.body is None or drawing.profile is None:
            raise ValueError(f"{drawing.name} is no template: it has no body")
        bevelled = template.tool.works and rib.bevel_degrees < 90 and rib.edge_mm < rib.thickness_mm
        return plate_job(
            self._plate_name(template),
            drawing.body,
            drawing.holes,
            thickness_mm=rib.thickness_mm,
            working=len(drawing.profile) if bevelled else 0,
            edge_mm=rib.edge_mm,
            angle_deg=rib.bevel_degrees if bevelled else None,
            step=self.delivery.path(f"templates/{drawing.name}.step"),
            stl=self.delivery.path(f"templates/{drawing.name}.stl"),
        )

    def sheets(self) -> dict[str, Any]:
        """Write and read back every sheet; returns what the reading found.

        Raises:
            ProofError: a sheet that does not hold what it should.
        """
        piece, stamp = self.job.piece, stamp_of(self.job.piece.design, self.settings, self.order)
        view = section_view(self.job.measures)
        write_svg(view, self.delivery.path("section.svg"), stamp=stamp)
        drawings = tuple(template.drawing for template in self.templates)
        proof: dict[str, Any] = {"templates": [drawing.name for drawing in drawings]}
        proof |= self._drawn(drawings, "templates", stamp)
        left_out = list(not_made(piece, self.order.choice, self.settings))
        if self.order.kerf_mm is not None:
            allowed, refused = self._for_cutter(self.order.kerf_mm)
            proof["cut"] = {"kerf_mm": self.order.kerf_mm, **self._drawn(allowed, "cut", stamp)}
            left_out += refused
        printed = tuple(t.drawing for t in self.templates if self.order.choice.prints(t))
        if printed:
            path, correction = self.delivery.path("templates.pdf"), self.order.correction
            write_templates_pdf(printed, path, paper=self.order.paper, stamp=stamp, correction=correction)
            proof["pdf_off_mm"] = prove_pdf(printed, path, correction)
            proof["printer"] = None if correction is None else correction.printer
        proof["left_out"] = [f"{name}: {why}" for name, why in left_out]
        write_bench_card(
            self.job.measures,
            self.job.checks,
            view,
            self.what_if,
            self.delivery.path("bench_card.pdf"),
            paper=self.order.paper,
            stamp=stamp,
            sheets=_with_card(len(drawings)),
        )
        return proof

    def _drawn(self, drawings: tuple[Drawing, ...], folder: str, stamp: str) -> dict[str, float]:
        """Each drawing as SVG and DXF, proved."""
        svg_off = dxf_off = 0.0
        for drawing in drawings:
            path = self.delivery.path(f"{folder}/{drawing.name}.svg")
            write_svg(drawing, path, stamp=stamp)
            svg_off = max(svg_off, prove_svg(drawing, path))
            path = self.delivery.path(f"{folder}/{drawing.name}.dxf")
            write_dxf(drawing, path, stamp=stamp)
            dxf_off = max(dxf_off, prove_dxf(drawing, path))
        return {"svg_off_mm": svg_off, "dxf_off_mm": dxf_off}

    def _for_cutter(self, kerf_mm: float) -> tuple[tuple[Drawing, ...], list[tuple[str, str]]]:
        """The stiff tools with paths for a cutter, and those it cannot cut, each with the reason."""
        made, refused = [], []
        for template in self._stiff:
            try:
                made.append(for_kerf(template.drawing, kerf_mm))
            except ValueError as trouble:
                refused.append((f"cut/{template.drawing.name}", str(trouble)))
        return tuple(made), refused

    def without(self, refused: dict[str, str]) -> list[str]:
        """Take back the files of tools the modeller makes no solid of; which, and the reason it gives."""
        told = []
        for template in self._stiff:
            why, name = refused.get(self._plate_name(template)), template.drawing.name
            if why is not None:
                self.delivery.leave_out(f"templates/{name}.step")
                self.delivery.leave_out(f"templates/{name}.stl")
                told.append(f"{name} as a solid: {why}")
        return told

    def numbers(self, answers: dict[str, Solid], proof: dict[str, Any]) -> dict[str, Any]:
        """Everything for `measures.json`.

        Args:
            answers: the modeller's, by name.
            proof: what reading the sheets found.

        Raises:
            SolidError: a solid that is not what the integral says.
        """
        plates = {}
        for template in self._stiff:
            solid = answers.get(self._plate_name(template))
            if solid is not None:
                plates[template.drawing.name] = {
                    "volume_cm3": solid.volume_mm3 / 1000,
                    "bevel_mm": solid.bevel_mm,
                    "bevel_deg": solid.bevel_deg,
                }
        made = {"solid": agreed(self.solids, answers), "plates": plates, "proof": proof}
        return figures(self.job) | {"what_if": self.what_if.json} | made


def _with_card(templates: int) -> str:
    if not templates:
        return "No templates with this card."
    number = "1 template" if templates == 1 else f"{templates} templates"
    return f"{number} with this card; SVG, DXF and PDF read back and proved 1:1."


def stamp_of(design: Design, settings: Settings, order: Order) -> str:
    """Version and a digest of design, body, settings and order, so that an old rib can be told from a new one."""
    whole = f"{design.digest} {settings.model_dump_json()} {order}"
    return f"profiler {__version__} · {hashlib.sha256(whole.encode()).hexdigest()[:8]}"
