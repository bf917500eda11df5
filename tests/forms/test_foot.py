"""A foot that leaves no wall is told in words."""

from __future__ import annotations

import pytest

from profiler.faults import Fault
from tests.pieces import piece_from


@pytest.mark.parametrize("foot", [152.8, 153.5, 154.4])
def test_a_foot_almost_as_wide_as_the_rim(foot: float) -> None:
    """Between its foot and its rim of 155 mm the wall would have to change faster than it runs."""
    bowl = f'[form]\nkind = "bowl"\nrim_diameter = 155\nheight = 68\n[foot_ring]\nouter_diameter = {foot}\n'
    with pytest.raises(Fault, match="hardly a wall between it and the rim") as told:
        piece_from(f"{bowl}[wall]\nrim = 4.5\nfoot = 5\n")
    assert told.value.field == "foot_ring.outer_diameter"
