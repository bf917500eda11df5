"""A file nobody vouches for, taken in whole and within a limit, before any reader looks at it."""

from __future__ import annotations

from pathlib import Path


def content_of(path: Path, most_bytes: int) -> bytes:
    """What the file holds.

    Raises:
        ValueError: not a file, or larger than the limit.
        OSError: it cannot be opened.
    """
    if path.exists() and not path.is_file():
        raise ValueError("not a file")
    with path.open("rb") as file:
        content = file.read(most_bytes + 1)
    if len(content) > most_bytes:
        raise ValueError(f"larger than {most_bytes / 1e6:g} MB, no sheet is")
    return content
