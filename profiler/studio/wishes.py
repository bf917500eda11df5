"""From a wish back on the page: the sizes that give it, as changes of the address."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from ..checks import Check
from ..design.edited import edited
from ..design.toml_text import text_of
from ..faults import Fault, Faults
from ..settings import Settings
from ..sizing.free import one_size, whole_form
from ..sizing.said import changed, given
from ..sizing.sized import sized
from ..sizing.sizes import size_named, sizes_of
from ..sizing.target import Target, of_ball, of_capacity, of_fill, of_fired_mass
from .address import shown_in, typed
from .answer import Answer
from .fields import Field, groups_of

WISHES: Mapping[str, tuple[str, Callable[[float, Settings], Target]]] = {
    "capacity": ("takes so many ml brimful, fired", of_capacity),
    "fill": ("takes so many ml to its fill line, fired", of_fill),
    "ball": ("is thrown from so many g of clay", of_ball),
    "fired_mass": ("weighs so many g, fired", of_fired_mass),
}
"""What may be wished, by its name in an address: in words, and as a target."""

_AMOUNT = Field("amount", "amount", "", "number")


@dataclass(frozen=True)
class Granted:
    """What a wish came to.

    Attributes:
        said: in words; why not, where it cannot be had.
        checks: remarks on the sized pot.
        changes: of the address that opens it; empty where it cannot be had.
    """

    said: tuple[str, ...]
    checks: tuple[Check, ...] = ()
    changes: tuple[tuple[str, str], ...] = ()


def may_be_free(answer: Answer) -> list[str]:
    """Sizes of which one may be left free."""
    return [] if answer.job is None else list(sizes_of(answer.job.piece.design))


def granted(answer: Answer, wish: str, amount: str, free: str, settings: Settings) -> Granted:
    """The pot as shown, sized to a wish.

    Args:
        answer: a pot.
        wish: a key of `WISHES`.
        amount: as typed.
        free: the size that may change; the whole form if empty.
        settings: of her workshop.
    """
    if answer.job is None:
        return Granted(("This is no pot yet: its shape's page says why.",))
    number = typed(_AMOUNT, amount)
    if wish not in WISHES or not isinstance(number, int | float):
        return Granted(("An amount is wanted: a number such as 350.",))
    design, path = answer.job.piece.design, answer.opened.text.path
    try:
        text = edited(text_of(path), answer.changes, path)
        # the design's own lines are those of the file; what was typed has none
        design = replace(design, text=replace(design.text, data=tomllib.loads(text)))
        target = WISHES[wish][1](float(number), settings)
        may_change = one_size(design, size_named(design, free)) if free else whole_form(design)
        done = sized(design, text, target, may_change, settings)
    except Faults as several:
        return Granted(tuple(_words(fault) for fault in several.faults))
    except Fault as fault:
        return Granted((_words(fault),))
    said = (changed(may_change, done.value, design), given(target, done.amount, done.job.measures))
    data = tomllib.loads(done.text)
    keys = [field.key for group in groups_of(data) for field in group.fields]
    changes = [(key, shown_in(data, key)) for key in keys]
    return Granted(
        said,
        done.job.checks,
        tuple((key, text) for key, text in changes if text != shown_in(answer.opened.text.data, key)),
    )


def _words(fault: Fault) -> str:
    return str(replace(fault, file=None, line=None, field=""))
