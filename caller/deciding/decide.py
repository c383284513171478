"""Decide a lesson: its clocks, wrong readings, sides, moves and seconds, worked out over the whole of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from caller.clock import ClockTime, arms_can_show
from caller.deciding import DecidedLesson, DecidedRound, Side, lane_sides
from caller.deciding.circumstances import Circumstances, LessonInHand
from caller.deciding.sides import kept_free_of_runs, side_sequence
from caller.lesson import Lesson, Round
from caller.moves.pick_moves import MovesWanted, RoundMoves, WhoMoves, pick_moves
from caller.questions import question_kind
from caller.questions.kind import Question, ShownTime

_DECIDE_S: Final = 3
"""Still seconds before all begin together, on top of the word: 3 is the least that gives better answers (Rowe
1986, J Teach Educ 37:43), and a filled delay helps the young (Ling et al. 2016, Cogn Dev)."""

_EIGHT_Y: Final = 8.0
_MIXUP_EVERY: Final = (4, 3)
"""Each third or fourth round the way to the wrong reading is told, under eight years and from eight: hearing
of errors helps those who read surely already (McLaren, Adams and Mayer 2015, IJAIED; how often is own
judgement)."""
_ARMS_ROUND: Final = 2  # the clock is shown once with the arms; each time would cost a bout
_ARMS_IN_ROUNDS: Final = 8  # and in a shorter lesson the once would
_ARMS_SHOW_MIN: Final = 5  # arms held as hands tell no single minutes


@dataclass(frozen=True, slots=True, kw_only=True)
class _Asked:
    """What a lesson asks and where the right answers stand; no moves yet."""

    example: ClockTime | None
    practice: Question | None
    practice_side: Side
    rounds: tuple[Question, ...]
    sides: tuple[Side, ...]


def decide(lesson: Lesson, given: Circumstances | None = None) -> DecidedLesson:
    """Return the lesson with every choice made; the same lesson under the same circumstances gives the same.

    The clocks are decided first, then what is asked about them, then the sides, and then the moves.

    Parameters
    ----------
    given
        The hall and the class; the lesson's own space, shoes and floor if left out.

    Raises
    ------
    ScriptError
        If a round cannot be played as it is written.
    UserError
        If no moves fit the hall and the class.
    """
    hand = LessonInHand.of(lesson, given)
    asked = _asked(hand)
    moves = pick_moves(
        WhoMoves(
            conditions=hand.given.conditions, seated=lesson.seated, age_y=hand.age_y, chance=hand.streams.of
        ),
        practice=_practice_wants(lesson, asked),
        rounds=_rounds_want(lesson, asked),
        warm_up=lesson.opening.warm_up,
        warm_up_s=lesson.opening.warm_up_seconds,
    )
    greeted = hand.given.led_before
    return DecidedLesson(
        lesson=lesson,
        step=hand.step,
        registers=hand.registers,
        age_y=hand.age_y,
        resting=moves.resting,
        easy=moves.easy,
        greeted=greeted,
        warm_up=moves.warm_up,
        example=asked.example,
        practice=_practice(lesson, asked, moves.practice, rules=not greeted),
        rounds=_rounds(hand, asked, moves.rounds, rules=not greeted and asked.practice is None),
    )


def _asked(hand: LessonInHand) -> _Asked:
    lesson = hand.lesson
    times = _times(hand)
    example = None
    if not lesson.worked_example.skip:
        example = lesson.worked_example.time or hand.spare_time("example", times)
    practice = None if lesson.practice.skip else _practice_question(hand, times)
    rounds = _questions(hand, times)
    practice_sides = practice and side_sequence(hand.streams.of("sides", "practice"), practice.choices, 1)
    return _Asked(
        example=example,
        practice=practice,
        practice_side=practice_sides[0] if practice_sides else "middle",
        rounds=rounds,
        sides=_sides(hand, rounds),
    )


def _times(hand: LessonInHand) -> tuple[ShownTime, ...]:
    """Return the time of every round: the script's own, else one of the step's that no round has yet."""
    lesson = hand.lesson
    taken: list[ShownTime] = [each.time for each in lesson.rounds if each.time is not None]
    times: list[ShownTime] = []
    for number, each in enumerate(lesson.rounds, start=1):
        time = each.time
        if time is None:
            kind = question_kind(each.kind)
            dial = hand.spare_time(number, taken, fits=arms_can_show if kind.choices == "none" else None)
            time = kind.asks_about(dial, hand.streams.of("half", number).choice(("am", "pm")))
            taken.append(time)
        times.append(time)
    return tuple(times)


def _practice_question(hand: LessonInHand, times: Sequence[ShownTime]) -> Question:
    lesson = hand.lesson
    time = lesson.practice.time or hand.spare_time("practice", times)
    each = replace(_like_the_rounds(lesson), wrong=lesson.practice.wrong)
    return hand.question(each, "practice", question_kind(each.kind).asks_about(time, "pm"))


def _like_the_rounds(lesson: Lesson) -> Round:
    """Return a round that asks as the first reckoning round of a lesson does, if it has one.

    The practice's own wrong readings are of a dial that is read.
    """
    if lesson.practice.wrong:
        return Round()
    for each in lesson.rounds:
        if question_kind(each.kind).skill:
            return Round(kind=each.kind, change_minutes=each.change_minutes)
    return Round()


def _questions(hand: LessonInHand, times: Sequence[ShownTime]) -> tuple[Question, ...]:
    used: list[frozenset[str]] = []
    questions: list[Question] = []
    for number, (each, time) in enumerate(zip(hand.lesson.rounds, times, strict=True), start=1):
        question = hand.question(each, number, time, used=tuple(used))
        used += [wrong.mixups for wrong in question.wrong if wrong.mixups]
        questions.append(question)
    return tuple(questions)


def _sides(hand: LessonInHand, questions: Sequence[Question]) -> tuple[Side, ...]:
    """Return the side of each right choice; the middle where there is nothing to choose."""
    sides: list[Side] = []
    chosen: list[Side] = []
    for number, (each, question) in enumerate(zip(hand.lesson.rounds, questions, strict=True), start=1):
        if not question.choices:
            sides.append("middle")
            continue
        sequence = side_sequence(hand.streams.of("sides", question.choices), question.choices, number)
        chosen.append(each.answer or kept_free_of_runs(sequence[-1], chosen, question.choices))
        sides.append(chosen[-1])
    return tuple(sides)


def _practice_wants(lesson: Lesson, asked: _Asked) -> MovesWanted | None:
    if asked.practice is None:
        return None
    return MovesWanted(
        name="practice",
        count=asked.practice.choices,
        own=lesson.practice.moves,
        seconds=_still_and_bout_s(lesson.think_seconds)[1],
    )


def _rounds_want(lesson: Lesson, asked: _Asked) -> list[MovesWanted]:
    total = len(lesson.rounds)
    return [
        MovesWanted(
            name=number,
            count=question.choices,
            own=each.moves,
            calm=lesson.calm_last_round and number == total,
            last=number == total,
            seconds=_still_and_bout_s(each.think_seconds or lesson.think_seconds)[1],
            right=lane_sides(question.choices).index(side) if question.choices else 0,
            catch_up=each.catch_up or lesson.catch_up.kind,
            catch_up_s=lesson.catch_up.seconds,
            # Who has just been the clock need not be it again.
            arms=number == _ARMS_ROUND
            and total >= _ARMS_IN_ROUNDS
            and question.choices > 0
            and question.dial.minute % _ARMS_SHOW_MIN == 0
            and arms_can_show(question.dial),
        )
        for number, (each, question, side) in enumerate(
            zip(lesson.rounds, asked.rounds, asked.sides, strict=True), start=1
        )
    ]


def _practice(lesson: Lesson, asked: _Asked, moves: RoundMoves | None, *, rules: bool) -> DecidedRound | None:
    if asked.practice is None or moves is None:
        return None
    return DecidedRound(
        part="practice",
        number=None,
        total=len(lesson.rounds),
        question=asked.practice,
        side=asked.practice_side,
        moves=moves.moves,
        decide_s=_still_and_bout_s(lesson.think_seconds)[0],
        bout_s=moves.seconds,
        catch_up=moves.catch_up,
        rules=rules,
        full=True,
        twice=lesson.say_twice,
    )


def _rounds(
    hand: LessonInHand, asked: _Asked, moves: Sequence[RoundMoves], *, rules: bool
) -> tuple[DecidedRound, ...]:
    lesson, total = hand.lesson, len(hand.lesson.rounds)
    before = {asked.practice.kind} if asked.practice is not None else set()
    rounds: list[DecidedRound] = []
    for number, (each, question, side, chosen) in enumerate(
        zip(lesson.rounds, asked.rounds, asked.sides, moves, strict=True), start=1
    ):
        last_and_calm = lesson.calm_last_round and number == total and chosen.calm
        rounds.append(
            DecidedRound(
                part="calm" if last_and_calm else "round",
                number=number,
                total=total,
                question=question,
                side=side,
                moves=chosen.moves,
                decide_s=_still_and_bout_s(each.think_seconds or lesson.think_seconds)[0],
                bout_s=chosen.seconds,
                catch_up=chosen.catch_up,
                meanwhile=chosen.meanwhile,
                breath=chosen.breath,
                rules=rules and number == 1,
                full=number == 1,
                asked_before=number > 1 and question.kind in before,
                twice=lesson.say_twice,
                mixup_told=number % _MIXUP_EVERY[hand.age_y >= _EIGHT_Y] == 0,
                say=each.say,
                reason=each.reason,
            )
        )
        before.add(question.kind)
    return tuple(rounds)


def _still_and_bout_s(think_s: int | None) -> tuple[int, int | None]:
    """Return the seconds to decide, and those that the bout is to have.

    A script's think time is both together: the still seconds come first, and the bout is what is left of it,
    as far as the moves and the age allow.
    """
    if think_s is None:
        return _DECIDE_S, None
    decide_s = min(_DECIDE_S, think_s // 2)
    return decide_s, think_s - decide_s
