"""The tables of a bench card, in words: sizes in every state, throwing, trimming, lid, spoon, what if, the record."""

from __future__ import annotations

from dataclasses import dataclass

from .checks import turns_on_its_rim
from .clay.states import State
from .lengths import mm, tenth_up
from .lids.fit import TOUCHES_MM, How
from .measures import Measure, Measures, PartMeasures
from .piece import Cast
from .report import grams, millilitres, stays_ml
from .what_if import Numbers, WhatIf

Rows = list[list[str]]

_HOW: dict[How, str] = {"together": "as a pair", "apart": "apart", "two_bodies": "two bodies"}

POTS = 12
"""That a record has a column for: a dozen."""

_WIDER_MM = 0.5
"""A belly wider than the rim by this has a row of its own."""


@dataclass(frozen=True)
class Table:
    """Rows of a heading and what is under it; the first column names, the others hold figures."""

    rows: Rows

    @property
    def columns(self) -> int:
        """How many columns hold figures."""
        return len(self.rows[0]) - 1


def sizes(measures: Measures) -> Table:
    """The finished piece in every state; of a jar with a lid each part, and both when they are closed."""
    head = ["wet" if state is State.WET else state.words for state in State]
    whole = [measures.states[state] for state in State]
    if measures.lid is None:
        return Table([["finished piece", *head], *_of_part("", whole)])
    jar, lid = ([measures.parts[name].states[state] for state in State] for name in ("jar", "lid"))
    return Table(
        [
            ["finished", *head],
            *_of_part("jar: ", jar),
            ["lid: height, mm", *(mm(m.height_mm) for m in lid)],
            ["lid: across, mm", *(mm(m.widest_diameter_mm) for m in lid)],
            ["lid: weight, g", *(grams(m.mass_g) for m in lid)],
            ["closed: height in all, mm", *(mm(m.height_mm) for m in whole)],
            ["closed: weight, g", *(grams(m.mass_g) for m in whole)],
        ]
    )


def _of_part(lead: str, at: list[Measure]) -> Rows:
    rows = [
        [f"{lead}height, mm", *(mm(m.height_mm) for m in at)],
        [f"{lead}rim across, mm", *(mm(m.rim_diameter_mm) for m in at)],
    ]
    if not lead or at[0].widest_diameter_mm - at[0].rim_diameter_mm > _WIDER_MM:
        rows.append([f"{lead}widest, mm", *(mm(m.widest_diameter_mm) for m in at)])
    rows.append([f"{lead}foot across, mm", *(mm(m.foot_diameter_mm) for m in at)])
    rows.append([f"{lead}brimful, ml", *(millilitres(m.capacity_ml) for m in at)])
    return [*rows, [f"{lead}weight without glaze, g", *(grams(m.mass_g) for m in at)]]


def throwing(measures: Measures) -> Table:
    """What each ball takes, wet."""
    columns = [dict(_throwing(measures, cast, part)) for cast, part in _balls(measures)]
    return _side_by_side("throwing (wet)", list(measures.balls), columns)


def trimming(measures: Measures) -> Table | None:
    """What comes off each at leather-hard; None where nothing does."""
    balls = zip(measures.balls, _balls(measures), strict=True)
    turned = [(name, cast, part) for name, (cast, part) in balls if part.trimming.removed_cm3 > 1e-6]
    named = [(name, dict(_turning(cast, part, alone=len(turned) == 1))) for name, cast, part in turned]
    if not named:
        return None
    return _side_by_side("trimming (leather-hard)", [name for name, _ in named], [column for _, column in named])


def _balls(measures: Measures) -> list[tuple[Cast, PartMeasures]]:
    return list(zip(measures.piece.thrown, measures.balls.values(), strict=True))


def _side_by_side(title: str, names: list[str], columns: list[dict[str, str]]) -> Table:
    """One column a ball; a dash where a row makes no sense for it."""
    if len(names) == 1 and names[0]:
        title, names = f"{names[0]}: {title}", [""]
    labels = list(dict.fromkeys(label for column in columns for label in column))
    return Table([[title, *names], *([label, *(column.get(label, "–") for column in columns)] for label in labels)])


def _throwing(measures: Measures, cast: Cast, part: PartMeasures) -> list[tuple[str, str]]:
    thrown = part.thrown
    rows = [
        ("ball, exact", f"{part.ball_g:.0f} g"),
        ("lost as slurry and on the hands", f"{cast.asked.loss_percent:g} %"),
        ("thrown piece", f"{grams(thrown.mass_g)} g"),
        ("width at the bat", f"{mm(thrown.base_diameter_mm)} mm"),
    ]
    if thrown.inside_depth_mm is not None:
        rows.append(("depth inside", f"{mm(thrown.inside_depth_mm)} mm"))
    thinnest, thickest = part.thinnest.thickness_mm, part.thickest.thickness_mm
    rows.append(("thinnest, thickest clay, fired", f"{thinnest:.1f}, {thickest:.1f} mm"))
    if part.fill_ml is not None and measures.lid is None:
        rows.append((f"holds fired, {mm(part.fill_line_mm)} mm under the rim", f"{millilitres(part.fill_ml)} ml"))
    return rows


def _turning(cast: Cast, part: PartMeasures, *, alone: bool) -> list[tuple[str, str]]:
    cut, rows = part.trimming, []
    # how high a chuck holds the part, nobody knows before it is thrown
    on_head = turns_on_its_rim(cast)
    if on_head:
        rows.append(("top above the wheel head", f"{mm(cut.ring_above_head_mm)} mm"))
    if cut.recess_above_head_mm is not None and cut.recess_depth_mm > 0:
        if on_head:
            rows.append(("recess above the wheel head", f"{mm(cut.recess_above_head_mm)} mm"))
        rows.append(("depth inside the ring", f"{mm(cut.recess_depth_mm)} mm"))
    if cut.floor_left_mm is not None:
        rows.append(("floor left", f"{mm(cut.floor_left_mm)} mm"))
    side, up = f"{mm(cut.side_cut_mm)} mm", f"{mm(cut.side_cut_height_mm)} mm"
    at_side = [(f"in at the side, {up} above the table", side)]
    if not alone:
        at_side = [("in at the side", side), ("at this height above the table", up)]
    return [
        *rows,
        *at_side,
        ("trimmings, as they come off", f"{grams(cut.removed_g)} g"),
        ("for the reclaim, as plastic clay", f"{grams(cut.reclaim_g)} g"),
    ]


def lid(measures: Measures) -> Table | None:
    """How jar and lid hold each other; None without a lid."""
    found, main = measures.lid, measures.main
    if found is None:
        return None
    rows = []
    deep = mm(found.centring_depth_mm)
    pair, whole = measures.piece.pair, measures.piece.whole
    if pair is not None and pair.cut is not None and whole is not None:
        cut, k_z = pair.cut.cut, whole.scale(State.LEATHER_HARD)[1]
        way = "down" if cut.slope == "inward_down" else "up"
        rows += [
            [f"cut leather-hard, slant inward {way}", f"{cut.angle:g}°"],
            ["up the outside from the turned foot", f"{mm(k_z * cut.height)} mm"],
            ["from the bat, foot not yet turned", f"{mm(k_z * (cut.height - whole.bat))} mm"],
            ["seat across the wall, centring", f"{mm(found.seat_width_mm or 0.0)}, {deep} mm"],
            ["sinks, contact left on the slope", f"{found.sink_mm or 0.0:.1f}, {found.contact_mm or 0.0:.1f} mm"],
        ]
    if found.fit is not None:
        fired, worst = found.fit.fired, found.fit.tightest
        if found.seat_width_mm is None:
            rows.append(["held from the side, deep", f"{deep} mm"])
        else:
            rows.append(["seat across the ledge, centring", f"{mm(found.seat_width_mm)}, {deep} mm"])
        rows += [
            ["play on each side", f"{fired.nominal_mm:z.1f} mm"],
            ["in the worst cases", f"{fired.least_mm:z.1f} to {fired.most_mm:z.1f} mm"],
        ]
        if worst.state is not State.FIRED:
            rows.append([f"tightest {worst.state.words}", f"{worst.least_mm:z.1f} mm"])
        rows.append(["jar and lid dry and are fired", _HOW[found.fit.how]])
    if main.fill_ml is not None:
        line = f"filled to {mm(main.fill_line_mm)} mm under the rim"
        rows.append([line, f"{millilitres(main.fill_ml)} ml"])
    return Table([[f"{found.kind} lid, fired", ""], *rows])


def spoon(measures: Measures) -> Table | None:
    """Cutter, notch, how the spoon lies and what it reaches; None without one."""
    found = measures.spoon
    if found is None:
        return None
    leather = measures.piece.body.scale(State.FIRED, State.LEATHER_HARD)[1]
    closes = found.lid_gap_mm is None or found.lid_gap_mm >= -TOUCHES_MM
    rows = []
    if found.cutter_needed_mm is not None:
        needed = f"{tenth_up(found.cutter_needed_mm):.1f}"
        if found.cutter_mm is None:
            rows.append(["cutter, leather-hard", f"{needed} mm or wider"])
        else:
            rows.append([f"cutter, leather-hard ({needed} needed)", f"{found.cutter_mm:g} mm"])
    for name, depth in (("jar", found.jar_notch_mm), ("lid", found.lid_notch_mm)):
        if depth:
            rows.append([f"{name} notch, leather-hard (fired {mm(depth)})", f"{mm(leather * depth)} mm"])
    if found.cutter_needed_mm is not None and not closes:
        rows.append(["with that notch the lid", "does not close"])
    rows.append(["lies at, sticks out", f"{found.angle_deg:.0f}°, {mm(found.sticks_out_mm)} mm"])
    if found.lid_gap_mm is not None:
        rows.append(["lid closes over it, room left", f"{'yes' if closes else 'no'}, {found.lid_gap_mm:z.1f} mm"])
    middle, far = ("–" if at is None else f"{at:.0f}°" for at in (found.scoop_axis_deg, found.scoop_far_deg))
    rows.append(["scoops in the middle, far corner from", f"{middle}, {far}"])
    rows.append([f"stays, held at {found.steepest_deg:g}° at most", f"{stays_ml(found.left_ml)} ml"])
    return Table([["spoon and notch, fired", ""], *rows])


def stuck_on(measures: Measures) -> Table | None:
    """Handles and pulled knobs, each from its own clay, wet; None without any."""
    extras = measures.piece.design.head.extras
    if not extras:
        return None
    rows = []
    for extra in extras:
        sizes_of = [f"{mm(size)} {word}" for size, word in ((extra.reach, "out"), (extra.height, "up")) if size]
        rows.append([", ".join([extra.name, *sizes_of]), f"{extra.weight_g:g} g"])
    return Table([["stuck on, own clay (wet)", ""], *rows])


def what_if(found: WhatIf) -> Table:
    """By how much each number moves with each change, under the numbers as they are designed."""
    heads = ["ball, g", "fired, g", "brimful, ml", "trimmed, g", "wet height, mm", "wet width, mm"]
    rows = [[change.words, *_moves(change.moves)] for change in found.changes]
    return Table([["what if", *heads], ["as it is designed", *_designed(found.designed)], *rows])


def _designed(of: Numbers) -> list[str]:
    figures = (of.ball_g, of.fired_g, of.capacity_ml, of.trimmed_g)
    told = ["–" if figure is None else f"{figure:.0f}" for figure in figures]
    return [*told, f"{of.thrown_height_mm:.1f}", f"{of.thrown_across_mm:.1f}"]


def _moves(of: Numbers | None) -> list[str]:
    if of is None:
        return ["–"] * 6
    figures = (of.ball_g, of.fired_g, of.capacity_ml, of.trimmed_g)
    told = ["–" if figure is None else _signed(figure, 0) for figure in figures]
    return [*told, _signed(of.thrown_height_mm, 1), _signed(of.thrown_across_mm, 1)]


def _signed(figure: float, digits: int) -> str:
    """With its sign, a true minus, and none before nought."""
    text = f"{figure:+.{digits}f}"
    return "0" if float(text) == 0 else text.replace("-", "−")


def record(measures: Measures) -> Rows:
    """What was planned of a pot, in the order it is made, beside a column to write in for each pot that is made."""
    rows: list[tuple[str, str]] = []
    for cast, (name, ball) in zip(measures.piece.thrown, measures.balls.items(), strict=True):
        thrown, lead = ball.thrown, f"{name} " * bool(name)
        rows += [
            (f"{lead}ball, g", f"{ball.weigh_out_g:g}"),
            (f"{lead}thrown, off the bat, g", grams(thrown.mass_g)),
            (f"{lead}thrown height, mm", mm(thrown.height_mm)),
        ]
        if cast.shape.closes:
            rows.append((f"{lead}thrown width, mm", mm(ball.states[State.WET].widest_diameter_mm)))
        else:
            rows.append((f"{lead}thrown rim, mm", mm(thrown.rim_diameter_mm)))
    rows += _made(measures, State.LEATHER_HARD)
    rows += [(f"{state.words}, g", grams(measures.states[state].mass_g)) for state in (State.BONE_DRY, State.BISQUE)]
    rows += _made(measures, State.FIRED)
    pots = [str(number) for number in range(1, POTS + 1)]
    return [["what came out", "planned", *pots], *([label, planned, *[""] * POTS] for label, planned in rows)]


def _made(measures: Measures, state: State) -> list[tuple[str, str]]:
    """What can be measured of each part; of parts that are joined for good once they are turned, of the whole."""
    turned = state is State.LEATHER_HARD
    parts = {name: part.states[state] for name, part in measures.parts.items()}
    if measures.lid is None and not turned:
        parts = {"": measures.states[state]}
    rows = []
    for name, at in parts.items():
        lead = f"{name} {state.words}".strip()
        if name == "lid":
            rows.append((f"{lead}, width, mm", mm(at.widest_diameter_mm)))
        else:
            rows.append((f"{lead}, rim, mm", mm(at.rim_diameter_mm)))
        if not turned:
            rows.append((f"{lead}, height, mm", mm(at.height_mm)))
        rows.append((f"{lead}, turned, g" if turned else f"{lead}, g", grams(at.mass_g)))
    return rows
