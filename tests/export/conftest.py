"""A short lesson with a stand-in voice, for tests of writing it to files."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

import numpy as np
import pytest
from numpy.typing import NDArray

from caller.clock import ClockTime
from caller.clock.said_and_shown import MinuteCount
from caller.export.programme import Programme
from caller.runsheet import Board, Call, Countdown, Dial, Lane, Line, RunSheet, VoicePlan
from caller.sound import SAMPLE_RATE
from caller.sound.speech import VoiceSettings
from caller.sound.tones import load_tones
from caller.timeline import samples_of
from caller.timeline.segment import Timeline

ASKED = ClockTime(4, 40)
LANES = (
    Lane(side="left", numeral="4:40", words="four forty", move="march", move_name="march"),
    Lane(side="right", numeral="8:20", words="eight twenty", move="star-jumps", move_name="star jumps"),
)
_FIVES = tuple((n, n) for n in range(5, 41, 5))
BOARD = Board(layout="clock", dials=(Dial(time=ASKED),), lanes=LANES, progress="1 of 1")


@dataclass(frozen=True)
class Hummed:
    samples: NDArray[np.float32]
    peak: float = 0.4


class HummingVoice:
    """A third of a second of humming for each word, about as loud as a voice should be."""

    def clip(self, text: str, _settings: VoiceSettings) -> Hummed:
        time_s = np.arange(samples_of(len(text.split()) / 3)) / SAMPLE_RATE
        hum = sum(np.sin(2 * np.pi * 220 * n * time_s) / n for n in range(1, 6))
        syllables = 0.6 + 0.4 * np.sin(2 * np.pi * 3 * time_s)
        return Hummed((0.16 * hum * syllables).astype(np.float32))

    def speak_ahead(self, requests: Iterable[tuple[str, VoiceSettings]]) -> None:
        list(requests)


def say(text: str, **more: object) -> Line:
    return Line(written=text, speech=text, **more)  # type: ignore[arg-type]


def short_lesson() -> RunSheet:
    figure = Board(layout="figure", title="March", move="march", move_name="march")
    calls = (
        Call(
            number=1,
            kind="welcome",
            part="opening",
            round=None,
            lines=(say("Hello, Terns!"),),
            board=figure,
            hold_s=6.0,
        ),
        Call(
            number=2,
            kind="question",
            part="round",
            round=1,
            lines=(say("Clock 1 of 1.", tone="attention", breath_s=0.5), say("What time is it?")),
            board=BOARD,
        ),
        Call(
            number=3,
            kind="move",
            part="round",
            round=1,
            lines=(say("Decide, and do your move. Go!"),),
            board=BOARD,
            countdown=Countdown(seconds=6),
        ),
        Call(
            number=4,
            kind="reason",
            part="round",
            round=1,
            lines=(
                say("Count in fives to eight: forty minutes.", cue=MinuteCount("past", 40, _FIVES)),
                say("It is four forty."),
            ),
            board=BOARD,
            hold_s=1.0,
        ),
    )
    return RunSheet(
        title="Twenty to",
        class_name="Terns",
        language="en-GB",
        seed=1,
        voice=VoicePlan(rate_wpm=120),
        calls=calls,
        rounds=(),
    )


@pytest.fixture(scope="session")
def programme_of() -> Callable[[RunSheet], Programme]:
    def make(run_sheet: RunSheet) -> Programme:
        return Programme(Timeline(run_sheet, voice=HummingVoice(), tones=load_tones()))

    return make


@pytest.fixture(scope="session")
def programme(programme_of: Callable[[RunSheet], Programme]) -> Programme:
    """The short lesson: a figure, a question, six seconds to think, a reason."""
    return programme_of(short_lesson())
