"""Activity: at least half of the time movement at a brisk pace, or why not; short bouts, few landings."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from caller.moves.dose import GUIDELINE_SHARE
from caller.moves.uses import LONGEST_BOUT_S, MOST_LANDINGS
from caller.planning.checks.finding import Finding
from caller.planning.dosage import activity_of
from caller.planning.pace import short_of_pace, slowed_by, why_slow, why_still
from caller.planning.rehearsal import Rehearsal

LONGEST_BURST_S: Final = 90.0
"""Bouts that follow one another without a break: our own judgement, several of the longest bout."""


def check(rehearsal: Rehearsal) -> Iterator[Finding]:
    """Yield advice for a lesson that stands too much or is slow, for long bouts, and for many landings."""
    yield from _share(rehearsal)
    if short := short_of_pace(rehearsal.lesson, rehearsal.layouts):
        text = f"{short}. {why_slow(rehearsal.lesson, rehearsal.run_sheet, rehearsal.layouts)}"
        yield Finding(level="advice", check="activity", text=text)
    decided, dose = rehearsal.decided, rehearsal.harder
    for each in decided.warm_up:
        if each.seconds > LONGEST_BOUT_S:
            name = each.move.name().capitalize()
            text = f"{name} for {each.seconds:.0f} s is long. Name more moves, or give it fewer seconds."
            yield Finding(level="advice", check="activity", where="warm-up", text=text)
            break
    if dose.longest_effort_s > LONGEST_BURST_S:
        text = f"{dose.longest_effort_s:.0f} s of effort without a rest are long for children."
        yield Finding(level="advice", check="activity", text=text)
    if dose.jumps > MOST_LANDINGS:
        text = (
            f"a child who always has the jumping move lands {dose.jumps} times. "
            f"Exchange some jumps; {MOST_LANDINGS} landings a lesson are plenty."
        )
        yield Finding(level="advice", check="activity", text=text)


def _share(rehearsal: Rehearsal) -> Iterator[Finding]:
    lesson, dose = rehearsal.lesson, rehearsal.gentler
    if dose.mvpa_share >= GUIDELINE_SHARE:
        return
    told = f"{dose.mvpa_share:.0%} of the lesson calls for moderate or vigorous movement"
    if lesson.seated:
        text = f"{told}: seated moves are too light to count. That is how it is for a class on chairs."
    else:
        found = activity_of(rehearsal.layouts, dose, len(lesson.rounds), age_y=lesson.age)
        dearest, seconds = next(iter(found.costs_s.items()))
        why = f" {why_still(lesson) or slowed_by(lesson, rehearsal.run_sheet)}".rstrip()
        text = (
            f"{told}, and half is the goal. Most time goes to {dearest} ({seconds:.0f} s).{why} "
            "More rounds, fewer own words or a longer warm-up would help."
        )
    yield Finding(level="advice", check="activity", text=text)
