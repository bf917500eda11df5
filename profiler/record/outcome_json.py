"""What came out, under the names that other programs read, full precision."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from ..scatter import SURE
from .differences import Difference
from .outcome import Outcome
from .proposals import Proposal
from .shrinking import Shrunk
from .spread import Found


def as_json(outcome: Outcome) -> dict[str, Any]:
    """All of an outcome; `plus_minus` is half the 95 % interval of a mean by Student's t, null for one pot."""
    design = outcome.measures.piece.design
    return {
        "title": design.title,
        "digest": design.digest,
        "sure": SURE,
        "entries": len(outcome.record.entries),
        "struck": len(outcome.record.entries) - len(outcome.record.standing),
        "torn_bytes": len(outcome.record.torn),
        "pots": [
            {"pot": pot.name, "made": pot.made, "planned": pot.planned, "digests": sorted(pot.digests)}
            for pot in outcome.pots
        ],
        "differences": [_difference(row) for row in outcome.differences],
        "throwing_loss_percent": _found(outcome.loss),
        "shrinkage": [_shrunk(one) for one in outcome.shrunk],
        "no_shrinkage_from": list(outcome.no_measure),
        "loss_on_ignition_percent": _found(outcome.ignition),
        "glaze_percent": _found(outcome.glaze),
        "proposals": [_proposal(one) for one in outcome.proposals],
    }


def _found(found: Found) -> dict[str, Any] | None:
    """A figure's spread, and what each pot says of it; null where no pot says anything."""
    if not found.by_pot and not found.left_out:
        return None
    together = {} if found.spread is None else asdict(found.spread)
    return together | {"by_pot": found.by_pot, "left_out": found.left_out}


def _difference(row: Difference) -> dict[str, Any]:
    return {
        "quantity": row.quantity.key,
        "unit": row.quantity.unit,
        "planned": row.planned,
        "present_plan": row.present,
        "made": asdict(row.made),
        "difference": row.mean,
        "pots": list(row.pots),
    }


def _shrunk(one: Shrunk) -> dict[str, Any]:
    return {
        "clay": one.body.name,
        "from": str(one.early),
        "to": str(one.late),
        "along": None if one.upright is None else "axis" if one.upright else "across",
        "of_early_length_percent": _found(one.points),
        "of_plastic_length_percent": None if one.total is None else asdict(one.total),
        "by_length_percent": one.by_length,
    }


def _proposal(one: Proposal) -> dict[str, Any]:
    return {
        "file": None if one.file is None else str(one.file),
        "key": one.key,
        "now": one.now,
        "proposed": one.proposed,
        "unit": one.unit,
        "pots": one.found.n,
        "plus_minus": one.found.plus_minus,
        "words": one.words,
    }
