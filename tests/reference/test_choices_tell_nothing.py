"""Nothing that can be seen of two choices without reading the clock tells which is right.

`python -m tests.reference.test_choices_tell_nothing` writes the shares for every step and kind.

A child who never looks at the dial is played by two learners written here: logistic regression and a tree of
depth three. They are shown everything else about the choices and trained on the lessons of some seeds; on the
lessons of others they may be right hardly more often than by chance. With 8 rounds for each of 60 seeds,
0.60 is more than four standard errors from a half.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from random import Random

import numpy as np
import pytest
from numpy.typing import NDArray

from caller.clock.fair import DURATIONS
from caller.clock.ladder import STEP_CODES
from caller.deciding import DecidedRound, lane_sides
from caller.deciding.decide import decide
from caller.lesson import Lesson, Round
from caller.questions.kind import ShownTime, on_dial

Matrix = NDArray[np.float64]
ROUNDS = 8
DIAL_STEPS = STEP_CODES[:7]


def looks(value: ShownTime | int) -> list[float]:
    """Return what can be seen of one answer as it is written: a time, a time of day or a length."""
    if isinstance(value, int):
        hour, minute = divmod(value, 60)
        on_long_hand = hour > 0 and minute > 0
    else:
        hour, minute = value.hour, value.minute
        on_long_hand = hour % 12 == minute // 5 % 12
    told = [hour, minute, hour % 12 == 0, hour % 12 == 6, hour >= 12, hour < 10, minute == 0, minute == 30]
    return [float(each) for each in (*told, on_long_hand, minute % 15 == 0, minute % 5 == 0, minute < 10)]


def against(one: ShownTime | int, other: ShownTime | int) -> list[float]:
    """Return how one answer looks beside another."""
    (hour, minute), (its_hour, its_minute) = (
        divmod(each, 60) if isinstance(each, int) else (each.hour, each.minute) for each in (one, other)
    )
    gap = (hour - its_hour) % 12
    size, its_size = 60 * hour + minute, 60 * its_hour + its_minute
    told = [gap in (1, 2), gap in (10, 11), gap == 0, minute == its_minute, minute > its_minute]
    told += [hour > its_hour, size > its_size, abs(size - its_size) < 60, abs(size - its_size) == 60]
    told += [len(str(hour)) > len(str(its_hour)), abs(size - its_size) >= 720]
    return [float(each) for each in told]


def answers(each: DecidedRound) -> list[ShownTime | int]:
    """Return the answers of a round as a child sees them, by lane."""
    question = each.question
    shown: list[ShownTime | int] = [question.time, *(choice.time for choice in question.wrong)]
    if question.kind == "how-long" and question.start is not None:
        times = (question.time, *(choice.time for choice in question.wrong))
        shown = [(on_dial(time).minutes - question.start.minutes) % 720 for time in times]
    right, *wrong = shown
    return [right if side == each.side else wrong.pop(0) for side in lane_sides(question.choices)]


def seen(each: DecidedRound, last_side: str) -> list[list[float]]:
    """Return, lane by lane, what can be seen of a choice and of the other ones."""
    placed = answers(each)
    claim = each.question.claim
    found = []
    for lane, one in enumerate(placed):
        features: list[float] = [lane, float(lane_sides(len(placed))[lane] == last_side)]
        features += [each.moves[lane].effort.met(7.0), float(each.moves[lane].impact)]
        if claim is not None:
            # What can be seen is the claim, and which lane says yes: where it stands, the claim's own lane.
            said = (lane_sides(2)[lane] == each.side) == (claim == each.question.dial)
            features += [float(said), *(said * look for look in looks(claim))]
        else:
            features += looks(one)
            for other in (each for at, each in enumerate(placed) if at != lane):
                features += looks(other) + against(one, other)
            sizes = sorted(60 * v.hour + v.minute if not isinstance(v, int) else v for v in placed)
            size = 60 * one.hour + one.minute if not isinstance(one, int) else one
            features.append(float(sizes.index(size)))
        found.append(features)
    return found


def asked(kind: str, chance: Random) -> Round:
    """Return a round of a kind as a lesson would have it, its length drawn where it has one."""
    return Round(
        kind=kind, change_minutes=chance.choice(DURATIONS if kind == "how-long" else range(5, 60, 5))
    )


def rounds_of(
    step: str, kind: str, seeds: Sequence[int], choices: int
) -> tuple[NDArray[np.float64], NDArray[np.int_]]:
    """Return the features, shape (rounds, lanes, features), and the right lanes."""
    features, right = [], []
    for seed in seeds:
        chance = Random(seed)
        lesson = Lesson(
            step=step,
            seed=seed,
            choices=choices,
            rounds=tuple(asked(kind, chance) for _ in range(ROUNDS)),
            calm_last_round=False,
        )
        last_side = ""
        for each in decide(lesson).rounds:
            features.append(seen(each, last_side))
            right.append(lane_sides(each.question.choices).index(each.side))
            last_side = each.side
    return np.array(features), np.array(right)


def logistic(features: NDArray[np.float64], right: NDArray[np.int_]) -> Matrix:
    """Learn a weight for each feature of a lane; the lane with the largest sum is called."""
    weights = np.zeros(features.shape[2])
    truth = np.eye(features.shape[1])[right]
    for _ in range(300):
        scores = features @ weights
        chance = np.exp(scores - scores.max(axis=1, keepdims=True))
        chance /= chance.sum(axis=1, keepdims=True)
        weights += 0.3 * np.einsum("rlf,rl->f", features, truth - chance) / len(features) - 3e-3 * weights
    return weights


def tree(features: Matrix, right: Matrix, depth: int = 3) -> tuple[int, float, object, object] | float:
    """Learn a small tree that tells a right lane from a wrong one; a leaf is the share that is right."""
    if depth == 0 or len(right) < 40:
        return float(right.mean()) if len(right) else 0.5
    best = (np.inf, 0, 0.0)
    for feature in range(features.shape[1]):
        for cut in np.unique(np.quantile(features[:, feature], [0.1, 0.3, 0.5, 0.7, 0.9])):
            low = features[:, feature] <= cut
            if 20 <= low.sum() <= len(low) - 20:
                impure = sum(part.sum() * right[part].var() for part in (low, ~low))
                best = min(best, (float(impure), feature, float(cut)))
    if not np.isfinite(best[0]):
        return float(right.mean())
    _, feature, cut = best
    low = features[:, feature] <= cut
    return (
        feature,
        cut,
        tree(features[low], right[low], depth - 1),
        tree(features[~low], right[~low], depth - 1),
    )


def leaf(node: object, features: Matrix) -> float:
    while isinstance(node, tuple):
        feature, cut, low, high = node
        node = low if features[feature] <= cut else high
    assert isinstance(node, float)
    return node


def called_right(step: str, kind: str, choices: int, seeds: int) -> float:
    """Return how often the better of the two learners calls the right lane in lessons it has not seen."""
    features, right = rounds_of(step, kind, range(seeds), choices)
    mean, spread = features.mean(axis=(0, 1)), features.std(axis=(0, 1)) + 1e-9
    weights = logistic((features - mean) / spread, right)
    lanes = features.reshape(-1, features.shape[2])
    grown = tree(lanes, np.eye(choices)[right].reshape(-1))
    new, truth = rounds_of(step, kind, range(1000, 1000 + seeds), choices)
    by_line = ((new - mean) / spread @ weights).argmax(axis=1)
    by_tree = np.array([[leaf(grown, lane) for lane in each] for each in new]).argmax(axis=1)
    return max(float((by_line == truth).mean()), float((by_tree == truth).mean()))


READ_OFF = [(step, "read") for step in DIAL_STEPS]
RECKONED = [("elapsed", kind) for kind in ("later", "earlier", "how-long")] + [("day-parts", "day-part")]
TWO = [*READ_OFF, *RECKONED, ("fives-to", "find"), ("fives-to", "is-it-so"), ("day-parts", "half-of-day")]


@pytest.mark.parametrize(("step", "kind"), [("fives-to", "read"), ("elapsed", "later"), RECKONED[-1]])
def test_two_choices_give_nothing_away(step: str, kind: str) -> None:
    assert called_right(step, kind, 2, 60) <= 0.60


@pytest.mark.nightly
@pytest.mark.parametrize(("step", "kind"), TWO)
def test_two_choices_give_nothing_away_over_two_hundred_lessons(step: str, kind: str) -> None:
    assert called_right(step, kind, 2, 200) <= 0.60


@pytest.mark.nightly
@pytest.mark.parametrize(("step", "kind"), [*READ_OFF, *RECKONED])
def test_three_choices_give_nothing_away(step: str, kind: str) -> None:
    assert called_right(step, kind, 3, 200) <= 0.43


if __name__ == "__main__":
    for choices, cases in ((2, TWO), (3, [*READ_OFF, *RECKONED])):
        for step, kind in cases:
            sys.stdout.write(f"{choices} {step} {kind} {called_right(step, kind, choices, 200):.3f}\n")
            sys.stdout.flush()
