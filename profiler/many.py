"""Many designs measured side by side, one process to each processor."""

from __future__ import annotations

import gc
import json
import os
import signal
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass
from functools import partial
from multiprocessing import get_context
from typing import Any

from .design.model import Design, design_of
from .design.toml_text import TomlText
from .faults import Fault, Faults
from .job import Job, figures, job_of
from .settings import Settings

MANY = 24
"""From so many designs on the processes are worth starting: each takes about as long to start as ten designs."""

_AT_ONCE = 8
"""Designs handed to a process in one go."""


@dataclass(frozen=True)
class Said:
    """What is told of one piece.

    Attributes:
        shown: its numbers as JSON, or a list of what a terminal shows.
        stands: whether an error stands against it.
    """

    shown: Any
    stands: bool


def said(job: Job, numbers: dict[str, Any], *, as_json: bool) -> Said:
    """What is told of a piece, from its numbers."""
    if as_json:
        return Said(json.dumps(numbers, indent=1, allow_nan=False), job.stands)
    from .report import told, told_of_solids

    return Said([told(job.measures, job.checks), *told_of_solids(numbers)], job.stands)


def all_said(designs: Sequence[Design], using: Settings, *, as_json: bool) -> list[Said]:
    """What is told of each design, in order; curves and solids of no more than a few are in memory at a time.

    Args:
        designs: read and valid.
        using: her settings.
        as_json: full precision, for other programs.

    Raises:
        Fault: one of the processes was killed.
        Faults: whatever is wrong with any of them, in their order; all are tried first.
    """
    texts = [design.text for design in designs]
    # "spawn" is the one way to start that every platform has and that copies no other thread's locks
    with ProcessPoolExecutor(_processors(), mp_context=get_context("spawn"), initializer=_ready) as pool:
        try:
            answers = list(pool.map(partial(_answer, using=using, as_json=as_json), texts, chunksize=_AT_ONCE))
        except BrokenProcessPool:
            what = "a process that measures was ended from outside, perhaps for want of memory"
            raise Fault(what, wanted="the same again, with fewer designs at once") from None
    faults = [fault for answer in answers if not isinstance(answer, Said) for fault in answer]
    if faults:
        raise Faults(faults)
    return [answer for answer in answers if isinstance(answer, Said)]


def _processors() -> int:
    """Those this process may use, and no more than a pool takes on any platform."""
    mine = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    return min(mine, 60)


def _ready() -> None:
    """Before a process takes its first design."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # an interrupt is for the process that waits for this one
    gc.freeze()  # what was imported is never rubbish, so it need not be looked through time and again


def _answer(text: TomlText, *, using: Settings, as_json: bool) -> Said | list[Fault]:
    """What is told of one design, or what is wrong with it."""
    try:
        job = job_of(design_of(text), using)
        return said(job, figures(job), as_json=as_json)
    except Faults as several:
        return several.faults
    except Fault as fault:
        return [fault]
