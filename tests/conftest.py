"""Tests never read or write the folders of the person who runs them."""

from __future__ import annotations

from collections.abc import Iterator

import pytest


@pytest.fixture(scope="session", autouse=True)
def folders_of_our_own(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Give the session a data folder and a cache of its own; spoken clips are shared by all tests."""
    base = tmp_path_factory.mktemp("user")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_DATA_HOME", str(base / "data"))
        patch.setenv("XDG_CACHE_HOME", str(base / "cache"))
        yield
