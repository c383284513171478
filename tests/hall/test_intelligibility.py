from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from caller.hall.intelligibility import (
    index,
    letter,
    masking_factor,
    room_modulation,
    sti,
    transmission_indices,
    word,
    words_heard,
)

LEVELS = arrays(float, 7, elements=st.floats(0.0, 120.0))


@given(m=arrays(float, (7, 14), elements=st.floats(0.0, 1.0)))
def test_sti_stays_between_nothing_and_everything(m: np.ndarray) -> None:
    assert 0.0 <= float(index(m)) <= 1.0
    assert ((transmission_indices(m) >= 0.0) & (transmission_indices(m) <= 1.0)).all()


@given(t=st.floats(0.1, 8.0), more=st.floats(0.05, 4.0), speech=LEVELS, noise=LEVELS)
def test_a_longer_echo_never_helps(t: float, more: float, speech: np.ndarray, noise: np.ndarray) -> None:
    short, long = room_modulation(np.full(7, t)), room_modulation(np.full(7, t + more))
    assert (long <= short).all()
    # The index itself may rise by a hair where neighbouring bands overlap, never by more.
    assert (
        float(sti(long, speech_db=speech, noise_db=noise))
        <= float(sti(short, speech_db=speech, noise_db=noise)) + 0.02
    )


@given(speech=LEVELS, noise=LEVELS)
def test_the_ears_own_masking_takes_and_never_gives(speech: np.ndarray, noise: np.ndarray) -> None:
    left = masking_factor(speech, noise)
    assert ((left > 0.0) & (left <= 1.0)).all()


@given(ratio=st.floats(0.0, 100.0), t=st.floats(0.1, 8.0))
def test_direct_sound_never_hurts(ratio: float, t: float) -> None:
    far = room_modulation(np.full(7, t))
    near = room_modulation(np.full(7, t), direct_to_reverberant=np.full(7, ratio))
    assert (near >= far - 1e-12).all()


@given(low=st.floats(0, 1), high=st.floats(0, 1))
def test_a_better_sti_never_means_fewer_words(low: float, high: float) -> None:
    low, high = sorted((low, high))
    assert words_heard(low) <= words_heard(high)


def test_many_places_are_reckoned_at_once() -> None:
    places = room_modulation(np.full(7, 2.0), direct_to_reverberant=np.ones((5, 7)))
    assert places.shape == (5, 7, 14)
    assert sti(places, speech_db=np.full((5, 7), 60.0), noise_db=np.full(7, 50.0)).shape == (5,)


def test_a_hopeless_hall_is_called_bad() -> None:
    assert (letter(0.1), word(0.1)) == ("U", "bad")
