"""Readers and writers have no code of this program in common but geometry and lengths, read from their imports."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

from tests.pieces import ROOT

READERS = ("svg_readback", "pdf_readback", "dxf_readback")
WRITERS = ("svg", "pdf", "dxf")
SHARED = ("profiler.geometry", "profiler.lengths", "profiler.faults")  # a wrong length is told by a fault


def _file(module: str) -> Path | None:
    place = ROOT.joinpath(*module.split("."))
    return next((path for path in (place.with_suffix(".py"), place / "__init__.py") if path.is_file()), None)


def _imports(path: Path) -> set[str]:
    """Modules of this program that a file imports, anywhere in it."""
    package = list(path.relative_to(ROOT).parent.parts)
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {name.name for name in node.names}
        elif isinstance(node, ast.ImportFrom):
            above = package[: len(package) - node.level + 1] if node.level else []
            base = ".".join([*above, *(node.module.split(".") if node.module else [])])
            found |= {base, *(f"{base}.{name.name}" for name in node.names)}
    return {name for name in found if name.startswith("profiler.") and _file(name)}


def _all_code(*modules: str) -> set[str]:
    """These modules and all of this program they stand on, packages that only hold others left out."""
    waiting, seen = [f"profiler.sheets.{name}" for name in modules], set[str]()
    while waiting:
        module = waiting.pop()
        path = _file(module)
        assert path is not None, module
        if module not in seen and path.name != "__init__.py":
            seen.add(module)
            waiting += _imports(path)
    return seen


@pytest.mark.parametrize("reader", READERS)
def test_a_reader_shares_no_code_with_a_writer(reader: str) -> None:
    common = _all_code(reader) & _all_code(*WRITERS)
    assert {name for name in common if not name.startswith(SHARED)} == set()


def test_the_walk_finds_what_they_stand_on() -> None:
    assert "profiler.sheets.page_content" in _all_code("pdf_readback")
    assert "profiler.geometry.curve" in _all_code("svg_readback")
    assert {"profiler.sheets.ink", "profiler.templates.drawing"} <= _all_code("svg")


def test_packages_in_between_hold_no_code() -> None:
    for name in ("profiler.sheets", "profiler.geometry"):
        path = _file(name)
        assert path is not None
        assert [node for node in ast.parse(path.read_text()).body if not isinstance(node, ast.Expr)] == []
