"""The heights told beside a cut that was refused: both ends are cuts the same design takes."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.test_readme import DESIGNS

DEMO = Path(__file__).resolve().parents[2] / "designs_demo"
_SPOONLESS = re.sub(r"\[spoon\].*(?=\[\[extras)", "", DESIGNS["horseradish_pot.toml"], flags=re.DOTALL)
CUTS = {
    "mustard pot": (DEMO / "mustard_pot.toml").read_text(encoding="utf-8"),
    "thicker at the cut, with a spoon": DESIGNS["horseradish_pot.toml"],
    "much thicker": re.sub(r"at_cut = 6.*\n", "at_cut = 9\n", _SPOONLESS),
}


@pytest.mark.parametrize("name", CUTS)
@pytest.mark.parametrize("refused", ["150", "3"])
def test_both_ends_that_are_told_are_accepted(
    name: str, refused: str, command: Callable[..., tuple[int, str, str]], tmp_path: Path
) -> None:
    path = tmp_path / "pot.toml"

    def cut(height: str) -> tuple[int, str, str]:
        path.write_text(re.sub(r"(\[lid\][^\[]*?height = )[0-9]+", rf"\g<1>{height}", CUTS[name]), encoding="utf-8")
        return command("measure", path)

    code, _, err = cut(refused)
    assert code == 2
    found = re.search(r"lid\.height: .* wanted between ([0-9.]+) and ([0-9.]+) mm", err)
    assert found is not None
    low, high = found.groups()
    assert float(low) < 40
    assert float(high) > 70
    for height in (low, high):
        code, out, err = cut(height)
        assert (code, err) == (0, "")
        assert "error:" not in out


def test_where_no_height_holds_none_is_told(command: Callable[..., tuple[int, str, str]], tmp_path: Path) -> None:
    path = tmp_path / "pot.toml"
    text = CUTS["mustard pot"].replace("height = 66", "height = 150").replace("angle = 40", "angle = 5")
    path.write_text(text, encoding="utf-8")
    code, _, err = command("measure", path)
    assert code == 2
    assert "lid.height: the cut is above the top" in err
    assert "wanted one at which the knife comes out inside" in err
