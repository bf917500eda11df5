"""The SVG reader on files that are not ours: what it reads as the standard says, and what it refuses."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from time import process_time

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from svgelements import Path as OtherPath

from profiler.sheets.path_data import cubics_of
from profiler.sheets.svg_readback import MOST_BYTES, MOST_DATA, MOST_ELEMENTS, read_svg

HEAD = '<svg xmlns="http://www.w3.org/2000/svg" xmlns:x="http://www.w3.org/1999/xlink" {size}>'
TRUE = 'width="10mm" height="20mm" viewBox="-1 -2 10 20"'
PATH = '<path id="profile" d="M1,2 C3,4 5,6 7,8"/>'
SLOWEST_S = 5.0  # what a person may be kept waiting by a stranger's file; each takes well under two seconds alone

Odd = Callable[..., Path]


@pytest.fixture
def odd(tmp_path: Path) -> Odd:
    """A file with this in it."""

    def make(body: str, size: str = TRUE, before: str = "") -> Path:
        (tmp_path / "odd.svg").write_text(f"{before}{HEAD.format(size=size)}{body}</svg>", encoding="utf-8")
        return tmp_path / "odd.svg"

    return make


def test_size_scale_and_profile_of_a_file_written_by_hand(odd: Odd) -> None:
    svg = read_svg(odd(f"<g><g>{PATH}</g></g>"))
    assert (svg.width_mm, svg.height_mm, svg.box, svg.scale) == (10, 20, (-1, -2, 10, 20), (1, 1))
    (found,) = svg.profiles
    assert found.cubics.tolist() == [[[1, -2], [3, -4], [5, -6], [7, -8]]]


@pytest.mark.parametrize(
    ("data", "points"),
    [
        # SVG 1.1, 8.3: pairs after M are lines, signs and points part numbers, small letters count from the pen.
        ("M1-2.5.5-3e0", [[1, -2.5], [0.5, -3]]),
        ("m1 1 2,0 l0 3", [[1, 1], [3, 1], [3, 4]]),
        ("M1,1H4V5h-1v-2", [[1, 1], [4, 1], [4, 5], [3, 5], [3, 3]]),
        ("M0 0L1 0L1 1z", [[0, 0], [1, 0], [1, 1], [0, 0]]),
        ("M0,0 1,1 0,0Z", [[0, 0], [1, 1], [0, 0]]),
    ],
)
def test_lines_as_the_standard_spells_them(data: str, points: list[list[float]]) -> None:
    cubics = cubics_of(data)
    assert [cubics[0, 0].tolist(), *cubics[:, 3].tolist()] == points


_NUMBERS = st.integers(-10_000_000, 10_000_000).map(lambda n: n / 10_000)
_STEPS = st.sampled_from("LlHhVvCc").flatmap(
    lambda step: st.lists(_NUMBERS, min_size=(n := {"L": 2, "C": 6}.get(step.upper(), 1)), max_size=n).map(
        lambda numbers: f"{step}{' '.join(map(str, numbers))}"
    )
)


@given(st.lists(_STEPS, min_size=1, max_size=8).map(lambda steps: "M3,4" + "".join(steps)))
def test_a_general_library_reads_the_same_ends(data: str) -> None:
    other = [segment for segment in OtherPath(data) if type(segment).__name__ != "Move"]
    ends = np.array([[segment.end.x, segment.end.y] for segment in other])
    assert cubics_of(data)[:, 3] == pytest.approx(ends, abs=1e-9)  # sums of eight numbers up to a thousand


@pytest.mark.parametrize(
    ("data", "message"),
    [
        ("", "no length"),
        ("M1,1", "no length"),
        ("M1,1 L", "a number too few after L"),
        ("M1,1 C1,2 3,4 5", "a number too few after C"),
        ("M1 L2,2", "a number too few after M"),
        ("1,1 L2,2", "a number after nothing"),
        ("M1,1 L2,2 Z 3", "a number after Z"),
        ("L1,1 2,2", "one path without a gap"),
        ("M0,0 L1,1 M2,2 L3,3", "one path without a gap"),
        ("M0,0 A5 5 0 0 1 9,9", "a step 'A'"),
        ("M0,0 Q1,1 2,2", "a step 'Q'"),
        ("M0,0 nan,1", "a step 'n'"),
        ("M0,0 inf,1", "a step 'i'"),
        ("M0,0 L 1,,1", "neither a number nor a step"),
        ("M0,0 L 1;1", "neither a number nor a step"),
        ("M0,0 L ٣,1", "neither a number nor a step"),
        ("M0,0 L 1e999,1", "'1e999' in the profile is no size"),
    ],
)
def test_a_path_that_is_no_chain_of_lines_and_cubics_is_refused(odd: Odd, data: str, message: str) -> None:
    with pytest.raises(ValueError, match=f"^odd.svg: .*{message}"):
        read_svg(odd(f'<path id="profile" d="{data}"/>'))


@pytest.mark.parametrize(
    ("size", "message"),
    [
        ("", "the width is left out; it must be in mm"),
        ('width="10" height="20" viewBox="0 0 10 20"', "width is '10'"),
        ('width="100%" height="20mm" viewBox="0 0 10 20"', "width is '100%'"),
        ('width="10mm" height="20in" viewBox="0 0 10 20"', "height is '20in'"),
        ('width="0mm" height="20mm" viewBox="0 0 10 20"', "width is '0mm'"),
        ('width="-1mm" height="20mm" viewBox="0 0 10 20"', "width is '-1mm'"),
        ('width="nanmm" height="20mm" viewBox="0 0 10 20"', "width is 'nanmm'"),
        ('width="1_0mm" height="20mm" viewBox="0 0 10 20"', "width is '1_0mm'"),
        ('width="10mm" height="20mm"', "no viewBox of four numbers"),
        ('width="10mm" height="20mm" viewBox="0 0 10"', "no viewBox of four numbers"),
        ('width="10mm" height="20mm" viewBox="0 0 10 nan"', "no viewBox of four numbers"),
        ('width="10mm" height="20mm" viewBox="0 0 0 20"', "the viewBox has no size"),
        ('width="10mm" height="20mm" viewBox="0 0 1e999 20"', "the viewBox has no size"),
    ],
)
def test_a_size_that_is_none_is_refused(odd: Odd, size: str, message: str) -> None:
    with pytest.raises(ValueError, match=f"^odd.svg: .*{message}"):
        read_svg(odd(PATH, size))


@pytest.mark.parametrize(
    ("body", "message"),
    [
        (f'<g transform="scale(1.001)">{PATH}</g>', "a transform stands on <g>"),
        ('<path id="profile" transform="scale(2)" d="M1,2 L3,4"/>', "a transform stands on <path>"),
        ('<path id="profile" style="TRANSFORM : scale(2)" d="M1,2 L3,4"/>', "a style moves"),
        ('<path id="profile" style="a:b;scale:2" d="M1,2 L3,4"/>', "a style moves"),
        ('<path id="profile" style="d:path(\'M0,0\')" d="M1,2 L3,4"/>', "a style moves"),
        ('<path id="profile" style="trans/**/form:scale(2)" d="M1,2 L3,4"/>', "a style moves"),
        ('<path id="profile" style="tr\\61nsform:scale(2)" d="M1,2 L3,4"/>', "a style moves"),
        ('<rect style="fill:url(http://a.example/b)"/>', "a style moves"),
        (f'<rect style="{"a" * 3000}"/>', "a style moves"),
        ("<style>path{transform:scale(2)}</style>", "a style sheet"),
        ('<image x:href="a.png"/>', "a picture or a page within"),
        ('<g><use x:href="#profile"/></g>', "a drawing within the drawing"),
        (f'<svg viewBox="0 0 1 1">{PATH}</svg>', "a drawing within the drawing"),
        ("<script>1</script>", "something that moves"),
        ('<path d=""><animate attributeName="d"/></path>', "something that moves"),
        ('<a x:href="file:///tmp/a">b</a>', "outside the file"),
        ('<a href="//a.example/b">b</a>', "outside the file"),
        (f"<defs>{PATH}</defs>", "the profile is not drawn"),
        (f'<g display="none"><g/>{PATH}</g>', "the profile is not drawn"),
        ('<path id="profile" style="visibility:hidden" d="M1,2 L3,4"/>', "the profile is not drawn"),
        ('<rect id="profile"/>', "what is called profile is not a path"),
        ("<g>" * 60 + "</g>" * 60, "nested more than 50 deep"),
        ("<g>", "not well-formed XML"),
        ("&nbsp;", "not well-formed XML"),
    ],
)
def test_what_could_make_it_look_otherwise_is_refused(odd: Odd, body: str, message: str) -> None:
    with pytest.raises(ValueError, match=f"^odd.svg: .*{message}"):
        read_svg(odd(body))


def test_what_does_no_harm_is_read(odd: Odd) -> None:
    body = (
        f'<defs><linearGradient id="a" gradientTransform="scale(2)"/></defs><g display="none"><rect/></g>{PATH}'
        '<text transform="rotate(9 1 1)" style="fill:url(#a)">a</text><a href="#a"/>'
    )
    assert len(read_svg(odd(body)).profiles) == 1


@pytest.mark.parametrize(
    ("before", "message"),
    [
        ('<!DOCTYPE svg [<!ENTITY a "b">]>', "no document type and no entities"),
        ('<?xml-stylesheet href="a.css"?>', "a style sheet"),
        ('<?xml version="1.0" encoding="none-such"?>', "unknown encoding"),
        ('<?xml version="1.0" encoding="shift_jis"?>', "encoding"),
    ],
)
def test_what_stands_before_the_drawing_is_looked_at(odd: Odd, before: str, message: str) -> None:
    with pytest.raises(ValueError, match=f"^odd.svg: .*{message}"):
        read_svg(odd(PATH, before=before))


def test_entities_are_refused_in_every_encoding(tmp_path: Path) -> None:
    path = tmp_path / "odd.svg"
    path.write_text('<?xml version="1.0"?><!DOCTYPE svg [<!ENTITY a "b">]><svg>&a;</svg>', encoding="utf-16")
    with pytest.raises(ValueError, match="no document type and no entities"):
        read_svg(path)


_FILL = MOST_BYTES - 1000


@pytest.mark.parametrize(
    "body",
    [
        "<g>" * (_FILL // 3),
        "<g/>" * (_FILL // 4),
        "&amp;" * (_FILL // 5),
        "a" * 20_000_000,
        "<g " + " ".join(f"a{i}='1'" for i in range(_FILL // 13)) + "/>",
        f'<g style="{"a:/*" * (_FILL // 4)}"/>',
        f'<g style="{"url(" * (_FILL // 4)}"/>',
        f'<path id="profile" d="M0{" " * _FILL},"/>',
        f'<path id="profile" d="M0,0{"z" * _FILL}"/>',
        f'<path id="profile" d="M0,0{"h1" * (MOST_DATA // 2 - 10)}"/>',
        '<path id="profile" d="M0,0h1"/>' * (MOST_ELEMENTS - 10),
    ],
    ids=["deep", "many", "entities", "20 MB", "attributes", "style", "urls", "spaces", "closed", "long", "profiles"],
)
def test_a_file_made_to_keep_us_busy_is_soon_done_with(odd: Odd, body: str) -> None:
    path = odd(body)
    begun = process_time()
    with suppress(ValueError):
        read_svg(path)
    assert process_time() - begun < SLOWEST_S
