"""Lengths as a potter writes them, in millimetres inside, and as she reads them back."""

from __future__ import annotations

import math
import re
from reprlib import Repr
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BeforeValidator, ValidationInfo, WithJsonSchema

from .faults import Fault

MM_PER_INCH = 25.4
"""Exact by definition since 1959; written here and nowhere else."""

MAX_MM = 2000.0
"""Longest length taken, mm: no pot, shelf or bat of a studio is longer."""

MAX_SHOWN = 60
"""Most characters of a potter's input that a message repeats."""

Units = Literal["mm", "in"]

_FACTOR = {
    "mm": 1.0,
    "cm": 10.0,
    "in": MM_PER_INCH,
    "inch": MM_PER_INCH,
    "inches": MM_PER_INCH,
    '"': MM_PER_INCH,
}
_EXAMPLES = 'a length such as 155, "155 mm", "15.5 cm" or "6 1/4 in"'
# Also the pattern of the JSON schema, so only what both dialects of regular expression share.
# Groups: whole, top and bottom of a fraction; or a decimal; then the unit.
_SIZE = (
    r"(?:(?:([0-9]{1,4})(?: +| *- *))?([0-9]{1,4}) */ *([0-9]{1,4})"
    r"|([0-9]{1,6}(?:\.[0-9]{0,20})?|\.[0-9]{1,20}))"
    r' *(mm|cm|inches|inch|in|")?'
)
_LENGTH = re.compile(rf"(-?) *{_SIZE}")


def shown(value: object) -> str:
    r"""A value as a message may repeat it: control characters escaped, at most 60 characters.

    >>> shown("a\x1b[31m")
    "'a\\x1b[31m'"
    """
    if isinstance(value, int) and value.bit_length() > 1000:  # str() refuses ints of over 4,300 digits
        return "a number of over 300 digits"
    short = Repr()
    short.maxstring = short.maxother = short.maxlong = MAX_SHOWN
    text = short.repr(value)
    return text if len(text) <= MAX_SHOWN else text[: MAX_SHOWN - 1] + "…"


def parse_length(value: object, units: str) -> float:
    """A length in mm from a number in `units` ("mm" or "in"), or from text with a unit of its own or none.

    >>> parse_length("6 1/4 in", "mm")
    158.75
    >>> parse_length(2, "in")
    50.8

    Raises:
        Fault: not a length, not finite, or longer than 2000 mm either way.
    """
    if isinstance(value, str):
        length_mm = _from_text(value, units)
    elif isinstance(value, bool) or not isinstance(value, int | float):
        raise Fault("not a length", shown(value), _EXAMPLES)
    elif not abs(value) <= MAX_MM:  # also catches NaN, and whole numbers too large for a float
        length_mm = math.inf
    else:
        length_mm = value * _FACTOR[units]
    if abs(length_mm) > MAX_MM:
        raise Fault("a length out of reach", shown(value), f"at most {MAX_MM:g} mm")
    return length_mm


def _from_text(text: str, units: str) -> float:
    match = _LENGTH.fullmatch(text.strip(" "))
    if match is None:
        raise Fault("not a length", shown(text), _EXAMPLES)
    sign, whole, top, bottom, decimal, unit = match.groups()
    if decimal is not None:
        number = float(decimal)
    elif int(bottom) == 0:
        raise Fault("a fraction over nothing", shown(text), _EXAMPLES)
    elif whole is not None and int(top) >= int(bottom):
        raise Fault("a fraction of one or more after a whole number", shown(text), 'such as "6 1/4 in"')
    else:
        number = int(whole or 0) + int(top) / int(bottom)
    return (-number if sign else number) * _FACTOR[unit or units]


def _in_mm(value: object, info: ValidationInfo) -> float:
    return parse_length(value, (info.context or {}).get("units", "mm"))


def _over_zero(length_mm: float) -> float:
    if length_mm <= 0:
        raise Fault("a length must be more than nothing", f"{length_mm:g} mm", "more than 0")
    return length_mm


def _not_under_zero(length_mm: float) -> float:
    if length_mm < 0:
        raise Fault("a length must not be negative", f"{length_mm:g} mm", "0 or more")
    return length_mm


def _schema(number: dict[str, Any], sign: str, says: str) -> WithJsonSchema:
    text = {"type": "string", "pattern": f"^ *{sign}{_SIZE} *$"}
    return WithJsonSchema({"anyOf": [{"type": "number", **number}, text], "description": f"{says}: {_EXAMPLES}"})


# The unit of a bare number comes from the validation context's "units"; without one it is mm.
Length = Annotated[
    float,
    BeforeValidator(_in_mm),
    AfterValidator(_over_zero),
    _schema({"exclusiveMinimum": 0}, "", "Length over 0"),
]
LengthOrZero = Annotated[
    float,
    BeforeValidator(_in_mm),
    AfterValidator(_not_under_zero),
    _schema({"minimum": 0}, "", "Length, 0 or more"),
]
SignedLength = Annotated[
    float,
    BeforeValidator(_in_mm),
    _schema({}, "(-?) *", "Length, up positive"),
]
Point = tuple[LengthOrZero, SignedLength]
"""Radius from the axis and height, mm."""


_TIE = 1e-9
"""Of half a millimetre: what solving and rounding leave must not tip a tie."""


def mm(length_mm: float) -> str:
    """Millimetres for people, without the unit, to the nearest half, a tie upwards.

    >>> mm(155.26), mm(68.0), mm(-0.1), mm(71.25 - 1e-13)
    ('155.5', '68', '0', '71.5')
    """
    return f"{math.floor(length_mm * 2 + 0.5 + _TIE) / 2:g}"


def tenth_up(length_mm: float) -> float:
    """Rounded up to a tenth of a millimetre, so that a length said to be needed is long enough.

    >>> tenth_up(9.71), tenth_up(9.7 + 1e-9)
    (9.8, 9.7)
    """
    return math.ceil(10 * length_mm - 1e-6) / 10


def inches_text(length_mm: float) -> str:
    """Inches for people, with the unit, to the nearest sixteenth.

    >>> inches_text(158.75), inches_text(50.8), inches_text(-6.35)
    ('6 1/4 in', '2 in', '-1/4 in')
    """
    sixteenths = math.floor(abs(length_mm) / MM_PER_INCH * 16 + 0.5)
    whole, rest = divmod(sixteenths, 16)
    common = math.gcd(rest, 16)
    fraction = f"{rest // common}/{16 // common}" if rest else ""
    size = " ".join(p for p in (str(whole) if whole or not rest else "", fraction) if p)
    return f"{'-' if length_mm < 0 and sixteenths else ''}{size} in"
