"""Before the clocks: welcome, how it goes, keeping safe, warming up, and one clock read together."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from caller.clock.times import ClockTime
from caller.deciding.model import DecidedLesson, WarmUpMove
from caller.moves.catalogue import Move
from caller.runsheet.asking import reason_lines
from caller.runsheet.draft import Draft
from caller.runsheet.model import Board, Dial, Line
from caller.runsheet.setting import Setting
from caller.runsheet.talk import SLOW_PAUSE, move_call, text

_RULES = ("look", "listen", "move", "learn")


def opening(setting: Setting, decided: DecidedLesson) -> Iterator[Draft]:
    """Yield the calls before the first clock."""
    yield _welcome(setting)
    yield _rules(setting, decided.marching)
    if setting.lesson.opening.safety:
        yield safety_points(setting)
    yield from _warm_up(setting, decided.warm_up)


def _welcome(setting: Setting) -> Draft:
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
    lines += (
        (talk.own_words(lesson.opening.lead_in),) if lesson.opening.lead_in else talk.main("welcome.idea")
    )
    title = lesson.title or lines[0].written
    board = Board(layout="title", title=title, move=setting.resting().move)
    return Draft(kind="welcome", part="opening", lines=talk.called(lines), board=board)


def _rules(setting: Setting, marching: Move) -> Draft:
    talk = setting.talk
    points = tuple(talk.first.say(f"rules.{rule}").written for rule in _RULES)
    title = talk.first.say("rules.title").written
    lines = tuple(talk.line(f"rules.{rule}") for rule in ("title", *_RULES))
    board = Board(layout="points", title=title, points=points, move=marching.slug)
    return Draft(kind="welcome", part="opening", lines=lines, board=board)


def safety_points(setting: Setting) -> Draft:
    """Return the call that says what keeps everybody safe here."""
    lesson, talk = setting.lesson, setting.talk
    if lesson.seated:
        keys = ["chair", "space", "stop", "teacher"]
    else:
        floor = "wet" if lesson.wet else "shoes" if lesson.shod else "bare"
        keys = ["space", floor, "easier", "stop", "teacher"]
    points = tuple(talk.first.say(f"safety.{key}").written for key in keys)
    lines = tuple(talk.line(f"safety.{key}") for key in ("title", *keys))
    title = talk.first.say("safety.title").written
    board = Board(layout="points", title=title, points=points, move=setting.resting().move)
    return Draft(kind="safety", part="opening", lines=talk.called(lines), board=board)


def _warm_up(setting: Setting, moves: Sequence[WarmUpMove]) -> Iterator[Draft]:
    talk = setting.talk
    for index, each in enumerate(moves):
        asked = talk.line("warm-up.next", call=move_call(each.move))
        lines = (asked,) if index else talk.called((talk.line("warm-up.intro"), asked))
        board = Board(layout="figure", move=each.move.slug, move_name=setting.name(each.move))
        yield Draft(kind="warm-up", part="opening", lines=lines, board=board, hold_s=each.seconds)
    if moves and not setting.lesson.seated:
        done = talk.line("warm-up.done")
        yield Draft(
            kind="breath",
            part="opening",
            lines=(done,),
            board=setting.resting(),
            hold_s=2.0,
            doing="shake",
        )


def worked_example(setting: Setting, time: ClockTime) -> Iterator[Draft]:
    """Yield the calls that read one clock slowly, with nothing to decide."""
    talk = setting.talk
    board = Board(layout="clock", dials=(Dial(time=time),))
    lines = (*talk.main("example.intro"), talk.line("example.ready", pause=SLOW_PAUSE))
    yield Draft(kind="question", part="example", lines=talk.called(lines), board=board)
    why = reason_lines(setting, time, pause=SLOW_PAUSE)
    yield Draft(kind="reason", part="example", lines=why, board=board)
    shown = Board(
        layout="clock",
        dials=(Dial(time=time),),
        asked=talk.first.language.numeral(time),
        asked_words=talk.words(talk.time(time)),
    )
    answer = talk.main("answer.is", time=talk.time(time))
    answer += (talk.line("answer.is", time=talk.time(time, again=True), cue=talk.shown(time, again=True)),)
    yield Draft(kind="answer", part="example", lines=answer, board=shown)
