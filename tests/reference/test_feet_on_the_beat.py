"""The feet of the window's figures come down on the beat that is heard: read off pixels and samples alone.

A lesson's warm-up is led in the real window (drawn by SDL, shown nowhere) on a clock of this test's own.
Frames wake a little late, as they do, and each is seen when it has been drawn. What the loudspeaker was given
is kept. Then soles that touch down are looked for in the pictures, and strokes of the drum in the sound;
neither knows anything of poses, tempos or beats.
"""

from __future__ import annotations

import os
from collections.abc import Iterable
from dataclasses import dataclass, replace
from pathlib import Path
from random import Random
from typing import cast

os.environ.setdefault("SDL_VIDEODRIVER", "dummy")

import numpy as np
import pygame
import pytest
from numpy.typing import NDArray

from caller.lesson import Lesson, Opening, Round
from caller.live.background import RunLog
from caller.live.loudspeaker.output import SpeakerBeingOpened
from caller.live.loudspeaker.player import Player
from caller.live.loudspeaker.speakers import SilentSpeaker
from caller.live.performance import PlanToLead
from caller.live.performance.performance import Performance
from caller.live.room import Room
from caller.live.window import Input, Picture, Window
from caller.planning.staging import stage_of
from caller.runsheet import RunSheet
from caller.screen.scene import Scene
from caller.sound import STARTING_DB
from caller.sound.voice import VoiceBox
from tests.live.conftest import AtOnce, SteadyVoice

RATE = 48_000
FRAME_S = 1 / 30
DRAWN_S = 0.006  # a picture takes about so long (python -m benchmarks.frames)
LATE_S = 0.004  # and a sleep so much too long at most on a machine that is not busy (own measurement)
AHEAD_S = 0.2  # what a loudspeaker has taken but not yet sounded
BOUT_S = 2.6
APART = 7  # frames: nobody steps twice within a quarter of a second, and a foot that rolls lands once
SIZE = (800, 450)

SOME = ("march", "star-jumps")
# On every beat. Soft steps, such as knee lifts, touch down too slowly for pixels to tell when, and in heel
# flicks a foot swings low over the floor.
STEPPING = (
    "march",
    "jog-on-the-spot",
    "high-knees",
    "star-jumps",
    "side-to-side-jumps",
    "pogo-jumps",
    "pretend-rope",
    "scissor-steps",
    "one-leg-hops",
)
HALFWAY = {"one-leg-hops"}  # after its hops on one leg the other foot is put down halfway between two strokes


class Time:
    """Seconds that pass only when somebody sleeps or draws."""

    def __init__(self) -> None:
        self.now_s = 100.0
        self._chance = Random("late")

    def monotonic(self) -> float:
        return self.now_s

    def sleep(self, seconds: float) -> None:
        self.now_s += seconds + self._chance.uniform(0.0, LATE_S)


@dataclass(frozen=True)
class Frame:
    """What the window held for a frame: ink (dark pixels), and whose figure moved there."""

    seen_s: float
    ink: NDArray[np.bool_]
    move: str


class FilmedWindow(Window):
    """The real window, each of whose pictures is kept as it was handed to the display."""

    def __init__(self, time: Time) -> None:
        self.frames: list[Frame] = []
        self._time = time
        super().__init__(size=SIZE)

    def inputs(self) -> Iterable[Input]:  # type: ignore[override]
        return ()

    def show(self, picture: Picture) -> bool:
        drawn = super().show(picture)
        self._time.now_s += DRAWN_S
        surface = pygame.display.get_surface()
        if (
            isinstance(picture, Scene)
            and picture.doing == "move"
            and picture.board.move
            and surface is not None
        ):
            green = pygame.surfarray.pixels_green(surface)  # most of what looks bright
            self.frames.append(Frame(self._time.now_s, (green < 70).T, picture.board.move))
        return drawn


class KeptSound(SilentSpeaker):
    """A loudspeaker on the test's clock that keeps what it is given."""

    name = "kept"

    def __init__(self, player: Player, time: Time) -> None:
        self.began_s = time.now_s + AHEAD_S
        self.samples: list[NDArray[np.float32]] = []
        super().__init__(player, clock=time.monotonic)

    def start(self) -> None:
        return

    def heard(self, now_s: float) -> int:
        sample = round((now_s - self.began_s) * RATE)
        due = sample + round(AHEAD_S * RATE) - self._player.written
        if due > 0:
            block = np.zeros(due, np.float32)
            self._player.fill(block)
            self.samples.append(block)
        return max(min(sample, self._player.written), 0)


def warm_up_of(moves: Iterable[str]) -> RunSheet:
    """Return a run sheet of nothing but short bouts of these moves, each with the beat that it has."""
    lesson = Lesson(rounds=(Round(),), opening=Opening(warm_up=tuple(moves), warm_up_seconds=240))
    sheet = stage_of("", Path()).run_sheet(lesson)
    calls = {call.board.move: call for call in sheet.calls if call.kind == "warm-up"}
    # Words last a second in the steady voice, which hums as loudly as its text says: not at all.
    return replace(
        sheet,
        calls=tuple(
            replace(
                call,
                hold_s=BOUT_S,
                lines=tuple(replace(line, speech="0", gaps=(), tone=None) for line in call.lines[-1:]),
            )
            for call in calls.values()
        ),
    )


def film(moves: Iterable[str], patch: pytest.MonkeyPatch) -> tuple[list[Frame], NDArray[np.float32], float]:
    """Return the frames, the sound, and when its first sample was heard."""
    time, sheet = Time(), warm_up_of(moves)
    patch.setattr("caller.live.performance.performance.time", time)
    speakers: list[KeptSound] = []

    def opener(player: Player) -> KeptSound:
        speakers.append(KeptSound(player, time))
        return speakers[-1]

    log, window = RunLog(None), FilmedWindow(time)
    opening = SpeakerBeingOpened(Player(STARTING_DB), opener)
    room = Room(window, cast(VoiceBox, SteadyVoice()), log=log, speaker=opening, clock=time.monotonic)
    room.background.close()
    room.background = AtOnce(log)
    with room:
        Performance(room, PlanToLead(run_sheet=sheet)).run()
    window.close()
    (speaker,) = speakers
    return window.frames, np.concatenate(speaker.samples), speaker.began_s


def strokes_s(sound: NDArray[np.float32]) -> NDArray[np.float64]:
    """Return when a drum is struck: steps up of what sounds between 3.3 and 6 kHz, where no bass is."""
    spectrum = np.fft.rfft(sound.astype(np.float64))
    hertz = np.fft.rfftfreq(sound.size, 1 / RATE)
    spectrum[(hertz < 3_300.0) | (hertz > 6_000.0)] = 0.0
    level = np.convolve(np.abs(np.fft.irfft(spectrum, sound.size)), np.ones(48) / 48, "same")
    loud = np.flatnonzero(level > 0.2 * level.max())
    first = loud[np.concatenate(([True], np.diff(loud) > 0.1 * RATE))]
    return np.asarray(first / RATE, dtype=np.float64)


def soles_at_rest(ink: NDArray[np.bool_]) -> NDArray[np.int64]:
    """Return how many columns of a film have a sole at rest on the floor, frame by frame.

    A sole is the lowest ink of its column that comes and goes, near the lowest of the whole film;
    it rests when it is as low in the frame that follows, to a pixel.
    """
    moving = ink & (ink.mean(axis=0) < 0.97)
    rows = np.flatnonzero(moving.any(axis=(0, 2)))
    tall = rows[-1] - rows[0]
    band = moving[:, rows[-1] - tall // 10 : rows[-1] + 1]
    floor = band.shape[1] - 1
    lowest = np.where(band.any(axis=1), floor - band[:, ::-1].argmax(axis=1), -99)
    soon = np.concatenate([lowest[1:], lowest[-1:]])
    rests = (lowest >= floor - 0.02 * tall) & (abs(soon - lowest) <= 1)
    return np.asarray(rests.sum(axis=1), dtype=np.int64)


def landings(at_rest: NDArray[np.int64]) -> list[int]:
    """Return the frames in which much more of the soles begins to rest than rested of late."""
    least = max(0.08 * at_rest.max(), 4)
    found: list[int] = []
    for n in range(6, at_rest.size - 3):
        rises = at_rest[n] - at_rest[n - 1] >= least and at_rest[n] >= 0.17 * at_rest.max()
        soon = at_rest[n : n + 3].max()
        stays = soon - np.median(at_rest[n - 5 : n]) >= least and soon >= 0.4 * at_rest.max()
        if rises and stays and (not found or n - found[-1] > APART):
            found.append(n)
    return found


def look_at(moves: Iterable[str], patch: pytest.MonkeyPatch) -> None:
    frames, sound, began_s = film(moves, patch)
    heard_s = began_s + strokes_s(sound)
    for move in moves:
        shown = [frame for frame in frames if frame.move == move]
        seen_s = np.array([frame.seen_s for frame in shown])
        # Before the first stroke the figure shows its move beside the words: nobody steps yet.
        first_s = heard_s[heard_s > seen_s[0]].min()
        landed_s = seen_s[landings(soles_at_rest(np.array([frame.ink for frame in shown])))] + FRAME_S / 2
        landed_s = landed_s[landed_s > first_s - FRAME_S]
        on_s = heard_s
        if move in HALFWAY:
            on_s = np.concatenate([heard_s, (heard_s[1:] + heard_s[:-1]) / 2])
        off_s = landed_s - on_s[np.abs(on_s[:, None] - landed_s).argmin(axis=0)]
        beats = np.count_nonzero((heard_s >= first_s) & (heard_s <= seen_s[-3]))
        assert landed_s.size >= beats - 1, move
        assert np.abs(off_s).max() <= FRAME_S, (move, off_s)


def test_feet_are_seen_to_land_within_a_frame_of_the_beat_that_is_heard(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    look_at(SOME, monkeypatch)


@pytest.mark.nightly
@pytest.mark.parametrize("move", STEPPING)
def test_every_stepping_move_lands_within_a_frame_of_the_beat(
    move: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    look_at([move], monkeypatch)
