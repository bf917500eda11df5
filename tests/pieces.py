"""Pieces for tests: from a design's text without a file, and those of the demo."""

from __future__ import annotations

import tomllib
from pathlib import Path

from profiler.design.model import design_of, read_design
from profiler.design.toml_text import TomlText
from profiler.piece import Piece, piece_of

ROOT = Path(__file__).resolve().parents[1]
_DEMO = sorted((ROOT / "designs_demo").glob("*.toml"))
DEMO_DESIGNS = [path for path in _DEMO if "[form]" in path.read_text("utf-8")]
DEMO_SETS = [path for path in _DEMO if "[[piece]]" in path.read_text("utf-8")]


def piece_from(text: str) -> Piece:
    """The piece a design file with this text makes."""
    return piece_of(design_of(TomlText(ROOT / "pot.toml", tomllib.loads(text), {})))


def demo_piece(path: Path) -> Piece:
    """One of the demo's."""
    return piece_of(read_design(path))
