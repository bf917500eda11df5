"""The reader of DXF alone: a file written by hand, and what strangers may hand it."""

from collections.abc import Callable
from pathlib import Path
from time import perf_counter

import numpy as np
import pytest

from profiler.sheets import dxf_readback
from profiler.sheets.dxf_readback import dxf_units, read_dxf_profile
from profiler.templates.drawing import Drawing

Rib = Callable[..., Drawing]

PROFILE_MM = 1e-4  # what DESIGN 9 asks of control points in DXF
MILLIMETRES = 4  # DXF reference, header variable $INSUNITS

# Written by hand after the DXF reference (group codes of LINE and SPLINE, extended data), not by the writer:
# a quarter turn's spline, its knots 0 to 5 as another program may scale them, then a line on from its end.
BY_HAND = """999
no remark counts
0
SECTION
2
HEADER
9
$ACADVER
1
AC1015
9
$INSUNITS
70
{units}
0
ENDSEC
0
SECTION
2
ENTITIES
0
SPLINE
8
edge
70
8
71
3
72
8
73
4
74
0
40
0
40
0
40
0
40
0
40
5
40
5
40
5
40
5
10
1.5
20
0
30
0
10
2.5
20
0.25
30
0
10
3
20
1
30
0
10
3
20
2
30
0
1001
PROFILER
1000
profile
0
CIRCLE
8
edge
10
9
20
9
40
2
0
LINE
8
edge
10
3
20
2
11
3
21
8
1001
OTHERS
1000
theirs
1001
PROFILER
1000
profile
0
ENDSEC
0
EOF
"""


@pytest.fixture
def odd(tmp_path: Path) -> Callable[[str], Path]:
    """A file with this text."""

    def make(text: str) -> Path:
        (tmp_path / "odd.dxf").write_text(text, encoding="utf-8")
        return tmp_path / "odd.dxf"

    return make


def test_the_reader_against_a_file_written_by_hand(odd: Callable[[str], Path]) -> None:
    path = odd(BY_HAND.format(units=1))
    (found,) = read_dxf_profile(path)
    # The line's handles at thirds of 2 to 8.
    expected = [[[1.5, 0], [2.5, 0.25], [3, 1], [3, 2]], [[3, 2], [3, 4], [3, 6], [3, 8]]]
    assert np.abs(found.cubics - np.array(expected)).max() < 1e-12  # rounding of the thirds
    assert dxf_units(path) == 1
    path.write_bytes(path.read_bytes().replace(b"\n", b"\r\n"))
    assert len(read_dxf_profile(path)[0]) == 2


def test_a_gap_begins_a_new_curve(odd: Callable[[str], Path]) -> None:
    path = odd(BY_HAND.format(units=4).replace("10\n3\n20\n2\n11", "10\n3\n20\n2.02\n11"))
    assert [len(curve) for curve in read_dxf_profile(path)] == [1, 1]


def test_no_units_and_no_profile(odd: Callable[[str], Path]) -> None:
    path = odd("0\nSECTION\n2\nENTITIES\n0\nLINE\n10\n1\n0\nENDSEC\n0\nEOF\n")
    assert dxf_units(path) == 0  # unitless (DXF reference)
    assert read_dxf_profile(path) == []


def test_blocks_are_not_the_drawing(odd: Callable[[str], Path]) -> None:
    assert read_dxf_profile(odd(BY_HAND.format(units=4).replace("ENTITIES", "BLOCKS"))) == []


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("0\nEOF\n", "0\n", "end with EOF"),
        ("40\n2\n0\nLINE", "forty\n2\n0\nLINE", "should be a group code, not 'forty'"),
        ("10\n1.5\n", "10\nwide\n", "'wide' should be a number"),
        ("10\n1.5\n", "10\n1e999\n", "'1e999' is no size"),
        ("10\n1.5\n", "10\n" + "9x" * 5000 + "\n", r"'(9x){10}' should be a number"),
        ("71\n3\n", "71\n2\n", "not one cubic"),
        ("40\n5\n10", "40\n6\n10", "not one cubic"),
        ("10\n1.5\n", "41\n1\n41\n2\n10\n1.5\n", "not one cubic"),
        ("10\n1.5\n", "11\n1\n21\n1\n10\n1.5\n", "fit points"),
        ("30\n0\n1001", "30\n7\n1001", "not flat"),
        ("20\n0.25\n", "", "lacks a coordinate"),
        ("11\n3\n21\n8\n", "", "lacks an end"),
        ("1001\nPROFILER", "62\n1\n" * 300 + "1001\nPROFILER", "not one cubic"),
        ("0\nSPLINE", "0\nELLIPSE", "LINE and SPLINE, not ELLIPSE"),
        ("edge", "ed\0ge", "not a text file"),
    ],
)
def test_a_broken_file_is_named_with_its_trouble(
    odd: Callable[[str], Path], old: str, new: str, message: str
) -> None:
    whole = BY_HAND.format(units=4)
    assert old in whole
    with pytest.raises(ValueError, match=f"^odd.dxf: .*{message}"):
        read_dxf_profile(odd(whole.replace(old, new, 1)))


def test_the_line_of_a_wrong_code_is_named(odd: Callable[[str], Path]) -> None:
    with pytest.raises(ValueError, match="line 3 should be a group code, not 'HEADER'"):
        read_dxf_profile(odd("0\nSECTION\nHEADER\n2\n0\nEOF\n"))


def test_every_truncation_is_refused(dxf: Path) -> None:
    content = dxf.read_bytes()
    for length in range(0, len(content) - 4, 997):
        dxf.write_bytes(content[:length])
        for read in (read_dxf_profile, dxf_units):
            with pytest.raises(ValueError, match=r"^rib.dxf: .*EOF"):
                read(dxf)


def test_binary_files_and_folders_are_refused(odd: Callable[[str], Path], tmp_path: Path) -> None:
    for read in (read_dxf_profile, dxf_units):
        with pytest.raises(ValueError, match="a binary DXF"):
            read(odd("AutoCAD Binary DXF\r\n\x1a\0EOF"))
        with pytest.raises(ValueError, match="not a file"):
            read(tmp_path)
        with pytest.raises(FileNotFoundError):
            read(tmp_path / "none.dxf")


def test_units_that_are_no_number_are_refused(odd: Callable[[str], Path]) -> None:
    with pytest.raises(ValueError, match="'mm' should be a number"):
        dxf_units(odd(BY_HAND.format(units="mm")))


def test_a_huge_file_is_refused_and_a_large_one_is_soon_read(odd: Callable[[str], Path]) -> None:
    head, tail = "0\nSECTION\n2\nENTITIES\n", "0\nENDSEC\n0\nEOF\n"
    with pytest.raises(ValueError, match="larger than 5 MB"):
        read_dxf_profile(odd(head + "0\nLINE\n" * 800_000 + tail))
    begun = perf_counter()
    assert read_dxf_profile(odd(head + "0\nLINE\n" * 700_000 + tail)) == []
    assert perf_counter() - begun < 60  # a few seconds; only work that grows faster than the file takes this


def test_a_profile_of_too_many_pieces_is_refused(odd: Callable[[str], Path], monkeypatch: pytest.MonkeyPatch) -> None:
    path = odd(BY_HAND.format(units=4))
    monkeypatch.setattr(dxf_readback, "MOST_CUBICS", 2)
    assert len(read_dxf_profile(path)[0]) == 2
    monkeypatch.setattr(dxf_readback, "MOST_CUBICS", 1)
    with pytest.raises(ValueError, match="more than 1 entities"):
        read_dxf_profile(path)
