"""All that a record says of one design: what came out, what it teaches, what it proposes."""

from __future__ import annotations

from dataclasses import dataclass

from ..design.model import Design
from ..measures import Measures, measured
from ..piece import piece_of
from ..settings import Settings
from .differences import Difference, changed_since, differences
from .ledger import Record
from .plan import Plan, plan_of
from .pots import Pot, pots_of
from .proposals import Proposal, proposals
from .shrinking import Shrunk, shrinkages, turned_between
from .spread import Found
from .weights import glaze, loss_on_ignition, throwing_loss


@dataclass(frozen=True)
class Outcome:
    """What came out.

    Attributes:
        measures: of the design as it stands.
        plan: likewise.
        record: what was noted.
        pots: the entries that count, put together.
        differences: made beside planned.
        loss: in throwing, per cent of the ball.
        shrunk: each clay between two states.
        ignition: lost in the bisque firing by the piece's clay, per cent of the dry weight.
        glaze: per cent of the bisque weight.
        no_measure: lengths in two states that tell nothing of shrinkage.
        proposals: figures for the next pots.
    """

    measures: Measures
    plan: Plan
    record: Record
    pots: tuple[Pot, ...]
    differences: tuple[Difference, ...]
    loss: Found
    shrunk: tuple[Shrunk, ...]
    ignition: Found
    glaze: Found
    no_measure: tuple[str, ...]
    proposals: tuple[Proposal, ...]

    @property
    def earlier(self) -> tuple[Pot, ...]:
        """Pots that were made after another plan than the present one."""
        now = {self.measures.piece.design.digest}
        return tuple(pot for pot in self.pots if pot.digests != now and changed_since(pot, self.plan))


def outcome_of(design: Design, record: Record, settings: Settings) -> Outcome:
    """What a record says of a design.

    Raises:
        Fault, Faults: a design that cannot be made.
    """
    measures = measured(piece_of(design), settings)
    plan, pots = plan_of(measures), pots_of(record.standing)
    loss, shrunk = throwing_loss(pots), shrinkages(pots, plan)
    ignition = loss_on_ignition(pots, plan, measures.piece.body.digest_text())
    return Outcome(
        measures=measures,
        plan=plan,
        record=record,
        pots=pots,
        differences=differences(pots, plan),
        loss=loss,
        shrunk=shrunk,
        ignition=ignition,
        glaze=glaze(pots),
        no_measure=turned_between(pots, plan),
        proposals=proposals(measures, pots, plan, loss.spread, shrunk, ignition.spread, settings.scales_step_g),
    )
