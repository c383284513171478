"""A measured hall: from the recording of a sweep to reverberation times and STI, and into its hall file."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass

import numpy as np
import tomlkit
from tomlkit.items import Table

from caller.hall import Hall
from caller.hall.bands import OCTAVES_HZ, Bands, FloatArray, octave_bands
from caller.hall.disturbances import BEFORE_S, bent, decays_fault, hertz, recording_fault
from caller.hall.impulse import RANGE_FOR_T20_DB, BandDecay, Sweep, band_decays, impulse_response, onset
from caller.hall.intelligibility import energy_modulation, index

# Speech lives in these bands; the others are taken from their neighbour if they cannot be measured.
NEEDED_HZ = (500.0, 1000.0, 2000.0, 4000.0)
LEAST_TAIL_S = 1.6  # IEC 60268-16, 6.2: an impulse response for STI lasts at least this long.

_FULL_SCALE = 0.999
_CLIPPED_SAMPLES = 4  # A single sample at full scale may be chance; a run of them is a flattened peak.
_HEARD_DB = (
    25.0  # How far the direct sound stands above the middle of the response, if a sweep is there at all.
)
_SILENT_PEAK = 1e-4

_NOT_FOUND = (
    "The sweep cannot be found in the recording."
    " Check that the speaker played and that the right microphone is chosen."
)
_PRE_ONSET_S = 0.001


@dataclass(frozen=True, slots=True, kw_only=True)
class Measurement:
    """What a recorded sweep says about a hall.

    `reverberation_s` and `quiet_sti` are None when the recording is not good enough; `fault` then
    says why and what to do, and `passing` the why alone where it may be gone at once, as a bang is.
    `notes` tell what was left out of a measurement that is good enough.
    `arrives` is the sample of the recording at which the first of the sweep would have come as a click: it
    is known without an echo too, but not where the recording was disturbed.
    """

    rate_hz: int
    response: FloatArray
    decays: tuple[BandDecay, ...]
    reverberation_s: Bands | None
    quiet_sti: float | None
    fault: str = ""
    passing: str = ""
    notes: tuple[str, ...] = ()
    arrives: int | None = None

    @property
    def good(self) -> bool:
        """Whether the figures may be used."""
        return not self.fault


def measure(recording: FloatArray, sweep: Sweep) -> Measurement:
    """Return what the recording of a sweep tells, shape (n,), full scale 1; it must go on after the sweep."""
    recording = np.asarray(recording, float)
    fault = _recording_fault(recording, sweep)
    if fault:
        return _failed(sweep.rate_hz, fault)
    before = round(BEFORE_S * sweep.rate_hz)
    early = impulse_response(recording, sweep, before=before)
    response = early[before:]
    found = measure_response(response, sweep.rate_hz)
    if not found.decays:
        return found
    start = response.size - found.response.size
    # What disturbed the measurement is the better reason where the echo could not be measured either.
    disturbed = recording_fault(recording, sweep, early, start, found.decays)
    reason = disturbed or (decays_fault(found.decays) if found.good else None)
    if reason is None:
        return found
    return dataclasses.replace(
        _failed(sweep.rate_hz, str(reason)),
        passing=reason.cause if reason.passing else "",
        response=found.response,
        decays=found.decays,
        arrives=None if disturbed else found.arrives,
    )


def measure_response(response: FloatArray, rate_hz: int) -> Measurement:
    """Return what an impulse response tells, shape (n,)."""
    response = np.asarray(response, float)
    level = np.abs(response)
    middle = float(np.median(level))
    if level.max() <= 0.0 or level.max() < middle * 10.0 ** (_HEARD_DB / 20.0):
        return _failed(rate_hz, _NOT_FOUND)
    arrives = onset(response)
    start = max(0, arrives - round(_PRE_ONSET_S * rate_hz))
    response = response[start:]
    length_s = response.size / rate_hz
    if length_s < LEAST_TAIL_S:
        fault = f"Only {length_s:.1f} s were recorded after the sweep. Record at least 3 s of its echo."
        return _failed(rate_hz, fault)
    decays = band_decays(response, rate_hz)
    times = [each.t20_s for each in decays]
    fault = _range_fault(decays)
    if fault:
        failed = _failed(rate_hz, fault)
        return dataclasses.replace(failed, response=response, decays=decays, arrives=arrives)
    missing = [each.frequency_hz for each in decays if each.t20_s is None]
    notes = [f"{hertz(hz)} was too noisy to measure; its nearest band stands in for it." for hz in missing]
    if curved := bent(decays):
        octaves = ", ".join(hertz(hz) for hz in curved)
        notes.append(f"The echo falls fast first and slowly then at {octaves}. Are all doors shut?")
    return Measurement(
        rate_hz=rate_hz,
        response=response,
        decays=decays,
        reverberation_s=_filled(times),
        quiet_sti=_sti(response, rate_hz, decays),
        notes=tuple(notes),
        arrives=arrives,
    )


def with_measurement(hall: Hall, measurement: Measurement) -> Hall:
    """Return the hall with what was measured in place of the estimate.

    Raises
    ------
    ValueError
        If the measurement is not good.
    """
    if not measurement.good:
        raise ValueError("a measurement that is not good enough cannot replace the estimate")
    return dataclasses.replace(
        hall,
        measured_reverberation_s=measurement.reverberation_s,
        measured_quiet_sti=measurement.quiet_sti,
    )


def _failed(rate_hz: int, fault: str) -> Measurement:
    return Measurement(
        rate_hz=rate_hz, response=np.zeros(0), decays=(), reverberation_s=None, quiet_sti=None, fault=fault
    )


def _recording_fault(recording: FloatArray, sweep: Sweep) -> str:
    if recording.ndim != 1 or recording.size == 0 or not np.isfinite(recording).all():
        return "The recording holds no sound. Check the microphone, and measure again."
    if recording.size < sweep.samples.size + LEAST_TAIL_S * sweep.rate_hz:
        return "The recording stops too soon after the sweep. Record at least 3 s of its echo."
    if np.abs(recording).max() < _SILENT_PEAK:
        return "The recording is silent. Check that the microphone is on and chosen, and measure again."
    at_limit = np.abs(recording) >= _FULL_SCALE
    runs = np.convolve(at_limit, np.ones(_CLIPPED_SAMPLES), mode="valid")
    if (runs >= _CLIPPED_SAMPLES).any():
        return "The recording is clipped. Turn the microphone's level down by half, and measure again."
    return ""


def _range_fault(decays: tuple[BandDecay, ...]) -> str:
    """Say which needed bands have too little range between the sound and the noise."""
    short = [each for each in decays if each.frequency_hz in NEEDED_HZ and each.t20_s is None]
    if not short:
        return ""
    worst = min(short, key=lambda each: each.range_db)
    bands = ", ".join(hertz(each.frequency_hz) for each in short)
    more_db = max(3, round(RANGE_FOR_T20_DB - worst.range_db + 3.0))
    return (
        f"The echo sinks into the noise too soon at {bands}: {worst.range_db:.0f} dB are left, and"
        f" {RANGE_FOR_T20_DB:.0f} dB are needed. Wait for quiet, play the sweep about {more_db} dB louder"
        " or longer, and measure again."
    )


def _filled(times: list[float | None]) -> Bands:
    """Return the seven times, with the nearest measured band in place of each missing one."""
    measured = [index for index, time in enumerate(times) if time is not None]
    nearest = [min(measured, key=lambda k: abs(k - band)) for band in range(len(OCTAVES_HZ))]
    a, b, c, d, e, f, g = (float(times[k] or 0.0) for k in nearest)
    return (a, b, c, d, e, f, g)


def _sti(response: FloatArray, rate_hz: int, decays: tuple[BandDecay, ...]) -> float:
    """Return the STI of the response without noise: each band ends where its decay meets the noise."""
    start = onset(response)
    energy = octave_bands(response, rate_hz) ** 2
    for band, decay in enumerate(decays):
        energy[band, start + decay.end :] = 0.0
    return float(index(energy_modulation(energy, rate_hz)))


def with_measured(text: str, measurement: Measurement, *, on: str) -> str:
    """Return the text of a hall file with the figures of a good measurement in `[measured]`.

    Parameters
    ----------
    on
        The day of the measurement.
    """
    document = tomlkit.parse(text)
    table = document.get("measured")
    if not isinstance(table, Table):
        table = tomlkit.table()
        if text.strip():
            document.add(tomlkit.nl())
        document["measured"] = table
    table["reverberation_s"] = [round(time_s, 2) for time_s in measurement.reverberation_s or ()]
    table["quiet_sti"] = round(measurement.quiet_sti or 0.0, 3)
    table["on"] = on
    return tomlkit.dumps(document)
