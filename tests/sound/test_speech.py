from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from caller.sound import SAMPLE_RATE
from caller.sound.speech import Speech, Word, with_gaps

TEXT = "It is four forty"
STARTS_S = {0: 0.0, 3: 0.2, 6: 0.4, 11: 0.7}


def spoken() -> Speech:
    """A steady sound of one second with four words in it."""
    words = tuple(
        Word(offset_s, at, len(TEXT[at:].split(maxsplit=1)[0])) for at, offset_s in STARTS_S.items()
    )
    return Speech(samples=np.full(SAMPLE_RATE, 0.5, np.float32), words=words)


def test_silence_stands_before_the_words_asked_for() -> None:
    clip = with_gaps(spoken(), [(6, 0.3), (11, 0.1)])
    assert clip.duration_s == pytest.approx(1.4)
    quiet = clip.samples == 0.0
    assert quiet[round(0.4 * SAMPLE_RATE) : round(0.7 * SAMPLE_RATE)].all()
    assert quiet[round(1.0 * SAMPLE_RATE) : round(1.1 * SAMPLE_RATE)].all()
    assert quiet.sum() == pytest.approx(0.4 * SAMPLE_RATE, abs=8)
    assert clip.words is not None
    assert [word.offset_s for word in clip.words] == pytest.approx([0.0, 0.2, 0.7, 1.1])


def test_the_ends_of_a_silence_do_not_click() -> None:
    clip = with_gaps(spoken(), [(6, 0.3)])
    assert np.abs(np.diff(clip.samples)).max() < 0.005
    assert clip.samples[0] == clip.samples[-1] == 0.5  # the sentence's own ends stay as they were


@pytest.mark.parametrize("gaps", [[], [(0, 0.3)], [(7, 0.3)], [(99, 0.3)]])
def test_nothing_is_inserted_where_no_word_begins(gaps: list[tuple[int, float]]) -> None:
    clip = spoken()
    assert with_gaps(clip, gaps) is clip


def test_a_voice_that_does_not_tell_its_words_is_left_as_it_is() -> None:
    clip = Speech(samples=np.zeros(100, np.float32))
    assert with_gaps(clip, [(6, 0.3)]) is clip


@given(st.lists(st.sampled_from([3, 6, 11]), unique=True).map(sorted), st.floats(0.01, 1.0))
def test_all_the_sound_is_still_there_but_for_the_fades(places: list[int], gap_s: float) -> None:
    clip = with_gaps(spoken(), [(at, gap_s) for at in places])
    assert clip.samples.size == SAMPLE_RATE + len(places) * round(gap_s * SAMPLE_RATE)
    full = np.isclose(clip.samples, 0.5).sum()
    assert full >= SAMPLE_RATE - len(places) * round(0.0101 * SAMPLE_RATE)
