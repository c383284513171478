"""One round: the question and its choices, still seconds, the bout, the answer and why, the catch-up."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from caller.deciding import DecidedRound, Side, lane_sides
from caller.moves import Move
from caller.runsheet import Board, Countdown, Dial, Draft, Lane, Line, RoundFacts
from caller.runsheet.asking import ChoiceWords, QuestionWords
from caller.runsheet.counting import sides_clap
from caller.runsheet.reckoning import question_words
from caller.runsheet.talk import (
    CHOICE_PAUSE,
    SHORT_PAUSE,
    Setting,
    begun_move_name,
    move_call,
    move_name,
    part,
)

_ARMS_S = 2.0
_LOOK = ("catch-up.look-again", "catch-up.trace", "catch-up.nobody-has-to")


def catch_up_calls(setting: Setting, about: DecidedRound) -> Iterator[Draft]:
    """Yield the catch-up of a round; nothing where it has none."""
    plan, talk, time = about.catch_up, setting.talk, about.question.dial
    if plan is None or plan.kind == "none":
        return
    dial = (Dial(time=time),)
    if plan.kind == "practise":
        yield Draft(
            kind="catch-up",
            part=about.part,
            lines=tuple(talk.line(key) for key in _LOOK),
            board=Board(layout="clock", dials=dial),
            hold_s=float(plan.seconds),
            doing="still",
        )
        return
    if plan.arms:
        yield Draft(
            kind="catch-up",
            part=about.part,
            lines=(talk.line("catch-up.arms", time=talk.time(time)),),
            board=Board(layout="figure", dials=dial, arms=time),
            hold_s=_ARMS_S,
        )
    if plan.move is None:
        return
    board = Board(layout="figure", dials=dial, move=plan.move.slug, move_name=setting.name(plan.move))
    # Its call has just been heard, and the figure does it.
    key, name = "catch-up.bout", move_name(plan.move)
    if plan.move.hold:
        key, name = "catch-up.hold", begun_move_name(plan.move)
    if plan.kind == "calm":
        key, name = "catch-up.calm-bout", move_call(plan.move)
    yield Draft(
        kind="catch-up",
        part=about.part,
        lines=(talk.line(key, call=name, pause=SHORT_PAUSE),),
        board=board,
        hold_s=float(plan.seconds),
        doing="breathe" if plan.kind == "calm" else None,
    )


_BREATH_HOLD_S = 2.0
_SHOWN_S = 3.0  # so long a time made with the arms is held for all to see
_LAST_BEEPS = 3  # the beat carries the bout; its last seconds are counted


@dataclass(frozen=True, slots=True, kw_only=True)
class _Placed:
    """A choice on its lane."""

    side: Side
    words: ChoiceWords
    move: Move


def round_calls(setting: Setting, about: DecidedRound) -> Iterator[Draft]:
    """Yield the calls of one round."""
    progress = f"{about.number} / {about.total}" if about.number else ""
    for draft in _calls(setting.offering(about.question), about):
        yield replace(draft, round=about.number, board=replace(draft.board, progress=progress))


def _calls(setting: Setting, about: DecidedRound) -> Iterator[Draft]:
    talk, section = setting.talk, about.part
    asked = question_words(setting, about)
    placed = _placed(about, asked)
    lanes = tuple(_lane(setting, about, each) for each in placed)
    board = replace(asked.board, lanes=lanes)
    yield Draft(
        kind="ready",
        part=section,
        lines=_ready(setting, about),
        board=Board(layout="clock", dials=(Dial(time=None),)),
    )
    own = (talk.own_words(about.say),) if about.say else ()
    yield Draft(kind="question", part=section, lines=(*own, *asked.question), board=asked.board)
    if lanes:
        yield Draft(kind="choices", part=section, lines=_choices(setting, about, placed), board=board)
    yield Draft(
        kind="decide",
        part=section,
        lines=(talk.line(_decide_key(about), pause=SHORT_PAUSE),),
        board=board,
        countdown=Countdown(seconds=about.decide_s, beeps=0),
    )
    yield _bout(setting, about, asked, board)
    # The answer is not on the screen yet while the time is called.
    if lanes:
        stop = talk.line(f"answer.stop{setting.seated}", tone="time-up", pause=SHORT_PAUSE)
        yield Draft(kind="time-up", part=section, lines=(stop,), board=board)
    else:
        show = talk.line("be-the-clock.go", tone="time-up", pause=SHORT_PAUSE)
        yield Draft(kind="time-up", part=section, lines=(show,), board=board, hold_s=_SHOWN_S)
    yield from sides_clap(setting, about, board)
    revealed = replace(asked.revealed, lanes=lanes, answer=about.side if lanes else None)
    yield Draft(kind="answer", part=section, lines=_answer(setting, about, asked), board=revealed)
    why = (talk.own_words(about.reason),) if about.reason else asked.reason
    yield Draft(kind="reason", part=section, lines=why, board=revealed)
    if about.catch_up is not None:
        yield from catch_up_calls(setting, about)
    if about.breath:
        yield Draft(
            kind="breath",
            part=section,
            lines=(talk.line(f"breath.rest{setting.seated}"),),
            board=setting.resting(),
            hold_s=_BREATH_HOLD_S,
            doing="rest" if setting.seated else "shake",
        )


def _decide_key(about: DecidedRound) -> str:
    """Where there is nothing to choose there is nothing to decide: the class thinks."""
    if not about.moves:
        return "decide.think"
    return "decide.still" if about.full else "decide.short"


def _bout(setting: Setting, about: DecidedRound, asked: QuestionWords, board: Board) -> Draft:
    """Return the call that moves; where nothing is chosen the class moves while it thinks."""
    talk = setting.talk
    line = talk.line("move.go", pause=0.0)
    if about.meanwhile is not None:
        line = talk.line("be-the-clock.meanwhile", call=move_call(about.meanwhile), pause=SHORT_PAUSE)
        board = replace(
            asked.board,
            layout="figure",
            move=about.meanwhile.slug,
            move_name=setting.name(about.meanwhile),
        )
    return Draft(
        kind="move",
        part=about.part,
        lines=(line,),
        board=board,
        countdown=Countdown(seconds=about.bout_s, tick=None, beeps=_LAST_BEEPS),
    )


def facts_of(lesson_step: str, about: DecidedRound) -> RoundFacts:
    """Return what the round was about; a round without a wrong answer has its answer in the middle."""
    wrong = about.question.told_wrong
    return RoundFacts(
        round=about.number or 0,
        part=about.part,
        question=about.question.kind,
        step=lesson_step,
        time=about.question.dial,
        answer=about.side,
        wrong=tuple(each.dial for each in wrong),
        mixups=tuple(each.mixups for each in wrong),
        moves=tuple(move.slug for move in about.moves),
        think_s=about.decide_s + about.bout_s,
    )


def _placed(about: DecidedRound, asked: QuestionWords) -> tuple[_Placed, ...]:
    """Return the choices from left to right, the right one on its side."""
    if not asked.choices:
        return ()
    right, *wrong = asked.choices
    return tuple(
        _Placed(side=side, words=right if side == about.side else wrong.pop(0), move=move)
        for side, move in zip(lane_sides(len(asked.choices)), about.moves, strict=True)
    )


def _lane(setting: Setting, about: DecidedRound, placed: _Placed) -> Lane:
    words = placed.words
    shown = words.words or (setting.talk.words(words.label) if words.label else "")
    if _just_yes_or_no(about):
        shown = ""
    return Lane(
        side=placed.side,
        numeral=words.numeral,
        words=shown,
        move=placed.move.slug,
        move_name=setting.name(placed.move),
        dial=words.dial,
    )


def _ready(setting: Setting, about: DecidedRound) -> tuple[Line, ...]:
    """Return what calls the class to the next clock; which one it is stands on the screen."""
    talk = setting.talk
    lines = []
    if about.part == "calm":
        lines.append(talk.line("ready.calm"))
    if about.number is None:
        lines.append(talk.line("practice.intro"))
    if about.rules and about.moves:
        lines.append(talk.line("rules.first"))
    return talk.called(tuple(lines)) if lines else (talk.with_tone(Line(written="", pause_s=0.0)),)


def _choices(setting: Setting, about: DecidedRound, placed: tuple[_Placed, ...]) -> tuple[Line, ...]:
    """Return each choice read aloud with its side and move; again where asked, or in a second language.

    A second language says all of the first clock again. From then on it says the words of each choice
    straight after the first language has: that lane's figure shows the move, and two languages leave time
    to move.
    """
    talk = setting.talk

    def read(*, again: bool) -> Iterator[Line]:
        # Where there is a second language, the second reading is in it.
        language = talk.second if again else None
        for each in placed:
            label = each.words.again if again and not talk.second else each.words.label
            if _just_yes_or_no(about):
                label = each.words.again
            # A clock to be found has no words of its own: its lane names it.
            brief = "again-" if again or not about.full else ""
            key = f"choice.{brief}{each.side}" if label else f"find.choice-{each.side}"
            if _just_yes_or_no(about):  # "left: no, squats" would be heard as "no squats"
                key = f"choice.yes-or-no-{each.side}"
            call = move_name if label and brief else move_call if about.full else begun_move_name
            yield talk.line(
                key,
                time=label or part(f"find.{each.side}"),
                answer=label or part(f"find.{each.side}"),
                call=call(each.move),
                point_to=each.side,
                pause=CHOICE_PAUSE if about.full else SHORT_PAUSE,
                language=language,
            )

    once = tuple(read(again=False))
    if about.twice or (talk.second and about.full):
        return (*once, *read(again=True))
    if talk.second is None:
        return once
    lines: list[Line] = []
    for each, line in zip(placed, once, strict=True):
        label = each.words.again if _just_yes_or_no(about) else each.words.label
        # The other voice parts the two by itself; a clock to be found has no words of its own.
        lines.append(replace(line, pause_s=0.0) if label else line)
        if label:
            lines.append(
                talk.line(
                    "choice.second",
                    time=label,
                    point_to=each.side,
                    pause=SHORT_PAUSE,
                    language=talk.second,
                )
            )
    return tuple(lines)


def _just_yes_or_no(about: DecidedRound) -> bool:
    """What is claimed has just been asked, so that yes or no is enough."""
    return not about.full and about.question.claim is not None


def _answer(setting: Setting, about: DecidedRound, asked: QuestionWords) -> tuple[Line, ...]:
    talk = setting.talk
    side = about.side if asked.choices else None
    # The tone that has just stopped the class is enough. A reason of the teacher's own may not name the time.
    if not about.full and asked.brief is not None and not about.reason:
        return (replace(asked.brief, point_to=side),)
    told = asked.answer
    lines = [replace(talk.with_tone(told[0], "answer"), point_to=side), *told[1:]]
    if about.full and about.right_move is not None:
        name = move_name(about.right_move)
        lines.append(talk.line(f"answer.{about.side}", move=name, point_to=about.side))
    return tuple(lines)
