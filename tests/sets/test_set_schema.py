"""The JSON Schema of a set file, judged by another library: it takes what the program takes."""

from __future__ import annotations

import copy
import json
import tomllib
from collections.abc import Callable
from typing import Any

import pytest
from jsonschema import Draft202012Validator  # type: ignore[import-untyped]  # its stubs are another package

from tests.pieces import DEMO_SETS

Command = Callable[..., tuple[int, str, str]]

GOOD: dict[str, Any] = {
    "title": "Two",
    "spares": 12.5,
    "piece": [{"design": "cup.toml", "count": 12, "spares": 0, "glaze_firing": "first"}],
    "kiln": {"shelf": "round", "diameter": 400, "clear_height": "20 in", "space": 6.4, "posts": 3},
}


@pytest.fixture
def judge(command: Command) -> Draft202012Validator:
    code, out, err = command("schema", "set")
    assert (code, err) == (0, "")
    schema = json.loads(out)
    Draft202012Validator.check_schema(schema)
    return Draft202012Validator(schema)


@pytest.mark.parametrize("path", DEMO_SETS, ids=lambda path: path.stem)
def test_it_takes_the_demo(path: Any, judge: Draft202012Validator) -> None:
    assert list(judge.iter_errors(tomllib.loads(path.read_text(encoding="utf-8")))) == []


@pytest.mark.parametrize("place", [(), ("piece", 0), ("kiln",)])
def test_it_refuses_an_unknown_key_in_every_table(place: tuple[str | int, ...], judge: Draft202012Validator) -> None:
    spoilt = copy.deepcopy(GOOD)
    assert judge.is_valid(spoilt)
    table: Any = spoilt
    for key in place:
        table = table[key]
    table["colour"] = 3
    assert not judge.is_valid(spoilt)


@pytest.mark.parametrize(
    ("place", "value"),
    [
        (("piece",), []),
        (("piece", 0, "count"), 0),
        (("piece", 0, "count"), 1.5),
        (("piece", 0, "count"), "twelve"),
        (("piece", 0, "design"), ""),
        (("piece", 0, "spares"), -1),
        (("spares",), 301),
        (("title",), ""),
        (("kiln", "shelf"), "oval"),
        (("kiln", "diameter"), 0),
        (("kiln", "posts"), -1),
        (("kiln", "clear_height"), "high"),
    ],
)
def test_it_refuses_what_the_program_refuses(
    place: tuple[str | int, ...], value: object, judge: Draft202012Validator
) -> None:
    spoilt = copy.deepcopy(GOOD)
    table: Any = spoilt
    for key in place[:-1]:
        table = table[key]
    table[place[-1]] = value
    assert not judge.is_valid(spoilt)


def test_every_key_says_what_it_means(judge: Draft202012Validator) -> None:
    for definition in (judge.schema, *judge.schema["$defs"].values()):
        assert all("description" in held for held in definition["properties"].values())
