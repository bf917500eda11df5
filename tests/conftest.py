"""The command line as a test drives it: in this process, with settings of nobody."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from profiler import cli


@pytest.fixture(autouse=True)
def _nobodys_settings(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PROFILER_SETTINGS", str(tmp_path_factory.getbasetemp() / "no_settings.toml"))


@pytest.fixture
def command(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Callable[..., tuple[int, str, str]]:
    """Run `profiler` with arguments; exit code, stdout, stderr."""

    def run(*words: str | Path) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["profiler", *map(str, words)])
        capsys.readouterr()
        try:
            cli.main()
            code = 0
        except SystemExit as stopped:
            code = stopped.code if isinstance(stopped.code, int) else int(stopped.code is not None)
        return code, *capsys.readouterr()

    return run
