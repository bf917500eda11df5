"""The bench card: one page to hang at the wheel, with the drawing and every number of a piece."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from .checks import Check
from .clay.states import State
from .lengths import mm
from .measures import Measures, PartMeasures
from .report import grams, millilitres
from .sheets.extent import box_of
from .sheets.ink import Ink
from .sheets.page import Document, Page
from .sheets.paper import paper_mm
from .templates.drawing import Drawing

_MARGIN = 12.0
_BOX = Ink(0.4, "#3d3a37")
_BAND = Ink(0.0, "", fill="#efe9df")

CAUTIONS = (
    "Clay dust holds fine silica. Turn and tidy at leather-hard, never sand or sweep dry, wipe down wet.",
    "Cut edges of metal and acrylic are sharp: round and deburr them. Never laser-cut PVC. A spinning wheel throws "
    "a loose pot.",
    "Follow the kiln's manual, vent it outdoors, have it wired by a licensed electrician under the local code. Ware "
    "for food needs a glaze tested by a laboratory under the local rules.",
)


def write_bench_card(
    measures: Measures,
    checks: tuple[Check, ...],
    section: Drawing,
    path: Path,
    *,
    paper: str,
    stamp: str,
    sheets: str,
) -> None:
    """Write the card as a PDF of one page.

    Args:
        measures: of the piece.
        checks: on it, printed in words.
        section: the half-section drawing, scaled to fit.
        path: the file.
        paper: a key of the paper sizes.
        stamp: version and digest.
        sheets: one line about the templates that go with it.
    """
    width, height = paper_mm("Letter" if paper in ("Letter", "Tabloid") else "A4")
    document = Document(path, measures.piece.design.title, stamp)
    with document.page(width, height) as page:
        y = _head(page, measures, height - _MARGIN)
        y = _picture(page, section, y - 2, 88.0)
        y = _big_numbers(page, measures, y - 3)
        y = _states(page, measures, y - 5)
        y = _bench(page, measures, y - 5)
        y = _foot(page, checks, sheets, stamp, y - 4)
        _record(page, measures, y - 1, _MARGIN + 24)
    document.save()


def _head(page: Page, measures: Measures, top: float) -> float:
    design, room = measures.piece.design, page.width - 2 * _MARGIN
    page.text(design.title, _MARGIN, top - 6, 7.5, bold=True, room=room - 62)
    shrink = 100 * measures.piece.body.shrinkage.at(State.FIRED)
    page.text(f"{measures.piece.body.name}, shrinks {shrink:.1f} % in all", _MARGIN, top - 11.5, 3.4, room=room - 62)
    right = page.width - _MARGIN
    page.text("to make ______   made ______   date __________", right, top - 5, 3.2, anchor="end")
    page.text(f"sizes given {design.head.sized.words}", right, top - 11.5, 3.2, anchor="end")
    page.line([(_MARGIN, top - 13.5), (right, top - 13.5)], _BOX)
    return top - 13.5


def _picture(page: Page, section: Drawing, top: float, high: float) -> float:
    # the page has its title already
    section = replace(section, words=tuple(words for words in section.words if not words.bold))
    left, bottom, right, upper = box_of(section)
    scale = min((page.width - 2 * _MARGIN) / (right - left), high / (upper - bottom))
    x = page.width / 2 - scale * (left + right) / 2
    page.draw(section, x, top - scale * upper, scale)
    return top - scale * (upper - bottom)


def _big_numbers(page: Page, measures: Measures, top: float) -> float:
    """The four numbers she looks for from a metre away, for each ball of clay."""
    y = top
    for name, part in measures.balls.items():
        thrown = part.thrown
        boxes = [
            ("weigh out", f"{part.weigh_out_g:g} g"),
            ("throw: height", f"{mm(thrown.height_mm)} mm"),
            ("throw: rim", f"{mm(thrown.rim_diameter_mm)} mm"),
            ("floor to bat", "open" if thrown.floor_mm is None else f"{mm(thrown.floor_mm)} mm"),
        ]
        wide = (page.width - 2 * _MARGIN) / len(boxes)
        for index, (label, value) in enumerate(boxes):
            x = _MARGIN + index * wide
            page.rect(x + 0.8, y - 17, wide - 1.6, 17, _BAND)
            page.text(f"{name} {label}".strip(), x + wide / 2, y - 4.6, 3.2, anchor="middle", room=wide - 4)
            page.text(value, x + wide / 2, y - 13.6, 7.5, anchor="middle", bold=True, room=wide - 4)
        y -= 19
    return y + 2


def _states(page: Page, measures: Measures, top: float) -> float:
    """Sizes of the finished piece in every state."""
    at = [measures.states[state] for state in State]
    rows = [
        ["finished piece", *("wet" if state is State.WET else state.words for state in State)],
        ["height, mm", *(mm(m.height_mm) for m in at)],
        ["rim across, mm", *(mm(m.rim_diameter_mm) for m in at)],
        ["widest, mm", *(mm(m.widest_diameter_mm) for m in at)],
        ["foot across, mm", *(mm(m.foot_diameter_mm) for m in at)],
        ["brimful, ml", *(millilitres(m.capacity_ml) for m in at)],
        ["weight without glaze, g", *(grams(m.mass_g) for m in at)],
    ]
    room = page.width - 2 * _MARGIN
    widths = [0.28 * room] + [0.144 * room] * 5
    return page.table(rows, _MARGIN, top, widths, size=3.2, leading=5.4, right=(1, 2, 3, 4, 5))


def _bench(page: Page, measures: Measures, top: float) -> float:
    """Throwing and trimming side by side."""
    gap, room = 6.0, page.width - 2 * _MARGIN
    half = (room - gap) / 2
    size, leading = (3.2, 5.2) if len(measures.balls) == 1 else (2.9, 4.3)
    columns = [0.68 * half, 0.32 * half]

    def table(rows: list[list[str]], x: float, y: float) -> float:
        return page.table(rows, x, y, columns, size=size, leading=leading, right=(1,))

    left, right = _MARGIN, _MARGIN + half + gap
    low = {left: top, right: top}
    for number, (name, part) in enumerate(measures.balls.items()):
        lead = f"{name}: " if name else ""
        x = (left, right)[number % 2]
        low[x] = table([[f"{lead}throwing (wet)", ""], *map(list, _throwing(measures, part))], x, low[x])
    for name, part in measures.balls.items():
        if part.trimming.removed_cm3 > 1e-6:
            lead = f"{name}: " if name else ""
            x = max(low, key=lambda column: low[column])  # where there is more room
            y = low[x] - (3 if low[x] < top else 0)
            low[x] = table([[f"{lead}trimming (leather-hard)", ""], *map(list, _turning(part))], x, y)
    return min(low.values())


def _throwing(measures: Measures, part: PartMeasures) -> list[tuple[str, str]]:
    thrown = part.thrown
    rows = [
        ("ball, exact", f"{part.ball_g:.0f} g"),
        ("lost as slurry and on the hands", f"{measures.piece.asked.loss_percent:g} %"),
        ("thrown piece", f"{grams(thrown.mass_g)} g"),
        ("width at the bat", f"{mm(thrown.base_diameter_mm)} mm"),
    ]
    if thrown.inside_depth_mm is not None:
        rows.append(("depth inside", f"{mm(thrown.inside_depth_mm)} mm"))
    rows.append(
        (
            "thinnest and thickest clay, fired",
            f"{part.thinnest.thickness_mm:.1f}, {part.thickest.thickness_mm:.1f} mm",
        )
    )
    if part.fill_ml is not None:
        rows.append(("holds fired, 12 mm under the rim", f"{millilitres(part.fill_ml)} ml"))
    return rows


def _turning(part: PartMeasures) -> list[tuple[str, str]]:
    cut = part.trimming
    rows = [("ring above the wheel head", f"{mm(cut.ring_above_head_mm)} mm")]
    if cut.recess_above_head_mm is not None and cut.recess_depth_mm > 0:
        rows += [
            ("recess above the wheel head", f"{mm(cut.recess_above_head_mm)} mm"),
            ("depth inside the ring", f"{mm(cut.recess_depth_mm)} mm"),
        ]
    if cut.floor_left_mm is not None:
        rows.append(("floor left", f"{mm(cut.floor_left_mm)} mm"))
    rows += [
        (f"in at the side, {mm(cut.side_cut_height_mm)} mm above the table", f"{mm(cut.side_cut_mm)} mm"),
        ("trimmings, as they come off", f"{grams(cut.removed_g)} g"),
        ("for the reclaim, as plastic clay", f"{grams(cut.reclaim_g)} g"),
    ]
    return rows


def _record(page: Page, measures: Measures, top: float, bottom: float) -> None:
    """What was planned beside room to write what came out, as far as the page goes."""
    leather, fired = measures.states[State.LEATHER_HARD], measures.states[State.FIRED]
    rows = [["planned, and what came out", "planned", "1", "2", "3", "4"]] + [
        [label, value, "", "", "", ""]
        for label, value in (
            ("ball, g", f"{measures.weigh_out_g:g}"),
            ("rim leather-hard, mm", mm(leather.rim_diameter_mm)),
            ("rim fired, mm", mm(fired.rim_diameter_mm)),
            ("fired, g", grams(fired.mass_g)),
            ("trimmed, leather-hard, g", grams(leather.mass_g)),
            ("thrown, off the bat, g", grams(measures.thrown.mass_g)),
        )
    ]
    leading = 5.2
    fits = int((top - bottom) / leading)
    if fits >= 2:
        room = page.width - 2 * _MARGIN
        widths = [0.36 * room] + [0.128 * room] * 5
        page.table(rows[:fits], _MARGIN, top, widths, size=3.2, leading=leading, right=(1,))


def _foot(page: Page, checks: tuple[Check, ...], sheets: str, stamp: str, top: float) -> float:
    """Checks below the tables, cautions at the foot of the page; returns the lower edge of the checks."""
    room = page.width - 2 * _MARGIN
    y = top - 3
    for check in checks[:4]:
        for text in _folded(f"{check.level}: {check.message}", room, 3.0):
            page.text(text, _MARGIN, y, 3.0)
            y -= 4.0
    under_checks = y
    lines = [text for caution in CAUTIONS for text in _folded(caution, room, 2.7)]
    y = _MARGIN + 5.5 + 3.6 * len(lines)
    page.line([(_MARGIN, y + 3.8), (page.width - _MARGIN, y + 3.8)])
    for text in lines:
        page.text(text, _MARGIN, y, 2.7)
        y -= 3.6
    page.text(sheets, _MARGIN, _MARGIN - 1, 2.7, room=room - 50)
    page.text(stamp, page.width - _MARGIN, _MARGIN - 1, 2.7, anchor="end")
    return under_checks


def _folded(text: str, room: float, size: float) -> list[str]:
    """A text in lines no wider than the room."""
    from .sheets.face import width_mm

    lines = [""]
    for word in text.split():
        longer = f"{lines[-1]} {word}".strip()
        if width_mm(longer, size) > room and lines[-1]:
            lines.append(word)
        else:
            lines[-1] = longer
    return lines
