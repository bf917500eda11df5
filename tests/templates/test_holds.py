"""Whether a tool can be held with wet hands: holes a finger goes into, grips a hand goes round, no sharp corners.

The widths are common practice, no source.
"""

from __future__ import annotations

import numpy as np
import pytest
from shapely.geometry import LineString, Polygon, box

from profiler.templates.drawing import Drawing
from tests.templates.laid import CLOSE_MM, DESIGNS, Held, body_of, part

SLOT_MM, FINGER_MM = (80.0, 25.0), 24.0
GRIP_MM = (24.0, 66.0)
"""What a hand goes round: 25 to 60, and what a profile bulges or leans over its length."""
# A cubic for a quarter of an arc is 2.7e-4 of its radius off.
ROUND_MM = 0.05


def hands(drawing: Drawing) -> list[Polygon]:
    return [Polygon(line.curve.sampled(100)) for line in drawing.lines if line.id == "hand"]


def width_at(body: Polygon, y: float) -> float:
    """Of the body's widest run on a level line."""
    left, _, right, _ = body.bounds
    across = body.intersection(LineString([(left - 1, y), (right + 1, y)]))
    return float(max(run.length for run in getattr(across, "geoms", [across])))


def test_hand_holes_are_a_slot_for_four_fingers_or_a_hole_for_one(all_held: list[Held]) -> None:
    found = []
    for h in all_held:
        for hole in hands(h.drawing):
            left, low, right, high = hole.bounds
            size = tuple(sorted((right - left, high - low), reverse=True))
            kind = "slot" if size[0] > 50 else "finger"
            assert size == pytest.approx(SLOT_MM if kind == "slot" else (FINGER_MM, FINGER_MM), abs=ROUND_MM)
            found.append((h.kind, kind))
    # the broad ribs have the slot, the small ones the hole; what stands or is a bar has none
    assert set(found) >= {("inside_rib", "slot"), ("inside_rib", "finger"), ("outside_rib", "finger")}
    assert {kind for kind, _ in found} == {"inside_rib", "outside_rib"}


def test_what_has_no_hole_for_the_hand_is_a_grip_itself(all_held: list[Held]) -> None:
    for h in all_held:
        if hands(h.drawing):
            continue
        body = h.body
        left, low, right, top = body.bounds
        if h.kind in ("inside_rib", "outside_rib"):
            wide = [width_at(body, y) for y in np.linspace(low + 20, top - 10, 9)]
        elif h.kind == "inside_stick":
            wide = [width_at(body, y) for y in np.linspace(top - 70, top - 20, 5)]
        elif h.kind in ("trimming_gauge", "tombo"):  # held by its bar: from the clay's top to its own
            wide = [top - (0.0 if h.kind == "trimming_gauge" else float(part(h.drawing, "profile")[-1, 1]))]
            assert right - left > 70  # room for a hand along it
        else:  # stands on its leg, and is lifted by it or by the arm
            wide = [width_at(body, low + 10)]
        assert all(GRIP_MM[0] <= w <= GRIP_MM[1] for w in wide), (h.name, wide)


def test_no_corner_digs_into_a_palm(all_held: list[Held]) -> None:
    for h in all_held:
        if h.kind not in ("inside_rib", "outside_rib", "inside_stick", "tombo", "trimming_gauge"):
            continue
        body = h.body
        # what a disc of 3 mm radius does not reach from within is a corner; 0.2 mm² of it are not felt
        sharp = body.difference(body.buffer(-3.0, quad_segs=32).buffer(3.001, quad_segs=32))
        corners = [c for c in getattr(sharp, "geoms", [sharp]) if c.area > 0.2]
        touching = h.clay.buffer(CLAY_REACH_MM)
        assert all(touching.intersects(c) for c in corners), (h.name, [c.centroid.wkt for c in corners])


CLAY_REACH_MM = 4.0
"""The ends of the working edge: a rib's toe, the steps of a tombo, the tongue of a gauge lie so close to the clay."""


def test_a_rib_goes_on_past_the_rim_and_past_the_axis(all_held: list[Held]) -> None:
    """An end on the clay leaves a mark, so there is none: 15 mm past the rim, 5 past the axis (DESIGN section 8)."""
    past_axis = 0
    for h in all_held:
        if h.kind not in ("inside_rib", "outside_rib", "inside_stick"):
            continue
        profile = h.drawing.profile
        assert profile is not None
        body, rim = h.body, profile.end
        along = profile.direction(float(len(profile)))
        inward = np.array([-along[1], along[0]]) * (1 if h.kind != "outside_rib" else -1)
        # 9 mm on and 3 mm into the tool there is still tool: more than the 15 less its rounded corner needs
        ahead = rim + 9.0 * along + 3.0 * inward
        assert body.contains(LineString([rim + 3.0 * along + 3.0 * inward, ahead])), h.name
        if h.kind != "outside_rib" and profile.start[0] < 1e-9:
            # an arc of 5 mm that is tangent to the clay beyond the axis: less where that climbs at once
            start = profile.direction(0.0)
            left = body.intersection(box(-500, -500, 500, rim[1])).bounds[0]
            assert left == pytest.approx(-5.0 * (1.0 - max(float(start[1]), 0.0)), abs=CLOSE_MM), h.name
            past_axis += 1
    assert past_axis > len(DESIGNS) / 3


def test_bodies_are_no_blocks_of_waste(all_held: list[Held]) -> None:
    for h in all_held:
        profile = part(h.drawing, "profile")
        reach = np.ptp(profile, axis=0)
        _, low, _, top = body_of(h.drawing).bounds
        if h.kind == "inside_rib":  # no more than a hand over the rim, or a hand and its words over a flat floor
            assert top - low <= max(reach[1] + 60.0, 95.0 + 42.0) + CLOSE_MM, h.name
