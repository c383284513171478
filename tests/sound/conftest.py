"""A voice that really speaks, in folders of its own."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from caller.sound.kept_voice import ClipCache
from caller.sound.speech import ENGINES_WITHOUT_EXTRA
from caller.sound.voice import VoiceBox


@pytest.fixture(scope="session")
def shared_box(tmp_path_factory: pytest.TempPathFactory) -> Iterator[VoiceBox]:
    """One voice for all tests that only listen to it."""
    with VoiceBox(ClipCache(tmp_path_factory.mktemp("speech")), engines=("bundled",)) as box:
        yield box


@pytest.fixture
def cache_folder(tmp_path: Path) -> Path:
    return tmp_path / "speech"


@pytest.fixture
def open_box(
    cache_folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> Iterator[Callable[..., VoiceBox]]:
    """Open voices that share one cache and one folder for temporary files, closed with the test."""
    temporary = tmp_path / "temporary"
    temporary.mkdir()
    monkeypatch.setattr("tempfile.tempdir", str(temporary))
    opened: list[VoiceBox] = []

    def open_one(**options: object) -> VoiceBox:
        # The extra's voices, where they are installed, are quicker or slower than what is tested here.
        engines = options.pop("engines", ENGINES_WITHOUT_EXTRA)
        opened.append(VoiceBox(ClipCache(cache_folder), engines=engines, **options))  # type: ignore[arg-type]
        return opened[-1]

    yield open_one
    for box in opened:
        box.close()
    assert list(temporary.iterdir()) == [], "a worker left files behind"
