"""The record's file: what is noted stays, whatever happens; the file is read with the standard parser alone."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import threading
from pathlib import Path

import pytest

from profiler.faults import Fault, Faults
from profiler.record import ledger, locked
from profiler.record.entry import Strike, text_of
from profiler.record.ledger import append, read_record, torn_place
from tests.pieces import ROOT
from tests.record.conftest import entry

KILLS = 60
WRITERS, EACH = 4, 60

# A child notes pot after pot and tells each once it is noted; it is killed in the midst of it, over and over.
KILLED = """
import os, random, signal, sys, time
from pathlib import Path
from profiler.record.entry import Entry
from profiler.record.ledger import append
path, kills = Path(sys.argv[1]), int(sys.argv[2])
random.seed(4)
for turn in range(kills):
    reader, writer = os.pipe()
    child = os.fork()
    if not child:
        number = 0
        while True:
            name = f"{turn}-{number}"
            one = Entry(id=name, date="2031-04-09", pot=name, digest="0123abcd", values={"ball": 560.0})
            append(path, lambda record: [one])
            os.write(writer, (name + " ").encode())
            number += 1
    os.close(writer)
    told = os.read(reader, 1)
    time.sleep(random.uniform(0, 0.02))
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    while piece := os.read(reader, 65536):
        told += piece
    os.close(reader)
    print(told.decode())
"""

# No pot is named, so each gets the next number: two writers who read at once would give one number twice.
WRITER = """
import sys
from pathlib import Path
from profiler.clay.body import load_body
from profiler.record.noting import Said, note
from profiler.record.plan import Planned
from profiler.record.quantity import Quantity
path, name = Path(sys.argv[1]), sys.argv[2]
plan = {"ball": Planned(Quantity("ball"), 560.0, load_body("stoneware", Path()))}
print("ready", flush=True)
sys.stdin.readline()
for number in range(int(sys.argv[3])):
    note(path, [Said({"ball": 560.0}, "2031-04-09", id=f"{name}-{number}")], plan, "0123abcd")
"""


def _ids(path: Path) -> list[str]:
    """Ids in the file's whole lines, by the standard parser alone."""
    return [json.loads(line)["id"] for line in path.read_bytes().decode().split("\n")[:-1]]


def test_what_was_told_as_noted_is_there_after_a_kill_at_any_moment(record: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-c", KILLED, str(record), str(KILLS)],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
        timeout=300,
    )
    told = done.stdout.split()
    assert len(told) > KILLS
    read = read_record(record)
    ids = [one.id for one in read.entries]
    assert len(ids) == len(set(ids))
    assert set(told) <= set(ids)
    # a kill between the disk and the word leaves one that was not told; never more than one a kill
    assert len(ids) - len(told) <= KILLS
    append(record, lambda _: [entry("last")])
    assert _ids(record) == [*ids, "last"]


def test_four_writers_at_once_lose_and_double_nothing(record: Path) -> None:
    names = [f"writer{number}" for number in range(WRITERS)]
    writers = [
        subprocess.Popen(
            [sys.executable, "-c", WRITER, str(record), name, str(EACH)],
            cwd=ROOT,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
        )
        for name in names
    ]
    for writer in writers:
        assert writer.stdout is not None
        writer.stdout.readline()
    for writer in writers:  # all are ready: off they go
        assert writer.stdin is not None
        writer.stdin.write(b"\n")
        writer.stdin.flush()
    for writer in writers:
        writer.communicate(timeout=120)
        assert writer.returncode == 0
    ids = _ids(record)
    assert sorted(ids) == sorted(f"{name}-{number}" for name in names for number in range(EACH))
    pots = [int(one.pot) for one in read_record(record).entries]
    assert pots == list(range(1, WRITERS * EACH + 1))
    # they did write at once, not one after the other
    assert [one.partition("-")[0] for one in ids] != [name for name in names for _ in range(EACH)]


def test_a_line_torn_at_any_byte_is_kept_aside_and_the_rest_stands(record: Path) -> None:
    first, torn = text_of(entry("first")).encode(), text_of(entry("torn")).encode()
    for size in range(len(torn) + 1):
        whole = size >= len(torn) - 1  # but for its end, the line is all there
        record.write_bytes(first + torn[:size])
        read = read_record(record)
        assert [one.id for one in read.entries] == ["first"] + ["torn"] * whole
        assert read.torn == (b"" if whole else torn[:size])
        assert record.read_bytes() == first + torn[:size], "reading changes nothing"
        before, _ = append(record, lambda _: [entry("next")])
        assert before.torn == read.torn
        assert _ids(record) == ["first"] + ["torn"] * whole + ["next"]
        if size and not whole:
            assert torn_place(record).read_bytes() == torn[:size] + b"\n"
        else:
            assert not torn_place(record).exists()
        torn_place(record).unlink(missing_ok=True)


@pytest.mark.parametrize("torn", [b'{"id":"x', b"\0" * 100, b"\xff\xfe\n", b'{"id": "x"\n', b"} \r\n"])
def test_rubbish_at_the_end_is_set_aside_byte_for_byte(record: Path, torn: bytes) -> None:
    record.write_bytes(text_of(entry("first")).encode() + torn)
    append(record, lambda _: [entry("next")])
    assert _ids(record) == ["first", "next"]
    assert torn_place(record).read_bytes() == torn + b"\n"


def test_torn_lines_gather_beside_the_record(record: Path) -> None:
    for torn in (b'{"id":"a', b'{"id":"b'):
        with record.open("ab") as file:
            file.write(torn)
        append(record, lambda read: [entry(f"n{len(read.entries)}")])
    assert torn_place(record).read_bytes() == b'{"id":"a\n{"id":"b\n'
    assert _ids(record) == ["n0", "n1"]


def test_killed_after_the_copy_and_before_the_cut_it_is_kept_aside_once(record: Path) -> None:
    record.write_bytes(text_of(entry("first")).encode() + b'{"id":"x')
    torn_place(record).write_bytes(b'{"id":"x\n')
    append(record, lambda _: [entry("next")])
    assert torn_place(record).read_bytes() == b'{"id":"x\n'


def test_a_line_within_that_cannot_be_read_is_told_and_nothing_is_touched(record: Path) -> None:
    held = text_of(entry("first")) + '{"id": "x\n' + text_of(entry("third"))
    record.write_text(held, encoding="utf-8")
    with pytest.raises(Faults) as told:
        append(record, lambda _: [entry("next")])
    assert str(told.value) == f"{record}:2: the line cannot be read (wanted a line of JSON)"
    assert record.read_text(encoding="utf-8") == held
    assert not torn_place(record).exists()


def test_the_same_id_twice_counts_once_and_two_pots_of_one_id_are_a_fault(record: Path) -> None:
    once = text_of(entry("a", {"ball": 560.0}))
    record.write_text(once + once, encoding="utf-8")
    assert len(read_record(record).entries) == 1
    record.write_text(once + text_of(entry("a", {"ball": 570.0})), encoding="utf-8")
    with pytest.raises(Faults, match=r":2: two entries have one id \(found a; "):
        read_record(record)


def test_a_strike_takes_an_entry_out_of_what_counts_and_off_no_line(record: Path) -> None:
    append(record, lambda _: [entry("a"), entry("b")])
    append(record, lambda _: [Strike(id="s", date="2031-04-10", strike="a")])
    read = read_record(record)
    assert [one.id for one in read.standing] == ["b"]
    assert [one.id for one in read.entries] == ["a", "b"]


def test_a_write_that_comes_up_short_is_undone(record: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    append(record, lambda _: [entry("first")])
    held = record.read_bytes()
    write = os.write
    monkeypatch.setattr(os, "write", lambda handle, data: write(handle, data[:20]))
    with pytest.raises(Fault, match="the record cannot be written"):
        append(record, lambda _: [entry("next")])
    assert record.read_bytes() == held


def test_a_fault_on_the_way_makes_no_file(record: Path) -> None:
    def refuse(_: object) -> list[Strike]:
        raise Fault("no")

    with pytest.raises(Fault, match="no"):
        append(record, refuse)
    assert append(record, lambda _: []) == (ledger.Record(record), ())
    assert list(record.parent.glob("*.jsonl*")) == []


def test_somebody_who_holds_the_record_is_waited_for_and_then_told(
    record: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    append(record, lambda _: [entry("first")])
    monkeypatch.setattr(locked, "PATIENCE_S", 0.1)
    with ledger._opened(record, writing=True):  # another opening of the file, as another program's
        with pytest.raises(Fault, match="another program holds the record"):
            append(record, lambda _: [entry("next")])
        with pytest.raises(Fault, match="another program holds the record"):
            read_record(record)
    append(record, lambda _: [entry("next")])
    assert _ids(record) == ["first", "next"]


def test_a_file_put_in_its_place_while_we_waited_is_the_one_written(
    record: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    append(record, lambda _: [entry("first")])
    waits = threading.Event()
    taken = locked._taken

    def tried(handle: int, path: Path, *, writing: bool) -> bool:
        got = taken(handle, path, writing=writing)
        if not got:
            waits.set()
        return got

    with ledger._opened(record, writing=True):
        monkeypatch.setattr(locked, "_taken", tried)
        waiting = threading.Thread(target=append, args=(record, lambda _: [entry("next")]))
        waiting.start()
        assert waits.wait(timeout=20)
        other = record.with_suffix(".new")
        other.write_text(text_of(entry("edited")), encoding="utf-8")
        other.replace(record)
    waiting.join(timeout=20)
    assert _ids(record) == ["edited", "next"]


HOSTILE = {
    "nested deep": "[" * 100_000 + "]" * 100_000,
    "nested deep in a line": '{"id":"a","date":"2031-04-09","pot":' + '{"a":' * 50_000 + "1" + "}" * 50_000 + "}",
    "a list": "[1, 2]",
    "not a number": text_of(entry("a")).replace("560.0", "NaN"),
    "infinity": text_of(entry("a")).replace("560.0", "1e999"),
    "too heavy": text_of(entry("a")).replace("560.0", "1e30"),
    "below nought": text_of(entry("a")).replace("560.0", "-1"),
    "text for a number": text_of(entry("a")).replace("560.0", '"560"'),
    "an unknown quantity": text_of(entry("a")).replace('"ball"', '"bell"'),
    "an unknown key": text_of(entry("a")).replace('"pot"', '"pat"'),
    "no id": text_of(entry("a")).replace('"id":"a",', ""),
    "a strange id": text_of(entry("a")).replace('"id":"a"', '"id":"\\u001b[31m"'),
    "no such day": text_of(entry("a")).replace("2031-04-09", "2031-02-30"),
    "many values": text_of(entry("a")).replace(
        '"ball":560.0', ",".join(f'"{"x" * n}.ball":1' for n in range(1, 300))
    ),
}


@pytest.mark.parametrize("content", HOSTILE.values(), ids=HOSTILE)
def test_hostile_lines_are_told_with_their_line_and_change_nothing(record: Path, content: str) -> None:
    held = text_of(entry("first")) + content.rstrip("\n") + "\n" + text_of(entry("last"))
    record.write_text(held, encoding="utf-8")
    with pytest.raises(Faults) as told:
        append(record, lambda _: [entry("next")])
    assert str(told.value).startswith(f"{record}:2: ")
    assert len(str(told.value)) < 400
    assert "\x1b" not in str(told.value)
    assert record.read_text(encoding="utf-8") == held


def test_a_number_of_many_digits_is_no_traceback(record: Path) -> None:
    record.write_text("1" * 5000 + "\n" + text_of(entry("last")), encoding="utf-8")
    with pytest.raises(Faults, match=r":1: "):
        read_record(record)


def test_a_file_over_the_limit_is_not_read(record: Path) -> None:
    with record.open("wb") as file:
        file.truncate(ledger.MAX_BYTES + 1)
    with pytest.raises(Fault, match=r"the record is too large \(wanted at most 10 MB\)"):
        read_record(record)


def test_a_full_record_takes_no_more_and_loses_nothing(record: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    append(record, lambda _: [entry("first")])
    held = record.read_bytes()
    monkeypatch.setattr(ledger, "MAX_BYTES", len(held) + 50)
    with pytest.raises(Fault, match="the record is full"):
        append(record, lambda _: [entry("next")])
    assert record.read_bytes() == held


def test_what_is_no_file_is_not_waited_for(tmp_path: Path) -> None:
    pipe, folder = tmp_path / "pipe", tmp_path / "folder"
    folder.mkdir()
    if sys.platform != "win32":
        os.mkfifo(pipe)
    for path in (pipe, folder) if pipe.exists() else (folder,):
        with pytest.raises(Fault, match="not an ordinary file"):
            read_record(path)
        with pytest.raises(Fault, match="not an ordinary file"):
            append(path, lambda _: [entry("a")])
