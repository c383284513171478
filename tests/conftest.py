"""For all tests: nobody's own folders are touched, and the clock on the wall judges no property."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from hypothesis import HealthCheck, settings

# How fast an example is made or checked tells of the machine and of what else it does, not of the property.
settings.register_profile("shared machine", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("shared machine")


@pytest.fixture(scope="session", autouse=True)
def folders_of_our_own(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Give the session a data folder and a cache of its own; spoken clips are shared by all tests."""
    base = tmp_path_factory.mktemp("user")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_DATA_HOME", str(base / "data"))
        patch.setenv("XDG_CACHE_HOME", str(base / "cache"))
        yield
