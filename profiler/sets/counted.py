"""One line of a set: a piece, and how many of it."""

from __future__ import annotations

from dataclasses import dataclass

from ..job import Job


@dataclass(frozen=True, eq=False)
class Counted:
    """A piece of a set.

    Attributes:
        job: the piece with its measures and checks.
        count: how many are wanted.
        to_throw: how many are thrown, spares among them.
    """

    job: Job
    count: int
    to_throw: int
