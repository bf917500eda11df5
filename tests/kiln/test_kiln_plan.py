"""The plan of the kiln, read back from its PDF by another library."""

from __future__ import annotations

import math
from collections import Counter
from itertools import combinations
from pathlib import Path

import pdfplumber
import pikepdf
import pytest

from profiler.kiln import Firing, KilnTable, Load, Ware, loaded, write_kiln_plan
from tests.kiln.apart import posts

MM = 72 / 25.4
PAGES = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}

WARES = [
    Ware("Porridge bowl", 35, 76, 68, 6, 22),
    Ware("Soup plate", 70, 120, 32, 6, 9),
    Ware("A bread plate with a name that is far too long for any list of kinds", 50, 82, 24, 6, 8),
    Ware("Mug", 38, 62, 98, 8, 98),
    Ware("Butter jar", 50, 66, 112, 1),
    Ware("Salt dish", 18, 27, 30, 4, 12),
    *(Ware(f"Sample {number}", 30, 45, 40 + number, 1, 12) for number in range(7, 15)),
]
ROUND = KilnTable(shelf="round", diameter=480, clear_height=520)
SQUARE = KilnTable(shelf="rectangular", width=600, depth=450, clear_height=650, posts=4)
LOW = KilnTable(shelf="rectangular", width=900, depth=300, clear_height=130, posts=0)
CASES = {
    "round A4": (ROUND, "A4", Firing.GLAZE),
    "round Letter": (ROUND, "Letter", Firing.BISQUE),
    "rectangular A4": (SQUARE, "A4", Firing.BISQUE),
    "rectangular Letter": (SQUARE, "Letter", Firing.GLAZE),
    "one low shelf": (LOW, "A4", Firing.GLAZE),
}


@pytest.fixture(scope="module", params=CASES)
def plan(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> tuple[Load, str, Path]:
    kiln, paper, firing = CASES[request.param]
    load = loaded(WARES, kiln, firing)
    path = tmp_path_factory.mktemp("plan") / "kiln_plan.pdf"
    write_kiln_plan("The hut's table", [load], path, paper=paper, stamp="profiler 0.1 0123abcd")
    return load, paper, path


Box = tuple[float, float, float, float]


def _marked(page: pikepdf.Page) -> dict[str, list[Box]]:
    """Boxes in mm of the paths under each mark, from the page's operators; the writer moves nothing by transforms."""
    found: dict[str, list[Box]] = {}
    name = ""
    points: list[float] = []
    for instruction in pikepdf.parse_content_stream(page):
        operands, op = list(instruction.operands), str(instruction.operator)
        if op == "BMC":
            name, points = str(operands[0])[1:], []
        elif op == "EMC":
            if points:
                xs, ys = points[0::2], points[1::2]
                found.setdefault(name, []).append((min(xs), min(ys), max(xs), max(ys)))
            name, points = "", []
        elif name and op in ("m", "l", "c"):
            # of a cubic its end: a circle is drawn in quarters or less, so its extremes are among them
            points += [float(str(number)) for number in operands[-2:]]
    return found


def _pages(path: Path) -> list[dict[str, list[Box]]]:
    with pikepdf.open(path) as pdf:
        return [_marked(page) for page in pdf.pages]


def _middle(box: Box) -> tuple[float, float]:
    return (box[0] + box[2]) / 2, (box[1] + box[3]) / 2


def _drawn(marks: dict[str, list[Box]], size: tuple[float, float]) -> list[tuple[float, float, float, float]]:
    """Of every piece on a page: x, y from the middle of the shelf it is on, radius of rim and foot, real mm."""
    (bar,) = marks["scale_bar"]
    scale, drawn = (bar[2] - bar[0]) / 200, []
    for edge in marks.get("edge", []):
        # a PDF keeps seven digits
        assert (edge[2] - edge[0], edge[3] - edge[1]) == pytest.approx([scale * s for s in size], abs=0.01)
        (x0, y0) = _middle(edge)
        for rim, foot in zip(marks["rim"], marks["foot"], strict=True):
            x, y = _middle(rim)
            if abs(x - x0) < scale * size[0] / 2 and abs(y - y0) < scale * size[1] / 2:
                assert _middle(foot) == pytest.approx((x, y), abs=0.01)
                half = [(box[2] - box[0]) / 2 / scale for box in (rim, foot)]
                drawn.append(((x - x0) / scale, (y - y0) / scale, half[0], half[1]))
    return drawn


def test_every_piece_is_drawn_to_scale_where_the_load_has_it(plan: tuple[Load, str, Path]) -> None:
    load, kiln, pages = plan[0], plan[0].kiln, _pages(plan[2])
    size = (kiln.diameter or kiln.width or 0.0, kiln.diameter or kiln.depth or 0.0)
    drawn = [piece for marks in pages for piece in _drawn(marks, size)]
    shelves = [shelf for kilnful in load.kilnfuls for shelf in kilnful]
    for place in (place for shelf in shelves for place in shelf.places):
        wanted = place.x_mm, place.y_mm, place.ware.reach_radius_mm, place.ware.foot_radius_mm
        # a hundredth of a millimetre on paper is a tenth in the kiln at 1:10
        found = [one for one in drawn if one == pytest.approx(wanted, abs=0.15)]
        assert found, wanted
        drawn.remove(found[0])
    assert not drawn
    under = sum(len(kilnful) - 1 for kilnful in load.kilnfuls)
    assert sum(len(marks.get("post", [])) for marks in pages) == under * len(posts(kiln))
    assert sum(len(marks.get("edge", [])) for marks in pages) == len(shelves)


def test_every_number_stands_in_its_circle_and_its_list(plan: tuple[Load, str, Path]) -> None:
    load, _, path = plan
    numbers = {ware.name: str(number) for number, ware in enumerate(WARES, start=1)}
    wanted = Counter(
        numbers[place.ware.name] for shelves in load.kilnfuls for shelf in shelves for place in shelf.places
    )
    found: Counter[str] = Counter()
    marks = _pages(path)
    with pdfplumber.open(path) as pdf:
        for page, marked in zip(pdf.pages, marks, strict=True):
            for word in page.extract_words():
                x, y = (
                    (word["x0"] + word["x1"]) / 2 / MM,
                    (float(page.height) - (word["top"] + word["bottom"]) / 2) / MM,
                )
                for rim in marked.get("rim", []):
                    middle = (rim[0] + rim[2]) / 2, (rim[1] + rim[3]) / 2
                    if math.dist(middle, (x, y)) < (rim[2] - rim[0]) / 2 and word["text"][0] != "×":
                        found[word["text"]] += 1
    assert found == wanted


def test_nothing_is_off_the_page_small_or_on_other_words(plan: tuple[Load, str, Path]) -> None:
    _, paper, path = plan
    with pdfplumber.open(path) as pdf:
        for page in pdf.pages:
            assert (float(page.width) / MM, float(page.height) / MM) == pytest.approx(PAGES[paper], abs=0.01)
            for thing in [*page.curves, *page.lines, *page.rects, *page.chars]:
                assert thing["x0"] >= 5 * MM
                assert thing["x1"] <= page.width - 5 * MM
                assert thing["top"] >= 5 * MM
                assert thing["bottom"] <= page.height - 5 * MM
            assert min(char["size"] for char in page.chars) >= 2.4 * MM - 1e-3
            words = page.extract_words(keep_blank_chars=True, x_tolerance=2)
            for one, other in combinations(words, 2):
                across = min(one["x1"], other["x1"]) - max(one["x0"], other["x0"])
                up = min(one["bottom"], other["bottom"]) - max(one["top"], other["top"])
                # boxes reach from ascent to descent: lines of a paragraph come within a fifth of a letter
                assert across < 0.5 or up < 0.25 * min(one["height"], other["height"]), (one["text"], other["text"])


def test_it_says_what_to_mind(plan: tuple[Load, str, Path]) -> None:
    load, _, path = plan
    with pdfplumber.open(path) as pdf:
        for page in pdf.pages:
            text = " ".join(page.extract_text().split())
            assert "licensed electrician under the local code" in text
            assert "Follow the kiln's manual" in text
            assert "vent it outdoors" in text
            assert "0123abcd" in text
            assert load.firing.state.words in text


def test_what_does_not_go_in_is_named_and_the_firing_too(tmp_path: Path) -> None:
    path = tmp_path / "kiln_plan.pdf"
    tall = Ware("Water jug", 50, 70, 600)
    loads = [loaded([tall], ROUND, Firing.BISQUE), loaded([tall, WARES[3]], ROUND, Firing.GLAZE, "white")]
    write_kiln_plan("The hut's table", loads, path, paper="Tabloid", stamp="x")
    with pdfplumber.open(path) as pdf:
        bisque, glaze = (" ".join(page.extract_text().split()) for page in pdf.pages)
    assert "Bisque firing: nothing goes in" in bisque
    assert "too large for this kiln: Water jug" in bisque
    assert "Glaze firing “white”, kiln load 1 of 1" in glaze
    assert "too large for this kiln: Water jug" in glaze


def test_the_same_plan_has_the_same_bytes(tmp_path: Path) -> None:
    for name in ("one.pdf", "other.pdf"):
        load = loaded(WARES[:2], ROUND, Firing.GLAZE)
        write_kiln_plan("The hut's table", [load], tmp_path / name, paper="A4", stamp="x")
    assert (tmp_path / "one.pdf").read_bytes() == (tmp_path / "other.pdf").read_bytes()
