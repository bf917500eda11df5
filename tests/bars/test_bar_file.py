"""Files of bars as spreadsheets write them, and what is said of those that cannot be used."""

from __future__ import annotations

import csv
import io
from pathlib import Path
from typing import NamedTuple

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from profiler.bars.bar import COLUMNS, Bar
from profiler.bars.bar_file import read_bars
from profiler.faults import Fault, Faults

PLAIN = "bar,plastic_mm,leather_hard_mm,bone_dry_mm,fired_mm\nA,100,95,94,88\nB,100,95.2,94.1,88.2\n"


@pytest.fixture
def place(tmp_path: Path) -> Path:
    return tmp_path / "bars.csv"


def _bars(place: Path, content: str | bytes) -> tuple[Bar, ...]:
    place.write_bytes(content.encode() if isinstance(content, str) else content)
    return read_bars(place).bars


def _figures(bars: tuple[Bar, ...]) -> list[tuple[float | None, ...]]:
    return [(bar.plastic_mm, bar.leather_hard_mm, bar.bone_dry_mm, bar.fired_mm) for bar in bars]


EXPECTED = [(100.0, 95.0, 94.0, 88.0), (100.0, 95.2, 94.1, 88.2)]
AS_WRITTEN = {
    "commas": PLAIN,
    "semicolons": PLAIN.replace(",", ";"),
    "semicolons and decimal commas": PLAIN.replace(",", ";").replace(".", ","),
    "tabs and decimal commas": PLAIN.replace(",", "\t").replace(".", ","),
    "a byte order mark": "\ufeff" + PLAIN,
    "lines of another system": PLAIN.replace("\n", "\r\n"),
    "empty rows and cells at the end": PLAIN.replace("\n", ",,\n") + ",,,,,,\n\n",
    "quotes": 'bar,"plastic_mm","leather_hard_mm",bone_dry_mm,fired_mm\n"A","100",95,94,88\nB,100,"95,2",94.1,88.2\n',
    "blanks": PLAIN.replace(",", " , "),
    "no end of the last line": PLAIN.rstrip("\n"),
    "heads in another spelling": PLAIN.replace(
        "bar,plastic_mm,leather_hard_mm,bone_dry_mm,fired_mm",
        "Name,Wet (mm),Leather-hard mm,DRY_MM,Glaze fired [mm]",
    ),
    "a column of notes": PLAIN.replace("fired_mm\n", "fired_mm,Notes\n").replace("88\n", '88,"bent, a little"\n'),
}


@pytest.mark.parametrize("name", AS_WRITTEN)
def test_files_as_programs_write_them(name: str, place: Path) -> None:
    assert _figures(_bars(place, AS_WRITTEN[name])) == EXPECTED


def test_other_units_are_brought_to_millimetres(place: Path) -> None:
    (bar,) = _bars(place, "plastic_in,dry_cm\n4,9.5\n")
    assert bar.plastic_mm == pytest.approx(101.6, abs=1e-12)  # 1 in = 25.4 mm exactly
    assert bar.bone_dry_mm == pytest.approx(95.0, abs=1e-12)
    assert bar.name == "bar 1"


def test_a_bar_that_is_not_measured_yet_waits(place: Path) -> None:
    place.write_text(PLAIN + "C,,,,\nD,100,,,\n", encoding="utf-8")
    found = read_bars(place)
    assert found.waiting == ("C",)
    assert [bar.name for bar in found.bars] == ["A", "B", "D"]


def test_reading_twice_may_differ_and_a_low_fired_clay_may_grow(place: Path) -> None:
    _bars(place, "plastic_mm,leather_hard_mm,bone_dry_mm,bisque_mm,fired_mm\n100,95,95.3,95.8,95.9\n")


class Bad(NamedTuple):
    """A file, and where and what must be said of it."""

    content: str | bytes
    line: int | None
    field: str
    says: str


HEAD = "bar,plastic_mm,bone_dry_mm,bisque_mm,fired_mm,wet_g,dry_g,bisque_g,fired_g,soaked_g,suspended_g\n"
BAD = {
    "dry longer than plastic": Bad(HEAD + "A,100,94\nB,100,100.6\n", 3, "bone_dry_mm", "B grows"),
    "fired much longer than dry": Bad(HEAD + "A,100,94,,98\n", 2, "fired_mm", "no longer than its bone-dry length"),
    "bisque much longer than plastic": Bad(
        HEAD + "A,100,,103\n", 2, "bisque_mm", "no longer than its plastic length"
    ),
    "a bar that halves": Bad(HEAD + "A,100,94,,49\n", 2, "fired_mm", "A shrinks by 51 %"),
    "dry heavier than wet": Bad(HEAD + "A,100,,,,50,51\n", 2, "dry_g", "no more than its wet weight"),
    "bisque heavier than dry": Bad(HEAD + "A,100,,,,,50,51\n", 2, "bisque_g", "A gains weight"),
    "fired heavier than dry": Bad(HEAD + "A,100,,,,,50,,50.2\n", 2, "fired_g", "50.2 g after 50"),
    "fired heavier than wet": Bad(HEAD + "A,100,,,,50,,,51\n", 2, "fired_g", "no more than its wet weight"),
    "soaked lighter than fired": Bad(HEAD + "A,100,,,,,,,46,45.8\n", 2, "soaked_g", "lighter soaked than dry"),
    "soaked and never weighed": Bad(HEAD + "A,100,,,,,,,,45.8\n", 2, "soaked_g", "fired_g too"),
    "heavier in water": Bad(HEAD + "A,100,,,,,,,46,47,46\n", 2, "suspended_g", "no lighter in water"),
    "hung and never soaked": Bad(HEAD + "A,100,,,,,,,46,,27\n", 2, "suspended_g", "soaked_g too"),
    "nothing": Bad(HEAD + "A,0,94\n", 2, "plastic_mm", "a figure over 0"),
    "less than nothing": Bad(HEAD + "A,100,-94\n", 2, "bone_dry_mm", "'-94'"),
    "words": Bad(HEAD + "A,100,94 mm\n", 2, "bone_dry_mm", "an empty cell"),
    "not a number": Bad(HEAD + "A,nan,94\n", 2, "plastic_mm", "not a number"),
    "endless": Bad(HEAD + "A,inf,94\n", 2, "plastic_mm", "not a number"),
    "an exponent": Bad(HEAD + "A,1e2,94\n", 2, "plastic_mm", "not a number"),
    "thousands": Bad(HEAD.replace(",", ";") + "A;1.000,5;94\n", 2, "plastic_mm", "not a number"),
    "digits of another script": Bad(HEAD + "A,١٠٠,94\n", 2, "plastic_mm", "not a number"),
    "out of reach": Bad(HEAD + "A,10000,9400\n", 2, "plastic_mm", "at most 2,000 mm"),
    "a heap of clay": Bad(HEAD + "A,100,,,,200000\n", 2, "wet_g", "at most 100,000 g"),
    "decimal commas between commas": Bad(HEAD.replace("\n", "\nA,100,0,94,2,,,,,,,,,88,1\n"), 2, "", "semicolons"),
    "one name twice": Bad(HEAD + "A,100\nB,100\nA,101\n", 4, "bar", "also in line 2"),
    "a name that rings": Bad(HEAD + "A\x07,100\n", 2, "bar", "plain characters"),
    "a long name": Bad(HEAD + "A" * 61 + ",100\n", 2, "bar", "up to 60"),
    "a misspelt column": Bad("bar,plastic_mm,fried_mm\nA,100,88\n", 1, "", "perhaps `fired_mm`"),
    "a column without its unit": Bad("bar,plastic\nA,100\n", 1, "", "perhaps `plastic_mm` or `wet_g`, with its unit"),
    "a strange column": Bad("bar,plastic_mm,kiln shelf\nA,100,2\n", 1, "", "one of bar, plastic_mm"),
    "a column twice": Bad("bar,plastic_mm,wet_mm\nA,100,100\n", 1, "plastic_mm", "there twice"),
    "no head": Bad("A,100,94\n", 1, "", "unknown column"),
    "weights only": Bad("bar,wet_g\nA,100\n", 1, "", "no column of lengths"),
    "empty": Bad("", None, "", "an empty table"),
    "a head only": Bad(HEAD, None, "", "no bar is measured yet"),
    "UTF-16": Bad(PLAIN.encode("utf-16"), 1, "", "save it again"),
    "UTF-16 the other way": Bad(b"\xfe\xff" + PLAIN.encode("utf-16-be"), 1, "", "save it again"),
    "letters of an old page": Bad(PLAIN.encode().replace(b"B,", b"B\xfc,"), 3, "", "UTF-8"),
    "a zero byte": Bad(PLAIN.encode() + b"\0", 4, "", "zero byte"),
    "a quote that does not end": Bad(PLAIN + '"C,100\n', 4, "", "not a table"),
    "2 MB": Bad(PLAIN + "," * 2_000_000, None, "", "at most 1024 kB"),
    "1,001 bars": Bad(HEAD + "".join(f"{n},100\n" for n in range(1001)), None, "", "1,001; wanted at most 1,000"),
}


@pytest.mark.parametrize("name", BAD)
def test_what_cannot_be_used_is_named(name: str, place: Path) -> None:
    bad = BAD[name]
    with pytest.raises((Fault, Faults)) as caught:
        _bars(place, bad.content)
    faults = caught.value.faults if isinstance(caught.value, Faults) else [caught.value]
    assert isinstance(faults[0], Fault)
    assert (faults[0].file, faults[0].line, faults[0].field) == (place, bad.line, bad.field)
    assert bad.says in str(faults[0])


def test_a_thousand_bars_are_taken(place: Path) -> None:
    assert len(_bars(place, HEAD + "".join(f"{n},100\n" for n in range(1000)))) == 1000


def test_every_bad_row_is_told_at_once_and_twenty_at_most(place: Path) -> None:
    with pytest.raises(Faults) as caught:
        _bars(place, HEAD + "A,100,94\n" + "".join(f"{n},0,x\n" for n in range(30)))
    assert len(caught.value.faults) == 21
    assert "40 more faults" in str(caught.value.faults[-1])
    assert [fault.line for fault in caught.value.faults[:4]] == [3, 3, 4, 4]


@pytest.mark.parametrize("where", ["folder", "nothing"])
def test_what_is_no_file_is_named(where: str, tmp_path: Path) -> None:
    with pytest.raises(Fault) as caught:
        read_bars(tmp_path if where == "folder" else tmp_path / "none.csv")
    assert caught.value.wanted == "a CSV file of test bars"


_MEASURE = st.one_of(st.none(), st.floats(40, 130))


@settings(max_examples=60)
@given(st.lists(st.tuples(_MEASURE, st.floats(0, 0.1), st.floats(0, 0.1)), min_size=1, max_size=12), st.booleans())
def test_what_is_written_is_read(
    tmp_path_factory: pytest.TempPathFactory, rows: list[tuple[float | None, float, float]], comma: bool
) -> None:
    """Written by the standard library's own writer."""
    out = io.StringIO()
    writer = csv.writer(out, delimiter=";" if comma else ",")
    writer.writerow(["bar", "plastic_mm", "bone_dry_mm", "fired_mm"])
    wanted = []
    for number, (plastic, dries, fires) in enumerate(rows):
        dry = None if plastic is None else plastic * (1 - dries)
        fired = None if dry is None else dry * (1 - fires)
        cells = ["" if length is None else repr(length) for length in (plastic, dry, fired)]
        writer.writerow([f"bar, {number}", *(cell.replace(".", ",") if comma else cell for cell in cells)])
        wanted.append((plastic, dry, fired))
    place = tmp_path_factory.mktemp("bars") / "bars.csv"
    place.write_text(out.getvalue(), encoding="utf-8", newline="")
    measured = [row for row in wanted if row != (None, None, None)]
    if not measured:
        with pytest.raises(Fault, match="no bar is measured"):
            read_bars(place)
        return
    assert [(bar.plastic_mm, bar.bone_dry_mm, bar.fired_mm) for bar in read_bars(place).bars] == measured


def test_every_column_is_a_measure_of_a_bar() -> None:
    assert len(COLUMNS) == 11
    assert all(getattr(Bar("A", 1), column) is None for column in COLUMNS)
