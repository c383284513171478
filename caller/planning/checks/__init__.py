"""Look a lesson over, as a colleague would: one idea a module, each with one `check`."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Final

from caller.planning.checks import (
    activity,
    legibility,
    length,
    moves,
    precision,
    readings,
    safety,
    sides,
    space,
    voice,
    wording,
)
from caller.planning.checks.finding import Finding
from caller.planning.rehearsal import Rehearsal

__all__ = ["CHECKS", "Finding", "look_over"]

CHECKS: Final[tuple[Callable[[Rehearsal], Iterator[Finding]], ...]] = (
    length.check,
    precision.check,
    readings.check,
    safety.check,
    space.check,
    voice.check,
    moves.check,
    activity.check,
    sides.check,
    wording.check,
    legibility.check,
)
"""All checks, in the order in which their findings are told."""


def look_over(rehearsal: Rehearsal) -> tuple[Finding, ...]:
    """Return what all checks find, errors first."""
    found = [finding for check in CHECKS for finding in check(rehearsal)]
    return tuple(sorted(found, key=lambda finding: finding.level != "error"))
