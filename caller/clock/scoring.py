"""What a wrong reading is worth offering: a score made of parts, and the same in words."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal, TypeAlias

from caller.clock.hands import smallest_difference_deg
from caller.clock.ladder import Step
from caller.clock.mixups import MIXUPS, MixUp, told_of
from caller.clock.spoken import Manner
from caller.clock.times import ClockTime

Kind: TypeAlias = Literal["mix-up", "near miss", "other time"]
Tests: TypeAlias = Literal["hour hand", "minute hand", "both hands"]

KINDS: tuple[Kind, ...] = ("mix-up", "near miss", "other time")
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
    kind: Kind
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
    return _candidate(time, wrong, "mix-up", parts, why, mixups, told)


def plain_candidate(time: ClockTime, wrong: ClockTime, *, near: bool) -> Candidate:
    """A wrong reading that no mix-up gives, under its honest name."""
    kind: Kind = "near miss" if near else "other time"
    name = "a near miss" if near else "just another time"
    why = [f"{wrong} is {name}: no known mix-up gives it."]
    return _candidate(time, wrong, kind, {kind: _NO_MIXUP[kind]}, why, frozenset())


def _candidate(
    time: ClockTime,
    wrong: ClockTime,
    kind: Kind,
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
