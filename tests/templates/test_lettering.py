"""What stands on the templates: whole, level, large enough, and clear of everything else."""

from __future__ import annotations

import re

import pytest
from hypothesis import HealthCheck, assume, given, settings

from profiler.clay.states import State
from profiler.faults import Fault
from profiler.lengths import mm
from profiler.lids.sizes import FlangeLid
from profiler.piece import Piece
from profiler.templates.lettering import BAND_MM, SEAT_BAND_MM
from tests.pieces import DEMO_DESIGNS, demo_piece, piece_from
from tests.strategies import any_design
from tests.templates.laid import DESIGNS, FOLLOWING, SETTING, Held, check_words, held, part

BARS = {"100 mm", "4 in", "50 mm", "2 in", "20 mm", "1 in"}
LABEL_MM = 3.2
TITLES = {
    "long": "Mountain hut Wednesday soup bowl for twelve, with a rolled rim",
    "Greek": "Κύπελλο για το ορεινό καταφύγιο, μεγάλο, με στρογγυλό χείλος",
    "Japanese": "山小屋の朝食のお椀と茶碗と湯呑み大小あわせて十二客分" * 2,
    "one word": "Hut" * 20,
    "signs": "<b>&amp; %s {0} \\n 7½″ ⌀ — “hut” №5 ± …",
}


def callipers(h: Held) -> tuple[str, float]:
    """Where a potter measures the clay a tool is for, and how wide it is there in the tool's state, mm."""
    k_r = h.cast.scale(h.state)[0]
    widest = 2 * k_r * float(h.cast.section.outline.sampled(400)[:, 0].max())
    if h.cast.name == "lid":
        return "edge", widest
    return ("widest place", widest) if h.cast.shape.closes else ("rim", k_r * h.cast.shape.rim_diameter)


def collar_across(h: Held) -> float:
    """How wide a collar that stands up is, half way down it, mm."""
    lid, points = h.piece.design.head.lid, h.laid(h.cast.section.outline).sampled(2000)
    assert isinstance(lid, FlangeLid)
    deep = h.cast.scale(h.state)[1] * lid.collar_depth
    top = points[:, 1].max()
    return 2 * float(points[points[:, 1] > top - deep / 2, 0].max())


def test_words_stay_on_the_body_and_off_each_other_marks_and_holes(all_held: list[Held]) -> None:
    for h in all_held:
        check_words(h.drawing)


def test_each_says_what_it_is_for_which_state_and_which_clay(all_held: list[Held]) -> None:
    for h in all_held:
        assert h.piece.design.title.split()[0] in h.said, h.name
        assert h.cast.name in h.said
        assert h.kind.replace("_", " ") in h.said, h.name
        words = "for use wet, as thrown" if h.state is State.WET else "for use leather-hard"
        assert words in h.said, h.name
        assert h.cast.body.name in h.said, h.name
        assert f"{100 * h.cast.body.shrinkage.at(State.FIRED):.3g} %" in h.said.replace("\u00a0", " "), h.name
        assert "fired" in h.said, h.name
        if h.state is State.LEATHER_HARD:
            where, across = callipers(h)
            assert f"right when your {where} measures {mm(across)} mm" in h.said, h.name


def test_each_template_of_the_demo_says_what_to_do_about_water_and_has_a_bar_worth_measuring() -> None:
    for h in held({path.stem: demo_piece(path) for path in DEMO_DESIGNS}, FOLLOWING | SETTING):
        assert "laminate, or trace on thin ply or plastic" in h.said, h.name
        assert {w.text for w in h.drawing.words} & {"100 mm", "50 mm"}, h.name


def test_the_number_that_matters_stands_under_the_head_and_is_the_largest_after_the_title(
    all_held: list[Held],
) -> None:
    for h in all_held:
        words = h.drawing.words
        bold = [n for n, w in enumerate(words) if w.bold]
        state = next(n for n, w in enumerate(words) if w.text.startswith("for use"))
        after = [n for n in bold if n > state]
        # in lines of one block, in the order they are read, after the state (itself perhaps in two lines)
        assert after, h.name
        assert after[0] - state <= 2, h.name
        assert any(c.isdigit() for n in after for c in words[n].text), h.name
        rest = [w.size for n, w in enumerate(words) if n > after[-1] and w.text not in BARS]
        assert all(size < words[after[0]].size for size in rest), h.name
        # the label beside a mark is set before the head
        assert all(w.size == LABEL_MM for w in words[: bold[0]]), h.name


def test_text_is_level_but_on_the_stick_and_never_small(all_held: list[Held]) -> None:
    for h in all_held:
        assert min(w.size for w in h.drawing.words) >= 3.0, h.name
        turned = {w.turned for w in h.drawing.words if w.text not in BARS}
        assert turned == ({90.0} if h.kind == "inside_stick" else {0.0}), h.name


def test_a_wet_gauge_says_the_band_in_which_a_rim_is_accepted(all_held: list[Held]) -> None:
    assert (BAND_MM, SEAT_BAND_MM) == (1.5, 1.0)  # DESIGN section 8: of a width, and of a lid card
    for h in all_held:
        if h.state is State.LEATHER_HARD:
            continue
        lid, is_lid = h.piece.design.head.lid, h.cast.name == "lid"
        where, across = callipers(h)
        fits_nothing = h.piece.whole is not None or (is_lid and not h.cast.flipped)
        if h.kind == "tombo":
            band = re.search(r"inside between ([\d.]+) and ([\d.]+) mm", h.said)
            if lid is None or fits_nothing:
                assert re.search(r"inside [\d.]+ ± 1\.5 mm", h.said) is not None, h.name
                continue
            assert band is not None, h.name
            # the inside as drawn: the steps stand half a millimetre clear of it on each side
            edge = part(h.drawing, "profile")
            drawn = 2 * (max(x for x, y in edge if y < edge[-1, 1] - 1.0) + 0.5)
            goes_round = (lid.kind == "cap") == is_lid
            wanted = (drawn, drawn + 1.0) if goes_round else (drawn - 1.0, drawn)
            # a width is written to the half millimetre
            assert [float(figure) for figure in band.groups()] == pytest.approx(wanted, abs=0.26), h.name
            continue
        if lid is None or fits_nothing:
            if h.kind != "pointer_card":
                assert f"{where} {mm(across)} ± 1.5 mm across" in h.said, h.name
            assert " ± 1.5 mm across" in h.said, h.name
            continue
        # a jar and the lid thrown for it must fit: what goes round is never narrower, what goes in never wider
        if is_lid and lid.kind == "flange":
            where, across = "collar", collar_across(h)
        goes_round = (lid.kind == "cap") == is_lid
        least, most = (across, across + 1.0) if goes_round else (across - 1.0, across)
        found = re.search(rf"{where} between ([\d.]+) and ([\d.]+) mm across", h.said)
        assert found is not None, h.name
        # a width is written to the half millimetre
        assert [float(figure) for figure in found.groups()] == pytest.approx([least, most], abs=0.26), h.name


def test_ribs_mark_the_rim_and_the_stick_says_how_the_pot_stands(all_held: list[Held]) -> None:
    for h in all_held:
        if h.kind in ("inside_rib", "outside_rib", "inside_stick"):
            # a rib longer than the profile protects the rim: so it says where that, or the middle of a dome, is
            lid = h.piece.design.head.lid if h.cast.name == "lid" else None
            under = "rim" if lid is None else {"gallery": "face", "flange": "collar", "cap": "skirt"}[lid.kind]
            ends = "middle" if h.cast.shape.closes else "top" if h.cast.shape.solid else under
            assert ends in {w.text for w in h.drawing.words}, h.name
        if h.kind == "turning_stick":
            is_lid = h.cast.name == "lid"
            assert ("no wads under it" if is_lid else "no wads under its rim") in h.said
            assert ("stands beside the lid" if is_lid else "stands beside the upturned pot") in h.said
            assert "on the wheel head" in {w.text for w in h.drawing.words}, h.name


@pytest.mark.parametrize("title", TITLES.values(), ids=TITLES)
def test_long_and_odd_titles_fit(title: str) -> None:
    small = ("small bowl", "cylinder", "plate", "beaker of points")
    quoted = title.replace("\\", "\\\\")
    made = {name: piece_from(f'title="{quoted}"\n{DESIGNS[name]}') for name in small}
    drawn = held(made, FOLLOWING | SETTING)
    assert {h.kind for h in drawn} == {*FOLLOWING, *SETTING}
    for h in drawn:
        check_words(h.drawing)
        first = next(w for w in h.drawing.words if w.bold)
        assert first.text[:3] == title[:3], h.name


@settings(max_examples=12, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])
@given(any_design())
def test_words_fit_whatever_the_sizes(text: str) -> None:
    try:
        piece: Piece = piece_from(f'title="Hut pot"\n{text}')
    except Fault:
        assume(False)
        raise
    for h in held({"pot": piece}, FOLLOWING | SETTING):
        check_words(h.drawing)
        assert "for use" in h.said
        assert h.cast.body.name in h.said
        assert "fired" in h.said
