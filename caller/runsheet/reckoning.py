"""What questions say that reckon with time beyond the dial: how long, and which half of the day."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from types import MappingProxyType

from caller.clock import ClockTime, DayTime
from caller.clock.beyond_dial import elapsed, half, hops
from caller.clock.said_and_shown import ShowReading, TimeJump
from caller.deciding import DecidedLesson, DecidedRound
from caller.languages import Phrase
from caller.questions.with_time import HALF_OF_DAY, HOW_LONG, everyday, of_day
from caller.runsheet import Board, Dial, Draft, Line
from caller.runsheet.asking import (
    ChoiceWords,
    QuestionWords,
    length_in_symbols,
    line_jumps,
    question_pause,
    words_of,
)
from caller.runsheet.talk import (
    QUESTION_PAUSE,
    REASON_PAUSE,
    SHORT_PAUSE,
    SLOW_PAUSE,
    Setting,
    Slot,
    Talk,
    day_part,
    duration,
    part,
)


def question_words(setting: Setting, about: DecidedRound) -> QuestionWords:
    """Return what a round's question says and shows, whatever its kind."""
    return _WORDS.get(about.question.kind, words_of)(setting, about)


def hop_lines(talk: Talk, start: ClockTime, minutes: int, *, pause: float = REASON_PAUSE) -> Iterator[Line]:
    """Yield how long it is from `start`: to the hour, whole hours, the rest, and all of it together."""
    walked = hops(start, minutes)
    for index, hop in enumerate(walked):
        yield talk.line(
            "how-long.next-hop" if index else "how-long.hop",
            time=talk.time(hop.end),
            duration=duration(hop.minutes),
            cue=TimeJump(hop.start, hop.minutes, index),
            pause=pause,
        )
    if len(walked) > 1:
        yield talk.line("how-long.together", duration=duration(minutes), pause=pause)


def how_it_is_done(setting: Setting, decided: DecidedLesson) -> Iterator[Draft]:
    """Yield the calls that reckon once, slowly, with the example's clock: nothing where no round reckons.

    A worked example before the first problem teaches as much in less time (van Loon-Hillen et al. 2010).
    """
    about = decided.reckoned_example
    if about is None:
        return
    talk, words = setting.talk, question_words(setting, about)
    intro = talk.main("example.how")
    yield Draft(
        kind="question", part="example", lines=talk.called((*intro, *words.question)), board=words.board
    )
    board = words.revealed
    if board.jumps:  # the hands set out from the start
        board = replace(board, dials=(board.dials[0], board.dials[0]))
    slow = round(SLOW_PAUSE * talk.delivery.sentence_pause_s, 2)
    why = tuple(replace(line, pause_s=slow) for line in words.reason)
    # A way along the line ends on the answer itself.
    told = () if board.jumps else words.answer
    yield Draft(kind="reason", part="example", lines=(*why, *told), board=board)


def _how_long(setting: Setting, about: DecidedRound) -> QuestionWords:
    talk, question = setting.talk, about.question
    start, end = question.start or question.dial, question.dial
    minutes = elapsed(start, end)
    lengths = {each: elapsed(start, each.dial) for each in question.wrong}
    asked = talk.first.say("how-long.question").written
    board = Board(layout="clock", dials=(Dial(time=start), Dial(time=end)), asked=asked)
    question_lines = (
        *talk.main("how-long.from", time=talk.time(start)),
        *talk.main("how-long.to", time=talk.time(end)),
        *talk.main("how-long.question", pause=QUESTION_PAUSE),
    )
    if about.asked_before:
        question_lines = talk.main(
            "how-long.again", pause=question_pause(about), start=talk.time(start), end=talk.time(end)
        )
    return QuestionWords(
        question=question_lines,
        choices=tuple(_length(talk, each) for each in (minutes, *lengths.values())),
        board=board,
        revealed=replace(board, asked="", jumps=line_jumps(talk, start, minutes)),
        answer=talk.main("how-long.answer", duration=duration(minutes)),
        brief=talk.line(f"answer.short-{about.side}", pause=SHORT_PAUSE),
        reason=(
            *hop_lines(talk, start, minutes),
            *(
                talk.line(
                    "how-long.tempting",
                    duration=duration(length),
                    mixup=part(f"how-long.{min(wrong.mixups)}"),
                    pause=REASON_PAUSE,
                )
                for wrong, length in lengths.items()
                if wrong.mixups and about.mixup_told
            ),
        ),
    )


def _length(talk: Talk, minutes: int) -> ChoiceWords:
    said = duration(minutes)
    return ChoiceWords(numeral=length_in_symbols(minutes), label=said, again=said, words=talk.words(said))


def _half_of_day(setting: Setting, about: DecidedRound) -> QuestionWords:
    """The sky would give it away, so it comes with the answer."""
    talk = setting.talk
    time, *others = (of_day(each) for each in (about.question.time, *(w.time for w in about.question.wrong)))
    cue = talk.first.say(f"everyday.{everyday(time)}").written
    board = Board(layout="clock", dials=(Dial(time=time.dial),), asked=cue)
    key = "half-of-day.question" + ("-noon" if time.dial.minutes == 0 else "")
    return QuestionWords(
        question=(
            *talk.main("half-of-day.shown", time=talk.time(time.dial)),
            *talk.main(f"everyday.{everyday(time)}", pause=question_pause(about)),
            *(() if about.asked_before else talk.main(key, pause=QUESTION_PAUSE)),  # the choices say it
        ),
        choices=tuple(_half_words(talk, each) for each in (time, *others)),
        board=board,
        revealed=replace(board, day_time=time),
        answer=talk.main("half-of-day.answer", time=day_part(time)),
        brief=talk.line("half-of-day.answer", time=day_part(time), pause=SHORT_PAUSE),
        reason=(
            talk.line("half-of-day.why", half=_half(time), cue=ShowReading(time.dial), pause=REASON_PAUSE),
        ),
    )


def _half_words(talk: Talk, time: DayTime) -> ChoiceWords:
    label, key, words = _half(time), f"half-of-day.{_half_name(time)}", talk.first.sentences
    return ChoiceWords(numeral=words[key], label=label, again=label, words=words[f"{key}-words"])


def _half_name(time: DayTime) -> str:
    """Return the half of the day by name; noon and midnight are neither a.m. nor p.m. (NIST, Time FAQ)."""
    return {0: "midnight", 720: "noon"}.get(time.minutes, half(time))


def _half(time: DayTime) -> Slot:
    key = f"half-of-day.{_half_name(time)}"
    return lambda phrases: Phrase(
        written=phrases.sentences[f"{key}-label"], speech=phrases.sentences[f"{key}-spoken"]
    )


_WORDS: Mapping[str, Callable[[Setting, DecidedRound], QuestionWords]] = MappingProxyType(
    {HOW_LONG.code: _how_long, HALF_OF_DAY.code: _half_of_day}
)
