"""The study for a terminal, within 80 columns."""

from __future__ import annotations

from rich import box
from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from ..clay.states import State
from .choice import Chosen, Unreached
from .rows import SPAN_HEADS, cells, heads, notes, span_cells
from .said import degrees, height_said, heights_said, lies_said, sentence, to_write
from .study import Study

WIDTH = 80
"""Columns of the narrowest terminal the tables are for."""


def told(study: Study, *, chosen: Chosen | Unreached | None = None) -> RenderableType:
    """Everything `study` prints.

    Args:
        study: what to tell.
        chosen: the answer to a wanted capacity.
    """
    head = Text(study.design.title, style="bold")
    sized = study.design.head.sized
    states = "all sizes fired" if sized is State.FIRED else f"heights {sized.words}, the rest fired"
    head.append(f"  cut {study.trial.lid.slope.replace('_', ' ')}; {states}", style="dim")
    at = f"{height_said(study.heights[0])} mm" if study.one_height else degrees(study.named.angle)
    shown: list[RenderableType] = [head, Text(f"cut at {at}", style="italic"), _rows(study)]
    if len(study.slants) > 1 and not study.one_height:
        shown.append(_slants(study))
    shown.append(Text(sentence(study), style="bold"))
    for height in _spoon_at(study):
        lies = study.trial.at(height, study.named.angle, spoon_anyway=True).lies
        if lies is not None:
            shown.append(Text(f"At {height_said(height)} mm {lies_said(lies)}."))
    if chosen is not None:
        shown.append(Text(chosen.said(), style="bold"))
    hint = to_write(study)
    if hint:
        shown.append(Text(hint))
    return Group(*shown, Text(""))


def _spoon_at(study: Study) -> list[float]:
    """Heights at which it is told how the spoon lies: the example and the ends of the span it lies in."""
    shown = study.shown
    if shown is None or shown.lies is None:
        return []
    span = study.named.span_at(shown.height)
    ends = [] if span is None else [float(end) for end in heights_said(span)]
    # an end that is told as the example is is not told twice
    apart = [end for end in ends if height_said(end) != height_said(shown.height)]
    return sorted({shown.height, *apart})


def _rows(study: Study) -> Table:
    """A row for each height; for each slant where a single height is studied."""
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False, show_edge=False, padding=_gaps(study), width=WIDTH)
    *figures, _ = heads(study)
    for name in figures:
        table.add_column(name, justify="right", no_wrap=True)
    table.add_column("", ratio=1, overflow="fold")
    for row in study.rows:
        table.add_row(*cells(study, row), style="" if row.holds else "dim")
    table.caption = "\n".join(notes(study))
    table.caption_justify = "left"
    return table


def _gaps(study: Study) -> tuple[int, int, int, int]:
    """Room round a cell: over, right, under, left. What is said of a spoon takes the room of its verdict."""
    return (0, 0, 0, 0) if study.trial.spooned else (0, 1, 0, 1)


def _slants(study: Study) -> Table:
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False, show_edge=False, padding=(0, 1), width=WIDTH)
    slant, holds, takes, lower, higher = SPAN_HEADS
    table.add_column(slant, justify="right", no_wrap=True)
    table.add_column(holds, no_wrap=True)
    table.add_column(takes, no_wrap=True)
    table.add_column(lower, ratio=1)
    table.add_column(higher, ratio=1)
    for row in span_cells(study):
        table.add_row(*row)
    return table
