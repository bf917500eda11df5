"""What validation found wrong with a file, as faults in words, each with its line."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from difflib import get_close_matches
from types import NoneType, UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic import BaseModel, Tag, ValidationError

from ..faults import Fault, Faults
from ..lengths import shown
from .toml_text import MAX_DIGITS, TomlText, dotted_key, quoted_part

MAX_FAULTS = 20

_WANTED = {
    "string": "text in quotes",
    "float": "a number",
    "finite": "a number",
    "int": "a whole number",
    "bool": "true or false",
    "list": "a list [ ]",
    "tuple": "a list [ ]",
    "dict": "a table",
    "model": "a table",
}
_BOUNDS = {
    "greater_than": ("gt", "more than"),
    "greater_than_equal": ("ge", "at least"),
    "less_than": ("lt", "less than"),
    "less_than_equal": ("le", "at most"),
}


def faults_of(error: ValidationError, text: TomlText, model: type[BaseModel]) -> Faults:
    """Each validation error as a fault with its line, in the order of the file; 20 at most.

    Args:
        error: what pydantic raised.
        text: the file that `error` is about.
        model: the model the whole file was checked against; it supplies the known keys.
    """
    details = _without_echoes(error.errors(include_url=False))
    faults: dict[tuple[str, str], Fault] = {}
    for detail in details[:MAX_FAULTS]:
        for fault in _explained(dict(detail), model):
            faults.setdefault((fault.field, fault.what), text.fault(fault))
    ordered = sorted(faults.values(), key=lambda fault: fault.line or 0)
    if len(details) > MAX_FAULTS:
        ordered.append(Fault(f"{len(details) - MAX_FAULTS} more faults, not listed", file=text.path))
    return Faults(ordered)


def _without_echoes(details: Sequence[Any]) -> list[Any]:
    """Without lists that are only too short because what stands in them is wrong, which is told for itself."""
    within = {detail["loc"][:end] for detail in details for end in range(len(detail["loc"]))}
    return [detail for detail in details if detail["type"] != "too_short" or detail["loc"] not in within]


_LENGTHS = {
    "string_too_short": ("min_length", "too short a text", "character", "characters"),
    "string_too_long": ("max_length", "too long a text", "character", "characters"),
    "too_short": ("min_length", "too short a list", "entry", "entries"),
    "too_long": ("max_length", "too long a list", "entry", "entries"),
}
"""Of pydantic's errors: the bound in their context, what to say, what is counted, one and several."""


def _explained(detail: dict[str, Any], model: type[BaseModel]) -> list[Fault]:
    place, holder, kinds = _place(detail["loc"], model)
    kind, context, found = detail["type"], detail.get("ctx", {}), shown(detail["input"])
    field = dotted_key(place)
    cause = context.get("error")
    if kind == "value_error" and isinstance(cause, Fault | Faults):
        inner = cause.faults if isinstance(cause, Faults) else [cause]
        return [replace(f, field=".".join(p for p in (field, f.field) if p)) for f in inner]
    if kind == "extra_forbidden":
        return [Fault("unknown key", shown(place[-1]), _nearest(str(place[-1]), holder), field)]
    if kind == "missing" and isinstance(place[-1], int):
        holding = dotted_key(place[:-1])
        return [Fault("a list is too short", found, f"{place[-1] + 1} values or more, such as [40, 12.5]", holding)]
    if kind in _LENGTHS:
        bound, words, one, several = _LENGTHS[kind]
        wanted = f"{context[bound]} {one if context[bound] == 1 else several}"
        return [Fault(words, found, f"{wanted} {'or more' if bound.startswith('min') else 'at most'}", field)]
    if kind == "missing":
        return [Fault("a key is missing", wanted=f"`{quoted_part(place[-1])}`", field=field)]
    if kind in ("union_tag_not_found", "union_tag_invalid"):
        field = dotted_key((*place, context["discriminator"].strip("'")))
        tags = [tag for member in kinds for tag in _tags(member)]
        if kind == "union_tag_not_found":
            return [Fault("a key is missing", wanted=_one_of(tags), field=field)]
        return [Fault("not a known word", shown(context["tag"]), _nearest(context["tag"], tags), field)]
    if kind in ("literal_error", "enum"):
        return [Fault("not a known word", found, context["expected"], field)]
    if kind in _BOUNDS:
        bound, words = _BOUNDS[kind]
        return [Fault("out of range", found, f"{words} {context[bound]:g}", field)]
    wanted = _WANTED.get(kind.split("_")[0], "")
    if wanted and kind.endswith(("_type", "_parsing", "_from_float", "_number")):
        return [Fault("the wrong kind of value", found, wanted, field)]
    return [Fault(str(cause or detail["msg"]), found, field=field)]


def _one_of(words: Sequence[str]) -> str:
    return "one of " + ", ".join(words)


def _nearest(word: str, known: Sequence[str]) -> str:
    close = get_close_matches(word[:MAX_DIGITS], known, n=1)
    return f"perhaps `{close[0]}`" if close else _one_of(known) if known else ""


def _place(loc: tuple[str | int, ...], model: type[BaseModel]) -> tuple[list[str | int], list[str], list[Any]]:
    """Where an error stands in the file: the path, the keys known beside it, and the kinds allowed there.

    Pydantic puts the chosen member of a union into the path; the file has no such level, so it is dropped.
    """
    place: list[str | int] = []
    holder: list[str] = []
    kinds: list[Any] = [model]
    for part in loc:
        if len(kinds) > 1:
            kinds = [_bare(k) for k in kinds if part in _tags(k)]
            continue
        only = _bare(kinds[0]) if kinds else None
        args = [a for a in get_args(only) if a is not ...]
        place.append(part)
        kinds = []
        if isinstance(only, type) and issubclass(only, BaseModel):
            holder = [field.alias or name for name, field in only.model_fields.items()]
            for name, field in only.model_fields.items():
                if part in (name, field.alias):
                    kinds = _members(field.annotation)
        elif isinstance(part, int) and args:
            kinds = _members(args[min(part, len(args) - 1)])
        elif get_origin(only) is dict:
            if part == "[key]":
                place.pop()
            else:
                kinds = _members(args[1])
    return place, holder, kinds


def _bare(kind: Any) -> Any:
    return get_args(kind)[0] if get_origin(kind) is Annotated else kind


def _members(kind: Any) -> list[Any]:
    """The kinds a union allows, None left out; a kind that is no union stands alone."""
    if get_origin(_bare(kind)) in (Union, UnionType):
        return [m for k in get_args(_bare(kind)) for m in _members(k) if m is not NoneType]
    return [kind]


def _tags(member: Any) -> list[str]:
    """What pydantic may call a member of a union: its tag, its literals, or its own name."""
    given = [m.tag for m in get_args(member)[1:] if isinstance(m, Tag)] if member is not _bare(member) else []
    kind = _bare(member)
    if given or not (isinstance(kind, type) and issubclass(kind, BaseModel)):
        return given or [getattr(kind, "__name__", "")]
    words = [get_args(f.annotation) for f in kind.model_fields.values() if get_origin(f.annotation) is Literal]
    # its tag is the field that can be one word only; the others are choices
    return [str(only[0]) for only in words if len(only) == 1] or [kind.__name__]
