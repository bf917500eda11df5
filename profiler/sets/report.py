"""A set's lists for a terminal, rounded for people."""

from __future__ import annotations

from rich import box
from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from .matching import Match, Sign
from .measured_set import MeasuredSet
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
    clays = measured.clay.by_clay
    shown += [_clay(one) for one in clays]
    if measured.matches:
        shown += [Text("do they match? sizes fired", style="italic"), _matches(measured.matches)]
    return Group(*shown, Text(""))


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


def _clay(clay: WeighList) -> Table:
    table = Table(box=None, show_header=False, pad_edge=False)
    bags = "1 bag" if clay.bags == 1 else f"{clay.bags} bags"
    table.add_row(
        clay.lines[0].clay.name,
        f"{kilograms(clay.clay_g)} kg",
        f"{bags} of {clay.bag_kg:g} kg; trimmings give back {kilograms(clay.reclaim_g)} kg",
    )
    return table


def _matches(matches: tuple[Match, ...]) -> Table:
    table = Table(box=None, show_header=False, pad_edge=False)
    table.add_column(no_wrap=True)
    table.add_column()
    for match in matches:
        table.add_row(Text(str(match.sign), style=_LOOKS[match.sign]), match.message)
    return table
