"""A bowl of the demo with a record of its own, and what it takes to fill one."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from profiler.record.entry import Entry
from tests.pieces import ROOT


@pytest.fixture
def bowl(tmp_path: Path) -> Path:
    """The porridge bowl's design, copied: rim fired 155, wet 155/0.88 = 176.14 mm."""
    return Path(shutil.copy(ROOT / "designs_demo" / "porridge_bowl.toml", tmp_path))


@pytest.fixture
def record(bowl: Path) -> Path:
    """Where its record stands."""
    return bowl.with_name("porridge_bowl.record.jsonl")


def entry(name: str, values: dict[str, float] | None = None, pot: str = "1") -> Entry:
    """An entry; of a ball unless said."""
    return Entry(id=name, date="2031-04-09", pot=pot, digest="0123abcd", values=values or {"ball": 560.0})
