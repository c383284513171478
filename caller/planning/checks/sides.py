"""Sides: the right choice as often left as right, and without a pattern."""

from __future__ import annotations

from collections.abc import Iterator

from caller.planning.checks.finding import Finding
from caller.planning.rehearsal import Rehearsal
from caller.planning.sides import fault_of


def check(rehearsal: Rehearsal) -> Iterator[Finding]:
    """Yield advice where a child could gain by counting sides."""
    fault = fault_of(tuple(facts.answer for facts in rehearsal.run_sheet.rounds if facts.moves))
    if fault:
        mend = "Take answer out of some rounds, or change the seed."
        yield Finding(level="advice", check="sides", text=f"{fault} {mend}")
