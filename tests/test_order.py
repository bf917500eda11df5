"""What is ordered of a `make`: templates by name and state, cutter, printer, solids; and what is refused."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
import shapely
import trimesh

from profiler.clay.states import State
from profiler.faults import Fault
from profiler.order import Order, ordered
from profiler.settings import Printer, Rib, Settings
from profiler.sheets.paper import Correction
from profiler.sheets.pdf_readback import bar_lengths_mm, read_pdf
from profiler.sheets.svg_readback import read_svg
from profiler.templates.catalogue import TOOLS, Choice, chosen, templates_of
from tests.pieces import DEMO_DESIGNS, ROOT, demo_piece

Command = Callable[..., tuple[int, str, str]]

DEMO = ROOT / "designs_demo"
STAND = demo_piece(DEMO / "fruit_stand.toml")
HUT = Printer(across=99.2, up=100.3)


def test_nothing_ordered_is_everything_as_in_the_settings() -> None:
    rib = Rib(thickness_mm=3, edge_mm=0.5, bevel_degrees=60)
    order = ordered(Settings(paper="Letter", rib=rib), [STAND])
    assert order == Order(paper="Letter", rib=rib)
    assert len(chosen(STAND, order.choice)) == len(templates_of(STAND))


@pytest.mark.parametrize(
    ("names", "states", "wanted"),
    [
        (["tombo"], [], {"dish_tombo"}),
        (["Pointer card"], [], {"dish_pointer_card", "pedestal_pointer_card"}),
        (["pedestal_pointer_card", "dish-inside-rib"], [], {"pedestal_pointer_card", "dish_inside_rib"}),
        ([], ["leather-hard"], {"dish_trimming_gauge", "dish_turning_stick"}),
        (["tombo", "turning_stick"], ["wet"], {"dish_tombo"}),
    ],
)
def test_templates_by_name_and_state(names: list[str], states: list[str], wanted: set[str]) -> None:
    order = ordered(Settings(), [STAND], templates=names, clay=states)
    made = chosen(STAND, order.choice)
    assert {template.drawing.name for template in made} == wanted
    assert all(not states or template.tool.state in order.choice.states for template in made)


@pytest.mark.parametrize(
    ("design", "names", "states", "wanted"),
    [
        ("jam_jar", ["lid_card"], [], {"lid_card"}),
        ("jam_jar", ["Lid card leather-hard", "lid_tombo", "turning stick"], [], None),
        ("jam_jar", ["lid_turning_stick"], [], {"lid_turning_stick"}),
        ("jam_jar", ["lid_card", "lid_card_leather_hard"], ["wet"], {"lid_card"}),
        ("mustard_pot", ["knife guide", "notch strip"], [], {"knife_guide", "notch_strip"}),
        ("mustard_pot", ["jar_outside_rib"], [], {"jar_outside_rib"}),
    ],
)
def test_templates_of_a_lidded_design_by_name(
    design: str, names: list[str], states: list[str], wanted: set[str] | None
) -> None:
    piece = demo_piece(DEMO / f"{design}.toml")
    order = ordered(Settings(), [piece], templates=names, clay=states)
    made = {template.drawing.name for template in chosen(piece, order.choice)}
    assert made == ({"lid_card_leather_hard", "jar_turning_stick", "lid_turning_stick"} if wanted is None else wanted)


def test_a_tool_of_the_pair_has_no_parts_name() -> None:
    with pytest.raises(Fault, match="unknown template") as caught:
        ordered(Settings(), [demo_piece(DEMO / "jam_jar.toml")], templates=["jar_lid_card"])
    assert "lid_card" in str(caught.value)


def test_patterns_are_printed_only_by_name() -> None:
    crock = demo_piece(DEMO / "ladle_crock.toml")
    wrap = next(one for one in chosen(crock, Choice()) if one.kind == "slab_wrap")
    assert not Choice().prints(wrap)
    assert not Choice(("tombo",)).prints(wrap)
    assert Choice(("slab_wrap",)).prints(wrap)
    assert all(Choice().prints(one) for one in chosen(crock, Choice()) if not one.tool.by_name)
    # a strip is of paper too, but it is one sheet
    strip = next(one for one in chosen(demo_piece(DEMO / "mustard_pot.toml"), Choice()) if one.kind == "notch_strip")
    assert strip.tool.pattern
    assert Choice().prints(strip)


@pytest.mark.parametrize(
    ("words", "field", "says"),
    [
        ({"templates": ["tombola"]}, "--template", "did you mean tombo?"),
        ({"clay": ["leather"]}, "--clay", "leather_hard"),
        ({"solids": ["glazed"]}, "--solid-in", "bisque"),
        ({"paper": "A5"}, "--paper", "own"),
        ({"kerf_mm": 0.0}, "--kerf", "over 0"),
        ({"kerf_mm": float("nan")}, "--kerf", "over 0"),
        ({"printer": "Attic"}, "--printer", "none"),
        ({"thickness_mm": 0.1}, "--thickness", "1 to 30"),
        ({"bevel_degrees": 5.0}, "--bevel", "20 to"),
    ],
)
def test_what_names_nothing_is_refused(words: dict[str, object], field: str, says: str) -> None:
    with pytest.raises(Fault) as caught:
        ordered(Settings(), [STAND], **words)  # type: ignore[arg-type]
    assert caught.value.field == field
    assert says in str(caught.value)


def test_which_printer_is_corrected_for() -> None:
    one = Settings(printers={"Hut": HUT})
    two = Settings(printers={"Hut": HUT, "Attic": Printer()}, printer="Attic")
    hut = Correction("Hut", 99.2, 100.3)
    assert ordered(Settings(), []).correction is None
    assert ordered(one, []).correction == hut  # the only one is the one she prints on
    assert ordered(one, [], printer="none").correction is None
    assert ordered(two, []).correction == Correction("Attic", 100, 100)
    assert ordered(two, [], printer="Hut").correction == hut
    assert ordered(Settings(printers=two.printers), []).correction is None  # which of the two is not said
    with pytest.raises(Fault, match="no such printer"):
        ordered(Settings(printer="Gone"), [])


def test_a_printer_is_remembered_once_and_sheets_make_up_for_it(tmp_path: Path, command: Command) -> None:
    mine = tmp_path / "mine.toml"
    mine.write_text('# my workshop\npaper = "A4"  # always\n', encoding="utf-8")
    code, out, _ = command("printer", "Κουζίνα [2]", "99.2", "100.3", "--settings", mine)
    assert code == 0
    assert "Κουζίνα [2]" in out
    text = mine.read_text(encoding="utf-8")
    assert "# my workshop" in text
    assert "# always" in text
    assert tomllib.loads(text)["printers"] == {"Κουζίνα [2]": {"across": 99.2, "up": 100.3}}
    words = ["make", DEMO / "tumbler.toml", "--out", tmp_path, "--settings", mine]
    assert command(*words)[0] == 0
    sheet = tmp_path / "tumbler" / "templates.pdf"
    for page in read_pdf(sheet).pages:
        across, up = bar_lengths_mm(page)
        turned = page.width_mm > page.height_mm
        # what is drawn 100 / 0.992 long comes out of that printer 100 mm long; 1e-3 is what the format keeps
        assert across == pytest.approx([100 / (1.003 if turned else 0.992)], abs=1e-3)
        assert up == pytest.approx([100 / (0.992 if turned else 1.003)], abs=1e-3)
    code, out, _ = command("proof", sheet, "--design", DEMO / "tumbler.toml")
    assert code == 0
    assert "Κουζίνα [2]" in out
    assert command(*words, "--printer", "none")[0] == 0
    for page in read_pdf(sheet).pages:
        assert bar_lengths_mm(page)[0] == pytest.approx([100], abs=1e-3)


def test_the_printer_stored_last_is_used_and_others_stay(tmp_path: Path, command: Command) -> None:
    mine = tmp_path / "new" / "mine.toml"
    for name, across in (("Hut", 99.2), ("Attic", 100.4), ("Hut", 99.4)):
        assert command("printer", name, str(across), "100", "--settings", mine)[0] == 0
    stored = tomllib.loads(mine.read_text(encoding="utf-8"))
    assert stored["printer"] == "Hut"
    assert {name: one["across"] for name, one in stored["printers"].items()} == {"Hut": 99.4, "Attic": 100.4}


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("Hut", "112", "100"), "95 to 105"),
        (("Hut", "nan", "100"), "95 to 105"),
        (("none", "99", "100"), "name for a printer"),
        (("", "99", "100"), "name for a printer"),
        (("a\nb", "99", "100"), "name for a printer"),
    ],
)
def test_a_printer_that_cannot_be_is_refused(
    words: tuple[str, ...], says: str, tmp_path: Path, command: Command
) -> None:
    mine = tmp_path / "mine.toml"
    code, _, err = command("printer", *words, "--settings", mine)
    assert code == 2
    assert says in err
    assert not mine.exists()


def test_bad_settings_are_not_written_over(tmp_path: Path, command: Command) -> None:
    mine = tmp_path / "mine.toml"
    mine.write_text("papr = 'A4'\n", encoding="utf-8")
    code, _, err = command("printer", "Hut", "99", "100", "--settings", mine)
    assert code == 2
    assert "papr" in err
    assert mine.read_text(encoding="utf-8") == "papr = 'A4'\n"


def test_a_pack_to_order(tmp_path: Path, command: Command) -> None:
    code, _, err = command(
        "make",
        DEMO / "porridge_bowl.toml",
        *("--out", tmp_path, "--template", "inside rib", "--kerf", "0.2", "--paper", "own"),
        *("--solid-in", "wet", "--solid-in", "bone-dry", "--thickness", "3", "--bevel", "60"),
    )
    assert (code, err) == (0, "")
    folder = tmp_path / "porridge_bowl"
    names = {p.relative_to(folder).as_posix() for p in folder.rglob("*") if p.is_file() and p.name[0] != "."}
    rib = {f"templates/inside_rib.{end}" for end in ("svg", "dxf", "step", "stl")}
    pieces = {f"piece{state}.{end}" for state in ("", "_wet", "_bone_dry") for end in ("step", "stl")}
    sheets = {"measures.json", "bench_card.pdf", "section.svg", "templates.pdf"}
    assert names == rib | pieces | sheets | {"cut/inside_rib.svg", "cut/inside_rib.dxf"}
    numbers = json.loads((folder / "measures.json").read_text(encoding="utf-8"))
    # trigonometry: 3 mm less 1 mm of flat edge, at 60 degrees from the face
    assert numbers["plates"]["inside_rib"]["bevel_mm"] == pytest.approx(2 / np.tan(np.radians(60)), rel=1e-9)
    for state in (State.WET, State.BONE_DRY, State.FIRED):
        end = "" if state is State.FIRED else f"_{state}"
        mesh = trimesh.load_mesh(folder / f"piece{end}.stl")
        assert mesh.is_watertight
        exact = 1000 * numbers["states"][state]["clay_volume_cm3"]
        assert mesh.volume == pytest.approx(exact, rel=5e-4)  # DESIGN, section 11: within 0.05 %
        height = float(np.ptp(mesh.bounds[:, 2]))
        # the mesh keeps to 0.01 mm of the surface
        assert height == pytest.approx(numbers["states"][state]["height_mm"], abs=0.02)
    true = read_svg(folder / "templates" / "inside_rib.svg").profiles[0]
    path = read_svg(folder / "cut" / "inside_rib.svg").profiles[0]
    beside = shapely.LineString(true.sampled(400))
    middle = path.sampled(50)[5:-5]  # its ends turn the corners
    off = [beside.distance(shapely.Point(point)) for point in middle]
    # half of 0.2 mm; the bound for the cut edge
    assert off == pytest.approx([0.1] * len(off), abs=0.01)
    pages = read_pdf(folder / "templates.pdf").pages
    assert len(pages) == 1


def test_a_template_the_piece_does_not_get_is_told(tmp_path: Path, command: Command) -> None:
    code, out, _ = command("make", DEMO / "tumbler.toml", "--out", tmp_path, "--template", "inside_rib")
    assert code == 0
    assert "no template of that choice" in out
    code, out, _ = command("make", DEMO / "milk_jug_measured.toml", "--out", tmp_path, "--template", "inside_rib")
    assert code == 0
    assert "no hand goes in" in out
    assert not (tmp_path / "tumbler" / "templates.pdf").exists()
    assert not (tmp_path / "tumbler" / "templates").exists()


TITLES = {
    "greek": "Κούπα του βουνού",
    "czech": "Příliš žluťoučký hrnek",
    "japanese": "山小屋の茶碗",
    "signs": 'Bowl 1/2 "deep" & wide <b> 🍵',
}


@pytest.mark.parametrize("title", TITLES.values(), ids=TITLES.keys())
def test_any_title_makes_every_file(title: str, tmp_path: Path, command: Command) -> None:
    text = (DEMO / "tumbler.toml").read_text(encoding="utf-8")
    design = tmp_path / "pot.toml"
    design.write_text(text.replace('"Tumbler"', json.dumps(title, ensure_ascii=False)), encoding="utf-8")
    code, out, err = command("make", design, "--out", tmp_path / "out", "--kerf", "0.15")
    assert (code, err) == (0, "")
    assert title in out
    folder = tmp_path / "out" / "pot"
    sheets = [*folder.glob("*/*.svg"), *folder.glob("*/*.dxf"), folder / "templates.pdf"]
    assert len(sheets) == 2 * 2 * 5 + 1
    assert command("proof", *sheets)[0] == 0
    assert all(path.name.isascii() for path in folder.rglob("*"))
    assert json.loads((folder / "measures.json").read_text(encoding="utf-8"))["title"] == title


def test_a_stem_that_is_no_safe_file_name_is_refused(tmp_path: Path, command: Command) -> None:
    design = tmp_path / 'po"t: 1&2.toml'
    design.write_text((DEMO / "tumbler.toml").read_text(encoding="utf-8"), encoding="utf-8")
    code, out, err = command("make", design, "--out", tmp_path / "out")
    made = [p.name for p in (tmp_path / "out").iterdir()] if (tmp_path / "out").exists() else []
    assert (code, made) == (2, []), (out, err)


@pytest.mark.parametrize("path", DEMO_DESIGNS, ids=lambda path: path.stem)
def test_each_tool_has_a_grip_a_hole_and_its_state(path: Path) -> None:
    for template in chosen(demo_piece(path), Choice()):
        words = " ".join(one.text for one in template.drawing.words)
        state = {State.WET: "wet", State.LEATHER_HARD: "leather-hard"}[TOOLS[template.kind].state]
        assert state in words
        assert any(line.id in ("hang", "hand") for line in template.drawing.lines), template.drawing.name
