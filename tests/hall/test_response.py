from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from scipy.signal import fftconvolve

from caller.hall import Hall, sweep_run
from caller.hall.floor import last_row_sti
from caller.hall.hallfile import parse_hall
from caller.hall.impulse import Sweep, exponential_sweep
from caller.hall.intelligibility import index, room_modulation
from caller.hall.response import Measurement, measure, measure_response, with_measured, with_measurement

RATE_HZ = 48_000


@pytest.fixture(scope="module")
def sweep() -> Sweep:
    return exponential_sweep(length_s=4.0, amplitude=0.25)


def hall_response(t_s: float, seed: int = 1) -> np.ndarray:
    time_s = np.arange(int(1.3 * t_s * RATE_HZ)) / RATE_HZ
    response = np.random.default_rng(seed).standard_normal(time_s.size) * 10 ** (-3 * time_s / t_s)
    return np.asarray(0.004 * response)


def recording(
    sweep: Sweep, t_s: float, *, noise: float = 3e-5, gain: float = 1.0, tail_s: float = 3.0
) -> np.ndarray:
    played = np.concatenate([np.zeros(7000), sweep.samples, np.zeros(int(tail_s * RATE_HZ))])
    heard = gain * fftconvolve(played, hall_response(t_s))[: played.size]
    return np.asarray(heard + noise * np.random.default_rng(2).standard_normal(played.size))


def fault(measurement: Measurement) -> str:
    assert not measurement.good
    assert measurement.reverberation_s is None
    assert measurement.quiet_sti is None
    return measurement.fault


@pytest.mark.parametrize("t_s", [0.6, 1.5, 3.0])
def test_a_recorded_sweep_gives_the_halls_reverberation_and_sti(sweep: Sweep, t_s: float) -> None:
    found = measure(recording(sweep, t_s), sweep)
    assert found.good
    assert found.reverberation_s is not None
    assert np.mean(found.reverberation_s[2:]) == pytest.approx(t_s, rel=0.05)
    assert found.quiet_sti == pytest.approx(float(index(room_modulation(np.full(7, t_s)))), abs=0.03)


def test_what_was_measured_replaces_the_estimate(sweep: Sweep, bare_gym: Hall) -> None:
    found = measure(recording(sweep, 1.5), sweep)
    hall = with_measurement(bare_gym, found)
    assert hall.measured_reverberation_s == found.reverberation_s
    assert last_row_sti(hall) > last_row_sti(bare_gym)
    with pytest.raises(ValueError, match="not good enough"):
        with_measurement(bare_gym, measure(np.zeros(10), sweep))


def test_a_noisy_hall_is_told_to_wait_for_quiet_and_by_how_much_to_play_louder(sweep: Sweep) -> None:
    told = fault(measure(recording(sweep, 1.5, noise=0.035), sweep))
    assert told.startswith("The echo sinks into the noise too soon at ")
    assert " dB are left, and 35 dB are needed. Wait for quiet, play the sweep about " in told
    assert told.endswith(" dB louder or longer, and measure again.")


def test_a_clipped_recording_is_told_so(sweep: Sweep) -> None:
    loud = np.clip(recording(sweep, 1.5, gain=40.0), -1.0, 1.0)
    assert fault(measure(loud, sweep)) == (
        "The recording is clipped. Turn the microphone's level down by half, and measure again."
    )


@pytest.mark.parametrize(
    ("case", "told"),
    [
        ("silent", "The recording is silent. Check that the microphone is on and chosen, and measure again."),
        ("empty", "The recording holds no sound. Check the microphone, and measure again."),
        ("broken", "The recording holds no sound. Check the microphone, and measure again."),
        ("short", "The recording stops too soon after the sweep. Record at least 3 s of its echo."),
        (
            "elsewhere",
            (
                "The sweep cannot be found in the recording."
                " Check that the speaker played and that the right microphone is chosen."
            ),
        ),
    ],
)
def test_a_recording_without_the_sweep_is_told_why(sweep: Sweep, case: str, told: str) -> None:
    samples = {
        "silent": np.full(8 * RATE_HZ, 1e-6),
        "empty": np.zeros(0),
        "broken": np.full(8 * RATE_HZ, np.nan),
        "short": recording(sweep, 1.0)[: 5 * RATE_HZ],
        "elsewhere": 0.1 * np.random.default_rng(4).standard_normal(8 * RATE_HZ),
    }[case]
    assert fault(measure(samples, sweep)) == told


def test_a_small_speakers_missing_bass_is_filled_from_its_neighbour_and_noted() -> None:
    from scipy.signal import butter, sosfilt

    rng = np.random.default_rng(8)
    time_s = np.arange(3 * RATE_HZ) / RATE_HZ
    response = rng.standard_normal(time_s.size) * 10 ** (-3 * time_s / 1.2)
    thin = sosfilt(butter(8, 260, "highpass", fs=RATE_HZ, output="sos"), response)
    found = measure_response(thin + 2e-3 * rng.standard_normal(time_s.size), RATE_HZ)
    assert found.good
    assert found.reverberation_s is not None
    assert found.reverberation_s[0] == found.reverberation_s[1]
    assert found.notes == ("125 Hz was too noisy to measure; its nearest band stands in for it.",)


def test_a_response_cut_short_is_refused() -> None:
    told = fault(measure_response(hall_response(0.4), RATE_HZ))
    assert told == "Only 0.5 s were recorded after the sweep. Record at least 3 s of its echo."


TIMES_S = (2.4, 2.2, 2.0, 1.8, 1.6, 1.2, 0.8)
GOOD = Measurement(rate_hz=48_000, response=np.zeros(1), decays=(), reverberation_s=TIMES_S, quiet_sti=0.4567)


@pytest.mark.parametrize(
    "text",
    [
        "",
        '# Our hall.\nlike = "gym"  # nearly\n',
        'like = "gym"\n\n[speaker]\nheight_m = 2.5  # on the shelf\n',
        'like = "gym"\n[measured]\n# in the spring\nreverberation_s = [1, 1, 1, 1, 1, 1, 1]\n[noise]\n',
    ],
)
def test_the_figures_are_kept_and_every_comment_stays(text: str) -> None:
    kept = with_measured(text, GOOD, on="2026-11-25")
    assert [line for line in text.splitlines() if "#" in line] == [
        line for line in kept.splitlines() if "#" in line
    ]
    hall = parse_hall(kept if "like" in kept else f'like = "gym"\n{kept}', "hall.toml")
    assert hall.measured_reverberation_s == TIMES_S
    assert hall.measured_quiet_sti == 0.457
    assert with_measured(kept, GOOD, on="2026-11-25") == kept


def test_the_written_table_is_plain() -> None:
    assert with_measured('like = "gym"\n', GOOD, on="2026-11-25") == (
        'like = "gym"\n\n[measured]\nreverberation_s = [2.4, 2.2, 2.0, 1.8, 1.6, 1.2, 0.8]\n'
        'quiet_sti = 0.457\non = "2026-11-25"\n'
    )


@pytest.mark.parametrize(
    ("ends", "swept_db", "good"),
    [
        (("bang", ""), [-15, -15], True),
        (("soft", ""), [-15, -5], True),
        (("bang", "soft", "bang", ""), [-15, -15, -5, -5], True),
        (("bang", "bang", "bang", "bang", "bang"), [-15, -15, -15, -5, 5], False),
        (("soft", "soft", "soft"), [-15, -5, 5], False),
    ],
)
def test_what_a_bang_disturbed_is_swept_once_more_as_loud_and_what_was_too_soft_louder(
    monkeypatch: pytest.MonkeyPatch, ends: tuple[str, ...], swept_db: list[float], good: bool
) -> None:
    played: list[float] = []
    said: list[str] = []
    passing = {"": "", "bang": "A bang was heard.", "soft": ""}

    def recorded(amplitude: float) -> tuple[Sweep, np.ndarray, None]:
        played.append(round(20 * np.log10(amplitude) - 3.0 + 30.0))
        return exponential_sweep(length_s=0.1), np.full(10, 0.01), None

    def measured(_recording: object, _sweep: object) -> Measurement:
        end = next(told)
        failed = measure(np.zeros(0), exponential_sweep(length_s=0.1))
        return replace(failed, fault="Any words." if end else "", passing=passing[end])

    told = iter(ends)
    monkeypatch.setattr(sweep_run, "_recorded", recorded)
    monkeypatch.setattr(sweep_run, "measure", measured)
    found, _ = sweep_run.measure_hall(-30.0, told=said.append)
    assert found.good is good
    assert played == swept_db
    assert len(said) == len(played)
    swept_again = len(played) - len(set(played))
    assert sum(each.startswith("A bang was heard. Sweep ") for each in said) == swept_again


@pytest.mark.parametrize("true_ms", [0, 50, 300])
@pytest.mark.parametrize("t_s", [0.6, 1.5])
def test_how_late_a_loudspeaker_sounds_is_found_from_what_both_streams_say_of_their_samples(
    monkeypatch: pytest.MonkeyPatch, sweep: Sweep, true_ms: int, t_s: float
) -> None:
    """Blocks as a sound system hands them on: big ones out, small ones in, each said a little wrong."""
    rng = np.random.default_rng(3)
    ahead_s, began_in_s, began_out_s = 0.4, 100.0, 100.3
    now_s = 0.0
    monkeypatch.setattr(sweep_run, "time", SimpleNamespace(monotonic=lambda: now_s))
    run = sweep_run._Run(sweep.samples, round(8.0 * RATE_HZ))
    for first in range(0, sweep.samples.size, 6_000):
        now_s = began_out_s + first / RATE_HZ + rng.normal(0.0, 0.004)
        says = SimpleNamespace(currentTime=5.0, outputBufferDacTime=5.0 + ahead_s)
        run.play(np.zeros((6_000, 1)), 6_000, says, SimpleNamespace(output_underflow=False))
    played = recording(sweep, t_s)[7_000:]  # as if what is played were heard at once
    shift = round((began_out_s + ahead_s - began_in_s + true_ms / 1000) * RATE_HZ)
    heard = np.concatenate([np.zeros(shift), played])
    for first in range(0, heard.size, 480):
        now_s = began_in_s + first / RATE_HZ + 0.05 + rng.normal(0.0, 0.004)
        says = SimpleNamespace(currentTime=9.0, inputBufferAdcTime=8.95)
        run.hear(heard[first : first + 480, np.newaxis], 480, says, SimpleNamespace(input_overflow=False))
    found = measure(heard, sweep)
    assert found.arrives is not None
    arrival = run.arrival(found.arrives, sweep.rate_hz)
    assert arrival is not None
    assert 1000 * arrival.late_s == pytest.approx(true_ms, abs=3.0)


def test_a_sound_system_that_tells_no_times_times_no_loudspeaker(sweep: Sweep) -> None:
    run = sweep_run._Run(sweep.samples, RATE_HZ)
    never = SimpleNamespace(currentTime=0.0, outputBufferDacTime=0.0, inputBufferAdcTime=0.0)
    run.play(np.zeros((480, 1)), 480, never, SimpleNamespace(output_underflow=False))
    run.hear(np.zeros((480, 1)), 480, never, SimpleNamespace(input_overflow=False))
    assert run.arrival(100, sweep.rate_hz) is None


def test_a_sweep_without_an_echo_measures_no_hall_and_still_times_the_loudspeaker(sweep: Sweep) -> None:
    silence = np.zeros(3 * RATE_HZ)
    hiss = 3e-5 * np.random.default_rng(2).standard_normal(7_000 + sweep.samples.size + silence.size)
    found = measure(np.concatenate([np.zeros(7_000), 0.5 * sweep.samples, silence]) + hiss, sweep)
    assert not found.good
    assert found.arrives == pytest.approx(7_000, abs=48)
