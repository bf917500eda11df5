"""Every command and every file of the README works as it is printed."""

from __future__ import annotations

import os
import re
import shlex
import shutil
import subprocess
import sys
import tomllib
from http.client import HTTPConnection
from pathlib import Path

import pytest

from profiler.cli import app, make
from profiler.settings import Settings, load_settings
from profiler.templates.catalogue import TOOLS

ROOT = Path(__file__).resolve().parents[1]
TEXT = (ROOT / "README.md").read_text(encoding="utf-8")

BLOCKS = [(match.start(), match[1], match[2]) for match in re.finditer(r"^```(\w+)\n(.*?)^```$", TEXT, re.M | re.S)]
COMMANDS = [
    line[2:] for _, kind, text in BLOCKS if kind == "console" for line in text.splitlines() if line.startswith("$ ")
]
SETUP = [line.strip() for line in TEXT.splitlines() if "pip install" in line and line.strip().startswith("python3 ")]


def _files() -> dict[str, str]:
    """The TOML files of the README by the name the sentence before each gives it, or one of ours."""
    found = {}
    for number, (start, kind, text) in enumerate(BLOCKS):
        if kind == "toml":
            named = re.findall(r"`(\w+\.toml)`", TEXT[:start].rpartition("\n\n")[0].rpartition("\n\n")[2])
            found[named[-1] if named else f"file_{number}.toml"] = text
    return found


DESIGNS = {name: text for name, text in _files().items() if "form" in tomllib.loads(text)}
BODIES = {name: text for name, text in _files().items() if "shrinkage" in tomllib.loads(text)}
SETS = {name: text for name, text in _files().items() if "piece" in tomllib.loads(text)}
SETTINGS = [text for text in _files().values() if not {"form", "shrinkage", "piece"} & set(tomllib.loads(text))]


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the demo and the README's own files, where its commands are run in their order."""
    place = tmp_path_factory.mktemp("readme")
    shutil.copytree(ROOT / "designs_demo", place / "designs_demo")
    for name, text in (DESIGNS | SETS).items():
        (place / name).write_text(text, encoding="utf-8")
    return place


def _run(words: list[str], folder: Path) -> subprocess.CompletedProcess[str]:
    env = {**os.environ, "PROFILER_SETTINGS": str(folder / "no_settings.toml")}
    return subprocess.run(
        [sys.executable, "-m", "profiler", *words],
        cwd=folder,
        env=env,
        capture_output=True,
        text=True,
        timeout=300,
        check=False,
    )


@pytest.mark.parametrize("line", COMMANDS)
def test_a_command_runs_as_printed(line: str, folder: Path) -> None:
    words = shlex.split(line)
    assert words[0] in ("profiler", ".venv/bin/profiler"), "only the program itself is run here"
    if words[1] == "studio":
        _is_served([*words[1:], "--port", "0"], folder)
        return
    done = _run(words[1:], folder)
    assert (done.returncode, "Traceback" in done.stderr) == (0, False), done.stderr


def _is_served(words: list[str], folder: Path) -> None:
    """The page answers until it is stopped."""
    env = {**os.environ, "PROFILER_SETTINGS": str(folder / "no_settings.toml")}
    command = [sys.executable, "-m", "profiler", *words]
    with subprocess.Popen(command, cwd=folder, env=env, stdout=subprocess.PIPE, text=True) as server:
        try:
            assert server.stdout is not None
            found = re.search(r"http://(127\.0\.0\.1:\d+)/", server.stdout.readline())
            assert found is not None
            asked = HTTPConnection(found[1], timeout=60)
            asked.request("GET", "/design/tumbler")
            answer = asked.getresponse()
            assert answer.status == 200
            assert b"Tumbler" in answer.read()
            asked.close()
        finally:
            server.terminate()


@pytest.mark.parametrize("name", DESIGNS)
def test_a_design_is_measured_and_nothing_stands_against_it(name: str, tmp_path: Path) -> None:
    (tmp_path / name).write_text(DESIGNS[name], encoding="utf-8")
    done = _run(["measure", name], tmp_path)
    assert (done.returncode, done.stderr) == (0, "")
    assert "error:" not in done.stdout
    assert "warning:" not in done.stdout


@pytest.mark.parametrize("name", BODIES)
def test_a_body_is_a_clay_to_throw_with(name: str, tmp_path: Path) -> None:
    (tmp_path / name).write_text(BODIES[name], encoding="utf-8")
    pot = f'clay = "{name}"\n[form]\nkind = "bowl"\nrim_diameter = 150\nheight = 65\n'
    (tmp_path / "pot.toml").write_text(pot, encoding="utf-8")
    done = _run(["measure", "pot.toml"], tmp_path)
    assert (done.returncode, done.stderr) == (0, "")
    assert str(tomllib.loads(BODIES[name])["name"]) in done.stdout


@pytest.mark.parametrize("name", SETS)
def test_a_set_is_measured_and_nothing_stands_against_it(name: str, folder: Path) -> None:
    done = _run(["measure", name], folder)
    assert (done.returncode, done.stderr) == (0, "")
    assert tomllib.loads(SETS[name])["title"] in done.stdout
    assert "error:" not in done.stdout


@pytest.mark.parametrize("text", SETTINGS)
def test_settings_are_settings(text: str, tmp_path: Path) -> None:
    (tmp_path / "mine.toml").write_text(text, encoding="utf-8")
    assert load_settings(tmp_path / "mine.toml") != Settings()


def test_every_template_and_option_is_in_the_readme() -> None:
    assert SETTINGS
    for kind in TOOLS:
        assert kind.replace("_", " ") in TEXT or f"`{kind}`" in TEXT or kind.startswith("slab_")
        assert kind in str(make.__doc__), kind
    for option in ("template", "clay", "paper", "printer", "kerf", "solid-in", "thickness", "bevel"):
        assert f"--{option}" in TEXT
    for option in (
        "heights",
        "angles",
        "capacity",
        "at-least",
        "at-most",
        "lid-height",
        "lid-weight",
        "least-contact",
        "leave-out",
        "base",
    ):
        assert f"--{option}" in TEXT


def test_every_command_of_the_program_is_in_the_readme() -> None:
    assert {shlex.split(line)[1] for line in COMMANDS} >= {
        command.callback.__name__ for command in app.registered_commands if command.callback
    }
    assert len(DESIGNS) >= 2
    assert len(BODIES) >= 1
    assert len(SETS) >= 1


def test_what_the_study_is_said_to_print_is_what_it_prints(folder: Path) -> None:
    asked = next(line for line in COMMANDS if shlex.split(line)[1] == "study")
    shown = next(text for start, kind, text in BLOCKS if kind == "text" and start > TEXT.index(asked))
    out = subprocess.run(
        [sys.executable, "-m", "profiler", *shlex.split(asked)[1:]],
        cwd=folder,
        env={**os.environ, "COLUMNS": "80"},
        capture_output=True,
        text=True,
        timeout=300,
        check=True,
    ).stdout
    printed = [line.strip() for line in out.splitlines()]
    assert [line for line in shown.splitlines() if line.strip() not in printed] == []


def test_two_lines_set_everything_up() -> None:
    """They are run as written by `.ci/run`, in a new environment; here only what they install is looked at."""
    assert len(SETUP) == 2
    for line, asked, then in zip(SETUP, (".", "'.[test]'"), ("profiler make designs_demo", "pytest"), strict=True):
        assert line == (
            f"python3 -m venv .venv && .venv/bin/pip install -c constraints.txt {asked} && .venv/bin/{then}"
        )
    pinned = (ROOT / "constraints.txt").read_text(encoding="utf-8").splitlines()
    lines = [line for line in pinned if line and not line.startswith("#")]
    assert all(re.fullmatch(r"[A-Za-z0-9._-]+==[A-Za-z0-9.]+", line) for line in lines)
    names = {line.partition("==")[0].lower().replace("_", "-") for line in lines}
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    asked_for = project["dependencies"] + project["optional-dependencies"]["test"]
    wanted = {re.split(r"[<>=!~\[ ]", need, maxsplit=1)[0].lower().replace("_", "-") for need in asked_for}
    assert wanted <= names


def test_the_table_of_files_is_what_make_writes(folder: Path) -> None:
    cells = re.findall(r"^\| (`[\w/*]+\.\w+`(?: `[\w/*]+\.\w+`)*) \|", TEXT, re.M)
    named = {name for cell in cells for name in re.findall(r"`([^`]+)`", cell)}
    made = {p.relative_to(folder / "output" / "soup_bowl") for p in (folder / "output" / "soup_bowl").rglob("*.*")}
    written = {f"{p.parent}/*{p.suffix}" if p.parent.name else p.name for p in made if not p.name.startswith(".")}
    assert written == named
