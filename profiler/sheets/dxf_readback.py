"""Read a DXF back by its group codes alone, sharing no code with the writer: the profile and the units.

A file is pairs of lines, a group code and a value; an entity begins at code 0 (DXF reference, group codes).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from io import BytesIO
from pathlib import Path

import numpy as np

from ..geometry.curve import Curve, Floats, line
from ..geometry.tolerance import JOIN_MM
from .stranger import content_of

MOST_BYTES = 5_000_000
"""A template takes some 30 kB."""

MOST_CUBICS = 20_000
"""A profile has some dozens."""

MOST_TAGS = 200
"""A spline of four control points has some fifty, what a stranger's program adds included."""

MOST = 1e9
"""The largest number taken; nothing computed with two of them overflows."""

_BINARY = b"AutoCAD Binary DXF"  # the standard's own first line of a binary file
_Tag = tuple[int, str]


@dataclass(eq=False)
class _Entity:
    kind: str
    tags: list[_Tag] = field(default_factory=list)
    marked: str = ""
    cut_short: bool = False

    def all(self, code: int) -> list[float]:
        return [_number(value) for found, value in self.tags if found == code]

    def points(self, *codes: int) -> Floats:
        """(x, y) of the points with these codes, (n, 2). A template is flat: z is 0 or left out."""
        xs, ys, zs = ([v for c in codes for v in self.all(c + step)] for step in (0, 10, 20))
        if len(xs) != len(ys) or any(zs):
            raise ValueError(f"a {self.kind} of the profile is not flat, or lacks a coordinate")
        return np.array([xs, ys], dtype=np.float64).T


def read_dxf_profile(path: Path, mark: str = "profile") -> list[Curve]:
    """The entities marked as profile, in the file's order, each chained to the last where they meet.

    Args:
        path: any file; it is read as a stranger's.
        mark: what they are marked as; `outline` is the rest of the contour.

    Returns:
        Curves in drawing units, y up: mm where `dxf_units` is 4. None marked: an empty list.

    Raises:
        ValueError: not a whole text DXF of at most `MOST_BYTES`, or a profile that is not lines and cubics.
    """
    try:
        return _chained(_cubics(path, mark))
    except ValueError as fault:
        raise ValueError(f"{path.name}: {fault}") from fault


def dxf_units(path: Path) -> int:
    """The header's `$INSUNITS`: 4 is millimetres, 1 inches; 0, no unit, where it is left out.

    Raises:
        ValueError: not a whole text DXF of at most `MOST_BYTES`, or units that are no number.
    """
    try:
        variable = ""
        for code, value in _tags(path):
            if code == 9:
                variable = value
            elif code == 70 and variable == "$INSUNITS":
                return int(_number(value))
            elif code == 0 and value == "ENDSEC":
                break  # the header is the first section, where there is one
    except ValueError as fault:
        raise ValueError(f"{path.name}: {fault}") from fault
    return 0


def _tags(path: Path) -> Iterator[_Tag]:
    """The pairs of a file, comments left out."""
    content = content_of(path, MOST_BYTES)
    if content.startswith(_BINARY):
        raise ValueError("a binary DXF; save it as a text DXF")
    if b"\0" in content:
        raise ValueError("not a text file, so no DXF")
    if content[-100:].split()[-1:] != [b"EOF"]:
        raise ValueError("not a whole DXF: it does not end with EOF")
    lines = BytesIO(content.removeprefix(b"\xef\xbb\xbf"))
    for number, head in enumerate(lines):
        try:
            code = int(head)
        except ValueError:
            raise ValueError(
                f"line {2 * number + 1} should be a group code, not {_short(head.decode('utf-8', errors='replace'))}"
            ) from None
        # Only ASCII is looked at; a title in an older file may be in any code page.
        value = lines.readline().decode("utf-8", errors="replace").strip()
        if code != 999:
            yield code, value


def _short(text: str) -> str:
    return repr(text.strip()[:20])


def _number(value: str) -> float:
    try:
        number = float(value)
    except ValueError:
        raise ValueError(f"{_short(value)} should be a number") from None
    if not abs(number) <= MOST:
        raise ValueError(f"{_short(value)} is no size")
    return number


def _entities(path: Path) -> Iterator[_Entity]:
    """What stands in the section ENTITIES, each entity with its first tags."""
    section = name = ""
    entity: _Entity | None = None
    for code, value in _tags(path):
        if code == 0:
            if entity is not None and section == "ENTITIES":
                yield entity
            entity = _Entity(value)
            section = "" if value in ("SECTION", "ENDSEC") else section
            name = ""
        elif entity is None:
            continue
        elif code == 2 and entity.kind == "SECTION":
            section, entity = value, None
        elif code == 1001:
            name = value
        elif code >= 1000:
            if code == 1000 and name == "PROFILER":
                entity.marked = value[:20]
        elif len(entity.tags) < MOST_TAGS:
            entity.tags.append((code, value))
        else:
            entity.cut_short = True


def _cubics(path: Path, mark: str) -> list[Floats]:
    found: list[Floats] = []
    for entity in _entities(path):
        if entity.marked == mark:
            if len(found) == MOST_CUBICS:
                raise ValueError(f"the profile has more than {MOST_CUBICS} entities")
            found.append(_cubic(entity))
    return found


def _cubic(entity: _Entity) -> Floats:
    """Control points of a LINE or of a SPLINE that is one cubic, (4, 2)."""
    if entity.kind == "LINE" and not entity.cut_short:
        ends = entity.points(10, 11)
        if len(ends) != 2:
            raise ValueError("a LINE of the profile lacks an end")
        straight: Floats = line(*ends).cubics[0]
        return straight
    if entity.kind != "SPLINE":
        raise ValueError(f"a profile is made of LINE and SPLINE, not {entity.kind[:20]}")
    if entity.all(11):
        raise ValueError("a SPLINE of the profile has fit points: its shape is anybody's guess")
    knots, points, weights = entity.all(40), entity.points(10), entity.all(41)
    clamped = len(knots) == 8 and knots[0] == knots[3] < knots[4] == knots[7]
    plain = all(weight == weights[0] for weight in weights)
    if entity.cut_short or entity.all(71) != [3.0] or not clamped or len(points) != 4 or not plain:
        raise ValueError("a SPLINE of the profile is not one cubic (degree 3, four points, knots 00001111)")
    return points


def _chained(cubics: list[Floats]) -> list[Curve]:
    """Curves, a new one wherever a cubic does not begin where the last one ended."""
    chains: list[list[Floats]] = []
    for cubic in cubics:
        if chains and np.abs(chains[-1][-1][3] - cubic[0]).max() <= JOIN_MM:
            chains[-1].append(cubic)
        else:
            chains.append([cubic])
    return [Curve(np.array(chain)) for chain in chains]
