"""The conductor and the quiet gate: what is held, and what lets it go."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from caller.live.background import RunLog
from caller.live.loudspeaker.player import Player
from caller.live.microphone.microphone import Opened, QuietGate
from caller.live.performance.conductor import Conductor, Situation
from caller.screen.keytable import Action
from caller.sound import STARTING_DB
from caller.timeline.segment import Timeline
from tests.live.conftest import AtOnce, make_call

CALLS = (
    make_call(1, 0.1, kind="reason", in_round=1),
    make_call(2, 0.2, kind="catch-up", in_round=1),
    make_call(3, 0.3, kind="catch-up", in_round=1),
    make_call(4, 0.4, kind="breath", in_round=1),
    make_call(5, 0.5, kind="ready", in_round=2),
)
LEVELS = {round(0.1 * n * 10 ** (-6 / 20), 3): n for n in range(1, 6)}  # at the starting volume


class Lesson:
    """A lesson heard in blocks of 10 ms, in a hall whose loudness we set."""

    def __init__(self, timeline: Timeline) -> None:
        self.player = Player(STARTING_DB)
        self.conductor = Conductor(timeline, self.player, AtOnce(RunLog(None)))
        self.now_s = 0.0
        self.opened: list[Opened] = []
        self.gate = QuietGate(
            10.0, clock=lambda: self.now_s, told=lambda why, _held_s: self.opened.append(why)
        )
        self.conductor.gate = self.gate
        self.hall_db: float | None = -55.0
        self.heard: list[int | None] = []
        for _ in range(100):
            self.gate.hear(-55.0)

    def goes_on(self, seconds: float) -> Situation:
        for step in range(round(seconds * 100)):
            self.conductor.step()
            making = self.conductor._making
            if making is not None:
                making[1].result(5)
                self.conductor.step()
            block = np.zeros(480, dtype=np.float32)
            self.player.fill(block)
            self.heard.append(LEVELS.get(round(float(block[-1]), 3)))
            self.now_s += 0.01
            if self.hall_db is not None and step % 10 == 0:
                self.gate.hear(self.hall_db)
        return self.conductor.situation(self.player.written)

    def order(self) -> list[int]:
        return [n for n, before in zip(self.heard, [None, *self.heard], strict=False) if n and n != before]


@pytest.fixture
def lesson(timeline_of: Callable[..., Timeline]) -> Lesson:
    return Lesson(timeline_of(*CALLS))


def test_the_call_after_the_catch_up_waits_while_the_class_is_loud(lesson: Lesson) -> None:
    lesson.goes_on(2.5)
    lesson.hall_db = -30.0
    situation = lesson.goes_on(4.0)
    assert lesson.order() == [1, 2, 3]
    assert lesson.heard[-1] is None
    assert lesson.conductor.waiting_for_quiet
    assert (situation.call.number, situation.finished, situation.paused) == (3, False, False)
    lesson.hall_db = -55.0
    lesson.goes_on(3.0)
    assert lesson.order() == [1, 2, 3, 4, 5]
    assert lesson.opened == [Opened.QUIET]
    assert not lesson.conductor.waiting_for_quiet


def test_the_made_call_begins_at_once_when_the_hall_is_quiet(lesson: Lesson) -> None:
    lesson.goes_on(2.5)
    lesson.hall_db = -30.0
    lesson.goes_on(3.0)
    making = lesson.conductor._making
    assert making is not None
    assert making[1].done()  # made, and kept ready
    lesson.hall_db = -55.0
    before = len(lesson.heard)
    lesson.goes_on(1.0)
    first = next(i for i, n in enumerate(lesson.heard[before:]) if n == 4)
    assert first / 100 < 0.7  # half a second of quiet, and one step


def test_other_calls_follow_without_a_gap(lesson: Lesson) -> None:
    lesson.hall_db = -30.0
    lesson.goes_on(3.0)
    assert lesson.order() == [1, 2, 3]
    assert None not in lesson.heard[1:]


def test_a_lasting_din_is_waited_for_up_to_the_limit(lesson: Lesson) -> None:
    lesson.hall_db = -30.0
    for _ in range(200):
        lesson.gate.hear(-55.0)
    lesson.goes_on(12.5)
    assert lesson.order() == [1, 2, 3]
    lesson.goes_on(1.5)
    assert lesson.order() == [1, 2, 3, 4]
    assert lesson.opened == [Opened.LIMIT]


def test_without_a_microphone_nothing_waits(lesson: Lesson) -> None:
    lesson.hall_db = None
    lesson.goes_on(2.9)
    lesson.now_s += 5.0
    lesson.goes_on(2.0)
    assert lesson.order() == [1, 2, 3, 4, 5]
    assert lesson.opened == [Opened.DEAF]


def test_the_next_key_goes_on_at_once(lesson: Lesson) -> None:
    lesson.goes_on(2.5)
    lesson.hall_db = -30.0
    lesson.goes_on(2.0)
    lesson.conductor.act(Action.NEXT)
    lesson.goes_on(0.5)
    assert lesson.heard[-1] == 4
    assert not lesson.conductor.waiting_for_quiet


def test_a_pause_while_waiting_goes_on_with_the_catch_up_again(lesson: Lesson) -> None:
    lesson.goes_on(2.5)
    lesson.hall_db = -30.0
    lesson.goes_on(2.0)
    lesson.conductor.act(Action.PAUSE)
    assert not lesson.conductor.waiting_for_quiet
    lesson.conductor.act(Action.PAUSE)
    lesson.goes_on(0.5)
    assert lesson.heard[-1] == 3
    lesson.goes_on(1.5)
    assert lesson.conductor.waiting_for_quiet


def test_without_a_gate_the_lesson_runs_on(timeline_of: Callable[..., Timeline]) -> None:
    lesson = Lesson(timeline_of(*CALLS))
    lesson.conductor.gate = None
    lesson.hall_db = -30.0
    lesson.goes_on(4.5)
    assert lesson.order() == [1, 2, 3, 4, 5]
    assert not lesson.conductor.waiting_for_quiet
