"""One cut tried: what jar and lid would be, and which requirements it keeps."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import cos, inf, radians
from typing import Any

from ..clay.states import State
from ..design.model import Design
from ..faults import Fault
from ..forms.shape import Part, Shape
from ..geometry.section import volume_below
from ..geometry.tolerance import JOIN_MM
from ..lids.contact import JAMS_OVER_DEG, SLIDES_UNDER_DEG, SLIDES_UNDER_MM, contact_of, sits
from ..lids.cut import LEAST_LID_G, CutPair
from ..lids.pair import Paired, paired
from ..lids.sizes import CutLid
from ..settings import Settings
from .spooned import Lies, laid_in

KNIFE = "knife"
"""The requirement that the cut parts the form at all: that the knife comes out inside, clear of floor and top."""

_OF_THE_CUT = ("lid.height", "lid.angle", "lid.gap", "lid.at_cut", "lid.knob")
"""Fields whose faults another cut may cure; any other fault is the design's."""

LEAST_JAR_ML = 5.0
"""A jar that takes less than a teaspoon is a saucer (common sense, no source)."""

_ROUNDING = 1e-9
_COMMON = Settings()


@dataclass(frozen=True)
class Limits:
    """What she asks of jar and lid, fired; None where she asks nothing.

    Attributes:
        least_contact: land left between jar and lid, along the slope, mm; at 0 there must be some.
        capacity_least: of the jar to overflow, ml.
        capacity_most: ml.
        lid_height_most: mm.
        lid_weight_most: g.
    """

    least_contact: float = 0.0
    capacity_least: float | None = None
    capacity_most: float | None = None
    lid_height_most: float | None = None
    lid_weight_most: float | None = None

    def without(self, requirement: str) -> Limits:
        """The same with one of them dropped."""
        if requirement == "least_contact":
            return replace(self, least_contact=0.0)
        others: dict[str, Any] = {requirement: None}
        return replace(self, **others)

    @property
    def asked(self) -> tuple[str, ...]:
        """Names of those she asks for."""
        return tuple(name for name, value in vars(self).items() if value)


@dataclass(frozen=True, eq=False)
class Figures:
    """Jar and lid of one cut, fired.

    Attributes:
        made: the two and the form they are cut from, mm of the sized state.
        capacity_ml: of the jar to overflow, its rim whole.
        lid_g: without glaze, what is stuck on it included.
        lid_height_mm: from the table to the top, what is stuck on it included.
        seat_mm: width of the seat, square to the axis.
        centring_mm: depth along the axis.
        land_mm: contact left along the slope; below nought where the faces miss each other.
        slant_deg: of the fired joint.
        lost: which way a lid without contact goes, `falls_in` or `drops_over`; else empty.
        bare_g: weight of the lid without what is stuck on it.
        bare_height_mm: its height without that.
    """

    made: Paired
    capacity_ml: float
    lid_g: float
    lid_height_mm: float
    seat_mm: float
    centring_mm: float
    land_mm: float
    slant_deg: float
    lost: str
    bare_g: float
    bare_height_mm: float

    @property
    def pair(self) -> CutPair:
        """The two as the knife left them."""
        if self.made.cut is None:
            raise TypeError("a cut lid came without its cut")
        return self.made.cut

    @property
    def whole(self) -> Shape:
        """The form they are cut from, with its knob and its thicker clay at the cut."""
        if self.made.whole is None:
            raise TypeError("a cut lid came without the form it was cut from")
        return self.made.whole.shape


@dataclass(frozen=True, eq=False)
class Tried:
    """A cut and what came of it.

    Attributes:
        height: where the cut meets the outside, mm of the sized state.
        angle: degrees from horizontal.
        figures: None where the form cannot be cut so.
        why: then, in words.
        margins: of each requirement that was looked at: how far from failing; it fails below nought.
        lies: the spoon in its jar; None without a spoon, or where it was not tried as jar and lid do not hold.
        takes_ml: what the jar takes until it runs over, fired; None where its notch is not known.
    """

    height: float
    angle: float
    figures: Figures | None
    why: str
    margins: dict[str, float]
    lies: Lies | None = None
    takes_ml: float | None = None

    @property
    def failing(self) -> frozenset[str]:
        """The requirements it does not keep."""
        return frozenset(name for name, margin in self.margins.items() if margin < 0)

    @property
    def holds(self) -> bool:
        """Whether it keeps all of them."""
        return not self.failing


class Trial:
    """Cuts a design's form at any height and slant; every cut is made once.

    Args:
        design: with a lid cut from a closed form.
        limits: what jar and lid must keep.
        settings: her cutters are in them.
        watch: told of every cut that is tried.

    Raises:
        Fault: a design without a lid cut from a closed form, or one whose form cannot be built.
    """

    def __init__(
        self,
        design: Design,
        limits: Limits,
        settings: Settings = _COMMON,
        watch: Callable[[float, float], None] | None = None,
    ) -> None:
        lid = design.head.lid
        if not isinstance(lid, CutLid):
            found = "no [lid]" if lid is None else f'kind = "{lid.kind}"'
            raise design.text.fault(
                Fault("a study is of a lid that is cut from a closed form", found, 'kind = "cut"', "lid.kind")
            )
        try:
            part = design.form.build(design.sizes, design.asked)[0]
            if not part.shape.closes:
                wanted = 'kind = "closed", or points whose outside and inside both end on the axis'
                raise Fault("a lid can be cut from a closed form only", "a form with a mouth", wanted, "lid.kind")
        except Fault as fault:
            raise design.text.fault(fault) from fault
        self.design, self.limits, self.settings = design, limits, settings
        self.spooned = design.head.spoon is not None
        self._watch = watch
        self.part: Part = part
        self.lid: CutLid = lid
        self.scale = design.body.scale(design.head.sized, State.FIRED)
        growth_r, growth_z = design.body.scale(design.head.sized, State.WET)
        self._wet_cm3 = growth_r**2 * growth_z / 1000
        self._stuck_on = [extra for extra in design.head.extras if extra.on == "lid"]
        self._made: dict[tuple[float, float], Figures | Fault] = {}
        self._laid: dict[tuple[float, float], Lies] = {}

    def under(self, limits: Limits, *, spooned: bool = True) -> Trial:
        """The same form with other limits, or without its spoon; what has been cut already is not cut again."""
        other = Trial(self.design, limits, self.settings, self._watch)
        other.spooned = spooned and self.spooned
        other._made, other._laid = self._made, self._laid
        return other

    @property
    def reach(self) -> tuple[float, float]:
        """Lowest and highest place of the outside between foot and top, mm; a cap may even be cut below the floor."""
        shape = self.part.shape
        return float(shape.outside.at(shape.wall_start)[1]), shape.outside.highest(1)[1]

    def at(self, height: float, angle: float, *, spoon_anyway: bool = False) -> Tried:
        """Try one cut.

        Args:
            height: where it meets the outside, mm of the sized state.
            angle: degrees from horizontal.
            spoon_anyway: lay the spoon in where jar and lid do not hold, too: it takes longer than the cut.
        """
        key = height, angle
        if key not in self._made:
            if self._watch is not None:
                self._watch(height, angle)
            try:
                self._made[key] = self._cut(height, angle)
            except Fault as fault:
                if fault.field not in _OF_THE_CUT:
                    raise self.design.text.fault(fault) from fault
                self._made[key] = fault
        made = self._made[key]
        if isinstance(made, Fault):
            return Tried(height, angle, None, made.what, {KNIFE: -inf})
        margins = {KNIFE: inf} | self._margins(made)
        if not self.spooned:
            margins |= self._of_capacity(made.capacity_ml)
            return Tried(height, angle, made, "", margins, takes_ml=made.capacity_ml)
        if min(margins.values()) < 0 and not spoon_anyway and key not in self._laid:
            return Tried(height, angle, made, "", margins)
        if key not in self._laid:
            self._laid[key] = laid_in(self.design, made.made, self.settings)
        lies = self._laid[key]
        margins |= lies.margins
        if lies.takes_ml is not None:
            margins |= self._of_capacity(lies.takes_ml)
        return Tried(height, angle, made, "", margins, lies, lies.takes_ml)

    def _cut(self, height: float, angle: float) -> Figures:
        lid = self.lid.model_copy(update={"height": height, "angle": angle})
        made = paired(self.part, lid, self.design.asked)
        pair = made.cut
        if pair is None:
            raise TypeError("a cut lid came without its cut")
        body, (k_r, k_z) = self.design.body, self.scale
        top = made.lid.shape.section
        bare_cm3, bare_height_mm = self._wet_cm3 * top.volume_mm3, k_z * top.outline.highest(1)[1]
        stuck_on_cm3 = sum(extra.weight_g for extra in self._stuck_on) / body.plastic_density
        contact = contact_of(pair, self.scale)
        land = contact.overlap / cos(radians(contact.angle)) - contact.outer_edge - contact.inner_edge
        return Figures(
            made=made,
            capacity_ml=k_r**2 * k_z * _overflow_mm3(pair) / 1000,
            lid_g=body.mass_g(bare_cm3 + stuck_on_cm3, State.FIRED),
            lid_height_mm=bare_height_mm + k_z * max((extra.height for extra in self._stuck_on), default=0.0),
            seat_mm=k_r * pair.seat_width,
            centring_mm=k_z * pair.centring_depth,
            land_mm=land,
            slant_deg=contact.angle,
            lost=sits(pair, self.scale).kind if land <= 0 else "",
            bare_g=body.mass_g(bare_cm3, State.FIRED),
            bare_height_mm=bare_height_mm,
        )

    def _margins(self, figures: Figures) -> dict[str, float]:
        limits = self.limits
        found = {
            "least_contact": figures.land_mm - max(limits.least_contact, _ROUNDING),
            "slides": min(figures.slant_deg - SLIDES_UNDER_DEG + _ROUNDING, figures.centring_mm - SLIDES_UNDER_MM),
            "jams": JAMS_OVER_DEG + _ROUNDING - figures.slant_deg,
            "lid_small": min(figures.bare_g - LEAST_LID_G, figures.bare_height_mm - figures.seat_mm),
        }
        if limits.lid_height_most is not None:
            found["lid_height_most"] = limits.lid_height_most - figures.lid_height_mm
        if limits.lid_weight_most is not None:
            found["lid_weight_most"] = limits.lid_weight_most - figures.lid_g
        return found

    def _of_capacity(self, takes_ml: float) -> dict[str, float]:
        limits, found = self.limits, {"jar_small": takes_ml - LEAST_JAR_ML}
        if limits.capacity_least is not None:
            found["capacity_least"] = takes_ml - limits.capacity_least
        if limits.capacity_most is not None:
            found["capacity_most"] = limits.capacity_most - takes_ml
        return found


def _overflow_mm3(pair: CutPair) -> float:
    """What the jar holds until it runs over, mm³: its rim is the outer edge of a funnel, the inner edge of a cone."""
    rim, inside = pair.jar.rim, pair.jar.inside
    outer, inner = float(rim.start[1]), float(rim.end[1])
    if outer > inner + JOIN_MM:
        return volume_below(inside + rim.reversed(), outer)
    return volume_below(inside, inner)
