"""`measure --json` of a lidded pot that is given as text."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.lidded.pots import Told

Command = Callable[..., tuple[int, str, str]]


@pytest.fixture
def told(command: Command, tmp_path: Path) -> Told:
    """Exit code, JSON and stderr of a design's text."""

    def run(text: str) -> tuple[int, dict[str, Any], str]:
        path = tmp_path / "pot.toml"
        path.write_text(text, encoding="utf-8")
        code, out, err = command("measure", "--json", path)
        found = json.loads(out, parse_constant=lambda word: pytest.fail(f"{word} in the JSON")) if out else {}
        return code, found, err

    return run
