"""What holds for lid card, knife guide and notch strip alike."""

from __future__ import annotations

import numpy as np
import pytest
from shapely.geometry import LineString, Point, Polygon

from profiler.templates.drawing import Layer
from tests.templates.lid_tools import ALL, EXACT_MM, PER_CUBIC, body_of, lettered, marks_of, path_of, said


def test_each_is_a_sound_body_with_its_two_paths() -> None:
    assert {d.name for d in ALL} == {"lid_card", "knife_guide", "notch_strip"}
    for drawing in ALL:
        profile, back = path_of(drawing, "profile"), path_of(drawing, "outline")
        assert np.abs(profile[-1] - back[0]).max() < EXACT_MM
        assert np.abs(back[-1] - profile[0]).max() < EXACT_MM
        assert body_of(drawing).is_valid
        cuts = [
            tuple(np.round(c, 6).ravel()) for ln in drawing.lines if ln.layer is Layer.CUT for c in ln.curve.cubics
        ]
        assert len(cuts) == len(set(cuts))


def test_holes_leave_material_and_there_is_one_to_hang_it_by() -> None:
    for drawing in ALL:
        body = body_of(drawing)
        assert "hang" in {line.id for line in drawing.lines}
        for hole in drawing.holes:
            assert body.exterior.distance(Polygon(hole.sampled(PER_CUBIC))) >= 5.0


def test_lettering_stays_on_the_body_and_off_everything_else() -> None:
    for drawing in ALL:
        body, texts, marks = body_of(drawing), lettered(drawing), marks_of(drawing)
        holes = [Polygon(hole.sampled(PER_CUBIC)) for hole in drawing.holes]
        for i, text in enumerate(texts):
            words = drawing.words[i].text
            assert body.contains(text), words
            assert not any(text.intersects(other) for other in (*holes, *marks)), words
            # lines of one block may touch by their faces' full height, letters never
            assert all(text.intersection(o).area < 0.5 for o in texts[i + 1 :]), words
        assert min(w.size for w in drawing.words) >= 3.0


def test_marks_stay_on_the_body_and_off_the_profile() -> None:
    for drawing in ALL:
        body, profile = body_of(drawing), LineString(path_of(drawing, "profile"))
        for mark in marks_of(drawing):
            assert body.contains(mark)
            assert mark.distance(profile) > 0.9  # a mark keeps off by 1.5, a notch's corner by a little less


def test_each_says_what_it_is_and_has_a_bar_to_prove_it_by() -> None:
    # 25.4 mm to the inch by definition (international yard and pound agreement, 1959)
    lengths = {"100 mm": 100.0, "50 mm": 50.0, "20 mm": 20.0, "4 in": 101.6, "2 in": 50.8, "1 in": 25.4}
    for drawing in ALL:
        assert "Hut honey jar" in said(drawing)
        assert "for use leather-hard" in said(drawing)
        bars = [w for w in drawing.words if w.text in lengths]
        assert len(bars) == 2
        for word in bars:
            mark = min(marks_of(drawing), key=lambda m: m.distance(Point(word.x, word.y)))
            left, low, right, high = mark.bounds
            assert max(right - left, high - low) == pytest.approx(lengths[word.text], abs=EXACT_MM)
