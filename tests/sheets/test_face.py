"""The text face, checked against the PDF library's own reading of the same file."""

import subprocess
import sys

import pytest
from reportlab.pdfbase.pdfmetrics import stringWidth

from profiler.sheets import face


@pytest.mark.parametrize("bold", [False, True])
@pytest.mark.parametrize("text", ["inside rib", "Žluťoučký hrnek", "κύπελλο τσαγιού", "⌀ 82 × 95 mm"])
def test_widths_agree_with_the_pdf_library(text: str, bold: bool) -> None:
    face.register()
    other = stringWidth(text, face.BOLD if bold else face.REGULAR, 4.0)
    # The library rounds advances to a thousandth of the size: 0.5e-3 x 4 mm a character at most.
    assert face.width_mm(text, 4.0, bold) == pytest.approx(other, abs=0.002 * len(text))


def test_what_the_face_has_is_left_alone() -> None:
    text = 'Krajíc & "κύπελλο" ⌀ ½ <b>'
    assert face.missing(text) == set()
    assert face.shown(text) == text


@pytest.mark.parametrize("lacking", ["茶", "🍵", "\t", "\n", "\x00", "\u202e", "\u200b", "\ud800", "\uffff"])
def test_what_cannot_be_seen_becomes_a_box(lacking: str) -> None:
    assert face.missing(f"a{lacking}b") == {lacking}
    assert face.shown(f"a{lacking}b") == "a□b"
    assert face.width_mm(lacking, 4.0) > 1.0  # a box a reader can see, not a hair


def test_too_long_a_text_is_made_smaller_then_cut_short() -> None:
    text = "supper plate with a wide rim"
    full = face.width_mm(text, 4.0)
    assert face.fitted(text, full * 0.9, 4.0, 3.0)[0] == text
    short, size = face.fitted(text, full * 0.4, 4.0, 3.0)
    assert size == 3.0
    assert short.endswith("…")
    assert face.width_mm(short, size) <= full * 0.4


def test_the_plotting_library_is_never_imported() -> None:
    measuring = "from profiler.sheets import face; face.width_mm('a', 4)"
    script = f"{measuring}; import sys; print('matplotlib' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"


def test_folded_text_loses_nothing_and_keeps_within_its_width() -> None:
    text = "Porridge bowl: inside rib, trimming gauge, Donaudampfschifffahrtsgesellschaft"
    for width in (12.0, 30.0, 60.0, 500.0):
        lines = face.folded(text, width, 4.0)
        assert all(face.width_mm(line, 4.0) <= width for line in lines)
        assert "".join(lines).replace(" ", "") == text.replace(" ", "")
    assert face.folded(text, 500.0, 4.0) == [text]
    assert face.folded("", 10.0, 4.0) == [""]
