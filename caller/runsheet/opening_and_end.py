"""Before the clocks, welcome, safety and one clock read together; and the calm end after them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Final

from caller.clock import ClockTime
from caller.deciding import DecidedLesson, WarmUpMove
from caller.runsheet import Board, Dial, Draft, Line
from caller.runsheet.asking import reason_lines
from caller.runsheet.counting import whole_class
from caller.runsheet.talk import SENTENCE_PAUSE, SHORT_PAUSE, Setting, begun_move_name, move_call, text

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


def opening(setting: Setting, decided: DecidedLesson) -> Iterator[Draft]:
    """Yield the calls before the first clock; a class that has been led before is soon on the move."""
    yield _welcome(setting, greeted=decided.greeted)
    if setting.lesson.opening.safety:
        yield _one_caution(setting) if decided.greeted else safety_points(setting)
    yield from whole_class(setting)
    yield from _warm_up(setting, decided.warm_up)


def _welcome(setting: Setting, *, greeted: bool) -> Draft:
    lesson, talk = setting.lesson, setting.talk
    lines: tuple[Line, ...]
    if lesson.class_name:
        lines = talk.main("welcome.class", who=text(lesson.class_name))
    else:
        lines = talk.main("welcome.everybody")
    if lesson.opening.welcome:
        lines = (talk.own_words(lesson.opening.welcome),)
    if lesson.title:
        lines += (talk.line("welcome.title", title=text(lesson.title)),)
    if lesson.opening.lead_in:
        lines += (talk.own_words(lesson.opening.lead_in),)
    elif not greeted:
        lines += talk.main("welcome.idea")
    title = lesson.title or lines[0].written
    board = Board(layout="title", title=title, move=setting.resting().move)
    return Draft(kind="welcome", part="opening", lines=talk.called(lines), board=board)


def _one_caution(setting: Setting) -> Draft:
    line = setting.talk.line("safety.chair" if setting.lesson.seated else "safety.space")
    board = Board(layout="points", title=line.written, points=(), move=setting.resting().move)
    return Draft(kind="safety", part="opening", lines=(line,), board=board)


def safety_points(setting: Setting) -> Draft:
    """Return the call that says what keeps everybody safe here."""
    lesson, talk = setting.lesson, setting.talk
    if lesson.seated:
        keys = ["chair", "space", "stop", "teacher"]
    else:
        floor = "wet" if lesson.wet else "shoes" if lesson.shod else "bare"
        keys = ["space", floor, "easier", "stop", "teacher"]
    points = tuple(talk.first.say(f"safety.{key}").written for key in keys)
    lines = tuple(talk.line(f"safety.{key}") for key in keys)
    pictures = tuple(_PICTURES[key] for key in keys)
    board = Board(layout="points", points=points, pictures=pictures, move=setting.resting().move)
    return Draft(kind="safety", part="opening", lines=talk.called(lines), board=board)


def _warm_up(setting: Setting, moves: Sequence[WarmUpMove]) -> Iterator[Draft]:
    """Yield one move after another, each called while the class still does the one before."""
    talk = setting.talk
    lines: tuple[Line, ...]
    for index, each in enumerate(moves):
        if index:
            lines = (talk.line("warm-up.and", call=begun_move_name(each.move), pause=SHORT_PAUSE),)
        else:
            first = talk.line("warm-up.next", call=move_call(each.move), pause=SHORT_PAUSE)
            lines = talk.called((talk.line("warm-up.intro", pause=SHORT_PAUSE), first))
        board = Board(layout="figure", move=each.move.slug, move_name=setting.name(each.move))
        yield Draft(kind="warm-up", part="opening", lines=lines, board=board, hold_s=each.seconds)


def worked_example(setting: Setting, time: ClockTime) -> Iterator[Draft]:
    """Yield the calls that read one clock slowly, with nothing to decide."""
    talk = setting.talk
    board = Board(layout="clock", dials=(Dial(time=time),))
    lines = talk.main("example.intro")
    yield Draft(kind="question", part="example", lines=talk.called(lines), board=board)
    why = reason_lines(setting, time, pause=SENTENCE_PAUSE)
    yield Draft(kind="reason", part="example", lines=why, board=board)
    shown = Board(
        layout="clock",
        dials=(Dial(time=time),),
        asked=talk.first.language.numeral(time),
        asked_words=talk.words(talk.time(time)),
    )
    told = talk.main("answer.is", time=talk.time(time))
    answer = tuple(replace(line, cue=talk.shown(time)) for line in told)
    yield Draft(kind="answer", part="example", lines=answer, board=shown)


_BREATH_IN_S = 3.0
_BREATH_OUT_S = 4.0


def closing(setting: Setting) -> Iterator[Draft]:
    """Yield the last calls of a lesson."""
    lesson, talk = setting.lesson, setting.talk
    if lesson.close.breaths:
        breath = (
            replace(talk.line("close.in"), slot_s=_BREATH_IN_S, pause_s=0.0, doing="breathe"),
            replace(talk.line("close.out"), slot_s=_BREATH_OUT_S, pause_s=0.0, doing="breathe"),
        )
        stand = replace(talk.line("close.sit" if lesson.seated else "close.stand"), doing="rest")
        lines = (stand, *breath * lesson.close.breaths)
        yield Draft(kind="close", part="close", lines=lines, board=setting.resting())
    if lesson.class_name:
        praise = talk.main("close.praise-class", who=text(lesson.class_name))
    else:
        praise = talk.main("close.praise")
    own = (talk.own_words(lesson.close.say),) if lesson.close.say else ()
    line_up = talk.main(f"close.line-up{setting.seated}")
    yield Draft(kind="close", part="close", lines=(*praise, *own, *line_up), board=setting.resting())
