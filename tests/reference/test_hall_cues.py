"""Cues and pauses: held against the worked values of the acoustics notes.

Masked thresholds and the 10 dB octave rule: ISO 7731:2003 and its annex B, from memory (the standard was
not at hand).
"""

from __future__ import annotations

import pytest

from caller.hall.adapt import masked_threshold_db, tail_s


def test_the_class_of_the_worked_example_masks_as_worked() -> None:
    # calc: noise 62 66 70 72 70 62 52 gives masked thresholds 62 66 70 72 70 62.5 55.
    assert masked_threshold_db([62.0, 66, 70, 72, 70, 62, 52]) == pytest.approx(
        [62, 66, 70, 72, 70, 62.5, 55]
    )
    assert masked_threshold_db([62.0, 66, 70, 72, 70, 62, 52])[3] + 10 == 82  # what a 1 kHz cue needs


@pytest.mark.parametrize(
    ("reverberation_s", "after_15_db_s", "after_25_db_s"),
    [(2.0, 0.50, 0.83), (3.0, 0.75, 1.25), (4.0, 1.0, 1.67)],
)
def test_the_tail_falls_as_worked(reverberation_s: float, after_15_db_s: float, after_25_db_s: float) -> None:
    assert tail_s(reverberation_s, 15.0) == pytest.approx(after_15_db_s, abs=0.005)  # calc
    assert tail_s(reverberation_s, 25.0) == pytest.approx(after_25_db_s, abs=0.005)  # calc
