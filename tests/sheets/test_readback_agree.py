"""Every template of every form and of the demo, read from SVG, DXF and PDF: one profile, and it lies on the clay."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest
import shapely
from ezdxf.entities.line import Line as DxfLine
from ezdxf.entities.spline import Spline
from ezdxf.filemanagement import readfile
from ezdxf.math import Vec3

from profiler.clay.states import State
from profiler.forms import FORMS
from profiler.geometry.curve import Curve, Floats, line
from profiler.piece import Cast, Piece
from profiler.proof import prove_pdf, proved
from profiler.sheets.dxf import write_dxf
from profiler.sheets.dxf_readback import dxf_units, read_dxf_profile
from profiler.sheets.paper import Correction
from profiler.sheets.pdf import write_templates_pdf
from profiler.sheets.pdf_readback import read_pdf
from profiler.sheets.svg import write_svg
from profiler.sheets.svg_readback import read_svg
from profiler.templates.catalogue import ALL, Template, chosen, named
from tests.pieces import DEMO_DESIGNS, demo_piece, piece_from

DRAWN_MM, PDF_MM = 1e-4, 1e-3  # the bounds of DESIGN, section 9, on control points

# Invented; one of each form, those of `points` with and without a ring.
DESIGNS = {
    "bowl": '[form]\nkind = "bowl"\nrim_diameter = 155\nheight = 68\n',
    "plate": '[form]\nkind = "plate"\nrim_diameter = 265\nheight = 25\n',
    "cylinder": '[form]\nkind = "cylinder"\nrim_diameter = 82\nheight = 95\n',
    "jar": '[form]\nkind = "jar"\nbelly_diameter = 110\nrim_diameter = 85\nheight = 115\n',
    "closed": '[form]\nkind = "closed"\nbelly_diameter = 95\nheight = 100\n',
    "stand": '[form]\nkind = "stand"\nrim_diameter = 220\nheight = 110\n',
    "points": '[form]\nkind = "points"\noutside = [[40, 0], [60, 25], [70, 60], [74, 90]]\n'
    "[foot_ring]\ndepth = 5\n[floor]\nthickness = 5\n[thrown]\nbase_diameter = 96\nblend_height = 20\n",
}

_MADE = {name: piece_from(text) for name, text in DESIGNS.items()}
_MADE |= {path.stem: demo_piece(path) for path in DEMO_DESIGNS}


@dataclass(frozen=True)
class Sheets:
    """A piece, its templates, and a folder of their files."""

    piece: Piece
    templates: tuple[Template, ...]
    folder: Path


@pytest.fixture(scope="module", params=sorted(_MADE))
def sheets(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Sheets:
    piece, folder = _MADE[request.param], tmp_path_factory.mktemp(request.param)
    made = Sheets(piece, chosen(piece, ALL), folder)
    for template in made.templates:
        write_svg(template.drawing, folder / f"{template.drawing.name}.svg", stamp="stamp")
        write_dxf(template.drawing, folder / f"{template.drawing.name}.dxf", stamp="stamp")
    write_templates_pdf([t.drawing for t in made.templates], folder / "templates.pdf", paper="A4", stamp="stamp")
    return made


def test_every_form_is_among_them() -> None:
    assert {piece.design.form.kind for piece in _MADE.values()} == set(FORMS)


def test_svg_dxf_by_two_readers_and_the_drawing_agree(sheets: Sheets) -> None:
    for template in sheets.templates:
        wanted = _edge(template).cubics
        stem = sheets.folder / template.drawing.name
        svg = read_svg(stem.with_suffix(".svg"))
        assert svg.scale == (1.0, 1.0)
        (from_svg,) = svg.profiles
        (from_dxf,) = read_dxf_profile(stem.with_suffix(".dxf"))
        assert dxf_units(stem.with_suffix(".dxf")) == 4  # millimetres (DXF reference, $INSUNITS)
        by_library = _by_library(stem.with_suffix(".dxf"))
        for found in (from_svg.cubics, from_dxf.cubics, by_library):
            assert found.shape == wanted.shape, template.drawing.name
            assert np.abs(found - wanted).max() < DRAWN_MM, template.drawing.name


def test_every_file_is_proved_against_all_templates(sheets: Sheets) -> None:
    drawings = [template.drawing for template in sheets.templates]
    for drawing in drawings:
        for kind in ("svg", "dxf"):
            finding = proved(sheets.folder / f"{drawing.name}.{kind}", drawings)
            assert finding.ok, finding.wrong
            assert [found.name for found in finding.profiles] == [drawing.name]
    assert prove_pdf(drawings, sheets.folder / "templates.pdf") < PDF_MM


def test_a_corrected_pdf_on_letter_is_proved(sheets: Sheets) -> None:
    drawings = [template.drawing for template in sheets.templates]
    correction = Correction("Kitchen inkjet", 99.2, 100.3)
    path = sheets.folder / "letter.pdf"
    write_templates_pdf(drawings, path, paper="Letter", stamp="stamp", correction=correction)
    assert prove_pdf(drawings, path, correction) < PDF_MM


def test_what_follows_the_clay_lies_on_the_section(sheets: Sheets) -> None:
    pages = read_pdf(sheets.folder / "templates.pdf").pages
    seen = 0
    # what is held against the clay is made for what comes off the wheel: a cut lid's for the closed form
    for cast in sheets.piece.thrown:
        for template in (t for t in sheets.templates if t.tool.follows and t.drawing.name == named(cast, t.kind)):
            clay = _laid(cast, template)
            stem = sheets.folder / template.drawing.name
            for found in (
                *read_svg(stem.with_suffix(".svg")).profiles,
                *read_dxf_profile(stem.with_suffix(".dxf")),
            ):
                assert _away(found, clay) < DRAWN_MM, template.drawing.name
            # On its page it stands anywhere: laid with its first point on the drawing's.
            wanted = _edge(template)
            quarter = np.array([[0.0, -1.0], [1.0, 0.0]])
            stands = [
                Curve(cubics - cubics[0, 0] + wanted.start)
                for page in pages
                for profile in page.profiles
                if len(profile) == len(wanted)
                for cubics in (profile.cubics, profile.cubics @ quarter)
            ]
            nearest = min(stands, key=lambda curve: float(np.abs(curve.cubics - wanted.cubics).max()))
            # The first point may be off too, by as much.
            assert _away(nearest, clay) < 2 * PDF_MM, template.drawing.name
            seen += 1
    assert seen == sum(template.tool.follows for template in sheets.templates) > 0


def _edge(template: Template) -> Curve:
    profile = template.drawing.profile
    assert profile is not None
    return profile


def _laid(cast: Cast, template: Template) -> Curve:
    """The clay's outline where it is when the tool is held to it: a leather-hard pot is upside down."""
    outline = (cast.thrown if template.kind == "outside_rib" else cast.section).outline
    k_r, k_z = cast.scale(template.tool.state)
    if template.tool.state is State.WET:
        return outline.mapped(k_r, k_z)
    lift = k_z * cast.shape.rim.highest(1)[1] if template.kind == "turning_stick" else 0.0
    return outline.mapped(k_r, -k_z).moved(0.0, lift)


def _away(profile: Curve, clay: Curve) -> float:
    """The most a point of the profile lies off the clay, mm, to a fifth of the tightest bound above.

    A chord over a step h of the parameter is at most h²/8 times the largest second derivative off its cubic,
    which is at most six times the largest second difference of the control points.
    """
    bend = 6 * float(np.abs(np.diff(clay.cubics, 2, axis=1)).sum(axis=2).max())
    pieces = int(np.ceil(np.sqrt(bend / 8 / (DRAWN_MM / 5)))) + 1
    edge = shapely.linestrings(clay.sampled(pieces))
    shapely.prepare(edge)
    return float(shapely.distance(shapely.points(profile.sampled(15)), edge).max())


def _by_library(path: Path) -> Floats:
    """The entities marked as profile, in order, as a general library reads them, (n, 4, 2)."""
    cubics: list[Floats] = []
    for entity in readfile(path).modelspace():
        if not (entity.has_xdata("PROFILER") and (1000, "profile") in entity.get_xdata("PROFILER")):
            continue
        if isinstance(entity, Spline):
            cubics.append(np.array([[Vec3(p).x, Vec3(p).y] for p in entity.control_points]))
        else:
            assert isinstance(entity, DxfLine)
            start, end = entity.dxf.start, entity.dxf.end
            cubics.append(line((start.x, start.y), (end.x, end.y)).cubics[0])
    return np.array(cubics)
