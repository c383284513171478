"""What questions say that reckon with time: later, earlier, how long; and times and halves of the day."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from types import MappingProxyType

from caller.clock import ClockTime, DayTime
from caller.clock.beyond_dial import elapsed, half, hops
from caller.clock.said_and_shown import GhostDial, ShowReading, TimeJump
from caller.deciding import DecidedLesson, DecidedRound
from caller.languages.phrases import (
    DayReading,
    Fragment,
    HourOfDay,
    LengthOfTime,
    Reading,
    Verbatim,
    WholeSentence,
)
from caller.questions.kind import WrongChoice
from caller.questions.with_time import DAY_PART, EARLIER, HALF_OF_DAY, HOW_LONG, LATER, everyday, of_day
from caller.runsheet import Dial
from caller.runsheet.asking import (
    ABOUT_THE_DIAL,
    Asks,
    Choice,
    QuestionAsked,
    asked_as,
    question_pause,
    readings,
)
from caller.runsheet.sayings import (
    QUESTION_PAUSE,
    REASON_PAUSE,
    SHORT_PAUSE,
    SLOW_PAUSE,
    Draft,
    Saying,
    Shown,
    called,
    length_in_symbols,
    say,
    say_in_both,
)


def question_asked(about: DecidedRound) -> QuestionAsked:
    """Return what a round's question says and shows, whatever its kind."""
    return _ASKED[about.question.kind](about)


def how_it_is_done(decided: DecidedLesson) -> Iterator[Draft]:
    """Yield the calls that reckon once, slowly, with the example's clock: nothing where no round reckons.

    A worked example before the first problem teaches as much in less time (van Loon-Hillen et al. 2010).
    """
    about = decided.reckoned_example
    if about is None:
        return
    asked = question_asked(about)
    question = called((*say_in_both("example.how"), *asked.question))
    yield Draft(kind="question", part="example", sayings=question, board=asked.board)
    board = asked.revealed
    if board.jumps:  # the hands set out from the start
        board = replace(board, dials=(board.dials[0], board.dials[0]))
    why = tuple(replace(saying, pause=SLOW_PAUSE) for saying in asked.reason)
    # A way along the line ends on the answer itself.
    told = () if board.jumps else asked.answer
    yield Draft(kind="reason", part="example", sayings=(*why, *told), board=board)


def _mistaken(about: DecidedRound) -> Iterator[tuple[WrongChoice, str]]:
    """Yield each wrong choice with the mistake that leads to it, where this round tells one."""
    for each in about.question.wrong if about.mixup_told else ():
        if each.mixups:
            yield each, min(each.mixups)


def _moved_on(about: DecidedRound) -> QuestionAsked:
    question = about.question
    start, end, change = question.start or question.dial, question.dial, question.change_minutes
    minutes, dials = LengthOfTime(abs(change)), (Dial(time=start), Dial(time=None))
    asked = Fragment(f"{question.kind}.asked", {"duration": minutes})
    return QuestionAsked(
        question=say_in_both(
            f"{question.kind}.{asked_as(about)}",
            pause=question_pause(about),
            time=Reading(start),
            duration=minutes,
        ),
        choices=readings(question),
        board=Shown(layout="clock", dials=dials, asked=asked),
        revealed=Shown(
            layout="clock",
            dials=(Dial(time=start), Dial(time=end)),
            jumps=hops(start, change),
            back=change < 0,
        ),
        answer=say_in_both(f"{question.kind}.answer", duration=minutes, time=Reading(end)),
        brief=say(f"answer.short-{about.side}", pause=SHORT_PAUSE),
        reason=(
            *_way(start, change),
            *(
                say(
                    "elapsed.tempting",
                    time=Reading(each.dial),
                    mixup=Fragment(f"elapsed.{mistake}"),
                    cue=GhostDial(each.dial),
                    pause=REASON_PAUSE,
                )
                for each, mistake in _mistaken(about)
            ),
        ),
    )


def _way(start: ClockTime, change: int) -> Iterator[Saying]:
    """Yield how to get there: to the hour first, then whole hours, then what is left."""
    way, walked = "" if change > 0 else "back-", hops(start, change)
    keys = (
        ["within"] if len(walked) == 1 and walked[0].kind == "rest" else ["to-hour", "from-hour", "from-hour"]
    )
    for number, (key, hop) in enumerate(zip(keys, walked, strict=False)):
        yield say(
            f"elapsed.{way}{key}",
            duration=LengthOfTime(hop.minutes),
            time=Reading(hop.end),
            cue=TimeJump(hop.start, hop.minutes if change > 0 else -hop.minutes, number),
            pause=REASON_PAUSE,
        )


def _how_long(about: DecidedRound) -> QuestionAsked:
    question = about.question
    start, end = question.start or question.dial, question.dial
    minutes = elapsed(start, end)
    lengths = (minutes, *(elapsed(start, each.dial) for each in question.wrong))
    board = Shown(
        layout="clock", dials=(Dial(time=start), Dial(time=end)), asked=WholeSentence("how-long.question")
    )
    sayings = (
        *say_in_both("how-long.from", time=Reading(start)),
        *say_in_both("how-long.to", time=Reading(end)),
        *say_in_both("how-long.question", pause=QUESTION_PAUSE),
    )
    if about.asked_before:
        sayings = say_in_both(
            "how-long.again", pause=question_pause(about), start=Reading(start), end=Reading(end)
        )
    return QuestionAsked(
        question=sayings,
        choices=tuple(_length(each) for each in lengths),
        board=board,
        revealed=replace(board, asked=None, jumps=hops(start, minutes)),
        answer=say_in_both("how-long.answer", duration=LengthOfTime(minutes)),
        brief=say(f"answer.short-{about.side}", pause=SHORT_PAUSE),
        reason=(
            *_hops_told(start, minutes),
            *(
                say(
                    "how-long.tempting",
                    duration=LengthOfTime(elapsed(start, each.dial)),
                    mixup=Fragment(f"how-long.{mistake}"),
                    pause=REASON_PAUSE,
                )
                for each, mistake in _mistaken(about)
            ),
        ),
    )


def _hops_told(start: ClockTime, minutes: int) -> Iterator[Saying]:
    """Yield how long it is from `start`: to the hour, whole hours, the rest, and all of it together."""
    walked = hops(start, minutes)
    for index, hop in enumerate(walked):
        yield say(
            "how-long.next-hop" if index else "how-long.hop",
            time=Reading(hop.end),
            duration=LengthOfTime(hop.minutes),
            cue=TimeJump(hop.start, hop.minutes, index),
            pause=REASON_PAUSE,
        )
    if len(walked) > 1:
        yield say("how-long.together", duration=LengthOfTime(minutes), pause=REASON_PAUSE)


def _length(minutes: int) -> Choice:
    said = LengthOfTime(minutes)
    return Choice(numeral=Verbatim(length_in_symbols(minutes)), label=said, again=said)


def _day_part(about: DecidedRound) -> QuestionAsked:
    time, *others = (of_day(each) for each in (about.question.time, *(w.time for w in about.question.wrong)))
    board = Shown(layout="clock", dials=(Dial(time=time.dial),), asked=DayReading(time), day_time=time)
    answer = DayReading(time, on_24_hours=True)
    return QuestionAsked(
        question=say_in_both(
            f"day-part.{asked_as(about)}", pause=question_pause(about), time=DayReading(time)
        ),
        choices=tuple(_on_24_hours(each) for each in (time, *others)),
        board=board,
        revealed=board,
        answer=say_in_both("day-part.answer", time=answer),
        brief=say("day-part.answer", time=answer, pause=SHORT_PAUSE),
        reason=(
            Saying(words=HourOfDay(time), cue=ShowReading(time.dial), pause=REASON_PAUSE),
            *(
                say(
                    "day-part.tempting",
                    time=DayReading(of_day(each.time), on_24_hours=True),
                    mixup=Fragment(f"day-part.{mistake}"),
                    cue=GhostDial(each.dial) if each.dial != time.dial else None,
                    pause=REASON_PAUSE,
                )
                for each, mistake in _mistaken(about)
            ),
        ),
    )


def _on_24_hours(time: DayTime) -> Choice:
    said = DayReading(time, on_24_hours=True)
    return Choice(numeral=Verbatim(str(time)), label=said, again=said)


def _half_of_day(about: DecidedRound) -> QuestionAsked:
    """The sky would give it away, so it comes with the answer."""
    time, *others = (of_day(each) for each in (about.question.time, *(w.time for w in about.question.wrong)))
    happens = f"everyday.{everyday(time)}"
    board = Shown(layout="clock", dials=(Dial(time=time.dial),), asked=WholeSentence(happens))
    key = "half-of-day.question" + ("-noon" if time.dial.minutes == 0 else "")
    return QuestionAsked(
        question=(
            *say_in_both("half-of-day.shown", time=Reading(time.dial)),
            *say_in_both(happens, pause=question_pause(about)),
            *(() if about.asked_before else say_in_both(key, pause=QUESTION_PAUSE)),  # the choices say it
        ),
        choices=tuple(_half_named(each) for each in (time, *others)),
        board=board,
        revealed=replace(board, day_time=time),
        answer=say_in_both("half-of-day.answer", time=DayReading(time)),
        brief=say("half-of-day.answer", time=DayReading(time), pause=SHORT_PAUSE),
        reason=(say("half-of-day.why", half=_half(time), cue=ShowReading(time.dial), pause=REASON_PAUSE),),
    )


def _half_named(time: DayTime) -> Choice:
    label, key = _half(time), _half_key(time)
    return Choice(numeral=Fragment(key), label=label, again=label, words=Fragment(f"{key}-words"))


def _half_key(time: DayTime) -> str:
    """Return the half of the day by name; noon and midnight are neither a.m. nor p.m. (NIST, Time FAQ)."""
    return "half-of-day." + {0: "midnight", 720: "noon"}.get(time.minutes, half(time))


def _half(time: DayTime) -> Fragment:
    key = _half_key(time)
    return Fragment(f"{key}-label", spoken_key=f"{key}-spoken")


_ASKED: Mapping[str, Asks] = MappingProxyType(
    {
        **ABOUT_THE_DIAL,
        LATER.code: _moved_on,
        EARLIER.code: _moved_on,
        HOW_LONG.code: _how_long,
        DAY_PART.code: _day_part,
        HALF_OF_DAY.code: _half_of_day,
    }
)
