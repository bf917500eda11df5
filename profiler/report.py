"""The numbers of a piece as tables for a terminal, rounded for people."""

from __future__ import annotations

from rich import box
from rich.console import Console, Group, RenderableType
from rich.table import Table
from rich.text import Text

from .checks import Check, Level
from .clay.states import State
from .lengths import mm
from .measures import Measures, PartMeasures

_LOOKS = {Level.ERROR: "bold red", Level.WARNING: "yellow", Level.NOTE: "dim"}


def grams(mass_g: float) -> str:
    """Grams for people, to the nearest 5.

    >>> grams(1287.4)
    '1285'
    """
    return f"{5 * round(mass_g / 5):d}"


def millilitres(volume_ml: float | None) -> str:
    """Millilitres for people, to the nearest 5; a dash where nothing is held."""
    return "–" if volume_ml is None else f"{5 * round(volume_ml / 5):d}"


def told(measures: Measures, checks: tuple[Check, ...]) -> RenderableType:
    """Everything `measure` prints of one piece."""
    design = measures.piece.design
    head = Text(f"{design.title}", style="bold")
    head.append(f"  {design.form.kind}, {measures.piece.body.name}, sized {design.head.sized.words}", style="dim")
    shown: list[RenderableType] = [head]
    if len(measures.parts) == 1:
        shown += [_states(measures.main), _bench(measures.main)]
    else:
        for name, part in measures.parts.items():
            shown += [Text(name, style="italic"), _states(part), _bench(part)]
        fired = measures.states[State.FIRED]
        shown.append(
            Text(
                f"whole: {mm(fired.height_mm)} mm high, {grams(fired.mass_g)} g fired, "
                f"clay to weigh {measures.weigh_out_g:g} g"
            )
        )
    shown += [_remark(check) for check in checks]
    return Group(*shown, Text(""))


def _states(part: PartMeasures) -> Table:
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False, show_edge=False)
    table.add_column("finished", no_wrap=True)
    for state in State:
        table.add_column("wet" if state is State.WET else state.words, justify="right")
    at = part.states.values()
    table.add_row("height, mm", *(mm(m.height_mm) for m in at))
    table.add_row("rim, mm", *(mm(m.rim_diameter_mm) for m in at))
    table.add_row("widest, mm", *(mm(m.widest_diameter_mm) for m in at))
    table.add_row("foot, mm", *(mm(m.foot_diameter_mm) for m in at))
    table.add_row("brimful, ml", *(millilitres(m.capacity_ml) for m in at))
    table.add_row("weight, g", *(grams(m.mass_g) for m in at))
    return table


def _bench(part: PartMeasures) -> Table:
    table = Table(box=None, show_header=False, pad_edge=False)
    thrown, cut = part.thrown, part.trimming
    table.add_row("weigh out", f"{part.weigh_out_g:g} g", f"ball {part.ball_g:.0f}, thrown {grams(thrown.mass_g)} g")
    needle = "no floor" if thrown.floor_mm is None else f"floor {mm(thrown.floor_mm)} mm"
    width = f"rim {mm(thrown.rim_diameter_mm)}, at the bat {mm(thrown.base_diameter_mm)} wide"
    table.add_row(
        "throw",
        f"{mm(thrown.height_mm)} mm high",
        f"{width}, {needle}",
    )
    if cut.removed_cm3 > 1e-6:
        left = "" if cut.floor_left_mm is None else f", floor left {mm(cut.floor_left_mm)} mm"
        table.add_row(
            "trim off", f"{grams(cut.removed_g)} g", f"leather-hard, {mm(cut.side_cut_mm)} mm at the side{left}"
        )
        if cut.recess_above_head_mm is not None and cut.recess_depth_mm > 0:
            table.add_row(
                "upside down",
                f"{mm(cut.recess_above_head_mm)} mm",
                f"recess above the wheel head; ring {mm(cut.ring_above_head_mm)} mm",
            )
    thin, thick = part.thinnest, part.thickest
    table.add_row(
        "clay fired",
        f"{thin.thickness_mm:.1f}–{thick.thickness_mm:.1f} mm",
        f"thinnest {mm(thin.z_mm)} mm up, thickest {mm(thick.z_mm)} mm up",
    )
    if part.fill_ml is not None:
        table.add_row("holds", f"{millilitres(part.fill_ml)} ml", "fired, to 12 mm under the rim")
    return table


def _remark(check: Check) -> Text:
    return Text(f"{check.level}: {check.message}", style=_LOOKS[check.level])


def console(*, stderr: bool = False) -> Console:
    """A terminal that shows a potter's words as they are: brackets are no markup, `:cup:` is no picture."""
    return Console(stderr=stderr, highlight=False, soft_wrap=False, markup=False, emoji=False)
