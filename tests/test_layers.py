"""Arrows point one way: which part of the program may know of which, read from its imports."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from importlib.metadata import packages_distributions
from pathlib import Path

import pytest

from tests.pieces import ROOT

PACKAGE = ROOT / "profiler"
MODELLER = {"cadquery", "OCP"}
CHILD = {"kernel", "outline", "turned", "cut", "notch", "notch_mesh", "bevel", "plate", "measure", "step", "stl"}
"""Files of `solid` that run in the child process only."""


def _imports(path: Path) -> Iterator[str]:
    """Every module a file imports anywhere in it, by its full name."""
    package = list(path.relative_to(ROOT).parent.parts)
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (name.name for name in node.names)
        elif isinstance(node, ast.ImportFrom):
            above = package[: len(package) - node.level + 1] if node.level else []
            base = [*above, *(node.module or "").split(".")] if node.module else above
            yield ".".join(base)
            # `from . import page` may name a module
            yield from (".".join([*base, name.name]) for name in node.names)


def _files(*folders: str) -> list[Path]:
    found = [path for folder in folders for path in sorted((PACKAGE / folder).rglob("*.py"))]
    assert found
    return found


def _ours(path: Path) -> set[str]:
    return {name for name in _imports(path) if name.split(".")[0] == "profiler"}


def _under(names: set[str], *modules: str) -> set[str]:
    return {name for name in names for module in modules if name == module or name.startswith(module + ".")}


def test_the_reader_of_imports_sees_relative_and_late_ones() -> None:
    turned, points = PACKAGE / "solid" / "turned.py", PACKAGE / "forms" / "points.py"
    assert "profiler.geometry.section" in set(_imports(turned))
    assert {"scipy.interpolate", "profiler.faults", "profiler.forms.wall"} <= set(_imports(points))


@pytest.mark.parametrize("path", _files("geometry"), ids=lambda path: path.name)
def test_geometry_knows_no_pottery(path: Path) -> None:
    ours = _ours(path)
    assert ours == _under(ours, "profiler.geometry")


@pytest.mark.parametrize("path", _files("forms"), ids=lambda path: path.name)
def test_forms_know_curves_and_sizes_only(path: Path) -> None:
    ours = _ours(path)
    known = ("profiler.forms", "profiler.geometry", "profiler.lengths", "profiler.faults")
    assert ours - {"profiler"} == _under(ours, *known)


@pytest.mark.parametrize("path", _files("templates"), ids=lambda path: path.name)
def test_templates_know_no_writer(path: Path) -> None:
    sheets = _under(_ours(path), "profiler.sheets") - {"profiler.sheets"}
    # how wide words run is a fact of the face, not of a file format
    assert sheets == _under(sheets, "profiler.sheets.face")
    assert not {name.split(".")[0] for name in _imports(path)} & {"reportlab", "svgwrite", "ezdxf", "pikepdf"}


@pytest.mark.parametrize("path", _files("sheets"), ids=lambda path: path.name)
def test_sheets_know_no_pottery(path: Path) -> None:
    pottery = ("piece", "measures", "trimming", "thickness", "checks", "clay", "design", "forms", "solid", "make")
    assert not _under(_ours(path), *(f"profiler.{name}" for name in pottery))


@pytest.mark.parametrize("path", _files("record"), ids=lambda path: path.name)
def test_the_record_knows_numbers_only(path: Path) -> None:
    drawn = ("templates", "sheets", "solid", "make", "pack")
    assert not _under(_ours(path), *(f"profiler.{name}" for name in drawn))


def test_only_the_child_imports_the_modeller() -> None:
    importers = {path for path in _files(".") if {name.split(".")[0] for name in _imports(path)} & MODELLER}
    assert importers == {PACKAGE / "solid" / f"{name}.py" for name in CHILD}


@pytest.mark.parametrize(
    "path",
    [path for path in _files(".") if path.parent.name != "solid" or path.name == "__init__.py"],
    ids=lambda path: str(path.relative_to(PACKAGE)),
)
def test_nothing_imports_the_kernel(path: Path) -> None:
    assert not _under(_ours(path), *(f"profiler.solid.{name}" for name in CHILD | {"working_edge"}))


_MEASURE = """
import sys
from profiler.cli import main
sys.argv = ["profiler", "measure", *{arguments!r}]
try:
    main()
except SystemExit as end:
    assert not end.code, end.code
slow = {{"cadquery", "OCP", "vtk", "casadi", "scipy", "matplotlib", "reportlab", "svgwrite", "pikepdf"}}
print("loaded:", sorted(slow & {{name.split(".")[0] for name in sys.modules}}))
"""


@pytest.mark.parametrize("more", [[], ["--json"]], ids=["table", "json"])
def test_the_quick_path_loads_nothing_slow(more: list[str], tmp_path: Path) -> None:
    settings = tmp_path / "settings.toml"
    settings.touch()
    arguments = [str(ROOT / "designs_demo" / "porridge_bowl.toml"), "--settings", str(settings), *more]
    done = subprocess.run(
        [sys.executable, "-c", _MEASURE.format(arguments=arguments)],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
        timeout=120,
    )
    assert "Porridge bowl" in done.stdout
    assert done.stdout.rstrip().endswith("loaded: []")


def _declared(extra: str | None) -> set[str]:
    """Names of what pyproject.toml asks for, as the package index spells them."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    asked = project["dependencies"] + (project["optional-dependencies"][extra] if extra else [])
    return {_plain(re.split(r"[<>=!~; ]", line, maxsplit=1)[0]) for line in asked}


def _plain(name: str) -> str:
    """PEP 503's spelling."""
    return re.sub(r"[-_.]+", "-", name).lower()


@pytest.mark.parametrize(("folder", "extra"), [("profiler", None), ("tests", "test")])
def test_what_is_imported_is_asked_for(folder: str, extra: str | None) -> None:
    """A library that came along by chance, or was put there by hand, is missing on the next machine."""
    offered = packages_distributions()
    used = {name.split(".")[0] for path in (ROOT / folder).rglob("*.py") for name in _imports(path)}
    others = used - set(sys.stdlib_module_names) - {"profiler", "tests", ""}
    assert others
    for name in others:
        # a wheel that does not list its modules is called like its one module
        assert {_plain(found) for found in offered.get(name, [name])} & _declared(extra), name
