"""The address is the design: what in a query changes a design's data, and how a value is written there."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Any

from ..design.edited import Place
from .fields import Field, field_of

SHOW = "show."
"""Keys of a query that say how the page shows a design and change nothing of it."""

MOST_CHANGES, MOST_CHARACTERS = 400, 20_000

_NUMBER = re.compile(r"[+-]?\d{1,12}(?:[.,]\d{0,12})?|[+-]?[.,]\d{1,12}")
_TAKEN_OUT = ("", "none")


def changes_in(query: Sequence[tuple[str, str]], data: Mapping[str, Any]) -> dict[Place, Any]:
    """What a query changes of a design, by place; None takes a key or table out.

    A key that no design has is kept as it is: validation says so. Where the kind of a form or lid changes, keys that
    the new kind does not have go.
    """
    values: dict[Place, Any] = {}
    for key, text in query[:MOST_CHANGES]:
        if key.startswith(SHOW) or not key:
            continue
        place: Place = tuple(int(part) if part.isdigit() else part for part in key.split("."))
        field = field_of(key)
        if field is None:
            values[place] = text[:60]
        elif key.endswith(".kind") and len(place) == 2:
            values |= _another_kind(str(place[0]), text, data)
        elif shown_in(data, key) != text.strip():
            values[place] = typed(field, text)
    return values


def typed(field: Field, text: str) -> Any:
    """A value as the file would have it; text that is no number stays text, and validation tells of it.

    >>> size = Field("form.height", "height", "", "length")
    >>> [typed(size, said) for said in ("72", "68,5", "6 1/4 in", "")]
    [72, 68.5, '6 1/4 in', None]
    """
    text = text.strip()[:MOST_CHARACTERS]
    if field.kind in ("words", "choice"):
        return text or None
    if text in _TAKEN_OUT:
        return None
    if field.kind == "points":
        rows = [row for row in re.split(r"[\n;]", text) if row.strip()]
        return [[_number(part) for part in re.split(r"\s*:\s*|\s+(?=[-\d.]+$)", row.strip())] for row in rows]
    if field.kind == "lengths":
        return [_number(part) for part in re.split(r"[;\n]|,\s", text) if part.strip()]
    return _number(text)


def shown_in(data: Mapping[str, Any], key: str) -> str:
    """A value of a design's data as it stands in its field; empty where it is not said."""
    holder: Any = data
    for part in key.split("."):
        if isinstance(holder, list) and part.isdigit() and int(part) < len(holder):
            holder = holder[int(part)]
        elif isinstance(holder, dict) and part in holder:
            holder = holder[part]
        else:
            return ""
    if isinstance(holder, list):
        rows = [" : ".join(map(_text, row)) if isinstance(row, list) else _text(row) for row in holder]
        return ("\n" if any(isinstance(row, list) for row in holder) else ", ").join(rows)
    return "" if isinstance(holder, dict) else _text(holder)


def _text(value: Any) -> str:
    return f"{value:.12g}" if isinstance(value, float) else str(value)


def _number(text: str) -> Any:
    """A plain number, a decimal comma taken for a point; other text as it is."""
    text = text.strip()
    if not _NUMBER.fullmatch(text):
        return text
    number = float(text.replace(",", "."))
    return int(number) if number == int(number) else number


def _another_kind(table: str, kind: str, data: Mapping[str, Any]) -> dict[Place, Any]:
    """A table made another kind: keys that only the old one has go; a lid of kind `none` goes whole."""
    own = data.get(table)
    own = own if isinstance(own, dict) else {}
    if kind in _TAKEN_OUT and table != "form":
        return {(table,): None}
    if own.get("kind") == kind:
        return {}
    from .fields import groups_of

    group = next((group for group in groups_of({table: {"kind": kind}}) if group.key == table), None)
    known = {field.key.rpartition(".")[2] for field in group.fields} if group is not None else set()
    gone: dict[Place, Any] = {(table, key): None for key in own if key not in known and key != "knob"}
    return {(table, "kind"): kind} | gone
