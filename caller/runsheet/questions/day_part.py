"""Part of the day: a time is told with its part of the day, and the 24-hour clock is asked for."""

from __future__ import annotations

from caller.clock.cues import GhostDial, ShowReading
from caller.clock.dayparts import wrong_day_times
from caller.clock.times import DayTime
from caller.runsheet.model import Board, Dial, Line
from caller.runsheet.questions.base import Ask, Asked, Choice
from caller.runsheet.talk import QUESTION_PAUSE, REASON_PAUSE, day_digital, day_part, number_word, part


def ask_day_part(ask: Ask) -> Asked:
    """Return the question "what does a 24-hour clock say?"."""
    talk = ask.talk
    # A script's "4:40" without am or pm is taken as the 24-hour clock has it: early in the morning.
    time = ask.time if isinstance(ask.time, DayTime) else DayTime(ask.time.hour, ask.time.minute)
    wrong = tuple(_choice(each, mixups) for each, mixups in _wrong(ask, time))
    board = Board(
        layout="clock",
        dials=(Dial(time=time.dial),),
        asked=talk.words(day_part(time)),
        day_time=time,
    )
    return Asked(
        question=talk.main("day-part.question", pause=QUESTION_PAUSE, time=day_part(time)),
        choices=(_choice(time), *wrong),
        board=board,
        revealed=board,
        answer=talk.main("day-part.answer", time=day_digital(time)),
        reason=(_why(ask, time), *_tempting(ask, time)),
        time=time.dial,
    )


def _choice(time: DayTime, mixups: frozenset[str] = frozenset()) -> Choice:
    return Choice(
        numeral=str(time), label=day_digital(time), again=day_digital(time), time=time.dial, mixups=mixups
    )


def _wrong(ask: Ask, time: DayTime) -> list[tuple[DayTime, frozenset[str]]]:
    """Return wrong times of day: the script's own, then those that a documented mistake gives."""
    mistakes = wrong_day_times(time)
    own = [each if isinstance(each, DayTime) else DayTime(each.hour, each.minute) for each in ask.wrong]
    # Ten added in place of twelve says most about how the class counts, so it goes first where there is one.
    rest = sorted((each for each in mistakes if each not in own), key=lambda each: min(mistakes[each]))
    neighbours = [time.plus(60), time.plus(-60)]
    wrong = [*own, *rest, *(each for each in neighbours if each not in {*own, *rest})]
    return [(each, mistakes.get(each, frozenset())) for each in wrong[: ask.choices - 1]]


def _why(ask: Ask, time: DayTime) -> Line:
    """Return how the hour is found."""
    if time.hour in (0, 12):
        key = "midnight" if time.hour == 0 else "noon"
        return ask.talk.line(f"day-part.{key}", cue=ShowReading(time.dial), pause=REASON_PAUSE)
    if time.hour < 12:
        return ask.talk.line(
            "day-part.morning", hour=number_word(time.hour), cue=ShowReading(time.dial), pause=REASON_PAUSE
        )
    return ask.talk.line(
        "day-part.afternoon",
        dial=number_word(time.hour - 12),
        hour=number_word(time.hour),
        cue=ShowReading(time.dial),
        pause=REASON_PAUSE,
    )


def _tempting(ask: Ask, time: DayTime) -> tuple[Line, ...]:
    """Return the mistake behind each wrong time that has one."""
    return tuple(
        ask.talk.line(
            "day-part.tempting",
            time=day_digital(each),
            mixup=part(f"day-part.{min(mixups)}"),
            cue=GhostDial(each.dial) if each.dial != time.dial else None,
            pause=REASON_PAUSE,
        )
        for each, mixups in _wrong(ask, time)
        if mixups
    )
