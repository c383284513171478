"""Later and earlier: what time it is, or was, so many minutes from the clock that is shown."""

from __future__ import annotations

from caller.clock.cues import GhostDial, ShowReading
from caller.clock.elapsed import wrong_ends
from caller.clock.times import ClockTime, DayTime
from caller.runsheet.model import Board, Dial, Line
from caller.runsheet.questions.base import Ask, Asked, Choice, reading_choice, wrong_readings
from caller.runsheet.talk import QUESTION_PAUSE, REASON_PAUSE, duration, part


def ask_elapsed(ask: Ask) -> Asked:
    """Return the question "what time is it so much later?" (or earlier)."""
    talk, start = ask.talk, ask.dial
    change = ask.change_minutes if ask.kind == "later" else -ask.change_minutes
    end = start.plus(change)
    wrong = tuple(reading_choice(talk, each, mixups) for each, mixups in _wrong(ask, start, change))
    asked = talk.first.part(f"{ask.kind}.asked", duration=duration(abs(change))(talk.first)).written
    return Asked(
        question=talk.main(
            f"{ask.kind}.question",
            pause=QUESTION_PAUSE,
            time=talk.time(start),
            duration=duration(abs(change)),
        ),
        choices=(reading_choice(talk, end), *wrong),
        board=Board(layout="clock", dials=(Dial(time=start), Dial(time=None)), asked=asked),
        revealed=Board(layout="clock", dials=(Dial(time=start), Dial(time=end)), asked=asked),
        answer=talk.main(f"{ask.kind}.answer", duration=duration(abs(change)), time=talk.time(end)),
        reason=(*_way(ask, start, change), *_tempting(ask, wrong)),
        time=end,
    )


def _wrong(ask: Ask, start: ClockTime, change: int) -> tuple[tuple[ClockTime, frozenset[str]], ...]:
    """Return wrong ends: the script's own, those that a documented mistake gives, then misread dials."""
    mistakes = wrong_ends(start, change)
    own = [each.dial if isinstance(each, DayTime) else each for each in ask.wrong]
    rest = [each for each in mistakes if each not in own]
    ask.chance.shuffle(rest)
    wrong = [*own, *rest][: ask.choices - 1]
    if len(wrong) < ask.choices - 1:
        misread = wrong_readings(ask, start.plus(change))
        wrong += [each for each, _ in misread if each not in wrong][: ask.choices - 1 - len(wrong)]
    return tuple((each, mistakes.get(each, frozenset())) for each in wrong)


def _way(ask: Ask, start: ClockTime, change: int) -> tuple[Line, ...]:
    """Return how to get there: to the hour first, then what is left."""
    talk, end, prefix = ask.talk, start.plus(change), "" if change > 0 else "back-"
    to_hour = (60 - start.minute) if change > 0 else start.minute
    left = abs(change) - to_hour
    if not start.minute or left <= 0:
        return (
            talk.line(
                f"elapsed.{prefix}within",
                duration=duration(abs(change)),
                time=talk.time(end),
                cue=ShowReading(end),
                pause=REASON_PAUSE,
            ),
        )
    hour = start.plus(to_hour if change > 0 else -to_hour)
    return tuple(
        talk.line(
            f"elapsed.{prefix}{key}",
            duration=duration(minutes),
            time=talk.time(reached),
            cue=ShowReading(end) if reached == end else None,
            pause=REASON_PAUSE,
        )
        for key, minutes, reached in (("to-hour", to_hour, hour), ("from-hour", left, end))
    )


def _tempting(ask: Ask, wrong: tuple[Choice, ...]) -> tuple[Line, ...]:
    """Return the mistake behind each wrong end that has one."""
    return tuple(
        ask.talk.line(
            "elapsed.tempting",
            time=ask.talk.time(each.time),
            mixup=part(f"elapsed.{min(each.mixups)}"),
            cue=GhostDial(each.time),
            pause=REASON_PAUSE,
        )
        for each in wrong
        if each.mixups
    )
