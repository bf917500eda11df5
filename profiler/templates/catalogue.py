"""Every template there is, in the order they are delivered: of each part, then of jar and lid together."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import TypeVar

from ..clay.states import State
from ..piece import Cast, Piece
from ..settings import Settings
from .drawing import Drawing
from .inside_rib import inside_rib, why_no_inside_rib
from .inside_stick import inside_stick, why_no_inside_stick
from .knife_cut import knife_guide_of, why_no_knife_guide_of
from .lid_seats import lid_card_in, why_no_lid_card_in
from .outside_rib import outside_rib
from .pointer_card import pointer_card, why_no_pointer_card
from .rim_notches import jar_notch_strip, lid_notch_strip, why_no_jar_notch_strip, why_no_lid_notch_strip
from .slab import slab_disc, slab_wrap, why_no_slab_patterns
from .tombo import tombo, why_no_tombo
from .trimming_gauge import trimming_gauge, why_no_trimming_gauge
from .turning_stick import turning_stick, why_no_turning_stick

Draw = Callable[[Piece, Cast, Settings], Drawing | None]
"""What draws a template, or nothing: of a part that is thrown, or of the whole piece whatever the part."""
WhyNot = Callable[[Piece, Cast, Settings], str | None]
"""Why there is none where one would be wanted, as a sentence; None where there is one or none is wanted."""


@dataclass(frozen=True)
class Tool:
    """A kind of template.

    Attributes:
        draw: makes it.
        state: of the clay it is held against.
        why_not: why there is none.
        follows: whether its working edge is a run of the section itself; else it touches at a few places.
        works: whether it shapes the clay that runs past it, and so has a bevelled edge as a solid.
        pattern: whether it is of paper or thin plastic, laid on a slab or round a pot: it is no stiff tool, so it has
            no solid and allows for no cutter.
        by_name: whether it is printed only when it is asked for, as it takes many sheets.
        shared: whether there is one for the whole piece, named without a part; else one for each that is thrown.
    """

    draw: Draw
    state: State
    why_not: WhyNot | None = None
    follows: bool = False
    works: bool = False
    pattern: bool = False
    by_name: bool = False
    shared: bool = False


_Made = TypeVar("_Made")


def _of_cast(made: Callable[[Cast], _Made]) -> Callable[[Piece, Cast, Settings], _Made]:
    return lambda _piece, cast, _settings: made(cast)


def _of_part(made: Callable[[Piece, Cast], _Made]) -> Callable[[Piece, Cast, Settings], _Made]:
    return lambda piece, cast, _: made(piece, cast)


def _of_piece(made: Callable[[Piece, Settings], _Made]) -> Callable[[Piece, Cast, Settings], _Made]:
    return lambda piece, _, settings: made(piece, settings)


def _seats_in(made: Callable[[Piece, State], _Made], state: State) -> Callable[[Piece, Cast, Settings], _Made]:
    return lambda piece, _cast, _settings: made(piece, state)


TOOLS: dict[str, Tool] = {
    "inside_rib": Tool(_of_part(inside_rib), State.WET, _of_cast(why_no_inside_rib), follows=True, works=True),
    "inside_stick": Tool(_of_part(inside_stick), State.WET, _of_cast(why_no_inside_stick), follows=True, works=True),
    "outside_rib": Tool(_of_part(outside_rib), State.WET, follows=True, works=True),
    "trimming_gauge": Tool(
        _of_part(trimming_gauge), State.LEATHER_HARD, _of_part(why_no_trimming_gauge), follows=True
    ),
    "turning_stick": Tool(_of_part(turning_stick), State.LEATHER_HARD, _of_cast(why_no_turning_stick), follows=True),
    "pointer_card": Tool(
        lambda piece, cast, settings: pointer_card(piece, cast, settings.bat_thickness_mm),
        State.WET,
        _of_part(why_no_pointer_card),
    ),
    "tombo": Tool(_of_part(tombo), State.WET, _of_cast(why_no_tombo)),
    "slab_disc": Tool(_of_part(slab_disc), State.WET, pattern=True, by_name=True),
    "slab_wrap": Tool(_of_part(slab_wrap), State.WET, _of_part(why_no_slab_patterns), pattern=True, by_name=True),
    "lid_card": Tool(
        _seats_in(lid_card_in, State.WET), State.WET, _seats_in(why_no_lid_card_in, State.WET), shared=True
    ),
    "lid_card_leather_hard": Tool(
        _seats_in(lid_card_in, State.LEATHER_HARD),
        State.LEATHER_HARD,
        _seats_in(why_no_lid_card_in, State.LEATHER_HARD),
        shared=True,
    ),
    "knife_guide": Tool(_of_piece(knife_guide_of), State.LEATHER_HARD, _of_piece(why_no_knife_guide_of), shared=True),
    "notch_strip": Tool(
        _of_piece(jar_notch_strip), State.LEATHER_HARD, _of_piece(why_no_jar_notch_strip), pattern=True, shared=True
    ),
    "lid_notch_strip": Tool(
        _of_piece(lid_notch_strip), State.LEATHER_HARD, _of_piece(why_no_lid_notch_strip), pattern=True, shared=True
    ),
}
"""Name of the file, and what makes it."""


@dataclass(frozen=True, eq=False)
class Template:
    """A template of a piece.

    Attributes:
        kind: a key of `TOOLS`.
        drawing: named `<kind>`, or `<part>_<kind>` in a piece of several parts where there is one for each.
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
        """Whether a template it takes goes to paper: some do only by name, for they take many sheets."""
        return not template.tool.by_name or bool({template.kind, template.drawing.name} & set(self.names))


ALL = Choice()
COMMON = Settings()
"""The settings of a workshop that has named none."""


def templates_of(piece: Piece, settings: Settings = COMMON) -> tuple[Drawing, ...]:
    """The drawings of all templates of a piece."""
    return tuple(template.drawing for template in chosen(piece, ALL, settings))


def chosen(piece: Piece, choice: Choice, settings: Settings = COMMON) -> tuple[Template, ...]:
    """The templates of a piece that are wanted, part by part, then those of the whole.

    Args:
        piece: what they are for.
        choice: which of them.
        settings: of her workshop: bat, wheel and cutters.
    """
    found = []
    for kind, stem, cast in stems_of(piece):
        drawing = TOOLS[kind].draw(piece, cast, settings) if choice.takes(kind, stem) else None
        if drawing is not None:
            found.append(Template(kind, replace(drawing, name=stem)))
    return tuple(found)


def not_made(piece: Piece, choice: Choice = ALL, settings: Settings = COMMON) -> tuple[tuple[str, str], ...]:
    """(name, sentence) of each template that is left out though the piece would want it."""
    found = []
    for kind, stem, cast in stems_of(piece):
        why_not = TOOLS[kind].why_not
        why = why_not(piece, cast, settings) if why_not is not None and choice.takes(kind, stem) else None
        if why is not None:
            found.append((stem, why))
    return tuple(found)


def stems_of(piece: Piece) -> Iterator[tuple[str, str, Cast]]:
    """(kind, file stem, part) of every template there could be, in order."""
    for cast in piece.thrown:
        for kind, tool in TOOLS.items():
            if not tool.shared:
                yield kind, named(cast, kind), cast
    for kind, tool in TOOLS.items():
        if tool.shared:
            yield kind, kind, piece.parts[0]


def named(cast: Cast, kind: str) -> str:
    """A template's file stem for a part."""
    return f"{cast.name}_{kind}" if cast.name and not TOOLS[kind].shared else kind
