from __future__ import annotations

import time
from collections.abc import Callable

import numpy as np
import pytest

from caller.live.background import RunLog
from caller.live.loudspeaker.player import Player
from caller.live.performance.conductor import LOUDEST_DB, Conductor, Situation
from caller.runsheet import Call
from caller.screen.keytable import Action
from caller.sound import STARTING_DB
from caller.timeline import samples_of
from caller.timeline.segment import Timeline
from tests.live.conftest import AtOnce, make_call

ROUND = (
    make_call(1, 0.1, kind="ready", in_round=1),
    make_call(2, 0.2, kind="question", in_round=1),
    make_call(3, 0.3, kind="choices", in_round=1),
    make_call(4, 0.4, kind="move", in_round=1, think_s=6),
    make_call(5, 0.5, kind="answer", in_round=1),
)


class Hall:
    """A conductor, its player, and somebody who listens at the rate we like."""

    def __init__(self, timeline: Timeline, *, first: int = 0) -> None:
        self.player = Player(STARTING_DB)
        self.background = AtOnce(RunLog(None))
        self.conductor = Conductor(timeline, self.player, self.background, first=first)
        self.heard: list[float] = []

    def listen(self, seconds: float) -> Situation:
        """Hear `seconds` of it in blocks of 10 ms, giving segments the time to be made."""
        situation = self.settle()
        for _ in range(round(seconds * 100)):
            block = np.zeros(480, dtype=np.float32)
            self.player.fill(block)
            self.heard.append(float(block[-1]))
            situation = self.settle()
        return situation

    def settle(self) -> Situation:
        for _ in range(200):
            self.conductor.step()
            if self.conductor._making is None:
                break
            time.sleep(0.001)
        return self.conductor.situation(self.player.written)


@pytest.fixture
def hall(timeline_of: Callable[..., Timeline]) -> Hall:
    return Hall(timeline_of(*ROUND))


def numbers(calls: tuple[Call, ...]) -> list[int]:
    return [call.number for call in calls]


def test_calls_follow_one_another_without_anybody_doing_anything(hall: Hall) -> None:
    assert hall.listen(0.5).call.number == 1
    assert hall.listen(1.0).call.number == 2
    assert hall.listen(2.0).call.number == 4
    situation = hall.listen(7.2)
    assert (situation.call.number, situation.finished) == (5, False)
    assert hall.listen(1.0).finished


def test_a_pause_is_silent_at_once_and_goes_on_from_the_start_of_its_call(hall: Hall) -> None:
    hall.listen(1.6)
    hall.conductor.act(Action.PAUSE)
    situation = hall.listen(3.0)
    assert (situation.call.number, situation.paused, situation.segment) == (2, True, None)
    assert not any(hall.heard[161:])
    hall.conductor.act(Action.PAUSE)
    situation = hall.listen(0.3)
    assert (situation.call.number, situation.paused) == (2, False)
    assert situation.sample == pytest.approx(samples_of(0.3), abs=960)


def test_next_and_back_go_one_call_from_the_one_being_heard(hall: Hall) -> None:
    hall.listen(0.5)
    hall.conductor.act(Action.NEXT)
    hall.conductor.act(Action.NEXT)
    assert hall.listen(0.2).call.number == 3
    hall.conductor.act(Action.BACK)
    assert hall.listen(0.2).call.number == 2


def test_back_at_the_beginning_says_the_first_call_again(hall: Hall) -> None:
    hall.listen(0.5)
    hall.conductor.act(Action.BACK)
    assert hall.listen(0.1).call.number == 1


def test_next_on_the_last_call_ends_the_lesson(timeline_of: Callable[..., Timeline]) -> None:
    hall = Hall(timeline_of(*ROUND), first=4)
    hall.listen(0.2)
    hall.conductor.act(Action.NEXT)
    assert hall.listen(0.1).finished


def test_repeat_in_think_time_asks_the_question_again(hall: Hall) -> None:
    assert hall.listen(5.0).call.kind == "move"
    hall.conductor.act(Action.REPEAT)
    assert hall.listen(0.2).call.kind == "question"


def test_repeat_elsewhere_says_the_same_call_again(timeline_of: Callable[..., Timeline]) -> None:
    hall = Hall(timeline_of(*ROUND), first=4)
    hall.listen(0.5)
    hall.conductor.act(Action.REPEAT)
    situation = hall.listen(0.2)
    assert (situation.call.number, situation.sample < samples_of(0.25)) == (5, True)


def test_ten_more_seconds_go_on_from_the_very_sample(hall: Hall) -> None:
    before = hall.listen(5.0)
    hall.conductor.act(Action.MORE_TIME)
    after = hall.settle()
    assert (after.call.number, after.sample) == (4, before.sample)
    assert after.segment is not None
    assert after.segment.layout.length == samples_of(1 + 16)
    assert hall.listen(14.9).call.number == 4
    assert hall.listen(0.5).call.number == 5


def test_more_time_before_think_time_lengthens_the_one_to_come(hall: Hall) -> None:
    hall.listen(0.5)
    hall.conductor.act(Action.MORE_TIME)
    assert hall.listen(2.6 + 1 + 15.8).call.number == 4
    assert hall.listen(0.2).call.number == 5


def test_louder_stops_at_the_ceiling(hall: Hall) -> None:
    for _ in range(9):
        hall.conductor.act(Action.LOUDER)
    assert hall.player.volume_db == LOUDEST_DB
    hall.listen(0.5)
    assert hall.heard[-1] == pytest.approx(0.1)
