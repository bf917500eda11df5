"""Pots and templates that several tests look at, made once."""

from __future__ import annotations

import pytest

from profiler.piece import Piece
from tests.templates.laid import FOLLOWING, SETTING, Held, held, pieces


@pytest.fixture(scope="session")
def made(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Piece]:
    """The invented pots and those of the demo."""
    return pieces(tmp_path_factory.mktemp("designs"))


@pytest.fixture(scope="session")
def all_held(made: dict[str, Piece]) -> list[Held]:
    """All their templates, each with the clay it is held to."""
    return held(made, FOLLOWING | SETTING)
