"""The numbers of a lid and its seat, and jar and lid where they stand when the jar is closed."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from .clay.states import State
from .geometry.section import Section
from .geometry.tolerance import JOIN_MM
from .lids.contact import Sits, sits
from .lids.cut import CutPair
from .lids.fit import Fit, fit_of
from .lids.seat import Seat
from .lids.sizes import CapLid, CutLid, FlangeLid, GalleryLid
from .piece import Cast, Piece


@dataclass(frozen=True)
class LidMeasures:
    """A lid's numbers, fired; None where one makes no sense for its kind.

    Attributes:
        kind: cut, gallery, flange or cap.
        seat_width_mm: of the joint of a cut lid, or of the ledge's level face.
        centring_depth_mm: how far down jar and lid hold each other from the side.
        sink_mm: how far a cut lid sinks below where it was cut.
        contact_mm: land left between the faces of a cut, along its slope; else how wide level lies on level.
        clearance_mm: play per side.
        way_through_mm: the knife's way through the wall.
        kerf_cm3: what knife and sponge take.
        sits: how a cut lid sits, and why.
        fit: how the others fit through the fire.
        clearance_wanted_mm: the least clearance, in the state the design is sized in, that goes on in every state.
        clearance_most_mm: one that just does not rattle in the worst case, in that state; below 0 none is.
        tips_at_deg: how far the closed jar leans before it falls, empty.
    """

    kind: str
    seat_width_mm: float | None
    centring_depth_mm: float
    sink_mm: float | None
    contact_mm: float | None
    clearance_mm: float | None
    way_through_mm: float | None
    kerf_cm3: float | None
    sits: Sits | None
    fit: Fit | None
    clearance_wanted_mm: float | None
    clearance_most_mm: float | None
    tips_at_deg: float


def standing(piece: Piece, cast: Cast, state: State) -> Section:
    """A part where it stands in the closed or assembled piece, mm in a state.

    A lid of another body rests where the jar's seat has gone to, and is itself as large as its own body leaves it.
    """
    own_r, own_z = cast.scale(state)
    outline = cast.section.outline.mapped(own_r, own_z)
    if cast.flipped:
        outline = outline.mapped(1.0, -1.0).reversed()
    return Section(outline.moved(0.0, _lift_mm(piece, cast, state)))


def top_mm(piece: Piece, cast: Cast, state: State) -> float:
    """How high a part reaches where it stands, mm in a state."""
    outline = cast.section.outline
    own = -outline.lowest(1)[1] if cast.flipped else outline.highest(1)[1]
    return cast.scale(state)[1] * own + _lift_mm(piece, cast, state)


def _lift_mm(piece: Piece, cast: Cast, state: State) -> float:
    """How high a part's own z = 0 is set in the whole piece, mm in a state."""
    rests = 0.0 if piece.pair is None or piece.pair.seat is None or cast.name != "lid" else piece.pair.seat.rests_at
    return piece.scale(state)[1] * rests + cast.scale(state)[1] * (cast.lift - rests)


def lid_measures(piece: Piece) -> LidMeasures | None:
    """The numbers of a piece's lid; None without one."""
    lid, pair = piece.design.head.lid, piece.pair
    if lid is None or pair is None:
        return None
    if isinstance(lid, CutLid):
        assert pair.cut is not None  # noqa: S101 - a cut lid has its cut
        return _cut(piece, pair.cut)
    assert pair.seat is not None  # noqa: S101 - every other lid has its seat
    return _fitted(piece, lid, pair.seat)


def _cut(piece: Piece, cut: CutPair) -> LidMeasures:
    k_r, k_z = piece.scale(State.FIRED)
    found = sits(cut, (k_r, k_z))
    width, depth = k_r * cut.seat_width, k_z * cut.centring_depth
    return LidMeasures(
        kind="cut",
        seat_width_mm=width,
        centring_depth_mm=depth,
        sink_mm=k_z * cut.sink,
        contact_mm=found.contact.contact_mm,
        clearance_mm=None,
        way_through_mm=math.hypot(width, depth),
        kerf_cm3=0.0 if cut.kerf is None else k_r**2 * k_z * cut.kerf.volume_mm3 / 1000,
        sits=found,
        fit=None,
        clearance_wanted_mm=None,
        clearance_most_mm=None,
        tips_at_deg=_tips(piece),
    )


def _fitted(piece: Piece, lid: GalleryLid | FlangeLid | CapLid, seat: Seat) -> LidMeasures:
    jar, top = piece.parts
    fit = fit_of(
        seat,
        jar.body,
        top.body,
        piece.sized,
        lid_outside=lid.kind == "cap",
        apart=lid.fired == "apart",
        out_of_round=lid.out_of_round,
    )
    k_r, k_z = piece.scale(State.FIRED)
    return LidMeasures(
        kind=lid.kind,
        # on a rounded rim a lid rests along a line
        seat_width_mm=k_r * (seat.rests_to - seat.rests_from) if lid.kind == "gallery" else None,
        centring_depth_mm=k_z * seat.depth,
        sink_mm=None,
        contact_mm=_level_on_level(piece, k_z * seat.rests_at),
        clearance_mm=fit.fired.nominal_mm,
        way_through_mm=None,
        kerf_cm3=None,
        sits=None,
        fit=fit,
        clearance_wanted_mm=fit.cure_mm(lid.clearance, {state: top.scale(state)[0] for state in State}),
        clearance_most_mm=lid.clearance - (fit.fired.most_mm - fit.most_allowed_mm) / top.scale(State.FIRED)[0],
        tips_at_deg=_tips(piece),
    )


def _level_on_level(piece: Piece, height: float) -> float | None:
    """How wide, square to the axis, level faces of jar and lid lie on each other, fired; None for a line."""
    jar, lid = (_level_runs(standing(piece, cast, State.FIRED), height) for cast in piece.parts)
    shared = sum(max(0.0, min(a[1], b[1]) - max(a[0], b[0])) for a in jar for b in lid)
    return shared if shared > JOIN_MM else None


def _level_runs(section: Section, height: float) -> list[tuple[float, float]]:
    """Where the outline runs level at a height: radii of the ends, mm."""
    level = [cubic for cubic in section.outline.cubics if abs(cubic[:, 1] - height).max() < JOIN_MM]
    return [(float(cubic[:, 0].min()), float(cubic[:, 0].max())) for cubic in level]


def _tips(piece: Piece) -> float:
    """How far the closed jar leans before it falls, degrees: its foot against its common centre of mass."""
    sections = [standing(piece, cast, State.FIRED) for cast in piece.parts]
    volume = sum(section.volume_mm3 for section in sections)
    height = sum(section.volume_mm3 * section.centroid_height_mm for section in sections) / volume
    return math.degrees(math.atan2(piece.scale(State.FIRED)[0] * piece.parts[0].shape.stands_on, height))


def lid_json(lid: LidMeasures) -> dict[str, Any]:
    """The lid's numbers under the names of the contract, and how it sits or fits."""
    made: dict[str, Any] = {
        name: getattr(lid, name)
        for name in (
            "kind",
            "seat_width_mm",
            "centring_depth_mm",
            "sink_mm",
            "contact_mm",
            "clearance_mm",
            "way_through_mm",
            "kerf_cm3",
            "tips_at_deg",
        )
    }
    made["sits"] = None if lid.sits is None else lid.sits.kind
    made["fit"] = None
    if lid.fit is not None:
        made["fit"] = {
            "how": lid.fit.how,
            "points": lid.fit.points,
            "worst": lid.fit.words,
            "states": {
                str(state): {"nominal_mm": c.nominal_mm, "least_mm": c.least_mm, "most_mm": c.most_mm}
                for state, c in lid.fit.states.items()
            },
        }
    return made
