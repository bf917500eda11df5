"""The numbers of a piece as tables for a terminal, rounded for people."""

from __future__ import annotations

from math import ceil
from textwrap import wrap
from typing import Any

from rich import box
from rich.console import Console, Group, RenderableType
from rich.table import Table
from rich.text import Text

from .checks import Check, Level, turns_on_its_rim
from .clay.states import State
from .lengths import mm, tenth_up
from .lidded import LidMeasures
from .lids.fit import TOUCHES_MM
from .measures import FinishedPart, Measure, Measures, PartMeasures
from .piece import Cast, Piece
from .spooned import SpoonMeasures

_LITTLE_ML, _NOTHING_ML = 5.0, 1e-6
_NO_RIM_MM = 1.0
"""A form that closes over the axis has no rim to speak of."""

_WORDS_WIDE = 46
"""What is left of 80 columns beside two columns of a table."""

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


def stays_ml(volume_ml: float) -> str:
    """What stays in a jar out of the spoon's reach, ml for people: to the nearest 5, a little never as nothing.

    >>> stays_ml(0.0), stays_ml(0.3), stays_ml(3.2), stays_ml(5.0), stays_ml(17.6)
    ('0', '1', '4', '5', '20')
    """
    return f"{ceil(volume_ml - _NOTHING_ML):d}" if volume_ml < _LITTLE_ML else millilitres(volume_ml)


def told(measures: Measures, checks: tuple[Check, ...]) -> RenderableType:
    """Everything `measure` prints of one piece."""
    design = measures.piece.design
    head = Text(f"{design.title}", style="bold")
    head.append(f"  {design.form.kind}, {measures.piece.body.name}, sized {design.head.sized.words}", style="dim")
    shown: list[RenderableType] = [head]
    casts = dict(zip(measures.balls, measures.piece.thrown, strict=True))
    benches = {name: _bench(casts[name], part) for name, part in measures.balls.items()}
    if len(measures.parts) == 1:
        shown += [_states(measures.states), *benches.values(), _finished(measures.main)]
    else:
        if measures.piece.whole is not None:
            shown += [Text("thrown in one, then cut apart", style="italic"), *benches.values()]
        for name, part in measures.parts.items():
            shown += [
                Text(name, style="italic"),
                _states(part.states, lid=measures.lid is not None and name == "lid"),
            ]
            if name in benches:
                shown.append(benches[name])
            shown.append(_finished(part))
        if measures.lid is not None:
            shown += [Text("jar and lid, fired", style="italic"), _lid(measures.lid, measures.piece)]
        fired, closed = measures.states[State.FIRED], "" if measures.lid is None else " when closed"
        shown.append(
            Text(
                f"whole: {mm(fired.height_mm)} mm high{closed}, {grams(fired.mass_g)} g fired, "
                f"clay to weigh {measures.weigh_out_g:g} g"
            )
        )
    if measures.spoon is not None:
        shown += [Text("spoon, fired", style="italic"), _spoon(measures.spoon, measures.piece)]
    stuck_on = [f"{extra.name} {extra.weight_g:g} g" for extra in design.head.extras]
    if stuck_on:
        shown.append(Text(f"stuck on, each from its own clay, wet: {', '.join(stuck_on)}"))
    shown += [_remark(check) for check in checks]
    return Group(*shown, Text(""))


def _states(states: dict[State, Measure], *, lid: bool = False) -> Table:
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False, show_edge=False)
    table.add_column("finished", no_wrap=True)
    for state in State:
        table.add_column("wet" if state is State.WET else state.words, justify="right")
    at = states.values()
    table.add_row("height, mm", *(mm(m.height_mm) for m in at))
    if not lid:
        table.add_row("rim, mm", *(mm(m.rim_diameter_mm) for m in at))
    table.add_row("widest, mm", *(mm(m.widest_diameter_mm) for m in at))
    if not lid:
        table.add_row("foot, mm", *(mm(m.foot_diameter_mm) for m in at))
        table.add_row("brimful, ml", *(millilitres(m.capacity_ml) for m in at))
    table.add_row("weight, g", *(grams(m.mass_g) for m in at))
    return table


def _bench(cast: Cast, part: PartMeasures) -> Table:
    table = Table(box=None, show_header=False, pad_edge=False)
    thrown, cut = part.thrown, part.trimming
    table.add_row("weigh out", f"{part.weigh_out_g:g} g", f"ball {part.ball_g:.0f}, thrown {grams(thrown.mass_g)} g")
    needle = "no floor" if thrown.floor_mm is None else f"floor {mm(thrown.floor_mm)} mm"
    rim = "closed" if thrown.rim_diameter_mm < _NO_RIM_MM else f"rim {mm(thrown.rim_diameter_mm)}"
    width = f"{rim}, at the bat {mm(thrown.base_diameter_mm)} wide"
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
        if cut.recess_above_head_mm is not None and cut.recess_depth_mm > 0 and turns_on_its_rim(cast):
            table.add_row(
                "upside down",
                f"{mm(cut.recess_above_head_mm)} mm",
                f"recess above the wheel head; ring {mm(cut.ring_above_head_mm)} mm",
            )
    return table


def _finished(part: FinishedPart) -> Table:
    table = Table(box=None, show_header=False, pad_edge=False)
    thin, thick = part.thinnest, part.thickest
    table.add_row(
        "clay fired",
        f"{thin.thickness_mm:.1f}–{thick.thickness_mm:.1f} mm",
        f"thinnest {mm(thin.z_mm)} mm up, thickest {mm(thick.z_mm)} mm up",
    )
    if part.fill_ml is not None:
        table.add_row(
            "holds", f"{millilitres(part.fill_ml)} ml", f"fired, to {mm(part.fill_line_mm)} mm under the rim"
        )
    return table


def _lid(lid: LidMeasures, piece: Piece) -> Table:
    table = Table(box=None, show_header=False, pad_edge=False)
    if piece.pair is not None and piece.pair.cut is not None:
        cut = piece.pair.cut.cut
        up = cut.height * piece.scale(State.LEATHER_HARD)[1]
        way = "down" if cut.slope == "inward_down" else "up"
        table.add_row("cut", f"{mm(up)} mm", "up the outside, leather-hard, from the turned foot")
        table.add_row("slant", f"{cut.angle:g}°", f"from level, the knife's tip pointing in and {way}")
    if lid.way_through_mm is not None:
        table.add_row("through the wall", f"{mm(lid.way_through_mm)} mm", "of clay in the knife's way")
    if lid.seat_width_mm is not None:
        table.add_row("seat", f"{mm(lid.seat_width_mm)} mm", "wide, measured level")
    table.add_row("held from the side", f"{mm(lid.centring_depth_mm)} mm", "deep, jar and lid by each other")
    if lid.sink_mm is not None and lid.contact_mm is not None:
        table.add_row("sinks", f"{mm(lid.sink_mm)} mm", "lower than cut, for what knife and sponge take")
        table.add_row("contact", f"{mm(lid.contact_mm)} mm", "left along the slope, edges rounded")
    if lid.fit is not None:
        fired = lid.fit.fired
        play = f"on each side; {fired.least_mm:z.1f} to {fired.most_mm:z.1f} mm in the worst cases"
        table.add_row("play", f"{fired.nominal_mm:z.1f} mm", play)
        for line in wrap(lid.fit.words, _WORDS_WIDE):
            table.add_row("", "", line)
    return table


def _spoon(spoon: SpoonMeasures, piece: Piece) -> Table:
    leather = piece.body.scale(State.FIRED, State.LEATHER_HARD)[1]
    closes = spoon.lid_gap_mm is None or spoon.lid_gap_mm >= -TOUCHES_MM
    table = Table(box=None, show_header=False, pad_edge=False)
    if spoon.cutter_needed_mm is not None:
        if spoon.cutter_mm is None:
            cutter = "or wider, pressed in at leather-hard"
            table.add_row("cutter", f"{tenth_up(spoon.cutter_needed_mm):.1f} mm", cutter)
        else:
            cutter = f"pressed in at leather-hard; {tenth_up(spoon.cutter_needed_mm):.1f} or more needed"
            table.add_row("cutter", f"{spoon.cutter_mm:.1f} mm", cutter)
        for name, depth in (("jar", spoon.jar_notch_mm), ("lid", spoon.lid_notch_mm)):
            if depth:
                where = "under the rim" if name == "jar" else "up from its edge"
                state = f"{where}, fired; {mm(leather * depth)} leather-hard"
                table.add_row(f"notch in the {name}", f"{mm(depth)} mm", state)
        if not closes:
            table.add_row("", "", "with that notch the lid does not close")
    table.add_row("lies at", f"{spoon.angle_deg:.0f}°", f"from level, sticks out {mm(spoon.sticks_out_mm)} mm")
    if spoon.lid_gap_mm is not None:
        table.add_row("lid closes over it", "yes" if closes else "no", f"{spoon.lid_gap_mm:z.1f} mm of room")
    for name, angle, place in (
        ("scoops", spoon.scoop_axis_deg, "the middle of the floor"),
        ("", spoon.scoop_far_deg, "its far corner"),
    ):
        if angle is None:
            table.add_row(name, "no", f"it does not reach {place}")
        else:
            table.add_row(name, f"{angle:.0f}°", f"the flattest that reaches {place}")
    left = f"stays, if you hold it no steeper than {spoon.steepest_deg:.0f}°"
    table.add_row("out of reach", f"{stays_ml(spoon.left_ml)} ml", left)
    if spoon.jar_notch_mm:
        table.add_row("without the notch", f"{millilitres(spoon.capacity_unnotched_ml)} ml", "brimful")
    return table


def _remark(check: Check) -> Text:
    return Text(f"{check.level}: {check.message}", style=_LOOKS[check.level])


def told_of_solids(numbers: dict[str, Any]) -> list[RenderableType]:
    """What `measure` prints of the solids that were turned, from a piece's figures."""
    return [
        Text(f"solid {key}: {value['volume_cm3']:.3f} cm³, agrees", style="dim")
        for key, value in numbers.get("solid", {}).items()
    ]


def console(*, stderr: bool = False) -> Console:
    """A terminal that shows a potter's words as they are: brackets are no markup, `:cup:` is no picture."""
    return Console(stderr=stderr, highlight=False, soft_wrap=False, markup=False, emoji=False)
