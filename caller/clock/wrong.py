"""Which wrong reading to offer beside the right one, ranked, and why."""

from __future__ import annotations

import random
from bisect import bisect_left, bisect_right
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal, TypeAlias

from caller.clock.hands import smallest_difference_deg
from caller.clock.ladder import Step, step_of, times_at
from caller.clock.mixups import BOTH, MIXUPS, MixUp, wrong_readings
from caller.clock.times import ClockError, ClockTime

Kind: TypeAlias = Literal["mix-up", "near miss", "other time"]
Tests: TypeAlias = Literal["hour hand", "minute hand", "both hands"]

MINUTE_MARK_DEG = 6.0
"""The angle between two minute marks: what a watcher must tell to read single minutes."""

# What the best candidate gets for each part. The weights are our own judgement: what the class has shown
# and what the lesson has not yet asked come first, then whether the answer would tell one mix-up apart.
_WEIGHTS: Mapping[str, float] = MappingProxyType(
    {"documented": 0.2, "step": 0.1, "wording": 0.1, "clear": 0.2, "class": 0.25, "news": 0.1, "fresh": 0.25}
)
_EVIDENCE: Mapping[str, float] = MappingProxyType(
    {"found": 1.0, "found in a copy": 0.9, "from memory": 0.6, "weak, from memory": 0.3, "no source": 0.2}
)
_NEAR_MISS_SCORE = 0.05
_OTHER_TIME_SCORE = 0.01
# Candidates this close to the best are as good, and chance may choose among them.
_AS_GOOD = 0.1


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """
    A wrong reading that may be offered.

    Attributes
    ----------
    mixups : frozenset of str
        Names of all the mix-ups that give this reading; empty for a near miss or another time.
    kind : str
        "mix-up"; "near miss" (no mix-up gives it: the hour beside, or the next time the step can show); or
        "other time" (no mix-up gives it and it is not near either).
    tests : str
        Which hand has to be read to tell it from the right one.
    score : float
        The larger, the better: the sum of `parts`.
    apart_deg : float
        How far the two readings differ on the dial, as `smallest_difference_deg`.
    why : str
        The ranking in words, for teachers.
    """

    time: ClockTime
    mixups: frozenset[str]
    kind: Kind
    tests: Tests
    score: float
    parts: Mapping[str, float]
    apart_deg: float
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Refusal:
    """A wrong reading that a mix-up gives but that must not be offered, and why not."""

    time: ClockTime
    mixups: frozenset[str]
    reason: str


def rank(
    time: ClockTime,
    *,
    step: Step,
    confused: Mapping[str, float] = MappingProxyType({}),
    minimum_difference_deg: float = MINUTE_MARK_DEG,
    used: Sequence[frozenset[str]] = (),
    registers: Collection[str] = BOTH,
) -> tuple[Candidate, ...]:
    """
    All wrong readings that may be offered for a time, best first; never empty.

    Parameters
    ----------
    time : ClockTime
        The right reading. A time finer than the step reads is ranked at the lowest step that can hold it.
    step : Step
        What the class is asked to read.
    confused : mapping of str to float
        For each mix-up that this class has been asked about, how much it shows it, 0 to 1.
        A mix-up that is not named is not known yet, and asking about it is news.
    minimum_difference_deg : float
        The smallest difference between two dials that the last row can tell, up to 180 degrees.
    used : sequence of frozenset of str
        The mix-ups of the wrong readings this lesson has already offered.
    registers : collection of str
        How the choices will be said: "digital", "analogue" or both.

    Returns
    -------
    tuple of Candidate
        Mix-ups first, then near misses, then other times, which no mix-up explains.
    """
    if not 0 <= minimum_difference_deg <= 180:
        raise ClockError(f"Two dials differ by 0 to 180 degrees, not by {minimum_difference_deg:g}.")
    explained = wrong_readings(time)
    candidates = []
    for wrong in _possible(time, step, explained):
        mixups = explained.get(wrong, frozenset())
        if _refusal(time, wrong, step, minimum_difference_deg) is None:
            candidates.append(_candidate(time, wrong, mixups, step, confused, used, registers))
    # The order of the kinds is kept whatever the scores: a mix-up always teaches more than a near miss.
    candidates.sort(key=lambda each: (_KINDS.index(each.kind), -each.score, each.time))
    return tuple(candidates)


def refused(
    time: ClockTime, *, step: Step, minimum_difference_deg: float = MINUTE_MARK_DEG
) -> tuple[Refusal, ...]:
    """The wrong readings that mix-ups give for this time but that `rank` leaves out, each with the reason."""
    found = []
    for wrong, mixups in sorted(wrong_readings(time).items()):
        reason = _refusal(time, wrong, step, minimum_difference_deg)
        if reason is not None:
            found.append(Refusal(time=wrong, mixups=mixups, reason=reason))
    return tuple(found)


def choose(
    time: ClockTime,
    *,
    step: Step,
    count: int = 1,
    seed: random.Random,
    confused: Mapping[str, float] = MappingProxyType({}),
    minimum_difference_deg: float = MINUTE_MARK_DEG,
    used: Sequence[frozenset[str]] = (),
    registers: Collection[str] = BOTH,
) -> tuple[Candidate, ...]:
    """
    Choose the wrong readings to offer, by chance among those that rank nearly alike.

    A second wrong reading is far enough from the first one too, and rather one of another mix-up.
    The other parameters are those of `rank`.

    Raises
    ------
    ClockError
        If so many readings cannot all be told apart at this difference.
    """
    chosen: list[Candidate] = []
    for _ in range(count):
        ranked = [
            each
            for each in rank(
                time,
                step=step,
                confused=confused,
                minimum_difference_deg=minimum_difference_deg,
                used=(*used, *(each.mixups for each in chosen)),
                registers=registers,
            )
            if all(_apart(each.time, other.time, minimum_difference_deg) for other in chosen)
        ]
        if not ranked:
            raise ClockError(
                f"{count + 1} readings that all differ by {minimum_difference_deg:g} degrees "
                f"cannot be found for {time}: offer fewer choices, or use a larger dial."
            )
        best = ranked[0]
        alike = [each for each in ranked if each.kind == best.kind and each.score >= best.score - _AS_GOOD]
        chosen.append(seed.choice(alike))
    return tuple(chosen)


_KINDS: tuple[Kind, ...] = ("mix-up", "near miss", "other time")


def _apart(a: ClockTime, b: ClockTime, minimum_difference_deg: float) -> bool:
    return a != b and smallest_difference_deg(a, b) >= minimum_difference_deg


def _reading_step(time: ClockTime, step: Step) -> Step:
    """The step at which a time is read: the one asked for, or else the lowest that can hold it."""
    return step if time.minute in step.minutes else step_of(time)


def _beside(time: ClockTime, step: Step) -> tuple[ClockTime, ClockTime]:
    """The nearest other times of a step before and after, going round the dial."""
    times = times_at(step)
    before = bisect_left(times, time)
    after = bisect_right(times, time)
    return times[before - 1], times[after % len(times)]


def _possible(
    time: ClockTime, step: Step, explained: Mapping[ClockTime, frozenset[str]]
) -> frozenset[ClockTime]:
    hours = (time.plus(60 * hours) for hours in range(1, 12))
    return frozenset((*explained, *_beside(time, _reading_step(time, step)), *hours))


def _refusal(time: ClockTime, wrong: ClockTime, step: Step, minimum_difference_deg: float) -> str | None:
    """Why this wrong reading must not be offered, or None."""
    if time.minute not in step.minutes and wrong in _beside(time, step):
        return f'{wrong} is {time} as near as the step "{step.name}" reads, so it would be right too.'
    reading_step = _reading_step(time, step)
    if wrong.minute not in reading_step.minutes:
        return f'The step "{reading_step.name}" does not read {wrong}.'
    apart_deg = smallest_difference_deg(time, wrong)
    if apart_deg < minimum_difference_deg:
        return (
            f"The dials of {wrong} and {time} differ by {apart_deg:g} degrees, "
            f"and the last row can tell {minimum_difference_deg:g}."
        )
    return None


def _kind(time: ClockTime, wrong: ClockTime, mixups: frozenset[str], step: Step) -> Kind:
    if mixups:
        return "mix-up"
    near = (time.plus(-60), time.plus(60), *_beside(time, _reading_step(time, step)))
    return "near miss" if wrong in near else "other time"


def _candidate(
    time: ClockTime,
    wrong: ClockTime,
    mixups: frozenset[str],
    step: Step,
    confused: Mapping[str, float],
    used: Sequence[frozenset[str]],
    registers: Collection[str],
) -> Candidate:
    kind = _kind(time, wrong, mixups, step)
    offered = sum(not mixups.isdisjoint(each) for each in used)
    rules = sorted((each for each in MIXUPS if each.name in mixups), key=lambda each: -_EVIDENCE[each.status])
    shown = max((min(1.0, max(0.0, confused.get(name, 0.0))) for name in mixups), default=0.0)
    if kind == "mix-up":
        amounts = {
            "documented": _EVIDENCE[rules[0].status],
            "step": float(any(_reading_step(time, step).code in each.steps for each in rules)),
            "wording": float(any(not each.registers.isdisjoint(registers) for each in rules)),
            "clear": 1 / len(rules),
            "class": shown,
            "news": sum(name not in confused for name in mixups) / len(rules),
            "fresh": 1 / (1 + offered),
        }
        parts = {name: _WEIGHTS[name] * amount for name, amount in amounts.items()}
    else:
        parts = {kind: _NEAR_MISS_SCORE if kind == "near miss" else _OTHER_TIME_SCORE}
    apart_deg = smallest_difference_deg(time, wrong)
    sentences = _sentences(wrong, rules, kind, shown, offered)
    return Candidate(
        time=wrong,
        mixups=mixups,
        kind=kind,
        tests=_tests(time, wrong),
        score=sum(parts.values()),
        parts=MappingProxyType(parts),
        apart_deg=apart_deg,
        why=" ".join((*sentences, f"The dials differ by {apart_deg:g} degrees.")),
    )


def _tests(time: ClockTime, wrong: ClockTime) -> Tests:
    if time.minute == wrong.minute:
        return "hour hand"
    return "minute hand" if time.hour == wrong.hour else "both hands"


def _sentences(
    wrong: ClockTime, rules: Sequence[MixUp], kind: Kind, shown: float, offered: int
) -> Iterator[str]:
    if kind == "near miss":
        yield f"{wrong} is a near miss: no known mix-up gives it."
        return
    if kind == "other time":
        yield f"{wrong} is just another time: no known mix-up gives it."
        return
    best, *more = rules
    yield (
        f"{wrong} comes from one mix-up: {best.title} ({best.source}: {best.status})."
        if not more
        else (
            f"{wrong} comes from {len(rules)} mix-ups that it cannot tell apart: "
            f"{', '.join(each.title for each in rules)} ({best.source}: {best.status})."
        )
    )
    if shown:
        yield f"This class shows it ({shown:.0%})."
    if offered:
        yield (
            f"This lesson has offered it already ({offered} times)."
            if offered > 1
            else ("This lesson has offered it once already.")
        )
