"""The `[kiln]` table: what contradicts is said, with its field."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from pydantic import BaseModel, ValidationError

from profiler.design.explained import faults_of
from profiler.design.toml_text import read_toml
from profiler.kiln import KilnTable
from tests.pieces import ROOT


class _File(BaseModel):
    kiln: KilnTable


ROUND = 'shelf = "round"\ndiameter = 480\nclear_height = 500\n'


@pytest.mark.parametrize(
    ("text", "field", "says"),
    [
        (ROUND + "width = 300\n", "kiln.width", "a round shelf has no width"),
        ('shelf = "round"\nclear_height = 500\n', "kiln.diameter", "a round shelf without its diameter"),
        ('shelf = "rectangular"\nwidth = 500\nclear_height = 1\n', "kiln.depth", "without its depth"),
        (ROUND.replace("round", "square"), "kiln.shelf", "not a known word"),
        (ROUND + "posts = 2\n", "kiln.posts", "a shelf does not stand on so few posts"),
        (ROUND + "posts = 9\n", "kiln.posts", "out of range"),
        (ROUND + "posts = -1\n", "kiln.posts", "out of range"),
        (ROUND + "space = -1\n", "kiln.space", "must not be negative"),
        (ROUND + "stack_limit = 0\n", "kiln.stack_limit", "out of range"),
        (ROUND + "post_heights = []\n", "kiln.post_heights", "too short a list"),
        (ROUND + "gap = 6\n", "kiln.gap", "unknown key"),
        (ROUND.replace("480", "50"), "kiln.diameter", "no room for posts"),
        ('shelf = "round"\ndiameter = 480\n', "kiln.clear_height", "a key is missing"),
    ],
)
def test_a_fault_names_its_field_and_line(text: str, field: str, says: str, tmp_path: Path) -> None:
    path = tmp_path / "set.toml"
    path.write_text("[kiln]\n" + text, encoding="utf-8")
    toml = read_toml(path)
    with pytest.raises(ValidationError) as caught:
        _File.model_validate(toml.data)
    (fault,) = faults_of(caught.value, toml, _File).faults
    assert fault.field == field
    assert says in fault.what
    assert fault.line is not None


@pytest.mark.parametrize("posts", [0, 3, 4, 8])
def test_posts_that_stand(posts: int) -> None:
    given: dict[str, Any] = {"shelf": "rectangular", "width": "50 cm", "depth": "16 in", "clear_height": 500}
    kiln = KilnTable.model_validate({**given, "posts": posts})
    assert (kiln.posts, kiln.depth, kiln.space) == (posts, 406.4, 6.4)


def test_the_kiln_is_on_the_quick_path() -> None:
    """A shelf is counted without any library that is slow to load."""
    counts = (
        "import sys; from profiler.kiln import *;"
        "per_shelf(Ware('cup', 30, 42, 95), KilnTable(shelf='round', diameter=480, clear_height=400));"
        "print(sorted({'scipy', 'reportlab', 'matplotlib', 'cadquery'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", counts], cwd=ROOT, capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
