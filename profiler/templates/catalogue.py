"""Every template that is made from a part by itself, in the order they are delivered."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from ..clay.states import State
from ..piece import Cast, Piece
from .drawing import Drawing
from .inside_rib import inside_rib, why_no_inside_rib
from .inside_stick import inside_stick, why_no_inside_stick
from .outside_rib import outside_rib
from .pointer_card import BAT_MM, pointer_card, why_no_pointer_card
from .slab import slab_disc, slab_wrap, why_no_slab_patterns
from .tombo import tombo, why_no_tombo
from .trimming_gauge import trimming_gauge, why_no_trimming_gauge
from .turning_stick import turning_stick, why_no_turning_stick

Draw = Callable[[Piece, Cast, float], Drawing | None]
"""What draws a template of a part, or nothing; the number is the thickness of her bat, mm."""


@dataclass(frozen=True)
class Tool:
    """A kind of template.

    Attributes:
        draw: makes it.
        state: of the clay it is held against.
        why_not: why a part that would want it gets none, as a sentence; None where it gets one or wants none.
        follows: whether its working edge is a run of the section itself; else it touches at a few places.
        works: whether it shapes the clay that runs past it, and so has a bevelled edge as a solid.
        pattern: whether it is laid on a slab and cut round with a knife: it is no stiff tool, so it has no solid
            and allows for no cutter, and it is printed only when it is asked for.
    """

    draw: Draw
    state: State
    why_not: Callable[[Piece, Cast], str | None] | None = None
    follows: bool = False
    works: bool = False
    pattern: bool = False


def _any_bat(draw: Callable[[Piece, Cast], Drawing | None]) -> Draw:
    return lambda piece, cast, _: draw(piece, cast)


TOOLS: dict[str, Tool] = {
    "inside_rib": Tool(_any_bat(inside_rib), State.WET, why_no_inside_rib, follows=True, works=True),
    "inside_stick": Tool(_any_bat(inside_stick), State.WET, why_no_inside_stick, follows=True, works=True),
    "outside_rib": Tool(_any_bat(outside_rib), State.WET, follows=True, works=True),
    "trimming_gauge": Tool(_any_bat(trimming_gauge), State.LEATHER_HARD, why_no_trimming_gauge, follows=True),
    "turning_stick": Tool(_any_bat(turning_stick), State.LEATHER_HARD, why_no_turning_stick, follows=True),
    "pointer_card": Tool(pointer_card, State.WET, why_no_pointer_card),
    "tombo": Tool(_any_bat(tombo), State.WET, why_no_tombo),
    "slab_disc": Tool(_any_bat(slab_disc), State.WET, pattern=True),
    "slab_wrap": Tool(_any_bat(slab_wrap), State.WET, why_no_slab_patterns, pattern=True),
}
"""Name of the file, and what makes it."""


@dataclass(frozen=True, eq=False)
class Template:
    """A template of a piece.

    Attributes:
        kind: a key of `TOOLS`.
        drawing: named `<kind>`, or `<part>_<kind>` in a piece of several parts.
    """

    kind: str
    drawing: Drawing

    @property
    def tool(self) -> Tool:
        """Its kind's facts."""
        return TOOLS[self.kind]


@dataclass(frozen=True)
class Choice:
    """Which templates are wanted.

    Attributes:
        names: kinds, or file stems such as `dish_tombo`; empty for all.
        states: of the clay they are held against; empty for all.
    """

    names: tuple[str, ...] = ()
    states: tuple[State, ...] = ()

    def takes(self, kind: str, stem: str) -> bool:
        """Whether it wants a template."""
        named = not self.names or kind in self.names or stem in self.names
        return named and (not self.states or TOOLS[kind].state in self.states)

    def prints(self, template: Template) -> bool:
        """Whether a template it takes goes to paper: patterns only by name, for they take many sheets."""
        return not template.tool.pattern or bool({template.kind, template.drawing.name} & set(self.names))


ALL = Choice()


def templates_of(piece: Piece, bat_mm: float = BAT_MM) -> tuple[Drawing, ...]:
    """The drawings of all templates of a piece, part by part."""
    return tuple(template.drawing for template in chosen(piece, ALL, bat_mm))


def chosen(piece: Piece, choice: Choice, bat_mm: float = BAT_MM) -> tuple[Template, ...]:
    """The templates of a piece that are wanted, part by part.

    Args:
        piece: what they are for.
        choice: which of them.
        bat_mm: thickness of her bat, which the pointer card adds to heights above it.
    """
    found = []
    for cast in piece.parts:
        for kind, tool in TOOLS.items():
            stem = named(cast, kind)
            drawing = tool.draw(piece, cast, bat_mm) if choice.takes(kind, stem) else None
            if drawing is not None:
                found.append(Template(kind, replace(drawing, name=stem)))
    return tuple(found)


def not_made(piece: Piece, choice: Choice = ALL) -> tuple[tuple[str, str], ...]:
    """(name, sentence) of each template that is left out though the part would want it."""
    found = []
    for cast in piece.parts:
        for kind, tool in TOOLS.items():
            stem = named(cast, kind)
            why = tool.why_not(piece, cast) if tool.why_not and choice.takes(kind, stem) else None
            if why is not None:
                found.append((stem, why))
    return tuple(found)


def named(cast: Cast, kind: str) -> str:
    """A template's file stem for a part."""
    return f"{cast.name}_{kind}" if cast.name else kind
