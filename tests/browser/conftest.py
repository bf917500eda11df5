"""A real browser on a copy of the demo: a request to elsewhere, or an error on its console, fails a test."""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, Route, sync_playwright

from tests.pieces import ROOT

FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A copy of the demo, to be written in."""
    return Path(shutil.copytree(ROOT / "designs_demo", tmp_path / "hut"))


@pytest.fixture
def address(folder: Path, tmp_path: Path) -> Iterator[str]:
    """Where the page of that folder is served."""
    settings = tmp_path / "settings.toml"
    settings.touch()
    command = [sys.executable, "-m", "profiler", "studio", str(folder), "--port", "0", "--settings", str(settings)]
    with subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, text=True) as server:
        try:
            assert server.stdout is not None
            found = re.search(r"http://127\.0\.0\.1:\d+", server.stdout.readline())
            assert found is not None
            yield found[0]
        finally:
            server.terminate()


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Chromium, as Debian packs it."""
    path = shutil.which("chromium")
    assert path, "no chromium on this machine"
    with sync_playwright() as playwright:
        started = playwright.chromium.launch(executable_path=path, args=FLAGS)
        yield started
        started.close()


@pytest.fixture
def page(browser: Browser, address: str) -> Iterator[Page]:
    """A page that may ask this machine only."""
    context = browser.new_context(viewport={"width": 1280, "height": 900})
    opened = context.new_page()
    trouble: list[str] = []

    def looked_at(route: Route) -> None:
        if route.request.url.startswith((address, "blob:", "data:")):
            route.continue_()
        else:
            trouble.append(f"asked elsewhere: {route.request.url}")
            route.abort()

    context.route("**/*", looked_at)
    opened.on("console", lambda said: trouble.append(said.text) if said.type == "error" else None)
    opened.on("pageerror", lambda error: trouble.append(str(error)))
    yield opened
    context.close()
    assert trouble == []
