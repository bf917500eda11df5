"""A knob turned on a closed form's top, from which its lid is cut later."""

from __future__ import annotations

from dataclasses import replace

from ..faults import Fault
from ..forms.shape import Shape
from ..geometry.curve import Curve, line
from .crown import knob_on
from .cut import CutPair
from .sizes import Knob


def knobbed(shape: Shape, knob: Knob, cut: CutPair) -> Shape:
    """A closed form with a knob grown out of its top; its inside stays.

    Args:
        shape: the form below.
        knob: its height counts from the form's top on the axis.
        cut: jar and lid as the form is cut without the knob.

    Raises:
        Fault: the knob does not fit on the lid, or the cut meets it.
    """
    top = float(shape.outside.end[1]) + knob.height

    def over(curve: Curve) -> Curve:
        return curve.mapped(1.0, -1.0).moved(0.0, top)

    base, side, rest = knob_on(over(shape.outside.reversed()), knob, cut.lid.rim_diameter / 2)
    starts = top - float(rest.start[1])
    cut_to = float(cut.lid.outside.start[1]) + cut.lid_cut_height
    if cut_to >= starts:
        raise Fault(
            "the cut meets the knob",
            f"{cut.cut.height:.1f} mm; the gap reaches up to {cut_to:.1f}, the knob starts at {starts:.1f} mm",
            f"a cut more than {cut_to - starts:.1f} mm lower, or a narrower knob",
            "lid.height",
        )
    outside = over((base + side).reversed())
    return replace(shape, outside=outside, rim=line(outside.end, shape.inside.end))
