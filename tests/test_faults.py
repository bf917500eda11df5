"""Bad files: one message a fault, with file, line, field, what was found and what is wanted; nothing written."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.bad_files import (
    BLEND,
    BODIES,
    BODY,
    BOWL,
    CHECKS,
    DESIGNS,
    FILES,
    INSIDE,
    JAR,
    PLATE,
    POINTS,
    RIM,
    SMOOTH,
    STAND,
    TUMBLER,
)

Command = Callable[..., tuple[int, str, str]]


def _line_of(text: str, field: str) -> int | None:
    """Where a person finds the field: its own line, or that of the table around it."""
    for name in reversed([part for part in field.split(".") if part and not part.isdigit()]):
        for number, line in enumerate(text.splitlines(), 1):
            if re.match(rf"\[?{name}\b", line):
                return number
    return None


def _refused(command: Command, folder: Path, file: Path, line: int | None, field: str, says: str) -> None:
    """`make` and `measure` both end with code 2 and this message, and nothing is written."""
    before = sorted(folder.rglob("*"))
    for words in (("make", folder / "design.toml", "--out", folder / "out"), ("measure", folder / "design.toml")):
        code, out, err = command(*words)
        assert (code, out) == (2, "")
        assert "Traceback" not in err
        place = f"{file}:{line}: " if line else f"{file}:"
        message = next((m for m in err.splitlines() if m.startswith(place) and says in m), "")
        assert message, f"{err!r} has no message at {place!r} with {says!r}"
        assert field in message
        assert "(found " in message or "wanted " in message
    assert sorted(folder.rglob("*")) == before


@pytest.mark.parametrize("name", DESIGNS)
def test_a_bad_design_is_refused(name: str, command: Command, tmp_path: Path) -> None:
    bad = DESIGNS[name]
    assert bad.base.count(bad.old) == 1
    text = bad.base.replace(bad.old, bad.new)
    file = tmp_path / "design.toml"
    file.write_text(text, encoding="utf-8")
    _refused(command, tmp_path, file, _line_of(text, bad.field), bad.field, bad.says)


@pytest.mark.parametrize("name", BODIES)
def test_a_bad_body_is_refused_at_its_own_line(name: str, command: Command, tmp_path: Path) -> None:
    bad = BODIES[name]
    assert bad.base.count(bad.old) == 1
    text = bad.base.replace(bad.old, bad.new)
    body = tmp_path / "hut.toml"
    body.write_text(text, encoding="utf-8")
    (tmp_path / "design.toml").write_text(BOWL.replace('"stoneware"', '"hut.toml"'), encoding="utf-8")
    _refused(command, tmp_path, body, _line_of(text, bad.field), bad.field, bad.says)


@pytest.mark.parametrize("name", FILES)
def test_a_file_that_cannot_be_read_is_refused(name: str, command: Command, tmp_path: Path) -> None:
    raw, line, says = FILES[name]
    file = tmp_path / "design.toml"
    file.write_bytes(raw)
    _refused(command, tmp_path, file, line, "", says)


@pytest.mark.parametrize("name", CHECKS)
def test_a_check_that_stands_stops_the_templates(name: str, command: Command, tmp_path: Path) -> None:
    bad = CHECKS[name]
    assert bad.base.count(bad.old) == 1
    file = tmp_path / "design.toml"
    file.write_text(bad.base.replace(bad.old, bad.new), encoding="utf-8")
    code, out, err = command("make", file, "--out", tmp_path / "out")
    assert code == 1
    assert f"{file}: error: " in err
    assert bad.says in err
    assert [p.name for p in tmp_path.iterdir()] == ["design.toml"]
    code, out, err = command("measure", file, "--json")
    assert (code, err) == (1, "")
    assert f'"id": "{bad.field}"' in out


ABSURD = {
    "an extra wall of 200": BOWL.replace(BLEND, f"{BLEND}\nextra_wall = 200"),
    "a pot from a point": POINTS.replace("straight", "smooth").replace("[38, 0]", "[0, 0]"),
    "a wall of nothing to 50": STAND + "\n[wall]\nfoot = 0.1\nrim = 50\n",
    "a wall of 50 to nothing": STAND + "\n[wall]\nfoot = 50\nrim = 0.1\n",
    "a tumbler of a mouse": TUMBLER.replace("height = 95", "height = 1"),
    "a tumbler of a giant": TUMBLER.replace("height = 95", "height = 1900"),
    "a bowl of a hair's width": BOWL.replace(RIM, "rim_diameter = 1e-300"),
    "a belly like a disc": JAR.replace("belly_diameter = 110", "belly_diameter = 1900"),
}


@pytest.mark.filterwarnings("error")
@pytest.mark.parametrize("name", ABSURD)
def test_what_no_one_would_throw_ends_in_words(name: str, command: Command, tmp_path: Path) -> None:
    """Found by changing the demo's sizes at random: each once ended in a crash, or could have."""
    (tmp_path / "design.toml").write_text(ABSURD[name], encoding="utf-8")
    code, out, err = command("measure", tmp_path / "design.toml")
    assert code in (0, 1, 2)
    assert bool(err) == (code == 2)
    assert ("error: " in out) == (code == 1)


def test_every_base_of_the_table_is_good_itself(command: Command, tmp_path: Path) -> None:
    (tmp_path / "hut.toml").write_text(BODY, encoding="utf-8")
    for number, base in enumerate((BOWL, PLATE, JAR, STAND, TUMBLER, POINTS, INSIDE, SMOOTH)):
        clay = "" if "clay" in base else 'clay = "hut.toml"\n'
        (tmp_path / f"good_{number}.toml").write_text(clay + base, encoding="utf-8")
    code, _, err = command("measure", tmp_path, "--json")
    assert (code, err) == (0, "")  # nor is the clay's own file a stranger in the folder


def test_one_bad_file_among_good_ones_and_nothing_is_written(command: Command, tmp_path: Path) -> None:
    (tmp_path / "a_good.toml").write_text(BOWL, encoding="utf-8")
    (tmp_path / "b_bad.toml").write_text(BOWL.replace("height = 68", "hieght = 68"), encoding="utf-8")
    (tmp_path / "c_bad.toml").write_text(PLATE.replace("rim_rise = 6", "rim_rise = 24"), encoding="utf-8")
    (tmp_path / "d_bad.toml").write_bytes(b"\xff")
    code, _, err = command("make", tmp_path, "--out", tmp_path / "out")
    assert code == 2
    for name in ("b_bad.toml:8: form.hieght", "d_bad.toml:1: "):
        assert name in err
    assert not (tmp_path / "out").exists()


def test_shapes_of_several_designs_are_told_in_one_go(command: Command, tmp_path: Path) -> None:
    (tmp_path / "a.toml").write_text(PLATE.replace("rim_rise = 6", "rim_rise = 24"), encoding="utf-8")
    (tmp_path / "b.toml").write_text(STAND.replace("height = 120", "height = 40"), encoding="utf-8")
    code, _, err = command("measure", tmp_path)
    assert code == 2
    assert [line.split(" ")[0] for line in err.splitlines()] == [f"{tmp_path}/a.toml:6:", f"{tmp_path}/b.toml:4:"]


@pytest.mark.parametrize(
    "words",
    [
        ["make", "nowhere.toml"],
        ["measure", "empty"],
        ["make", "good.toml", "--paper", "A9"],
        ["make", "good.toml", "--out", "good.toml"],
        ["measure", "good.toml", "--settings", "nowhere.toml"],
        ["schema", "--out", "nowhere/schema.json"],
        ["measure"],
        ["fire", "good.toml"],
    ],
    ids=" ".join,
)
def test_bad_words_on_the_command_line(
    words: list[str], command: Command, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "good.toml").write_text(BOWL, encoding="utf-8")
    (tmp_path / "empty").mkdir()
    monkeypatch.chdir(tmp_path)
    code, out, err = command(*words)
    assert (code, out) == (2, "")
    assert err.strip()
    assert sorted(p.name for p in tmp_path.iterdir()) == ["empty", "good.toml"]


def test_what_a_terminal_may_take_for_markup_is_printed_as_it_is(command: Command, tmp_path: Path) -> None:
    folder = tmp_path / "[bold]"
    folder.mkdir()
    text = TUMBLER.replace("[form]", 'title = "Cup [/b] :cup: [red]"\n\n[form]')
    (folder / "[red]cup.toml").write_text(text, encoding="utf-8")
    (folder / "[notes.txt").write_text("pull handles on Friday", encoding="utf-8")
    code, out, err = command("make", folder, "--out", tmp_path / "out")
    assert (code, err) == (0, "")
    assert f"skipped, no design: {folder / '[notes.txt'}" in out
    assert "Cup [/b] :cup: [red]: weigh out " in out


def test_a_name_that_is_no_text_is_refused(command: Command, tmp_path: Path) -> None:
    name = os.fsencode(tmp_path) + b"/sch\xfcssel.toml"
    with open(name, "w", encoding="utf-8") as file:  # noqa: PTH123 - a path of bytes
        file.write(BOWL)
    code, out, err = command("measure", tmp_path)
    assert (code, out) == (2, "")
    assert "a file name that cannot name a folder" in err


@pytest.mark.parametrize("name", ["a misspelt key", "not a number", "a wall thicker than the curve", "one point"])
def test_the_program_itself_ends_with_two(name: str, tmp_path: Path) -> None:
    bad = DESIGNS[name]
    (tmp_path / "design.toml").write_text(bad.base.replace(bad.old, bad.new), encoding="utf-8")
    done = subprocess.run(
        [sys.executable, "-m", "profiler", "make", "design.toml"],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.startswith("design.toml")
    assert "Traceback" not in done.stderr
    assert [p.name for p in tmp_path.iterdir()] == ["design.toml"]


def test_a_terminal_without_the_letters_still_gets_the_numbers(tmp_path: Path) -> None:
    (tmp_path / "design.toml").write_text(
        TUMBLER.replace("[form]", 'title = "Hrníček ☕"\n\n[form]'), encoding="utf-8"
    )
    for words in (["measure", "design.toml"], ["measure", "design.toml", "--json"], ["make", "design.toml"]):
        done = subprocess.run(
            [sys.executable, "-m", "profiler", *words],
            cwd=tmp_path,
            env={**os.environ, "PYTHONIOENCODING": "ascii"},
            capture_output=True,
            text=True,
            timeout=60,
            check=False,
        )
        assert (done.returncode, done.stderr) == (0, "")
        assert "Hrn\\u00edček".encode("ascii", "backslashreplace").decode() in done.stdout.replace("\\xed", "\\u00ed")
