"""Decide a lesson: its clocks, wrong readings, sides, moves and seconds, worked out over the whole of it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from caller.clock.times import DayTime
from caller.deciding.circumstances import Circumstances, LessonInHand
from caller.deciding.model import DecidedLesson, DecidedRound, Side
from caller.deciding.moves import pick_moves, warm_up_of
from caller.deciding.sides import kept_free_of_runs, lane_sides, side_sequence
from caller.lesson.model import Lesson, Round
from caller.moves.catalogue import Move, find
from caller.moves.catchup import CatchUp, CatchUpKind, catch_up
from caller.questions import question_kind
from caller.questions.kind import ShownTime


def decide(lesson: Lesson, given: Circumstances | None = None) -> DecidedLesson:
    """Return the lesson with every choice made; the same lesson under the same circumstances gives the same.

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
    times = _times(hand)
    example = lesson.worked_example
    return DecidedLesson(
        lesson=lesson,
        step=hand.step,
        registers=hand.registers,
        resting=resting_move(lesson),
        marching=find("seated-march" if lesson.seated else "march"),
        warm_up=warm_up_of(hand),
        example=None if example.skip else example.time or hand.spare_time("example", times),
        practice=None if lesson.practice.skip else _practice(hand, times),
        rounds=tuple(_rounds(hand, times)),
    )


def resting_move(lesson: Lesson) -> Move:
    """Return what the figure of a pause does: it breathes slowly."""
    move = find("slow-breaths")
    return find(move.seated) if lesson.seated else move


def side_of_right(moves: Sequence[Move], side: Side) -> Move:
    """Return the move of the lane on this side, of two or three from left to right."""
    return moves[lane_sides(len(moves)).index(side)]


def _times(hand: LessonInHand) -> tuple[ShownTime, ...]:
    """Return the time of every round: the script's own, else one of the step's that no round has yet."""
    lesson = hand.lesson
    taken: list[ShownTime] = [each.time for each in lesson.rounds if each.time is not None]
    times: list[ShownTime] = []
    for number, each in enumerate(lesson.rounds, start=1):
        time = each.time
        if time is None:
            time = hand.spare_time(number, taken)
            if question_kind(each.kind).day_time:
                half = hand.streams.of("half", number).choice((0, 720))
                time = DayTime.from_minutes(time.minutes + half)
            taken.append(time)
        times.append(time)
    return tuple(times)


def _practice(hand: LessonInHand, times: Sequence[ShownTime]) -> DecidedRound:
    lesson = hand.lesson
    time = lesson.practice.time or hand.spare_time("practice", times)
    each = Round(time=time, wrong=lesson.practice.wrong, moves=lesson.practice.moves)
    question = hand.question(each, "practice", time, used=())
    sides = side_sequence(hand.streams.of("sides", "practice"), question.choices, 1)
    moves = tuple(map(find, each.moves)) or pick_moves(hand, "practice", question.choices, (), calm=False)
    return DecidedRound(
        part="practice",
        number=None,
        total=len(lesson.rounds),
        question=question,
        side=sides[0],
        moves=moves,
        think_s=lesson.think_seconds,
        catch_up=None,
    )


def _rounds(hand: LessonInHand, times: Sequence[ShownTime]) -> Iterator[DecidedRound]:
    lesson = hand.lesson
    used: list[frozenset[str]] = []
    sides: list[Side] = []
    previous: tuple[Move, ...] = ()
    for number, (each, time) in enumerate(zip(lesson.rounds, times, strict=True), start=1):
        question = hand.question(each, number, time, used=tuple(used))
        used += [wrong.mixups for wrong in question.wrong if wrong.mixups]
        calm = lesson.calm_last_round and number == len(lesson.rounds)
        side: Side = "middle"
        moves: tuple[Move, ...] = ()
        after: CatchUp | None = None
        if question.choices:
            side = each.answer or _side(hand, number, question.choices, sides)
            sides.append(side)
            moves = tuple(map(find, each.moves)) or pick_moves(
                hand, number, question.choices, previous, calm=calm
            )
            previous = moves
            after = _catch_up(hand, each.catch_up or lesson.catch_up.kind, side_of_right(moves, side))
        yield DecidedRound(
            part="calm" if calm else "round",
            number=number,
            total=len(lesson.rounds),
            question=question,
            side=side,
            moves=moves,
            think_s=each.think_seconds or lesson.think_seconds,
            catch_up=after,
            say=each.say,
            reason=each.reason,
        )


def _catch_up(hand: LessonInHand, kind: CatchUpKind, move: Move) -> CatchUp:
    return catch_up(kind, move.slug, reps=hand.lesson.catch_up.reps)


def _side(hand: LessonInHand, number: int, choices: int, before: Sequence[Side]) -> Side:
    sequence = side_sequence(hand.streams.of("sides", choices), choices, number)
    return kept_free_of_runs(sequence[-1], before, choices)
