"""A folder of results, written whole or not at all.

Files are made in a hidden folder beside the final one and swapped in by two renames. What the program wrote
is listed in a hidden file inside it, so that the next run replaces that and leaves a stranger's files alone.
"""

from __future__ import annotations

import contextlib
import os
import re
import secrets
import shutil
import signal
import threading
import time
from collections.abc import Iterator, Sequence
from pathlib import Path, PurePosixPath
from types import FrameType, TracebackType

from .faults import Fault

MANIFEST = ".made-by-profiler"
"""Lists what the program wrote, names sorted, one a line."""

_LEFT = re.compile(r"\.(?P<stem>.+)\.(?P<kind>making|before)-(?P<pid>\d+)-[0-9a-f]{8}", re.DOTALL)
# Ids of processes come round again: past this age a folder counts as left behind though its id is in use.
_MAKING_S = 24 * 3600.0
_BEFORE_S = 60.0

_open: set[Path] = set()  # hidden folders this process is at work on


class Delivery:
    """One folder in the making; a context manager that removes every trace unless it was committed.

    Attributes:
        final: the folder it will be.
        staging: the hidden folder it is made in.
    """

    def __init__(self, out_dir: Path, stem: str) -> None:
        mark = f"{os.getpid()}-{secrets.token_hex(4)}"
        self.stem = stem
        self.final = Path(out_dir) / stem
        self.staging = Path(out_dir) / f".{stem}.making-{mark}"
        self._before = Path(out_dir) / f".{stem}.before-{mark}"
        self._replaces = False
        self._names: set[str] = set()

    def __enter__(self) -> Delivery:
        """Open the hidden folder.

        Raises:
            Fault: the final folder is something else, or the place cannot be written.
        """
        self._check_target()
        _Stop.hold()  # before the folder is there, so that no moment is left in which a stop leaves it behind
        try:
            self.final.parent.mkdir(parents=True, exist_ok=True)
            _open.add(self.staging)
            self.staging.mkdir()
        except BaseException as error:
            self.__exit__(None, None, None)
            if isinstance(error, OSError):
                raise self._unwritable(error) from error
            raise
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        """Remove the hidden folder if it is still there."""
        self.clear()
        _Stop.release()

    def clear(self) -> None:
        """Remove the hidden folder, which a stop may leave between its opening and its being looked after."""
        shutil.rmtree(self.staging, ignore_errors=True)
        _open.discard(self.staging)

    def path(self, name: str) -> Path:
        """Where to write a file, such as `templates/outside_rib.svg`; its folder exists.

        Raises:
            Fault: a file of that name stands in the final folder and is not the program's.
        """
        parts = PurePosixPath(name).parts
        if not parts or ".." in parts or name.startswith("/") or "\n" in name or name == MANIFEST:
            raise ValueError(f"not a name for a file of a delivery: {name!r}")
        plain = PurePosixPath(name).as_posix()
        self._check_strangers([plain])
        path = self.staging / plain
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise self._unwritable(error) from error
        self._names.add(plain)
        return path

    def leave_out(self, name: str) -> None:
        """Take back a file that was to be written."""
        self.path(name).unlink(missing_ok=True)
        self._names.discard(PurePosixPath(name).as_posix())

    def commit(self) -> None:
        """Swap the folder in; see `commit_all`."""
        commit_all([self])

    def _check_target(self) -> None:
        wanted = "a folder of this name, or nothing, so that the results can go there"
        if self.final.is_symlink():
            raise Fault(f"the results of {self.stem} would go through a link", f"{self.final}", wanted)
        if self.final.exists() and not self.final.is_dir():
            raise Fault(f"the results of {self.stem} have no place", f"a file {self.final}", wanted)
        if self.final.is_dir() and not os.access(self.final, os.W_OK | os.X_OK):
            found = f"{self.final} is read-only"
            raise Fault(f"the results of {self.stem} cannot be written", found, "a folder you may write to")

    def _check_strangers(self, names: Sequence[str]) -> None:
        """Every name is free in the final folder or the program's own there, and so is the way to it."""
        ours = made_before(self.final)
        for name in names:
            target = self.final / name
            for folder in list(target.relative_to(self.final).parents)[:-1]:
                if (self.final / folder).is_symlink() or (self.final / folder).is_file():
                    raise self._stranger(self.final / folder)
            if os.path.lexists(target) and (name not in ours or target.is_symlink() or not target.is_file()):
                raise self._stranger(target)

    def _stranger(self, path: Path) -> Fault:
        return Fault(
            f"the results of {self.stem} would replace something this program did not write",
            str(path),
            "that it is moved or renamed first, or another folder for the results",
        )

    def _unwritable(self, error: OSError) -> Fault:
        found = f"{error.filename or self.final}: {error.strerror or error}"
        return Fault(f"the results of {self.stem} cannot be written", found, "a folder you may write to")

    def _prepare(self) -> None:
        """Complete the hidden folder: the strangers' files, the manifest, and all of it on the disk."""
        self._check_target()
        made = sorted(self._names)
        unwritten = [name for name in made if not (self.staging / name).is_file()]
        if unwritten:
            raise ValueError(f"a delivery is whole or not at all; not written: {', '.join(unwritten)}")
        self._check_strangers(made)
        self._replaces = self.final.is_dir()
        (self.staging / MANIFEST).write_text("".join(f"{name}\n" for name in made), encoding="utf-8")
        if self._replaces:
            shutil.copymode(self.final, self.staging)
            keep_strangers(self.final, self.staging)
        _flush(self.staging, [*made, MANIFEST])

    def _swap(self) -> None:
        if self._replaces:
            _open.add(self._before)
            self.final.rename(self._before)
        self.staging.rename(self.final)

    def _undo(self) -> None:
        """Put the old folder back from whatever state the swap was left in."""
        swapped_in = not self.staging.exists() and self.final.exists()
        if swapped_in and (self._before.exists() or not self._replaces):
            self.final.rename(self.staging)
        if self._before.exists() and not self.final.exists():
            self._before.rename(self.final)
        _open.discard(self._before)

    def _finish(self) -> None:
        """Throw the old folder away, after a last look for what a stranger put there meanwhile."""
        if self._before.exists():
            _discard_before(self._before, self.final, self.staging)
        _open.discard(self._before)


def commit_all(deliveries: Sequence[Delivery]) -> None:
    """Swap several finished folders in, or none of them.

    Everything that can go wrong is tried first; if a rename then fails, those before it are taken back.

    Raises:
        Fault: a stranger's file is in the way, or a folder cannot be written.
        ValueError: a file whose path was asked for has not been written.
    """
    for delivery in deliveries:
        try:
            delivery._prepare()
        except OSError as error:
            raise delivery._unwritable(error) from error
    begun: list[Delivery] = []
    try:
        for delivery in deliveries:
            begun.append(delivery)
            delivery._swap()
        for folder in {delivery.final.parent for delivery in deliveries}:
            _flush_folder(folder)
    except BaseException as error:
        for delivery in reversed(begun):
            delivery._undo()
        if isinstance(error, OSError):
            raise begun[-1]._unwritable(error) from error
        raise
    for delivery in deliveries:
        delivery._finish()


def recover(out_dir: Path) -> list[Path]:
    """Mend what a killed run left in a folder of results, and say which folders were put back.

    A final folder that is missing while its old self waits beside it gets it back; hidden folders of
    processes that are gone are removed. Those of a process at work are left alone.

    Raises:
        Fault: an old folder cannot be put back.
    """
    out_dir = Path(out_dir)
    restored: list[Path] = []
    left = [] if not out_dir.is_dir() else sorted(p for p in out_dir.iterdir() if _LEFT.fullmatch(p.name))
    # "before" sorts first within a stem: the old folder is back before its successor goes.
    for folder in left:
        match = _LEFT.fullmatch(folder.name)
        if match is None or folder.is_symlink() or not folder.is_dir():
            continue
        if folder in _open or not _abandoned(folder, match["kind"], int(match["pid"])):
            continue
        final = out_dir / match["stem"]
        if match["kind"] == "making":
            shutil.rmtree(folder, ignore_errors=True)
        elif os.path.lexists(final):
            if final.is_dir() and not final.is_symlink():
                stem, _, mark = folder.name.rpartition(".before-")
                _discard_before(folder, final, out_dir / f"{stem}.making-{mark}")
        else:
            try:
                folder.rename(final)
            except OSError as error:
                found = f"{folder}: {error.strerror}"
                raise Fault(f"the results of {final.name} cannot be put back", found, str(final)) from error
            restored.append(final)
    return restored


def made_before(folder: Path) -> frozenset[str]:
    """Names the program wrote into a folder on an earlier run, from its manifest; none without one."""
    manifest = folder / MANIFEST
    if manifest.is_symlink() or not manifest.is_file():
        return frozenset()
    return frozenset(manifest.read_text(encoding="utf-8", errors="replace").split("\n")) - {""} | {MANIFEST}


def keep_strangers(old: Path, new: Path) -> None:
    """Link, or else copy, what the program did not write from the old folder into the new one.

    A name the new folder has already stays as it is there. A folder that held only the program's files is not
    made again; a stranger's empty one is.
    """
    ours = made_before(old)
    for name, is_folder in _walked(old):
        source, target = old / name, new / name
        if is_folder:
            if not target.exists() and not any(source.iterdir()):
                target.mkdir(parents=True)
                shutil.copystat(source, target)
        elif name not in ours and not os.path.lexists(target):
            target.parent.mkdir(parents=True, exist_ok=True)
            try:
                os.link(source, target, follow_symlinks=False)
            except OSError:  # a disk without hard links
                shutil.copy2(source, target, follow_symlinks=False)


def _discard_before(before: Path, final: Path, rubbish: Path) -> None:
    """Remove an old folder. It is renamed first: half of one must not be taken for a whole one later."""
    with contextlib.suppress(OSError):  # the new folder is in place; what stays is removed by the next run
        keep_strangers(before, final)
        before.rename(rubbish)
        shutil.rmtree(rubbish, ignore_errors=True)


def _walked(root: Path) -> Iterator[tuple[str, bool]]:
    """Every name below a folder, with `/`, and whether it is a folder; links are names, not followed."""
    for folder, folders, files in os.walk(root):
        here = Path(folder).relative_to(root)
        for name in folders:
            path = here / name
            yield path.as_posix(), not (root / path).is_symlink()
        for name in files:
            yield (here / name).as_posix(), False


def _abandoned(folder: Path, kind: str, pid: int) -> bool:
    """Whether the process that made a hidden folder is gone, or too long at it to be the same one."""
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return True
    except (PermissionError, OverflowError):
        pass
    try:
        age = time.time() - folder.stat().st_ctime
    except FileNotFoundError:
        return False
    return age > (_MAKING_S if kind == "making" else _BEFORE_S)


def _flush(root: Path, names: Sequence[str]) -> None:
    """Bring files and their folders onto the disk, so that no rename is there before what it names."""
    for name in names:
        with (root / name).open("rb") as file:
            os.fsync(file.fileno())
    for folder in {(root / name).parent for name in names} | {root}:
        _flush_folder(folder)


def _flush_folder(folder: Path) -> None:
    with contextlib.suppress(OSError):  # some disks cannot flush a folder; the files themselves are safe
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


class _Stop:
    """SIGTERM as an exception while any delivery of the main thread is open, so that it cleans up."""

    depth = 0
    armed = False

    @classmethod
    def hold(cls) -> None:
        cls.depth += 1
        in_main = threading.current_thread() is threading.main_thread()
        # A handler someone else has set is theirs to keep.
        if in_main and not cls.armed and signal.getsignal(signal.SIGTERM) is signal.SIG_DFL:
            signal.signal(signal.SIGTERM, cls._stopped)
            cls.armed = True

    @classmethod
    def release(cls) -> None:
        cls.depth -= 1
        if cls.armed and not cls.depth and threading.current_thread() is threading.main_thread():
            signal.signal(signal.SIGTERM, signal.SIG_DFL)
            cls.armed = False

    @staticmethod
    def _stopped(number: int, frame: FrameType | None) -> None:  # noqa: ARG004 - the shape of a handler
        raise SystemExit(128 + number)
