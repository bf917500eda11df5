"""Read a PDF back, sharing no code with the writer: its pages and every painted path, in millimetres.

The file may be a stranger's. Before the library sees it, it is held to a size and to the plain cross-reference table;
pages are unpacked here, so that a small file cannot grow without end.
"""

from __future__ import annotations

import base64
import re
import warnings
import zlib
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path
from typing import Any

import numpy as np
import pikepdf

from ..geometry.curve import Curve
from ..lengths import MM_PER_INCH
from .page_content import Stroke, painted
from .stranger import content_of

MOST_BYTES = 1_500_000
"""Templates on paper take some 50 kB, most of it the face; the library takes 8 s for what 5 MB may say."""

MOST_PAGES = 60
"""A piece takes some five."""

MOST_NODES = 300
"""Pages and the knots of the tree they hang in."""

MOST_CONTENT = 500_000
"""Bytes of all pages unpacked, which bounds what they can draw; a page has some 10 kB."""

MOST_STREAMS = 100
"""Parts a page's content may be cut into; ours has one."""

_POINTS_PER_INCH = 72
_ESCAPE = re.compile(rb"#([0-9a-fA-F]{2})")


@dataclass(frozen=True, eq=False)
class PdfPage:
    """One page: its box and every painted path, mm.

    Attributes:
        width_mm: of the page.
        height_mm: of the page.
        strokes: in the order they are painted.
        turned: degrees clockwise a viewer turns it by.
    """

    width_mm: float
    height_mm: float
    strokes: tuple[Stroke, ...]
    turned: int = 0

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
        keywords: of the document, or empty.
        pages: in order.
    """

    print_scaling: str
    keywords: str
    pages: tuple[PdfPage, ...]


def read_pdf(path: Path) -> Pdf:
    """Page boxes, the print scaling and every painted path of a PDF.

    Args:
        path: any file; it is read as a stranger's.

    Raises:
        ValueError: in one sentence that begins with the file's name: no whole PDF within the limits above, one
            that is locked, or pages that cannot be read.
    """
    try:
        content = _content(path)
        try:
            return _pdf(content)
        except ValueError:
            raise
        except pikepdf.PasswordError as fault:
            raise ValueError("it is locked with a password") from fault
        except Exception as fault:  # a file made to break the library may do so at any step
            raise ValueError("damaged: it cannot be read as a PDF") from fault
    except ValueError as fault:
        raise ValueError(f"{path.name}: {fault}") from fault


def bar_lengths_mm(page: PdfPage) -> tuple[list[float], list[float]]:
    """Lengths of the 100 mm bars across and up that a page carries, mm, as they stand in its path data."""
    runs = [np.abs(curve.end - curve.start) for curve in page.tagged("bar")]
    across = [float(np.hypot(wide, high)) for wide, high in runs if high <= wide]
    up = [float(np.hypot(wide, high)) for wide, high in runs if wide < high]
    return across, up


def _content(path: Path) -> bytes:
    content = content_of(path, MOST_BYTES)
    if not content.startswith(b"%PDF-"):
        raise ValueError("not a PDF")
    # The library would unpack a cross-reference stream, and any object stream it names, without a limit.
    if b"/XRef" in _ESCAPE.sub(lambda found: bytes([int(found[1], 16)]), content):
        raise ValueError("its cross-references are packed; save it as PDF 1.4")
    return content


def _pdf(content: bytes) -> Pdf:
    with warnings.catch_warnings(), pikepdf.open(BytesIO(content), attempt_recovery=False) as pdf:
        warnings.simplefilter("error")  # the library only warns of a page that ends in the middle of a step
        if pdf.is_encrypted:
            raise ValueError("it is locked; save it without a password")
        _not_too_many(pdf.Root.Pages)
        if not 0 < len(pdf.pages) <= MOST_PAGES:
            raise ValueError(f"it has {len(pdf.pages)} pages, and sheets have 1 to {MOST_PAGES}")
        preferences = pdf.Root.get("/ViewerPreferences")
        scaling = preferences.get("/PrintScaling", "") if isinstance(preferences, pikepdf.Dictionary) else ""
        about = pdf.trailer.get("/Info")
        keywords = about.get("/Keywords", "") if isinstance(about, pikepdf.Dictionary) else ""
        left, pages = MOST_CONTENT, []
        for page in pdf.pages:
            data = _unpacked(page, left)
            left -= len(data)
            pages.append(_page(page, pdf.make_stream(data)))
        return Pdf(str(scaling), str(keywords), tuple(pages))


def _not_too_many(root: pikepdf.Object) -> None:
    """Walk the tree of pages, which a file states by references and so may make as large as it likes."""
    waiting, seen = [root], 0
    while waiting:
        kids: Any = waiting.pop().get("/Kids", [])
        seen += len(kids)
        if seen > MOST_NODES:
            raise ValueError(f"it has more pages than the {MOST_PAGES} that sheets have at most, or a knot in them")
        waiting += list(kids)


def _page(page: pikepdf.Page, content: pikepdf.Object) -> PdfPage:
    left, bottom, right, top = (float(v) for v in page.mediabox)
    unit = float(page.obj.get("/UserUnit", 1)) * MM_PER_INCH / _POINTS_PER_INCH  # ISO 32000-1, 14.11.1
    strokes = painted(content, np.array([[unit, 0, 0], [0, unit, 0], [-left * unit, -bottom * unit, 1]]))
    size = (right - left) * unit, (top - bottom) * unit
    if not (np.isfinite(size).all() and min(size) > 0):
        raise ValueError("a page has no size")
    return PdfPage(*size, tuple(strokes), int(page.rotation) % 360)


def _unpacked(page: pikepdf.Page, most: int) -> bytes:
    """The content of a page, of so many bytes at most."""
    contents: Any = page.obj.get("/Contents", [])
    parts = [contents] if isinstance(contents, pikepdf.Stream) else list(contents)[: MOST_STREAMS + 1]
    if len(parts) > MOST_STREAMS:
        raise ValueError(f"a page is cut into more than {MOST_STREAMS} parts")
    found = b""
    for part in parts:
        filters: Any = part.get("/Filter", [])
        names = [str(f) for f in ([filters] if isinstance(filters, pikepdf.Name) else filters)]
        data = part.read_raw_bytes()
        for name in names:
            data = _filtered(name, data, most - len(found))
        found += data + b"\n"  # ISO 32000-1, 7.8.2: a token never runs on from one part into the next
        if len(found) > most + 1:
            raise ValueError(f"its pages unpack to more than {MOST_CONTENT // 1000} kB, no sheets do")
    return found


def _filtered(name: str, data: bytes, most: int) -> bytes:
    if name == "/ASCII85Decode":
        return base64.a85decode(data.strip().removeprefix(b"<~").removesuffix(b"~>"))
    if name == "/FlateDecode":
        try:
            return zlib.decompressobj().decompress(data, most + 2)
        except zlib.error as fault:
            raise ValueError("a page is damaged: it does not unpack") from fault
    raise ValueError(f"a page is packed by {name[:30]!r}, and sheets are packed by deflate")
