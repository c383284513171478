"""Counting by ear in a lesson, with readings made for the purpose: when it listens, and when not."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Final

import numpy as np
import pytest

from caller import paths
from caller.deciding import Side
from caller.hall.clap_share import CountHeard
from caller.hall.claps import BLOCK_S, CLAP_S, CLAPS, LevelReading, NotCounted
from caller.lesson.library import read_lesson
from caller.live.microphone.microphone import Ear
from caller.live.performance.by_ear import ByEar, HeardRound
from caller.live.performance.conductor import Situation
from caller.runsheet import Call, RunSheet
from caller.runsheet.counting import windows
from caller.runsheet.sequence import make_run_sheet
from caller.sound import SAMPLE_RATE
from caller.timeline import CallLayout, lay_out, samples_of, seconds_of
from caller.timeline.segment import Segment

DEMO = next(paths.packaged("lessons").rglob("demo.toml"))
QUIET: Final = 1e-7
CLAPPED: Final = 1e-3
FALL: Final = 10 ** (-0.4)  # of energy in a tenth of a second


class Clock:
    def __init__(self) -> None:
        self.now_s = 1000.0

    def __call__(self) -> float:
        return self.now_s


class Hall:
    """Time going by in steps of a tenth of a second, with claps on the beat of each side."""

    def __init__(self, sheet: RunSheet) -> None:
        self.sheet = sheet
        self.clock = Clock()
        self.ear = Ear(clock=self.clock)
        self.by_ear = ByEar(self.ear, sheet.rounds)
        self.energy = 0.0
        self.found: list[HeardRound] = []
        self.wait(20.0)

    def wait(self, seconds: float, claps: float = 0.0) -> None:
        for _ in range(round(seconds / BLOCK_S)):
            self.block(claps)

    def block(self, claps: float, voice: float = 0.0) -> None:
        self.clock.now_s += BLOCK_S
        self.energy = self.energy * FALL + claps
        band = self.energy + QUIET
        whole = 2.0 * band + voice
        self.ear.hear(LevelReading(*(10 * math.log10(each) for each in (whole, band, 10 * whole))))

    def lead(
        self, call: Call, shares: dict[Side | None, float], *, until: float = 1.0, voice: float = 0.0
    ) -> None:
        layout = layout_of(call)
        beats = {
            round((seconds_of(layout.spans[window.line].start) + clap * CLAP_S) / BLOCK_S): window.side
            for window in windows(call)
            for clap in range(CLAPS)
        }
        blocks = round(seconds_of(layout.length) / BLOCK_S)
        for block in range(round(blocks * until)):
            self.hear(call, layout, round(block * BLOCK_S * SAMPLE_RATE))
            asked = block in beats
            self.block(CLAPPED * shares[beats[block]] if asked else 0.0, voice if asked else 0.0)
        after = self.sheet.calls[call.number]
        for block in range(8):
            self.hear(after, layout_of(after), round(block * BLOCK_S * SAMPLE_RATE))
            self.block(0.0)

    def hear(self, call: Call, layout: CallLayout, sample: int) -> None:
        segment = Segment(layout=layout, unaccompanied=())
        self.found += self.by_ear.hear(Situation(call, segment, sample, False, False), self.clock.now_s)


def layout_of(call: Call) -> CallLayout:
    return lay_out(call, speech_length=lambda _: samples_of(1.5), tone_length=lambda _: 2_000)


@pytest.fixture(scope="module")
def sheet() -> RunSheet:
    return make_run_sheet(replace(read_lesson(DEMO), count_by_ear=True))


@pytest.fixture
def hall(sheet: RunSheet) -> Hall:
    return Hall(sheet)


def asked(sheet: RunSheet) -> tuple[Call, list[Call]]:
    first, *rest = [call for call in sheet.calls if call.kind == "claps"]
    return first, rest


def shares(call: Call, sheet: RunSheet, right: float) -> dict[Side | None, float]:
    answer = next(
        facts.answer for facts in sheet.rounds if (facts.round, facts.part) == (call.round, call.part)
    )
    return {lane.side: right if lane.side == answer else 1.0 - right for lane in call.board.lanes}


def test_a_round_is_counted_from_its_windows(hall: Hall, sheet: RunSheet) -> None:
    first, rounds = asked(sheet)
    hall.lead(first, {None: 1.0})
    assert [(each.told, each.count) for each in hall.found] == [("the whole class", None)]
    for call, right in zip(rounds, (0.2, 0.8, 0.5), strict=False):
        hall.found.clear()
        hall.lead(call, shares(call, sheet, right))
        (found,) = hall.found
        assert found.round == (call.round, call.part)
        assert found.count is not None, found.told
        assert CountHeard(chances=found.count).mean == pytest.approx(right, abs=0.1)
    assert not hall.found[0].surely_few


def test_only_all_but_certainty_is_few(hall: Hall, sheet: RunSheet) -> None:
    first, rounds = asked(sheet)
    hall.lead(first, {None: 1.0})
    hall.lead(rounds[0], shares(rounds[0], sheet, 0.02))
    hall.lead(rounds[1], shares(rounds[1], sheet, 0.35))
    assert [each.surely_few for each in hall.found] == [False, True, False]


def test_a_shout_is_refused_and_the_next_round_counted(hall: Hall, sheet: RunSheet) -> None:
    first, rounds = asked(sheet)
    hall.lead(first, {None: 1.0})
    hall.lead(rounds[0], shares(rounds[0], sheet, 0.5), voice=4 * CLAPPED)
    hall.lead(rounds[1], shares(rounds[1], sheet, 0.5))
    assert [each.told for each in hall.found] == ["the whole class", NotCounted.SHOUT.value, "counted"]


def test_a_call_that_was_cut_short_is_not_counted(hall: Hall, sheet: RunSheet) -> None:
    first, rounds = asked(sheet)
    hall.lead(first, {None: 1.0})
    hall.lead(rounds[0], shares(rounds[0], sheet, 0.5), until=0.6)
    assert len(hall.found) == 1


def test_nobody_is_asked_where_nobody_listens(hall: Hall, sheet: RunSheet) -> None:
    first, rounds = asked(sheet)
    others = [call for call in sheet.calls if call.kind != "claps"]
    assert not any(hall.by_ear.leaves_out(call) for call in others)
    assert hall.by_ear.leaves_out(first) is False
    assert hall.by_ear.leaves_out(rounds[0])  # the whole class has not been heard
    hall.lead(first, {None: 1.0})
    assert not hall.by_ear.leaves_out(rounds[0])
    hall.clock.now_s += 5.0  # the microphone tells nothing any more
    assert hall.by_ear.leaves_out(first)
    assert hall.by_ear.leaves_out(rounds[0])


def test_whether_there_is_a_microphone_is_known_after_a_while(sheet: RunSheet) -> None:
    clock = Clock()
    by_ear = ByEar(Ear(clock=clock), sheet.rounds)
    first, _ = asked(sheet)
    assert by_ear.leaves_out(first) is None
    clock.now_s += 6.0
    assert by_ear.leaves_out(first) is True


def test_a_gain_that_moves_is_not_asked_a_third_time(hall: Hall, sheet: RunSheet) -> None:
    first, rounds = asked(sheet)
    hall.lead(first, {None: 1.0})
    for call in rounds[:2]:
        hall.lead(call, dict.fromkeys(shares(call, sheet, 0.5), 1.0))  # each side as loud as everybody
    assert [each.told for each in hall.found[1:]] == [NotCounted.GAIN.value] * 2
    assert hall.by_ear.leaves_out(rounds[2])


def test_readings_are_found_by_when_they_were() -> None:
    clock = Clock()
    ear = Ear(clock=clock)
    for number in range(50):
        clock.now_s += BLOCK_S
        ear.hear(LevelReading(-float(number), 0.0, 0.0))
    assert [-each.level_db for each in ear.since(1001.0, 3)] == [10, 11, 12]
    assert [-each.level_db for each in ear.before(1001.0, 0.5)][-1] <= 9
    assert ear.since(990.0, 3) == ()
    assert np.isfinite([each.level_db for each in ear.before(1010.0, 100.0)]).all()


def test_readings_that_come_late_and_in_heaps_keep_their_places() -> None:
    clock = Clock()
    ear = Ear(clock=clock)
    begin_s = clock.now_s
    for number in range(100):
        held_up = 0.7 if 40 <= number < 47 else 0.0  # a busy computer hands seven on at once
        clock.now_s = max(clock.now_s, begin_s + (number + 1) * BLOCK_S + held_up)
        ear.hear(LevelReading(-float(number), 0.0, 0.0))
    assert [-each.level_db for each in ear.since(begin_s + 3.9, 10)] == list(range(39, 49))
    assert ear.up_to_s == pytest.approx(begin_s + 10.0)
