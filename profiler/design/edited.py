"""A design file's text with some of its values replaced or taken out: comments, order and spacing stay."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from copy import deepcopy
from pathlib import Path
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import InlineTable, Table

from ..faults import Fault

Place = tuple[str | int, ...]
"""Keys, and positions in lists, from the top of the file down to a value."""


def edited(text: str, values: Mapping[Place, Any], path: Path) -> str:
    """The text with values put in; a key or table that is not there is added, one whose value is None goes.

    Raises:
        Fault: the file is written in a way that cannot be changed without changing something else.
    """
    wanted = filled(tomllib.loads(text), values)
    lines_end = "\r\n" if "\r\n" in text else "\n"
    made = text.replace("\r\n", "\n")
    try:
        for place, value in values.items():
            made = _with_value(made, place, value)
        done = tomllib.loads(made) == wanted
    except (TOMLKitError, tomllib.TOMLDecodeError, LookupError) as error:
        raise _unchangeable(path, str(error)) from error
    if not done:
        raise _unchangeable(path, "it would say something else too")
    return made.replace("\n", lines_end)


def filled(data: Mapping[str, Any], values: Mapping[Place, Any]) -> dict[str, Any]:
    """A file's data with values put in, as `edited` does it to the text."""
    made: Any = deepcopy(dict(data))
    for place, value in values.items():
        holder = made
        for part in place[:-1]:
            if value is None and isinstance(holder, dict) and part not in holder:
                holder = {}
            else:
                holder = holder.setdefault(part, {}) if isinstance(holder, dict) else holder[part]
        if value is not None:
            holder[place[-1]] = value
        elif isinstance(holder, dict):
            holder.pop(place[-1], None)
        else:
            del holder[place[-1]]
    return dict(made)


def _unchangeable(path: Path, why: str) -> Fault:
    wanted = "each table under a header of its own, each key on a line of its own"
    return Fault("the file is written in a way that cannot be changed here", why, wanted, file=path)


def _with_value(text: str, place: Place, value: Any) -> str:
    document = tomlkit.parse(text)
    holder: Any = document
    for depth, part in enumerate(place[:-1]):
        if isinstance(holder, dict) and part not in holder:
            if value is None:
                return text
            header = ".".join(str(p) for p in place[: depth + 1])
            return f"{text.rstrip()}\n\n[{header}]\n{place[-1]} = {tomlkit.item(value).as_string()}\n"
        holder = holder[part]
    key = place[-1]
    if value is None:
        if not isinstance(holder, dict) or key in holder:
            del holder[key]
    elif isinstance(holder, Table) and key not in holder:
        _added(holder, str(key), value)
    else:
        holder[key] = value
    return document.as_string()


def _added(table: Table, key: str, value: Any) -> None:
    """Add a key after the last plain one: what follows that is about the next table."""
    body = table.value.body
    last = max((at for at, (k, item) in enumerate(body) if k is not None and not _holds_keys(item)), default=-1)
    after = body[last + 1 :]
    del body[last + 1 :]
    table.append(key, value)
    body.extend(after)


def _holds_keys(item: Any) -> bool:
    return isinstance(item, Table) and not isinstance(item, InlineTable)
