"""A table out of a spreadsheet: however it was saved, all of its pots are noted or none."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

Command = Callable[..., tuple[int, str, str]]

PLAIN = "pot,ball,thrown,rim@wet,rim@fired\n1,620,575,176,155\n2,622.5,570,175.5,154\n"
SAVED = {
    "commas": PLAIN.encode(),
    "with a mark at its start": b"\xef\xbb\xbf" + PLAIN.encode(),
    "semicolons and decimal commas": PLAIN.replace(",", ";").replace(".", ",").encode(),
    "tabs and the other line ends": PLAIN.replace(",", "\t").replace("\n", "\r\n").encode(),
    "quotes, blanks and empty lines": b'\n"pot", ball ,"thrown",rim@wet,Rim @ Glaze-Fired,\n\n'
    b'1,"620",575, 176 ,155,\n,,,,,\n2,622.5,570,175.5,154,\n',
    "no end to the last line": PLAIN.encode().rstrip(b"\n"),
}


@pytest.fixture
def table(bowl: Path) -> Path:
    return bowl.with_name("batch.csv")


def _lines(record: Path) -> list[dict[str, Any]]:
    return [json.loads(line) for line in record.read_text(encoding="utf-8").splitlines()]


@pytest.mark.parametrize("raw", SAVED.values(), ids=SAVED)
def test_it_is_read_however_it_was_saved(command: Command, bowl: Path, record: Path, table: Path, raw: bytes) -> None:
    table.write_bytes(raw)
    code, _, err = command("note", bowl, "--csv", table)
    assert (code, err) == (0, "")
    assert [(line["pot"], line["values"]) for line in _lines(record)] == [
        ("1", {"ball": 620.0, "thrown": 575.0, "rim@wet": 176.0, "rim@fired": 155.0}),
        ("2", {"ball": 622.5, "thrown": 570.0, "rim@wet": 175.5, "rim@fired": 154.0}),
    ]


def test_read_again_nothing_is_doubled_and_a_table_may_grow(
    command: Command, bowl: Path, record: Path, table: Path
) -> None:
    table.write_text("pot,ball,rim@fired\n1,620,\n2,621,\n3,,\n", encoding="utf-8")
    command("note", bowl, "--csv", table)
    command("note", bowl, "--csv", table)
    assert [line["pot"] for line in _lines(record)] == ["1", "2"]
    table.write_text("pot,ball,rim@fired\n1,620,155\n2,621,\n3,619,\n", encoding="utf-8")
    code, out, _ = command("note", bowl, "--csv", table)
    assert code == 0
    assert [line["pot"] for line in _lines(record)] == ["1", "2", "1", "3"]
    assert "slip" not in out
    _, out, _ = command("compare", bowl, "--json")
    assert [pot["made"] for pot in json.loads(out)["pots"]] == [
        {"ball": 620.0, "rim@fired": 155.0},
        {"ball": 621.0},
        {"ball": 619.0},
    ]


def test_a_struck_line_read_again_stays_struck(command: Command, bowl: Path, table: Path) -> None:
    table.write_text("pot,ball\n1,62\n2,620\n", encoding="utf-8")
    _, out, _ = command("note", bowl, "--csv", table)
    name = out.split("(entry ")[1].split(")")[0]
    assert command("note", bowl, "--strike", name)[0] == 0
    command("note", bowl, "--csv", table)
    _, out, _ = command("compare", bowl, "--json")
    assert [pot["made"] for pot in json.loads(out)["pots"]] == [{"ball": 620.0}]


def test_dates_and_inches(command: Command, bowl: Path, record: Path, table: Path) -> None:
    table.write_text("date,pot,rim@wet\n2031-04-09,1,6 7/8 in\n,2,17.5 cm\n", encoding="utf-8")
    assert command("note", bowl, "--csv", table, "--date", "2031-05-01")[0] == 0
    assert [(line["date"], line["values"]["rim@wet"]) for line in _lines(record)] == [
        ("2031-04-09", pytest.approx(174.625, rel=1e-12)),  # 6.875 x 25.4
        ("2031-05-01", pytest.approx(175.0, rel=1e-12)),
    ]


BAD = {
    "a slip in the heading": (
        "pot,bal,thrown\n1,620,575\n",
        ":1: not something to note (found 'bal'; wanted perhaps `ball`)",
    ),
    "pots": ("pots,ball\n1,620\n", ":1: not a column we know (found 'pots'; wanted perhaps `pot`)"),
    "no pot": (
        "ball,thrown\n620,575\n",
        ":1: no column for the pots (found ball, thrown; wanted `pot`, a name for each)",
    ),
    "twice": ("pot,ball,Ball\n1,620,620\n", ":1: two columns of one name (found 'Ball'; wanted one of each)"),
    "no state": ("pot,rim\n1,176\n", ":1: in which state? (found 'rim'; wanted `rim@…` and one of wet, "),
    "a pot without a name": ("pot,ball\n1,620\n,621\n", ":3: pot: which pot?"),
    "not a figure": ("pot,ball\n1,620\n2,much\n", ":3: ball: not an amount (found 'much'"),
    "impossible": ("pot,ball,thrown\n1,620,575\n2,570,620\n", ":3: thrown: pot 2: more clay thrown than there was"),
    "a decimal comma among commas": (
        "pot,ball,rim@wet\n1,620,175,5\n",
        ":2: more cells than columns (found 4 cells; wanted 3",
    ),
    "thousands": ('pot,ball\n1,"1,200"\n', ":2: ball: a comma that may part thousands or decimals"),
    "an open quote": ('pot,ball\n1,"620\n', ":2: not a table: unexpected end of data"),
    "no such day": ("pot,date,ball\n1,2031-02-30,620\n", ":2: date: not a date"),
    "no figures": ("pot,ball\n1,\n", ": no figures in the table"),
    "empty": ("", ": an empty table"),
    "a zero byte": ("pot,ball\n1,6\x0020\n", ":2: not a text file: it holds a zero byte"),
    "a piece without a lid": ("pot,lid.height@fired\n1,20\n", ":1: this piece has no such measure"),
    "too long": ("pot,ball\n" + "".join(f"{n},620\n" for n in range(6000)), ": too many rows"),
    "too large": ("pot,ball\n" + " " * 1_100_000, ": the file is too large (wanted at most 1024 kB)"),
}


@pytest.mark.parametrize(("content", "says"), BAD.values(), ids=BAD)
def test_one_bad_line_and_nothing_is_noted(
    command: Command, bowl: Path, record: Path, table: Path, content: str, says: str
) -> None:
    table.write_text(content, encoding="utf-8")
    code, out, err = command("note", bowl, "--csv", table)
    assert (code, out) == (2, "")
    assert err.startswith(f"{table}{says}")
    assert not record.exists()


def test_all_bad_lines_are_told_in_one_go(command: Command, bowl: Path, table: Path) -> None:
    table.write_text("pot,ball,thrown\n1,x,y\n2,620,575\n3,z,575\n", encoding="utf-8")
    _, _, err = command("note", bowl, "--csv", table)
    assert [line.split(": ")[0] for line in err.splitlines()] == [f"{table}:2", f"{table}:2", f"{table}:4"]


def test_not_utf8_and_no_such_file(command: Command, bowl: Path, table: Path) -> None:
    code, _, err = command("note", bowl, "--csv", table)
    assert (code, err) == (2, f"{table}: no such file (wanted a table of pots (CSV))\n")
    table.write_bytes("pot,ball\ngrün,620\n".encode("latin-1"))
    code, _, err = command("note", bowl, "--csv", table)
    assert (code, err.startswith(f"{table}:2: not UTF-8 text")) == (2, True)
