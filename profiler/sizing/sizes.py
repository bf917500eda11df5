"""Which sizes of a design can be left free: their keys, their bounds, and what they are now."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from difflib import get_close_matches
from functools import cached_property
from typing import Annotated, Any, get_args, get_origin, get_type_hints

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from ..design.model import Design, design_of
from ..faults import Fault, Faults
from ..forms.shape import Asked
from ..forms.sizes import FootRing, Thrown
from ..lengths import MAX_MM, Length, LengthOrZero, SignedLength, shown

_BOUNDS_MM = {"length": (0.0, MAX_MM), "or_zero": (0.0, MAX_MM), "signed": (-MAX_MM, MAX_MM)}
_KINDS = ((Length, "length"), (LengthOrZero, "or_zero"), (SignedLength, "signed"))


@dataclass(frozen=True)
class Size:
    """One size of a design.

    Attributes:
        path: its tables and its key.
        length: whether it is a length; else a plain number, such as a share or degrees.
        low: the least it may be, mm of the sized state for a length.
        high: the most.
        now: what it is; None where the form finds it from its other sizes.
    """

    path: tuple[str, ...]
    length: bool
    low: float
    high: float
    now: float | None

    @cached_property
    def key(self) -> str:
        """Its dotted key, such as `form.height`."""
        return ".".join(self.path)


def sizes_of(design: Design) -> dict[str, Size]:
    """Every size that can be left free, by its dotted key.

    A spoon is metal and what is stuck on has its own weight: they are not sized. A table that is not there offers
    its sizes only where it would change nothing by being there.
    """
    return {size.key: size for size in _walked(design)}


def size_named(design: Design, word: str) -> Size:
    """The size that a potter names, by its dotted key or the end of one, such as `height`.

    Raises:
        Fault: no such size, or several that end so.
    """
    known = sizes_of(design)
    wanted = word.strip()
    if wanted in known:
        return known[wanted]
    ends = [key for key in known if key.endswith(f".{wanted}")]
    if len(ends) == 1:
        return known[ends[0]]
    if ends:
        raise Fault("several sizes are called so", shown(wanted), "one of " + ", ".join(ends), "--free")
    if wanted.removeprefix("form.") in ("outside", "inside") and design.form.kind == "points":
        what = "a list of points cannot be left free"
        raise Fault(what, shown(wanted), "no --free: then the whole form is scaled", "--free")
    raise Fault("no size of this design", shown(wanted), _nearest(wanted, known), "--free")


def _nearest(word: str, known: dict[str, Size]) -> str:
    by_name = {key.rpartition(".")[2]: key for key in reversed(known)} | {key: key for key in known}
    close = get_close_matches(word[:100], by_name, n=1)
    return f"perhaps `{by_name[close[0]]}`" if close else "one of " + ", ".join(known)


def _walked(design: Design) -> Iterator[Size]:
    head = design.head
    tables: list[tuple[tuple[str, ...], type[BaseModel], BaseModel | None]] = [
        (("form",), type(design.sizes), design.sizes),
        (("wall",), type(head.wall), head.wall),
        (("floor",), type(head.floor), head.floor),
    ]
    if head.foot_ring is not None or _changes_nothing(design, "foot_ring"):
        tables.append((("foot_ring",), FootRing, head.foot_ring))
    if head.thrown is not None or _changes_nothing(design, "thrown"):
        tables.append((("thrown",), Thrown, head.thrown))
    if head.lid is not None:
        tables.append((("lid",), type(head.lid), head.lid))
        if head.lid.knob is not None:
            tables.append((("lid", "knob"), type(head.lid.knob), head.lid.knob))
    if head.notch is not None:
        tables.append((("notch",), type(head.notch), head.notch))
    for place, model, table in tables:
        for name, hint in get_type_hints(model, include_extras=True).items():
            bounds = _bounds(hint)
            if bounds is None:
                continue
            key = model.model_fields[name].alias or name
            now = None if table is None else getattr(table, name)
            size = Size((*place, key), *bounds, now)
            yield size if now is not None else replace(size, now=_filled_in(design.asked, size.key))


def _changes_nothing(design: Design, table: str) -> bool:
    """Whether the design stays what it is when an empty table is written into it."""
    text = replace(design.text, data=design.text.data | {table: {}})
    try:
        return design_of(text).asked == design.asked
    except (Fault, Faults):
        return False


def _bounds(hint: Any) -> tuple[bool, float, float] | None:
    """Whether a field is a length, and its least and most; None for what is no size."""
    members = [hint] if get_origin(hint) is Annotated else [m for m in get_args(hint) if m is not type(None)]
    if len(members) != 1 or get_origin(members[0]) is not Annotated:
        return None
    member = members[0]
    for kind, name in _KINDS:
        if member == kind:
            return True, *_BOUNDS_MM[name]
    base, *notes = get_args(member)
    if base is not float:
        return None
    limits = [limit for note in notes if isinstance(note, FieldInfo) for limit in note.metadata]
    low = [float(getattr(limit, name)) for limit in limits for name in ("ge", "gt") if hasattr(limit, name)]
    high = [float(getattr(limit, name)) for limit in limits for name in ("le", "lt") if hasattr(limit, name)]
    return (False, low[0], high[0]) if low and high else None


def _filled_in(asked: Asked, key: str) -> float | None:
    """What the design takes for a size it does not say, mm of the sized state; None where only the form knows."""
    table, _, name = key.partition(".")
    if table == "foot_ring":
        return getattr(asked.ring, name, None)
    if table == "thrown":
        return getattr(asked, name, None)
    known = {
        "wall.rim": asked.rim_wall,
        "wall.foot": asked.foot_wall,
        "floor.thickness": asked.floor,
        "form.foot_diameter": asked.ring.outer_diameter,
        "form.base_diameter": asked.ring.outer_diameter,
    }
    return known.get(key)
