"""What may be weighed or measured of a pot, and how a potter writes it: `ball`, `rim@wet`, `lid.height@fired`."""

from __future__ import annotations

import re
from dataclasses import dataclass
from difflib import get_close_matches
from functools import lru_cache

from ..clay.states import State
from ..faults import Fault
from ..lengths import parse_length, shown

UNITS = {
    "ball": "g",
    "thrown": "g",
    "trimmed": "g",
    "weight": "g",
    "height": "mm",
    "rim": "mm",
    "widest": "mm",
    "foot": "mm",
    "depth": "mm",
    "floor": "mm",
    "brimful": "ml",
}
"""Everything that can be noted, with its unit."""

AT_THE_WHEEL = ("ball", "thrown", "trimmed")
"""Weights that need no state: each is weighed at one moment only."""

UPRIGHT = ("height", "depth", "floor")
"""Lengths along the axis; the others lie across it."""

_ALSO = {"width": "widest", "trimmings": "trimmed", "trim": "trimmed", "weigh_out": "ball"}
_STATES = {re.sub("[^a-z]", "", word): state for state in State for word in (state.value, state.words)} | {
    "dry": State.BONE_DRY
}

MOST_G, MOST_ML = 100_000.0, 100_000.0
"""No pot of a studio weighs more or takes more."""

_G = {"": 1.0, "g": 1.0, "kg": 1000.0, "lb": 453.59237, "oz": 453.59237 / 16}
"""The avoirdupois pound is exact by definition (TRADE facts; 16 ounces to it)."""
_ML = {"": 1.0, "ml": 1.0, "cl": 10.0, "l": 1000.0}
_AMOUNT = re.compile(r"([0-9]{1,6}(?:\.[0-9]{0,20})?|\.[0-9]{1,20}) *([a-z]{0,2})")
_THOUSANDS = re.compile(r"(?<![0-9])[1-9][0-9]{0,2}(?:,[0-9]{3})+(?![0-9])")


@dataclass(frozen=True)
class Quantity:
    """One thing that is weighed or measured.

    Attributes:
        what: a key of `UNITS`.
        state: of the clay; None for what is weighed at one moment only.
        part: of the piece; empty for the whole.
    """

    what: str
    state: State | None = None
    part: str = ""

    @property
    def key(self) -> str:
        """As it is written and stored.

        >>> Quantity("height", State.LEATHER_HARD, "lid").key
        'lid.height@leather_hard'
        """
        lead = f"{self.part}." if self.part else ""
        return f"{lead}{self.what}" + ("" if self.state is None else f"@{self.state}")

    @property
    def unit(self) -> str:
        """Of its figures: g, mm or ml."""
        return UNITS[self.what]

    @property
    def of_part(self) -> str:
        """What it is, without the state.

        >>> Quantity("rim", State.FIRED, "jar").of_part
        'rim of the jar'
        """
        return f"{self.what} of the {self.part}" if self.part else self.what

    @property
    def words(self) -> str:
        """As it is said.

        >>> Quantity("rim", State.FIRED).words, Quantity("ball", part="lid").words
        ('rim glaze-fired', 'ball of the lid')
        """
        return self.of_part + ("" if self.state is None else f" {self.state.words}")


@lru_cache(maxsize=1000)
def quantity_of(text: str) -> Quantity:
    """What a potter's word for it means; state and spelling are taken loosely.

    >>> quantity_of("Lid.Width @ leather-hard").key
    'lid.widest@leather_hard'

    Raises:
        Fault: it names nothing that can be noted.
    """
    head, at, tail = text.partition("@")
    part, dot, what = head.rpartition(".")
    what = re.sub("[ -]+", "_", what.strip().casefold())
    what = _ALSO.get(what, what)
    if what not in UNITS:
        close = get_close_matches(what[:60], [*UNITS, *_ALSO], n=1)
        raise Fault("not something to note", shown(text), f"perhaps `{close[0]}`" if close else ", ".join(UNITS))
    part = part.strip().casefold()
    if dot and not re.fullmatch("[a-z]{1,20}", part):
        raise Fault("not a part of a piece", shown(text), "such as lid.height@fired")
    if what in AT_THE_WHEEL:
        if at:
            raise Fault(f"`{what}` takes no state", shown(text), f"`{what}` alone")
        return Quantity(what, None, part)
    state = _STATES.get(re.sub("[^a-z]", "", tail.casefold()))
    if state is None:
        names = ", ".join(State)
        raise Fault(
            "not a state of the clay" if at else "in which state?", shown(text), f"`{what}@…` and one of {names}"
        )
    if (what, state) == ("weight", State.WET):
        return Quantity("thrown", None, part)
    return Quantity(what, state, part)


def amount_of(text: str, quantity: Quantity, units: str) -> float:
    """A figure as written, in the unit of its quantity: a point or a decimal comma, with a unit of its own or none.

    Args:
        text: such as "560", "66,5", "6 1/4 in" or "1.2 kg".
        quantity: it is of.
        units: of a bare length, "mm" or "in".

    Raises:
        Fault: not a figure, or one that cannot be.
    """
    plain = text.strip()
    if _THOUSANDS.search(plain):
        raise Fault("a comma that may part thousands or decimals", shown(plain), "1200 or 1.2", quantity.key)
    plain = plain.replace(",", ".")
    try:
        amount = parse_length(plain, units) if quantity.unit == "mm" else _weighed(plain, quantity)
    except Fault as fault:
        raise Fault(fault.what, shown(text.strip()), fault.wanted, quantity.key) from None
    if amount < 0 or (amount == 0 and quantity.what != "trimmed"):
        raise Fault("no such measure", shown(text.strip()), "more than 0", quantity.key)
    return amount


def _weighed(text: str, quantity: Quantity) -> float:
    factors, most = (_G, MOST_G) if quantity.unit == "g" else (_ML, MOST_ML)
    match = _AMOUNT.fullmatch(text.casefold())
    if match is None or match[2] not in factors:
        units = ", ".join(unit for unit in factors if unit)
        raise Fault("not an amount", wanted=f"a figure in {quantity.unit}, or with {units} after it")
    amount = float(match[1]) * factors[match[2]]
    if amount > most:
        raise Fault("more than any pot", wanted=f"at most {most:g} {quantity.unit}")
    return amount
