"""What a careful friend would say about the numbers: notes, warnings, and errors that stop a template."""

from __future__ import annotations

from .check import Check, Level
from .chuck import chuck
from .clay.states import State
from .lengths import mm
from .lid_checks import of_food, of_lid, of_spoon
from .lids.sizes import GalleryLid
from .measures import FinishedPart, Measures
from .piece import Cast, Piece
from .thickness import Place
from .trimming import shortage

__all__ = ["Check", "Level", "checked", "turns_on_its_rim"]

_BREAKS_THROUGH_MM = 1.0  # a floor thinner than this does not survive the turning tool (memory)
_THIN_MM = 2.5  # fired mug wall, Clayart subject 76833
_EVEN = 2.0  # no part more than about twice as thick as another (common practice, no source)
_EVEN_AT_SEAT = 3.0  # where a ledge, skirt or collar joins it has to be thicker (memory)
_EDGE_SHARE = 0.7  # of the radius a lid is held at: further out is its edge
_TIPS_DEG = 15.0  # leans less than this before it falls: about the slope of a tray carried badly (memory)
_WIDE_MM = 240.0  # plates from here take a second ring (V. Pitelka, Clayart: dinner plates take two)
_LEAST_SHRINKAGE = 2.0  # per cent; drying alone takes more (throwing bodies dry by about 6 %)
_DENSITY = (1.6, 2.6)  # g/cm3; a fired body outside it contradicts itself


def checked(measures: Measures) -> tuple[Check, ...]:
    """All remarks on a piece, errors first."""
    piece = measures.piece
    found = [*_of_body(piece), *_of_foot(measures), *of_lid(measures), *of_spoon(measures), *of_food(measures)]
    # what is cut from a closed form is as thick as that is, and trimmed with it
    for cast, ball in zip(piece.thrown, measures.balls.values(), strict=True):
        who = f"{cast.name}: " if cast.name and piece.whole is None else ""
        thick = _thick_by_nature(piece, cast, ball.thickest)
        for check in (*_of_thrown(cast), *_of_thickness(ball, thick), *_of_turning(cast)):
            found.append(Check(check.id, check.level, who + check.message, check.field))
    order = [Level.ERROR, Level.WARNING, Level.NOTE]
    return tuple(sorted(found, key=lambda check: order.index(check.level)))


def _of_body(piece: Piece) -> list[Check]:
    density = piece.body.density(State.FIRED)
    low, high = _DENSITY
    shrinks = 100 * piece.body.shrinkage.at(State.FIRED)
    if shrinks < _LEAST_SHRINKAGE:
        message = f"the clay body shrinks {shrinks:.2g} % in all: its file wants per cent, so 12 for twelve per cent"
        return [Check("shrinkage", Level.WARNING, message, "clay")]
    if low <= density <= high:
        return []
    message = f"the clay body contradicts itself: fired it would weigh {density:.2f} g/cm³, outside {low} to {high}"
    return [Check("fired_density", Level.WARNING, message, "clay")]


def _of_foot(measures: Measures) -> list[Check]:
    fired = measures.states[State.FIRED]
    found = []
    lowest = min(measures.piece.parts, key=lambda cast: cast.lift)
    tips = measures.parts[lowest.name].tips_at_deg if measures.lid is None else measures.lid.tips_at_deg
    if (len(measures.parts) == 1 or measures.lid is not None) and tips < _TIPS_DEG:
        message = f"it falls over when it leans {tips:.0f}°: widen the foot or lower the piece"
        found.append(Check("tips", Level.WARNING, message, "foot_ring.outer_diameter"))
    plate = measures.piece.design.form.kind == "plate"
    if plate and fired.rim_diameter_mm > _WIDE_MM and measures.piece.asked.ring.inner_diameter is None:
        message = f"a plate {mm(fired.rim_diameter_mm)} mm wide can sag in its middle: give it an inner ring"
        found.append(Check("inner_ring", Level.NOTE, message, "foot_ring.inner_diameter"))
    return found


def _thick_by_nature(piece: Piece, cast: Cast, place: Place) -> str:
    """What makes the clay thick there and is no fault: a knob, a gallery's ledge, a lid's edge over skirt or collar.

    Args:
        piece: it belongs to.
        cast: the part.
        place: its thickest, fired.
    """
    lid, pair = piece.design.head.lid, piece.pair
    if lid is None or pair is None:
        return ""
    k_r, k_z = cast.scale(State.FIRED)
    r, z = place.r_mm / k_r, place.z_mm / k_z
    # on a closed form the knob stands over the top, far from the floor
    on_top = cast.name == "lid" or (cast is piece.whole and z > cast.section.centroid_height_mm)
    if lid.knob is not None and on_top and r < lid.knob.diameter / 2:
        return "its knob"
    if pair.seat is None:
        return ""
    if cast.name == "lid":
        joins = {"flange": "its edge, where the collar joins,", "cap": "its edge, where the skirt joins,"}
        return joins.get(lid.kind, "") if r > _EDGE_SHARE * pair.seat.lid_radius else ""
    if isinstance(lid, GalleryLid):
        # the underside runs back to the wall at 45 degrees
        under = pair.seat.rests_at - lid.ledge_thickness - lid.ledge_width - cast.asked.rim_wall
        return "the ledge, where it joins the wall," if under <= z <= pair.seat.rests_at else ""
    return ""


def _of_thrown(cast: Cast) -> list[Check]:
    short = shortage(cast)
    if short is None:
        return []
    k_r, k_z = cast.scale(State.WET)
    message = (
        f"the thrown clay does not reach the finished piece: {k_r * short.depth_mm:.1f} mm are missing (wet) at "
        f"{mm(k_z * (short.z_mm - cast.bat))} mm above the bat; widen the thrown base or raise the blend height"
    )
    return [Check("thrown_contains_finished", Level.ERROR, message, "thrown.base_diameter")]


def _of_thickness(part: FinishedPart, thick_by_nature: str) -> list[Check]:
    found = []
    thin, thick = part.thinnest.thickness_mm, part.thickest.thickness_mm
    where = f"at {mm(part.thinnest.z_mm)} mm above the table, {mm(part.thinnest.r_mm)} mm from the axis"
    if thin < _BREAKS_THROUGH_MM:
        message = f"trimming would break through: {thin:.1f} mm of clay left (fired) {where}"
        found.append(Check("breaks_through", Level.ERROR, message, "foot_ring.depth"))
    elif thin < _THIN_MM:
        message = f"thin: {thin:.1f} mm fired {where}"
        found.append(Check("thin", Level.WARNING, message, "wall"))
    if thick <= _EVEN * max(thin, 1e-9):
        return found
    if thick_by_nature and (thick_by_nature == "its knob" or thick <= _EVEN_AT_SEAT * thin):
        message = f"{thick_by_nature} is {thick:.1f} mm of clay (fired), {thin:.1f} mm at the thinnest: dry it slowly"
        found.append(Check("uneven", Level.NOTE, message, "lid"))
    else:
        where = f"{mm(part.thickest.z_mm)} mm above the table, {mm(part.thickest.r_mm)} mm from the axis"
        message = (
            f"uneven: {thick:.1f} mm thick (fired) {where}, {thin:.1f} mm at the thinnest; more than twice as "
            "thick dries badly"
        )
        found.append(Check("uneven", Level.WARNING, message, "wall"))
    return found


def turns_on_its_rim(cast: Cast) -> bool:
    """Whether the upturned part stands on its rim to be turned; a closed form and a lid's top are no rim."""
    return chuck(cast) is None


def _of_turning(cast: Cast) -> list[Check]:
    held = None if cast.blend is None else chuck(cast)
    if held is None:
        return []
    if cast.shape.closes:
        why = "a closed form has no rim to stand on"
    elif cast.shape.solid:
        why = "a lid thrown right way up has no rim to stand on"
    else:
        why = "the rim is too narrow to stand on upside down"
    message = f"{why}, so no turning stick: turn it in a chuck about {mm(held.wide_mm)} mm wide inside"
    return [Check("chuck", Level.NOTE, message)]
