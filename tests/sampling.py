"""How much is tried: all of it by night, a fixed sample by day, so that a change is judged within minutes."""

from __future__ import annotations

import os
from collections.abc import Sequence
from typing import Final, TypeVar

T = TypeVar("T")

NIGHTLY: Final = os.environ.get("HALL_CALLER_TESTS") == "nightly"
EXAMPLES: Final = 1_000 if NIGHTLY else 40
"""Of each property."""


def sampled(everything: Sequence[T], every: int) -> Sequence[T]:
    """Return everything by night, and by day each `every`th of it."""
    return everything if NIGHTLY else everything[::every]
