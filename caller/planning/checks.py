"""Look a lesson over, as a colleague would: its length, its words and their voice here, the rest beside."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from typing import Final

from caller.planning import check_clocks, check_moves
from caller.planning.fitting import TOLERANCE_S
from caller.planning.staging import Finding, Rehearsal
from caller.runsheet.forms import clock
from caller.scripts.tables import shortened
from caller.timeline import seconds_of


def check_length(rehearsal: Rehearsal) -> Iterator[Finding]:
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


def check_voice(rehearsal: Rehearsal) -> Iterator[Finding]:
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


# Own choices: a reason in the caller's own words never takes longer than ten seconds, and readability guides
# for young children ask for sentences well under twenty words.
_LONGEST_S = 10.0
_MOST_WORDS = 18
_LONGEST_TITLE = 40


def check_wording(rehearsal: Rehearsal) -> Iterator[Finding]:
    """Yield advice for own words that take too long, and for sentences of too many words."""
    lesson = rehearsal.lesson
    own = [
        ("opening, welcome", lesson.opening.welcome),
        ("opening, lead_in", lesson.opening.lead_in),
        *((f"round {number}, say", each.say) for number, each in enumerate(lesson.rounds, start=1)),
        *((f"round {number}, reason", each.reason) for number, each in enumerate(lesson.rounds, start=1)),
        ("close, say", lesson.close.say),
    ]
    spoken_s = _spoken_s(rehearsal)
    for where, words in own:
        if not words:
            continue
        longest = max(len(sentence.split()) for sentence in re.split(r"[.!?…]+\s*", words))
        if spoken_s.get(words, 0.0) > _LONGEST_S:
            text = f"these words take {spoken_s[words]:.0f} s to say. Keep them to {_LONGEST_S:.0f} s."
            yield Finding(level="advice", check="wording", where=where, text=text)
        elif longest > _MOST_WORDS:
            text = f"a sentence of {longest} words is hard to follow. Make two of it."
            yield Finding(level="advice", check="wording", where=where, text=text)
    if len(lesson.title) > _LONGEST_TITLE:
        text = f"{len(lesson.title)} letters are small on the screen. Keep it to {_LONGEST_TITLE}."
        yield Finding(level="advice", check="wording", where="title", text=text)


def _spoken_s(rehearsal: Rehearsal) -> dict[str, float]:
    return {
        span.line.written: seconds_of(span.speech_end - span.speech_start)
        for layout in rehearsal.layouts
        for span in layout.spans
    }


__all__ = ["CHECKS", "Finding", "look_over"]

CHECKS: Final[tuple[Callable[[Rehearsal], Iterator[Finding]], ...]] = (
    check_length,
    check_clocks.check_precision,
    check_clocks.check_readings,
    check_moves.check_safety,
    check_moves.check_space,
    check_voice,
    check_moves.check_moves,
    check_moves.check_activity,
    check_moves.check_sides,
    check_wording,
    check_clocks.check_legibility,
)
"""All checks, in the order in which their findings are told."""


def look_over(rehearsal: Rehearsal) -> tuple[Finding, ...]:
    """Return what all checks find, errors first."""
    found = [finding for check in CHECKS for finding in check(rehearsal)]
    return tuple(sorted(found, key=lambda finding: finding.level != "error"))
