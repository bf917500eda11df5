"""The notch strip: laid round the rim's outside, leather-hard; where the notch goes, and the rim in even parts."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from ..geometry.curve import Curve, Floats, arc, chained, line
from ..lengths import mm
from .drawing import Drawing
from .frame import Body, Mark, finished, point
from .lettering import Lettering
from .slab import frustum_net

STRIP_MM = 40.0
"""A strip as high as this has room for its words and stays easy to bend."""
OVERLAP_MM = 15.0
"""How far its end goes on past the seam, to be pinned or taped."""

_OFF_MM = 1.5  # a mark keeps off the cut by so much
_UNDER_MM = 10.0  # left of the strip under the notch
_LEAST_DEPTH_MM = 3.0
_MOST_SHARE = 1 / 3
_MOST_DEGREES = 300.0
_FLAT_MM = 0.01  # an edge that bends less than this is drawn straight
_FINE_RADIANS = 0.4  # an arc this short is 7e-8 of its radius off the circle


@dataclass(frozen=True)
class RimNotch:
    """A notch in a rim and the wall round it, in mm of the leather-hard pot.

    Attributes:
        rim_radius: of the outside at the top of the rim, its rounding left out of account.
        lower_radius: of the outside at the strip's lower edge.
        height: between the two, along the axis.
        width: of the notch: the cutter's own, real mm.
        depth: of the notch at its middle, down the wall.
        parts: the rim is marked in so many even parts, the notch in the middle of the first mark.
        overlap: see `OVERLAP_MM`.
    """

    rim_radius: float
    lower_radius: float
    height: float
    width: float
    depth: float
    parts: int = 4
    overlap: float = OVERLAP_MM

    @property
    def slant(self) -> float:
        """Height of the strip as it lies flat, mm."""
        return math.hypot(self.height, self.rim_radius - self.lower_radius)

    @property
    def round(self) -> float:
        """Length of the rim line, mm."""
        return 2 * math.pi * self.rim_radius


@dataclass(frozen=True)
class _Net:
    """The strip laid flat, the middle of its rim line at the origin, printed face up.

    A place is (along, down): mm along the rim line to the right, and mm down the wall from it.

    Attributes:
        bend: radius the rim line is drawn with, mm; infinite for a straight strip.
        sign: 1 where the strip's centre lies below (the wall widens upwards), -1 where above.
    """

    bend: float
    sign: float

    def at(self, along: float, down: float) -> Floats:
        """A place, mm."""
        if math.isinf(self.bend):
            return np.array([along, -down])
        radius, angle = self.bend - self.sign * down, along / self.bend
        # 1 - cos as a square of sines keeps its digits where the bend is a hundred metres
        rise = radius - self.bend - 2 * radius * math.sin(angle / 2) ** 2
        return np.array([radius * math.sin(angle), self.sign * rise])

    def way(self, along: float) -> tuple[float, float]:
        """Unit vector down the wall."""
        return point(self.at(along, 1.0) - self.at(along, 0.0))

    def run(self, first: float, last: float, down: float) -> Curve:
        """The line so far down the wall, from one place along to another."""
        if math.isinf(self.bend):
            return line(self.at(first, down), self.at(last, down))
        pieces = max(1, math.ceil(abs(last - first) / self.bend / _FINE_RADIANS))
        made = []
        for a, b in pairwise(np.linspace(first, last, pieces + 1)):
            angles = [self.sign * (math.pi / 2 - along / self.bend) for along in (a, b)]
            bent = arc((0.0, -self.sign * self.bend), self.bend - self.sign * down, *angles).cubics.copy()
            bent[0, 0], bent[-1, 3] = self.at(a, down), self.at(b, down)
            made.append(Curve(bent))
        return chained(made)


def notch_strip(says: Lettering, notch: RimNotch) -> Drawing:
    """The strip in mm, flat, printed face out; its upper edge is the rim line, the notch in its middle at x = 0.

    The left end comes to lie on the seam line, opposite the notch; the right end goes on underneath. The notch
    is a rectangle with a half-round bottom, drawn to be cut out if wanted, its top left open at the rim line.

    Args:
        says: what it says besides its sizes.
        notch: the notch and the wall.

    Raises:
        ValueError: `why_no_notch_strip` tells why not.
    """
    why = why_no_notch_strip(notch)
    if why is not None:
        raise ValueError(why)
    net, half, low = _net(notch), notch.round / 2, notch.slant
    end = half + notch.overlap
    rim = net.run(-half, half, 0.0)
    outline = chained(
        [
            net.run(half, end, 0.0),
            line(net.at(end, 0.0), net.at(end, low)),
            net.run(end, -half, low),
            line(net.at(-half, low), net.at(-half, 0.0)),
        ]
    )
    seam = line(net.at(half, _OFF_MM), net.at(half, low - _OFF_MM))
    quarter = half / 2
    each = notch.round / notch.parts
    # the bench card's depth is upright, the strip lies on the wall
    first = f"notch {notch.width:.3g} wide, {mm(notch.depth)} mm down the wall"
    shared = f"1 to {notch.parts}" if notch.parts > 1 else "1"
    rest = (
        f"{mm(notch.round)} mm round the rim, {notch.parts} parts of {mm(each)} mm",
        f"edge with {shared} along the rim",
    )
    return finished(
        "notch_strip",
        Body(
            profile=rim,
            outline=outline,
            marks=tuple(
                Mark(point(net.at(along, 0.0)), net.way(along), number) for number, along in _parts(notch) if along
            ),
            lines=(seam, _notch_line(notch)),
            labels=(
                ("1", (0.0, -notch.depth / 2)),
                ("notch", (0.0, -notch.depth - 4.0)),
                *((text, point(net.at(along, down))) for text, along, down in _opposite(notch)),
            ),
            hang=point(net.at(-half + 12.0, low - 10.0)),
            grip=point(net.at(-quarter if notch.parts % 2 else -quarter / 2 - 6.0, low / 2)),
        ),
        replace(says, notes=(first, *says.notes[:-1], *rest, *says.notes[-1:])),
    )


def why_no_notch_strip(notch: RimNotch) -> str | None:
    """Why there is no strip for this notch, as a sentence; None where there is one."""
    if notch.parts < 1:
        return f"No notch strip: a rim has no {notch.parts} parts."
    if notch.width > _MOST_SHARE * notch.round:
        return f"No notch strip: a notch {notch.width:.3g} mm wide takes more than a third of the rim."
    if notch.depth < _LEAST_DEPTH_MM:
        return f"No notch strip: a notch {mm(notch.depth)} mm deep is no notch."
    if notch.depth + _UNDER_MM > notch.slant:
        return (
            f"No notch strip: a notch {mm(notch.depth)} mm deep leaves less than {_UNDER_MM:.0f} mm of a strip "
            f"{mm(notch.slant)} mm high."
        )
    if frustum_net(2 * notch.rim_radius, 2 * notch.lower_radius, notch.height)[2] > _MOST_DEGREES:
        return "No notch strip: the wall is so flat that the strip closes to a ring."
    return None


def _net(notch: RimNotch) -> _Net:
    inner, outer, degrees = frustum_net(2 * notch.rim_radius, 2 * notch.lower_radius, notch.height)
    widens = notch.rim_radius > notch.lower_radius
    bend = outer if widens else inner
    # how far the ends of the longer edge bend away from straight
    if degrees == 0 or outer * (1 - math.cos(math.radians(degrees) / 2)) < _FLAT_MM:
        bend = math.inf
    return _Net(bend, 1.0 if widens else -1.0)


def _parts(notch: RimNotch) -> list[tuple[str, float]]:
    """(number, mm along the rim line) of each part's mark but the one on the seam; the first is in the notch."""
    half, each = notch.round / 2, notch.round / notch.parts
    places = [(str(k + 1), k * each if k * each <= half else k * each - notch.round) for k in range(notch.parts)]
    return [(number, along) for number, along in places if abs(along) < half - _OFF_MM]


def _opposite(notch: RimNotch) -> list[tuple[str, float, float]]:
    """What stands at both ends: the seam, and the number of the mark that lies on it."""
    half = notch.round / 2
    number = f"{notch.parts // 2 + 1}: " if notch.parts % 2 == 0 else ""
    return [
        ("left end here", half - 14.5, notch.slant - 8.0),
        (f"{number}opposite", half - 14.0, 6.0),
        (f"{number}opposite", -half + 14.0, 6.0),
    ]


def _notch_line(notch: RimNotch) -> Curve:
    """Sides and half-round bottom, from just under the rim line; a shallow notch is rounded as far as it is deep."""
    half, low = notch.width / 2, -notch.depth
    bend = min(half, notch.depth - _OFF_MM)
    left = arc((bend - half, low + bend), bend, math.pi, 1.5 * math.pi)
    right = arc((half - bend, low + bend), bend, 1.5 * math.pi, 2 * math.pi)
    parts = [left, right]
    if bend < half:
        parts.insert(1, line(left.end, right.start))
    if bend < notch.depth - _OFF_MM:
        parts = [line((-half, -_OFF_MM), left.start), *parts, line(right.end, (half, -_OFF_MM))]
    return chained(parts)
