"""What bars say of a clay, against suppliers' published bodies turned into bars, and arithmetic by hand."""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from profiler.bars.bar import Bar
from profiler.bars.bar_file import BarFile, read_bars
from profiler.bars.clay_found import ClayFound, clay_found, saturated_density
from profiler.clay.states import State
from profiler.faults import Fault
from tests.pieces import ROOT


@pytest.fixture
def found(tmp_path: Path) -> Callable[..., ClayFound]:
    """Reads bars from text."""

    def read(text: str, leave_out: tuple[str, ...] = ()) -> ClayFound:
        path = tmp_path / "bars.csv"
        path.write_text(text, encoding="utf-8")
        return clay_found(read_bars(path), leave_out)

    return read


# Suppliers' figures as published (TRADE, shrinkage): drying on plastic, firing on dry, absorption, all per cent.
PUBLISHED = {
    "coreclay Berlin grey, 1300 °C": (5.7, 6.7, 0.1),
    "Plainsman MSculp, cone 6": (5.0, 3.0, 6.5),
    "Plainsman MSculp, cone 8": (5.0, 3.5, 5.5),
    "Plainsman MSculp, cone 10": (5.0, 4.0, 4.0),
    "Plainsman P600, low": (5.0, 7.5, 0.0),
    "Plainsman P600, high": (6.0, 8.5, 0.0),
    "Digitalfire, 12.5 in all": (6.25, 6.66, 0.0),
    "a found clay that grows, cone 04 (Digitalfire)": (5.0, -0.3, 12.0),
}


@pytest.mark.parametrize("name", PUBLISHED)
@pytest.mark.parametrize("marks", [100.0, 102.0, 127.0])
def test_a_published_body_comes_back_from_its_bars(name: str, marks: float, found: Callable[..., ClayFound]) -> None:
    drying, firing, absorbs = PUBLISHED[name]
    dry = marks * (1 - drying / 100)
    fired = dry * (1 - firing / 100)
    rows = [f"{number},{marks},{dry!r},{fired!r},80,{80 + 0.8 * absorbs!r}" for number in range(10)]
    clay = found("\n".join(["bar,plastic_mm,bone_dry_mm,fired_mm,fired_g,soaked_g", *rows]))
    total = 100 * (drying / 100 + firing / 100 - drying * firing / 1e4)  # 1 - (1 - Sd)(1 - Sf), multiplied out
    # doubles of order 100 written in full: rounding only
    assert clay.shrinkage[State.BONE_DRY].mean == pytest.approx(drying, abs=1e-10)
    assert clay.on_dry[State.FIRED].mean == pytest.approx(firing, abs=1e-10)
    assert clay.shrinkage[State.FIRED].mean == pytest.approx(total, abs=1e-10)
    assert clay.absorption is not None
    assert clay.absorption.mean == pytest.approx(absorbs, abs=1e-10)


def test_a_total_of_two_published_figures(found: Callable[..., ClayFound]) -> None:
    # Digitalfire Reference Library: 6.25 and 6.66 make 12.5, exactly 12.4938; their sum would be 12.9
    clay = found("plastic_mm;bone_dry_mm;fired_mm\n100;93,75;87,50625\n")
    assert clay.shrinkage[State.FIRED].mean == pytest.approx(12.4938, abs=5e-5)  # its last digit


def test_weights_by_hand(found: Callable[..., ClayFound]) -> None:
    # 1000 g damp, 20 % water, 8 % loss: 800 dry, 736 fired (exact arithmetic on the definitions)
    head = "plastic_mm,bone_dry_mm,fired_mm,wet_g,dry_g,fired_g,soaked_g,suspended_g\n"
    clay = found(head + "100,94,88,1000,800,736,780.16,412.16\n")
    assert clay.water is not None
    assert clay.loss is not None
    assert clay.absorption is not None
    assert clay.density is not None
    assert clay.water.mean == pytest.approx(20, abs=1e-12)  # rounding
    assert clay.loss.mean == pytest.approx(8, abs=1e-12)
    # ASTM C373 (formulas from memory): A = (M - D)/D = 44.16/736 = 6 %; B = D/(M - S) = 736/368 = 2 g/cm³
    assert clay.absorption.mean == pytest.approx(6, abs=1e-10)
    assert clay.density.mean == pytest.approx(2, abs=1e-12)
    # 368 cm³ fired were 368/0.88³ = 540.0075 cm³ as thrown, which weighed 1000 g: 1.85183 g/cm³
    assert clay.plastic_density == pytest.approx(1.85183, abs=5e-6)  # the last digit by hand


def test_loss_may_be_weighed_after_the_bisque(found: Callable[..., ClayFound]) -> None:
    clay = found("plastic_mm,bone_dry_mm,dry_g,bisque_g\n100,94,50,47\n")
    assert clay.loss is not None
    assert clay.loss.mean == pytest.approx(6, abs=1e-12)  # 3 of 50


@pytest.mark.parametrize(("water", "low", "high"), [(20.0, 1.95, 1.99), (22.5, 1.89, 1.93)])
def test_plastic_density_of_a_saturated_clay(water: float, low: float, high: float) -> None:
    # 1/(w + (1 - w)/d), d 2.55 to 2.65: 1.95 to 1.99 at 20 %, 1.89 to 1.93 at 22.5 % (TRADE, exact, two decimals)
    assert low - 0.005 <= saturated_density(water) <= high + 0.005


def test_bars_without_a_plastic_length_are_put_on_the_others_drying(found: Callable[..., ClayFound]) -> None:
    dried = "A,100,94.0,\nB,100,94.4,\nC,100,94.2,\n"
    fired = "D,,94.1,87.8\nE,,94.3,88.1\nF,,94.0,87.6\nG,,94.2,88.0\n"
    clay = found("bar,plastic_mm,bone_dry_mm,fired_mm\n" + dried + fired)
    drying = np.array([6.0, 5.6, 5.8]) / 100
    firing = 1 - np.array([87.8, 88.1, 87.6, 88.0]) / [94.1, 94.3, 94.0, 94.2]
    total = clay.shrinkage[State.FIRED]
    assert clay.carried == ("D", "E", "F", "G")
    assert total.number == 4
    assert total.mean / 100 == pytest.approx(1 - (1 - drying.mean()) * (1 - firing.mean()), abs=1e-12)  # rounding
    # both scatters are in it, in quadrature: (1 - Sf) sd and (1 - Sd) sf, up to the square of a firing's own scatter
    first, second = (1 - firing.mean()) * drying.std(ddof=1), (1 - drying.mean()) * firing.std(ddof=1)
    assert total.deviation == pytest.approx(100 * math.hypot(first, second), rel=1e-5)


def test_bars_that_keep_their_plastic_length_are_not_carried(found: Callable[..., ClayFound]) -> None:
    rows = ["A,100,94.0,88.0", "B,100,94.4,88.3", "C,100,,88.1"]
    clay = found("\n".join(["bar,plastic_mm,bone_dry_mm,fired_mm", *rows]))
    total = clay.shrinkage[State.FIRED]
    assert clay.carried == ()
    assert total.mean == pytest.approx(np.mean([12.0, 11.7, 11.9]), abs=1e-12)  # rounding
    assert total.deviation == pytest.approx(np.std([12.0, 11.7, 11.9], ddof=1), abs=1e-10)


def test_what_a_fired_size_may_be_off_by(found: Callable[..., ClayFound]) -> None:
    # 88.0 and 88.2 of 100: S 11.9 %, s 0.141421 points, ± 12.7062 · 0.141421 · √1.5 = 2.2008 points. A pot that is to
    # be 100 mm fired is thrown 100/0.881 wide; that many points of it are 2.2008/0.881 = 2.498 mm
    clay = found("plastic_mm,bone_dry_mm,fired_mm\n100,94,88.0\n100,94,88.2\n")
    assert clay.fired_mm_of_100 == pytest.approx(2.498, abs=1e-3)  # the hand's last digit
    assert found("plastic_mm,fired_mm\n100,88\n").fired_mm_of_100 is None


def test_a_bar_is_left_out_only_by_name(found: Callable[..., ClayFound]) -> None:
    text = "bar,plastic_mm,fired_mm\n" + "".join(f"{n},100,{88 + n / 20}\n" for n in range(6)) + "bent,100,90.5\n"
    whole, without = found(text), found(text, ("bent",))
    assert whole.shrinkage[State.FIRED].apart == ("bent",)
    assert whole.shrinkage[State.FIRED].number == 7
    assert without.shrinkage[State.FIRED].number == 6
    assert without.left_out == ("bent",)
    with pytest.raises(Fault, match="no such bar"):
        found(text, ("benned",))
    with pytest.raises(Fault, match="no bar is left"):
        found("bar,plastic_mm,fired_mm\nA,100,88\n", ("A",))


def test_the_demo_bars_say_what_the_readme_says() -> None:
    clay = clay_found(read_bars(ROOT / "designs_demo" / "bars_valley.csv"))
    assert clay.shrinkage[State.FIRED].apart == ("V9",)
    assert len(clay.file.bars) == 12


def test_bars_made_by_hand_need_no_file() -> None:
    bars = (Bar("A", 2, plastic_mm=100, bone_dry_mm=95), Bar("B", 3, plastic_mm=50, bone_dry_mm=47))
    clay = clay_found(BarFile(Path("none.csv"), bars))
    # 5 and 6 %: each bar counts alike, however long
    assert clay.shrinkage[State.BONE_DRY].mean == pytest.approx(5.5, abs=1e-12)  # rounding
