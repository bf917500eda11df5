"""What may be typed on the page, from the design's own model: a new form or table is there by existing."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from ..clay.body import shipped_bodies
from ..design.model import DesignModel

_HEAD = ("title", "clay", "sized", "units")


@dataclass(frozen=True)
class Field:
    """One thing that can be typed or chosen.

    Attributes:
        key: dotted, as in the file.
        label: its name in words.
        says: what it is.
        kind: "length", "number", "whole", "words", "choice", "lengths" or "points".
        choices: of a choice.
        unless: what holds where nothing is said, as text; empty where the form finds it.
        required: whether it must be said.
    """

    key: str
    label: str
    says: str
    kind: str
    choices: tuple[str, ...] = ()
    unless: str = ""
    required: bool = False


@dataclass(frozen=True)
class Group:
    """One table of the file.

    Attributes:
        key: dotted; empty for what stands above the tables.
        label: its name in words.
        says: what it is.
        fields: in their order.
        there: whether the design has it.
    """

    key: str
    label: str
    says: str
    fields: tuple[Field, ...]
    there: bool


@cache
def _schema() -> dict[str, Any]:
    return DesignModel.model_json_schema()


def groups_of(data: Mapping[str, Any]) -> tuple[Group, ...]:
    """The tables of a design with what may stand in each, for the kinds of form and lid it has."""
    found = [_group("", "The piece", {"properties": {k: _schema()["properties"][k] for k in _HEAD}}, data)]
    for key, schema in _schema()["properties"].items():
        if key in _HEAD:
            continue
        if schema.get("type") == "array":
            entries = data.get(key) or []
            for number, entry in enumerate(entries if isinstance(entries, list) else []):
                name = f"{_words(key)} {number + 1}"
                found.append(_group(f"{key}.{number}", name, _plain(schema["items"]), entry, schema))
            continue
        found += _tables(key, schema, data.get(key))
    return tuple(sorted(found, key=lambda group: group.key != "form"))


def field_of(key: str) -> Field | None:
    """The field of a dotted key, whatever the kinds of form and lid; None where no design has it."""
    return _every().get(".".join("0" if part.isdigit() else part for part in key.split(".")))


@cache
def _every() -> dict[str, Field]:
    found: dict[str, Field] = {}
    properties = _schema()["properties"]
    forms, lids = (list(_kinds(properties[key])) for key in ("form", "lid"))
    for form in forms:
        for lid in lids:
            data = {"form": {"kind": form}, "lid": {"kind": lid, "knob": {}}, "extras": [{}]}
            for group in groups_of(data):
                found |= {field.key: field for field in group.fields}
    return found


def _tables(key: str, schema: Mapping[str, Any], data: Any) -> Iterator[Group]:
    """A table, and the tables within it."""
    kinds = _kinds(schema)
    there = isinstance(data, dict)
    own = data if isinstance(data, dict) else {}
    one = _plain(schema)
    if kinds:
        one = kinds.get(str(own.get("kind", "")), {"properties": {}})
        needed, says = key == "form", str(schema.get("description", ""))
        kind = Field(f"{key}.kind", "kind", says, "choice", tuple(kinds), "" if needed else "none", needed)
        group = _group(key, _words(key), one, own, schema)
        yield Group(key, group.label, group.says, (kind, *group.fields), there)
    else:
        group = _group(key, _words(key), one, own, schema)
        yield Group(key, group.label, group.says, group.fields, there)
    for name, sub in one.get("properties", {}).items():
        if _plain(sub).get("type") == "object":
            yield from _tables(f"{key}.{name}", sub, own.get(name))


def _group(
    key: str, label: str, schema: Mapping[str, Any], data: Any, outer: Mapping[str, Any] | None = None
) -> Group:
    required = schema.get("required", ())
    fields = []
    for name, sub in schema.get("properties", {}).items():
        field = _field(f"{key}.{name}" if key else name, name, sub, required=name in required)
        if field is not None:
            fields.append(field)
    says = (outer or {}).get("description") or schema.get("description", "")
    return Group(key, label, str(says), tuple(fields), bool(data) or not key)


def _field(key: str, name: str, schema: Mapping[str, Any], *, required: bool) -> Field | None:
    plain = _plain(schema)
    says, default = str(schema.get("description", "")), schema.get("default")
    unless = "" if default in (None, [], ()) or isinstance(default, dict) else str(default)
    choices: tuple[str, ...] = ()
    if key == "clay":
        kind = "words"
        choices = tuple(shipped_bodies())
    elif "const" in plain or plain.get("type") == "object":
        return None
    elif "enum" in plain:
        kind, choices = "choice", tuple(plain["enum"])
    elif plain.get("type") == "array":
        kind = "points" if "prefixItems" in plain["items"] else "lengths"
    elif "anyOf" in plain:
        kind = "length"
    else:
        kind = {"number": "number", "integer": "whole"}.get(plain.get("type", ""), "words")
    return Field(key, _words(name), says, kind, choices, unless, required)


def _plain(schema: Mapping[str, Any]) -> dict[str, Any]:
    """A schema without its reference, and without the null of what may be left out."""
    if "$ref" in schema:
        return dict(_schema()["$defs"][schema["$ref"].rpartition("/")[2]])
    options = [option for option in schema.get("anyOf", ()) if option.get("type") != "null"]
    return _plain(options[0]) if len(options) == 1 else dict(schema)


def _kinds(schema: Mapping[str, Any]) -> dict[str, dict[str, Any]]:
    """The tables a discriminated one may be, by their kind; none for a plain one."""
    mapping = _plain(schema).get("discriminator", {}).get("mapping", {})
    return {kind: _plain({"$ref": ref}) for kind, ref in mapping.items()}


def _words(key: str) -> str:
    return key.rpartition(".")[2].replace("_", " ")
