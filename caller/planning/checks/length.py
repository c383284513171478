"""Length: whether the lesson fits its period, by the words as they are spoken."""

from __future__ import annotations

from collections.abc import Iterator

from caller.planning.checks.finding import Finding
from caller.planning.fitting import TOLERANCE_S
from caller.planning.rehearsal import Rehearsal
from caller.runsheet.table import clock


def check(rehearsal: Rehearsal) -> Iterator[Finding]:
    """Yield an error for a lesson that runs over its minutes, advice for one that ends early."""
    minutes = rehearsal.lesson.minutes
    if minutes is None:
        return
    over_s = rehearsal.length_s - 60.0 * minutes
    told = f"it lasts {clock(rehearsal.length_s)}, and minutes = {minutes}"
    if over_s > TOLERANCE_S:
        yield Finding(
            level="error",
            check="length",
            text=f"{told}: {clock(over_s)} too long. Think a little shorter, or leave a round out.",
        )
    elif over_s < -TOLERANCE_S:
        yield Finding(
            level="advice",
            check="length",
            text=f"{told}: {clock(-over_s)} are left over. A longer warm-up would fill them.",
        )
