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
from .entry import Entry
from .noting import Noted
from .outcome import Outcome
from .plan import Plan
from .pots import Pot
from .quantity import Quantity, quantity_of
from .shrinking import Shrunk
from .spread import Found, Spread
from .weights import USUAL_GLAZE

SHOWN_ID = 12
"""Letters of an id that are shown; enough to strike by."""
_FEW_POTS = 5
"""Under so many a ± is over 1.2 times the standard deviation: t/√n (Student)."""
MOST_POTS = 24
"""Pots told one by one; --json has all."""
_BESIDE, _NAME_WIDE = 8, 6
"""Pots beside each other in 80 columns, and letters of their names."""
_ROUND = {"g": grams, "mm": mm, "ml": millilitres}
_LESS = {"g": ("lighter", "heavier"), "ml": ("less", "more")}
_ACROSS = ("rim", "widest", "foot")


def _rounded(value: float, quantity: Quantity) -> str:
    """A planned figure for people; a ball to the scales' own step."""
    return f"{value:g}" if quantity.what == "ball" else _ROUND[quantity.unit](value)


def noted_words(noted: Noted, place: Path) -> Iterator[str]:
    """What became of what she said, a line for each pot and each question."""
    odd: dict[str, list[str]] = {entry.id: [] for entry in noted.entries}
    for entry, question in noted.questions:
        odd[entry.id].append(question)
    for entry in noted.entries:
        figures = ", ".join(f"{quantity_of(k).words} {v:g} {quantity_of(k).unit}" for k, v in entry.values.items())
        if len(noted.entries) > 1:  # she has them in her table
            figures = f"{len(entry.values)} figure{'s' if len(entry.values) > 1 else ''}"
        yield f"pot {entry.pot}: {figures} (entry {entry.id[:SHOWN_ID]})"
        yield from (
            f"  pot {entry.pot} is new; so far there are {_some(pots)}"
            for one, pots in noted.strangers
            if one is entry
        )
        yield from (_twice(entry, key, earlier) for one, key, earlier in noted.again if one is entry)
        yield from (f"  {question}" for question in odd[entry.id])
        if odd[entry.id]:
            yield f"  if it is one, `--strike {entry.id[:SHOWN_ID]}` takes the entry back; then note it anew"
    for entry in noted.there:
        yield f"pot {entry.pot}: entry {entry.id[:SHOWN_ID]} was noted already"
    if noted.entries:
        yield f"in {place}"


def _some(pots: tuple[str, ...]) -> str:
    more = f" and {len(pots) - MOST_POTS} more" if len(pots) > MOST_POTS else ""
    return ", ".join(pots[:MOST_POTS]) + more


def _twice(entry: Entry, key: str, earlier: Entry) -> str:
    quantity = quantity_of(key)
    was, now = (f"{one.values[key]:g} (entry {one.id[:SHOWN_ID]})" for one in (earlier, entry))
    return f"  {quantity.words} was {was}, is {now}: both count, as their mean, until you `--strike` the wrong one"


def plan_table(title: str, plan: Plan, design: Path) -> RenderableType:
    """What can be noted of a design, and what it plans."""
    weights = Table(box=None, show_header=False, pad_edge=False)
    sizes = Table(box=box.SIMPLE_HEAD, pad_edge=False, show_edge=False)
    sizes.add_column("", no_wrap=True)
    for state in State:
        sizes.add_column(f"@{state}", justify="right")
    rows: dict[str, dict[State, str]] = {}
    for key, planned in plan.items():
        quantity = planned.quantity
        if quantity.state is None:
            weights.add_row(key, f"{_rounded(planned.value, quantity)} {quantity.unit}")
        else:
            row = rows.setdefault(f"{key.partition('@')[0]}, {quantity.unit}", {})
            row[quantity.state] = _rounded(planned.value, quantity)
    for name, row in rows.items():
        sizes.add_row(name, *(row.get(state, "") for state in State))
    how = Text(f"As many as you have: profiler note {design} ball=… rim@wet=…")
    return Group(Text(f"{title}: what can be noted, as planned", style="bold"), weights, sizes, how)


def told(outcome: Outcome) -> RenderableType:
    """Everything `compare` prints."""
    design = outcome.measures.piece.design
    n = len(outcome.pots)
    head = Text(design.title, style="bold")
    head.append(f"  {n} pot{'s' if n > 1 else ''} noted, made beside planned", style="dim")
    shown: list[RenderableType] = [head, _table(outcome.differences)]
    if outcome.earlier:
        shown.append(Text(_earlier(outcome)))
    shown += _each_pot(outcome)
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
        table.add_row(
            f"{quantity.words}, {quantity.unit}",
            f"{row.planned:.{_places(quantity)}f}" + ("" if row.present else " then"),
            f"{row.made.mean:.{_places(quantity)}f}",
            "–" if off is None else f"{off:.{_places(quantity)}f}" if off else "alike",
            str(row.made.n),
            in_words(row) + "".join(f"; pot {pot}: a slip?" for pot in row.odd),
        )
    return table


def _places(quantity: Quantity) -> int:
    return 1 if quantity.unit == "mm" else 0


def in_words(row: Difference) -> str:
    """How far a quantity is off, as one says it at the bench."""
    quantity, off = row.quantity, row.mean
    text = f"{abs(off):.{_places(quantity)}f}"
    if float(text) == 0:
        return "as planned"
    if quantity.what in ("trimmed", "ball"):
        way = "less", "more"
    elif quantity.unit != "mm":
        way = _LESS[quantity.unit]
        if (quantity.what, quantity.state) == ("weight", State.FIRED):
            way = way[0], "heavier, glaze and all"
    elif quantity.what in _ACROSS:
        way = "narrower", "wider"
    else:
        way = {"height": ("lower", "higher"), "depth": ("shallower", "deeper"), "floor": ("thinner", "thicker")}[
            quantity.what
        ]
    return f"{text} {quantity.unit} {way[off > 0]}"


def _earlier(outcome: Outcome) -> str:
    names = ", ".join(pot.name for pot in outcome.earlier[:MOST_POTS])
    if len(outcome.earlier) > MOST_POTS:
        names += f" and {len(outcome.earlier) - MOST_POTS} more"
    digests = sorted({d for pot in outcome.earlier for d in pot.digests} - {outcome.measures.piece.design.digest})
    return (
        f"The design was changed since pot {names} ({', '.join(digests)}; now "
        f"{outcome.measures.piece.design.digest}): each figure stands beside what was planned then."
    )


def _each_pot(outcome: Outcome) -> Iterator[RenderableType]:
    """Made less planned of every pot: a column a pot, as many beside each other as fit."""
    pots = outcome.pots[:MOST_POTS]
    if len(pots) < 2:
        return
    for start in range(0, len(pots), _BESIDE):
        some = pots[start : start + _BESIDE]
        table = Table(box=box.SIMPLE_HEAD, pad_edge=False, show_edge=False)
        table.add_column("made less planned", no_wrap=True)
        for pot in some:
            table.add_column(Text(pot.name), justify="right", max_width=_NAME_WIDE, no_wrap=True, overflow="ellipsis")
        for key in dict.fromkeys(row.quantity.key for row in outcome.differences):
            quantity = quantity_of(key)
            cells = [_off(pot, quantity) for pot in some]
            if any(cells):
                table.add_row(f"{quantity.words}, {quantity.unit}", *cells)
        yield Text("")
        yield table
    if len(outcome.pots) > MOST_POTS:
        yield Text(f"and {len(outcome.pots) - MOST_POTS} more pots; --json has all")


def _off(pot: Pot, quantity: Quantity) -> str:
    if quantity.key not in pot.made or quantity.key not in pot.planned:
        return ""
    off = pot.made[quantity.key] - pot.planned[quantity.key]
    text = f"{off:+.{_places(quantity)}f}"
    return "0" if float(text) == 0 else text


def sure(found: Spread) -> str:
    """How sure a mean is."""
    if found.plus_minus is None:
        return "one pot; a ± needs two or more"
    if not found.deviation:
        return f"{found.n} pots, alike as far as you read"
    return f"{found.off} points, {found.n} pots, standard deviation {found.deviation:.1f}"


def _clay(outcome: Outcome) -> Iterator[str]:
    piece, loss, ignition, glaze = outcome.measures.piece, outcome.loss, outcome.ignition, outcome.glaze
    if loss.spread is None:
        yield "lost in throwing: weigh the ball and the thrown pot of the same pot"
    else:
        says = f"the design says {piece.asked.loss_percent:g}"
        yield f"lost in throwing: {loss.spread.mean:.1f} % of the ball ({sure(loss.spread)}); {says}"
    yield from _left_out(loss, "lost in throwing")
    if not outcome.shrunk:
        yield "shrinkage: measure one pot in two states, such as its rim wet and fired; a plan is no measurement"
    for one in outcome.shrunk:
        yield from _shrunk(one)
    for words in outcome.no_measure:
        yield f"no shrinkage from {words}: clay is turned or cut off between"
    if ignition.spread is not None:
        says = f"the clay says {100 * piece.body.loss_on_ignition:g}"
        yield f"lost on ignition: {ignition.spread.mean:.1f} % of the dry weight ({sure(ignition.spread)}); {says}"
    yield from _left_out(ignition, "lost on ignition")
    if glaze.spread is not None:
        low, high = USUAL_GLAZE
        usual = "as usual" if low <= glaze.spread.mean <= high else f"usual is {low:g} to {high:g}: weighed right?"
        yield f"glaze: {glaze.spread.mean:.1f} % of the bisque weight ({sure(glaze.spread)}); {usual}"
    yield from _left_out(glaze, "glaze")
    if len(outcome.pots) > 1:
        yield "Each ± is of the mean, which lies within it with 95 % (Student's t, pots independent)."


def _left_out(found: Found, what: str) -> Iterator[str]:
    for pot, value in found.left_out.items():
        yield f"left out, for it cannot be: pot {pot}, {what} {value:.0f} %; look for a slip"


def _shrunk(one: Shrunk) -> Iterator[str]:
    way = "" if one.upright is None else " along the axis" if one.upright else " across"
    head = f"shrinkage{way}, {one.early.words} to {one.late.words}"
    yield from _left_out(one.points, head)
    found = one.points.spread
    if found is None or one.total is None:
        return
    wet = one.early is State.WET
    length = "plastic" if wet else one.early.words
    lengths = ", ".join(f"{name} {mean:.1f}" for name, mean in one.by_length.items())
    text = f"{head}: {found.mean:.1f} % of the {length} length ({sure(found)}; {lengths})"
    if not wet:
        text += f"; with the {100 * one.stands.at(one.early):g} this clay has until then, {one.total.mean:.1f} in all"
    yield f"{text}; {one.body.name} says {100 * one.stands.at(one.late):g}" + ("" if wet else " in all")


def _proposed(outcome: Outcome) -> Iterator[str]:
    if not outcome.proposals:
        text = "nothing: what was measured does not speak against the figures that stand"
        yield text + (f", but {n} pots tell little" if (n := len(outcome.pots)) < _FEW_POTS else "")
        return
    yield from (f"- {proposal.words}" for proposal in outcome.proposals)
    files = {proposal.file is None for proposal in outcome.proposals}
    shrinks = any(proposal.key.startswith("shrinkage") for proposal in outcome.proposals)
    if len(files) > 1 and shrinks:
        yield "A new shrinkage moves the sizes to throw by itself: change the clay's file or your hand, not both."
