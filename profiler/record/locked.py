"""One file held for one writer, or for readers while nobody writes."""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from ..faults import Fault

PATIENCE_S = 30.0
_TRY_AGAIN_S = 0.01


@contextmanager
def locked(handle: int, path: Path, *, writing: bool) -> Iterator[None]:
    """Hold an open file; the lock goes with the process, so a killed one leaves none behind.

    Args:
        handle: of the open file.
        path: for messages.
        writing: alone, or together with other readers.

    Raises:
        Fault: somebody else holds it for half a minute, or the disk knows no locks.
    """
    until = time.monotonic() + PATIENCE_S
    while not _taken(handle, path, writing=writing):
        if time.monotonic() > until:
            raise Fault("another program holds the record", "", f"free within {PATIENCE_S:g} s", file=path)
        time.sleep(_TRY_AGAIN_S)
    try:
        yield
    finally:
        _let_go(handle)


if sys.platform == "win32":
    import msvcrt

    _FAR = 1 << 30
    """Past any record: there a lock keeps nobody from reading what stands in the file."""

    def _taken(handle: int, path: Path, *, writing: bool) -> bool:  # noqa: ARG001 - readers wait too
        os.lseek(handle, _FAR, os.SEEK_SET)
        try:
            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
        except OSError:
            return False
        return True

    def _let_go(handle: int) -> None:
        os.lseek(handle, _FAR, os.SEEK_SET)
        msvcrt.locking(handle, msvcrt.LK_UNLCK, 1)

else:
    import fcntl

    def _taken(handle: int, path: Path, *, writing: bool) -> bool:
        try:
            fcntl.flock(handle, (fcntl.LOCK_EX if writing else fcntl.LOCK_SH) | fcntl.LOCK_NB)
        except BlockingIOError:
            return False
        except OSError as error:
            wanted = "a folder on a disk that knows locks"
            raise Fault("the record cannot be held", error.strerror or "", wanted, file=path) from error
        return True

    def _let_go(handle: int) -> None:
        fcntl.flock(handle, fcntl.LOCK_UN)
