"""Decide a lesson: its clocks, wrong readings, sides, moves and seconds, worked out over the whole of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from caller.clock import DayTime, arms_can_show
from caller.clock.beyond_dial import on_day
from caller.deciding import DecidedLesson, DecidedRound, Side
from caller.deciding.circumstances import Circumstances, LessonInHand
from caller.deciding.pick_moves import MovesWanted, bout_s, easy_move, pick_moves, warm_up_of
from caller.deciding.sides import kept_free_of_runs, side_sequence
from caller.lesson import Lesson, Round
from caller.moves import Move, find
from caller.moves.effort import intensity
from caller.moves.uses import CatchUpChosen, catch_up
from caller.moves.uses import calm as is_calm
from caller.questions import question_kind
from caller.questions.kind import Question, ShownTime

_DECIDE_S: Final = 3
"""Still seconds before all begin together, on top of the word: 3 is the least that gives better answers (Rowe
1986, J Teach Educ
37:43), and a filled delay helps the young (Ling et al. 2016, Cogn Dev)."""

_EIGHT_Y: Final = 8.0
_MIXUP_EVERY: Final = (4, 3)
"""Each third or fourth round the way to the wrong reading is told, under eight years and from eight: hearing
of
errors helps those who read surely already (McLaren, Adams and Mayer 2015, IJAIED; how often is own
judgement)."""
_ARMS_ROUND: Final = 2  # the clock is shown once with the arms; each time would cost a bout
_ARMS_IN_ROUNDS: Final = 8  # and in a shorter lesson the once would
_ARMS_SHOW_MIN: Final = 5  # arms held as hands tell no single minutes
_HARD_WITHOUT_BREATH_S: Final = 40
"""So much vigorous movement in a round asks for a breath after it. A bout of 20 s, the answer as rest, and a
catch-up do not: 15 to 30 s on and as long off suit children (Baquet et al. 2019, Pediatr Exerc Sci
31:248)."""


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
    example, greeted = lesson.worked_example, hand.given.led_before
    easy = easy_move(hand)
    practice = None if lesson.practice.skip else _practice(hand, times, rules=not greeted)
    return DecidedLesson(
        lesson=lesson,
        step=hand.step,
        registers=hand.registers,
        age_y=hand.age_y,
        resting=resting_move(lesson),
        easy=easy,
        greeted=greeted,
        warm_up=warm_up_of(hand),
        example=None if example.skip else example.time or hand.spare_time("example", times),
        practice=practice,
        rounds=_rounds(
            hand,
            times,
            easy,
            rules=not greeted and practice is None,
            asked={practice.question.kind} if practice is not None else set(),
        ),
    )


def resting_move(lesson: Lesson) -> Move:
    """Return what the figure of a pause does: it breathes slowly."""
    move = find("slow-breaths")
    return find(move.seated) if lesson.seated else move


def _times(hand: LessonInHand) -> tuple[ShownTime, ...]:
    """Return the time of every round: the script's own, else one of the step's that no round has yet."""
    lesson = hand.lesson
    taken: list[ShownTime] = [each.time for each in lesson.rounds if each.time is not None]
    times: list[ShownTime] = []
    for number, each in enumerate(lesson.rounds, start=1):
        time = each.time
        if time is None:
            with_arms = question_kind(each.kind).choices == "none"
            time = hand.spare_time(number, taken, fits=arms_can_show if with_arms else None)
            if question_kind(each.kind).day_time:
                half = hand.streams.of("half", number).choice((0, 720))
                time = DayTime.from_minutes(time.minutes + half)
            taken.append(time)
        times.append(time)
    return tuple(times)


def _practice(hand: LessonInHand, times: Sequence[ShownTime], *, rules: bool) -> DecidedRound:
    lesson = hand.lesson
    time = lesson.practice.time or hand.spare_time("practice", times)
    each = replace(_like_the_rounds(lesson), wrong=lesson.practice.wrong, moves=lesson.practice.moves)
    asked = on_day(time, "pm") if question_kind(each.kind).day_time else time
    question = hand.question(each, "practice", asked, used=())
    sides = side_sequence(hand.streams.of("sides", "practice"), question.choices, 1)
    own = tuple(map(find, each.moves))
    (moves,) = pick_moves(hand, [MovesWanted(name="practice", count=question.choices, own=own)])
    decide_s, seconds = _seconds(hand, moves, lesson.think_seconds)
    return DecidedRound(
        part="practice",
        number=None,
        total=len(lesson.rounds),
        question=question,
        side=sides[0],
        moves=moves,
        decide_s=decide_s,
        bout_s=seconds,
        catch_up=None,
        rules=rules,
        full=True,
        twice=lesson.say_twice,
    )


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


def _rounds(
    hand: LessonInHand, times: Sequence[ShownTime], easy: Move, *, rules: bool, asked: set[str]
) -> tuple[DecidedRound, ...]:
    lesson, total = hand.lesson, len(hand.lesson.rounds)
    questions = _questions(hand, times)
    sides = _sides(hand, questions)
    calm = [lesson.calm_last_round and number == total for number in range(1, total + 1)]
    wanted = [
        MovesWanted(
            name=number,
            count=question.choices,
            own=tuple(map(find, each.moves)) if question.choices else (),
            calm=calm[number - 1],
            last=number == total,
            seconds=_still_and_bout_s(each.think_seconds or lesson.think_seconds)[1],
        )
        for number, (each, question) in enumerate(zip(lesson.rounds, questions, strict=True), start=1)
    ]
    rounds: list[DecidedRound] = []
    for index, moves in enumerate(pick_moves(hand, wanted)):
        each, question, number = lesson.rounds[index], questions[index], index + 1
        full = number == 1
        decide_s, seconds = _seconds(hand, moves or (easy,), each.think_seconds or lesson.think_seconds)
        about = DecidedRound(
            part="calm" if calm[index] and _calm(moves, hand.age_y) else "round",
            number=number,
            total=total,
            question=question,
            side=sides[index],
            moves=moves,
            decide_s=decide_s,
            bout_s=seconds,
            catch_up=None,
            meanwhile=None if moves else easy,
            rules=rules and number == 1,
            full=full,
            asked_before=not full and question.kind in asked,
            twice=lesson.say_twice,
            mixup_told=number % _MIXUP_EVERY[hand.age_y >= _EIGHT_Y] == 0,
            say=each.say,
            reason=each.reason,
        )
        after = catch_up(
            each.catch_up or lesson.catch_up.kind,
            about.right_move,
            easy=easy,
            age_y=hand.age_y,
            seconds=lesson.catch_up.seconds,
            # Who has just been the clock need not be it again.
            arms=number == _ARMS_ROUND
            and total >= _ARMS_IN_ROUNDS
            and bool(moves)
            and question.dial.minute % _ARMS_SHOW_MIN == 0
            and arms_can_show(question.dial),
        )
        asked.add(question.kind)
        rounds.append(replace(about, catch_up=after, breath=_asks_for_breath(about, after, hand.age_y)))
    return tuple(rounds)


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


def _seconds(hand: LessonInHand, moves: Sequence[Move], think_s: int | None) -> tuple[int, int]:
    """Return the seconds to decide and those of the bout.

    A script's think time is both together: the still seconds come first, and the bout is what is left of it,
    as far as the moves and the age allow.
    """
    decide_s, wanted_s = _still_and_bout_s(think_s)
    return decide_s, bout_s(tuple(moves), hand.age_y, wanted_s)


def _still_and_bout_s(think_s: int | None) -> tuple[int, int | None]:
    if think_s is None:
        return _DECIDE_S, None
    decide_s = min(_DECIDE_S, think_s // 2)
    return decide_s, think_s - decide_s


def _calm(moves: Sequence[Move], age_y: float) -> bool:
    return bool(moves) and all(is_calm(move, age_y) for move in moves)


def _asks_for_breath(about: DecidedRound, after: CatchUpChosen, age_y: float) -> bool:
    """Tell whether a round was vigorous for so long that listening to the next one is not rest enough."""
    moves = [(move, about.bout_s) for move in about.moves[:1]]
    moves += [(after.move, after.seconds)] if after.move is not None else []
    hard_s = sum(seconds for move, seconds in moves if intensity(move.effort.met(age_y)) == "vigorous")
    return hard_s > _HARD_WITHOUT_BREATH_S
