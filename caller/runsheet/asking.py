"""What each kind of question says and shows; nothing is chosen here."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import partial
from types import MappingProxyType

from caller.clock import ClockTime, DayTime
from caller.clock.beyond_dial import hops
from caller.clock.said_and_shown import GhostDial, ShowReading, TimeJump
from caller.deciding import DecidedRound
from caller.languages.phrases import same
from caller.languages.reasons import reason, why_wrong
from caller.questions.kind import Question
from caller.questions.on_the_dial import BE_THE_CLOCK, FIND, IS_IT_SO, READ
from caller.questions.with_time import DAY_PART, EARLIER, LATER
from caller.runsheet import Board, Dial, Line, LineJump
from caller.runsheet.talk import (
    QUESTION_PAUSE,
    REASON_PAUSE,
    SHORT_PAUSE,
    Setting,
    Slot,
    Talk,
    day_digital,
    day_part,
    digital,
    duration,
    number_word,
    part,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class ChoiceWords:
    """One choice as it is said and shown, before it has a lane.

    Attributes
    ----------
    label, again
        How it is read aloud, first and the second time; None where it is named by its lane.
    words
        As shown under the numeral; the label's words if empty.
    dial
        The choice itself, where it is a dial.
    """

    numeral: str
    label: Slot | None
    again: Slot | None = None
    words: str = ""
    dial: ClockTime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class QuestionWords:
    """A question as it is said and shown.

    Attributes
    ----------
    choices
        The right one first; none where there is no wrong answer.
    board, revealed
        The screen while it is asked, and once the answer is out, without lanes.
    brief
        The answer in a word, where the reason ends on the time; none where there is no such word.
    """

    question: tuple[Line, ...]
    choices: tuple[ChoiceWords, ...]
    board: Board
    revealed: Board
    answer: tuple[Line, ...]
    reason: tuple[Line, ...]
    brief: Line | None = None


def words_of(setting: Setting, about: DecidedRound) -> QuestionWords:
    """Return what a round's question says and shows."""
    return _WORDS[about.question.kind](setting, about)


def asked_as(about: DecidedRound) -> str:
    """Return which sentence asks: the whole question, or once it is known the short one."""
    return "again" if about.asked_before else "question"


def question_pause(about: DecidedRound) -> float:
    """Return how long a question is left to sink in; one that is known need not."""
    return SHORT_PAUSE if about.asked_before else QUESTION_PAUSE


def reason_lines(setting: Setting, time: ClockTime, *, pause: float = REASON_PAUSE) -> tuple[Line, ...]:
    """Return why it is this time, read off the two hands."""
    talk = setting.talk
    clauses = reason(
        time,
        step=setting.step,
        language=talk.first.language,
        register=talk.register,
        numerals=talk.numerals,
    )
    return tuple(talk.spoken(clause, pause=pause, cue=clause.cue) for clause in clauses)


def _again(setting: Setting, about: DecidedRound, key: str, time: ClockTime) -> tuple[Line, ...]:
    """Return a question said once more, in the other wording; nothing unless that is asked for."""
    if not about.twice:
        return ()
    talk = setting.talk
    return (talk.line(key, pause=QUESTION_PAUSE, time=talk.time(time, again=True)),)


def _tempting(talk: Talk, about: DecidedRound) -> tuple[Line, ...]:
    """Return, for each wrong reading of the dial, how one comes to it; nothing unless this round tells it."""
    question = about.question
    if not about.mixup_told:
        return ()
    clauses = (
        why_wrong(
            each.dial,
            question.dial,
            language=talk.first.language,
            registers=talk.registers,
            numerals=talk.numerals,
        )
        for each in question.told_wrong
    )
    return tuple(talk.spoken(clause, pause=REASON_PAUSE, cue=clause.cue) for clause in clauses)


def _reading(talk: Talk, time: ClockTime) -> ChoiceWords:
    return ChoiceWords(
        numeral=talk.first.language.numeral(time),
        label=talk.time(time),
        again=talk.time(time, again=True),
        words=talk.first.language.phrase(time, talk.register).written,
    )


def _readings(talk: Talk, question: Question) -> tuple[ChoiceWords, ...]:
    return tuple(_reading(talk, time) for time in (question.dial, *(each.dial for each in question.wrong)))


def _read(setting: Setting, about: DecidedRound) -> QuestionWords:
    talk, time = setting.talk, about.question.dial
    board = Board(layout="clock", dials=(Dial(time=time),))
    return QuestionWords(
        question=talk.main("read.question", pause=QUESTION_PAUSE)
        if about.full
        else (talk.line("read.question", pause=SHORT_PAUSE),),
        choices=_readings(talk, about.question),
        board=board,
        revealed=board,
        answer=talk.main("answer.is", time=talk.time(time)),
        brief=talk.line(f"answer.short-{about.side}", pause=SHORT_PAUSE),
        reason=(*reason_lines(setting, time), *_tempting(talk, about)),
    )


def _find(setting: Setting, about: DecidedRound) -> QuestionWords:
    """The choices are clocks, so nothing needs to be read."""
    talk, time = setting.talk, about.question.dial
    dials = (time, *(each.dial for each in about.question.wrong))
    board = Board(
        layout="dials",
        asked=talk.first.language.numeral(time),
        asked_words=talk.words(talk.time(time)),
    )
    return QuestionWords(
        question=(
            *talk.main("find.question", pause=question_pause(about), time=talk.time(time)),
            *_again(setting, about, "find.again", time),
        ),
        choices=tuple(ChoiceWords(numeral="", label=None, dial=each) for each in dials),
        board=board,
        # The right clock comes to the middle, so that the reason can be shown on it.
        revealed=replace(board, dials=(Dial(time=time),)),
        answer=talk.main("find.answer", lane=part(f"find.{about.side}"), time=talk.time(time)),
        brief=talk.line(f"answer.short-{about.side}", pause=SHORT_PAUSE),
        reason=(*reason_lines(setting, time), *_tempting(talk, about)),
    )


def _moved_on(setting: Setting, about: DecidedRound) -> QuestionWords:
    talk, question = setting.talk, about.question
    start, end = question.start or question.dial, question.dial
    minutes = duration(abs(question.change_minutes))
    asked = talk.first.part(f"{question.kind}.asked", duration=minutes(talk.first)).written
    return QuestionWords(
        question=talk.main(
            f"{question.kind}.{asked_as(about)}",
            pause=question_pause(about),
            time=talk.time(start),
            duration=minutes,
        ),
        choices=_readings(talk, question),
        board=Board(layout="clock", dials=(Dial(time=start), Dial(time=None)), asked=asked),
        revealed=Board(
            layout="clock",
            dials=(Dial(time=start), Dial(time=end)),
            jumps=line_jumps(talk, start, question.change_minutes),
        ),
        answer=talk.main(f"{question.kind}.answer", duration=minutes, time=talk.time(end)),
        brief=talk.line(f"answer.short-{about.side}", pause=SHORT_PAUSE),
        reason=(
            *_way(talk, start, question.change_minutes),
            *(
                talk.line(
                    "elapsed.tempting",
                    time=talk.time(each.dial),
                    mixup=part(f"elapsed.{min(each.mixups)}"),
                    cue=GhostDial(each.dial),
                    pause=REASON_PAUSE,
                )
                for each in question.wrong
                if each.mixups and about.mixup_told
            ),
        ),
    )


def _way(talk: Talk, start: ClockTime, change: int) -> tuple[Line, ...]:
    """Return how to get there: to the hour first, then whole hours, then what is left."""
    way, walked = "" if change > 0 else "back-", hops(start, change)
    keys = (
        ["within"] if len(walked) == 1 and walked[0].kind == "rest" else ["to-hour", "from-hour", "from-hour"]
    )
    return tuple(
        talk.line(
            f"elapsed.{way}{key}",
            duration=duration(hop.minutes),
            time=talk.time(hop.end),
            cue=TimeJump(hop.start, hop.minutes if change > 0 else -hop.minutes, number),
            pause=REASON_PAUSE,
        )
        for number, (key, hop) in enumerate(zip(keys, walked, strict=False))
    )


def line_jumps(talk: Talk, start: ClockTime, change: int) -> tuple[LineJump, ...]:
    """Return the jumps of the number line from `start`, so many minutes on, or back."""
    written = talk.first.language.numeral
    return tuple(
        LineJump(
            minutes=hop.minutes,
            back=change < 0,
            length=length_in_symbols(hop.minutes),
            begins=written(hop.start),
            ends=written(hop.end),
        )
        for hop in hops(start, change)
    )


def length_in_symbols(minutes: int) -> str:
    """Return a length of time as units are written: "2 h 30 min"."""
    # The symbols are the same in every language (BIPM, SI Brochure, 9th edition, table 8).
    hours, rest = divmod(minutes, 60)
    parts = [f"{hours} h"] if hours else []
    if rest or not hours:
        parts.append(f"{rest} min")
    return " ".join(parts)


def _is_it_so(setting: Setting, about: DecidedRound) -> QuestionWords:
    """A clock and a claim, with a move for yes and a move for no."""
    talk, time = setting.talk, about.question.dial
    claim = about.question.claim or time
    right, other = ("yes", "no") if claim == time else ("no", "yes")

    def board(under_dial: ClockTime) -> Board:
        return Board(
            layout="clock",
            dials=(Dial(time=time),),
            asked=talk.first.language.numeral(under_dial),
            asked_words=talk.words(talk.time(under_dial)),
        )

    return QuestionWords(
        question=(
            *talk.main("is-it-so.question", pause=question_pause(about), time=talk.time(claim)),
            *_again(setting, about, "is-it-so.question", claim),
        ),
        choices=(_yes_or_no(talk, right, claim), _yes_or_no(talk, other, claim)),
        board=board(claim),
        revealed=board(time),
        answer=talk.main(f"is-it-so.answer-{right}", time=talk.time(time)),
        brief=talk.line(f"is-it-so.brief-{right}", pause=SHORT_PAUSE),
        reason=(*reason_lines(setting, time), *_tempting(talk, about)),
    )


def _yes_or_no(talk: Talk, answer: str, claim: ClockTime) -> ChoiceWords:
    return ChoiceWords(
        numeral=talk.first.sentences[f"is-it-so.{answer}"],
        label=lambda phrases: phrases.part(f"is-it-so.{answer}-words", time=talk.time(claim)(phrases)),
        again=lambda phrases: same(phrases.sentences[f"is-it-so.{answer}"].lower()),
    )


def _be_the_clock(setting: Setting, about: DecidedRound) -> QuestionWords:
    """Everyone makes the hands with their arms, and there is no wrong answer."""
    talk, time = setting.talk, about.question.dial
    asked = talk.first.language.numeral(time)
    words = talk.words(talk.time(time))
    return QuestionWords(
        question=(
            *talk.main("be-the-clock.question", pause=QUESTION_PAUSE, time=talk.time(time)),
            *((talk.line("be-the-clock.hands", pause=QUESTION_PAUSE),) if about.rules else ()),
            *_again(setting, about, "be-the-clock.question", time),
        ),
        choices=(),
        board=Board(layout="clock", dials=(Dial(time=None),), asked=asked, asked_words=words),
        revealed=Board(layout="figure", dials=(Dial(time=time),), asked=asked, asked_words=words, arms=time),
        answer=(*talk.main("be-the-clock.answer", time=talk.time(time)), talk.line("be-the-clock.every-try")),
        brief=talk.line("be-the-clock.answer", time=talk.time(time), pause=SHORT_PAUSE),
        reason=reason_lines(setting, time),
    )


def _day_part(setting: Setting, about: DecidedRound) -> QuestionWords:
    talk, time = setting.talk, _of_day(about.question.time)
    times = (time, *(_of_day(each.time) for each in about.question.wrong))
    board = Board(
        layout="clock", dials=(Dial(time=time.dial),), asked=talk.words(day_part(time)), day_time=time
    )
    return QuestionWords(
        question=talk.main(f"day-part.{asked_as(about)}", pause=question_pause(about), time=day_part(time)),
        choices=tuple(
            ChoiceWords(numeral=str(each), label=day_digital(each), again=day_digital(each)) for each in times
        ),
        board=board,
        revealed=board,
        answer=talk.main("day-part.answer", time=day_digital(time)),
        brief=talk.line("day-part.answer", time=day_digital(time), pause=SHORT_PAUSE),
        reason=(
            *_how_the_hour_is_found(talk, time),
            *(
                talk.line(
                    "day-part.tempting",
                    time=day_digital(_of_day(each.time)),
                    mixup=part(f"day-part.{min(each.mixups)}"),
                    cue=GhostDial(each.dial) if each.dial != time.dial else None,
                    pause=REASON_PAUSE,
                )
                for each in about.question.wrong
                if each.mixups and about.mixup_told
            ),
        ),
    )


def _of_day(time: ClockTime | DayTime) -> DayTime:
    return time if isinstance(time, DayTime) else DayTime(time.hour, time.minute)


def _how_the_hour_is_found(talk: Talk, time: DayTime) -> tuple[Line, ...]:
    """Return how the hour of the 24-hour clock comes from the reading that the class hears.

    "Quarter to six" names six, and no sum with six gives seventeen: first it is read off as five forty-five.
    """
    line = partial(talk.line, cue=ShowReading(time.dial), pause=REASON_PAUSE)
    if time.hour in (0, 12):
        why = line("day-part.noon" if time.hour else "day-part.midnight")
    elif time.hour < 12:
        why = line("day-part.morning", hour=number_word(time.hour))
    else:
        why = line("day-part.afternoon", dial=number_word(time.hour - 12), hour=number_word(time.hour))
    spoken, plain, heard = talk.first.language, talk.words(digital(time.dial)), talk.words(day_part(time))
    if spoken.named_hour(time.dial, "analogue") == time.dial.hour or plain in heard:
        return (why,)
    # "Minuit moins le quart" is not what a dial alone says.
    reading = spoken.analogue(time.dial)
    said = day_part(time) if reading.written not in heard else lambda _: reading
    return (line("day-part.read-off", time=said, digital=digital(time.dial)), why)


_WORDS: Mapping[str, Callable[[Setting, DecidedRound], QuestionWords]] = MappingProxyType(
    {
        READ.code: _read,
        FIND.code: _find,
        LATER.code: _moved_on,
        EARLIER.code: _moved_on,
        IS_IT_SO.code: _is_it_so,
        BE_THE_CLOCK.code: _be_the_clock,
        DAY_PART.code: _day_part,
    }
)
