"""A vessel and its lid from one form and one `[lid]` table: they share one seat, so both follow when it changes."""

from __future__ import annotations

from dataclasses import dataclass, replace

from ..faults import Fault
from ..forms.shape import Asked, Part, Shape
from .cut import Cut, CutPair, cut_apart
from .fitted import cap_lid, flange_lid, gallery_lid, right_way_up
from .knobbed import knobbed
from .seat import Seat, mouth_of, neck_of, plays_mm, with_ledge
from .sizes import AnyLid, CapLid, CutLid, FlangeLid, GalleryLid
from .thicker import thicker_at_cut

_MARGIN_MM = 4.0
"""How far the clay on the bat stands out beyond knob or crown of a lid that is thrown upside down (memory)."""
_BLEND_SHARE = 0.6
_EXACT_MM = 1e-4


@dataclass(frozen=True, eq=False)
class Paired:
    """A jar and its lid, each in its own frame; mm of the sized state.

    Attributes:
        jar: standing on the table.
        lid: its `lift` sets it where it is when the jar is closed.
        whole: the closed form both were thrown as, for a cut lid.
        seat: which they share, for a lid thrown by itself.
        cut: how they were parted, for a cut lid.
    """

    jar: Part
    lid: Part
    whole: Part | None = None
    seat: Seat | None = None
    cut: CutPair | None = None


def paired(part: Part, lid: AnyLid, asked: Asked) -> Paired:
    """The pair that a form's part makes with a lid.

    Raises:
        Fault: the form cannot carry that lid, or the lid does not fit.
    """
    shape = part.shape
    if isinstance(lid, CutLid):
        return _cut(part, lid)
    if shape.closes:
        raise Fault("a closed form has no mouth for a lid of its own", f'kind = "{lid.kind}"', '"cut"', "lid.kind")
    if isinstance(lid, GalleryLid):
        shape, seat = with_ledge(shape, lid)
    else:
        seat = mouth_of(shape, lid) if isinstance(lid, FlangeLid) else neck_of(shape, lid)
    made_lid, rests = _fitting(lid, seat)
    # the lid's side moves with its radius as it is, so one correction by what was found makes the play exact
    over = lid.kind == "cap"
    play, passing = plays_mm(shape, made_lid, rests, seat, lid_outside=over)
    tighter = play - passing
    if abs(play - lid.clearance) > _EXACT_MM:
        seat = seat.widened(lid.clearance - play if over else play - lid.clearance)
        made_lid, rests = _fitting(lid, seat)
    seat = replace(seat, passes=seat.jar_radius + (tighter if over else -tighter))
    jar = replace(part, name="jar", shape=shape)
    if lid.thrown == "right_way_up":
        upright = right_way_up(made_lid)
        lift = seat.rests_at + rests - made_lid.section.outline.highest(1)[1]
        own = _lids_own(asked, lid, made_lid.rim_diameter, seat.rests_at - lift + 0.6 * lid.edge_thickness)
        top = Part("lid", upright, lift=lift, ribs=("outside",), asked=own)
        return Paired(jar, top, seat=seat)
    level = 0.0 if lid.knob is None else lid.knob.height
    own = _lids_own(asked, lid, made_lid.foot_diameter, level + _BLEND_SHARE * max(lid.rise, lid.edge_thickness))
    top = Part("lid", made_lid, lift=seat.rests_at + rests, ribs=("inside",), flipped=True, asked=own)
    return Paired(jar, top, seat=seat)


def _cut(part: Part, lid: CutLid) -> Paired:
    """The pair a knife makes of a closed form, with its thicker wall and its knob where they are asked for."""
    if lid.height is None:
        raise TypeError("a cut lid came without the height of its cut")
    shape, cut = part.shape, Cut(lid.height, lid.angle, lid.slope, lid.gap, lid.edge)
    if not shape.closes:
        raise Fault(
            "a lid can be cut from a closed form only",
            "a form with a mouth",
            'kind = "closed", or points whose outside and inside both end on the axis',
            "lid.kind",
        )
    made = cut_apart(shape, cut)
    if lid.at_cut is not None:
        shape = thicker_at_cut(shape, made.outer, lid.at_cut)
        made = cut_apart(shape, cut)
    if lid.knob is not None:
        shape = knobbed(shape, lid.knob, made)
        made = cut_apart(shape, cut)
    jar = Part("jar", made.jar, ribs=(), trimmed=False)
    top = Part("lid", made.lid, lift=made.lid_lift, ribs=(), trimmed=False)
    return Paired(jar, top, whole=replace(part, name="jar", shape=shape), cut=made)


def _fitting(lid: GalleryLid | FlangeLid | CapLid, seat: Seat) -> tuple[Shape, float]:
    """The lid for a seat, underside up, and the height of its resting face there."""
    if isinstance(lid, GalleryLid):
        return gallery_lid(lid, seat)
    return flange_lid(lid, seat) if isinstance(lid, FlangeLid) else cap_lid(lid, seat)


def _lids_own(asked: Asked, lid: GalleryLid | FlangeLid | CapLid, across: float, blend: float) -> Asked:
    """The figures of the lid as it is thrown.

    Args:
        asked: the design's.
        lid: the table.
        across: width of what is left of it at the bat, mm.
        blend: height from the finished foot where the outside is thrown as it stays, mm.
    """
    level = 0.0 if lid.knob is None else lid.knob.height
    return replace(
        asked,
        floor=lid.thickness + level,
        ring=replace(asked.ring, outer_diameter=across, depth=0.0, inner_diameter=None),
        base_diameter=across + 2 * _MARGIN_MM,
        blend_height=blend,
        blend_given=True,
        extra_wall=0.0,
        skim=asked.skim or 1.0,
    )
