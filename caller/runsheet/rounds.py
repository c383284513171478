"""One round: the question and its choices, still seconds, the bout, the answer and why, the catch-up."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Final

from caller.deciding import DecidedLesson, DecidedRound, Side, lane_sides
from caller.languages.phrases import Fragment, MoveWords, Reading
from caller.lesson import Lesson
from caller.moves import Move
from caller.runsheet import Countdown, Dial, RoundFacts
from caller.runsheet.asking import Choice, QuestionAsked
from caller.runsheet.reckoning import question_asked
from caller.runsheet.sayings import (
    CHOICE_PAUSE,
    SHORT_PAUSE,
    SLOW_PAUSE,
    Draft,
    LaneShown,
    Saying,
    Shown,
    called,
    own_words,
    say,
)

_ARMS_S: Final = 2.0
_LOOK: Final = ("catch-up.look-again", "catch-up.trace", "catch-up.nobody-has-to")
_BREATH_HOLD_S: Final = 2.0
_SHOWN_S: Final = 3.0  # so long a time made with the arms is held for all to see
_LAST_BEEPS: Final = 3  # the beat carries the bout; its last seconds are counted


@dataclass(frozen=True, slots=True, kw_only=True)
class _Placed:
    """A choice on its lane."""

    side: Side
    choice: Choice
    move: Move


def round_calls(decided: DecidedLesson, about: DecidedRound) -> Iterator[Draft]:
    """Yield the calls of one round."""
    yield from _of_round(about, _calls(decided, about, question_asked(about)))


def _of_round(about: DecidedRound, drafts: Iterable[Draft]) -> Iterator[Draft]:
    """Yield calls with what is the same in all of a round's."""
    question = about.question
    times = (question.dial, question.claim, *(each.dial for each in question.wrong))
    on_offer = tuple(each for each in times if each is not None)
    progress = f"{about.number} / {about.total}" if about.number and about.total else ""
    for draft in drafts:
        board = replace(draft.board, progress=progress)
        yield replace(draft, round=about.number, board=board, on_offer=on_offer)


def _calls(decided: DecidedLesson, about: DecidedRound, asked: QuestionAsked) -> Iterator[Draft]:
    section, seated = about.part, "-seated" if decided.lesson.seated else ""
    placed = _placed(about, asked)
    lanes = tuple(_lane(about, each) for each in placed)
    board = replace(asked.board, lanes=lanes)
    dials = (Dial(time=None),)
    yield Draft(kind="ready", part=section, sayings=_ready(about), board=Shown(layout="clock", dials=dials))
    question = (*own_words(about.say), *asked.question)
    yield Draft(kind="question", part=section, sayings=question, board=asked.board)
    if lanes:
        choices = _choices(decided.lesson, about, placed)
        yield Draft(kind="choices", part=section, sayings=choices, board=board)
    yield Draft(
        kind="decide",
        part=section,
        sayings=(say(_decide_key(about), pause=SHORT_PAUSE),),
        board=board,
        countdown=Countdown(seconds=about.decide_s, beeps=0),
    )
    yield _bout(about, asked, board)
    # The answer is not on the screen yet while the time is called.
    up = say(f"answer.stop{seated}" if lanes else "be-the-clock.go", pause=SHORT_PAUSE)
    yield Draft(
        kind="time-up",
        part=section,
        sayings=called((up,), "time-up"),
        board=board,
        hold_s=0.0 if lanes else _SHOWN_S,
    )
    revealed = replace(asked.revealed, lanes=lanes, answer=about.side if lanes else None)
    yield Draft(kind="answer", part=section, sayings=_answer(about, asked), board=revealed)
    yield Draft(kind="reason", part=section, sayings=_why(about, asked), board=revealed)
    yield from _catch_up(about)
    if about.breath:
        yield Draft(
            kind="breath",
            part=section,
            sayings=(say(f"breath.rest{seated}"),),
            board=Shown(layout="figure", move=decided.resting),
            hold_s=_BREATH_HOLD_S,
            doing="rest" if seated else "shake",
        )


def _placed(about: DecidedRound, asked: QuestionAsked) -> tuple[_Placed, ...]:
    """Return the choices from left to right, the right one on its side."""
    if not asked.choices:
        return ()
    right, *wrong = asked.choices
    return tuple(
        _Placed(side=side, choice=right if side == about.side else wrong.pop(0), move=move)
        for side, move in zip(lane_sides(len(asked.choices)), about.moves, strict=True)
    )


def _lane(about: DecidedRound, placed: _Placed) -> LaneShown:
    choice = placed.choice
    return LaneShown(
        side=placed.side,
        numeral=choice.numeral,
        words=None if _just_yes_or_no(about) else choice.words or choice.label,
        move=placed.move,
        dial=choice.dial,
    )


def _ready(about: DecidedRound) -> tuple[Saying, ...]:
    """Return what calls the class to the next clock; which one it is stands on the screen."""
    keys = []
    if about.part == "calm":
        keys.append("ready.calm")
    if about.part in ("practice", "reteach"):
        keys.append("practice.intro")
    if about.rules and about.moves:
        keys.append("rules.first")
    return called(tuple(map(say, keys)) or (Saying(words=None, pause=0.0),))


def _choices(lesson: Lesson, about: DecidedRound, placed: tuple[_Placed, ...]) -> tuple[Saying, ...]:
    """Return each choice read aloud with its side and move; again where asked, or in a second language.

    A second language says all of the first clock again. From then on it says the words of each choice
    straight after the first language has: that lane's figure shows the move, and two languages leave time
    to move.
    """
    second = bool(lesson.second_language)

    def read(*, again: bool) -> Iterator[Saying]:
        for each in placed:
            label = each.choice.again if again and not second else each.choice.label
            if _just_yes_or_no(about):
                label = each.choice.again
            # A clock to be found has no words of its own: its lane names it.
            brief = "again-" if again or not about.full else ""
            key = f"choice.{brief}{each.side}" if label else f"find.choice-{each.side}"
            if _just_yes_or_no(about):  # "left: no, squats" would be heard as "no squats"
                key = f"choice.yes-or-no-{each.side}"
            name = MoveWords(each.move.slug, "call" if about.full else "begun name")
            yield say(
                key,
                time=label or Fragment(f"find.{each.side}"),
                answer=label or Fragment(f"find.{each.side}"),
                call=MoveWords(each.move.slug) if label and brief else name,
                point_to=each.side,
                pause=CHOICE_PAUSE if about.full else SHORT_PAUSE,
                # Where there is a second language, the second reading is in it.
                second=again and second,
            )

    once = tuple(read(again=False))
    if about.twice or (second and about.full):
        return (*once, *read(again=True))
    if not second:
        return once
    sayings: list[Saying] = []
    for each, saying in zip(placed, once, strict=True):
        label = each.choice.again if _just_yes_or_no(about) else each.choice.label
        # The other voice parts the two by itself; a clock to be found has no words of its own.
        sayings.append(replace(saying, pause=0.0) if label else saying)
        if label:
            more = say("choice.second", time=label, point_to=each.side, pause=SHORT_PAUSE, second=True)
            sayings.append(more)
    return tuple(sayings)


def _just_yes_or_no(about: DecidedRound) -> bool:
    """What is claimed has just been asked, so that yes or no is enough."""
    return not about.full and about.question.claim is not None


def _decide_key(about: DecidedRound) -> str:
    """Where there is nothing to choose there is nothing to decide: the class thinks."""
    if not about.moves:
        return "decide.think"
    return "decide.still" if about.full else "decide.short"


def _bout(about: DecidedRound, asked: QuestionAsked, board: Shown) -> Draft:
    """Return the call that moves; where nothing is chosen the class moves while it thinks."""
    saying = say("move.go", pause=0.0)
    if about.meanwhile is not None:
        call = MoveWords(about.meanwhile.slug, "call")
        saying = say("be-the-clock.meanwhile", call=call, pause=SHORT_PAUSE)
        board = replace(asked.board, layout="figure", move=about.meanwhile, named=True)
    return Draft(
        kind="move",
        part=about.part,
        sayings=(saying,),
        board=board,
        countdown=Countdown(seconds=about.bout_s, tick=None, beeps=_LAST_BEEPS),
    )


def _answer(about: DecidedRound, asked: QuestionAsked) -> tuple[Saying, ...]:
    side = about.side if asked.choices else None
    # The tone that has just stopped the class is enough. A reason of the teacher's own may not name the time.
    if not about.full and not about.reason:
        return (replace(asked.brief, point_to=side),)
    first, *more = called(asked.answer, "answer")
    sayings = (replace(first, point_to=side), *more)
    if not about.full or about.right_move is None:
        return sayings
    move = MoveWords(about.right_move.slug)
    return (*sayings, say(f"answer.{about.side}", move=move, point_to=about.side))


def _why(about: DecidedRound, asked: QuestionAsked) -> tuple[Saying, ...]:
    """Return the teacher's own reason, else the one read off the clock."""
    return own_words(about.reason) or asked.reason


def _catch_up(about: DecidedRound) -> Iterator[Draft]:
    """Yield the catch-up of a round; nothing where it has none."""
    plan, time = about.catch_up, about.question.dial
    if plan is None or plan.kind == "none":
        return
    dials = (Dial(time=time),)
    if plan.kind == "practise":
        yield Draft(
            kind="catch-up",
            part=about.part,
            sayings=tuple(map(say, _LOOK)),
            board=Shown(layout="clock", dials=dials),
            hold_s=float(plan.seconds),
            doing="still",
        )
        return
    if plan.arms:
        yield Draft(
            kind="catch-up",
            part=about.part,
            sayings=(say("catch-up.arms", time=Reading(time)),),
            board=Shown(layout="figure", dials=dials, arms=time),
            hold_s=_ARMS_S,
        )
    if plan.move is None:
        return
    # Its call has just been heard, and the figure does it.
    key, name = "catch-up.bout", MoveWords(plan.move.slug)
    if plan.move.hold:
        key, name = "catch-up.hold", MoveWords(plan.move.slug, "begun name")
    if plan.kind == "calm":
        key, name = "catch-up.calm-bout", MoveWords(plan.move.slug, "call")
    yield Draft(
        kind="catch-up",
        part=about.part,
        sayings=(say(key, call=name, pause=SHORT_PAUSE),),
        board=Shown(layout="figure", dials=dials, move=plan.move, named=True),
        hold_s=float(plan.seconds),
        doing="breathe" if plan.kind == "calm" else None,
    )


def reason_again(about: DecidedRound) -> Iterator[Draft]:
    """Yield the reason of a round once more, with time to look between its sentences."""
    asked = question_asked(about)
    slowly = tuple(replace(each, pause=SLOW_PAUSE) for each in _why(about, asked))
    sayings = called((say("reteach.again", pause=SLOW_PAUSE), *slowly))
    again = Draft(kind="reason", part="reteach", sayings=sayings, board=asked.revealed)
    yield from _of_round(about, (again,))


def facts_of(decided: DecidedLesson, about: DecidedRound) -> RoundFacts:
    """Return what the round was about; a round without a wrong answer has its answer in the middle."""
    wrong = about.question.told_wrong
    return RoundFacts(
        round=about.number or 0,
        part=about.part,
        question=about.question.kind,
        step=decided.lesson.step,
        time=about.question.dial,
        answer=about.side,
        wrong=tuple(each.dial for each in wrong),
        mixups=tuple(each.mixups for each in wrong),
        moves=tuple(move.slug for move in about.moves),
        think_s=about.decide_s + about.bout_s,
    )
