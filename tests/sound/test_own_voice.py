from __future__ import annotations

import os
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from caller.sound import SAMPLE_RATE, VOICE_LUFS
from caller.sound.loudness import integrated_lufs
from caller.sound.own_voice import OWN, OwnVoice, Said, trimmed
from caller.sound.speech import Speech, estimate_s

TEXT = "On the left: half past nine. Jump from side to side."
SAID: Said = (TEXT, "en-GB")


def spoken(text: str, *, rate: int = 44_100, level: float = 0.2, noise: float = 0.001) -> NDArray[np.float32]:
    """Return syllables of coloured noise as long as `text` takes, with a second of room around them."""
    rng = np.random.default_rng(len(text))
    time_s = np.arange(round(estimate_s(text, 120) * rate)) / rate
    voiced = np.abs(np.sin(2 * np.pi * 2.0 * time_s)) * np.sin(2 * np.pi * 180 * time_s)
    sound = np.concatenate([np.zeros(rate), level * voiced, np.zeros(rate)])
    return (sound + noise * rng.standard_normal(sound.size)).astype(np.float32)


@pytest.mark.parametrize("level", [0.03, 0.2, 0.9])
@pytest.mark.parametrize("rate", [16_000, 44_100, SAMPLE_RATE])
def test_a_recording_is_cut_to_its_words_and_brought_to_the_loudness_of_every_voice(
    rate: int, level: float
) -> None:
    clip = trimmed(spoken(TEXT, rate=rate, level=level, noise=0.001 * level), rate, TEXT)
    assert clip.duration_s == pytest.approx(estimate_s(TEXT, 120), abs=0.3)
    assert integrated_lufs(clip.samples) == pytest.approx(VOICE_LUFS, abs=0.1)
    assert (clip.voice, clip.missing) == (OWN, False)


@pytest.mark.parametrize(
    ("raw", "why"),
    [
        (np.zeros(48_000, np.float32), "is silent"),
        (np.clip(6 * spoken(TEXT), -1, 1), "is clipped"),
        (spoken(TEXT, noise=0.2), "is too noisy"),
        (spoken("Go on, and all of it once more, please. " * 5), "is it another sentence?"),
        (spoken("Go"), "is it another sentence?"),
        (spoken(TEXT)[:1_000] + np.float32(0.1), "is too short"),
    ],
)
def test_a_recording_that_cannot_be_used_says_what_to_do(raw: NDArray[np.float32], why: str) -> None:
    with pytest.raises(ValueError, match=why.replace("?", r"\?")):
        trimmed(raw, 44_100, TEXT)


def clip_of(level: float) -> Speech:
    return Speech(samples=np.full(100, level, np.float32), voice=OWN)


def test_what_was_kept_is_found_by_its_words_in_any_dialect(tmp_path: Path) -> None:
    OwnVoice(tmp_path / "own").keep(SAID, clip_of(0.25))
    again = OwnVoice(tmp_path / "own")
    for said in (SAID, (TEXT, "en-US"), (TEXT.replace(": ", ":  "), "en")):
        found = again.get(said)
        assert found is not None
        assert found.samples == pytest.approx(np.full(100, 0.25), abs=1e-4)
    assert again.get((TEXT, "de")) is None
    assert len(again) == 1


@pytest.mark.skipif(os.name != "posix", reason="Windows has no such modes")
def test_recordings_are_for_their_user_alone(tmp_path: Path) -> None:
    own = OwnVoice(tmp_path / "own")
    own.keep(SAID, clip_of(0.25))
    assert own.folder.stat().st_mode & 0o077 == 0
    assert [path.stat().st_mode & 0o077 for path in own.folder.iterdir()] == [0]
    assert own.forget() == 1
    assert (own.forget(), own.has(SAID), list(own.folder.iterdir())) == (0, False, [])


@given(kept=st.sets(st.integers(0, 5)), call=st.lists(st.integers(0, 5), max_size=6))
def test_a_call_is_whole_or_nothing(
    kept: set[int], call: list[int], tmp_path_factory: pytest.TempPathFactory
) -> None:
    own = OwnVoice(tmp_path_factory.mktemp("own"))
    for number in kept:
        own.keep((f"line {number}", "en"), clip_of(number / 10))
    found = own.whole((f"line {number}", "en") for number in call)
    if call and set(call) <= kept:
        assert found is not None
        assert [round(10 * float(clip.samples[0])) for clip in found] == call
    else:
        assert found is None


def test_a_damaged_recording_counts_as_missing(tmp_path: Path) -> None:
    own = OwnVoice(tmp_path)
    own.keep(SAID, clip_of(0.25))
    (file,) = tmp_path.iterdir()
    file.write_bytes(file.read_bytes()[:-1])
    assert own.get(SAID) is None
    assert own.whole([SAID]) is None
