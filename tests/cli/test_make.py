"""`hall-caller make` where something is missing: one sentence with the one command that mends it."""

from __future__ import annotations

import sys
from importlib.metadata import PackageNotFoundError

import pytest

from caller.cli import main
from caller.maker import process


def missing(_: str) -> str:
    raise PackageNotFoundError


def told(capsys: pytest.CaptureFixture[str]) -> str:
    said = capsys.readouterr().err
    assert said.count("\n") == 1
    return said


def test_without_the_extra(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.setattr(process, "version", missing)
    assert main(["make"]) == 1
    assert f'`"{sys.executable}" -m pip install "{process.ASKED_FOR}"`' in told(capsys)


def test_with_the_version_that_ends_python(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(process, "version", lambda _: "6.12.0")
    assert main(["make"]) == 1
    assert "does not work with version 6.12.0" in told(capsys)


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="X11 is asked about on Linux only")
def test_without_a_display_or_a_library_of_the_system(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(process, "version", lambda _: "6.11.3")
    for name in ("DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM"):
        monkeypatch.delenv(name, raising=False)
    assert main(["make"]) == 1
    assert "no display" in told(capsys)
    monkeypatch.setenv("DISPLAY", ":9")
    monkeypatch.setattr(process, "_loads", lambda name: "cursor" not in name)
    assert main(["make"]) == 1
    assert "`sudo apt install libxcb-cursor0`" in told(capsys)
