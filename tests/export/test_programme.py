from __future__ import annotations

from collections.abc import Callable, Iterable

import numpy as np
import pytest

from caller.errors import SoundError
from caller.export.programme import BLOCK, Programme
from caller.runsheet.model import RunSheet
from caller.sound.speech import Speech, VoiceSettings, not_spoken
from caller.sound.tones import load_tones
from caller.timeline.segment import Timeline

from .conftest import HummingVoice, short_lesson


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
