"""Every template that is made from a part by itself, in the order they are delivered."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from ..piece import Cast, Piece
from .drawing import Drawing
from .inside_rib import inside_rib, why_no_inside_rib
from .outside_rib import outside_rib
from .trimming_gauge import trimming_gauge, why_no_trimming_gauge
from .turning_stick import turning_stick, why_no_turning_stick

Template = Callable[[Piece, Cast], Drawing | None]
Reason = Callable[[Piece, Cast], str | None]

TEMPLATES: dict[str, Template] = {
    "inside_rib": inside_rib,
    "outside_rib": outside_rib,
    "trimming_gauge": trimming_gauge,
    "turning_stick": turning_stick,
}
"""Name of the file, and what draws it."""

REASONS: dict[str, Reason] = {
    "inside_rib": why_no_inside_rib,
    "trimming_gauge": why_no_trimming_gauge,
    "turning_stick": why_no_turning_stick,
}
"""Why a template that a part would want is not made."""


def templates_of(piece: Piece) -> tuple[Drawing, ...]:
    """The drawings of a piece, each named `<template>`, or `<part>_<template>` where it has parts."""
    drawings = []
    for cast in piece.parts:
        for name, draw in TEMPLATES.items():
            drawing = draw(piece, cast)
            if drawing is not None:
                drawings.append(replace(drawing, name=named(cast, name)))
    return tuple(drawings)


def not_made(piece: Piece) -> tuple[tuple[str, str], ...]:
    """(name, sentence) of each template that is left out though the part would want it."""
    found = [(named(cast, name), why(piece, cast)) for cast in piece.parts for name, why in REASONS.items()]
    return tuple((name, reason) for name, reason in found if reason is not None)


def named(cast: Cast, template: str) -> str:
    """A template's file stem for a part."""
    return f"{cast.name}_{template}" if cast.name else template
