"""Voice: one for every sentence."""

from __future__ import annotations

from collections.abc import Iterator

from caller.planning.checks.finding import Finding
from caller.planning.rehearsal import Rehearsal
from caller.scripts.tables import shortened


def check(rehearsal: Rehearsal) -> Iterator[Finding]:
    """Yield an error for each language in which sentences could not be spoken."""
    for language in dict.fromkeys(line.language for line in rehearsal.unspoken):
        lines = [line for line in rehearsal.unspoken if line.language == language]
        spoken = sum(
            bool(line.speech) and line.language == language
            for call in rehearsal.run_sheet.calls
            for line in call.lines
        )
        which = "none" if len(lines) == spoken else f"{len(lines)} of {spoken}"
        yield Finding(
            level="error",
            check="voice",
            text=f"this computer could say {which} of the sentences in {language}, such as "
            f'"{shortened(lines[0].written)}". They would stand on the screen only; '
            "look whether its speech works.",
        )
