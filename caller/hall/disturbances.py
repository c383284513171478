"""What went wrong while a hall was measured: a bang, automatic gain, another sample rate, lost samples.

The part of the recording that the measured response cannot explain is what else was heard. A steady hall
leaves steady noise there; a slammed door stands out of it, and a microphone that turns itself up and down
makes it rise when the sweep is over. A sweep that was recorded at another rate, or with samples lost, arrives
at another moment in each octave. All limits are our own, set on simulations (benchmarks/disturbed.py).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from caller.hall.bands import OCTAVES_HZ, FloatArray, octave_bands, spectrum_size
from caller.hall.impulse import BandDecay, Sweep

_FRAME_S: Final = 0.02
_ENOUGH_FRAMES: Final = 25
_STEADY: Final = 10  # per cent of the frames are softer: what sounds all the time, and no shout
_HARMONICS: Final = 3
_EDGE_OCTAVES: Final = 0.5  # how far a band's filter reaches past its edges
_BURST_DB: Final = 10.0
_HARMLESS_DB: Final = -40.0  # so far under the sweep a burst lies below all that a decay is read from
_GAIN_DB: Final = 5.0
_LOWEST_BAND: Final = 1  # 250 Hz: below it a frame holds too few periods to be judged
_CLEAR_DB: Final = 20.0  # over the noise: below, its own energy counts as the echo's
_ARRIVED: Final = 0.1  # of the energy
_TOGETHER_S: Final = 0.040
_LOWEST_TOGETHER_S: Final = 0.070  # at 125 Hz, whose filter is slow itself
_NEIGHBOUR_RATIO: Final = 1.9
_RISING_RATIO: Final = 1.4  # 1.16 at most in 30 simulations where nothing disturbed
_FALLING_FROM_HZ: Final = 2000.0
_EDT_RATIO: Final = 2.0
_BENDS_ALONE: Final = 1.35  # over what is usual in this hall; 1.14 at most where nothing disturbed
_EARLY_DB: Final = -30.0  # against the direct sound; steady noise lies 35 dB under it where a decay is read
_EARLY_S: Final = (0.40, 0.06)  # before the direct sound; its own band rings a little ahead of it
_DIRECT_S: Final = 0.08
_BENT_RATIO: Final = 1.25
BEFORE_S: Final = 0.6
"""How long before the recording's start is looked for what a hall cannot answer there: another rate."""

_RINGS_BEFORE_S: Final = 0.02  # how long a band-limited response rings before its direct sound


@dataclass(frozen=True, slots=True)
class Disturbance:
    """What disturbed a measurement, and what to do."""

    cause: str
    mend: str = "Measure again when nobody moves."
    passing: bool = True
    """Whether it may be gone at once, with nothing changed, as a bang is."""

    def __str__(self) -> str:
        return f"{self.cause} {self.mend}"


_SOMETHING: Final = "A bang, a voice or a gap in the sound was heard"  # a busy computer leaves gaps


def recording_fault(
    recording: FloatArray, sweep: Sweep, early: FloatArray, start: int, decays: tuple[BandDecay, ...]
) -> Disturbance | None:
    """Say what disturbed a recording; None where nothing did.

    Parameters
    ----------
    recording
        What was heard, shape (n,), from the moment the sweep began to play.
    early
        The impulse response found in it, from `BEFORE_S` before the recording's start on.
    start
        The sample of the recording just before the direct sound.
    decays
        How the response falls from `start` on in each octave, and when it meets the noise.
    """
    before = _frames(BEFORE_S, sweep.rate_hz)
    end = max(each.end for each in decays)
    clear = np.array([each.range_db >= _CLEAR_DB for each in decays])
    fault = _arrival_fault(early[: before + start + end], sweep.rate_hz, clear)
    if fault is not None:
        return fault
    if _sounded_early(early[: before + start], early[before + start :], sweep.rate_hz, decays):
        return Disturbance(f"{_SOMETHING} while the sweep sounded.")
    levels = _levels_db(_unexplained(recording, sweep, start, end), sweep.rate_hz)
    # Where the echo outlasts what was recorded of it, what comes after the sweep is echo too.
    echo_s = end / sweep.rate_hz if end < 0.9 * (early.size - before - start) else np.inf
    apart = _apart(levels.shape[1], sweep, start, echo_s)
    frame = _frames(_FRAME_S, sweep.rate_hz)
    over = (start + sweep.samples.size + end) // frame  # from here on the sweep's echo is over too
    sounding = slice(start // frame, (start + sweep.samples.size) // frame)
    rises = [
        np.percentile(level[over:], _STEADY) - np.percentile(level[sounding][heard[sounding]], _STEADY)
        for level, heard in zip(levels, apart, strict=True)
        if heard[sounding].sum() > _ENOUGH_FRAMES and level[over:].size > _ENOUGH_FRAMES
    ]
    if rises and np.median(rises) > _GAIN_DB:
        return Disturbance(
            "The microphone turned itself down while the sweep sounded.",
            "Turn off automatic gain and noise suppression in the sound settings, and measure again.",
            passing=False,
        )
    heard_db = _levels_db(recording, sweep.rate_hz).max(axis=1)
    at = _burst(levels, apart, heard_db + _HARMLESS_DB)
    if at is not None:
        return Disturbance(f"{_SOMETHING} {at * _FRAME_S:.0f} s into the measurement.")
    return None


def decays_fault(decays: tuple[BandDecay, ...]) -> Disturbance | None:
    """Say which octave tells of something else than the hall; None where all agree.

    Reverberation changes slowly from octave to octave: in ten simulated rooms by a factor of 1.76 at most.
    From 2 kHz up it falls, as the air takes more of each higher octave (ISO 9613-1).
    And the later part of an octave's decay falls as fast as its earlier one (T30 against T20: the curvature
    of ISO 3382-2), or, in coupled rooms, more slowly in all octaves; slower in one alone, something sounded.
    """
    curves = [each.t30_s / each.t20_s if each.t20_s and each.t30_s else 0.0 for each in decays[_LOWEST_BAND:]]
    bends = max(zip(curves, decays[_LOWEST_BAND:], strict=True), key=lambda each: each[0])
    usual = float(np.median([each for each in curves if each] or [1.0]))
    if bends[0] > _BENDS_ALONE * max(usual, 1.0):
        return Disturbance(
            f"The end of the echo at {hertz(bends[1].frequency_hz)} does not fit its beginning:"
            " something else sounded."
        )
    for below, above in zip(decays[_LOWEST_BAND:], decays[_LOWEST_BAND + 1 :], strict=False):
        if below.t20_s is None or above.t20_s is None:
            continue
        ratio = max(below.t20_s / above.t20_s, above.t20_s / below.t20_s)
        odd = max(below, above, key=lambda each: each.t20_s or 0.0)
        rises = below.frequency_hz >= _FALLING_FROM_HZ and above.t20_s > _RISING_RATIO * below.t20_s
        if (
            rises
            or ratio > _NEIGHBOUR_RATIO
            or (odd.edt_s and odd.t20_s and odd.t20_s / odd.edt_s > _EDT_RATIO > ratio > 1.5)
        ):
            at = hertz(odd.frequency_hz)
            return Disturbance(f"The echo at {at} does not fit its neighbours: something else sounded.")
    return None


def bent(decays: tuple[BandDecay, ...]) -> tuple[float, ...]:
    """Return the octaves, in Hz, whose echo falls fast first and slowly then (ISO 3382-2, curvature)."""
    return tuple(
        each.frequency_hz
        for each in decays[_LOWEST_BAND:]
        if each.edt_s and each.t20_s and each.t20_s / each.edt_s > _BENT_RATIO
    )


def hertz(frequency_hz: float) -> str:
    """Return a frequency in words: "500 Hz", "2 kHz"."""
    return f"{frequency_hz:g} Hz" if frequency_hz < 1000.0 else f"{frequency_hz / 1000.0:g} kHz"


def _arrival_fault(early: FloatArray, rate_hz: int, clear: NDArray[np.bool_]) -> Disturbance | None:
    """Compare when the echo begins in each octave that stands clear: at one moment, if the clocks agree.

    In an exponential decay a tenth of the energy has come after 0.105 of its time constant, and half of it
    after 0.693: from both follows when it began, however long it rings.
    """
    energy = np.cumsum(octave_bands(early, rate_hz) ** 2, axis=1)
    tenth, half = ((energy >= part * energy[:, -1:]).argmax(axis=1) / rate_hz for part in (_ARRIVED, 0.5))
    log_tenth, log_half = -np.log1p(-_ARRIVED), np.log(2.0)
    began_s = tenth - (half - tenth) * log_tenth / (log_half - log_tenth)
    upper = began_s[1:][clear[1:]]
    if upper.size == 0:
        return None
    lowest_apart_s = abs(began_s[0] - np.median(upper)) if clear[0] else 0.0
    if np.ptp(upper) <= _TOGETHER_S and lowest_apart_s <= _LOWEST_TOGETHER_S:
        return None
    return Disturbance(
        "Loudspeaker and microphone did not keep step: samples were lost, or one runs at another rate.",
        f"Choose {rate_hz} Hz for both in the sound settings, close other programs, and measure again.",
        passing=False,
    )


def _sounded_early(
    before: FloatArray, response: FloatArray, rate_hz: int, decays: tuple[BandDecay, ...]
) -> bool:
    """Tell whether something came before the direct sound, where a hall is silent: no sweep made it.

    What sounds while the sweep is at one frequency comes too early for all higher ones. A loudspeaker's
    second harmonic comes earlier still, and its echo has fallen below the limit.
    """
    first, last = _frames(_EARLY_S[0], rate_hz), _frames(_EARLY_S[1], rate_hz)
    early = _levels_db(before[-first:-last], rate_hz)
    direct = _levels_db(response[: _frames(_DIRECT_S, rate_hz)], rate_hz).max(axis=1)
    read = np.array([each.t20_s is not None for each in decays[_LOWEST_BAND:]])
    return bool((early.max(axis=1) - direct > _EARLY_DB)[read].any())


def _unexplained(recording: FloatArray, sweep: Sweep, start: int, end: int) -> FloatArray:
    """Return the recording less what the sweep makes of a response `end` samples long, from `start` on."""
    size = spectrum_size(recording.size + sweep.samples.size)
    hertz = np.fft.rfftfreq(size, 1.0 / sweep.rate_hz)
    heard, played = np.fft.rfft(recording, size), np.fft.rfft(sweep.samples, size)
    # Only what the sweep holds can be divided by it; soft edges keep the response short.
    inside = (hertz > 1.1 * sweep.low_hz) & (hertz < 0.95 * sweep.high_hz)
    edges = np.log2([1.1 * sweep.low_hz, 2.0 * sweep.low_hz, 0.75 * sweep.high_hz, 0.95 * sweep.high_hz])
    weight = np.interp(np.log2(hertz[inside]), edges, [0.0, 1.0, 1.0, 0.0])
    quotient = np.zeros_like(heard)
    quotient[inside] = heard[inside] / played[inside] * np.sin(0.5 * np.pi * weight) ** 2
    response = np.fft.irfft(quotient, size)
    response[: max(start - _frames(_RINGS_BEFORE_S, sweep.rate_hz), 0)] = 0.0
    response[start + end :] = 0.0
    explained = np.fft.irfft(np.fft.rfft(response) * played, size)
    return np.asarray(recording - explained[: recording.size])


def _levels_db(signal: FloatArray, rate_hz: int) -> FloatArray:
    """Return the level of each frame, shape (bands, frames), in the octaves from 250 Hz."""
    frame = _frames(_FRAME_S, rate_hz)
    count = signal.size // frame
    bands = octave_bands(signal[: count * frame], rate_hz)[_LOWEST_BAND:]
    power = (bands**2).reshape(bands.shape[0], count, frame).mean(axis=2)
    return np.asarray(10.0 * np.log10(np.maximum(power, 1e-20)))


def _apart(frames: int, sweep: Sweep, start: int, echo_s: float) -> NDArray[np.bool_]:
    """Tell which frames of each band hold neither the sweep, its echo, nor the loudspeaker's distortion.

    Where the sweep and its echo are, the response explains any noise away with them; the second and third
    harmonic sound in a band before the sweep itself has come to it.
    """
    per_octave_s = sweep.length_s * np.log(2.0) / np.log(sweep.high_hz / sweep.low_hz)
    centre_s = start / sweep.rate_hz + per_octave_s * np.log2(
        np.array(OCTAVES_HZ[_LOWEST_BAND:]) / sweep.low_hz
    )
    first_s = centre_s - (0.5 + _EDGE_OCTAVES + np.log2(_HARMONICS)) * per_octave_s
    last_s = centre_s + (0.5 + _EDGE_OCTAVES) * per_octave_s + echo_s
    moments_s = np.arange(frames) * _FRAME_S
    return np.asarray((moments_s < first_s[:, None]) | (moments_s > last_s[:, None]))


def _burst(levels: FloatArray, apart: NDArray[np.bool_], harmless_db: FloatArray) -> int | None:
    """Return the frame of the strongest burst over a band's steady noise, if one is loud enough to matter."""
    above = np.zeros_like(levels)
    for band, (level, heard) in enumerate(zip(levels, apart, strict=True)):
        if heard.sum() > _ENOUGH_FRAMES:
            above[band, heard] = level[heard] - max(np.median(level[heard]), harmless_db[band] - _BURST_DB)
    strongest = int(above.max(axis=0).argmax())
    return strongest if above[:, strongest].max() > _BURST_DB else None


def _frames(seconds: float, rate_hz: float) -> int:
    return round(seconds * rate_hz)
