"""The PDF reader on files that are not ours: what it reads as the standard says, and what it refuses."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from time import process_time

import numpy as np
import pikepdf
import pytest

from profiler.sheets.pdf_readback import MOST_BYTES, MOST_CONTENT, MOST_PAGES, read_pdf

MM_PER_POINT = 25.4 / 72  # ISO 32000-1, 8.3.2.3: a unit is 1/72 inch
SLOWEST_S = 5.0  # what a person may be kept waiting by a stranger's file; each takes about two seconds at most alone

Odd = Callable[..., Path]


@pytest.fixture
def odd(tmp_path: Path) -> Odd:
    """A file whose pages all have this content."""

    def make(content: bytes = b"", pages: int = 1, **how: object) -> Path:
        path = tmp_path / "odd.pdf"
        with pikepdf.new() as pdf:
            stream = pdf.make_stream(content)
            for _ in range(pages):
                pdf.add_blank_page(page_size=(72, 144)).Contents = stream
            pdf.save(path, **how)  # type: ignore[arg-type]
        return path

    return make


def _raw(path: Path, *objects: bytes) -> Path:
    """A whole file of these objects, the first its catalogue."""
    text, places = b"%PDF-1.4\n", []
    for number, body in enumerate(objects, 1):
        places.append(len(text))
        text += b"%d 0 obj\n%b\nendobj\n" % (number, body)
    table = b"".join(b"%010d 00000 n \n" % place for place in places)
    text += b"xref\n0 %d\n0000000000 65535 f \n%btrailer\n<</Root 1 0 R /Size %d>>\nstartxref\n%d\n%%%%EOF\n" % (
        len(places) + 1,
        table,
        len(places) + 1,
        len(text),
    )
    path.write_bytes(text)
    return path


def test_every_way_to_draw_a_path(odd: Odd) -> None:
    # ISO 32000-1, 8.5.2, table 59: v takes the pen for its first handle, y the end for its second.
    content = b"/profile BMC 0 0 m 3 0 l 3 1 4 2 5 2 c 6 3 7 3 v 8 4 9 4 y h S EMC"
    (profile,) = read_pdf(odd(content)).pages[0].profiles
    in_points = np.array(
        [
            [[0, 0], [1, 0], [2, 0], [3, 0]],
            [[3, 0], [3, 1], [4, 2], [5, 2]],
            [[5, 2], [5, 2], [6, 3], [7, 3]],
            [[7, 3], [8, 4], [9, 4], [9, 4]],
            [[9, 4], [6, 4 * 2 / 3], [3, 4 / 3], [0, 0]],
        ]
    )
    assert profile.cubics == pytest.approx(in_points * MM_PER_POINT, abs=1e-12)  # rounding


def test_points_count_with_the_matrix_of_their_moment(odd: Odd) -> None:
    # ISO 32000-1, 8.5.2.1: coordinates are those of the matrix when the step is met, not when the path is painted.
    content = b"/profile BMC 0 0 m 1 0 l q 9 0 0 9 0 0 cm Q 2 0 l 2 0 0 2 0 0 cm S EMC"
    (profile,) = read_pdf(odd(content)).pages[0].profiles
    assert profile.end == pytest.approx([2 * MM_PER_POINT, 0])


def test_the_units_of_a_page_may_be_larger(odd: Odd) -> None:
    path = odd(b"/bar BMC 0 0 m 36 0 l S EMC")
    with pikepdf.open(path, allow_overwriting_input=True) as pdf:
        pdf.pages[0].UserUnit = 2  # ISO 32000-1, table 30
        pdf.save(path)
    (page,) = read_pdf(path).pages
    assert (page.width_mm, page.height_mm) == pytest.approx((50.8, 101.6))
    assert page.tagged("bar")[0].end == pytest.approx([25.4, 0])


def test_a_page_in_parts_is_read_as_one(tmp_path: Path) -> None:
    path = tmp_path / "parts.pdf"
    with pikepdf.new() as pdf:
        page = pdf.add_blank_page(page_size=(72, 72))
        page.Contents = pikepdf.Array([pdf.make_stream(part) for part in (b"/bar BMC 0 0 m", b"72 0 l S", b"EMC")])
        pdf.save(path)
    assert read_pdf(path).pages[0].tagged("bar")[0].end == pytest.approx([25.4, 0])


@pytest.mark.parametrize(
    ("content", "message"),
    [
        (b"Q", "Q without q"),
        (b"EMC", "EMC without BMC"),
        (b"q " * 200, "more than 100 deep"),
        (b"/a BMC " * 200, "more than 100 deep"),
        (b"1 1 l S", "begins nowhere"),
        (b"0 m 1 1 l S", "1 numbers before m"),
        (b"1 0 0 1 0 cm", "5 numbers before cm"),
        (b"/a 0 m", "cannot be read"),
        (b"0 0 m " + b"9" * 400 + b" 0 l S", "cannot be read"),
        (b"0 0 m " + b"9" * 400 + b".0 0 l S", "no size"),
        (b"9999999 0 0 1 0 0 cm " * 9, "beyond all size"),
        (b"0 0 m 1 1", "cannot be read"),
        (b"[" * 100_000, "cannot be read"),
        (b" " * (MOST_CONTENT + 1), "unpack to more than 500 kB"),
        (b" " * 300_000_000, "unpack to more than 500 kB"),
    ],
    ids=range(15),
)
def test_a_page_that_makes_no_sense_is_refused(odd: Odd, content: bytes, message: str) -> None:
    with pytest.raises(ValueError, match=f"^odd.pdf: .*{message}"):
        read_pdf(odd(content))


def test_many_pages_share_the_limit_of_one(odd: Odd) -> None:
    content = b"0 0 m 9 9 l S " * 1000
    assert len(read_pdf(odd(content, pages=30)).pages) == 30
    with pytest.raises(ValueError, match="unpack to more than"):
        read_pdf(odd(content, pages=40))
    with pytest.raises(ValueError, match="it has 61 pages"):
        read_pdf(odd(pages=MOST_PAGES + 1))
    with pytest.raises(ValueError, match="it has 0 pages"):
        read_pdf(odd(pages=0))


def test_locked_and_packed_files_are_refused(odd: Odd) -> None:
    with pytest.raises(ValueError, match="locked with a password"):
        read_pdf(odd(encryption=pikepdf.Encryption(owner="a", user="b")))
    with pytest.raises(ValueError, match="it is locked"):
        read_pdf(odd(encryption=pikepdf.Encryption(owner="a", user="")))
    path = odd(object_stream_mode=pikepdf.ObjectStreamMode.generate)
    with pytest.raises(ValueError, match=r"save it as PDF 1\.4"):
        read_pdf(path)
    # ISO 32000-1, 7.3.5: any character of a name may be written by its number.
    path.write_bytes(path.read_bytes().replace(b"/XRef", b"/#58Ref"))
    with pytest.raises(ValueError, match=r"save it as PDF 1\.4"):
        read_pdf(path)


def test_other_ways_of_packing_a_page_are_refused(odd: Odd) -> None:
    path = odd(b"")
    with pikepdf.open(path, allow_overwriting_input=True) as pdf:
        stream = pdf.pages[0].Contents
        stream.write(b"80>", filter=pikepdf.Name("/LZWDecode"))
        pdf.save(path, compress_streams=False, stream_decode_level=pikepdf.StreamDecodeLevel.none)
    with pytest.raises(ValueError, match="packed by '/LZWDecode'"):
        read_pdf(path)


CATALOGUE, PAGE = b"<</Type/Catalog/Pages 2 0 R>>", b"<</Type/Page/MediaBox[0 0 9 9]>>"
ONE = b"<</Type/Pages/Count 1/Kids[3 0 R]>>"


@pytest.mark.parametrize(
    "objects",
    [
        [CATALOGUE, b"<</Type/Pages/Count 1/Kids[2 0 R]>>"],
        [CATALOGUE, b"<</Type/Pages/Count 1/Kids[3 0 R]>>", b"<</Type/Pages/Count 1/Kids[2 0 R]>>"],
        [CATALOGUE, b"<</Type/Pages/Count 1/Kids[" + b"3 0 R " * 240_000 + b"]>>", PAGE],
        [CATALOGUE, *(b"<</Type/Pages/Count 1/Kids[%d 0 R]>>" % n for n in range(3, 20_000)), PAGE],
        [b"<</Type/Catalog/Pages 2 0 R/X[" + b"0 " * 700_000 + b"]>>", ONE, PAGE],
        [b"<</Type/Catalog/Pages 2 0 R/X" + b"[" * 1_400_000 + b">>", ONE, PAGE],
        [CATALOGUE, ONE, b"<</Type/Page/MediaBox[0 0 9 " + b"9" * 1_400_000 + b".0]>>"],
        [CATALOGUE, ONE, b"<</Type/Page/MediaBox[9 9 0 0]/Contents 3 0 R>>"],
        [CATALOGUE, ONE, b"<</Type/Page/MediaBox[0 0 0 9]>>"],
        [CATALOGUE, ONE, PAGE, *([b"0"] * 30_000)],
        [b"7", ONE, PAGE],
    ],
    ids=["loop", "ring", "kids", "chain", "array", "brackets", "digits", "contents", "flat", "objects", "catalogue"],
)
def test_a_file_made_to_keep_us_busy_is_soon_done_with(objects: list[bytes], tmp_path: Path) -> None:
    _soon(_raw(tmp_path / "odd.pdf", *objects))


@pytest.mark.parametrize(
    "content",
    [b"0 0 m 1 1 l S ", b"0 0 1 1 re f ", b"q Q ", b"/a BMC EMC ", b"1 ", b"[1]", b"(", b")}", b"BI ID EI ", b"/a "],
)
def test_content_made_to_keep_us_busy_is_soon_done_with(odd: Odd, content: bytes) -> None:
    _soon(odd(content * (MOST_CONTENT // len(content))))


@pytest.mark.parametrize(
    "body",
    [
        b"1 0 obj\n" * (MOST_BYTES // 9),
        b"xref\n0 400000\n" + b"0000000000 65535 f \n" * 70_000 + b"startxref\n9\n%%EOF",
        b"xref\n0 1\n0000000000 65535 f \ntrailer <</Prev 9>>\nstartxref\n9\n%%EOF",
        b"#41" * (MOST_BYTES // 4),
        np.random.default_rng(7).bytes(1_400_000),
        b" " * 20_000_000,
    ],
    ids=["objects", "table", "round", "names", "noise", "20 MB"],
)
def test_no_pdf_at_all_is_refused_soon(body: bytes, tmp_path: Path) -> None:
    path = tmp_path / "odd.pdf"
    path.write_bytes(b"%PDF-1.4\n" + body)
    with pytest.raises(ValueError, match=r"^odd\.pdf: (damaged|larger than)"):
        read_pdf(path)
    _soon(path)


def _soon(path: Path) -> None:
    begun = process_time()
    with suppress(ValueError):
        read_pdf(path)
    assert process_time() - begun < SLOWEST_S
