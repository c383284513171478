"""For all tests: nobody's own folders are touched, and nothing but the change decides what is found.

The default run tries the same examples in the same order each time. `HALL_CALLER_TESTS=nightly` (set by the
nightly workflow) tries new ones, and more of them.
"""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from hypothesis import HealthCheck, settings

from tests.sampling import EXAMPLES, NIGHTLY

# How fast an example is made or checked tells of the machine and of what else it does, not of the property.
_ANY_MACHINE = settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.register_profile("default run", _ANY_MACHINE, max_examples=EXAMPLES, derandomize=True, database=None)
settings.register_profile("nightly", _ANY_MACHINE, max_examples=EXAMPLES, print_blob=True)
settings.load_profile("nightly" if NIGHTLY else "default run")

_SEED = 20_260_901
"""The order of the tests, and Python's and numpy's random numbers in each; any number would do."""


@pytest.hookimpl(tryfirst=True)
def pytest_configure(config: pytest.Config) -> None:
    """Let pytest-randomly shuffle the tests alike each time, unless it is night or a seed is asked for."""
    if not NIGHTLY and getattr(config.option, "randomly_seed", None) == "default":
        config.option.randomly_seed = _SEED


# What is let go of too late is told when Python happens to notice, in whatever test is running then.
_NOT_OF_THIS_TEST = "default::pytest.PytestUnraisableExceptionWarning"


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Let warnings be errors, but where other programs are driven."""
    for item in items:
        if "endtoend" not in item.keywords:
            item.add_marker(pytest.mark.filterwarnings("error", _NOT_OF_THIS_TEST), append=False)


@pytest.fixture(scope="session", autouse=True)
def folders_of_our_own(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Give the session a data folder and a cache of its own; spoken clips are shared by all tests."""
    base = tmp_path_factory.mktemp("user")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_DATA_HOME", str(base / "data"))
        patch.setenv("XDG_CACHE_HOME", str(base / "cache"))
        yield
