from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from caller.hall.claps import BLOCK_S
from caller.live.microphone.microphone import NEAR_DB, Opened, QuietGate

LIMIT_S = 10.0


class Hall:
    """Plays levels to a gate on a clock of its own."""

    def __init__(self, *, limit_s: float = LIMIT_S, seed: int = 0) -> None:
        self.now_s = 0.0
        self.opened: list[tuple[Opened, float]] = []
        self.gate = QuietGate(
            limit_s, clock=lambda: self.now_s, told=lambda why, held_s: self.opened.append((why, held_s))
        )
        self._random = np.random.default_rng(seed)

    def sounds(self, level_db: float, seconds: float, *, spread_db: float = 1.0) -> None:
        for _ in range(round(seconds / BLOCK_S)):
            self.now_s += BLOCK_S
            self.gate.hear(level_db + spread_db * float(self._random.standard_normal()))

    def is_held(self) -> bool:
        return self.gate.holding

    def held(self, level_db: float, seconds: float, *, spread_db: float = 1.0) -> float | None:
        """Return after how long of such sound the gate lets a call through, or None."""
        for step in range(round(seconds / BLOCK_S)):
            if self.gate.lets_through():
                return step * BLOCK_S
            self.sounds(level_db, BLOCK_S, spread_db=spread_db)
        return None


def test_a_loud_class_holds_the_next_call_until_it_has_settled() -> None:
    hall = Hall()
    hall.sounds(-55, 20)
    hall.sounds(-30, 20)
    assert hall.held(-30, 3) is None
    assert hall.is_held()
    after_s = hall.held(-55, 3)
    assert after_s is not None
    assert after_s == pytest.approx(0.5, abs=0.11)
    assert not hall.is_held()
    ((why, held_s),) = hall.opened
    assert why is Opened.QUIET
    assert held_s == pytest.approx(3.5, abs=0.2)


def test_a_quiet_hall_is_let_through_at_once() -> None:
    hall = Hall()
    hall.sounds(-55, 20)
    after_s = hall.held(-55, 3)
    assert after_s is not None
    assert after_s <= 0.6


def test_a_class_that_stays_loud_is_waited_for_no_longer_than_the_limit() -> None:
    hall = Hall()
    hall.sounds(-55, 20)
    assert hall.held(-30, 20) == pytest.approx(LIMIT_S, abs=0.11)
    assert [why for why, _ in hall.opened] == [Opened.LIMIT]


def test_one_quiet_moment_between_shouts_is_not_quiet() -> None:
    hall = Hall()
    hall.sounds(-55, 20)
    assert not hall.gate.lets_through()
    for _ in range(15):
        hall.sounds(-30, 0.2)
        hall.sounds(-55, 0.2)
        assert not hall.gate.lets_through()


def test_a_caller_that_speaks_does_not_raise_the_background() -> None:
    hall = Hall()
    for _ in range(20):
        hall.sounds(-20, 2.0)  # the voice, in the microphone
        hall.sounds(-55, 0.8)  # and its pauses
    assert hall.gate.background_db == pytest.approx(-55, abs=3)


def test_without_levels_the_gate_is_open() -> None:
    hall = Hall()
    assert hall.gate.lets_through()
    assert hall.opened == [(Opened.DEAF, 0.0)]


def test_a_microphone_pulled_out_opens_the_gate() -> None:
    hall = Hall()
    hall.sounds(-55, 20)
    hall.sounds(-30, 5)
    assert not hall.gate.lets_through()
    hall.now_s += 2.0
    assert hall.gate.lets_through()
    assert hall.opened[-1][0] is Opened.DEAF


def test_a_press_on_forgets_the_waiting() -> None:
    hall = Hall()
    hall.sounds(-55, 20)
    hall.sounds(-30, 5)
    assert not hall.gate.lets_through()
    hall.gate.give_way()
    assert not hall.gate.holding


@settings(deadline=None)  # a busy machine is no fault of the gate
@given(
    st.floats(-90, -30),
    st.floats(0.0, 40.0),
    st.lists(st.floats(-100, 0), max_size=40),
)
def test_no_call_is_held_beyond_the_limit_whatever_is_heard(
    background_db: float, louder_db: float, levels_db: list[float]
) -> None:
    hall = Hall()
    hall.sounds(background_db, 10, spread_db=0.0)
    held_s = 0.0
    while not hall.gate.lets_through():
        level_db = (
            levels_db[round(held_s / BLOCK_S) % len(levels_db)] if levels_db else background_db + louder_db
        )
        hall.sounds(level_db, BLOCK_S, spread_db=0.0)
        held_s += BLOCK_S
        assert held_s <= LIMIT_S + 2 * BLOCK_S
    if not levels_db and louder_db <= NEAR_DB - 0.01:
        assert hall.opened[0][0] is Opened.QUIET
