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
from .weigh_list import WeighLine, WeighList

_LOOKS = {Sign.ALIKE: "green", Sign.NEAR: "yellow", Sign.DIFFERS: ""}


def kilograms(mass_g: float) -> str:
    """Kilograms for people, to 50 g, a tie upwards.

    >>> kilograms(12340), kilograms(25)
    ('12.35', '0.05')
    """
    return f"{int(mass_g / 50 + 0.5) / 20:.2f}"


def set_told(measured: MeasuredSet) -> RenderableType:
    """Everything `measure` prints of a set beside its pieces."""
    wanted = sum(piece.count for piece in measured.pieces)
    thrown = sum(piece.to_throw for piece in measured.pieces)
    head = Text(measured.pots.title, style="bold")
    head.append(f"  a set of {wanted}, with spares {thrown} to throw", style="dim")
    shown: list[RenderableType] = [head, _weigh(measured)]
    shown.append(_clays(measured.clay))
    shown += [Text("stacked, fired", style="italic"), _stacks(measured)]
    if measured.on_shelves:
        shown += [Text("glaze firing: on one shelf, of one kind", style="italic"), _shelves(measured)]
    if measured.matches:
        shown += [Text("do they match? sizes fired", style="italic"), _matches(measured.matches)]
    return Group(*shown, Text(""))


def set_clay(clay: WeighList) -> str:
    """The clay of a set in one line."""
    bags = "1 bag" if clay.bags == 1 else f"{clay.bags} bags"
    return f"{clay.balls} balls, {kilograms(clay.clay_g)} kg of clay, {bags} of {clay.bag_kg:g} kg"


def _weigh(measured: MeasuredSet) -> Table:
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False, show_edge=False)
    table.add_column("weigh out")
    for column in ("wanted", "to throw", "each, g", "in all, g"):
        table.add_column(column, justify="right", no_wrap=True)
    for line in measured.clay.lines:
        table.add_row(
            _named(line),
            str(line.of.count),
            str(line.of.to_throw),
            f"{line.each_g:g}",
            f"{line.clay_g:g}",
        )
    return table


def _named(line: WeighLine) -> Text:
    name = Text(line.of.job.piece.design.title)
    if line.part:
        name.append(f", {line.part}" + (" (stuck on)" if line.stuck_on else ""))
    return name


def _clays(clay: WeighList) -> Table:
    table = Table(box=None, show_header=False, pad_edge=False)
    clays = clay.by_clay
    for one in clays:
        bags = "1 bag" if one.bags == 1 else f"{one.bags} bags"
        words = f"{bags} of {one.bag_kg:g} kg; trimmings give back {kilograms(one.reclaim_g)} kg"
        table.add_row(one.lines[0].clay.name, f"{kilograms(one.clay_g)} kg", words)
    if len(clays) > 1:
        words = f"{clay.bags} bags; trimmings give back {kilograms(clay.reclaim_g)} kg"
        table.add_row("in all", f"{kilograms(clay.clay_g)} kg", words)
    return table


def _stacks(measured: MeasuredSet) -> Table:
    table = Table(box=None, show_header=False, pad_edge=False)
    for piece, stack in zip(measured.pieces, measured.stacks, strict=True):
        title = piece.job.piece.design.title
        if stack.nests:
            words = f"{mm(stack.nest.pitch_mm)} mm each; {TOUCHES[stack.nest.touches]}"
            table.add_row(title, f"{stack.count}: {mm(stack.height_mm)} mm", words)
        else:
            table.add_row(title, f"1: {mm(stack.one_mm)} mm", "does not nest")
        for one in measured.in_others:
            if one.upper == title:
                table.add_row("", f"{mm(one.height_mm)} mm", f"one in the {one.lower}")
    return table


def _shelves(measured: MeasuredSet) -> Table:
    table = Table(box=None, show_header=False, pad_edge=False)
    for piece, shelf in zip(measured.pieces, measured.on_shelves, strict=True):
        number = str(shelf.per_shelf) if shelf.fits else "does not fit this kiln"
        table.add_row(piece.job.piece.design.title, number)
    return table


def _matches(matches: tuple[Match, ...]) -> Table:
    table = Table(box=None, show_header=False, pad_edge=False)
    table.add_column(no_wrap=True)
    table.add_column()
    for match in matches:
        table.add_row(Text(str(match.sign), style=_LOOKS[match.sign]), match.message)
    return table
