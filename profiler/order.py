"""What is ordered of a `make`: which templates, in which formats and sizes; from her settings and her words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from difflib import get_close_matches

from .clay.states import State
from .faults import Fault
from .piece import Piece
from .settings import BEVEL_DEGREES, COMMON_RIB, THICKNESS_MM, Rib, Settings
from .sheets.paper import PAPER_NAMES, Correction
from .templates.catalogue import ALL, TOOLS, Choice, stems_of
from .templates.kerf import MAX_KERF_MM

NO_PRINTER = "none"
"""The word for a sheet that is not corrected, as one to be measured must be."""


@dataclass(frozen=True)
class Order:
    """What is made of each piece.

    Attributes:
        paper: a name in `PAPER_NAMES`.
        choice: of templates.
        solids: states in which the piece itself is written as a solid.
        kerf_mm: width of the cutter the cut files allow for; None for no such files.
        correction: what her printer makes of 100 mm, if it is known.
        rib: a rib's thickness and bevel as a solid.
    """

    paper: str = "A4"
    choice: Choice = ALL
    solids: tuple[State, ...] = (State.FIRED,)
    kerf_mm: float | None = None
    correction: Correction | None = None
    rib: Rib = COMMON_RIB


def ordered(
    settings: Settings,
    pieces: Sequence[Piece],
    *,
    paper: str | None = None,
    templates: Sequence[str] = (),
    clay: Sequence[str] = (),
    solids: Sequence[str] = (),
    kerf_mm: float | None = None,
    printer: str | None = None,
    thickness_mm: float | None = None,
    bevel_degrees: float | None = None,
) -> Order:
    """The order, words given on the command line before those in the settings.

    Raises:
        Fault: a word that names nothing, or a figure that cannot be; names the option.
    """
    if kerf_mm is not None and not 0 < kerf_mm <= MAX_KERF_MM:
        raise Fault("no cutter", f"{kerf_mm:g} mm", f"the width it takes away, over 0 to {MAX_KERF_MM:g}", "--kerf")
    papers = {name.casefold(): name for name in PAPER_NAMES}
    return Order(
        paper=_one_of(papers, paper or settings.paper, "paper", "--paper"),
        choice=Choice(_stems(templates, pieces), _states(clay, "--clay")),
        solids=tuple(dict.fromkeys((State.FIRED, *_states(solids, "--solid-in")))),
        kerf_mm=kerf_mm,
        correction=correction_of(settings, printer),
        rib=_rib(settings.rib, thickness_mm, bevel_degrees),
    )


def correction_of(settings: Settings, printer: str | None) -> Correction | None:
    """What is known of a printer: the one named, else the one in her settings, else the only one there.

    Raises:
        Fault: it is not in the settings.
    """
    if printer == NO_PRINTER:
        return None
    name = printer or settings.printer or (next(iter(settings.printers)) if len(settings.printers) == 1 else None)
    if name is None:
        return None
    known = settings.printers.get(name)
    if known is None:
        wanted = ", ".join([*map(repr, settings.printers), NO_PRINTER])
        where = "printer, in the settings" if printer is None else "--printer"
        raise Fault("no such printer in the settings", repr(name), wanted, where)
    return Correction(name, known.across, known.up)


def _rib(rib: Rib, thickness_mm: float | None, bevel_degrees: float | None) -> Rib:
    thickness = rib.thickness_mm if thickness_mm is None else thickness_mm
    bevel = rib.bevel_degrees if bevel_degrees is None else bevel_degrees
    (thinnest, thickest), (flattest, square) = THICKNESS_MM, BEVEL_DEGREES
    if not thinnest <= thickness <= thickest:
        raise Fault("no rib", f"{thickness:g} mm thick", f"{thinnest:g} to {thickest:g} mm", "--thickness")
    if not flattest <= bevel <= square:
        wanted = f"{flattest:g} to {square:g}, which is a square edge"
        raise Fault("no bevel", f"{bevel:g} degrees from the face", wanted, "--bevel")
    return Rib(thickness_mm=thickness, edge_mm=min(rib.edge_mm, thickness), bevel_degrees=bevel)


def _stems(names: Sequence[str], pieces: Sequence[Piece]) -> tuple[str, ...]:
    stems = {stem for piece in pieces for _, stem, _ in stems_of(piece)}
    known = {name.casefold(): name for name in (*TOOLS, *sorted(stems))}
    return tuple(_one_of(known, name, "template", "--template") for name in names)


def _states(names: Sequence[str], option: str) -> tuple[State, ...]:
    known = {state.value: state.value for state in State}
    return tuple(State(_one_of(known, name, "state", option)) for name in names)


def _one_of(known: dict[str, str], name: str, what: str, option: str) -> str:
    plain = name.strip().casefold()
    for spelled in (plain, plain.replace("-", "_").replace(" ", "_")):
        if spelled in known:
            return known[spelled]
    near = get_close_matches(plain.replace("-", "_"), known, 1)
    hint = f" (did you mean {known[near[0]]}?)" if near else ""
    raise Fault(f"unknown {what}", repr(name), ", ".join(known.values()) + hint, option)
