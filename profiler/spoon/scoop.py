"""Scooping with the lid off: how flat the spoon can be held over the rim, and what it cannot get at.

A bowl that scoops comes in tip first, so its disc does not count here: the spoon is its middle line, from the tip to
the handle's end, and the handle is as thick as it is where it passes over the rim on the near side.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from ..geometry.curve import Curve, Floats, line
from ..geometry.section import volume_below
from .jar import Jar, bearing, mirrored
from .measured import Spoon


@dataclass(frozen=True)
class Scoop:
    """The flattest angles of a handle that passes over the near side of the rim.

    Attributes:
        axis_deg: with the tip on the floor at the axis; None where the tip does not get there.
        far_deg: with the tip in the far corner of the floor; None where it does not get there.
        far_at: that corner, (x, z) mm with x negative: where floor turns into wall, at a slope of 45 degrees.
        axis_reach_mm: length of spoon from the tip at the axis to where it passes over the rim; None where the
            jar's own clay is in the way of any spoon.
        far_reach_mm: the same from the far corner.
    """

    axis_deg: float | None
    far_deg: float | None
    far_at: tuple[float, float]
    axis_reach_mm: float | None
    far_reach_mm: float | None


def scoop(jar: Jar, spoon: Spoon) -> Scoop:
    """Flattest angles for the tip on the floor at the axis and in the far corner, lid off, over a whole rim."""
    points = jar.points
    corner = int(np.argmax(points[:, 0] - points[:, 1]))
    far = mirrored(points)
    axis = _flattest(jar, spoon, points[0], points[1:], far[1:])
    corners = _flattest(jar, spoon, far[corner], np.concatenate([far[:corner], points]), far[corner + 1 :])
    (axis_deg, axis_reach), (far_deg, far_reach) = (
        (None, None) if found is None else (found[0] if found[1] <= spoon.length else None, found[1])
        for found in (axis, corners)
    )
    return Scoop(axis_deg, far_deg, (float(far[corner, 0]), float(far[corner, 1])), axis_reach, far_reach)


def _flattest(jar: Jar, spoon: Spoon, tip: Floats, near: Floats, far: Floats) -> tuple[float, float] | None:
    """Flattest angle at the tip, degrees, over clay ahead (near) and under clay behind and above (far).

    Returns:
        The angle and how far it is from the tip to the rim, mm; None where clay hides one from the other.
    """
    rim, ahead = jar.upper(near) - tip, near - tip
    away = np.hypot(*rim.T)
    over = np.arctan2(rim[:, 1], rim[:, 0]) + np.arcsin(np.minimum(1.0, spoon.handle_thickness / 2 / away))
    bears = int(np.argmax(over))
    flattest = max(float(over[bears]), float(np.arctan2(ahead[:, 1], ahead[:, 0]).max()))
    # from straight down round by the near side: what lies behind the tip then has the larger angles
    behind = far - tip
    steepest = float(np.mod(np.arctan2(behind[:, 1], behind[:, 0]) + math.pi / 2, 2 * math.pi).min()) - math.pi / 2
    if flattest > min(steepest, math.pi / 2):
        return None
    return math.degrees(flattest), float(away[bears])


def left_mm3(jar: Jar, spoon: Spoon, limit_deg: float, filled_to: float | None = None) -> float:
    """What stays in a filled jar that she cannot scoop if she holds the spoon no steeper than a limit, mm³.

    The jar may be turned, so every place is tried from where the spoon reaches it flattest: straight across the axis.
    With the handle on the rim at the limit, everything under the spoon's middle line stays; turned, that line is
    a cone, z = c - r tan θ, so a heap is left with its peak on the axis. The volume is that of the filled inside
    below the cone: z + r tan θ in place of z moves every point along the axis only, which keeps the volume and
    makes the cone a level.

    The spoon's length is not asked (`scoop` says whether it gets to the floor), nor whether a flat shoulder
    hides a place from a spoon that could otherwise reach it.

    Args:
        jar: fired.
        spoon: as measured; only the handle's thickness counts.
        limit_deg: the steepest she holds it, from horizontal, from 0 to under 90.
        filled_to: height of what is in the jar; the rim if None.
    """
    if not 0 <= limit_deg < 90:
        raise ValueError(f"the spoon is held at 0 to under 90 degrees, not {limit_deg}")
    height = jar.rim_mm if filled_to is None else min(filled_to, jar.rim_mm)
    if height <= jar.floor_mm:
        return 0.0
    angle = math.radians(limit_deg)
    across, _ = bearing(jar.upper(jar.points), angle, spoon.handle_thickness)
    sheared = _contents(jar, height).cubics @ np.array([[1.0, math.tan(angle)], [0.0, 1.0]])
    return volume_below(Curve(sheared), across / math.cos(angle))


def _contents(jar: Jar, height: float) -> Curve:
    """Outline of what fills the jar to a height: up the inside and level back to the axis."""
    places = jar.inside.crossings(1, height)
    below = jar.inside.part(0.0, float(places[-1])) if height < jar.rim_mm else jar.inside
    return below + line(below.end, [0.0, below.end[1]])
