"""One file written whole: beside its place, flushed to the disk, and put there by one step."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from .faults import Fault


def replace_file(path: Path, text: str) -> None:
    """Write a text so that the file holds the old or the new one whole, whatever happens meanwhile.

    Its folder is made if it is not there. A link is followed: what it leads to is replaced.

    Raises:
        Fault: it cannot be written.
    """
    target = path.resolve()
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        handle, beside = tempfile.mkstemp(prefix=f".{target.name[:40]}.", dir=target.parent)
        try:
            with os.fdopen(handle, "w", encoding="utf-8", newline="\n") as file:
                file.write(text)
                file.flush()
                os.fsync(file.fileno())
            # a fresh file is for its owner alone; one that was there keeps its own permissions
            Path(beside).chmod(target.stat().st_mode & 0o777 if target.exists() else 0o644)
            Path(beside).replace(target)
        except BaseException:
            Path(beside).unlink(missing_ok=True)
            raise
    except OSError as error:
        found = error.strerror or str(error)
        raise Fault("the file cannot be written", found, "a place to write", file=path) from error


def new_file(path: Path, text: str) -> None:
    """Write a text whole to a place where there is nothing yet; its folder is made if need be.

    Raises:
        Fault: something is there, or it cannot be written.
    """
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with path.open("x", encoding="utf-8", newline="\n") as file:
            try:
                file.write(text)
                file.flush()
                os.fsync(file.fileno())
            except BaseException:
                path.unlink(missing_ok=True)
                raise
    except FileExistsError:
        raise Fault("the file is already there", wanted="another name; nothing is written over", file=path) from None
    except OSError as error:
        raise Fault("the file cannot be written", error.strerror or "", "a place to write", file=path) from error
