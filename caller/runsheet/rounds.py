"""One round: ready, the question, the choices, think time, the answer, why, and the catch-up."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from caller.lesson.model import CatchUpKind
from caller.moves.catalogue import find
from caller.runsheet.catchup import catch_up_calls
from caller.runsheet.draft import Draft
from caller.runsheet.model import Board, Countdown, Dial, Lane, Line, Part, RoundFacts, Side
from caller.runsheet.questions import Asked, Choice
from caller.runsheet.setting import Setting
from caller.runsheet.sides import lane_sides
from caller.runsheet.talk import CHOICE_PAUSE, move_call, move_name, number, part

_BREATH_HOLD_S = 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class RoundPlan:
    """A round with everything decided."""

    section: Part
    number: int | None  # from 1; None for the practice
    total: int
    question: str
    asked: Asked
    side: Side  # of the right choice
    moves: tuple[str, ...]  # by lane, left to right
    think_s: int
    catch_up: CatchUpKind
    say: str = ""
    reason: str = ""


def round_calls(setting: Setting, plan: RoundPlan) -> Iterator[Draft]:
    """Yield the calls of one round."""
    progress = f"{plan.number} / {plan.total}" if plan.number else ""
    for draft in _calls(setting, plan):
        yield replace(draft, round=plan.number, board=replace(draft.board, progress=progress))


def _calls(setting: Setting, plan: RoundPlan) -> Iterator[Draft]:
    talk, asked = setting.talk, plan.asked
    section = plan.section
    lanes = lanes_of(setting, plan)
    board = replace(asked.board, lanes=lanes)
    yield Draft(
        kind="ready",
        part=section,
        lines=_ready(setting, plan),
        board=Board(layout="clock", dials=(Dial(time=None),)),
    )
    own = (talk.own_words(plan.say),) if plan.say else ()
    yield Draft(kind="question", part=section, lines=(*own, *asked.question), board=asked.board)
    if lanes:
        yield Draft(kind="choices", part=section, lines=_choices(setting, plan), board=board)
    go = "think.go" if lanes else "be-the-clock.go"
    yield Draft(
        kind="think",
        part=section,
        lines=(talk.line(go),),
        board=board,
        countdown=Countdown(seconds=plan.think_s),
    )
    # The answer is not on the screen yet while the time is called.
    time_up = talk.line(f"answer.time-up{setting.seated}", tone="time-up")
    yield Draft(kind="time-up", part=section, lines=(time_up,), board=board)
    revealed = replace(asked.revealed, lanes=lanes, answer=plan.side if lanes else None)
    yield Draft(kind="answer", part=section, lines=_answer(setting, plan), board=revealed)
    why = (talk.own_words(plan.reason),) if plan.reason else asked.reason
    yield Draft(kind="reason", part=section, lines=why, board=revealed)
    if lanes:
        move = plan.moves[lane_sides(len(lanes)).index(plan.side)]
        yield from catch_up_calls(
            setting, plan.catch_up, move, asked.time, section=section, round_number=plan.number
        )
    rest = talk.line(f"breath.rest{setting.seated}")
    yield Draft(
        kind="breath",
        part=section,
        lines=(rest,),
        board=setting.resting(),
        hold_s=_BREATH_HOLD_S,
        doing="rest" if setting.seated else "shake",
    )


def lanes_of(setting: Setting, plan: RoundPlan) -> tuple[Lane, ...]:
    """Return the lanes from left to right, the right choice on its side."""
    return tuple(
        Lane(
            side=side,
            numeral=choice.numeral,
            words=choice.words or (setting.talk.words(choice.label) if choice.label else ""),
            move=move,
            move_name=find(move).name(setting.talk.first.base),
            dial=choice.dial,
        )
        for side, choice, move in _placed(plan)
    )


def facts_of(setting: Setting, plan: RoundPlan) -> RoundFacts:
    """Return what the round was about; a round without a wrong answer has its answer in the middle."""
    time = plan.asked.time
    wrong = [
        choice
        for _, choice, _ in _placed(plan)
        if choice is not plan.asked.choices[0] and choice.time != time
    ]
    return RoundFacts(
        round=plan.number or 0,
        part=plan.section,
        question=plan.question,
        step=setting.lesson.step,
        time=time,
        answer=plan.side,
        wrong=tuple(choice.time for choice in wrong),
        mixups=tuple(choice.mixups for choice in wrong),
        moves=plan.moves,
        think_s=plan.think_s,
    )


def _placed(plan: RoundPlan) -> Iterator[tuple[Side, Choice, str]]:
    if not plan.asked.choices:
        return
    right, *wrong = plan.asked.choices
    for side, move in zip(lane_sides(len(plan.asked.choices)), plan.moves, strict=True):
        yield side, right if side == plan.side else wrong.pop(0), move


def _ready(setting: Setting, plan: RoundPlan) -> tuple[Line, ...]:
    talk = setting.talk
    if plan.number is None:
        lines = [talk.line("practice.intro")]
    else:
        lines = [talk.line("ready.round", n=number(plan.number), total=number(plan.total))]
    if plan.section == "calm":
        lines.insert(0, talk.line("ready.calm"))
    return talk.called(tuple(lines))


def _choices(setting: Setting, plan: RoundPlan) -> tuple[Line, ...]:
    """Return each choice read aloud with its side and move, and then all of them again."""
    talk = setting.talk

    def read(*, again: bool) -> Iterator[Line]:
        # Where there is a second language, the second reading is in it.
        language = talk.second if again else None
        for side, choice, move in _placed(plan):
            label = choice.again if again and not talk.second else choice.label
            # A clock to be found has no words of its own: its lane names it.
            key = f"choice.{'again-' if again else ''}{side}" if label else f"find.choice-{side}"
            yield talk.line(
                key,
                time=label or part(f"find.{side}"),
                call=move_call(move),
                point_to=side,
                pause=CHOICE_PAUSE,
                language=language,
            )

    return (*read(again=False), *read(again=True))


def _answer(setting: Setting, plan: RoundPlan) -> tuple[Line, ...]:
    talk, asked = setting.talk, plan.asked
    told = asked.answer
    if plan.question == "find":
        told = talk.main("find.answer", lane=part(f"find.{plan.side}"), time=talk.time(asked.time))
    lines = [
        talk.with_tone(told[0], "answer"),
        *told[1:],
    ]
    if asked.choices:
        move = plan.moves[lane_sides(len(asked.choices)).index(plan.side)]
        lines.append(talk.line(f"answer.{plan.side}", move=move_name(move), point_to=plan.side))
    return tuple(lines)
