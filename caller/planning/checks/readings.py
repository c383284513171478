"""Wrong readings: not right as well, not given away, and seen from the last row."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from caller.clock.hands import smallest_difference_deg
from caller.clock.ladder import Step, step
from caller.clock.mixups import wrong_readings
from caller.clock.spoken import Manner
from caller.clock.times import MINUTES_ON_DIAL, ClockTime, DayTime
from caller.clock.wrong import rank, refused
from caller.deciding.circumstances import manners_of
from caller.lesson.model import Round
from caller.planning.checks.finding import Finding
from caller.planning.checks.precision import readable_minutes
from caller.planning.rehearsal import Rehearsal
from caller.questions import question_kind
from caller.questions.kind import Question


@dataclass(frozen=True, slots=True, kw_only=True)
class _Offer:
    """A right reading with the wrong ones beside it, and those of them that the script names itself."""

    where: str
    time: ClockTime
    wrong: tuple[ClockTime, ...]
    own: tuple[ClockTime | DayTime, ...] = ()


def check(rehearsal: Rehearsal) -> Iterator[Finding]:
    """Yield errors for wrong readings that are right too or cannot be seen, advice for those too easy."""
    lesson = rehearsal.lesson
    practice = lesson.practice
    if practice.time is not None and not practice.skip:
        offer = _Offer(where="practice", time=practice.time, wrong=practice.wrong, own=practice.wrong)
        yield from _on_dial(rehearsal, offer)
    for each, about in zip(lesson.rounds, rehearsal.decided.rounds, strict=True):
        question, where = about.question, f"round {about.number}"
        if question_kind(question.kind).read_off_dial:
            wrong = tuple(told.dial for told in question.told_wrong)
            yield from _on_dial(
                rehearsal, _Offer(where=where, time=question.dial, wrong=wrong, own=each.wrong)
            )
        else:
            yield from _own(rehearsal, each, where, question)


def _on_dial(rehearsal: Rehearsal, offer: _Offer) -> Iterator[Finding]:
    reading_step = step(rehearsal.lesson.step)
    least_deg = rehearsal.stage.minimum_difference_deg
    manners = _manners(rehearsal)
    ranked = {
        each.time: each
        for each in rank(offer.time, step=reading_step, manners=manners, minimum_difference_deg=least_deg)
    }
    reasons = {
        each.time: each.reason
        for each in refused(offer.time, step=reading_step, manners=manners, minimum_difference_deg=least_deg)
    }
    for wrong in offer.wrong:
        apart_deg = smallest_difference_deg(offer.time, wrong)
        if _as_near_as_read(offer.time, wrong, reading_step):
            text = f"{wrong} is {offer.time} as near as this step reads, so it is right too."
            yield _error(offer, f"{text} Choose another time.")
        elif apart_deg < least_deg:
            text = (
                f"from the last row {wrong} and {offer.time} look alike: the dials differ by {apart_deg:g}°, "
            )
            yield _error(offer, f"{text}and {least_deg:.1f}° can be told apart. Choose another time.")
        elif wrong in reasons:
            yield _advice(offer, f"{reasons[wrong]} A child would hardly choose it.")
        elif (
            wrong in offer.own
            and (wrong not in ranked or ranked[wrong].kind == "other time")
            # Where the time would be the slip for the wrong one, it is a fair partner too.
            and offer.time not in wrong_readings(wrong, manners)
        ):
            yield _advice(offer, _too_easy(wrong))


def _manners(rehearsal: Rehearsal) -> tuple[Manner, ...]:
    lesson = rehearsal.lesson
    return manners_of(lesson)


def _as_near_as_read(time: ClockTime, wrong: ClockTime, reading_step: Step) -> bool:
    """Tell whether a time that is too fine for the class lies as near to `wrong` as the class reads."""
    apart = (time.minutes - wrong.minutes) % MINUTES_ON_DIAL
    near = min(apart, MINUTES_ON_DIAL - apart) < reading_step.precision_min
    return near and time.minute not in readable_minutes(reading_step.code)


def _own(rehearsal: Rehearsal, each: Round, where: str, question: Question) -> Iterator[Finding]:
    """Yield advice for the script's own wrong answers that no documented mistake gives."""
    tempting = question_kind(question.kind).tempting
    for wrong in each.wrong:
        if not tempting(question, wrong, step(rehearsal.lesson.step)):
            yield _advice(_Offer(where=where, time=question.dial, wrong=()), _too_easy(wrong))


def _too_easy(wrong: ClockTime | DayTime) -> str:
    return f"{wrong} is too easy to rule out: no known mix-up gives it. Leave it out, and one is chosen."


def _error(offer: _Offer, text: str) -> Finding:
    return Finding(level="error", check="readings", where=offer.where, text=text)


def _advice(offer: _Offer, text: str) -> Finding:
    return Finding(level="advice", check="readings", where=offer.where, text=text)
