"""What was gathered for teachers: what a child does who mixes up, and what a step prepares for."""

from __future__ import annotations

import textwrap
from collections.abc import Collection, Iterator, Sequence

from caller.clock.ladder import Status, Step, step
from caller.clock.mixups import MIXUPS
from caller.runsheet import RunSheet

_COLUMNS = 96
_KNOWN: dict[Status, str] = {
    "found": "",
    "found in a copy": "",
    "from memory": "not looked up",
    "weak, from memory": "not looked up, and not sure",
    "no source": "common practice",
}


def hanging(head: str, words: str) -> Sequence[str]:
    """Return words as lines that stand beside `head`."""
    return textwrap.wrap(words, _COLUMNS, initial_indent=head, subsequent_indent=" " * len(head))


def what_a_child_does(mixups: Collection[str]) -> str:
    """Return the explanations of mix-ups, the best documented first; nothing where there is none."""
    return " Or: ".join(each.explanation for each in MIXUPS if each.name in mixups)


def prepares_for(each: Step) -> Iterator[str]:
    """Yield what curricula ask for at a step, one line each."""
    for standard in each.standards:
        known = f" ({_KNOWN[standard.status]})" if _KNOWN[standard.status] else ""
        yield f"{standard.body}, {standard.code}, ages {standard.age}: {standard.says}{known}"


def about_lesson(run_sheet: RunSheet) -> Iterator[str]:
    """Yield what stands behind a lesson: each wrong reading with what a child does, and the curricula."""
    rounds = [facts for facts in run_sheet.rounds if any(facts.mixups)]
    if rounds:
        yield "Behind the wrong readings"
    for facts in rounds:
        for wrong, mixups in zip(facts.wrong, facts.mixups, strict=True):
            if told := what_a_child_does(mixups):
                where = f"Round {facts.round}" if facts.round else "Try-out"
                yield from hanging(f"  {where}: ", f"{facts.time} read as {wrong}. {told}")
    for code in dict.fromkeys(facts.step for facts in run_sheet.rounds):
        yield ""
        yield f"What “{step(code).name}” prepares for"
        for line in prepares_for(step(code)):
            yield from hanging("  - ", line)
