"""The lines of a record: what was noted of a pot, and what was taken back."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from datetime import date
from typing import Annotated, Any

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, ValidationError

from ..faults import Fault
from ..lengths import MAX_MM, shown
from .quantity import MOST_G, MOST_ML, quantity_of

LONGEST_NAME = 60
MOST_VALUES = 200
_ID = re.compile(r"[A-Za-z0-9._-]{1,64}")
_DIGEST = re.compile(r"[0-9a-f]{8}")
_MOST = {"g": MOST_G, "mm": MAX_MM, "ml": MOST_ML}


def id_of(text: str) -> str:
    """An id as it may be given.

    Raises:
        Fault: it cannot be one.
    """
    if not _ID.fullmatch(text):
        raise Fault("not an id", shown(text), "1 to 64 letters, digits, dots, dashes or underlines")
    return text


def pot_of(text: str) -> str:
    """The name of a pot, outer blanks off.

    Raises:
        Fault: it cannot be one.
    """
    name = text.strip()
    if not name or len(name) > LONGEST_NAME or not name.isprintable():
        raise Fault("not a name for a pot", shown(text), f"1 to {LONGEST_NAME} letters")
    return name


def date_of(text: str) -> str:
    """A day as it is stored.

    Raises:
        Fault: there is no such day.
    """
    try:
        return date.fromisoformat(text.strip()).isoformat()
    except ValueError:
        raise Fault("not a date", shown(text), "year-month-day, such as 2031-04-09") from None


def _digest_of(text: str) -> str:
    if not _DIGEST.fullmatch(text):
        raise Fault("not a digest", shown(text), "eight hex digits")
    return text


def _figures_of(values: Mapping[str, float]) -> dict[str, float]:
    """Figures with their keys spelled as we spell them."""
    found = {}
    for key, value in values.items():
        quantity = quantity_of(key)
        most = _MOST[quantity.unit]
        if not 0 <= value <= most:
            raise Fault("no such measure", f"{key} = {value:g}", f"0 to {most:g} {quantity.unit}")
        found[quantity.key] = value
    return found


_Number = Annotated[float, Field(strict=True, allow_inf_nan=False)]
_Figures = Annotated[dict[str, _Number], Field(max_length=MOST_VALUES), AfterValidator(_figures_of)]
_Id = Annotated[str, Field(strict=True), AfterValidator(id_of)]
_Day = Annotated[str, Field(strict=True, max_length=20), AfterValidator(date_of)]


class _Line(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)

    id: _Id
    date: _Day


class Entry(_Line):
    """What was noted of one pot in one go.

    Attributes:
        id: hers or made by us; the same id is never counted twice.
        date: year-month-day.
        pot: its name; entries of one name are of one pot.
        digest: of the design it was noted under.
        values: what was weighed and measured, by the key of its quantity; g, mm, ml.
        planned: what the design said then of the same, and of the sizes to throw that go with it.
    """

    pot: Annotated[str, Field(strict=True), AfterValidator(pot_of)]
    digest: Annotated[str, Field(strict=True), AfterValidator(_digest_of)]
    values: _Figures
    planned: _Figures = {}

    def says_as(self, other: Entry) -> bool:
        """Whether two entries note the same."""
        return (self.pot, self.values) == (other.pot, other.values)


class Strike(_Line):
    """An entry taken back; nothing is erased.

    Attributes:
        strike: the entry's id.
    """

    strike: _Id


Line = Entry | Strike


def line_of(text: str) -> Line:
    """One line of a record.

    Raises:
        ValueError: it is not JSON.
        Fault: it is, but no line of a record.
    """
    try:
        data = json.loads(text, parse_constant=_no_constant)
    except RecursionError:
        raise Fault("brackets are nested too deep", wanted="a line as `profiler note` writes it") from None
    if not isinstance(data, dict):
        raise Fault("not a line of a record", shown(data), "a line as `profiler note` writes it")
    try:
        return Strike.model_validate(data) if "strike" in data else Entry.model_validate(data)
    except ValidationError as error:
        raise _fault_of(error) from None


def text_of(line: Line) -> str:
    """A line as it is stored, its end with it."""
    return line.model_dump_json() + "\n"


def _no_constant(word: str) -> float:
    raise Fault("not a figure", word, "a number")


def _fault_of(error: ValidationError) -> Fault:
    detail: Any = error.errors(include_url=False)[0]
    field = ".".join(str(part) for part in detail["loc"] if part != "[key]")[:80]
    cause = detail.get("ctx", {}).get("error")
    if isinstance(cause, Fault):
        return Fault(cause.what, cause.found, cause.wanted, field)
    if detail["type"] == "extra_forbidden":
        return Fault("unknown key", wanted="a line as `profiler note` writes it", field=field)
    return Fault(str(detail["msg"]), shown(detail["input"]), field=field)
