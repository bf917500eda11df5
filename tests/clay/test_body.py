"""Shrinkage, water and weight against published figures."""

from __future__ import annotations

import pickle
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from profiler.clay.body import Body, Shrinkage, load_body, read_body, shipped_bodies
from profiler.clay.states import State
from profiler.faults import Fault, Faults


def _body(fired: float) -> Body:
    return Body("test", Shrinkage(0.05, 0.06, 0.065, fired), 1.95, 0.21, 0.06)


_PLAIN = """name = "Grey"
[shrinkage]
leather_hard = 5
bone_dry = 6
bisque = 6.5
fired = 12
[density]
plastic = 1.95
[weight]
water = 21
loss_on_ignition = 6
"""


def _read(folder: Path, text: str) -> Body:
    path = folder / "grey.toml"
    path.write_text(text, encoding="utf-8")
    return read_body(path)


# Tolerances are half the last digit printed.
@pytest.mark.parametrize(
    ("shrinkage", "wet", "fired", "tolerance"),
    [
        (0.115, 6.78, 6.0, 0.005),  # Clayart, subject 70279, inches
        (0.115, 6.0, 5.31, 0.005),  # the same
        (0.15, 100.0, 85.0, 0.5),  # Clayart, subject 76833, mm
        (0.125, 11.4286, 10.0, 5e-5),  # Clayart, subject 98083, inches; the source rounds up to 11.5
        (0.10, 5.0, 4.5, 0.05),  # glazestuff "Shrink Rule", inches
    ],
)
def test_published_sizes(shrinkage: float, wet: float, fired: float, tolerance: float) -> None:
    body = _body(shrinkage)
    assert fired * body.scale(State.FIRED, State.WET)[0] == pytest.approx(wet, abs=tolerance)
    assert wet * body.scale(State.WET, State.FIRED)[0] == pytest.approx(fired, abs=tolerance)


def test_adding_the_shrinkage_is_too_small_by_its_square() -> None:
    # A common published mistake: wet = fired x (1 + S). At 13 % exactly S² = 1.69 % too small.
    right = _body(0.13).scale(State.FIRED, State.WET)[0]
    assert 1 - 1.13 / right == pytest.approx(0.0169, abs=1e-15)  # rounding only


@pytest.mark.parametrize(
    ("linear", "volume"),
    [(5, 14.263), (8, 22.131), (10, 27.100), (12, 31.853), (13, 34.150), (15, 38.588)],
)
def test_volume_from_linear_shrinkage(linear: float, volume: float) -> None:
    # 1 - (1 - S)³, exact, printed to three decimals (hence the tolerance).
    k_r, k_z = _body(linear / 100).scale(State.WET, State.FIRED)
    assert 100 * (1 - k_r * k_r * k_z) == pytest.approx(volume, abs=5e-4)


@pytest.mark.parametrize(
    ("dry", "fire_on_dry", "total", "tolerance"),
    [
        # Digitalfire Reference Library: 6.25 and 6.66 combine to 12.5 (exact 12.4938); the sum is 12.9.
        (6.25, 6.66, 12.4938, 5e-5),
        # coreclay Berlin grey stoneware, 5.7 and 6.7 on dry: 1 - 0.943 x 0.933 = 0.120181, by hand.
        (5.7, 6.7, 12.0181, 5e-5),
        # Plainsman MSculp at cone 10, 5 and 4 on dry: 1 - 0.95 x 0.96 = 0.088, by hand.
        (5.0, 4.0, 8.8, 5e-5),
        # Firing growth of a found clay, -0.3 % at cone 04 (Digitalfire): 1 - 0.95 x 1.003 = 0.04715, by hand.
        (5.0, -0.3, 4.715, 5e-5),
    ],
)
def test_drying_and_firing_combine(
    tmp_path: Path, dry: float, fire_on_dry: float, total: float, tolerance: float
) -> None:
    body = _read(
        tmp_path,
        _PLAIN.replace("bone_dry = 6", f"bone_dry = {dry}")
        .replace("bisque = 6.5", "bisque = 0.2")
        .replace("fired = 12", f'fired = {fire_on_dry}\nfiring_base = "dry"'),
    )
    assert 100 * body.shrinkage.fired == pytest.approx(total, abs=tolerance)


def test_weights_dry_and_fired() -> None:
    # 1000 g damp at 20 % water and 8 % loss: 800 g dry, 736 g fired, exact arithmetic on the definitions.
    body = Body("test", Shrinkage(0.05, 0.06, 0.065, 0.12), 2.0, water=0.20, loss_on_ignition=0.08)
    masses = [body.mass_g(500.0, s) for s in (State.WET, State.BONE_DRY, State.BISQUE, State.FIRED)]
    assert masses == pytest.approx([1000.0, 800.0, 736.0, 736.0], rel=1e-12)  # rounding only


def test_water_left_at_leather_hard() -> None:
    # Leather-hard clay holds about 15 % water (Wikipedia, "Leather-hard"). By hand: 1 cm³ of plastic clay
    # comes to 1.95 - 0.142625 g, of which 1.95 x 0.79 is dry: 14.766 % is left.
    body = _body(0.12)
    leather, dry = (body.mass_g(1.0, s) for s in (State.LEATHER_HARD, State.BONE_DRY))
    water_percent = 100 * (leather - dry) / leather
    assert water_percent == pytest.approx(14.766, abs=5e-4)  # the last digit by hand
    assert water_percent == pytest.approx(15, abs=0.5)  # "about" to the whole per cent


# Bulk densities: earthenware 1.7 to 2.0, stoneware 2.1 to 2.4, porcelain 2.3 to 2.45 (memory).
@pytest.mark.parametrize(
    ("name", "low", "high"), [("earthenware", 1.7, 2.0), ("stoneware", 2.1, 2.4), ("porcelain", 2.3, 2.45)]
)
def test_shipped_bodies_agree_with_themselves(name: str, low: float, high: float) -> None:
    body = load_body(name, Path("nowhere"))
    assert low <= body.density(State.FIRED) <= high
    # 80 to 95 % of the drying shrinkage is over at leather-hard (memory, weak).
    assert 0.80 <= body.shrinkage.leather_hard / body.shrinkage.bone_dry <= 0.95
    assert 0.195 <= body.water <= 0.225  # Digitalfire, test CLWC
    # A saturated mix of minerals of 2.55 to 2.65 g/cm³; the shipped figures have two decimals.
    lowest, highest = (1 / (body.water + (1 - body.water) / d) for d in (2.55, 2.65))
    assert lowest - 0.005 <= body.plastic_density <= highest + 0.005


def test_shipped_bodies_are_read_once_and_named() -> None:
    assert shipped_bodies() == ("earthenware", "porcelain", "stoneware")
    assert load_body("stoneware", Path()) is load_body("stoneware", Path("elsewhere"))


@given(st.floats(-0.02, 0.35), st.floats(-0.02, 0.35), st.sampled_from(list(State)), st.sampled_from(list(State)))
def test_there_and_back(across: float, along: float, one: State, other: State) -> None:
    figures = Shrinkage(0.05, 0.06, 0.065, across), Shrinkage(0.04, 0.05, 0.055, along)
    body = Body("test", figures[0], 1.95, 0.21, 0.06, shrinkage_height=figures[1])
    there, back = body.scale(one, other), body.scale(other, one)
    assert [a * b for a, b in zip(there, back, strict=True)] == pytest.approx([1, 1], rel=1e-14)  # rounding


def test_height_may_shrink_differently(tmp_path: Path) -> None:
    body = _read(
        tmp_path,
        _PLAIN + "[shrinkage_height]\nleather_hard = 4\nbone_dry = 5\nbisque = 5.5\nfired = 10\n",
    )
    assert body.scale(State.WET, State.FIRED) == pytest.approx((0.88, 0.90), rel=1e-15)
    # Mass over what is left of the volume, by hand: 1.95 x 0.79 x 0.94 / (0.88² x 0.90) = 1.44807 / 0.69696.
    assert body.density(State.FIRED) == pytest.approx(2.07769, abs=5e-6)  # half the last digit


def test_own_body_beside_the_design(tmp_path: Path) -> None:
    _read(tmp_path, _PLAIN.replace("fired = 12", "fired = 12\nplus_minus = 1.5"))
    body = load_body("grey.toml", tmp_path)
    assert (body.name, body.spread_points, body.source) == ("Grey", 1.5, tmp_path / "grey.toml")
    assert pickle.loads(pickle.dumps(body)) == body  # noqa: S301 - work on solids crosses to a child process


def test_digest_changes_with_a_figure_and_not_with_the_place(tmp_path: Path) -> None:
    body = _read(tmp_path, _PLAIN)
    (tmp_path / "sub").mkdir()
    assert _read(tmp_path / "sub", _PLAIN).digest_text() == body.digest_text()
    assert _read(tmp_path, _PLAIN.replace("21", "21.5")).digest_text() != body.digest_text()


def test_unknown_body_names_the_shipped_ones() -> None:
    with pytest.raises(Fault, match="earthenware, porcelain, stoneware") as caught:
        load_body("stonewear", Path())
    assert caught.value.found == "'stonewear'"


def test_missing_body_file_is_named(tmp_path: Path) -> None:
    with pytest.raises(Fault, match="no such file") as caught:
        load_body("mine.toml", tmp_path)
    assert caught.value.file == tmp_path / "mine.toml"


@pytest.mark.parametrize(
    ("old", "new", "field", "line"),
    [
        ("leather_hard = 5", "leather_hard = 6.5", "shrinkage.leather_hard", 3),
        ("leather_hard = 5", "leather_hard = nan", "shrinkage.leather_hard", 3),
        ("fired = 12", "fired = 36", "shrinkage.fired", 6),
        ("fired = 12", "fired = -3", "shrinkage.fired", 6),
        ("fired = 12", 'fired = "12"', "shrinkage.fired", 6),
        ("fired = 12", "fried = 12", "shrinkage.fried", 6),
        ("bisque = 6.5", "bisque = 0.5", "shrinkage.bisque", 5),  # on the dry length, and no firing_base
        ("plastic = 1.95", "plastic = 1.1", "density.plastic", 8),
        ("plastic = 1.95", "plastic = true", "density.plastic", 8),
        ("water = 21", "water = 4", "weight.water", 10),
        ("water = 21", "water = 7", "weight.water", 10),  # leather-hard alone loses 7.3 %
        ("loss_on_ignition = 6", "loss_on_ignition = 31", "weight.loss_on_ignition", 11),
        ("[density]\nplastic = 1.95\n", "", "density", None),
    ],
)
def test_bad_figures_are_named(tmp_path: Path, old: str, new: str, field: str, line: int | None) -> None:
    assert old in _PLAIN
    with pytest.raises(Faults) as caught:
        _read(tmp_path, _PLAIN.replace(old, new))
    assert (field, line) in [(f.field, f.line) for f in caught.value.faults]
    assert all(f.file == tmp_path / "grey.toml" for f in caught.value.faults)
