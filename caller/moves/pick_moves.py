"""Which moves a lesson uses, over the whole of it: fair, lively, within its landings, none too often."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from itertools import cycle, islice
from math import ceil
from random import Random
from typing import Final, TypeAlias

from caller.errors import UserError
from caller.moves import Move, catalogue, find
from caller.moves.effort import intensity
from caller.moves.pairs import Conditions, fair_pairs, fair_threes, objections
from caller.moves.poses import shared_bpm
from caller.moves.uses import (
    MOST_LANDINGS,
    CatchUpChosen,
    CatchUpKind,
    bout_limits,
    catch_up,
    gentle,
    landings,
    lively,
)
from caller.moves.uses import calm as is_calm

_ONLY_IN_PAIRS: Final = frozenset({"same-move", "alike", "alike-seated"})
_EASY: Final = ("march", "step-touch", "squats")  # the first that fits is what everybody can do at any time
_RESTING: Final = "slow-breaths"
_VIGOROUS_SHARE: Final = 1 / 4  # of the rounds at most: the others move longer, and children recover
_HARD_WITHOUT_BREATH_S: Final = 40
"""So much vigorous movement in a round asks for a breath after it. A bout of 20 s, the answer as rest, and a
catch-up do not: 15 to 30 s on and as long off suit children (Baquet et al. 2019, Pediatr Exerc Sci
31:248)."""

_WARM_UP_MOVE_S: Final = (15, 25)
_WARM_UP_GENTLE: Final = 1
_WARM_UP_BRISK: Final = 3
_LIGHT_COST: Final = 4.0  # where the hall leaves no lively choice, the next best is the least light one
_OWN_LIMITS: Final = "allow more space, or name the moves in the lesson."

Choices: TypeAlias = tuple[Move, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class WhoMoves:
    """Who moves, and where.

    Attributes
    ----------
    age_y
        How old the youngest are.
    chance
        The lesson's own random numbers, by decision and round.
    """

    conditions: Conditions
    seated: bool
    age_y: float
    chance: Callable[[str, int | str], Random]


@dataclass(frozen=True, slots=True, kw_only=True)
class MovesWanted:
    """What one round wants of its moves.

    Attributes
    ----------
    count, own
        So many, one for each lane; and the script's own by their slugs, where it names them.
    calm, last
        Calm moves rather than lively ones; and none that lands hard before the end.
    seconds
        How long the bout is to be; as long as the moves ask for where it is None.
    right
        The lane of the right choice, from 0.
    catch_up, catch_up_s, arms
        What follows the answer, and for how long; nothing does where it is None. Whether the class shows the
        right time with its arms first.
    """

    name: int | str
    count: int
    own: tuple[str, ...] = ()
    calm: bool = False
    last: bool = False
    seconds: int | None = None
    right: int = 0
    catch_up: CatchUpKind | None = None
    catch_up_s: int | None = None
    arms: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class RoundMoves:
    """The moves of one round.

    Attributes
    ----------
    moves
        By lane, left to right; none where there is nothing to choose.
    meanwhile
        What all do then.
    calm
        They are calm moves.
    seconds
        How long the bout lasts.
    catch_up
        What follows the answer; None where nothing does.
    breath
        Whether so much effort asks for a breath before the next clock.
    """

    moves: Choices
    meanwhile: Move | None
    calm: bool
    seconds: int
    catch_up: CatchUpChosen | None
    breath: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class WarmUpMove:
    """One move of the warm-up, and how long it lasts."""

    move: Move
    seconds: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LessonMoves:
    """All moves of a lesson.

    Attributes
    ----------
    resting, easy
        The move of a pause, and one that everybody can do at any time.
    """

    resting: Move
    easy: Move
    warm_up: tuple[WarmUpMove, ...]
    practice: RoundMoves | None
    rounds: tuple[RoundMoves, ...]


def pick_moves(
    who: WhoMoves,
    *,
    practice: MovesWanted | None,
    rounds: Sequence[MovesWanted],
    warm_up: Sequence[str],
    warm_up_s: int,
) -> LessonMoves:
    """Return the moves of a lesson.

    Each round takes, of the fair choices that the landings left allow, the one that tires no muscle twice
    running, repeats least of what the lesson has had, and keeps vigorous rounds few; chance decides
    among equals. What the hall and the class allow never gives way.

    Parameters
    ----------
    warm_up, warm_up_s
        The script's own moves of the warm-up by their slugs, if any, and how long it is to last, in seconds.

    Raises
    ------
    UserError
        If this hall and class leave no such moves.
    """
    easy = _easy_move(who)
    resting = find(_RESTING)
    return LessonMoves(
        resting=find(resting.seated) if who.seated else resting,
        easy=easy,
        warm_up=_warm_up(tuple(map(find, warm_up)) or _rising(who), warm_up_s),
        practice=next(iter(_of_rounds(who, [practice], easy))) if practice is not None else None,
        rounds=tuple(_of_rounds(who, rounds, easy)),
    )


def _of_rounds(who: WhoMoves, rounds: Sequence[MovesWanted], easy: Move) -> Iterator[RoundMoves]:
    """Yield the moves of each round, from left to right, and what follows its answer."""
    own = [tuple(map(find, each.own)) if each.count else () for each in rounds]
    done: list[Choices] = []
    left = MOST_LANDINGS - sum(
        _worst_landings(moves, who.age_y, each.seconds)
        for each, moves in zip(rounds, own, strict=True)
        if moves
    )
    for each, moves in zip(rounds, own, strict=True):
        if each.count and not moves:
            moves = _picked(who, each, done, left)
            left -= _worst_landings(moves, who.age_y, each.seconds)
        done.append(moves)
        yield _with_catch_up(each, moves, easy, who.age_y)


def _with_catch_up(wanted: MovesWanted, moves: Choices, easy: Move, age_y: float) -> RoundMoves:
    seconds = _bout_s(moves or (easy,), age_y, wanted.seconds)
    after = None
    hard = [(move, seconds) for move in moves[:1]]
    if wanted.catch_up is not None:
        after = catch_up(
            wanted.catch_up,
            moves[wanted.right] if moves else None,
            easy=easy,
            age_y=age_y,
            seconds=wanted.catch_up_s,
            arms=wanted.arms,
        )
        hard += [(after.move, after.seconds)] if after.move is not None else []
    hard_s = sum(lasting for move, lasting in hard if _is_vigorous(move, age_y))
    return RoundMoves(
        moves=moves,
        meanwhile=None if moves else easy,
        calm=bool(moves) and all(is_calm(move, age_y) for move in moves),
        seconds=seconds,
        catch_up=after,
        # Listening to the next clock is not rest enough then.
        breath=after is not None and hard_s > _HARD_WITHOUT_BREATH_S,
    )


def _bout_s(moves: Choices, age_y: float, wanted_s: int | None = None) -> int:
    """Return how long the moves of a round last: as long as wanted, within what each of them allows."""
    limits = [bout_limits(move, age_y) for move in moves]
    most = min((each.most_s for each in limits), default=10)
    return min(most, wanted_s if wanted_s is not None else min((each.usual_s for each in limits), default=10))


def _easy_move(who: WhoMoves) -> Move:
    """Return a move that everybody can do at any time."""
    if who.seated:
        return find("seated-march")
    return next((find(slug) for slug in _EASY if suits(slug, who.conditions)), find(_EASY[0]))


def _warm_up(moves: Choices, total_s: int) -> tuple[WarmUpMove, ...]:
    """Return the warm-up: `moves` in turn.

    A move lasts 15 to 25 s; where the time asks for more, the livelier ones come again.
    """
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


def _rising(who: WhoMoves) -> Choices:
    """Return moves to warm up with: one gentle one, then brisk ones, the effort rising, none that jumps.

    Where a small floor leaves few brisk ones, steady ones such as squats come in, each for another part of
    the body: light moves by turns warm nobody.
    """
    conditions, age_y, seated = who.conditions, who.age_y, who.seated
    suitable = [
        move
        for move in catalogue().values()
        if (move.kind == "seated" if seated else (gentle(move) and move.kind == "warm-up") or _brisk(move))
        and suits(move.slug, conditions)
    ]
    chance = who.chance("warm-up", 0)
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


def _picked(who: WhoMoves, wanted: MovesWanted, done: Sequence[Choices], left: float) -> Choices:
    random, age_y = who.chance("moves", wanted.name), who.age_y
    use = is_calm if wanted.calm else lively
    for among in (_slugs(lambda move: use(move, age_y)), None):
        choices = [
            moves
            for moves in _fair(who.conditions, among, wanted.count)
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
    return any(_is_vigorous(move, age_y) for move in moves)


def _is_vigorous(move: Move, age_y: float) -> bool:
    return intensity(move.effort.met(age_y)) == "vigorous"


def _worst_landings(moves: Choices, age_y: float, wanted_s: int | None) -> float:
    """Return the landings of a child who does the jumping move of a round; the catch-up repeats none."""
    seconds, bpm = _bout_s(moves, age_y, wanted_s), shared_bpm([move.slug for move in moves])
    return max((landings(move, seconds, bpm) for move in moves), default=0.0)


@lru_cache(maxsize=256)
def _fair(conditions: Conditions, among: frozenset[str] | None, count: int) -> tuple[Choices, ...]:
    """Return all fair choices of so many moves; a planner asks for the same ones again and again."""
    pairs = fair_pairs(conditions, among=among)
    found: Sequence[tuple[str, ...]] = pairs if count == 2 else fair_threes(pairs)
    return tuple(tuple(map(find, slugs)) for slugs in found)


def _slugs(wanted: Callable[[Move], bool]) -> frozenset[str]:
    return frozenset(move.slug for move in catalogue().values() if wanted(move))
