"""One round: the question and its choices, still seconds, the bout, the answer and why, the catch-up."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from caller.deciding.lesson import side_of_right
from caller.deciding.model import DecidedRound
from caller.deciding.sides import lane_sides
from caller.moves.catalogue import Move
from caller.runsheet.asking import ChoiceWords, QuestionWords
from caller.runsheet.catchup import catch_up_calls
from caller.runsheet.draft import Draft
from caller.runsheet.model import Board, Countdown, Dial, Lane, Line, RoundFacts, Side
from caller.runsheet.reckoning import question_words
from caller.runsheet.setting import Setting
from caller.runsheet.talk import CHOICE_PAUSE, move_call, move_name, number, part

_BREATH_HOLD_S = 2.0
_DECIDE_S = 4  # 3 to 5 still seconds (Rowe 1986: at least 3; a filled delay helps, Ling et al. 2016)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Placed:
    """A choice on its lane."""

    side: Side
    words: ChoiceWords
    move: Move


def round_calls(setting: Setting, about: DecidedRound) -> Iterator[Draft]:
    """Yield the calls of one round."""
    progress = f"{about.number} / {about.total}" if about.number else ""
    for draft in _calls(setting, about):
        yield replace(draft, round=about.number, board=replace(draft.board, progress=progress))


def _calls(setting: Setting, about: DecidedRound) -> Iterator[Draft]:
    talk, section = setting.talk, about.part
    asked = question_words(setting, about)
    placed = _placed(about, asked)
    lanes = tuple(_lane(setting, each) for each in placed)
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
        yield Draft(kind="choices", part=section, lines=_choices(setting, placed), board=board)
    decide_s = min(_DECIDE_S, about.think_s - 1)
    yield Draft(
        kind="decide",
        part=section,
        lines=(talk.line(f"decide.still{setting.seated}"),),
        board=board,
        countdown=Countdown(seconds=decide_s, beeps=0),
    )
    yield Draft(
        kind="move",
        part=section,
        lines=(talk.line("move.go" if lanes else "be-the-clock.go"),),
        board=board,
        countdown=Countdown(seconds=about.think_s - decide_s),
    )
    # The answer is not on the screen yet while the time is called.
    time_up = talk.line(f"answer.time-up{setting.seated}", tone="time-up")
    yield Draft(kind="time-up", part=section, lines=(time_up,), board=board)
    revealed = replace(asked.revealed, lanes=lanes, answer=about.side if lanes else None)
    yield Draft(kind="answer", part=section, lines=_answer(setting, about, asked), board=revealed)
    why = (talk.own_words(about.reason),) if about.reason else asked.reason
    yield Draft(kind="reason", part=section, lines=why, board=revealed)
    if about.catch_up is not None:
        yield from catch_up_calls(setting, about.catch_up, about.question.dial, section=section)
    rest = talk.line(f"breath.rest{setting.seated}")
    yield Draft(
        kind="breath",
        part=section,
        lines=(rest,),
        board=setting.resting(),
        hold_s=_BREATH_HOLD_S,
        doing="rest" if setting.seated else "shake",
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
        think_s=about.think_s,
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


def _lane(setting: Setting, placed: _Placed) -> Lane:
    words = placed.words
    return Lane(
        side=placed.side,
        numeral=words.numeral,
        words=words.words or (setting.talk.words(words.label) if words.label else ""),
        move=placed.move.slug,
        move_name=setting.name(placed.move),
        dial=words.dial,
    )


def _ready(setting: Setting, about: DecidedRound) -> tuple[Line, ...]:
    talk = setting.talk
    if about.number is None:
        lines = [talk.line("practice.intro")]
    else:
        lines = [talk.line("ready.round", n=number(about.number), total=number(about.total))]
    if about.part == "calm":
        lines.insert(0, talk.line("ready.calm"))
    return talk.called(tuple(lines))


def _choices(setting: Setting, placed: tuple[_Placed, ...]) -> tuple[Line, ...]:
    """Return each choice read aloud with its side and move, and then all of them again."""
    talk = setting.talk

    def read(*, again: bool) -> Iterator[Line]:
        # Where there is a second language, the second reading is in it.
        language = talk.second if again else None
        for each in placed:
            label = each.words.again if again and not talk.second else each.words.label
            # A clock to be found has no words of its own: its lane names it.
            key = f"choice.{'again-' if again else ''}{each.side}" if label else f"find.choice-{each.side}"
            yield talk.line(
                key,
                time=label or part(f"find.{each.side}"),
                call=move_call(each.move),
                point_to=each.side,
                pause=CHOICE_PAUSE,
                language=language,
            )

    return (*read(again=False), *read(again=True))


def _answer(setting: Setting, about: DecidedRound, asked: QuestionWords) -> tuple[Line, ...]:
    talk, told = setting.talk, asked.answer
    lines = [talk.with_tone(told[0], "answer"), *told[1:]]
    if asked.choices:
        move = side_of_right(about.moves, about.side)
        lines.append(talk.line(f"answer.{about.side}", move=move_name(move), point_to=about.side))
    return tuple(lines)
