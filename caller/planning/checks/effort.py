"""Effort: short bursts, and not too many landings."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from caller.planning.checks.finding import Finding
from caller.planning.rehearsal import Rehearsal

LONGEST_BURST_S: Final = 90.0
MOST_LANDINGS: Final = 200
"""Own choices: short bursts and rest suit children; handbooks ask for few repeated jumps (from memory)."""


def check(rehearsal: Rehearsal) -> Iterator[Finding]:
    """Yield advice for bursts that are long, and for many landings."""
    dose = rehearsal.harder
    if dose.longest_effort_s > LONGEST_BURST_S:
        text = (
            f"{dose.longest_effort_s:.0f} s without a rest is long for children. "
            f"Keep think_seconds and each warm-up move to {LONGEST_BURST_S:.0f} s."
        )
        yield Finding(level="advice", check="effort", text=text)
    if dose.jumps > MOST_LANDINGS:
        text = (
            f"a child who always does the harder move lands from {dose.jumps} jumps. "
            f"Exchange some jumping moves; {MOST_LANDINGS} are plenty."
        )
        yield Finding(level="advice", check="effort", text=text)
