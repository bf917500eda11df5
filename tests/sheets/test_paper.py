"""Papers, and what makes up for a printer."""

import re

import pytest

from profiler.sheets.paper import PAPER_NAMES, Correction, Leaf, leaves, own_leaf, paper_mm, stretch


def test_papers() -> None:
    # ISO 216 and ANSI/ASME Y14.1 (TRADE.md); exact.
    assert paper_mm("A4") == (210, 297)
    assert paper_mm("a3") == (297, 420)
    assert paper_mm("letter") == pytest.approx((215.9, 279.4), abs=1e-9)
    assert paper_mm("Tabloid") == pytest.approx((279.4, 431.8), abs=1e-9)
    with pytest.raises(ValueError, match="A4, A3, Letter, Tabloid, own"):
        paper_mm("foolscap")
    assert PAPER_NAMES == ("A4", "A3", "Letter", "Tabloid", "own")


def test_a_lying_page_swaps_the_correction() -> None:
    correction = Correction("Kitchen inkjet", 99.2, 100.3)
    assert stretch(correction, landscape=False) == pytest.approx((100 / 99.2, 100 / 100.3))
    assert stretch(correction, landscape=True) == pytest.approx((100 / 100.3, 100 / 99.2))


@pytest.mark.parametrize(("across", "up"), [(94.9, 100), (100, 105.1), (float("nan"), 100), (float("inf"), 100)])
def test_a_wrong_print_setting_is_no_correction(across: float, up: float) -> None:
    with pytest.raises(ValueError, match="wrong print setting"):
        Correction("Kitchen inkjet", across, up)


@pytest.mark.parametrize("name", ["Kitchen inkjet", "Küche – “links”", "台所 🖨", "a\nb\tc", "for 3 (two)", "x for y"])
def test_keywords_are_read_back(name: str) -> None:
    found = re.match(r"^corrected across ([\d.]+) up ([\d.]+) for (.*)$", Correction(name, 99.25, 100).keywords)
    assert found is not None
    assert (float(found[1]), float(found[2]), found[3]) == (99.25, 100, " ".join(name.split()))


def test_a_corrected_leaf_is_what_the_printer_puts_on_the_paper() -> None:
    upright, lying = leaves("A4", Correction("k", 99.2, 100.3))
    # 210 mm in the file come out as 210 x 0.992.
    assert (upright.width, upright.height) == pytest.approx((210 * 0.992, 297 * 1.003))
    assert (lying.width, lying.height) == pytest.approx((297 * 1.003, 210 * 0.992))


def test_an_own_leaf_has_room_for_its_name() -> None:
    wide, narrow = own_leaf(300, 100), own_leaf(60, 120)
    assert wide == Leaf(322, 137, 25)  # no lower than its bar of 100 mm wants
    assert narrow.foot - wide.foot >= 10  # the name stands over the bars
    assert narrow.height == 120 + narrow.foot + 8
