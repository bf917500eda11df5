"""Real files with bytes changed at random: each is read or refused with a fault, and nothing else ever happens."""

from __future__ import annotations

import warnings
from pathlib import Path

import pikepdf
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from profiler.faults import Fault
from profiler.proof import proved
from profiler.proof_report import told
from profiler.sheets.dxf import write_dxf
from profiler.sheets.pdf import write_templates_pdf
from profiler.sheets.svg import write_svg
from profiler.templates.catalogue import templates_of
from profiler.templates.drawing import Drawing
from tests.pieces import piece_from

TEMPLATES = templates_of(piece_from('[form]\nkind = "bowl"\nrim_diameter = 155\nheight = 68\n'))


def _svg(path: Path, drawing: Drawing) -> None:
    write_svg(drawing, path, stamp="stamp")


def _dxf(path: Path, drawing: Drawing) -> None:
    write_dxf(drawing, path, stamp="stamp")


def _pdf(path: Path, drawing: Drawing) -> None:
    write_templates_pdf([drawing], path, paper="A4", stamp="stamp")


def _plain_pdf(path: Path, drawing: Drawing) -> None:
    """Its pages unpacked, so that changes reach what is drawn."""
    _pdf(path, drawing)
    with pikepdf.open(path, allow_overwriting_input=True) as pdf:
        for page in pdf.pages:
            page.Contents = pdf.make_stream(page.Contents.read_bytes())
        # the face is most of the file, and nobody reads it
        for page in pdf.pages:
            del page.Resources["/Font"]
        pdf.remove_unreferenced_resources()
        pdf.save(path, compress_streams=False)


_CHANGES = st.lists(
    st.tuples(st.floats(0, 1, exclude_max=True), st.integers(0, 255), st.integers(0, 3)), min_size=1, max_size=6
)


@pytest.mark.parametrize(
    ("kind", "write"),
    [("svg", _svg), ("dxf", _dxf), ("pdf", _pdf), ("pdf", _plain_pdf)],
    ids=["svg", "dxf", "pdf", "plain pdf"],
)
def test_changed_bytes_never_end_in_a_traceback(
    kind: str, write: object, tmp_path_factory: pytest.TempPathFactory
) -> None:
    path = tmp_path_factory.mktemp("changed") / f"trimming_gauge.{kind}"
    drawing = next(drawing for drawing in TEMPLATES if drawing.name == "trimming_gauge")
    assert callable(write)
    write(path, drawing)
    whole = path.read_bytes()
    assert proved(path, TEMPLATES).ok

    @settings(max_examples=200, deadline=None, suppress_health_check=[HealthCheck.too_slow], database=None)
    @given(_CHANGES)
    def changed(changes: list[tuple[float, int, int]]) -> None:
        content = bytearray(whole)
        for share, byte, how in changes:
            at = int(share * len(content))
            if how == 0:
                content[at] = byte
            elif how == 1:
                content[at] ^= 1 << (byte % 8)
            elif how == 2:
                del content[at : at + byte]
            else:
                content[at:at] = content[max(0, at - byte) : at]
        path.write_bytes(content)
        for templates in (TEMPLATES, None):
            # A warning on the screen would be as strange to her as a traceback.
            with warnings.catch_warnings():
                warnings.simplefilter("error")
                assert _said(path, templates)

    changed()


def _said(path: Path, templates: tuple[Drawing, ...] | None) -> str:
    """What the command would print of it."""
    try:
        return told(proved(path, templates))
    except Fault as fault:
        return str(fault) if fault.file == path and "\n" not in str(fault) else ""
