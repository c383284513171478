"""Which wrong reading to offer beside the right one, ranked by a score made of parts, and why."""

from __future__ import annotations

import random
from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal, TypeAlias

from caller.clock import ClockError, ClockTime, smallest_difference_deg
from caller.clock.fair import drawn, partners
from caller.clock.ladder import Step, step_of, times_at
from caller.clock.mixups import MIXUPS, MixUp, told_of, wrong_readings
from caller.clock.said_and_shown import Manner, Manners

WrongKind: TypeAlias = Literal["mix-up", "near miss", "other time"]
Tests: TypeAlias = Literal["hour hand", "minute hand", "both hands"]

KINDS: tuple[WrongKind, ...] = ("mix-up", "near miss", "other time")
"""What teaches most first."""

# What the best candidate gets for each part. The weights are our own judgement: what the class has shown
# and what the lesson has not yet asked come first, then whether the answer would tell one mix-up apart.
_WEIGHTS: Mapping[str, float] = MappingProxyType(
    {"class": 0.2, "fresh": 0.2, "clear": 0.15, "documented": 0.15, "step": 0.1, "told": 0.1, "news": 0.1}
)
_EVIDENCE: Mapping[str, float] = MappingProxyType(
    {"found": 1.0, "found in a copy": 0.9, "from memory": 0.6, "weak, from memory": 0.3, "no source": 0.2}
)
_NO_MIXUP: Mapping[str, float] = MappingProxyType({"near miss": 0.05, "other time": 0.01})


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """
    A wrong reading that may be offered.

    Attributes
    ----------
    mixups : frozenset of str
        Names of all the mix-ups that give this reading; empty for a near miss or another time.
    told : str or None
        The mix-up of which it may be said why it was tempting; None where no sentence about it is true.
    told_in : str or None
        The manner of speaking in which that is true.
    kind : str
        "mix-up"; "near miss" (no mix-up gives it: the hour beside, or the next time the step can show); or
        "other time" (no mix-up gives it and it is not near either).
    tests : str
        Which hand has to be read to tell it from the right one.
    score : float
        0 to 1, the larger the better: the sum of `parts`. For a mix-up they are "class" (how much this class
        shows it), "fresh" (less each time this lesson has offered it), "clear" (fewer mix-ups explain it),
        "documented" (how well it is known from research), "step" (it matters at this step), "told" (there is
        a true sentence for it) and "news" (the share of its mix-ups this class was not asked about).
    apart_deg : float
        How far the two readings differ on the dial, as `smallest_difference_deg`.
    why : str
        The ranking in words, for teachers.
    """

    time: ClockTime
    mixups: frozenset[str]
    told: str | None
    told_in: Manner | None
    kind: WrongKind
    tests: Tests
    score: float
    parts: Mapping[str, float]
    apart_deg: float
    why: str


def mixup_candidate(
    time: ClockTime,
    wrong: ClockTime,
    mixups: frozenset[str],
    *,
    step: Step,
    confused: Mapping[str, float],
    used: Sequence[frozenset[str]],
    manners: Sequence[Manner],
) -> Candidate:
    """Score a wrong reading that mix-ups give; the parameters are those of `caller.clock.wrong.rank`."""
    rules = [each for each in MIXUPS if each.name in mixups]
    rules.sort(key=lambda each: -_EVIDENCE[each.status])
    offered = sum(not mixups.isdisjoint(each) for each in used)
    told = told_of(time, wrong, manners)
    amounts = {
        "class": max(min(1.0, max(0.0, confused.get(name, 0.0))) for name in mixups),
        "fresh": 1 / (1 + offered),
        "clear": 1 / len(rules),
        "documented": _EVIDENCE[rules[0].status],
        "step": float(any(step.code in each.steps for each in rules)),
        "told": float(told is not None),
        "news": sum(name not in confused for name in mixups) / len(rules),
    }
    parts = {name: _WEIGHTS[name] * amount for name, amount in amounts.items()}
    why = _why_mixup(wrong, rules, amounts, offered)
    return _scored(time, wrong, "mix-up", parts, why, mixups, told)


def plain_candidate(time: ClockTime, wrong: ClockTime, *, near: bool) -> Candidate:
    """A wrong reading that no mix-up gives, under its honest name."""
    kind: WrongKind = "near miss" if near else "other time"
    name = "a near miss" if near else "just another time"
    why = [f"{wrong} is {name}: no known mix-up gives it."]
    return _scored(time, wrong, kind, {kind: _NO_MIXUP[kind]}, why, frozenset())


def _scored(
    time: ClockTime,
    wrong: ClockTime,
    kind: WrongKind,
    parts: Mapping[str, float],
    why: Iterable[str],
    mixups: frozenset[str],
    told: tuple[str, Manner] | None = None,
) -> Candidate:
    apart_deg = smallest_difference_deg(time, wrong)
    return Candidate(
        time=wrong,
        mixups=mixups,
        told=told[0] if told else None,
        told_in=told[1] if told else None,
        kind=kind,
        tests=_tests(time, wrong),
        score=sum(parts.values()),
        parts=MappingProxyType(parts),
        apart_deg=apart_deg,
        why=" ".join((*why, f"The dials differ by {apart_deg:g} degrees.")),
    )


def _tests(time: ClockTime, wrong: ClockTime) -> Tests:
    if time.minute == wrong.minute:
        return "hour hand"
    return "minute hand" if time.hour == wrong.hour else "both hands"


def _why_mixup(
    wrong: ClockTime, rules: Sequence[MixUp], amounts: Mapping[str, float], offered: int
) -> Iterator[str]:
    known = f"({rules[0].source}: {rules[0].status})"
    titles = ", ".join(each.title for each in rules)
    if len(rules) == 1:
        yield f"{wrong} comes from one mix-up: {titles} {known}."
    else:
        yield f"{wrong} comes from {len(rules)} mix-ups that it cannot tell apart: {titles} {known}."
    if amounts["class"]:
        yield f"This class shows it ({amounts['class']:.0%})."
    if not amounts["step"]:
        yield "It matters more at other steps."
    if not amounts["told"]:
        yield "No sentence about it would be true of this dial, so none is said."
    if offered == 1:
        yield "This lesson has offered it once already."
    elif offered:
        yield f"This lesson has offered it already ({offered} times)."


__all__ = ["MINUTE_MARK_DEG", "Candidate", "Refusal", "choose", "rank", "refused"]

MINUTE_MARK_DEG = 6.0
"""The angle between two minute marks: what a watcher must tell to read single minutes."""


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
    manners: Sequence[Manner],
) -> tuple[Candidate, ...]:
    """
    All wrong readings that may be offered for a time, best first; never empty.

    Every documented slip is among them, the hours beside in both directions, all other hours with the same
    minutes, and the other fives of the hour: enough for a chooser to let no surface feature of a lesson's
    choices tell the right one. Each says which mix-up may be told of it (`told`), or that none may.

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
    manners : sequence of str
        How the choices will be said, the first one first; it decides what is a slip and what may be told.

    Returns
    -------
    tuple of Candidate
        Mix-ups first, then near misses (the hours beside and the next times of the step), then other times,
        which no mix-up explains.
    """
    if not 0 <= minimum_difference_deg <= 180:
        raise ClockError(f"Two dials differ by 0 to 180 degrees, not by {minimum_difference_deg:g}.")
    reading_step = _reading_step(time, step)
    near = _near(time, reading_step)
    beside = partners(reading_step, tuple(manners), minimum_difference_deg).get(time, {})
    candidates = [
        _candidate(time, wrong, step=reading_step, confused=confused, used=used, manners=manners)
        for wrong in {*wrong_readings(time, manners), *near, *beside, *_others(time, reading_step)}
        if _refusal(time, wrong, step, minimum_difference_deg) is None
    ]
    # The order of the kinds is kept whatever the scores: a mix-up always teaches more than a near miss.
    candidates.sort(key=lambda each: (KINDS.index(each.kind), -each.score, each.time))
    return tuple(candidates)


def refused(
    time: ClockTime, *, step: Step, manners: Manners, minimum_difference_deg: float = MINUTE_MARK_DEG
) -> tuple[Refusal, ...]:
    """The wrong readings that mix-ups give for this time but that `rank` leaves out, each with the reason."""
    found = []
    for wrong, mixups in sorted(wrong_readings(time, manners).items()):
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
    manners: Sequence[Manner],
) -> tuple[Candidate, ...]:
    """
    Choose the wrong readings to offer, by chance and so that nothing but the clock tells the right one.

    Two readings stand together as often whichever of them the clock shows (`caller.clock.fair`): documented
    slips for the time, and times for which it would be the slip itself. A second wrong reading may stand
    beside the right one or beside the first wrong one, and is told apart from both. What the lesson has
    offered is offered less again, and what the class is known to mix up more. The other parameters are those
    of `rank`.

    Raises
    ------
    ClockError
        If so many readings cannot all be told apart at this difference.
    """
    explained = wrong_readings(time, manners)

    def fits(wrong: ClockTime, chosen: Sequence[ClockTime]) -> bool:
        return _refusal(time, wrong, step, minimum_difference_deg) is None and all(
            _apart(wrong, other, minimum_difference_deg) for other in chosen
        )

    def wanted(wrong: ClockTime) -> float:
        mixups = explained.get(wrong, frozenset())
        shown = max((confused.get(name, 0.0) for name in mixups), default=0.0)
        return float((1.0 + shown) * 0.5 ** sum(bool(mixups & names) for names in used))

    reading_step = _reading_step(time, step)
    beside = partners(reading_step, tuple(manners), minimum_difference_deg)
    others = {*explained, *_near(time, reading_step), *_others(time, reading_step)}
    try:
        found = drawn(time, beside, count, seed, fits=fits, wanted=wanted, others=others)
    except ClockError:
        raise ClockError(
            f"{count + 1} readings that all differ by {minimum_difference_deg:g} degrees "
            f"cannot be found for {time}: offer fewer choices, or use a larger dial."
        ) from None
    return tuple(
        _candidate(time, wrong, step=reading_step, confused=confused, used=used, manners=manners)
        for wrong in found
    )


def _candidate(
    time: ClockTime,
    wrong: ClockTime,
    *,
    step: Step,
    confused: Mapping[str, float],
    used: Sequence[frozenset[str]],
    manners: Sequence[Manner],
) -> Candidate:
    """What a wrong reading is worth offering."""
    mixups = wrong_readings(time, manners).get(wrong)
    if mixups is None:
        return plain_candidate(time, wrong, near=wrong in _near(time, step))
    return mixup_candidate(time, wrong, mixups, step=step, confused=confused, used=used, manners=manners)


def _near(time: ClockTime, step: Step) -> frozenset[ClockTime]:
    """The hours beside and the next times of the step."""
    return frozenset({*_beside(time, step), time.plus(-60), time.plus(60)})


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


def _others(time: ClockTime, step: Step) -> Iterator[ClockTime]:
    """All other hours with the same minutes, and the other fives of this hour that the step reads."""
    yield from (time.plus(60 * hours) for hours in range(1, 12))
    for minute in step.minutes:
        if minute % 5 == 0 and minute != time.minute:
            yield ClockTime(time.hour, minute)


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
