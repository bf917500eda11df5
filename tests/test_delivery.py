"""A folder written whole or not at all, through kills, strangers and bad places."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from profiler.delivery import MANIFEST, Delivery, commit_all, recover
from profiler.faults import Fault

ROOT = Path(__file__).resolve().parents[1]


def _tree(folder: Path) -> dict[str, str]:
    """Every file below a folder and what it says; the manifest left out."""
    return {
        path.relative_to(folder).as_posix(): path.read_text()
        for path in folder.rglob("*")
        if path.is_file() and path.name != MANIFEST
    }


def _make(out: Path, stem: str, **files: str) -> None:
    with Delivery(out, stem) as made:
        for name, text in files.items():
            made.path(name.replace("__", "/") + ".svg").write_text(text)
        made.commit()


def _killed(out: Path, body: str) -> None:
    """Run a delivery of `bowl` in a process of its own that ends by SIGKILL."""
    script = (
        "import os, signal, sys\n"
        "from pathlib import Path\n"
        "from profiler.delivery import Delivery, commit_all\n"
        "out = Path(sys.argv[1])\n"
        "def die(): os.kill(os.getpid(), signal.SIGKILL)\n" + body
    )
    done = subprocess.run([sys.executable, "-c", script, str(out)], cwd=ROOT, timeout=60, check=False)
    assert done.returncode == -signal.SIGKILL


def test_a_first_delivery_is_there_whole(tmp_path: Path) -> None:
    _make(tmp_path / "new" / "out", "bowl", section="1", templates__rib="2")
    folder = tmp_path / "new" / "out" / "bowl"
    assert _tree(folder) == {"section.svg": "1", "templates/rib.svg": "2"}
    assert (folder / MANIFEST).read_text() == "section.svg\ntemplates/rib.svg\n"
    assert [p.name for p in folder.parent.iterdir()] == ["bowl"]


def test_nothing_shows_before_the_commit(tmp_path: Path) -> None:
    with Delivery(tmp_path, "bowl") as made:
        made.path("section.svg").write_text("1")
        assert not made.final.exists()
        assert all(p.name.startswith(".bowl.making-") for p in tmp_path.iterdir())
    assert list(tmp_path.iterdir()) == []


def test_what_is_no_longer_made_vanishes_and_strangers_stay(tmp_path: Path) -> None:
    _make(tmp_path, "bowl", section="1", templates__rib="2", old__gauge="3")
    folder = tmp_path / "bowl"
    (folder / "notes.txt").write_text("mine")
    (folder / "templates" / "mine.txt").write_text("mine too")
    (folder / "photos" / "2024").mkdir(parents=True)
    (folder / "empty").mkdir()
    (folder / "photos" / "2024" / "a.txt").write_text("photo")
    (folder / "link").symlink_to("notes.txt")
    (folder / "away").symlink_to(tmp_path / "nowhere")
    inode = (folder / "notes.txt").stat().st_ino
    _make(tmp_path, "bowl", section="new", templates__gauge="4")
    assert _tree(folder) == {
        "section.svg": "new",
        "templates/gauge.svg": "4",
        "templates/mine.txt": "mine too",
        "notes.txt": "mine",
        "link": "mine",
        "photos/2024/a.txt": "photo",
    }
    assert (folder / "link").is_symlink()
    assert (folder / "away").readlink() == tmp_path / "nowhere"
    assert (folder / "empty").is_dir()
    assert not (folder / "old").exists()
    # The same file, not a copy: an editor that has it open goes on writing to it.
    assert (folder / "notes.txt").stat().st_ino == inode
    assert (folder / MANIFEST).read_text() == "section.svg\ntemplates/gauge.svg\n"
    assert [p.name for p in tmp_path.iterdir()] == ["bowl"]


def test_strangers_are_copied_where_links_cannot_be_made(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    _make(tmp_path, "bowl", section="1")
    (tmp_path / "bowl" / "notes.txt").write_text("mine")

    def refuse(*_: object, **__: object) -> None:
        raise PermissionError("no hard links on this disk")

    monkeypatch.setattr(os, "link", refuse)
    _make(tmp_path, "bowl", section="2")
    assert _tree(tmp_path / "bowl") == {"section.svg": "2", "notes.txt": "mine"}


def _file(folder: Path) -> None:
    (folder / "templates").mkdir(parents=True)
    (folder / "templates" / "rib.svg").write_text("hers")


def _folder(folder: Path) -> None:
    (folder / "templates" / "rib.svg").mkdir(parents=True)


def _parent_is_file(folder: Path) -> None:
    folder.mkdir()
    (folder / "templates").write_text("hers")


def _parent_is_link(folder: Path) -> None:
    folder.mkdir()
    (folder.parent / "elsewhere").mkdir()
    (folder / "templates").symlink_to(folder.parent / "elsewhere")


def _ours_turned_link(folder: Path) -> None:
    _make(folder.parent, "bowl", templates__rib="1")
    (folder / "templates" / "rib.svg").unlink()
    (folder / "templates" / "rib.svg").symlink_to(folder.parent / "hers.svg")


@pytest.mark.parametrize("put", [_file, _folder, _parent_is_file, _parent_is_link, _ours_turned_link])
def test_a_stranger_in_the_way_is_a_fault_and_nothing_changes(tmp_path: Path, put: object) -> None:
    assert callable(put)
    folder = tmp_path / "bowl"
    put(folder)
    before = sorted(str(p) for p in tmp_path.rglob("*"))
    with pytest.raises(Fault, match="did not write") as caught:
        _make(tmp_path, "bowl", section="1", templates__rib="2")
    assert "templates" in caught.value.found
    assert caught.value.wanted
    assert sorted(str(p) for p in tmp_path.rglob("*")) == before


def test_a_stranger_that_came_meanwhile_is_seen_at_the_commit(tmp_path: Path) -> None:
    with Delivery(tmp_path, "bowl") as made:
        made.path("section.svg").write_text("1")
        (tmp_path / "bowl").mkdir()
        (tmp_path / "bowl" / "section.svg").write_text("hers")
        with pytest.raises(Fault, match="did not write"):
            made.commit()
    assert _tree(tmp_path) == {"bowl/section.svg": "hers"}


def test_a_file_or_link_in_the_folders_place_is_a_fault(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("hers")
    (tmp_path / "real").mkdir()
    (tmp_path / "link").symlink_to(tmp_path / "real")
    (tmp_path / "dangling").symlink_to(tmp_path / "nothing")
    for stem in ("file", "link", "dangling"):
        with pytest.raises(Fault, match=stem), Delivery(tmp_path, stem):
            pass
    assert sorted(p.name for p in tmp_path.iterdir()) == ["dangling", "file", "link", "real"]


def test_a_place_that_cannot_be_written_is_a_fault(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "out").write_text("a file")
    with pytest.raises(Fault, match="cannot be written"), Delivery(tmp_path / "out", "bowl"):
        pass
    # Permissions mean nothing to the superuser, under whom tests may run: no one can write to /proc.
    with pytest.raises(Fault, match="cannot be written"), Delivery(Path("/proc/self"), "bowl"):
        pass
    _make(tmp_path, "bowl", section="1")
    monkeypatch.setattr(os, "access", lambda *_: False)
    with pytest.raises(Fault, match="read-only"), Delivery(tmp_path, "bowl"):
        pass


def test_a_file_asked_for_and_not_written_stops_the_delivery(tmp_path: Path) -> None:
    with Delivery(tmp_path, "bowl") as made:
        made.path("section.svg").write_text("1")
        made.path("piece.step")
        with pytest.raises(ValueError, match=r"not written: piece\.step"):
            made.commit()
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("name", ["", "/etc/x", "../x", "a/../../x", MANIFEST, "a\nb"])
def test_names_that_lead_elsewhere_are_refused(tmp_path: Path, name: str) -> None:
    with Delivery(tmp_path, "bowl") as made, pytest.raises(ValueError, match="not a name"):
        made.path(name)


@pytest.mark.parametrize("error", [RuntimeError, KeyboardInterrupt, SystemExit])
def test_any_exception_leaves_the_old_folder_and_nothing_else(tmp_path: Path, error: type[BaseException]) -> None:
    _make(tmp_path, "bowl", section="old")

    def interrupted() -> None:
        with Delivery(tmp_path, "bowl") as made:
            made.path("section.svg").write_text("new")
            raise error

    with pytest.raises(error):
        interrupted()
    assert [p.name for p in tmp_path.iterdir()] == ["bowl"]
    assert _tree(tmp_path / "bowl") == {"section.svg": "old"}


def test_sigterm_cleans_up(tmp_path: Path) -> None:
    script = (
        "import sys, time\nfrom pathlib import Path\nfrom profiler.delivery import Delivery\n"
        "with Delivery(Path(sys.argv[1]), 'bowl') as made, Delivery(Path(sys.argv[1]), 'cup') as other:\n"
        "    made.path('section.svg').write_text('half')\n"
        "    print('ready', flush=True)\n"
        "    time.sleep(60)\n"
    )
    with subprocess.Popen([sys.executable, "-c", script, str(tmp_path)], cwd=ROOT, stdout=subprocess.PIPE) as process:
        assert process.stdout is not None
        assert process.stdout.readline() == b"ready\n"
        assert len(list(tmp_path.iterdir())) == 2
        process.terminate()
        assert process.wait(timeout=30) == 128 + signal.SIGTERM
    assert list(tmp_path.iterdir()) == []


def test_the_handler_is_put_back(tmp_path: Path) -> None:
    before = signal.getsignal(signal.SIGTERM)
    with Delivery(tmp_path, "bowl"), Delivery(tmp_path, "cup"):
        assert signal.getsignal(signal.SIGTERM) != before
    assert signal.getsignal(signal.SIGTERM) == before


WRITE = (
    "with Delivery(out, 'bowl') as made:\n"
    "    made.path('section.svg').write_text('new')\n"
    "    made.path('templates/rib.svg').write_text('new')\n"
)


@pytest.fixture
def old(tmp_path: Path) -> Path:
    """A folder of results with the program's files and a stranger's."""
    _make(tmp_path, "bowl", section="old", gauge="old")
    (tmp_path / "bowl" / "notes.txt").write_text("mine")
    return tmp_path


OLD = {"section.svg": "old", "gauge.svg": "old", "notes.txt": "mine"}
NEW = {"section.svg": "new", "templates/rib.svg": "new", "notes.txt": "mine"}


def test_a_kill_in_the_middle_of_writing_loses_nothing(old: Path) -> None:
    _killed(old, WRITE + "    die()\n")
    assert len(list(old.iterdir())) == 2
    assert recover(old) == []
    assert [p.name for p in old.iterdir()] == ["bowl"]
    assert _tree(old / "bowl") == OLD


# Which of the two renames the process dies at, and whether before or after the disk has it.
DIE = (
    "real, count = os.rename, 0\n"
    "def rename(a, b, **k):\n"
    "    global count\n"
    "    count += 1\n"
    "    if count == {at} and not {after}: die()\n"
    "    real(a, b, **k)\n"
    "    if count == {at} and {after}: die()\n"
    "os.rename = rename\n"
)


@pytest.mark.parametrize(
    ("at", "after", "restored", "tree"),
    [
        (1, False, False, OLD),
        (1, True, True, OLD),
        (2, False, True, OLD),
        (2, True, False, NEW),
        (3, True, False, NEW),  # the old folder renamed to be removed, not yet removed
    ],
)
def test_a_kill_at_a_rename_loses_nothing(
    old: Path, at: int, after: bool, restored: bool, tree: dict[str, str]
) -> None:
    _killed(old, DIE.format(at=at, after=after) + WRITE + "    made.commit()\n")
    # Whatever of the folder is there is whole, the stranger's file with it, even before anything is mended.
    assert (_tree(old / "bowl") if (old / "bowl").exists() else None) == (None if restored else tree)
    assert recover(old) == ([old / "bowl"] if restored else [])
    assert [p.name for p in old.iterdir()] == ["bowl"]
    assert _tree(old / "bowl") == tree
    # And the run after that goes through.
    _make(old, "bowl", section="third")
    assert _tree(old / "bowl") == {"section.svg": "third", "notes.txt": "mine"}


def test_a_kill_while_the_old_folder_is_removed_brings_nothing_back(old: Path) -> None:
    body = (
        "import shutil\n"
        "real = shutil.rmtree\n"
        "def rmtree(path, **k):\n"
        "    (Path(path) / '.made-by-profiler').unlink()\n"
        "    die()\n"
        "shutil.rmtree = rmtree\n"
    )
    _killed(old, body + WRITE + "    made.commit()\n")
    recover(old)
    assert _tree(old / "bowl") == NEW
    assert [p.name for p in old.iterdir()] == ["bowl"]


def test_what_is_at_work_or_not_ours_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / ".bowl.making-notes").mkdir()
    (tmp_path / ".bowl.before-1-00000000").write_text("a file, not a folder")
    with Delivery(tmp_path, "bowl") as mine:
        other = tmp_path / f".cup.making-{os.getppid()}-0123abcd"
        other.mkdir()
        assert recover(tmp_path) == []
        assert mine.staging.is_dir()
        assert other.is_dir()
    assert (tmp_path / ".bowl.making-notes").is_dir()
    assert (tmp_path / ".bowl.before-1-00000000").is_file()
    assert recover(tmp_path / "nowhere") == []


def test_an_id_that_came_round_again_does_not_keep_a_folder_away(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    waiting = tmp_path / f".bowl.before-{os.getppid()}-0123abcd"
    waiting.mkdir()
    (waiting / "notes.txt").write_text("mine")
    assert recover(tmp_path) == []
    # Two renames take no minute: after two, the process of that id is another one.
    later = time.time() + 120
    monkeypatch.setattr(time, "time", lambda: later)
    assert recover(tmp_path) == [tmp_path / "bowl"]
    assert _tree(tmp_path / "bowl") == {"notes.txt": "mine"}


def test_several_folders_come_together_or_not_at_all(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    _make(tmp_path, "bowl", section="old")
    real, seen = os.rename, []

    def rename(source: Path, target: Path) -> None:
        seen.append(source)
        if len(seen) == 4:  # bowl out, bowl in, cup in (it is new), jar out
            raise PermissionError(13, "Permission denied", str(source))
        real(source, target)

    _make(tmp_path, "jar", section="old")
    (tmp_path / "jar" / "notes.txt").write_text("mine")
    monkeypatch.setattr(os, "rename", rename)
    with (
        Delivery(tmp_path, "bowl") as bowl,
        Delivery(tmp_path, "cup") as cup,
        Delivery(tmp_path, "jar") as jar,
    ):
        for one in (bowl, cup, jar):
            one.path("section.svg").write_text("new")
        with pytest.raises(Fault, match="results of jar cannot be written"):
            commit_all([bowl, cup, jar])
        assert _tree(tmp_path / "bowl") == {"section.svg": "old"}
        assert not (tmp_path / "cup").exists()
        commit_all([bowl, cup, jar])  # the trouble is over: what was made is still there to deliver
    whole = {f"{n}/section.svg": "new" for n in ("bowl", "cup", "jar")}
    assert _tree(tmp_path) == {**whole, "jar/notes.txt": "mine"}
    assert (tmp_path / "jar" / MANIFEST).read_text() == "section.svg\n"
    assert sorted(p.name for p in tmp_path.iterdir()) == ["bowl", "cup", "jar"]


def test_a_fault_in_one_of_several_changes_none(tmp_path: Path) -> None:
    with Delivery(tmp_path, "bowl") as bowl, Delivery(tmp_path, "cup") as cup:
        bowl.path("section.svg").write_text("new")
        cup.path("section.svg").write_text("new")
        (tmp_path / "cup").write_text("a file came meanwhile")
        with pytest.raises(Fault, match="results of cup"):
            commit_all([bowl, cup])
    assert [p.name for p in tmp_path.iterdir()] == ["cup"]
