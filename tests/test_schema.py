"""The JSON Schema of a design file, judged by another library: it takes what the program takes."""

from __future__ import annotations

import copy
import json
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator  # type: ignore[import-untyped]  # its stubs are another package

from profiler.forms import FORMS
from tests.pieces import DEMO_DESIGNS

Command = Callable[..., tuple[int, str, str]]

BOWL: dict[str, Any] = {"form": {"kind": "bowl", "rim_diameter": 155, "height": 68}}
HELD: dict[str, Any] = {
    "lid": {"kind": "flange", "knob": {"diameter": 20, "height": 14}},
    "spoon": {"length": 140, "handle_width": 8},
    "notch": {"in": "both", "cutters": [8, "1/2 in"]},
    "extras": [{"name": "loop", "weight_g": 10}],
}


@pytest.fixture
def judge(command: Command) -> Draft202012Validator:
    code, out, err = command("schema")
    assert (code, err) == (0, "")
    schema = json.loads(out)
    Draft202012Validator.check_schema(schema)
    return Draft202012Validator(schema)


@pytest.mark.parametrize("path", DEMO_DESIGNS, ids=lambda path: path.stem)
def test_it_takes_the_demo(path: Path, judge: Draft202012Validator) -> None:
    assert list(judge.iter_errors(tomllib.loads(path.read_text(encoding="utf-8")))) == []


@pytest.mark.parametrize("path", DEMO_DESIGNS, ids=lambda path: path.stem)
def test_it_refuses_an_unknown_key_in_every_table(path: Path, judge: Draft202012Validator) -> None:
    design = tomllib.loads(path.read_text(encoding="utf-8"))
    tables: list[tuple[str | int, ...]] = [(), *((key,) for key, value in design.items() if isinstance(value, dict))]
    tables += [("extras", number) for number in range(len(design.get("extras", [])))]
    tables += [("lid", "knob")] if "knob" in design.get("lid", {}) else []
    for table in tables:
        spoilt = copy.deepcopy(design)
        place: Any = spoilt
        for key in table:
            place = place[key]
        place["colour"] = 3
        assert not judge.is_valid(spoilt), table


@pytest.mark.parametrize(
    ("table", "key", "value"),
    [
        ("form", "kind", "boul"),
        ("form", "rim_diameter", "wide"),
        ("form", "rim_diameter", "15 kg"),
        ("form", "rim_diameter", True),
        ("form", "rim_diameter", -155),
        ("form", "rim_diameter", 0),
        ("form", "rim_diameter", "-6 in"),
        ("form", "fullness", 1.5),
        ("thrown", "loss_percent", 100),
        ("thrown", "skim", -1),
        ("foot_ring", "recess", "round"),
        ("", "sized", "glazed"),
        ("", "units", "furlong"),
        ("", "title", ""),
        ("", "wall", 4),
        ("lid", "kind", "stopper"),
        ("lid", "clearance", -1),
        ("lid", "thrown", "sideways"),
        ("lid", "knob", 4),
        ("spoon", "length", 0),
        ("spoon", "steepest", 90),
        ("notch", "in", "rim"),
        ("notch", "cutters", 8),
        ("", "extras", {"name": "knob", "weight_g": 10}),
        ("", "extras", [{"name": "knob"}]),
        ("", "extras", [{"name": "knob", "weight_g": 10, "on": "rim"}]),
    ],
)
def test_it_refuses_what_the_program_refuses(
    table: str, key: str, value: object, judge: Draft202012Validator
) -> None:
    design = copy.deepcopy(BOWL | HELD)
    assert judge.is_valid(design)
    place = design.setdefault(table, {}) if table else design
    place[key] = value
    assert not judge.is_valid(design)


@pytest.mark.parametrize("size", [155, 155.5, "155", "155 mm", "15.5 cm", "6 1/4 in", "6-1/4 in", '6 1/4"', "1/2 in"])
def test_it_takes_sizes_as_they_are_written(size: object, judge: Draft202012Validator) -> None:
    assert judge.is_valid({"form": BOWL["form"] | {"rim_diameter": size}})


def test_a_missing_size_is_refused(judge: Draft202012Validator) -> None:
    assert not judge.is_valid({"form": {"kind": "bowl", "rim_diameter": 155}})
    assert not judge.is_valid({"title": "nothing else"})


def test_every_form_and_what_every_key_means(judge: Draft202012Validator) -> None:
    """An editor shows a key's description, or that of the table it takes: each key has one."""
    definitions = judge.schema["$defs"]
    assert _kinds(judge.schema["properties"]["form"]) == set(FORMS)
    assert set(FORMS) == {"bowl", "plate", "cylinder", "jar", "closed", "stand", "points"}
    assert _kinds(judge.schema["properties"]["lid"]["anyOf"][0]) == {"cut", "gallery", "flange", "cap"}
    for name, definition in [("", judge.schema), *definitions.items()]:
        for key, held in definition.get("properties", {}).items():
            tables = [one["$ref"] for one in [held, *held.get("anyOf", [])] if "$ref" in one]
            told = [
                held.get("description"),
                *(definitions[table.rpartition("/")[2]]["description"] for table in tables),
            ]
            assert key == "kind" or any(told), f"{name}.{key}"


def _kinds(choice: dict[str, Any]) -> set[str]:
    """The kinds of a table that is one of several."""
    assert set(choice["discriminator"]["mapping"].values()) == {one["$ref"] for one in choice["oneOf"]}
    return set(choice["discriminator"]["mapping"])


def test_it_is_written_to_a_file(command: Command, tmp_path: Path) -> None:
    shown = command("schema")[1]
    assert command("schema", "--out", tmp_path / "schema.json") == (0, "", "")
    assert (tmp_path / "schema.json").read_text(encoding="utf-8") == shown
