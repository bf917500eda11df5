"""The study for a terminal, within 80 columns."""

from __future__ import annotations

from collections.abc import Sequence

from rich import box
from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from ..lengths import inches_text
from .choice import Chosen, Unreached
from .said import degrees, end_said, height_said, heights_said, notch_said, sentence, short_verdict
from .spooned import Lies, lies_said
from .study import Slant, Span, Study
from .tried import Tried

WIDTH = 80
"""Columns of the narrowest terminal the tables are for."""

_SPOON_AT = "the spoon is tried at {} only; --angles names another"


def told(
    study: Study,
    *,
    chosen: Chosen | Unreached | None = None,
    lies: Sequence[Lies] = (),
) -> RenderableType:
    """Everything `study` prints.

    Args:
        study: what to tell.
        chosen: the answer to a wanted capacity.
        lies: how the spoon lies at some cuts.
    """
    head = Text(study.design.title, style="bold")
    state = study.design.head.sized.words
    head.append(f"  cut {study.trial.lid.slope.replace('_', ' ')}; heights {state}, the rest fired", style="dim")
    shown: list[RenderableType] = [head]
    if study.one_height:
        at = f"cut at {height_said(study.heights[0])} mm"
        shown += [Text(at, style="italic"), _rows(study, [row for slant in study.slants for row in slant.rows])]
    else:
        shown += [Text(f"cut at {degrees(study.named.angle)}", style="italic"), _rows(study, study.named.rows)]
    if len(study.slants) > 1 and not study.one_height:
        shown.append(_slants(study))
    shown += [Text(sentence(study), style="bold")]
    shown += [Text(f"At {height_said(one.tried.height)} mm {lies_said(one)}.") for one in lies]
    if chosen is not None:
        shown.append(Text(chosen.said(), style="bold"))
    return Group(*shown, Text(""))


def _rows(study: Study, rows: Sequence[Tried]) -> Table:
    """A row for each height; for each slant where a single height is studied."""
    inches = study.design.head.units == "in"
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False, show_edge=False, padding=(0, 1), width=WIDTH)
    heads = ("slant" if study.one_height else "height", "jar ml", "lid g", "lid mm", "seat", "centring", "contact")
    for head in heads:
        table.add_column(head, justify="right", no_wrap=True)
    table.add_column("", ratio=1, overflow="fold")
    for row in rows:
        place = inches_text(row.height) if inches else height_said(row.height)
        if study.one_height:
            place = degrees(row.angle)
        if study.shown is not None and (row.height, row.angle) == (study.shown.height, study.shown.angle):
            place = f"*{place}"
        figures = row.figures
        if figures is None:
            cells = ["–"] * 6
        else:
            cells = [
                f"{figures.capacity_ml:.0f}",
                f"{figures.lid_g:.0f}",
                f"{figures.lid_height_mm:.1f}",
                f"{figures.seat_mm:.1f}",
                f"{figures.centring_mm:.1f}",
                f"{max(figures.land_mm, 0.0):.1f}",
            ]
        table.add_row(place, *cells, short_verdict(row), style="" if row.holds else "dim")
    stuck_on = any(extra.on == "lid" and extra.height for extra in study.design.head.extras)
    knob = "with its knob; " if stuck_on or study.trial.lid.knob else ""
    notch = study.trial.notch_mm
    table.caption = f"lengths in mm; lid mm: its height, {knob or 'from edge to top; '}* the example"
    table.caption += f"\njar ml: to a notch {notch_said(notch)} mm deep" if notch else ""
    if study.one_height and len(rows) > 1 and study.design.head.spoon is not None:
        table.caption += f"\n{_SPOON_AT.format(degrees(study.named.angle))}"
    table.caption_justify = "left"
    return table


def _slants(study: Study) -> Table:
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False, show_edge=False, padding=(0, 1), width=WIDTH)
    table.add_column("slant", justify="right", no_wrap=True)
    table.add_column("holds, mm", no_wrap=True)
    table.add_column("jar ml", no_wrap=True)
    table.add_column("lower", ratio=1)
    table.add_column("higher", ratio=1)
    for slant in study.slants:
        if not slant.spans:
            table.add_row(degrees(slant.angle), "nowhere", "", "", "")
        for number, span in enumerate(slant.spans):
            name = "" if number else degrees(slant.angle)
            low, high = heights_said(span)
            where = low if low == high else f"{low} to {high}"
            table.add_row(name, where, _takes(study, slant, span), end_said(span.low), end_said(span.high))
    if study.design.head.spoon is not None:
        table.caption = _SPOON_AT.format(degrees(study.named.angle))
        table.caption_justify = "left"
    return table


def _takes(study: Study, slant: Slant, span: Span) -> str:
    """What the jar takes at the ends of a span; between them it may take a little more."""
    cuts = [study.trial.at(end.height, slant.angle).figures for end in (span.low, span.high)]
    first, last = (f"{figures.capacity_ml:.0f}" for figures in cuts if figures is not None)
    return first if first == last else f"{first} to {last}"
