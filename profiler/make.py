"""The whole job: designs and sets to numbers, solids, templates and sheets, delivered whole or not at all."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from contextlib import ExitStack
from pathlib import Path

from .delivery import Delivery, commit_all, recover
from .job import Job
from .order import Order
from .pack import Pack
from .sets.measured_set import MeasuredSet
from .sets.set_pack import SetPack
from .settings import Settings
from .solid import Modeller


def made(
    jobs: Sequence[Job],
    sets: Sequence[MeasuredSet],
    out: Path,
    settings: Settings,
    order: Order,
    tell: Callable[[str], None],
) -> list[Path]:
    """Make and deliver every piece and set; returns the folders, pieces first.

    Raises:
        Fault: the folder cannot be written.
        SolidError: a solid that is not what the integral says, or no modeller.
        ProofError: a sheet that does not hold what it should.
    """
    recover(out)
    with ExitStack() as stack:
        deliveries = [Delivery(out, stem) for stem in [job.stem for job in jobs] + [one.pots.stem for one in sets]]
        for delivery in deliveries:
            stack.callback(delivery.clear)
            stack.enter_context(delivery)
        of_jobs, of_sets = deliveries[: len(jobs)], deliveries[len(jobs) :]
        packs = [Pack(job, delivery, settings, order) for job, delivery in zip(jobs, of_jobs, strict=True)]
        requests = [request for pack in packs for request in pack.requests]
        modeller = stack.enter_context(Modeller.start(requests))
        proofs = []
        for pack in packs:
            tell(f"{pack.job.piece.design.title}: sheets")
            proofs.append(pack.sheets())
        for measured, delivery in zip(sets, of_sets, strict=True):
            tell(f"{measured.pots.title}: the set")
            SetPack(measured, delivery, settings, order).write()
        tell("waiting for the solids")
        answers = modeller.result(60.0 + 10.0 * len(requests))
        for pack, proof in zip(packs, proofs, strict=True):
            proof["left_out"] += pack.without(modeller.refused)
            numbers = pack.numbers(answers, proof)
            text = json.dumps(numbers, indent=1, ensure_ascii=False, allow_nan=False)
            pack.delivery.path("measures.json").write_text(text + "\n", encoding="utf-8")
        commit_all(deliveries)
        return [delivery.final for delivery in deliveries]
