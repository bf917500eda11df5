"""Read the files back, sharing no code with the writers: what stands in them, in millimetres."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import numpy as np
import pikepdf
from svgelements import Close, CubicBezier, Move
from svgelements import Line as SvgLine
from svgelements import Path as SvgPath

from ..geometry.curve import Curve, Floats, line
from ..lengths import MM_PER_INCH

_POINTS_PER_INCH = 72
_SVG = "{http://www.w3.org/2000/svg}"


def read_svg_profile(path: Path) -> list[Curve]:
    """The paths with id `profile` of an SVG, mm, y up.

    Args:
        path: a file whose width and height are in mm and which has a viewBox.

    Raises:
        ValueError: entities in the file, a size not in mm, a transform, or an element no cubic chain has.
    """
    text = path.read_text(encoding="utf-8")
    if "<!DOCTYPE" in text or "<!ENTITY" in text:
        raise ValueError(f"{path.name}: a drawing declares no entities")
    root = ElementTree.fromstring(text)  # noqa: S314 - entities were refused above
    box = [float(v) for v in root.get("viewBox", "").replace(",", " ").split()]
    sizes = [root.get("width", ""), root.get("height", "")]
    if len(box) != 4 or not all(size.endswith("mm") for size in sizes):
        raise ValueError(f"{path.name}: width and height must be in mm, with a viewBox")
    scale = np.array([float(sizes[0][:-2]) / box[2], -float(sizes[1][:-2]) / box[3]])
    if any(e.get("transform") for e in root.iter() if e.tag != f"{_SVG}text"):
        raise ValueError(f"{path.name}: a transform stands on a line or a group")
    found = [e.get("d", "") for e in root.iter(f"{_SVG}path") if e.get("id") == "profile"]
    return [Curve(_svg_cubics(data) * scale) for data in found]


def _svg_cubics(data: str) -> Floats:
    cubics: list[Floats] = []
    for segment in SvgPath(data):
        if isinstance(segment, CubicBezier):
            points = (segment.start, segment.control1, segment.control2, segment.end)
            cubics.append(np.array([[p.x, p.y] for p in points]))
        elif isinstance(segment, SvgLine | Close):
            a, b = segment.start, segment.end
            if a != b:
                cubics.append(line((a.x, a.y), (b.x, b.y)).cubics[0])
        elif not (isinstance(segment, Move) and not cubics):
            raise ValueError(f"a profile is one path of cubics and lines; {type(segment).__name__} is neither")
    return np.array(cubics)


@dataclass(frozen=True, eq=False)
class Stroke:
    """One painted subpath.

    Attributes:
        curve: mm from the page's lower left, y up.
        tag: the marked content it stands in, such as `profile`, or empty.
    """

    curve: Curve
    tag: str


@dataclass(frozen=True, eq=False)
class PdfPage:
    """One page: its box and every painted path, mm."""

    width_mm: float
    height_mm: float
    strokes: tuple[Stroke, ...]

    @property
    def profiles(self) -> list[Curve]:
        """The paths marked as profile."""
        return self.tagged("profile")

    def tagged(self, tag: str) -> list[Curve]:
        """The paths in marked content of that name."""
        return [s.curve for s in self.strokes if s.tag == tag]


@dataclass(frozen=True, eq=False)
class Pdf:
    """What a PDF holds.

    Attributes:
        print_scaling: the viewer preference as written, such as `/None`, or empty.
        pages: in order.
    """

    print_scaling: str
    pages: tuple[PdfPage, ...]


def read_pdf(path: Path) -> Pdf:
    """Page boxes, the print scaling and every painted path of a PDF, in mm."""
    with pikepdf.open(path) as pdf:
        preferences = pdf.Root.get("/ViewerPreferences", pikepdf.Dictionary())
        scaling = str(preferences.get("/PrintScaling", ""))
        return Pdf(scaling, tuple(_page(page) for page in pdf.pages))


def bar_lengths_mm(page: PdfPage) -> tuple[list[float], list[float]]:
    """Lengths of the 100 mm bars across and up that a page carries, mm, as they stand in its path data."""
    runs = [np.abs(curve.end - curve.start) for curve in page.tagged("bar")]
    across = [float(wide) for wide, high in runs if high < wide]
    up = [float(high) for wide, high in runs if wide < high]
    return across, up


def _page(page: pikepdf.Page) -> PdfPage:
    left, bottom, right, top = (float(v) for v in page.mediabox)
    mm = MM_PER_INCH / _POINTS_PER_INCH
    strokes = tuple(Stroke(Curve((points - np.array([left, bottom])) * mm), tag) for points, tag in _painted(page))
    return PdfPage((right - left) * mm, (top - bottom) * mm, strokes)


def _painted(page: pikepdf.Page) -> Iterator[tuple[Floats, str]]:
    """Cubics (n, 4, 2) in points of each painted subpath and its mark. ISO 32000-1, 8.4.4, 8.5 and 14.6."""
    matrix: Floats = np.eye(3)
    kept: list[Floats] = []
    marks: list[str] = []
    subpaths: list[list[Floats]] = []
    here: Floats = np.zeros(2)
    for step in pikepdf.parse_content_stream(page):
        operands: Any = step.operands
        name = str(step.operator)
        if name == "q":
            kept.append(matrix)
        elif name == "Q":
            matrix = kept.pop()
        elif name == "cm":
            a, b, c, d, e, f = _floats(operands)
            matrix = np.array([[a, b, 0], [c, d, 0], [e, f, 1]]) @ matrix
        elif name in ("BMC", "BDC"):
            marks.append(str(operands[0]).lstrip("/"))
        elif name == "EMC":
            marks.pop()
        elif name == "m":
            here = _floats(operands)
            subpaths.append([])
        elif name == "l":
            end = _floats(operands)
            subpaths[-1].append(line(here, end).cubics[0])
            here = end
        elif name == "c":
            one, two, end = _floats(operands).reshape(3, 2)
            subpaths[-1].append(np.stack([here, one, two, end]))
            here = end
        elif name in ("v", "y"):
            raise ValueError(f"the short curve operator {name} is not expected in a sheet")
        elif name == "re":
            x, y, w, h = _floats(operands)
            corners = np.array([[x, y], [x + w, y], [x + w, y + h], [x, y + h], [x, y]])
            subpaths.append([line(p, q).cubics[0] for p, q in pairwise(corners)])
            here = corners[0]
        elif name in ("h", "s", "b", "b*"):
            _close(subpaths)
        if name in ("S", "s", "f", "F", "f*", "B", "B*", "b", "b*"):
            tag = marks[-1] if marks else ""
            yield from ((_through(np.array(p), matrix), tag) for p in subpaths if p)
            subpaths = []
        elif name == "n":
            subpaths = []


def _floats(operands: Any) -> Floats:
    return np.array([float(v) for v in operands])


def _close(subpaths: list[list[Floats]]) -> None:
    if subpaths and subpaths[-1]:
        first, last = subpaths[-1][0][0], subpaths[-1][-1][3]
        if np.abs(first - last).max() > 0:
            subpaths[-1].append(line(last, first).cubics[0])


def _through(cubics: Floats, matrix: Floats) -> Floats:
    return np.asarray(cubics @ matrix[:2, :2] + matrix[2, :2])
