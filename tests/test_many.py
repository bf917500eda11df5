"""Many designs measured side by side: told as one after the other; what is left out to be quick is not missed."""

from __future__ import annotations

import os
import signal
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from profiler import many, measure_command, thickness
from profiler.many import MANY
from tests.pieces import DEMO_DESIGNS, demo_piece

Command = Callable[..., tuple[int, str, str]]

KINDS = (
    '[form]\nkind = "cylinder"\nrim_diameter = {0}\nbase_diameter = 76\nheight = 95\n',
    '[form]\nkind = "bowl"\nrim_diameter = {1}\nheight = 68\n',
    '[form]\nkind = "jar"\nrim_diameter = {0}\nbelly_diameter = 96\nheight = 110\n[lid]\nkind = "gallery"\n',
)
# a base narrower than the foot: the thrown clay cannot hold the finished pot
SHORT = KINDS[0].format(82) + "[thrown]\nbase_diameter = 70\n"
NO_POT = '[form]\nkind = "bowl"\nrim_diameter = 155\nheight = {}\n'


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """As many designs as start the processes."""
    for number in range(MANY):
        text = KINDS[number % len(KINDS)].format(78 + number / 4, 140 + number)
        (tmp_path / f"pot_{number:02d}.toml").write_text(text, encoding="utf-8")
    return tmp_path


@pytest.mark.parametrize("words", [("--json",), ()])
def test_many_designs_are_told_as_they_are_one_after_the_other(
    command: Command, folder: Path, monkeypatch: pytest.MonkeyPatch, words: tuple[str, ...]
) -> None:
    (folder / "pot_05_short.toml").write_text(SHORT, encoding="utf-8")
    side_by_side = command("measure", folder, *words)
    monkeypatch.setattr(measure_command, "MANY", MANY + 2)
    assert side_by_side == command("measure", folder, *words)
    assert side_by_side[0] == 1  # an error stands against the short one
    assert "thrown" in side_by_side[1]
    assert side_by_side[2] == ""


def test_what_is_wrong_with_many_is_told_in_their_order(
    command: Command, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for number, height in ((3, 12), (11, 9), (20, 11)):
        (folder / f"pot_{number:02d}.toml").write_text(NO_POT.format(height), encoding="utf-8")
    side_by_side = command("measure", folder, "--json")
    monkeypatch.setattr(measure_command, "MANY", MANY + 1)
    assert side_by_side == command("measure", folder, "--json")
    code, out, err = side_by_side
    assert (code, out) == (2, "")
    assert [line.split(":")[0].rpartition("/")[2] for line in err.splitlines()] == [
        "pot_03.toml",
        "pot_11.toml",
        "pot_20.toml",
    ]


def _killed(*_: Any, **__: Any) -> None:
    os.kill(os.getpid(), signal.SIGTERM)


def test_a_process_killed_from_outside_is_one_line(
    command: Command, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(many, "_answer", _killed)
    code, out, err = command("measure", folder, "--json")
    assert (code, out) == (2, "")
    assert err.startswith("a process that measures was ended from outside")
    assert err.count("\n") == 1


@pytest.mark.parametrize("path", DEMO_DESIGNS, ids=lambda path: path.stem)
def test_the_thickest_place_is_that_of_all_places(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    shapes = [cast.shape for cast in demo_piece(path).parts]
    quick = [thickness.thickest(shape) for shape in shapes]
    monkeypatch.setattr(thickness, "_SPARSE", 1)  # every point of the skin limits every circle
    assert quick == [thickness.thickest(shape) for shape in shapes]


@pytest.mark.parametrize("path", DEMO_DESIGNS, ids=lambda path: path.stem)
def test_the_thinnest_place_is_that_of_all_runs(path: Path) -> None:
    generator = np.random.default_rng(1)
    for cast in demo_piece(path).parts:
        chain = cast.section.outline.sampled(9)
        points = chain[generator.integers(len(chain), size=60)] + generator.uniform(-8, 8, size=(60, 2))
        start, way = chain[:-1], np.diff(chain, axis=0)
        along = ((points[:, None] - start) * way).sum(axis=2) / np.maximum((way * way).sum(axis=1), 1e-30)
        gap = points[:, None] - start - np.clip(along, 0, 1)[..., None] * way
        every = np.hypot(gap[..., 0], gap[..., 1]).min(axis=1)
        # the same sums in another order: rounding of lengths of some 100 mm
        assert thickness._to_runs(points, chain) == pytest.approx(every, abs=1e-12)
