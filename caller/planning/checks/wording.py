"""Wording: the teacher's own words, short enough to be heard once and kept."""

from __future__ import annotations

import re
from collections.abc import Iterator

from caller.planning.checks.finding import Finding
from caller.planning.rehearsal import Rehearsal
from caller.timeline.layout import seconds_of

# Own choices: a reason in the caller's own words never takes longer than ten seconds, and readability guides
# for young children ask for sentences well under twenty words.
_LONGEST_S = 10.0
_MOST_WORDS = 18
_LONGEST_TITLE = 40


def check(rehearsal: Rehearsal) -> Iterator[Finding]:
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
