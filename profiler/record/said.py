"""What was noted and what came out, in words and tables for a terminal."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from rich import box
from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from ..clay.states import State
from ..lengths import mm
from ..report import grams, millilitres
from .differences import Difference
from .noting import Noted
from .outcome import Outcome
from .plan import Plan
from .pots import Pot
from .quantity import Quantity, quantity_of
from .shrinking import Shrunk
from .spread import Spread
from .weights import USUAL_GLAZE

SHOWN_ID = 12
"""Letters of an id that are shown; enough to strike by."""
MOST_POTS = 24
"""Pots told one by one; --json has all."""
_ROUND = {"g": grams, "mm": mm, "ml": millilitres}
_LESS = {"g": ("lighter", "heavier"), "ml": ("less", "more")}
_ACROSS = ("rim", "widest", "foot")


def amount(value: float, quantity: Quantity) -> str:
    """A planned figure for people, with its unit; a ball to the scales' own step."""
    text = f"{value:g}" if quantity.what == "ball" else _ROUND[quantity.unit](value)
    return f"{text} {quantity.unit}"


def noted_words(noted: Noted, place: Path) -> Iterator[str]:
    """What became of what she said, a line for each pot and each question."""
    odd: dict[str, list[str]] = {entry.id: [] for entry in noted.entries}
    for entry, question in noted.questions:
        odd[entry.id].append(question)
    for entry in noted.entries:
        figures = ", ".join(f"{quantity_of(k).words} {v:g} {quantity_of(k).unit}" for k, v in entry.values.items())
        yield f"pot {entry.pot}: {figures} (entry {entry.id[:SHOWN_ID]})"
        for question in odd[entry.id]:
            yield f"  {question} `--strike {entry.id[:SHOWN_ID]}` takes the entry back"
    for entry in noted.there:
        yield f"pot {entry.pot}: entry {entry.id[:SHOWN_ID]} was noted already"
    if noted.entries:
        yield f"in {place}"


def plan_table(title: str, plan: Plan, design: Path) -> RenderableType:
    """What can be noted of a design, and what it plans."""
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False, show_edge=False)
    table.add_column("write", no_wrap=True)
    table.add_column("planned", justify="right")
    for key, planned in plan.items():
        table.add_row(key, amount(planned.value, planned.quantity))
    how = Text(f"profiler note {design} --pot 1 ball=… thrown=…: as many figures as you have")
    return Group(Text(title, style="bold"), table, how)


def told(outcome: Outcome) -> RenderableType:
    """Everything `compare` prints."""
    design = outcome.measures.piece.design
    n = len(outcome.pots)
    head = Text(design.title, style="bold")
    head.append(f"  {n} pot{'s' if n > 1 else ''} noted, made beside planned", style="dim")
    shown: list[RenderableType] = [head, _table(outcome.differences)]
    if outcome.earlier:
        shown.append(Text(_earlier(outcome)))
    shown += [Text(line) for line in _each_pot(outcome)]
    shown += [Text(""), Text("what the pots tell of the clay", style="italic")]
    shown += [Text(line) for line in _clay(outcome)]
    shown += [Text(""), Text("proposed; nothing is changed by itself", style="italic")]
    shown += [Text(line) for line in _proposed(outcome)]
    return Group(*shown, Text(""))


def _table(rows: tuple[Difference, ...]) -> Table:
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False, show_edge=False)
    table.add_column("", no_wrap=True)
    for name in ("planned", "made", "±", "pots"):
        table.add_column(name, justify="right")
    table.add_column("so they are")
    for row in rows:
        off = row.made.plus_minus
        quantity = row.quantity
        planned = amount(row.planned, quantity) + ("" if row.present else " then")
        table.add_row(
            quantity.words,
            planned,
            f"{row.made.mean:.{_places(quantity)}f}",
            "–" if off is None else f"{off:.{_places(quantity)}f}",
            str(row.made.n),
            in_words(row),
        )
    return table


def _places(quantity: Quantity) -> int:
    return 1 if quantity.unit == "mm" else 0


def in_words(row: Difference) -> str:
    """How far a quantity is off, as one says it at the bench."""
    quantity, off = row.quantity, row.mean
    text = _ROUND[quantity.unit](abs(off))
    if text == "0":
        return "as planned"
    if quantity.what in ("trimmed", "ball"):
        way = "less", "more"
    elif quantity.unit != "mm":
        way = _LESS[quantity.unit]
    elif quantity.what in _ACROSS:
        way = "narrower", "wider"
    else:
        way = {"height": ("lower", "higher"), "depth": ("shallower", "deeper"), "floor": ("thinner", "thicker")}[
            quantity.what
        ]
    return f"{text} {quantity.unit} {way[off > 0]}"


def _earlier(outcome: Outcome) -> str:
    names = ", ".join(pot.name for pot in outcome.earlier[:MOST_POTS])
    digests = sorted({d for pot in outcome.earlier for d in pot.digests} - {outcome.measures.piece.design.digest})
    return (
        f"The design was changed since pot {names} ({', '.join(digests)}; now "
        f"{outcome.measures.piece.design.digest}): each figure stands beside what was planned then."
    )


def _each_pot(outcome: Outcome) -> Iterator[str]:
    """Made less planned of every pot, a line each."""
    if len(outcome.pots) < 2:
        return
    yield "each pot, made less planned:"
    for pot in outcome.pots[:MOST_POTS]:
        yield f"  {pot.name}: {', '.join(_off(pot, key) for key in pot.made if key in pot.planned)}"
    if len(outcome.pots) > MOST_POTS:
        yield f"  and {len(outcome.pots) - MOST_POTS} more; --json has all"


def _off(pot: Pot, key: str) -> str:
    quantity, off = quantity_of(key), pot.made[key] - pot.planned[key]
    return f"{quantity.words} {off:+.{_places(quantity)}f}"


def sure(found: Spread, unit: str = " points") -> str:
    """How sure a mean is."""
    if found.plus_minus is None:
        return "one pot; a ± needs two or more"
    return f"±{found.plus_minus:.1f}{unit}, {found.n} pots, one pot strays by {found.deviation:.1f}"


def _clay(outcome: Outcome) -> Iterator[str]:
    if outcome.loss is None:
        yield "lost in throwing: weigh ball and thrown pot of one pot or more"
    else:
        now = f"the design says {outcome.measures.piece.asked.loss_percent:g}"
        yield f"lost in throwing: {outcome.loss.mean:.1f} % of the ball ({sure(outcome.loss)}); {now}"
    if not outcome.shrunk:
        yield "shrinkage: measure one pot in two states, such as its rim wet and fired; a plan is no measurement"
    for one in outcome.shrunk:
        yield _shrunk(one)
    for words in outcome.no_measure:
        yield f"no shrinkage from {words}: clay is turned or cut off between"
    if outcome.ignition is not None:
        now = f"the clay says {100 * outcome.measures.piece.body.loss_on_ignition:g}"
        yield f"lost on ignition: {outcome.ignition.mean:.1f} % of the dry weight ({sure(outcome.ignition)}); {now}"
    if outcome.glaze is not None:
        low, high = USUAL_GLAZE
        usual = (
            "usual" if low <= outcome.glaze.mean <= high else f"outside the usual {low:g} to {high:g}: weighed right?"
        )
        yield f"glaze: {outcome.glaze.mean:.1f} % of the bisque weight ({sure(outcome.glaze)}), {usual}"
    if any(s.plus_minus is not None for s in _spreads(outcome)):
        yield "± is of the mean: with 95 % it lies within (Student's t, pots independent)"


def _spreads(outcome: Outcome) -> Iterator[Spread]:
    yield from (row.made for row in outcome.differences)
    yield from (one.total for one in outcome.shrunk)
    yield from (found for found in (outcome.loss, outcome.ignition, outcome.glaze) if found is not None)


def _shrunk(one: Shrunk) -> str:
    stands = one.body.shrinkage_height if one.upright and one.body.shrinkage_height else one.body.shrinkage
    way = "" if one.upright is None else " along the axis" if one.upright else " across"
    wet = one.early is State.WET
    length = "plastic" if wet else one.early.words
    head = f"shrinkage{way} of {one.body.name}, {one.early.words} to {one.late.words}, by {' and '.join(one.words)}"
    text = f"{head}: {one.points.mean:.1f} % of the {length} length ({sure(one.points)})"
    if not wet:
        text += f"; with the {100 * stands.at(one.early):g} the clay has until then, {one.total.mean:.1f} in all"
    return f"{text}; the clay says {100 * stands.at(one.late):g}" + ("" if wet else " in all")


def _proposed(outcome: Outcome) -> Iterator[str]:
    if not outcome.proposals:
        yield "nothing: what was measured does not speak against the figures that stand"
        return
    yield from (f"- {proposal.words}" for proposal in outcome.proposals)
    files = {proposal.file is None for proposal in outcome.proposals}
    shrinks = any(proposal.key.startswith("shrinkage") for proposal in outcome.proposals)
    if len(files) > 1 and shrinks:
        yield "A new shrinkage moves the sizes to throw by itself: change the clay's file or your hand, not both."
