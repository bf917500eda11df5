"""Sized back and measured again: what was asked is what comes out, for every form, in every state and unit."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from profiler.clay.body import shipped_bodies
from profiler.clay.states import State
from profiler.design.model import read_design
from profiler.faults import Fault
from profiler.forms import FORMS
from profiler.measures import Measures, measured
from profiler.piece import piece_of
from profiler.settings import Settings
from profiler.sizing.free import whole_form
from profiler.sizing.sized import sized
from profiler.sizing.target import Target, of_ball, of_capacity, of_fill, of_fired_mass, of_stack
from profiler.stacking import stack_height_mm
from tests.pieces import DEMO_DESIGNS, piece_from
from tests.sizing.pots import SETTINGS, design_from, measures_of, sized_text
from tests.strategies import designs

WITHIN = 0.1
"""ml or g, as the issue asks."""

tried = settings(max_examples=4, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])

Amount = Callable[[Measures], float | None]
AMOUNTS: dict[str, tuple[Amount, Callable[[float, Settings], Target]]] = {
    "capacity": (lambda m: m.states[State.FIRED].capacity_ml, of_capacity),
    "fill": (lambda m: m.main.fill_ml, of_fill),
    "ball": (lambda m: m.ball_g, of_ball),
    "fired_mass": (lambda m: m.states[State.FIRED].mass_g, of_fired_mass),
}
FIRST = {"closed": "belly_diameter", "points": "floor.thickness"}
"""The size to leave free, where it is not the diameter of the rim."""


def _unlike(first: Any, second: Any, place: tuple[Any, ...] = ()) -> set[tuple[Any, ...]]:
    """Places at which two files differ."""
    if isinstance(first, dict) and isinstance(second, dict):
        keys = {*first, *second}
        return {at for key in keys for at in _unlike(first.get(key), second.get(key), (*place, key))}
    return set() if first == second else {place}


@pytest.mark.parametrize("kind", FORMS)
def test_the_whole_form(kind: str) -> None:
    @tried
    @given(
        designs(kind),
        st.sampled_from(sorted(AMOUNTS)),
        st.floats(0.75, 1.5),
        st.sampled_from(shipped_bodies()),
        st.sampled_from(list(State)),
    )
    def attempt(pot: str, which: str, times: float, clay: str, state: State) -> None:
        text = f'clay = "{clay}"\nsized = "{state}"  # said so\n{pot}'
        amount, target = AMOUNTS["ball" if kind == "closed" else which]
        try:
            now = amount(measures_of(text))
        except Fault:
            assume(False)
            raise
        assume(now is not None)
        assert now is not None
        done = sized_text(text, target(times * now, SETTINGS))
        assert amount(measures_of(done.text)) == pytest.approx(times * now, abs=WITHIN)
        before, after = tomllib.loads(text), tomllib.loads(done.text)
        assert {place[0] for place in _unlike(before, after)} <= {"form", "thrown"}  # nothing else was said
        assert "# said so" in done.text
        for key, value in before["form"].items():
            if key not in ("kind", "fullness", "shoulder", "outside") and value:
                # a hundredth of a mm of a size of 2 mm or more; a belly of less swells by less
                assert after["form"][key] / value == pytest.approx(done.value, abs=0.0051 / abs(value))

    attempt()


@pytest.mark.parametrize("kind", FORMS)
def test_one_size(kind: str) -> None:
    field = FIRST.get(kind, "form.rim_diameter")

    @tried
    @given(designs(kind), st.floats(0.85, 1.15))
    def attempt(text: str, times: float) -> None:
        amount, target = AMOUNTS["ball" if kind == "closed" else "capacity"]
        try:
            now = amount(measures_of(text))
        except Fault:
            assume(False)
            raise
        assert now is not None
        try:
            done = sized_text(text, target(times * now, SETTINGS), field)
        except Fault as told:  # a rim cannot be so much wider under a foot that stays: then it says what can be had
            ends = [way.partition(" and ")[::2] for way in told.wanted.split("between ")[1::2]]
            assert ends
            for low, high in ends:
                assert not float(low) <= times * now <= float(high.split()[0])
            return
        assert amount(measures_of(done.text)) == pytest.approx(times * now, abs=WITHIN)
        assert len(_unlike(tomllib.loads(text), tomllib.loads(done.text))) <= 1

    attempt()


def test_most_are_met_by_one_size() -> None:
    """Else the test above would be about refusals."""
    met: list[bool] = []
    for kind, size in (("bowl", "rim_diameter"), ("jar", "height"), ("plate", "rim_diameter"), ("stand", "height")):
        text = {
            "bowl": "rim_diameter = 160\nheight = 70\n",
            "jar": "rim_diameter = 90\nbelly_diameter = 110\nheight = 130\n",
            "plate": "rim_diameter = 240\nheight = 27\n",
            "stand": "rim_diameter = 240\nheight = 120\n",
        }[kind]
        text = f'[form]\nkind = "{kind}"\n{text}'
        ball = measures_of(text).ball_g
        done = sized_text(text, of_ball(1.05 * ball, SETTINGS), f"form.{size}")
        met.append(measures_of(done.text).ball_g == pytest.approx(1.05 * ball, abs=WITHIN))
    assert all(met)


@pytest.mark.parametrize("path", DEMO_DESIGNS, ids=lambda path: path.stem)
def test_every_design_of_the_demo(path: Path) -> None:
    """Lids, spoons and notches too: the jar below a cut, the notch that is as deep as the spoon then needs."""
    design, text = read_design(path), path.read_text(encoding="utf-8")
    now = measured(piece_of(design), SETTINGS).states[State.FIRED].capacity_ml
    assert now is not None
    done = sized(design, text, of_capacity(1.1 * now, SETTINGS), whole_form(design), SETTINGS)
    assert measures_of(done.text).states[State.FIRED].capacity_ml == pytest.approx(1.1 * now, abs=WITHIN)
    kept = [("wall", "rim"), ("floor", "thickness"), ("foot_ring", "width"), ("foot_ring", "depth"), ("lid", "gap")]
    before, after = tomllib.loads(text), tomllib.loads(done.text)
    for table, key in [*kept, ("lid", "clearance"), ("lid", "ledge_width"), ("spoon", "length")]:
        assert after.get(table, {}).get(key) == before.get(table, {}).get(key)
    if before.get("lid", {}).get("kind") == "cut":
        assert after["lid"]["height"] / before["lid"]["height"] == pytest.approx(done.value, abs=1e-3)


def test_a_body_that_shrinks_more_in_height(tmp_path: Path) -> None:
    (tmp_path / "own.toml").write_text(
        'name = "Own"\n[shrinkage]\nleather_hard = 4\nbone_dry = 6\nbisque = 7\nfired = 12\n'
        "[shrinkage_height]\nleather_hard = 5\nbone_dry = 8\nbisque = 9\nfired = 15\n"
        "[density]\nplastic = 1.95\n[weight]\nwater = 21\nloss_on_ignition = 6\n",
        encoding="utf-8",
    )
    text = 'clay = "own.toml"\nsized = "wet"\n[form]\nkind = "bowl"\nrim_diameter = 180\nheight = 80\n'
    design = design_from(text, tmp_path / "bowl.toml")
    done = sized(design, text, of_capacity(900, SETTINGS), whole_form(design), SETTINGS)
    again = measured(piece_of(design_from(done.text, tmp_path / "bowl.toml")), SETTINGS)
    assert again.states[State.FIRED].capacity_ml == pytest.approx(900, abs=WITHIN)
    # the fired cup is the wet one, flattened: 0.88 across and 0.85 up
    assert again.states[State.WET].capacity_ml == pytest.approx(900 / (0.88**2 * 0.85), rel=1e-3)


def test_a_stack_of_bowls() -> None:
    text = '[form]\nkind = "bowl"\nrim_diameter = 160\nheight = 70\n'
    done = sized_text(text, of_stack(6, 220), "form.height")
    assert stack_height_mm(piece_from(done.text), 6) == pytest.approx(220, abs=0.05)
