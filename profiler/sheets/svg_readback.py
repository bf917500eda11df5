"""Read an SVG back, sharing no code with the writer: its size, its scale and its profile, in millimetres.

The file may be a stranger's. What could make the drawing look otherwise than its path data say (a transform, a
style sheet, a reused or nested drawing, anything from outside the file) is refused instead of followed.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path
from typing import NoReturn
from xml.parsers import expat

import numpy as np

from ..geometry.curve import Curve
from .path_data import MOST, NUMBER, cubics_of
from .stranger import content_of

MOST_BYTES = 5_000_000
"""A template takes some 10 kB."""

MOST_ELEMENTS = 20_000
"""A template has some fifty."""

MOST_DEPTH = 50
"""A template has three: the drawing, a group, a path."""

MOST_DATA = 50_000
"""Characters of path data in all paths called profile; ours has under a thousand."""

MOST_PROFILES = 100
"""A template has one."""

MOST_STYLE = 2_000
"""Characters of an element's own style; ours have none."""

_SVG = "http://www.w3.org/2000/svg "
_SIZE = re.compile(r"\s*([0-9]{1,6}(?:\.[0-9]{1,20})?)\s*mm\s*")
# CSS transforms and the property that stands for path data; a backslash or a comment could disguise any of them.
_MOVES = re.compile(
    r"(?<![-\w])(?:transform|translate|rotate|scale|zoom|offset[-a-z]*|d)\s*:|\\|/\*|url\((?!['\"]?#)"
)
_HIDES = re.compile(r"(?<![-\w])(?:display\s*:\s*none|visibility\s*:\s*(?:hidden|collapse))")
_REFUSED = {
    **dict.fromkeys(("image", "feImage", "foreignObject"), "a picture or a page within the drawing"),
    **dict.fromkeys(("use", "svg", "symbol"), "a drawing within the drawing"),
    **dict.fromkeys(("script", "animate", "animateMotion", "animateTransform", "set"), "something that moves"),
    "style": "a style sheet",
}


@dataclass(frozen=True, eq=False)
class Svg:
    """What an SVG holds.

    Attributes:
        width_mm: as the file states it.
        height_mm: the same.
        box: the viewBox (x, y, width, height), user units.
        profiles: the paths with id `profile`, in mm as stretched from the viewBox over width and height, y up.
        outlines: the same of those with id `outline`.
    """

    width_mm: float
    height_mm: float
    box: tuple[float, float, float, float]
    profiles: tuple[Curve, ...]
    outlines: tuple[Curve, ...]

    @property
    def scale(self) -> tuple[float, float]:
        """Millimetres to a user unit, across and up; 1 and 1 in a drawing that is true to size."""
        return self.width_mm / self.box[2], self.height_mm / self.box[3]


def read_svg(path: Path) -> Svg:
    """Size, scale and profiles of an SVG.

    Args:
        path: any file; it is read as a stranger's.

    Raises:
        ValueError: in one sentence that begins with the file's name: no whole XML within the limits above, a
            size not in mm, something that could change what is seen, or a profile that is not lines and cubics.
    """
    try:
        return _Reader(content_of(path, MOST_BYTES)).svg()
    except ValueError as fault:
        raise ValueError(f"{path.name}: {fault}") from fault


class _Reader:
    """One pass over the file, which keeps the root's attributes and the profiles' path data."""

    def __init__(self, content: bytes) -> None:
        self.root: dict[str, str] = {}
        self.data: dict[str, list[str]] = {"profile": [], "outline": []}
        self.open: list[str] = []
        self.count = self.hidden_at = 0
        parser = expat.ParserCreate(namespace_separator=" ")
        parser.StartElementHandler = self._start
        parser.EndElementHandler = self._end
        parser.StartDoctypeDeclHandler = self._doctype
        parser.ProcessingInstructionHandler = self._instruction
        try:
            parser.Parse(content, True)
        except expat.ExpatError as fault:
            raise ValueError(f"line {fault.lineno}: not well-formed XML ({expat.ErrorString(fault.code)})") from fault
        except LookupError as fault:
            raise ValueError("it is in an unknown encoding; save it as UTF-8") from fault

    def svg(self) -> Svg:
        """What was found, in mm."""
        width, height = (self._size(name) for name in ("width", "height"))
        numbers = self.root.get("viewBox", "").replace(",", " ").split()
        if len(numbers) != 4 or not all(NUMBER.fullmatch(number) for number in numbers):
            raise ValueError("there is no viewBox of four numbers")
        x, y, wide, high = (float(number) for number in numbers)
        if min(wide, high) < 1 / MOST or max(map(abs, (x, y, wide, high))) > MOST:
            raise ValueError("the viewBox has no size")
        # The file's y points down.
        scale = np.array([width / wide, -height / high])
        profiles, outlines = (tuple(Curve(cubics_of(d) * scale) for d in some) for some in self.data.values())
        return Svg(width, height, (x, y, wide, high), profiles, outlines)

    def _size(self, name: str) -> float:
        stated = self.root.get(name, "")
        found = _SIZE.fullmatch(stated)
        if found is None or float(found[1]) == 0:
            raise ValueError(f"the {name} is {_short(stated) if stated else 'left out'}; it must be in mm")
        return float(found[1])

    def _start(self, tag: str, attributes: dict[str, str]) -> None:
        self.count += 1
        if self.count > MOST_ELEMENTS:
            raise ValueError(f"more than {MOST_ELEMENTS} elements, no template has so many")
        if len(self.open) == MOST_DEPTH:
            raise ValueError(f"elements nested more than {MOST_DEPTH} deep")
        name = tag.removeprefix(_SVG) if tag.startswith(_SVG) else ""
        if not self.open:
            if name != "svg":
                raise ValueError("XML, but not an SVG")
            self.root = attributes
        elif name in _REFUSED:
            raise ValueError(f"there is {_REFUSED[name]} (<{name}>)")
        self._look(name, attributes)
        if attributes.get("id") in self.data:
            self._edge(name, attributes["id"], attributes.get("d", ""))
        self.open.append(name)

    def _look(self, name: str, attributes: dict[str, str]) -> None:
        """Refuse what would move or hide a line, or reach outside the file."""
        style = attributes.get("style", "").lower()
        if name != "text" and "transform" in attributes:
            raise ValueError(f"a transform stands on <{name or 'an element of another kind'}>")
        if len(style) > MOST_STYLE or _MOVES.search(style):
            raise ValueError("a style moves, scales or redraws something")
        for key, value in attributes.items():
            if key.rpartition(" ")[2] == "href" and not value.startswith("#"):
                raise ValueError(f"it refers to something outside the file, {_short(value)}")
        unseen = attributes.get("display") == "none" or attributes.get("visibility") in ("hidden", "collapse")
        if not self.hidden_at and (unseen or _HIDES.search(style)):
            self.hidden_at = len(self.open) + 1

    def _edge(self, name: str, called: str, data: str) -> None:
        if name != "path":
            raise ValueError(f"what is called {called} is not a path")
        if any(above != "g" for above in self.open[1:]) or self.hidden_at:
            raise ValueError(f"the {called} is not drawn: it is hidden, or stands in something other than a group")
        self.data[called].append(data)
        if len(self.data[called]) > MOST_PROFILES or sum(map(len, self.data[called])) > MOST_DATA:
            raise ValueError(
                f"more than {MOST_PROFILES} {called}s, or over {MOST_DATA // 1000} kB of path data in them"
            )

    def _end(self, _tag: str) -> None:
        if self.hidden_at == len(self.open):
            self.hidden_at = 0
        self.open.pop()

    def _doctype(self, *_: object) -> NoReturn:
        raise ValueError("a drawing declares no document type and no entities")

    def _instruction(self, target: str, _data: str) -> None:
        if target == "xml-stylesheet":
            raise ValueError("there is a style sheet")


def _short(text: str) -> str:
    return repr(text[:30])
