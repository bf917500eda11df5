"""A set's lists for a terminal, rounded for people."""

from __future__ import annotations

from rich import box
from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from ..lengths import mm
from .matching import Match, Sign
from .measured_set import MeasuredSet
from .stacks import TOUCHES
from .weigh_list import WeighLine

_QUICK_PIECES = 200
"""So many find their places in the kiln while one waits for the numbers: some seconds."""

_LOOKS = {Sign.ALIKE: "green", Sign.NEAR: "yellow", Sign.DIFFERS: ""}


def set_told(measured: MeasuredSet) -> RenderableType:
    """Everything `measure` prints of a set beside its pieces."""
    wanted = sum(piece.count for piece in measured.pieces)
    thrown = sum(piece.to_throw for piece in measured.pieces)
    head = Text(measured.pots.title, style="bold")
    head.append(f"  a set of {wanted}, with spares {thrown} to throw", style="dim")
    shown: list[RenderableType] = [head, _weigh(measured)]
    shown += [*map(Text, measured.clay.said), Text(""), _stacks(measured)]
    if measured.on_shelves:
        shown += [Text(""), _shelves(measured)]
        if thrown <= _QUICK_PIECES:
            shown.append(_loads(measured))
        else:
            shown.append(Text(f"{thrown} pieces take a while to place: `profiler make` finds each firing's shelves"))
    if measured.matches:
        shown += [Text("do they match? sizes fired", style="italic"), _matches(measured.matches)]
    shown += [Text(f"{check.level}: {title}: {check.message}", style="yellow") for title, check in measured.remarks]
    return Group(*shown, Text(""))


def _headed(name: str, *numbers: str) -> Table:
    """A table of a name, and numbers under words that say what they are."""
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False, show_edge=False)
    table.add_column(name)
    for column in numbers:
        table.add_column(column, justify="right", no_wrap=True)
    return table


def _weigh(measured: MeasuredSet) -> Table:
    table = _headed("weigh out", "wanted", "to throw", "each, g", "in all, g")
    for line in measured.clay.lines:
        counts = (str(line.of.count), str(line.of.to_throw))
        table.add_row(_named(line), *counts, f"{line.each_g:g}", f"{line.clay_g:g}")
    return table


def _named(line: WeighLine) -> Text:
    name = Text(line.of.job.piece.design.title)
    if line.part:
        name.append(f", {line.part}" + (" (stuck on)" if line.stuck_on else ""))
    return name


def _stacks(measured: MeasuredSet) -> Table:
    table = _headed("stacked, fired", "pieces", "high, mm", "each more, mm")
    table.add_column("where they touch")
    for piece, stack in zip(measured.pieces, measured.stacks, strict=True):
        title = piece.job.piece.design.title
        if stack.nests:
            height, more = mm(stack.height_mm), mm(stack.nest.pitch_mm)
            table.add_row(title, str(stack.count), height, more, TOUCHES[stack.nest.touches])
        else:
            table.add_row(title, "1", mm(stack.one_mm), "–", "does not nest")
        for one in measured.in_others:
            if one.upper == title:
                table.add_row(f"  in the {one.lower}", "1 + 1", mm(one.height_mm), "", TOUCHES[one.nest.touches])
    return table


def _shelves(measured: MeasuredSet) -> Table:
    table = _headed("glaze firing, one kind on a shelf", "to fire", "a shelf takes")
    for piece, shelf in zip(measured.pieces, measured.on_shelves, strict=True):
        takes = str(shelf.per_shelf) if shelf.fits else "does not fit"
        table.add_row(piece.job.piece.design.title, str(piece.to_throw), takes)
    return table


def _loads(measured: MeasuredSet) -> Table:
    table = Table(box=None, show_header=False, pad_edge=False)
    for load in measured.loads:
        firing = f"{load.firing} firing" + (f" ({load.name})" if load.name else "")
        for number, shelves in enumerate(load.kilnfuls, start=1):
            which = "" if len(load.kilnfuls) == 1 else f"load {number}: "
            pieces = sum(place.pieces for shelf in shelves for place in shelf.places)
            words = f"{which}{_counted(pieces, 'piece', 'pieces')} on {_counted(len(shelves), 'shelf', 'shelves')}"
            table.add_row(firing if number == 1 else "", words)
        if load.left_out:
            left = ", ".join(ware.name for ware in load.left_out)
            none = "" if load.kilnfuls else firing
            table.add_row(none, f"not placed, too large for this kiln: {left}")
    return table


def _counted(number: int, one: str, more: str) -> str:
    return f"{number} {one if number == 1 else more}"


def _matches(matches: tuple[Match, ...]) -> Table:
    table = Table(box=None, show_header=False, pad_edge=False)
    table.add_column(no_wrap=True)
    table.add_column()
    for match in matches:
        table.add_row(Text(str(match.sign), style=_LOOKS[match.sign]), match.message)
    return table
