"""What teaching a round again asks: the same mix-up, offered on a sibling clock."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from caller.clock import ClockTime
from caller.deciding import DecidedLesson, DecidedRound
from caller.deciding.circumstances import Circumstances, LessonInHand
from caller.deciding.sides import side_sequence
from caller.errors import ScriptError
from caller.lesson import Lesson, Round
from caller.moves import Move
from caller.questions import question_kind
from caller.questions.kind import Question

_TRIES = 40  # clocks looked at for a sibling


def siblings(
    lesson: Lesson, decided: DecidedLesson, given: Circumstances | None = None
) -> Mapping[int, DecidedRound | None]:
    """Return, by the number of each round with a wrong answer, a round that asks the same again.

    It offers one of the same mix-ups on another clock, where the step has one; else there is None.
    """
    hand = LessonInHand.of(lesson, given)
    shown = [each.question.dial for each in decided.rounds]
    found: dict[int, DecidedRound | None] = {}
    for about, written in zip(decided.rounds, lesson.rounds, strict=True):
        if about.number is None or not about.question.told_wrong:
            continue
        sibling = found[about.number] = _sibling(hand, decided.rounds, about, written, shown)
        if sibling is not None:
            shown.append(sibling.question.dial)
    return found


def _sibling(
    hand: LessonInHand,
    rounds: Sequence[DecidedRound],
    about: DecidedRound,
    written: Round,
    shown: Sequence[ClockTime],
) -> DecidedRound | None:
    wanted = frozenset[str]().union(*(wrong.mixups for wrong in about.question.told_wrong))
    for question in _asked_with(hand, about, written, shown, wanted):
        sides = side_sequence(hand.streams.of("sides", f"reteach-{about.number}"), question.choices, 1)
        return DecidedRound(
            part="reteach",
            number=about.number,
            total=0,
            question=question,
            side=sides[0],
            moves=_moves(rounds, about)[: question.choices],
            decide_s=about.decide_s,
            bout_s=about.bout_s,
            catch_up=None,
            full=True,
        )
    return None


def _moves(rounds: Sequence[DecidedRound], about: DecidedRound) -> tuple[Move, ...]:
    """Return the moves of the like round that is furthest off: they suit this class and were rested from."""
    alike = [each for each in rounds if each.part == about.part and each.moves] or [about]
    return max(alike, key=lambda each: abs((each.number or 0) - (about.number or 0))).moves


def _asked_with(
    hand: LessonInHand,
    about: DecidedRound,
    written: Round,
    shown: Sequence[ClockTime],
    wanted: frozenset[str],
) -> Iterator[Question]:
    """Yield questions about other clocks in which a wrong reading comes from a wanted mix-up."""
    name = f"reteach-{about.number}"
    kind = question_kind(question_kind(written.kind).again)
    times = [time for time in hand.times if time not in shown]
    for time in hand.streams.of("time", name).sample(times, min(len(times), _TRIES)):
        asked = kind.asks_about(time, "pm")
        each = Round(kind=kind.code, time=asked, change_minutes=written.change_minutes, choices=2)
        try:
            question = hand.question(each, name, asked, again=wanted)
        except ScriptError:
            continue
        if not wanted or any(each.mixups & wanted for each in question.wrong):
            yield question
