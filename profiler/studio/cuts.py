"""The study of a cut lid on the page: what every height and slant gives, and where everything holds."""

from __future__ import annotations

from dataclasses import dataclass, replace

from ..design.model import design_of
from ..faults import Fault, Faults
from ..settings import Settings
from ..sheets.svg import svg_text
from ..study.chart import chart
from ..study.choice import Chosen, choose
from ..study.rows import SPAN_HEADS, cells, heads, notes, span_cells
from ..study.said import sentence
from ..study.study import study
from ..study.tried import Limits, Trial
from .address import typed
from .answer import STAMP, Answer
from .fields import Field

_AMOUNT = Field("amount", "amount", "", "number")
_MOST_ML = 100_000.0


@dataclass(frozen=True)
class Cuts:
    """What a study tells.

    Attributes:
        said: in words; why there is none, where there is none.
        heads: over the rows.
        rows: a cut each, as text.
        notes: under the rows.
        span_heads: over the spans.
        spans: where everything holds, slant by slant.
        chart: as SVG; empty where there is no study.
        changes: of the address that takes the chosen cut; empty without one.
    """

    said: tuple[str, ...]
    heads: tuple[str, ...] = ()
    rows: tuple[tuple[str, ...], ...] = ()
    notes: tuple[str, ...] = ()
    span_heads: tuple[str, ...] = SPAN_HEADS
    spans: tuple[tuple[str, ...], ...] = ()
    chart: str = ""
    changes: tuple[tuple[str, str], ...] = ()


def takes_a_study(answer: Answer) -> bool:
    """Whether its lid is cut."""
    lid = answer.data.get("lid")
    return isinstance(lid, dict) and lid.get("kind") == "cut"


def cuts(answer: Answer, capacity: str, settings: Settings) -> Cuts:
    """Study the design as shown.

    Args:
        answer: a design with a cut lid, its height known or not.
        capacity: wanted of the jar, ml, as typed; empty for none.
        settings: of her workshop.
    """
    wanted = typed(_AMOUNT, capacity)
    if wanted is not None and (not isinstance(wanted, int | float) or not 0 < wanted <= _MOST_ML):
        return Cuts((f"An amount is wanted: ml, more than 0 and at most {_MOST_ML:g}.",))
    try:
        trial = Trial(design_of(answer.text, cut_open=True), Limits(), settings)
        found = None if wanted is None else choose(trial, float(wanted))
        example = (found.tried.height, found.tried.angle) if isinstance(found, Chosen) else None
        made = study(trial, example=example)
        said = (sentence(made), *(() if found is None else (found.said(),)))
        return Cuts(
            said,
            tuple(heads(made)),
            tuple(tuple(cells(made, row)) for row in made.rows),
            tuple(notes(made)),
            spans=tuple(tuple(row) for row in span_cells(made)),
            chart=svg_text(chart(made), STAMP).partition("?>\n")[2],
            changes=() if example is None else _taken(example),
        )
    except Faults as several:
        return Cuts(tuple(_words(fault) for fault in several.faults))
    except Fault as fault:
        return Cuts((_words(fault),))


def _taken(example: tuple[float, float]) -> tuple[tuple[str, str], ...]:
    """The chosen cut as it is written, whatever the unit of the file."""
    height, angle = example
    return ("lid.height", f"{height:.3f} mm"), ("lid.angle", f"{angle:.9g}")


def _words(fault: Fault) -> str:
    return str(replace(fault, file=None, line=None, field=""))
