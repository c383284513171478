"""Gentle, calm and lively have one meaning, and every move has a use."""

from __future__ import annotations

import pytest

from caller.moves.catalogue import Move, catalogue, find
from caller.moves.uses import calm, gentle, lively

MOVES = tuple(catalogue().values())


@pytest.mark.parametrize("move", MOVES, ids=lambda move: move.slug)
@pytest.mark.parametrize("age_y", [5.5, 7.0, 10.5])
def test_no_move_is_calm_and_lively(move: Move, age_y: float) -> None:
    assert not (calm(move, age_y) and lively(move, age_y))


def test_jumps_are_lively_and_neither_gentle_nor_calm() -> None:
    jumping = [move for move in MOVES if move.jumps]
    assert jumping
    for move in jumping:
        assert lively(move, 7.0)
        assert not gentle(move)
        assert not calm(move, 7.0)


def test_balances_and_stretches_are_calm_and_easy_seated_moves_too() -> None:
    assert calm(find("tree"), 7.0)
    assert calm(find("forward-fold"), 7.0)
    assert calm(find("seated-sky-reach"), 7.0)
    assert lively(find("seated-march"), 7.0)  # all that a seated class has of lively moves
