"""Jar and lid put together as when closed, in another library: nothing overlaps, they touch, and there is play."""

from __future__ import annotations

import numpy as np
import pytest
from shapely import affinity
from shapely.geometry import LineString, Polygon

from profiler.clay.states import State
from profiler.lidded import lid_measures, standing
from profiler.piece import Piece
from profiler.thickness import thickest, thinnest
from tests.pieces import piece_from

JAR = '[form]\nkind="jar"\nrim_diameter=82\nheight=100\nbelly_diameter=86\n'
KNOB = "[lid.knob]\ndiameter=24\nheight=18\n"
CLOSED = '[form]\nkind="closed"\nbelly_diameter=95\nheight=100\n'
CUT = CLOSED + '[lid]\nkind="cut"\nheight={height}\nangle={angle}\nslope="{slope}"\n'

CHORDS_MM = 0.005
"""400 chords to a cubic stray from the longest of these, 90 mm, by under 90²/(8·30·400²) mm: far less than this."""


def _polygons(piece: Piece, state: State = State.FIRED) -> tuple[Polygon, Polygon]:
    jar, lid = (Polygon(standing(piece, cast, state).outline.sampled(400)) for cast in piece.parts)
    assert jar.is_valid
    assert lid.is_valid
    return jar, lid


@pytest.mark.parametrize("knob", ["", KNOB], ids=["plain", "knob"])
@pytest.mark.parametrize("thrown", ["upside_down", "right_way_up"])
@pytest.mark.parametrize("kind", ["gallery", "flange", "cap"])
def test_a_lid_thrown_by_itself_rests_and_has_its_play(kind: str, thrown: str, knob: str) -> None:
    piece = piece_from(f'{JAR}[lid]\nkind="{kind}"\nthrown="{thrown}"\nclearance=1.2\n{knob}')
    assert piece.pair is not None
    seat = piece.pair.seat
    assert seat is not None
    jar, lid = _polygons(piece)
    assert jar.intersection(lid).area < CHORDS_MM  # they touch along a face or a line
    # exact on a level face; on a rounded rim the chord nearest its top lies under it by no more than this
    assert jar.distance(lid) < 1e-6 + (0 if kind == "gallery" else 1e-4)
    # the lid's side, where it stands beside the jar: the play is the least level distance there
    low, high = {
        "gallery": (seat.rests_at + 1e-3, seat.rests_at + seat.depth),
        "flange": (seat.rests_at - seat.depth, seat.rests_at - 1e-3),
        "cap": (seat.rests_at - seat.depth, seat.rests_at - 1e-3),
    }[kind]
    plays = []
    for z in np.linspace(low, high, 800):
        across = LineString([(0, z), (200, z)])
        of_jar, of_lid = jar.intersection(across), lid.intersection(across)
        if kind == "cap":
            skirt = max(part.bounds[0] for part in getattr(of_lid, "geoms", [of_lid]))
            plays.append(skirt - of_jar.bounds[2])
        else:
            plays.append(of_jar.bounds[0] - of_lid.bounds[2])
    play = min(plays)
    assert play == pytest.approx(1.2, abs=0.01)  # the figure
    found = lid_measures(piece)
    assert found is not None
    assert found.clearance_mm == pytest.approx(1.2, abs=1e-9)


@pytest.mark.parametrize("kind", ["gallery", "flange", "cap"])
def test_a_lid_is_the_same_whichever_way_up_it_is_thrown(kind: str) -> None:
    down, up = (
        piece_from(f'{JAR}[lid]\nkind="{kind}"\nthrown="{thrown}"\n{KNOB}')
        for thrown in ("upside_down", "right_way_up")
    )
    (_, first), (_, second) = _polygons(down), _polygons(up)
    assert first.symmetric_difference(second).area < CHORDS_MM
    # the two are looked at from the same hollow, sampled half a millimetre apart over a curve of 3 mm radius
    assert thickest(down.parts[1].shape).thickness_mm == pytest.approx(
        thickest(up.parts[1].shape).thickness_mm, abs=0.1
    )
    assert thinnest(up.parts[1].shape).thickness_mm == pytest.approx(
        thinnest(down.parts[1].shape).thickness_mm, abs=0.15
    )


@pytest.mark.parametrize("kind", ["gallery", "flange", "cap"])
def test_a_lid_in_another_body_rests_where_the_jars_seat_has_gone(kind: str) -> None:
    wide = "ledge_width=9\n" if kind == "gallery" else ""
    piece = piece_from(f'{JAR}[lid]\nkind="{kind}"\nclay="porcelain"\nclearance=3\n{wide}{KNOB}')
    for state in State:
        jar, lid = _polygons(piece, state)
        assert jar.intersection(lid).area < CHORDS_MM
        assert jar.distance(lid) < 1e-4  # as above
    # porcelain shrinks by 14 per cent and stoneware by 12 (their files): sized fired, the lid is thrown larger
    assert piece.parts[1].scale(State.WET)[0] == pytest.approx(1 / 0.86, abs=1e-12)
    assert piece.parts[0].scale(State.WET)[0] == pytest.approx(1 / 0.88, abs=1e-12)


@pytest.mark.parametrize("slope", ["inward_down", "inward_up"])
@pytest.mark.parametrize(("height", "angle"), [(50, 30), (66, 40), (70, 35)])
def test_the_slopes_of_a_cut_lid_touch_after_its_sink(height: float, angle: float, slope: str) -> None:
    piece = piece_from(CUT.format(height=height, angle=angle, slope=slope))
    found = lid_measures(piece)
    assert found is not None
    assert found.sink_mm is not None
    jar, lid = _polygons(piece)
    assert jar.intersection(lid).area < CHORDS_MM
    assert jar.distance(lid) < 1e-6
    # lifted by the sink it is where it was cut, and the gap between the two is what was taken, square to the joint
    assert jar.distance(affinity.translate(lid, 0, found.sink_mm)) == pytest.approx(1.5, abs=0.01)
    # faces lie on each other, not only a corner: let down by a hair more they overlap along the land
    hair = 1e-3
    land = jar.intersection(affinity.translate(lid, 0, -hair)).area / (hair * np.cos(np.radians(angle)))
    assert found.contact_mm is not None
    assert land >= found.contact_mm  # which has lost its rounded edges, not drawn here
    assert land <= float(np.hypot(found.seat_width_mm or 0, found.centring_depth_mm)) + 0.1  # its ends are cut aslant
