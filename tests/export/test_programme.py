from __future__ import annotations

from collections.abc import Callable, Iterable

import numpy as np
import pytest
from numpy.typing import NDArray

from caller.errors import SoundError
from caller.export.programme import BLOCK, PROGRAMME_LUFS, Programme, levelled, measure
from caller.runsheet import RunSheet
from caller.sound import CEILING_DBTP, SAMPLE_RATE
from caller.sound.loudness import integrated_lufs, true_peak_db
from caller.sound.speech import Speech, VoiceSettings, not_spoken
from caller.sound.tones import load_tones
from caller.timeline.segment import Timeline

from .conftest import HummingVoice, short_lesson

TIME_S = np.arange(20 * SAMPLE_RATE) / SAMPLE_RATE
PULSED = (np.sin(2 * np.pi * 440 * TIME_S) * (np.sin(np.pi * TIME_S) > 0)).astype(np.float32)


def in_blocks(samples: NDArray[np.float32], length: int) -> list[NDArray[np.float32]]:
    return [samples[start : start + length] for start in range(0, samples.size, length)]


@pytest.mark.parametrize("length", [480, 12_345, 48_000])
def test_blocks_measure_like_the_whole(length: int) -> None:
    sound = 0.1 * PULSED
    measured = measure(in_blocks(sound, length))
    assert measured.lufs == pytest.approx(integrated_lufs(sound), abs=0.01)
    assert measured.peak_dbtp == pytest.approx(true_peak_db(sound), abs=0.05)


@pytest.mark.parametrize("level", [0.01, 0.1, 0.5])
def test_the_whole_comes_to_the_programmes_loudness(level: float) -> None:
    blocks = in_blocks(np.float32(level) * PULSED, 48_000)
    assert measure(levelled(blocks, measure(blocks))).lufs == pytest.approx(PROGRAMME_LUFS, abs=0.05)


@pytest.mark.parametrize("length", [700, 48_000])
def test_peaks_are_held_under_the_ceiling_without_a_seam(length: int) -> None:
    spiky = 0.05 * PULSED
    spiky[::4_801] += np.float32(0.9)
    blocks = in_blocks(spiky, length)
    held = np.concatenate(list(levelled(blocks, measure(blocks), margin_db=0.5)))
    assert held.size == spiky.size
    assert true_peak_db(held) <= CEILING_DBTP - 0.5 + 0.1
    whole = np.concatenate(list(levelled([spiky], measure([spiky]), margin_db=0.5)))
    assert np.abs(held - whole).max() < 0.01


def test_silence_stays_silence() -> None:
    blocks = in_blocks(np.zeros(96_000, np.float32), 48_000)
    assert not np.concatenate(list(levelled(blocks, measure(blocks)))).any()


class DumbVoice:
    def clip(self, text: str, settings: VoiceSettings) -> Speech:
        return not_spoken(text, settings, "there is no speech engine")

    def speak_ahead(self, requests: Iterable[tuple[str, VoiceSettings]]) -> None:
        list(requests)


def test_the_sound_in_blocks_is_the_segments_end_to_end(programme: Programme) -> None:
    timeline = Timeline(short_lesson(), voice=HummingVoice(), tones=load_tones())
    segments = [timeline.segment(call) for call in timeline.run_sheet.calls]
    blocks = list(programme.blocks())
    assert max(block.size for block in blocks) <= BLOCK
    assert sum(block.size for block in blocks) == programme.length
    np.testing.assert_array_equal(
        np.concatenate(blocks), np.concatenate([one.render(0, one.length) for one in segments])
    )


def test_every_sample_is_seen_in_its_own_call(programme: Programme) -> None:
    for number, layout in enumerate(programme.layouts):
        for sample in (programme.starts[number], programme.starts[number + 1] - 1):
            scene = programme.scene(sample)
            assert scene.board == layout.call.board


def test_a_lesson_with_missing_sentences_is_not_written(
    programme_of: Callable[[RunSheet], Programme],
) -> None:
    dumb = Programme(Timeline(short_lesson(), voice=DumbVoice(), tones=load_tones()))
    with pytest.raises(SoundError) as told:
        dumb.require_voice()
    assert str(told.value) == (
        "6 sentences of this lesson could not be spoken (there is no speech engine). "
        "Nothing was written; run the export again."
    )


def test_what_is_made_of_a_lesson_that_was_given_up_ends(
    programme_of: Callable[[RunSheet], Programme],
) -> None:
    programme = programme_of(short_lesson())
    blocks = programme.blocks()
    next(blocks)
    programme.go_on()
    programme.give_up()
    with pytest.raises(KeyboardInterrupt):
        next(blocks)
    with pytest.raises(KeyboardInterrupt):
        programme.go_on()
