"""DXF: millimetres, three layers, one true cubic each; read by the library and by group codes alone."""

import os
import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from ezdxf.document import Drawing as Document
from ezdxf.entities.spline import Spline
from ezdxf.entities.text import Text
from ezdxf.filemanagement import readfile
from ezdxf.math import Vec3
from ezdxf.tools.text import plain_text
from fontTools.ttLib import TTFont
from scipy.interpolate import BSpline

from profiler.geometry.cubics import bernstein
from profiler.geometry.curve import Floats, polyline
from profiler.sheets import face
from profiler.sheets.dxf import CAP_HEIGHT, dxf_text, write_dxf
from profiler.sheets.dxf_readback import dxf_units, read_dxf_profile
from profiler.templates.drawing import Drawing, Layer, Line, Words

Rib = Callable[..., Drawing]

PROFILE_MM = 1e-4  # what DESIGN 9 asks of control points in DXF
MILLIMETRES = 4  # DXF reference, header variable $INSUNITS


def test_group_codes_give_the_profile_back(rib: Rib, dxf: Path) -> None:
    (found,) = read_dxf_profile(dxf)
    profile = rib(95, 85).profile
    assert profile is not None
    # Equal shapes: a new entity at each joint, also where a straight run is cut in two.
    assert found.cubics.shape == profile.cubics.shape
    assert np.abs(found.cubics - profile.cubics).max() < PROFILE_MM


def test_the_library_gives_the_profile_back(rib: Rib, dxf: Path) -> None:
    profile = rib(95, 85).profile
    assert profile is not None
    found = marked(readfile(dxf))
    assert [kind for kind, _ in found] == ["SPLINE", "SPLINE", "LINE", "LINE"]
    for (kind, points), cubic in zip(found, profile.cubics, strict=True):
        wanted = cubic if kind == "SPLINE" else cubic[[0, 3]]
        assert np.abs(points - wanted).max() < PROFILE_MM


def test_the_splines_are_the_cubics_at_every_place(rib: Rib, dxf: Path) -> None:
    # De Boor's recursion of a general library against the Bernstein form: control points and knots together.
    profile = rib(95, 85).profile
    assert profile is not None
    splines = [s for s in splines_of(readfile(dxf)) if s.has_xdata("PROFILER")]
    places = np.linspace(0, 1, 11)
    for spline, cubic in zip(splines, profile.cubics[:2], strict=True):
        run = BSpline(list(spline.knots), np.array(spline.control_points)[:, :2], spline.dxf.degree)
        assert np.abs(run(places) - bernstein(places) @ cubic).max() < PROFILE_MM


def test_splines_are_open_cubics_without_fit_points(dxf: Path) -> None:
    splines = splines_of(readfile(dxf))
    assert len(splines) == 6  # two of the edge and a circle in four
    for spline in splines:
        assert (spline.dxf.degree, len(spline.control_points), len(spline.fit_points)) == (3, 4, 0)
        assert list(spline.knots) == [0, 0, 0, 0, 1, 1, 1, 1]
        assert not spline.closed


def test_millimetres_layers_and_a_clean_audit(dxf: Path) -> None:
    document = readfile(dxf)
    assert dxf_units(dxf) == document.header["$INSUNITS"] == MILLIMETRES
    assert document.header["$MEASUREMENT"] == 1  # metric (DXF reference)
    assert document.dxfversion == "AC1024"  # R2010 (DXF reference, $ACADVER)
    colours = {layer: document.layers.get(layer).dxf.color for layer in ("cut", "mark", "text")}
    assert colours == {"cut": 7, "mark": 5, "text": 8}
    audit = document.audit()
    assert audit.errors == []
    assert audit.fixes == []


def test_everything_lies_on_its_layer_and_only_the_profile_is_marked(dxf: Path) -> None:
    space = readfile(dxf).modelspace()
    # Edge 4, back 4, circle 4; two marks; two texts.
    counts = {name: len(space.query(f'*[layer=="{name}"]')) for name in ("cut", "mark", "text")}
    assert counts == {"cut": 12, "mark": 2, "text": 2}
    assert len(space) == 16
    assert sum(entity.has_xdata("PROFILER") for entity in space) == 4


def test_an_outline_is_not_taken_for_the_profile(tmp_path: Path) -> None:
    edge, back = polyline([(0, 0), (5, 5)]), polyline([(5, 5), (9, 0)])
    lines = (Line(back, Layer.CUT, id="outline"), Line(edge, Layer.CUT, id="profile"))
    write_dxf(Drawing("rib", "rib", lines), tmp_path / "a.dxf", stamp="")
    (found,) = read_dxf_profile(tmp_path / "a.dxf")
    assert found.cubics.shape == edge.cubics.shape
    assert np.abs(found.cubics - edge.cubics).max() < PROFILE_MM


def test_the_file_opens_on_the_drawing(dxf: Path) -> None:
    document = readfile(dxf)
    low, high = document.header["$EXTMIN"], document.header["$EXTMAX"]
    # The rib reaches from -0.1 to 0.9 of its height of 85; its text and its circle keep within.
    assert (low[1], high[1]) == pytest.approx((-8.5, 76.5), abs=PROFILE_MM)
    (view,) = document.viewports.get_config("*Active")
    assert view.dxf.height > high[1] - low[1]


def test_text_has_its_place_height_and_turn(dxf: Path) -> None:
    texts = readfile(dxf).modelspace().query("TEXT")
    first, second = (t for t in texts if isinstance(t, Text))
    # The face draws its capitals 1493 of 2048 units high (the outline of H), here to a thousandth.
    assert first.dxf.height == pytest.approx(4 * 1493 / 2048, rel=1e-3)
    assert (first.dxf.insert.x, first.dxf.insert.y) == pytest.approx((3, -6.8), abs=PROFILE_MM)
    placing, point, _ = second.get_placement()
    assert placing.name == "CENTER"
    assert (point.x, point.y) == pytest.approx((95, 42.5), abs=PROFILE_MM)
    assert second.dxf.rotation == 90
    assert [t.dxf.style for t in (first, second)] == ["bold", "plain"]


@pytest.mark.parametrize("bold", [False, True])
def test_cap_height_is_the_faces_own(bold: bool) -> None:
    font = TTFont(face.file_of(bold))
    # Text 4 mm in size is off by a five-hundredth of a millimetre at this tolerance: nobody sees it.
    assert font["glyf"]["H"].yMax / font["head"].unitsPerEm == pytest.approx(CAP_HEIGHT, abs=5e-4)


def test_a_title_of_any_script_comes_back(rib: Rib, title: str, tmp_path: Path) -> None:
    write_dxf(rib(95, 85, title=title), tmp_path / "a.dxf", stamp="v1 <&>")
    document = readfile(tmp_path / "a.dxf")
    assert document.header.custom_vars.properties == [("title", title), ("stamp", "v1 <&>")]
    assert document.modelspace().query("TEXT")[0].dxf.text == title


def test_what_would_break_a_line_becomes_a_box(rib: Rib, tmp_path: Path) -> None:
    write_dxf(rib(95, 85, title="a\n0\nEOF\r\x00\x85\u2028\ud800\uffffb"), tmp_path / "a.dxf", stamp="x\ny")
    document = readfile(tmp_path / "a.dxf")
    expected = "a□0□EOF□□□□□□b"
    assert document.modelspace().query("TEXT")[0].dxf.text == expected
    assert document.header.custom_vars.properties == [("title", expected), ("stamp", "x□y")]
    assert len(read_dxf_profile(tmp_path / "a.dxf")) == 1


@pytest.mark.parametrize("words", ["2^3 ^J", r"C:\pots", "100 %", "{\\P}"])
def test_codes_within_a_text_are_not_obeyed(words: str, tmp_path: Path) -> None:
    write_dxf(Drawing("rib", "t", (), (Words(words, 0, 0),)), tmp_path / "a.dxf", stamp="")
    (text,) = readfile(tmp_path / "a.dxf").modelspace().query("TEXT")
    assert plain_text(text.dxf.text) == words


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        ("5%%d%%%u", "5%\u2009%d%\u2009%\u2009%u"),
        (r"a\U+0041", "a\\\u2009U+0041"),
        (r"a\M+10041", "a\\\u2009M+10041"),
    ],
)
def test_what_begins_a_code_is_parted(words: str, expected: str, tmp_path: Path) -> None:
    # %%d is a degree sign, %%u an underline, \U+0041 an A (DXF reference, TEXT and strings).
    write_dxf(Drawing("rib", "t", (), (Words(words, 0, 0),)), tmp_path / "a.dxf", stamp="")
    (text,) = readfile(tmp_path / "a.dxf").modelspace().query("TEXT")
    assert plain_text(text.dxf.text) == expected


def test_the_same_bytes_twice(rib: Rib, title: str, tmp_path: Path) -> None:
    for name in ("one.dxf", "two.dxf"):
        write_dxf(rib(95, 85, title=title), tmp_path / name, stamp="stamp")
    assert (tmp_path / "one.dxf").read_bytes() == (tmp_path / "two.dxf").read_bytes()


def test_the_same_text_in_any_process_and_the_library_waits_for_it() -> None:
    program = (
        "import sys; from profiler.sheets.dxf import dxf_text; import profiler.sheets.dxf_readback\n"
        "from profiler.templates.drawing import Drawing; assert 'ezdxf' not in sys.modules\n"
        "sys.stdout.write(dxf_text(Drawing('rib', 'cup', ()), 'stamp')); assert 'ezdxf' in sys.modules"
    )
    # Each seed of the hashes is another order of every set; seen to differ before the classes were sorted.
    texts = [
        subprocess.run(
            [sys.executable, "-c", program],
            check=True,
            capture_output=True,
            encoding="utf-8",
            env={**os.environ, "PYTHONHASHSEED": seed, "PYTHONIOENCODING": "utf-8"},
        ).stdout
        for seed in "1234"
    ]
    assert texts == [dxf_text(Drawing("rib", "cup", ()), "stamp")] * 4


def test_a_handle_moved_in_the_file_is_seen(rib: Rib, dxf: Path) -> None:
    # The first handle's x as it stands in the file, moved by what a proof must notice.
    text = dxf.read_text(encoding="utf-8")
    handle = 0.31234567 * 95
    (written,) = {m for m in re.findall(r"29\.67\d+", text) if abs(float(m) - handle) < PROFILE_MM}
    dxf.write_text(text.replace(written, str(handle + 0.02)), encoding="utf-8")
    profile = rib(95, 85).profile
    assert profile is not None
    moved = np.abs(read_dxf_profile(dxf)[0].cubics - profile.cubics).max()
    assert moved == pytest.approx(0.02, abs=PROFILE_MM)


def splines_of(document: Document) -> list[Spline]:
    """The splines of a file as the library reads them."""
    return [entity for entity in document.modelspace() if isinstance(entity, Spline)]


def marked(document: Document) -> list[tuple[str, Floats]]:
    """Kind and control points or ends, mm, of each entity marked as profile, as the library reads them."""
    found = []
    for entity in document.modelspace():
        if entity.has_xdata("PROFILER") and (1000, "profile") in entity.get_xdata("PROFILER"):
            if isinstance(entity, Spline):
                points = [Vec3(p) for p in entity.control_points]
            else:
                points = [Vec3(entity.dxf.start), Vec3(entity.dxf.end)]
            found.append((entity.dxftype(), np.array([[p.x, p.y] for p in points])))
    return found
