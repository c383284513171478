"""Nothing that can be seen of two choices without reading the clock tells which is right.

A child who never looks at the dial is played by two learners written here: logistic regression and a tree of
depth three. They are shown everything else about the choices and trained on the lessons of some seeds; on the
lessons of others they may be right hardly more often than by chance. With 8 rounds for each of 60 seeds,
0.60 is more than four standard errors from a half.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pytest
from numpy.typing import NDArray

from caller.clock.ladder import STEP_CODES
from caller.deciding.lesson import decide
from caller.deciding.model import DecidedRound, lane_sides
from caller.lesson.model import Lesson, Round

Matrix = NDArray[np.float64]
ROUNDS = 8
DIAL_STEPS = STEP_CODES[:7]


def seen(each: DecidedRound, last_side: str) -> list[list[float]]:
    """Return, lane by lane, what can be seen of a choice and of the other one."""
    right, *wrong = (each.question.time, *(choice.time for choice in each.question.wrong))
    placed = [right if side == each.side else wrong.pop(0) for side in lane_sides(each.question.choices)]
    found = []
    for lane, one in enumerate(placed):
        features: list[float] = [lane, float(lane_sides(len(placed))[lane] == last_side)]
        features += [each.moves[lane].effort.met(7.0), float(each.moves[lane].impact)]
        for other in [one, *(each for at, each in enumerate(placed) if at != lane)]:
            on_long_hand = other.hour % 12 == other.minute // 5 % 12
            features += [other.hour, other.minute, other.hour == 12, other.hour == 6, other.minute == 0]
            features += [other.minute == 30, on_long_hand, other.minute % 15 == 0, other.minute % 5 == 0]
            gap = (one.hour - other.hour) % 12
            features += [
                gap in (1, 2),
                gap in (10, 11),
                one.minute == other.minute,
                one.minute > other.minute,
            ]
            features += [
                one.hour > other.hour,
                (one.hour * 60 + one.minute) > (other.hour * 60 + other.minute),
            ]
        found.append([float(feature) for feature in features])
    return found


def rounds_of(step: str, seeds: Sequence[int], choices: int) -> tuple[NDArray[np.float64], NDArray[np.int_]]:
    """Return the features, shape (rounds, lanes, features), and the right lanes."""
    features, right = [], []
    for seed in seeds:
        lesson = Lesson(
            step=step, seed=seed, choices=choices, rounds=(Round(),) * ROUNDS, calm_last_round=False
        )
        last_side = ""
        for each in decide(lesson).rounds:
            features.append(seen(each, last_side))
            right.append(lane_sides(choices).index(each.side))
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


def called_right(step: str, choices: int, seeds: int) -> float:
    """Return how often the better of the two learners calls the right lane in lessons it has not seen."""
    features, right = rounds_of(step, range(seeds), choices)
    mean, spread = features.mean(axis=(0, 1)), features.std(axis=(0, 1)) + 1e-9
    weights = logistic((features - mean) / spread, right)
    lanes = features.reshape(-1, features.shape[2])
    grown = tree(lanes, np.eye(choices)[right].reshape(-1))
    new, truth = rounds_of(step, range(1000, 1000 + seeds), choices)
    by_line = ((new - mean) / spread @ weights).argmax(axis=1)
    by_tree = np.array([[leaf(grown, lane) for lane in each] for each in new]).argmax(axis=1)
    return max(float((by_line == truth).mean()), float((by_tree == truth).mean()))


@pytest.mark.parametrize("step", ["o-clock", "half-past", "fives-to"])
def test_two_choices_give_nothing_away(step: str) -> None:
    assert called_right(step, 2, 60) <= 0.60


@pytest.mark.nightly
@pytest.mark.parametrize("step", DIAL_STEPS)
def test_two_choices_give_nothing_away_over_two_hundred_lessons(step: str) -> None:
    assert called_right(step, 2, 200) <= 0.60


@pytest.mark.nightly
@pytest.mark.parametrize("step", DIAL_STEPS)
def test_three_choices_give_nothing_away(step: str) -> None:
    assert called_right(step, 3, 200) <= 0.43
