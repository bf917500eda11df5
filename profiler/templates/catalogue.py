"""Every template that is made from a part by itself, in the order they are delivered."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial

from ..piece import Cast, Piece
from .drawing import Drawing
from .inside_rib import inside_rib, why_no_inside_rib
from .outside_rib import outside_rib
from .pointer_card import BAT_MM, pointer_card, why_no_pointer_card
from .slab import slab_patterns, why_no_slab_patterns
from .tombo import tombo, why_no_tombo
from .trimming_gauge import trimming_gauge, why_no_trimming_gauge
from .turning_stick import turning_stick, why_no_turning_stick

Template = Callable[[Piece, Cast], Drawing | None]
Reason = Callable[[Piece, Cast], str | None]

FOLLOWING: dict[str, Template] = {
    "inside_rib": inside_rib,
    "outside_rib": outside_rib,
    "trimming_gauge": trimming_gauge,
    "turning_stick": turning_stick,
}
"""Name of the file, and what draws it: tools whose edge is a run of the section itself."""

SETTING: dict[str, Template] = {"pointer_card": pointer_card, "tombo": tombo}
"""Tools that touch the clay at a few places, to set a height or a width."""

TEMPLATES = FOLLOWING | SETTING

REASONS: dict[str, Reason] = {
    "inside_rib": why_no_inside_rib,
    "trimming_gauge": why_no_trimming_gauge,
    "turning_stick": why_no_turning_stick,
    "pointer_card": why_no_pointer_card,
    "tombo": why_no_tombo,
    "slab_patterns": why_no_slab_patterns,
}
"""Why a template that a part would want is not made."""


def templates_of(piece: Piece, bat_mm: float = BAT_MM) -> tuple[Drawing, ...]:
    """The drawings of a piece, each named `<template>`, or `<part>_<template>` where it has parts.

    Args:
        piece: what they are for.
        bat_mm: thickness of her bat, which the pointer card adds to heights above it.
    """
    tools = TEMPLATES | {"pointer_card": partial(pointer_card, bat_mm=bat_mm)}
    drawings = []
    for cast in piece.parts:
        for name, draw in tools.items():
            drawing = draw(piece, cast)
            if drawing is not None:
                drawings.append(replace(drawing, name=named(cast, name)))
        drawings += [replace(slab, name=named(cast, slab.name)) for slab in slab_patterns(piece, cast)]
    return tuple(drawings)


def not_made(piece: Piece) -> tuple[tuple[str, str], ...]:
    """(name, sentence) of each template that is left out though the part would want it."""
    found = [(named(cast, name), why(piece, cast)) for cast in piece.parts for name, why in REASONS.items()]
    return tuple((name, reason) for name, reason in found if reason is not None)


def named(cast: Cast, template: str) -> str:
    """A template's file stem for a part."""
    return f"{cast.name}_{template}" if cast.name else template
