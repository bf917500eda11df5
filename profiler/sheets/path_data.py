"""The path data of an SVG read as one chain of cubics, sharing no code with the writer. SVG 1.1, 8.3."""

from __future__ import annotations

import re
from collections.abc import Iterator

import numpy as np

from ..geometry.curve import Floats, line

MOST = 1e9
"""The largest number taken; nothing computed with two of them overflows."""

NUMBER = re.compile(r"[-+]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][-+]?[0-9]+)?")

_STEP = re.compile(rf"\s*(?:,\s*)?([A-Za-z]|{NUMBER.pattern})")
_NUMBERS = {"M": 2, "L": 2, "H": 1, "V": 1, "C": 6, "Z": 0}
"""How many numbers each step takes; it is repeated while more follow."""


def cubics_of(data: str) -> Floats:
    """Control points of a path that is one chain of lines and cubics, (n, 4, 2) user units.

    >>> cubics_of("M0,0 h3 c0,1 1,2 2,2")[1].tolist()
    [[3.0, 0.0], [3.0, 1.0], [4.0, 2.0], [5.0, 2.0]]

    Raises:
        ValueError: anything else, such as an arc, a gap or a number too few; says what.
    """
    cubics: list[Floats] = []
    begin = here = np.zeros(2)
    for order, (step, given) in enumerate(_steps(data)):
        if (step in "Mm") != (order == 0):
            raise ValueError("a profile is one path without a gap: M stands at its beginning and nowhere else")
        if step in "Zz":
            points = begin[None]
        elif step in "HhVv":
            points = here[None].copy()
            axis = "HV".index(step.upper())
            points[0, axis] = given[0] + (here[axis] if step.islower() else 0.0)
        else:
            points = given.reshape(-1, 2) + (here if step.islower() else 0.0)
        if order == 0:
            begin = points[0]
        elif step in "Cc":
            cubics.append(np.stack([here, *points]))
        elif step not in "Zz" or not np.array_equal(here, begin):
            cubics.append(line(here, points[0]).cubics[0])
        here = points[-1]
    if not cubics:
        raise ValueError("the profile has no length")
    return np.array(cubics)


def _steps(data: str) -> Iterator[tuple[str, Floats]]:
    """Each step with the numbers it takes, repeated ones too."""
    step, numbers, whole = "", list[float](), True
    for word in _words(data):
        if word.isalpha():
            if not whole:
                raise ValueError(f"the profile has a number too few after {step}")
            if word.upper() not in _NUMBERS:
                raise ValueError(f"the profile has a step {word!r}, and is made of lines and cubics only")
            step, whole = word, word in "Zz"
            if whole:
                yield step, np.zeros(0)
        elif not step or step in "Zz":
            raise ValueError(f"the profile has a number after {step or 'nothing'}")
        else:
            numbers.append(float(word))
            if abs(numbers[-1]) > MOST:
                raise ValueError(f"{word[:20]!r} in the profile is no size")
            whole = len(numbers) == _NUMBERS[step.upper()]
            if whole:
                yield step, np.array(numbers)
                numbers = []
                # Further pairs after M are lines.
                step = {"M": "L", "m": "l"}.get(step, step)
    if not whole:
        raise ValueError(f"the profile has a number too few after {step}")


def _words(data: str) -> Iterator[str]:
    at, data = 0, data.rstrip()
    while at < len(data):
        found = _STEP.match(data, at)
        if found is None:
            raise ValueError(f"{data[at : at + 12]!r} in the profile is neither a number nor a step")
        at = found.end()
        yield found[1]
