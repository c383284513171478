"""Before the clocks, welcome, safety and one clock read together; and the calm end after them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Final

from caller.clock import ClockTime
from caller.deciding import DecidedLesson
from caller.languages.phrases import HandsRead, MoveWords, Numeral, Reading, ToSay, Verbatim, WholeSentence
from caller.moves.pick_moves import WarmUpMove
from caller.runsheet import Countdown, Dial
from caller.runsheet.sayings import (
    SENTENCE_PAUSE,
    SHORT_PAUSE,
    Draft,
    Saying,
    Shown,
    called,
    own_words,
    say,
    say_in_both,
)

# The stance of the figure beside each point.
_PICTURES: Final = {
    "chair": "sitting-ready",
    "space": "arms-apart",
    "wet": "standing-ready",
    "shoes": "tying-laces",
    "bare": "standing-ready",  # nobody without shoes ties laces
    "easier": "sitting-ready",
    "stop": "hand-up",
    "teacher": "standing-ready",
}
_COUNTED_S: Final = 4
_AGAIN_S: Final = 3.0  # quiet before it is said once more


def before_the_lesson(decided: DecidedLesson, *, two_loudspeakers: bool) -> Iterator[Draft]:
    """Yield two calls, each to be said until the teacher goes on: can you hear me, and keep safe.

    Where there are two loudspeakers each says which one it is, so that one hears whether they are swapped.
    """
    yield _sound_check(decided, (_LEFT, _RIGHT) if two_loudspeakers else ())
    yield _safety_points(decided, hold_s=_AGAIN_S)


_LEFT = say("sound-check.left", point_to="left")
_RIGHT = say("sound-check.right", point_to="right")


def _sound_check(decided: DecidedLesson, sides: tuple[Saying, ...]) -> Draft:
    points = tuple(WholeSentence(f"sound-check.{key}") for key in ("question", "keys", "together"))
    return Draft(
        kind="sound-check",
        part="opening",
        sayings=called((say("sound-check.question"), *sides), "sound-check"),
        board=Shown(
            layout="points", title=WholeSentence("sound-check.title"), points=points, move=decided.resting
        ),
        # Numbers and beeps, so that one sees whether the loudspeaker keeps up with the picture.
        countdown=Countdown(seconds=_COUNTED_S, beeps=_COUNTED_S, tick=None),
        hold_s=_AGAIN_S,
    )


def opening(decided: DecidedLesson) -> Iterator[Draft]:
    """Yield the calls before the first clock; a class that has been led before is soon on the move."""
    yield _welcome(decided)
    if decided.lesson.opening.safety:
        yield _one_caution(decided) if decided.greeted else _safety_points(decided)
    yield from _warm_up(decided.warm_up)


def _welcome(decided: DecidedLesson) -> Draft:
    lesson, own = decided.lesson, decided.lesson.opening.welcome
    title: ToSay = WholeSentence("welcome.everybody")
    sayings = say_in_both("welcome.everybody")
    if lesson.class_name:
        who = Verbatim(lesson.class_name)
        title, sayings = WholeSentence("welcome.class", {"who": who}), say_in_both("welcome.class", who=who)
    if own:
        title, sayings = Verbatim(own), own_words(own)
    if lesson.title:
        title = Verbatim(lesson.title)
        sayings += (say("welcome.title", title=title),)
    if lesson.opening.lead_in:
        sayings += own_words(lesson.opening.lead_in)
    elif not decided.greeted:
        sayings += say_in_both("welcome.idea")
    return Draft(
        kind="welcome",
        part="opening",
        sayings=called(sayings),
        board=Shown(layout="title", title=title, move=decided.resting),
    )


def _one_caution(decided: DecidedLesson) -> Draft:
    caution = WholeSentence("safety.chair" if decided.lesson.seated else "safety.space")
    return Draft(
        kind="safety",
        part="opening",
        sayings=(Saying(words=caution),),
        board=Shown(layout="points", title=caution, move=decided.resting),
    )


def _safety_points(decided: DecidedLesson, *, hold_s: float = 0.0) -> Draft:
    """Return the call that says what keeps everybody safe here."""
    lesson = decided.lesson
    if lesson.seated:
        keys = ["chair", "space", "stop", "teacher"]
    else:
        floor = "wet" if lesson.wet else "shoes" if lesson.shod else "bare"
        keys = ["space", floor, "easier", "stop", "teacher"]
    points = tuple(WholeSentence(f"safety.{key}") for key in keys)
    return Draft(
        kind="safety",
        part="opening",
        sayings=called(tuple(Saying(words=each) for each in points)),
        board=Shown(
            layout="points",
            points=points,
            pictures=tuple(_PICTURES[key] for key in keys),
            move=decided.resting,
        ),
        hold_s=hold_s,
    )


def _warm_up(moves: Sequence[WarmUpMove]) -> Iterator[Draft]:
    """Yield one move after another, each called while the class still does the one before."""
    for index, each in enumerate(moves):
        if index:
            name = MoveWords(each.move.slug, "begun name")
            sayings: tuple[Saying, ...] = (say("warm-up.and", call=name, pause=SHORT_PAUSE),)
        else:
            first = say("warm-up.next", call=MoveWords(each.move.slug, "call"), pause=SHORT_PAUSE)
            sayings = called((say("warm-up.intro", pause=SHORT_PAUSE), first))
        yield Draft(
            kind="warm-up",
            part="opening",
            sayings=sayings,
            board=Shown(layout="figure", move=each.move, named=True),
            hold_s=each.seconds,
        )


def worked_example(time: ClockTime) -> Iterator[Draft]:
    """Yield the calls that read one clock slowly, with nothing to decide."""
    dials = (Dial(time=time),)
    board = Shown(layout="clock", dials=dials)
    yield Draft(kind="question", part="example", sayings=called(say_in_both("example.intro")), board=board)
    why = Saying(words=HandsRead(time), pause=SENTENCE_PAUSE)
    yield Draft(kind="reason", part="example", sayings=(why,), board=board)
    yield Draft(
        kind="answer",
        part="example",
        sayings=say_in_both("answer.is", time=Reading(time), cue=Reading(time)),
        board=Shown(layout="clock", dials=dials, asked=Numeral(time), asked_words=Reading(time)),
    )


_BREATH_IN_S = 3.0
_BREATH_OUT_S = 4.0


def closing(decided: DecidedLesson) -> Iterator[Draft]:
    """Yield the last calls of a lesson."""
    lesson = decided.lesson
    board = Shown(layout="figure", move=decided.resting)
    if lesson.close.breaths:
        breath = (
            Saying(words=WholeSentence("close.in"), slot_s=_BREATH_IN_S, pause=0.0, doing="breathe"),
            Saying(words=WholeSentence("close.out"), slot_s=_BREATH_OUT_S, pause=0.0, doing="breathe"),
        )
        stand = Saying(words=WholeSentence("close.sit" if lesson.seated else "close.stand"), doing="rest")
        yield Draft(kind="close", part="close", sayings=(stand, *breath * lesson.close.breaths), board=board)
    praise = say_in_both("close.praise")
    if lesson.class_name:
        praise = say_in_both("close.praise-class", who=Verbatim(lesson.class_name))
    line_up = say_in_both("close.line-up-seated" if lesson.seated else "close.line-up")
    praise = tuple(replace(saying, tune="praise") for saying in praise)
    sayings = (*praise, *own_words(lesson.close.say), *line_up)
    yield Draft(kind="close", part="close", sayings=sayings, board=board)
