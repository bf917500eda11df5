"""SVG: sizes in mm, the profile to the last digit, plain attributes."""

from collections.abc import Callable
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest

from profiler.geometry.curve import polyline
from profiler.sheets.extent import box_of, box_of_words
from profiler.sheets.svg import MARGIN_MM, svg_text, write_svg
from profiler.sheets.svg_readback import read_svg
from profiler.templates.drawing import Drawing, Layer, Line, Pen, Words

Rib = Callable[..., Drawing]

SVG = "{http://www.w3.org/2000/svg}"
PROFILE_MM = 1e-4  # what DESIGN 9 asks of control points in SVG


def test_the_profile_is_read_back(rib: Rib, tmp_path: Path) -> None:
    drawing = rib(95, 85)
    write_svg(drawing, tmp_path / "rib.svg", stamp="stamp")
    (found,) = read_svg(tmp_path / "rib.svg").profiles
    assert drawing.profile is not None
    # Equal shapes: a node at every joint, on the straight run cut in two as well.
    assert found.cubics.shape == drawing.profile.cubics.shape
    assert np.abs(found.cubics - drawing.profile.cubics).max() < PROFILE_MM


def test_user_units_are_millimetres_and_the_margin_is_kept(rib: Rib) -> None:
    drawing = rib(300, 120)
    root = _root(svg_text(drawing, "stamp"))
    left, bottom, right, top = box_of(drawing)
    x, y, wide, high = (float(v) for v in root.attrib["viewBox"].split())
    assert root.attrib["width"] == f"{root.attrib['viewBox'].split()[2]}mm"
    assert root.attrib["height"] == f"{root.attrib['viewBox'].split()[3]}mm"
    # The file keeps seven decimals.
    expected = (
        left - MARGIN_MM,
        -top - MARGIN_MM,
        right - left + 2 * MARGIN_MM,
        top - bottom + 2 * MARGIN_MM,
    )
    assert (x, y, wide, high) == pytest.approx(expected, abs=1e-6)


def test_groups_hold_their_own_lines_and_text_stays_upright(rib: Rib) -> None:
    drawing = rib(95, 85)
    root = _root(svg_text(drawing, "stamp"))
    groups = {g.attrib["id"]: g for g in root.findall(f"{SVG}g")}
    assert list(groups) == ["cut", "mark", "text"]
    assert len(groups["cut"].findall(f"{SVG}path")) == 3
    assert len(groups["mark"].findall(f"{SVG}path")) == 2
    texts = groups["text"].findall(f"{SVG}text")
    assert [t.get("transform") for t in texts] == [None, "rotate(-90 95 -42.5)"]


def test_only_presentation_attributes(rib: Rib) -> None:
    text = svg_text(rib(95, 85), "stamp")
    assert "style" not in text
    assert "class=" not in text


def test_a_title_of_any_script_is_escaped_and_comes_back(rib: Rib, title: str) -> None:
    root = _root(svg_text(rib(95, 85, title=title), "v1 <&>"))
    assert root.findtext(f"{SVG}title") == title
    assert root.findtext(f"{SVG}desc") == "v1 <&>"
    assert root.findtext(f".//{SVG}text") == title


def test_what_xml_forbids_becomes_a_box(rib: Rib) -> None:
    root = _root(svg_text(rib(95, 85, title="a\x00\x1b\ud800\uffffb"), "stamp"))
    assert root.findtext(f"{SVG}title") == "a□□□□b"


def test_the_same_bytes_twice(rib: Rib, title: str, tmp_path: Path) -> None:
    for name in ("one.svg", "two.svg"):
        write_svg(rib(95, 85, title=title), tmp_path / name, stamp="stamp")
    assert (tmp_path / "one.svg").read_bytes() == (tmp_path / "two.svg").read_bytes()


def test_pens_of_a_picture() -> None:
    square = polyline([(0, 0), (10, 0), (10, 10), (0, 10), (0, 0)])
    lines = tuple(Line(square, Layer.CUT, pen) for pen in (Pen.CLAY, Pen.CENTRE))
    root = _root(svg_text(Drawing("section", "", lines), ""))
    clay, centre = root.findall(f".//{SVG}path")
    assert clay.attrib["fill"].startswith("#")
    assert clay.attrib["d"].endswith("Z")
    assert centre.attrib["fill"] == "none"
    assert "stroke-dasharray" in centre.attrib


def test_text_beyond_the_lines_widens_the_sheet() -> None:
    words = Words("laminate, or trace on thin ply", 50, 20, 4, "start", 90)
    left, bottom, right, top = box_of_words(words)
    # Turned upwards: it reaches up by its length, which is over six times its size, and is one line wide.
    assert top - bottom > 6 * words.size
    assert right - left < 1.3 * words.size
    assert bottom == pytest.approx(20, abs=1e-9)  # rounding
    assert left < 50 < right


def test_the_reader_refuses_entities_and_other_units(tmp_path: Path) -> None:
    path = tmp_path / "odd.svg"
    path.write_text('<!DOCTYPE svg [<!ENTITY a "b">]><svg/>')
    with pytest.raises(ValueError, match="entities"):
        read_svg(path)
    path.write_text('<svg xmlns="http://www.w3.org/2000/svg" width="10in" height="5in" viewBox="0 0 10 5"/>')
    with pytest.raises(ValueError, match="mm"):
        read_svg(path)


def test_the_reader_scales_by_width_over_viewbox(tmp_path: Path) -> None:
    # SVG 1.1, 7.7: the viewBox is stretched over width and height; here two mm a unit across, one up.
    path = tmp_path / "scaled.svg"
    path.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="20mm" height="10mm" viewBox="0 0 10 10">'
        '<path id="profile" d="M1,2 C3,4 5,6 7,8"/></svg>'
    )
    (found,) = read_svg(path).profiles
    assert found.cubics.tolist() == [[[2, -2], [6, -4], [10, -6], [14, -8]]]


def _root(text: str) -> ElementTree.Element:
    return ElementTree.fromstring(text)  # noqa: S314 - our own text
