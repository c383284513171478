"""Segments without speech, for tests of playing and conducting."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from concurrent.futures import Future
from dataclasses import dataclass
from typing import TypeVar

import numpy as np
import pytest
from numpy.typing import NDArray

from caller.live.background import Background
from caller.runsheet import Board, Call, CallKind, Countdown, Line, RunSheet, VoicePlan
from caller.sound.speech import VoiceSettings
from caller.sound.tones import Tone
from caller.timeline import samples_of
from caller.timeline.segment import Timeline

T = TypeVar("T")


@dataclass(frozen=True)
class Sounded:
    samples: NDArray[np.float32]
    peak: float


class AtOnce(Background):
    """Does the work when it is handed over, so that what a test sees does not hang on threads."""

    def submit(self, name: str, work: Callable[[], T]) -> Future[T]:
        done: Future[T] = Future()
        try:
            done.set_result(self._told(name, work))
        except Exception as error:
            done.set_exception(error)
        return done


class SteadyVoice:
    """Every sentence is one second of a constant level that its text tells: `0.25` is said at 0.25."""

    def clip(self, text: str, _settings: VoiceSettings) -> Sounded:
        return Sounded(np.full(samples_of(1), float(text), dtype=np.float32), peak=float(text))

    def speak_ahead(self, requests: Iterable[tuple[str, VoiceSettings]]) -> None:
        list(requests)


def make_call(
    number: int, level: float, *, kind: CallKind = "breath", think_s: int = 0, in_round: int | None = None
) -> Call:
    return Call(
        number=number,
        kind=kind,
        part="round",
        round=in_round,
        lines=(Line(written=f"call {number}", speech=str(level), pause_s=0.0),),
        board=Board(layout="title", title=f"call {number}"),
        countdown=Countdown(seconds=think_s) if think_s else None,
    )


def steady_timeline(*calls: Call, two_loudspeakers: bool = False) -> Timeline:
    run_sheet = RunSheet(
        title="Test",
        class_name="Terns",
        language="en-GB",
        seed=1,
        voice=VoicePlan(rate_wpm=120, two_loudspeakers=two_loudspeakers),
        calls=calls,
        rounds=(),
    )
    short = Tone(
        name="tick", samples=np.full(4_800, 0.125, dtype=np.float32), level_db=-18.0, peak=0.125, says=""
    )
    return Timeline(run_sheet, voice=SteadyVoice(), tones={"tick": short, "beep": short})


@pytest.fixture(scope="session")
def timeline_of() -> Callable[..., Timeline]:
    return steady_timeline
