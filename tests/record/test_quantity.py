"""What may be noted, as she writes it, and its figures."""

from __future__ import annotations

import pytest

from profiler.faults import Fault
from profiler.record.quantity import amount_of, quantity_of


@pytest.mark.parametrize(
    ("written", "meant"),
    [
        ("ball", "ball"),
        (" Ball ", "ball"),
        ("trimmings", "trimmed"),
        ("rim@wet", "rim@wet"),
        ("rim@as thrown", "rim@wet"),
        ("height@leather-hard", "height@leather_hard"),
        ("height@Leather Hard", "height@leather_hard"),
        ("width@fired", "widest@fired"),
        ("weight@dry", "weight@bone_dry"),
        ("weight@bisque-fired", "weight@bisque"),
        ("weight@wet", "thrown"),
        ("lid.weight@wet", "lid.thrown"),
        ("Lid.height@glaze-fired", "lid.height@fired"),
        ("brimful@fired", "brimful@fired"),
    ],
)
def test_words_are_taken_loosely(written: str, meant: str) -> None:
    assert quantity_of(written).key == meant


@pytest.mark.parametrize(
    ("written", "says"),
    [
        ("hieght@fired", "not something to note (found 'hieght@fired'; wanted perhaps `height`)"),
        (
            "rim",
            "in which state? (found 'rim'; wanted `rim@…` and one of wet, leather_hard, bone_dry, bisque, fired)",
        ),
        ("rim@green", "not a state of the clay"),
        ("ball@wet", "`ball` takes no state"),
        ("l1d!.rim@wet", "not a part of a piece"),
        ("", "not something to note"),
    ],
)
def test_words_that_mean_nothing_are_told(written: str, says: str) -> None:
    with pytest.raises(Fault) as told:
        quantity_of(written)
    assert str(told.value).startswith(says)


@pytest.mark.parametrize(
    ("name", "written", "units", "meant"),
    [
        ("ball", "560", "mm", 560.0),
        ("ball", "560,5 g", "mm", 560.5),
        ("ball", "1.2 kg", "mm", 1200.0),
        ("ball", "1 lb", "mm", 453.59237),  # exact by definition
        ("ball", "8oz", "mm", 226.796185),
        ("trimmed", "0", "mm", 0.0),
        ("rim@fired", "155", "mm", 155.0),
        ("rim@fired", "66,5", "mm", 66.5),
        ("rim@fired", "6 1/4 in", "mm", 158.75),  # 6.25 x 25.4
        ("rim@fired", "6", "in", 152.4),
        ("rim@fired", "15,5 cm", "in", 155.0),
        ("brimful@fired", "0.35 l", "mm", 350.0),
    ],
)
def test_figures_as_written(name: str, written: str, units: str, meant: float) -> None:
    assert amount_of(written, quantity_of(name), units) == pytest.approx(meant, rel=1e-12)  # rounding


@pytest.mark.parametrize(
    ("name", "written", "says"),
    [
        ("ball", "1,200", "ball: a comma that may part thousands or decimals (found '1,200'; wanted 1200 or 1.2)"),
        ("ball", "heavy", "ball: not an amount (found 'heavy'"),
        ("ball", "5 mm", "ball: not an amount"),
        ("ball", "0", "ball: no such measure (found '0'; wanted more than 0)"),
        ("ball", "-560", "ball: not an amount"),
        ("ball", "999999", "ball: more than any pot"),
        ("ball", "nan", "ball: not an amount"),
        ("rim@fired", "-3", "rim@fired: no such measure (found '-3'"),
        ("rim@fired", "155 g", "rim@fired: not a length (found '155 g'"),
        ("rim@fired", "3000", "rim@fired: a length out of reach (found '3000'"),
        ("rim@fired", "", "rim@fired: not a length (found ''"),
    ],
)
def test_figures_that_are_none_are_told_with_their_name(name: str, written: str, says: str) -> None:
    with pytest.raises(Fault) as told:
        amount_of(written, quantity_of(name), "mm")
    assert str(told.value).startswith(says)
