"""What the next pots could be made by; only ever proposed, no file is changed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from ..clay.states import State
from ..design.toml_text import read_toml
from ..lengths import mm
from ..measures import Measures, weighed_out
from .differences import holds_still
from .plan import Plan, Planned
from .pots import Pot
from .quantity import Quantity, quantity_of
from .shrinking import Shrunk
from .slips import FAR
from .spread import Spread, spread

ALONE = {"%": 1.0, "mm": 1.5}
"""A single pot proposes nothing under this: batches of a clay differ by a point, a gauge's band is 1.5 mm."""
WORTH = {"%": 0.3, "mm": 0.5}
"""Nor do several: a hand keeps half a millimetre, which is 0.3 points on a rim of 170; scales show no more either."""


@dataclass(frozen=True)
class Proposal:
    """One figure to change.

    Attributes:
        file: to change; None for a size that the hand changes.
        key: dotted key in it, or of the quantity.
        now: as it stands, in the file's own terms.
        proposed: likewise, full precision.
        unit: "%" or "mm".
        found: what it rests on, one figure a pot.
        more: what follows from it or has to be known, in words.
    """

    file: Path | None
    key: str
    now: float
    proposed: float
    unit: str
    found: Spread
    more: str = ""

    @property
    def words(self) -> str:
        """In one sentence."""
        unit = " mm" if self.unit == "mm" and self.found.deviation else ""
        sure = f"on {self.found.n} pots, {self.found.off}{unit}"
        if self.found.plus_minus is None:
            sure = "on 1 pot, so without a ±; measure another"
        if self.file is None:
            size = quantity_of(self.key)
            what = f"throw the {size.of_part} at {mm(self.proposed)} mm"
            if size.what == "height":
                what = f"throw {f'the {size.part}' if size.part else 'it'} {mm(self.proposed)} mm high"
            what += f" instead of {mm(self.now)} (measured {sure})"
        else:
            table, _, name = self.key.partition(".")
            what = (
                f"{name} = {self.proposed:.1f} under [{table}] in {self.file} (measured {sure}; now {self.now:.4g})"
            )
        return what + (f": {self.more}" if self.more else "")


def proposals(
    measures: Measures,
    pots: Sequence[Pot],
    plan: Plan,
    loss: Spread | None,
    shrunk: Sequence[Shrunk],
    ignition: Spread | None,
    step_g: float,
) -> tuple[Proposal, ...]:
    """Figures for the design and body file, and sizes to throw, where what was measured asks for others.

    Args:
        measures: of the piece.
        pots: measured.
        plan: of the piece.
        loss: in throwing, per cent.
        shrunk: each clay between two states.
        ignition: lost on ignition by the piece's clay, per cent.
        step_g: of her scales.
    """
    found = [*_loss(measures, loss, step_g)]
    for one in shrunk:
        found += _shrinkage(measures, one)
    found += _ignition(measures, ignition)
    return (*found, *_sizes(pots, plan))


def _asks(found: Spread, now: float, unit: str) -> bool:
    """Whether a figure is another than the one that stands, as far as so many pots can tell."""
    off = abs(found.mean - now)
    if found.plus_minus is None:
        return off >= ALONE[unit]
    return off >= WORTH[unit] and found.apart_from(now)


def _loss(measures: Measures, loss: Spread | None, step_g: float) -> Iterator[Proposal]:
    design = measures.piece.design
    now = design.asked.loss_percent
    if loss is None or not _asks(loss, now, "%"):
        return
    balls = [weighed_out(ball.thrown.mass_g / (1 - loss.mean / 100), step_g) for ball in measures.balls.values()]
    words = "the ball is then " + " and ".join(f"{ball:g} g" for ball in balls)
    words += " instead of " + " and ".join(f"{ball.weigh_out_g:g}" for ball in measures.balls.values())
    if design.head.thrown is None and not design.form.defaults.trimmed:
        words += (
            ". A table [thrown] also gives this piece clay to turn off; weigh out the ball instead if it has none"
        )
    yield Proposal(design.path, "thrown.loss_percent", now, loss.mean, "%", loss, words)


def _shrinkage(measures: Measures, shrunk: Shrunk) -> Iterator[Proposal]:
    body = shrunk.body
    table = "shrinkage_height" if shrunk.upright else "shrinkage"
    now, total = 100 * shrunk.stands.at(shrunk.late), shrunk.total
    if total is None or not _asks(total, now, "%"):
        return
    words = []
    if shrunk.early is not State.WET:
        own = 100 * shrunk.stands.at(shrunk.early)
        words.append(f"measured from {shrunk.early.words} on, with this clay's {own:g} until then")
    dry = 100 * shrunk.stands.bone_dry
    if shrunk.late is State.LEATHER_HARD and total.mean > dry:
        words.append(f"bone_dry, now {dry:g}, cannot stay under it")
    proposed, was = total.mean, now
    if body.source is not None and shrunk.late in (State.BISQUE, State.FIRED) and _on_dry(body.source):
        proposed, was = (100 * (1 - (1 - value / 100) / (1 - dry / 100)) for value in (proposed, now))
        words.append('on the dry length, as firing_base = "dry" has it there')
    file, more = _body_file(measures, body.source)
    yield Proposal(file, f"{table}.{shrunk.late}", was, proposed, "%", total, "; ".join([*words, *more]))


def _body_file(measures: Measures, source: Path | None) -> tuple[Path, list[str]]:
    """The file to change; a shipped body is copied first."""
    if source is None or source.parent.name != "bodies" or not source.is_relative_to(Path(__file__).parents[1]):
        return source or measures.piece.design.path, []
    return Path(source.name), ["this clay came with the program: copy it to a file of your own first"]


def _on_dry(source: Path) -> bool:
    return bool(read_toml(source).data["shrinkage"].get("firing_base") == "dry")


def _ignition(measures: Measures, ignition: Spread | None) -> Iterator[Proposal]:
    body = measures.piece.body
    now = 100 * body.loss_on_ignition
    if ignition is None or not _asks(ignition, now, "%"):
        return
    file, more = _body_file(measures, body.source)
    yield Proposal(file, "weight.loss_on_ignition", now, ignition.mean, "%", ignition, "; ".join(more))


def _sizes(pots: Sequence[Pot], plan: Plan) -> Iterator[Proposal]:
    """Sizes to throw so that the last state that was measured comes out as planned."""
    for wet in plan.values():
        if wet.quantity.state is not State.WET or wet.plastic_mm is None:
            continue
        for state in reversed(list(State)[1:]):
            key = Quantity(wet.quantity.what, state, wet.quantity.part).key
            late = plan.get(key)
            if late is None or not any(key in pot.made for pot in pots):
                continue
            yield from _size(pots, wet, late)
            break


def _no_slip(pot: Pot, *planned: Planned) -> bool:
    """Whether what was measured of a pot is near enough to its plan to tell anything of it."""
    keys = [(one.quantity.key, one.value) for one in planned]
    return all(abs(pot.made[key] / value - 1) <= FAR for key, value in keys if key in pot.made)


def _thrown(pot: Pot, wet: Planned) -> float:
    """The size it was thrown at: as measured, or else as it was planned then, mm."""
    key = wet.quantity.key
    return pot.made.get(key, pot.planned.get(key, wet.value))


def _size(pots: Sequence[Pot], wet: Planned, late: Planned) -> Iterator[Proposal]:
    key, wet_key = late.quantity.key, wet.quantity.key
    told = [pot for pot in pots if key in pot.made and holds_still(late.value, pot, key) and _no_slip(pot, wet, late)]
    both = [pot for pot in told if wet_key in pot.made]
    if not told or late.plastic_mm is None:
        return
    grown = late.plastic_mm / late.value
    sizes = [_thrown(pot, wet) + (late.value - pot.made[key]) * grown for pot in both or told]
    found = spread(sizes)
    if not _asks(found, wet.value, "mm"):
        return
    made = spread([pot.made[key] for pot in both or told]).mean
    words = f"it came out at {mm(made)} mm {late.quantity.state.words if late.quantity.state else ''}, "
    if late.quantity.state is State.LEATHER_HARD:
        words += "which is a range, "
    words += f"planned {mm(late.value)}" + ("" if both else "; if they were thrown as planned, which nobody measured")
    yield Proposal(None, wet_key, wet.value, found.mean, "mm", found, words)
