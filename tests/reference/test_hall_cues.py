"""Cues and pauses: held against the worked values of the acoustics notes.

Masked thresholds and the 10 dB octave rule: ISO 7731:2003 and its annex B, from memory (the standard was
not at hand).
"""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest
from scipy.signal import butter, sosfilt

from caller.cli import main
from caller.clock import ClockTime
from caller.hall import Hall
from caller.hall.adapt import CUE_CEILING_DBA, delivery, masked_threshold_db, tail_s
from caller.hall.advice import report
from caller.hall.hallfile import preset, preset_names, read_hall
from caller.lesson import Lesson, Round
from caller.runsheet.sequence import make_run_sheet
from caller.sound import TONE_CEILING_DBTP
from caller.sound.loudness import true_peak_db
from caller.sound.tones import Tone, load_tones
from caller.timeline.segment import tones_of
from tests.sampling import sampled

LESSON = Lesson(rounds=(Round(time=ClockTime(4, 40)),), step="fives-to")


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


# What the notes' worked example gives a moving class, octave by octave, and how that sounds as one figure by
# the weights of IEC 61672-1 (from memory): 75.6 dB(A).
MOVING_CLASS_DB = np.array([62.0, 66.0, 70.0, 72.0, 70.0, 62.0, 52.0])
A_WEIGHTS_DB = np.array([-16.1, -8.6, -3.2, 0.0, 1.2, 1.0, -1.1])
OCTAVES_HZ = (125, 250, 500, 1000, 2000, 4000, 8000)


def octave_levels_of_the_loudest_part_db(samples: np.ndarray) -> np.ndarray:
    """Levels in the seven octaves, by scipy's Butterworth filters, of the loudest fifth of a second."""
    padded = np.concatenate([samples, np.zeros(2_400)]).astype(float)
    levels = []
    for hz in OCTAVES_HZ:
        sos = butter(4, [hz / 2**0.5, hz * 2**0.5], "bandpass", fs=48_000, output="sos")
        squares = np.cumsum(np.concatenate([[0.0], sosfilt(sos, padded) ** 2]))
        width = min(9_600, samples.size)
        levels.append(10 * np.log10((squares[width:] - squares[:-width]).max() / width + 1e-30))
    return np.array(levels)


def over_masked_db(hall: Hall, tone: Tone, back_dba: float) -> dict[str, float]:
    """By how much the best octave of a tone is over what the class masks at the last row; voice: -18 LUFS."""
    at_75_6 = 10 * np.log10(np.sum(10 ** ((MOVING_CLASS_DB + A_WEIGHTS_DB) / 10)))
    heard_db = octave_levels_of_the_loudest_part_db(tone.samples) + 18.0 + back_dba
    over = {}
    for doing, dba in (("listens", hall.noise.listening_dba), ("moves", hall.noise.working_dba)):
        noise = MOVING_CLASS_DB - at_75_6 + dba
        masked = [max(noise[k] - 7.5 * (n - k) for k in range(n + 1)) for n in range(7)]
        over[doing] = float((heard_db - masked).max())
    return over


def named_on(page: str) -> dict[str, int]:
    """Return the tones that a hall's page names, and by how many decibels they are too soft."""
    return {name: int(lacks) for name, lacks in re.findall(r"“([\w-]+)” by (\d+) dB", page)}


@pytest.mark.parametrize("name", sampled(preset_names(), 2))
def test_tones_stand_out_of_the_class_in_every_ready_made_hall_or_its_page_names_them(
    name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """10 dB over what a listening class masks, and 3 dB over a moving one, in one octave at the last row.

    What the page names is as loud as it may be: at most 85 dB(A) at the nearest child, or the peak's ceiling.
    """
    hall = preset(name)
    fitted = tones_of(make_run_sheet(LESSON, delivery=delivery(hall)), load_tones())
    assert main(["hall", name]) == 0
    named = named_on(capsys.readouterr().out)
    told = report(hall)
    for tone in named:
        at_the_nearest = told.level_front_dba + fitted[tone].level_db + 18.0
        at_its_peak = true_peak_db(fitted[tone].samples) >= TONE_CEILING_DBTP - 0.6
        assert at_the_nearest >= CUE_CEILING_DBA - 0.6 or at_its_peak, (tone, at_the_nearest)
    for tone in ("attention", "time-up", "beep", "answer"):
        over = over_masked_db(hall, fitted[tone], told.level_back_dba)
        assert over["listens"] >= 10.0, (tone, over)
        assert over["moves"] >= 3.0 or tone in named, (tone, over)


def test_the_page_of_a_hall_that_is_too_loud_names_the_tones_and_what_they_lack(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """No ready-made hall is: a class of 90 dB(A) while it moves. 10 dB are asked of these three."""
    file = tmp_path / "loud.toml"
    file.write_text('like = "gym"\n[noise]\nworking_dba = 90\n', encoding="utf-8")
    hall = read_hall(file)
    fitted = tones_of(make_run_sheet(LESSON, delivery=delivery(hall)), load_tones())
    assert main(["hall", str(file)]) == 0
    named = named_on(capsys.readouterr().out)
    for tone in ("attention", "time-up", "beep"):
        over = over_masked_db(hall, fitted[tone], report(hall).level_back_dba)
        assert over["moves"] < 3.0
        assert named[tone] == pytest.approx(10.0 - over["moves"], abs=2.5)
