"""The page of a copy of the demo, asked in-process."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from profiler.settings import Settings
from profiler.studio.app import studio_app
from tests.pieces import ROOT

HOST = "127.0.0.1:8155"


@pytest.fixture
def hut(tmp_path: Path) -> Path:
    """A folder to write in."""
    return Path(shutil.copytree(ROOT / "designs_demo", tmp_path / "hut"))


@pytest.fixture
def client(hut: Path) -> TestClient:
    """Asks the page as a browser on this machine does."""
    app = studio_app(hut, Settings(), [HOST])
    return TestClient(app, base_url=f"http://{HOST}", follow_redirects=False, raise_server_exceptions=False)
