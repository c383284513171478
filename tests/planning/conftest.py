from __future__ import annotations

from pathlib import Path

import pytest


@pytest.fixture(autouse=True)
def nothing_led_before(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """No class is known here yet: a known one hears shorter openings, whoever led it in another test."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
