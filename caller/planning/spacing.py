"""When a skill comes back: at expanding intervals, over a term and within one lesson."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final

from caller.clock.ladder import STEP_CODES

LESSONS_UNTIL_RETURN: Final = (1, 2, 4, 8, 16)
"""A skill comes back so many lessons after its last lesson, then after its last return.

Doubling boxes that count sessions: Leitner 1972 (from memory). Space practice over weeks and months: IES
Practice Guide NCER 2007-2004 (from memory). Expanding gaps keep recall higher on the way, for the same final
test: Kang, Lindsey, Mozer & Pashler 2014, Psychon. Bull. Rev. (found); for children's generalisation see
Vlach, Sandhofer & Bjork 2014, J. Exp. Child Psychol. 123:129-137. None of it is about clocks: a default to
override.
"""

SOURCES: Final = (
    "Leitner 1972 (doubling boxes, counted in sessions; from memory)",
    "Cepeda et al. 2009, Experimental Psychology 56(4):236-246 (a gap between sessions helps recall)",
    "Kang, Lindsey, Mozer & Pashler 2014, Psychonomic Bulletin & Review (growing gaps keep more in mind)",
)

WELL_KNOWN: Final = 0.8
"""About 80 % right before moving on: Rosenshine 2012, American Educator 36(1), from memory."""

_RETURN_SHARE: Final = 0.3  # of a lesson's rounds; the rest is what the lesson is about


def due_after(lessons_since: Mapping[str, tuple[int, int]]) -> list[str]:
    """Return the steps that are due, the most overdue first.

    Parameters
    ----------
    lessons_since
        For each step met before: lessons since it was last met, and how often it has come back already.
    """
    overdue = {
        code: since - LESSONS_UNTIL_RETURN[min(returns, len(LESSONS_UNTIL_RETURN) - 1)]
        for code, (since, returns) in lessons_since.items()
    }
    return sorted(
        (code for code, lessons in overdue.items() if lessons >= 0),
        key=lambda code: (-overdue[code], -STEP_CODES.index(code)),
    )


def steps_to_return_to(focus: str, known: Mapping[str, float]) -> list[str]:
    """Return the steps below `focus`, the one in most need first.

    That is the least known of those that the class has shown; where nothing is known, the nearest below.
    """
    below = STEP_CODES[: STEP_CODES.index(focus)]
    return sorted(below, key=lambda code: (known.get(code, WELL_KNOWN), -below.index(code)))


def return_places(rounds: int) -> list[int]:
    """Return which rounds, from 0, go back to an earlier step: gaps grow, and the last round is one."""
    if rounds < 3:
        return []
    wanted = max(1, round(_RETURN_SHARE * rounds))
    places, at, gap = [rounds - 1], 1, 2
    while len(places) < wanted and at < rounds - 2:
        places.append(at)
        at, gap = at + gap, gap + 1
    return sorted(places)


def shared_out(codes: Sequence[str], count: int) -> list[str]:
    """Return `count` steps to go back to, from those in need; the first comes most often."""
    if not codes:
        return []
    some = codes[: max(1, (2 * count + 2) // 3)]
    return [some[index % len(some)] for index in range(count)]
