"""What neural voices have in common, with voices made for the purpose: no extra is needed."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from caller.sound.paced_engine import MODEL_RATE, PacedEngine, Sentence, stretched
from caller.sound.speech import estimate_s
from caller.sound.voice_engine import VoiceName, heard_s

HUM = VoiceName(key="hum", label="Hum", languages=("en-us",))
LINES = ("Half past four.", "On the left: five after six. Do star jumps.", "Is it three fifty-five?")


class JumpingVoice(PacedEngine):
    """Hums each word; what it hums lasts whole steps of a fifth of what is asked of it."""

    voices = (HUM,)
    natural_s = (0.05, 0.8, 0.4)
    run_up_s = 0.0
    tries = 3
    identity = "jumping"

    def sentences(self, text: str, _voice: VoiceName) -> Iterator[Sentence]:
        at = 0
        said: Sentence = []
        for word in text.split():
            at = text.index(word, at)
            said.append((list(range(1, len(word) + 1)), at, len(word)))
        yield said

    def made(
        self, sounds: list[int], speed: float, _voice: VoiceName
    ) -> tuple[NDArray[np.float32], NDArray[np.float32] | None]:
        step = round(0.065 * MODEL_RATE * 1.21 ** round(np.log(1 / speed) / np.log(1.21)))
        time_s = np.arange(step * len(sounds)) / MODEL_RATE
        return (0.3 * np.sin(2 * np.pi * 200 * time_s)).astype(np.float32), np.ones(len(sounds), np.float32)


@pytest.mark.parametrize("rate_wpm", [90, 100, 110, 120, 130, 140, 150])
@pytest.mark.parametrize("text", LINES)
def test_a_voice_that_moves_in_jumps_comes_to_every_length_all_the_same(text: str, rate_wpm: int) -> None:
    said = JumpingVoice().say(text, Path(), voice=HUM, rate_wpm=rate_wpm)
    asked_s = estimate_s(text, rate_wpm)
    assert heard_s(said.samples, said.rate) == pytest.approx(asked_s, rel=0.05)
    assert said.words is not None
    assert [text[at : at + length] for _, at, length in said.words] == text.split()
    assert all(one[0] <= other[0] for one, other in pairwise(said.words))
    assert said.words[-1][0] < asked_s


@given(factor=st.floats(0.8, 1.25), hertz=st.floats(90, 400), seconds=st.floats(0.5, 3.0))
def test_stretching_changes_the_length_and_neither_pitch_nor_level(
    factor: float, hertz: float, seconds: float
) -> None:
    time_s = np.arange(round(seconds * MODEL_RATE)) / MODEL_RATE
    tone = (0.3 * np.sin(2 * np.pi * hertz * time_s)).astype(np.float32)
    longer = stretched(tone, factor)
    assert longer.size == round(tone.size * factor)
    middle = longer[1_000:-1_000].astype(np.float64)
    # A tone by its zero crossings, and by its power: neither is how it was made.
    crossings = np.flatnonzero(np.diff(np.signbit(middle)))
    found_hz = (crossings.size - 1) / 2 / (crossings[-1] - crossings[0]) * MODEL_RATE
    assert found_hz == pytest.approx(hertz, rel=0.02)
    assert np.sqrt((middle**2).mean()) == pytest.approx(0.3 / np.sqrt(2), rel=0.03)
