"""Which moves a lesson uses, over the whole of it: fair, lively, within its landings, none too often."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from itertools import cycle, islice
from math import ceil
from typing import Final, TypeAlias

from caller.deciding import WarmUpMove
from caller.deciding.circumstances import LessonInHand
from caller.errors import UserError
from caller.moves import Move, catalogue, find
from caller.moves.effort import intensity
from caller.moves.pairs import Conditions, fair_pairs, fair_threes, objections
from caller.moves.poses import shared_bpm
from caller.moves.uses import MOST_LANDINGS, bout_limits, gentle, landings, lively
from caller.moves.uses import calm as is_calm

_ONLY_IN_PAIRS: Final = frozenset({"same-move", "alike", "alike-seated"})
_EASY: Final = ("march", "step-touch", "squats")  # the first that fits is what everybody can do at any time
_VIGOROUS_SHARE: Final = 1 / 4  # of the rounds at most: the others move longer, and children recover
_WARM_UP_MOVE_S: Final = (15, 25)
_WARM_UP_GENTLE: Final = 1
_WARM_UP_BRISK: Final = 3
_LIGHT_COST: Final = 4.0  # where the hall leaves no lively choice, the next best is the least light one
_OWN_LIMITS: Final = "allow more space, or name the moves in the lesson."

Choices: TypeAlias = tuple[Move, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class MovesWanted:
    """What one round wants: so many moves, its own where the script names them, calm ones or lively.

    `seconds` is how long the bout is to be; as long as the moves ask for where it is None.
    """

    name: int | str
    count: int
    own: Choices = ()
    calm: bool = False
    last: bool = False
    seconds: int | None = None


def pick_moves(hand: LessonInHand, rounds: Sequence[MovesWanted]) -> list[Choices]:
    """Return the moves of every round, from left to right.

    Each round takes, of the fair choices that the landings left allow, the one that tires no muscle twice
    running, repeats least of what the lesson has had, and keeps vigorous rounds few; chance decides
    among equals. What the hall and the class allow never gives way.

    Raises
    ------
    UserError
        If this hall and class leave no such moves.
    """
    done: list[Choices] = []
    left = MOST_LANDINGS - sum(
        _worst_landings(each.own, hand.age_y, each.seconds) for each in rounds if each.own
    )
    for each in rounds:
        moves = each.own
        if each.count and not moves:
            moves = _picked(hand, each, done, left)
            left -= _worst_landings(moves, hand.age_y, each.seconds)
        done.append(moves if each.count else ())
    return done


def bout_s(moves: Choices, age_y: float, wanted_s: int | None = None) -> int:
    """Return how long the moves of a round last: as long as wanted, within what each of them allows."""
    limits = [bout_limits(move, age_y) for move in moves]
    most = min((each.most_s for each in limits), default=10)
    return min(most, wanted_s if wanted_s is not None else min((each.usual_s for each in limits), default=10))


def easy_move(hand: LessonInHand) -> Move:
    """Return a move that everybody can do at any time."""
    if hand.lesson.seated:
        return find("seated-march")
    return next((find(slug) for slug in _EASY if suits(slug, hand.given.conditions)), find(_EASY[0]))


def warm_up_of(hand: LessonInHand) -> tuple[WarmUpMove, ...]:
    """Return the warm-up: the script's own moves, else some that rise from gentle to lively.

    A move lasts 15 to 25 s; where the time asks for more, the livelier ones come again.
    """
    opening = hand.lesson.opening
    total_s = opening.warm_up_seconds
    moves = tuple(map(find, opening.warm_up)) or _rising(hand)
    if not total_s or not moves:
        return ()  # nothing gentle fits this hall and this class: the teacher warms them up
    least_s, most_s = _WARM_UP_MOVE_S
    count = max(1, 1 + ceil((total_s - least_s) / (most_s - 1)))
    spread = _spread(moves, count)
    first_s = min(least_s, total_s) if len(spread) > 1 else total_s  # the gentle one is short
    each_s = round((total_s - first_s) / max(len(spread) - 1, 1), 2)
    return tuple(
        WarmUpMove(move=move, seconds=each_s if index else float(first_s))
        for index, move in enumerate(spread)
    )


def suits(slug: str, conditions: Conditions) -> bool:
    """Tell whether a move fits a hall and class, whatever it is paired with."""
    return all(each.code in _ONLY_IN_PAIRS for each in objections(slug, slug, conditions=conditions))


def _spread(moves: Choices, count: int) -> Choices:
    """Return so many moves, rising as `moves` do; the livelier ones come again, and none twice running.

    Two moves may have to.
    """
    if count <= len(moves):
        picked = [moves[index * len(moves) // count] for index in range(count)]
        picked[-1] = moves[-1]
        return tuple(picked)
    first, last, lively_ones = moves[0], moves[-1], moves[1:]
    turns = {0: moves, 1: moves, 2: lively_ones}.get(len(lively_ones), lively_ones[:-1])
    between = tuple(islice(cycle(turns), count - 2))
    if between[-1:] == (last,):
        between = tuple(islice(cycle(turns), 1, count - 1))
    return (first, *between, last)


def _rising(hand: LessonInHand) -> Choices:
    """Return moves to warm up with: one gentle one, then brisk ones, the effort rising, none that jumps.

    Where a small floor leaves few brisk ones, steady ones such as squats come in, each for another part of
    the body: light moves by turns warm nobody.
    """
    conditions, age_y = hand.given.conditions, hand.age_y
    seated = hand.lesson.seated
    suitable = [
        move
        for move in catalogue().values()
        if (move.kind == "seated" if seated else (gentle(move) and move.kind == "warm-up") or _brisk(move))
        and suits(move.slug, conditions)
    ]
    chance = hand.streams.of("warm-up")
    chance.shuffle(suitable)  # among moves of the same effort, chance decides
    suitable.sort(key=lambda move: move.effort.met(age_y))
    soft = [move for move in suitable if not lively(move, age_y)]
    brisk = [move for move in suitable if lively(move, age_y)]
    if not seated and len(brisk) < _WARM_UP_BRISK:
        steady = [
            move for move in catalogue().values() if _steady(move, age_y) and suits(move.slug, conditions)
        ]
        chance.shuffle(steady)
        for move in steady:
            if len(brisk) < _WARM_UP_BRISK and move.muscle not in {each.muscle for each in brisk}:
                brisk.append(move)
        brisk.sort(key=lambda move: move.effort.met(age_y))
    return tuple(soft[:_WARM_UP_GENTLE] + brisk) or tuple(suitable)


def _brisk(move: Move) -> bool:
    return move.kind == "locomotor" and not move.jumps and not move.high_impact


def _steady(move: Move, age_y: float) -> bool:
    return move.kind == "strength" and not (move.hold or move.floor) and lively(move, age_y)


def _picked(hand: LessonInHand, wanted: MovesWanted, done: Sequence[Choices], left: float) -> Choices:
    random, age_y = hand.streams.of("moves", wanted.name), hand.age_y
    hall = hand.given.conditions
    use = is_calm if wanted.calm else lively
    for among in (_slugs(lambda move: use(move, age_y)), None):
        choices = [
            moves
            for moves in _fair(hall, among, wanted.count)
            if _worst_landings(moves, age_y, wanted.seconds) <= left
            and not (wanted.last and any(move.high_impact for move in moves))
        ]
        if choices:
            light = 0.0 if among is not None else _LIGHT_COST
            best = min(
                choices,
                key=lambda moves: (
                    _cost(moves, done, age_y) - light * min(move.effort.met(age_y) for move in moves),
                    random.random(),
                ),
            )
            return tuple(random.sample(best, len(best)))
    raise UserError(
        f"No {'two' if wanted.count == 2 else 'three'} moves fit this hall and class; {_OWN_LIMITS}"
    )


def _cost(moves: Choices, done: Sequence[Choices], age_y: float) -> float:
    """Return what speaks against these moves here, each reason as heavy as its place in the list."""
    before = next((each for each in reversed(done) if each), ())
    lately = {move for each in done[-2:] for move in each}
    so_far = Counter(move for each in done for move in each)
    vigorous = [_vigorous(each, age_y) for each in (*done, moves) if each]
    cost = 4.0 * sum(move in lately for move in moves) + sum(so_far[move] for move in moves)
    if vigorous[-1] and sum(vigorous) > max(1.0, _VIGOROUS_SHARE * len(vigorous)):
        cost += 8.0
    if any(move.high_impact for move in before) and any(move.high_impact for move in moves):
        cost += 8.0
    return cost + 3.0 * sum(move.muscle in {each.muscle for each in before} for move in moves)


@cache
def _vigorous(moves: Choices, age_y: float) -> bool:
    return any(intensity(move.effort.met(age_y)) == "vigorous" for move in moves)


def _worst_landings(moves: Choices, age_y: float, wanted_s: int | None) -> float:
    """Return the landings of a child who does the jumping move of a round; the catch-up repeats none."""
    seconds, bpm = bout_s(moves, age_y, wanted_s), shared_bpm([move.slug for move in moves])
    return max((landings(move, seconds, bpm) for move in moves), default=0.0)


@lru_cache(maxsize=256)
def _fair(conditions: Conditions, among: frozenset[str] | None, count: int) -> tuple[Choices, ...]:
    """Return all fair choices of so many moves; a planner asks for the same ones again and again."""
    pairs = fair_pairs(conditions, among=among)
    found: Sequence[tuple[str, ...]] = pairs if count == 2 else fair_threes(pairs)
    return tuple(tuple(map(find, slugs)) for slugs in found)


def _slugs(wanted: Callable[[Move], bool]) -> frozenset[str]:
    return frozenset(move.slug for move in catalogue().values() if wanted(move))
