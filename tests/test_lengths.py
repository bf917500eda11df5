"""Lengths against the exact inch and hand arithmetic."""

from __future__ import annotations

import re

import pytest
from pydantic import BaseModel, TypeAdapter, ValidationError

from profiler.faults import Fault
from profiler.lengths import Length, LengthOrZero, Point, SignedLength, inches_text, mm, parse_length, shown


class _Pot(BaseModel):
    width: Length
    gap: LengthOrZero = 0.0
    outside: list[Point] = []


# 1 in = 25.4 mm exactly (international yard and pound agreement, 1959); the products are by hand.
@pytest.mark.parametrize(
    ("written", "units", "length_mm"),
    [
        ("6 1/4 in", "mm", 158.75),
        ("6-1/4in", "mm", 158.75),
        ("6 1/4", "in", 158.75),
        ('1/2"', "mm", 12.7),
        ("1/2 inch", "mm", 12.7),
        ("-1/8 in", "mm", -3.175),
        ("155 mm", "in", 155.0),
        ("15.5 cm", "in", 155.0),
        ("3.5", "in", 88.9),
        ("3.5", "mm", 3.5),
        (" .5 ", "mm", 0.5),
        (6.78, "in", 172.212),
        (155, "mm", 155.0),
        (2000, "mm", 2000.0),
    ],
)
def test_lengths_read(written: object, units: str, length_mm: float) -> None:
    assert parse_length(written, units) == pytest.approx(length_mm, rel=1e-15)  # one rounding of a product


@pytest.mark.parametrize(
    "written",
    [
        True,
        None,
        [155],
        "",
        "wide",
        "155 km",
        "15,5 cm",
        "6 5/4 in",
        "1/0 in",
        "1e3",
        "१५ mm",
        "155\n",
        float("nan"),
        float("inf"),
        -float("inf"),
        2000.1,
        "79 in",
        10**400,
        "9" * 5000,
    ],
)
def test_anything_else_is_refused(written: object) -> None:
    with pytest.raises(Fault) as caught:
        parse_length(written, "mm")
    assert caught.value.wanted
    assert len(caught.value.found) <= 60


def test_a_length_out_of_reach_in_inches() -> None:
    with pytest.raises(Fault, match="out of reach"):
        parse_length(79, "in")  # 2006.6 mm


def test_bare_numbers_take_the_unit_of_the_file() -> None:
    written = {"width": 6.25, "gap": "1 mm", "outside": [[1, -0.5]]}
    pot = _Pot.model_validate(written, context={"units": "in"})
    assert (pot.width, pot.gap, pot.outside) == (158.75, 1.0, [(25.4, -12.7)])
    assert _Pot.model_validate(written).width == 6.25


@pytest.mark.parametrize("bad", [{"width": 0}, {"width": 1, "gap": -1}, {"width": 1, "outside": [[-1, 0]]}])
def test_signs(bad: dict[str, object]) -> None:
    with pytest.raises(ValidationError, match="a length must"):
        _Pot.model_validate(bad)


def test_schema_takes_what_the_program_takes() -> None:
    number, text = TypeAdapter(Length).json_schema()["anyOf"]
    assert number == {"type": "number", "exclusiveMinimum": 0}
    for size in ("6 1/4 in", "6-1/4in", "155 mm", '1/2"', "3.5"):
        assert re.search(text["pattern"], size)
    for size in ("-1 mm", "155 km", "1e3", ""):
        assert not re.search(text["pattern"], size)
    assert re.search(TypeAdapter(SignedLength).json_schema()["anyOf"][1]["pattern"], "-1 mm")


@pytest.mark.parametrize(("length_mm", "text"), [(68.24, "68"), (68.25, "68.5"), (68.75, "69"), (1234.5, "1234.5")])
def test_millimetres_for_people(length_mm: float, text: str) -> None:
    assert mm(length_mm) == text


# The printed answers of Clayart subject 70279 and 98083, in sixteenths: 6.78 -> 6 12/16, 11.4286 -> 11 7/16.
@pytest.mark.parametrize(
    ("inches", "text"), [(6.78, "6 3/4 in"), (11.4286, "11 7/16 in"), (0.999, "1 in"), (0, "0 in")]
)
def test_inches_for_people(inches: float, text: str) -> None:
    assert inches_text(inches * 25.4) == text


def test_shown_is_short_and_harmless() -> None:
    assert shown("\x1b[2J\u202e") == r"'\x1b[2J\u202e'"
    values: list[object] = ["x" * 1000, ["y" * 50] * 50, 10**5000, {"k" * 500: [[[[[[[[[[]]]]]]]]]]}]
    for value in values:
        assert len(shown(value)) <= 60
