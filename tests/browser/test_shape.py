"""The page as a hand meets it: pulled, typed, saved, on a phone, by keyboard, and looked over for accessibility."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, Route, expect

from profiler.sheets.pdf_readback import read_pdf
from tests.pieces import DEMO_DESIGNS, ROOT

pytestmark = pytest.mark.browser


def _measured(path: Path) -> dict[str, Any]:
    """What `measure --json` says of a file, asked as a command of its own."""
    command = [sys.executable, "-m", "profiler", "measure", str(path), "--json"]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True)
    found: dict[str, Any] = json.loads(done.stdout)
    return found


def _shown(page: Page, path: str) -> float:
    return float(page.locator(f'#key data[data-figure="{path}"]').get_attribute("value") or "nan")


def _said(page: Page, field: str, text: str) -> None:
    """Type into a field and leave it."""
    box = page.locator(f'[id="f-{field}"]')
    box.fill(text)
    box.blur()


def test_a_pulled_size_moves_number_and_drawing(page: Page, address: str, folder: Path) -> None:
    page.goto(f"{address}/design/porridge_bowl")
    drawing = page.locator("#drawing svg").inner_html()
    before = _shown(page, "states.fired.capacity_ml")
    slider = page.locator('input[type=range][data-for="f-form.height"]')
    box = slider.bounding_box()
    assert box is not None
    page.mouse.move(box["x"] + box["width"] * 0.35, box["y"] + box["height"] / 2)
    page.mouse.down()
    for share in (0.45, 0.5, 0.55, 0.6):
        page.mouse.move(box["x"] + box["width"] * share, box["y"] + box["height"] / 2)
    # the hand is still on it
    page.wait_for_function(
        "before => document.querySelector('#key data[data-figure=\"states.fired.capacity_ml\"]').value != before",
        arg=str(before),
    )
    page.mouse.up()
    page.wait_for_function("() => !document.body.hasAttribute('aria-busy')")
    height = page.locator('[id="f-form.height"]').input_value()
    assert float(height) != 68
    file = folder / "porridge_bowl.toml"
    file.write_text(file.read_text().replace("height = 68", f"height = {height}"))
    numbers = _measured(file)
    assert _shown(page, "states.fired.capacity_ml") == numbers["states"]["fired"]["capacity_ml"]
    assert _shown(page, "weigh_out_g") == numbers["weigh_out_g"]
    assert page.locator("#drawing svg").inner_html() != drawing
    assert f"form.height={height}" in page.url


def test_a_slow_first_answer_never_covers_a_later_one(page: Page, address: str) -> None:
    page.goto(f"{address}/design/tumbler")
    held: list[Route] = []

    def slow(route: Route) -> None:
        if "form.height=110" in route.request.url:
            held.append(route)
        else:
            route.continue_()

    page.route("**/live?*", slow)
    box = page.locator('[id="f-form.height"]')
    box.fill("110")
    page.wait_for_timeout(100)
    box.fill("120")
    page.wait_for_timeout(100)
    assert len(held) == 1
    held[0].continue_()
    page.wait_for_function("() => !document.body.hasAttribute('aria-busy')")
    assert _shown(page, "states.fired.height_mm") == pytest.approx(120, abs=1e-6)


def test_back_forward_undo_redo_and_a_reload(page: Page, address: str) -> None:
    page.goto(f"{address}/design/tumbler")
    for height in ("100", "105"):
        _said(page, "form.height", height)
        page.wait_for_url(f"**form.height={height}*")
    figure = page.locator('#key data[data-figure="states.fired.height_mm"]')
    page.get_by_role("button", name="Undo").click()
    expect(figure).to_have_text("100")
    expect(page.locator('[id="f-form.height"]')).to_have_value("100")
    page.reload()
    expect(figure).to_have_text("100")
    page.get_by_role("button", name="Redo").click()
    expect(figure).to_have_text("105")
    page.go_back()
    page.go_back()
    expect(figure).to_have_text("95")


def test_saved_and_opened_again_it_is_the_same(page: Page, address: str, folder: Path) -> None:
    file = folder / "tumbler.toml"
    before = file.read_text()
    page.goto(f"{address}/design/tumbler")
    _said(page, "form.height", "101,5")
    page.get_by_role("button", name="Save", exact=True).click()
    page.wait_for_url(re.compile(r"/design/tumbler\?show\.units=mm$"))
    assert file.read_text() == before.replace("height = 95", "height = 101.5")
    page.reload()
    expect(page.locator('[id="f-form.height"]')).to_have_value("101.5")
    assert _shown(page, "states.fired.capacity_ml") == _measured(file)["states"]["fired"]["capacity_ml"]


def test_what_is_no_pot_says_so_and_keeps_the_drawing(page: Page, address: str) -> None:
    page.goto(f"{address}/design/porridge_bowl")
    page.locator('[id="f-form.height"]').fill("5")
    expect(page.locator("#remarks")).to_contain_text("No pot:")
    expect(page.locator('[id="r-form.height"]')).to_contain_text("lower than its ring")
    expect(page.locator("#drawing svg")).to_be_visible()
    page.locator('[id="f-form.height"]').fill("70")
    expect(page.locator("#remarks")).not_to_contain_text("No pot:")


def test_the_sheets_hold_the_profile_at_actual_size(page: Page, address: str, folder: Path, tmp_path: Path) -> None:
    page.goto(f"{address}/design/tumbler/templates?form.height=100")
    link = page.get_by_role("link", name="PDF, to print").first.get_attribute("href")
    assert link is not None
    body = page.request.get(f"{address}{link}").body()
    sheet = tmp_path / "sheet.pdf"
    sheet.write_bytes(body)
    assert read_pdf(sheet).pages
    file = folder / "tumbler.toml"
    file.write_text(file.read_text().replace("height = 95", "height = 100"))
    proof = [sys.executable, "-m", "profiler", "proof", str(sheet), "--design", str(file)]
    done = subprocess.run(proof, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr


def test_on_a_phone_nothing_is_wider_than_the_screen(browser: Browser, address: str) -> None:
    with browser.new_context(viewport={"width": 360, "height": 740}, has_touch=True) as context:
        page = context.new_page()
        for way in (
            "/",
            "/design/mustard_pot",
            "/design/mustard_pot/wheel",
            "/design/mustard_pot/templates",
            "/set/hut_table",
            "/design/jam_jar/size",
            "/design/mustard_pot/cut",
        ):
            page.goto(address + way)
            assert page.evaluate("document.documentElement.scrollWidth") <= 360, way
            for target in page.locator("main button, nav a, summary").all():
                box = target.bounding_box()
                # WCAG 2.2, 2.5.5 (AAA): targets of at least 44 CSS pixels
                assert box is None or box["height"] >= 44, way
        page.goto(f"{address}/design/mustard_pot/wheel")
        for wide in (360, 800, 1280):
            page.set_viewport_size({"width": wide, "height": 740})
            for one in page.locator(".wheel dd").all():
                assert one.evaluate("one => one.scrollWidth <= one.parentElement.clientWidth"), wide
        page.set_viewport_size({"width": 360, "height": 740})
        large = page.locator(".wheel dd").first.evaluate("one => parseFloat(getComputedStyle(one).fontSize)")
        assert large >= 60


def test_by_keyboard_alone(page: Page, address: str, folder: Path) -> None:
    page.goto(address)
    page.get_by_role("link", name="Tumbler").focus()
    page.keyboard.press("Enter")
    page.wait_for_url("**/design/tumbler*")
    slider = page.locator('input[type=range][data-for="f-form.height"]')
    for _ in range(60):
        page.keyboard.press("Tab")
        if slider.evaluate("one => one === document.activeElement"):
            break
    else:
        pytest.fail("the slider is not reached by Tab")
    before = float(slider.input_value())
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowRight")
    height = page.locator('[id="f-form.height"]').input_value()
    assert float(height) > before
    page.get_by_role("button", name="Save", exact=True).focus()
    page.keyboard.press("Enter")
    page.wait_for_url(re.compile(r"show\.units=mm$"))
    assert f"height = {height}" in (folder / "tumbler.toml").read_text()


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_nothing_serious_in_the_way_of_anybody(scheme: Any, browser: Browser, address: str) -> None:
    """axe-core's rules for WCAG 2.2 A and AA; only here the policy is passed over, to put its script in."""
    context = browser.new_context(bypass_csp=True, color_scheme=scheme)
    page = context.new_page()
    ways = ["/", "/design/porridge_bowl?form.height=5", *(f"/design/{path.stem}" for path in DEMO_DESIGNS[:4])]
    for way in [
        *ways,
        "/design/mustard_pot",
        "/design/mustard_pot/wheel",
        "/design/mustard_pot/templates",
        "/set/hut_table",
        "/design/mustard_pot/cut?show.capacity=205",
        "/design/tumbler/size?show.wish=ball&show.amount=400",
        "/none",
    ]:
        page.goto(address + way)
        found = Axe().run(page).response["violations"]
        serious = [one["id"] for one in found if one["impact"] in ("serious", "critical")]
        assert serious == [], (way, [node["html"] for one in found for node in one["nodes"]][:5])
    context.close()
