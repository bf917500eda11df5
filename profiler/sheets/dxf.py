"""A drawing as DXF for a laser, a router or a drawing program: millimetres, three layers, true splines."""

from __future__ import annotations

import re
from io import StringIO
from pathlib import Path
from typing import TYPE_CHECKING

from ..geometry.curve import Floats
from ..templates.drawing import Drawing, Layer, Line, Words
from . import face
from .extent import box_of
from .ink import straight

if TYPE_CHECKING:
    from ezdxf.document import Drawing as Document
    from ezdxf.entities.dxfgfx import DXFGraphic
    from ezdxf.layouts.layout import Modelspace

APPID = "PROFILER"
"""Each entity of the profile carries the string `profile` in extended data under this name, the rest of the
contour `outline`."""

PROFILE, OUTLINE = "profile", "outline"

CAP_HEIGHT = 0.729
"""Height of a capital in font sizes: a DXF states the height of text by its capitals (the face's `H`)."""

COLOURS = {Layer.CUT: 7, Layer.MARK: 5, Layer.TEXT: 8}
"""Colour index of each layer: black or white, blue, grey."""

_METRIC = 1  # DXF reference, header variable $MEASUREMENT
_KNOTS = (0.0, 0.0, 0.0, 0.0, 1.0, 1.0, 1.0, 1.0)  # a B-spline with these is the Bézier of its points
# The same drawing gives the same file, so the clock and chance stay out: noon of 1 January 2000 as a
# Julian date, and the id that says there is none.
_DATE = 2451545.0
_NO_ID = "{00000000-0000-0000-0000-000000000000}"
_DATES = ("$TDCREATE", "$TDUCREATE", "$TDUPDATE", "$TDUUPDATE")
_IDS = ("$FINGERPRINTGUID", "$VERSIONGUID")
_STYLES = {False: "plain", True: "bold"}
_THIN_SPACE = "\u2009"


def dxf_text(drawing: Drawing, stamp: str) -> str:
    """The drawing as the text of a DXF R2010 file: one LINE or SPLINE for each cubic.

    A line's pen is left out: machines go by layer, and templates use plain lines.

    Args:
        drawing: mm, y up, and so it stands in the file.
        stamp: version and digest, kept with the title among the file's own properties.

    Returns:
        A whole file, the same for the same drawing and stamp.
    """
    # A sixth of a second to import: not on the quick path, only once a file is written.
    from ezdxf.enums import InsertUnits
    from ezdxf.filemanagement import new

    document = new("R2010", units=InsertUnits.Millimeters)
    document.header["$MEASUREMENT"] = _METRIC
    document.header.custom_vars.append("title", _encoded(drawing.title))
    document.header.custom_vars.append("stamp", _encoded(stamp))
    document.appids.add(APPID)
    for layer in Layer:
        document.layers.add(layer.value, color=COLOURS[layer])
    for bold, style in _STYLES.items():
        document.styles.add(style, font=face.file_of(bold).name)
    space = document.modelspace()
    space.units = InsertUnits.Millimeters
    for line in drawing.lines:
        for cubic in line.curve.cubics:
            _draw(space, cubic, line)
    for words in drawing.words:
        _write(space, words)
    _frame(document, space, drawing)
    return _text_of(document)


def write_dxf(drawing: Drawing, path: Path, *, stamp: str) -> None:
    """Write the drawing to a DXF file."""
    path.write_text(dxf_text(drawing, stamp), encoding="utf-8", newline="\n")


def _draw(space: Modelspace, cubic: Floats, line: Line) -> None:
    look = {"layer": line.layer.value}
    points = [(float(x), float(y)) for x, y in cubic]
    entity: DXFGraphic
    if straight(cubic):
        entity = space.add_line(points[0], points[3], dxfattribs=look)
    else:
        entity = space.add_open_spline(points, degree=3, knots=_KNOTS, dxfattribs=look)
    if line.id in (PROFILE, OUTLINE):
        entity.set_xdata(APPID, [(1000, line.id)])


def _write(space: Modelspace, words: Words) -> None:
    from ezdxf.enums import TextEntityAlignment

    on_the_baseline = {
        "start": TextEntityAlignment.LEFT,
        "middle": TextEntityAlignment.CENTER,
        "end": TextEntityAlignment.RIGHT,
    }
    text = space.add_text(
        _encoded(words.text),
        height=words.size * CAP_HEIGHT,
        rotation=words.turned,
        dxfattribs={"layer": Layer.TEXT.value, "style": _STYLES[words.bold]},
    )
    text.set_placement((words.x, words.y), align=on_the_baseline[words.anchor])


def _encoded(text: str) -> str:
    r"""The text with a visible box for what is no character of a line, and safe from codes within it.

    `^` begins a control character and is written as `^ `. `%%` begins a symbol, `\U+` and `\M+` a character by
    its number, and readers differ in how these are escaped: a thin space parts them instead.

    >>> _encoded("5%%d\n2^3"), _encoded(r"\U+0041")
    ('5%\u2009%d□2^ 3', '\\\u2009U+0041')
    """
    lacking = face.missing(text)
    seen = "".join(face.BOX if c in lacking and not c.isprintable() else c for c in text)
    return re.sub(r"%(?=%)|\\(?=[UuMm]\+)", lambda found: found[0] + _THIN_SPACE, seen.replace("^", "^ "))


def _frame(document: Document, space: Modelspace, drawing: Drawing) -> None:
    """Say how far the drawing reaches, and open the file looking at it."""
    left, bottom, right, top = box_of(drawing)
    space.reset_extents((left, bottom, 0), (right, top, 0))
    space.reset_limits((left, bottom), (right, top))
    # Half as much again, for a window may be wider or narrower than the drawing.
    height = 1.5 * max(right - left, top - bottom, 1.0)
    document.set_modelspace_vport(height, ((left + right) / 2, (bottom + top) / 2))


def _text_of(document: Document) -> str:
    """The file's text. What `write` of the library does, with dates, ids and order settled in between."""
    from ezdxf.lldxf.tagwriter import TagWriter

    document.commit_pending_changes()
    document.update_all()
    # The library adds the classes in the order of a set, which is another one in each process.
    for key in sorted(document.classes.classes):
        document.classes.classes[key] = document.classes.classes.pop(key)
    for name in _DATES:
        document.header[name] = _DATE
    for name in _IDS:
        document.header[name] = _NO_ID
    writers = document.ezdxf_metadata()
    for writer in ("CREATED_BY_EZDXF", "WRITTEN_BY_EZDXF"):  # else they carry the time
        writers[writer] = "-"
    stream = StringIO()
    document.export_sections(TagWriter(stream, dxfversion=document.dxfversion, write_handles=True))
    return stream.getvalue()
