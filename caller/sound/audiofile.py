"""Reading sound files that others wrote, the engine's or a teacher's, and bringing them to the program's
rate.
"""

from __future__ import annotations

import math
import wave
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray

from caller.file_reading import open_regular
from caller.hall.bands import spectrum_size
from caller.sound import SAMPLE_RATE

MOST_CHANNELS: Final = 8
LOWEST_HZ, HIGHEST_HZ = 1_000, 192_000


def read_mono(path: Path, *, longest_s: float) -> tuple[NDArray[np.float32], int]:
    """Return a sound file's samples, its channels averaged, and its sample rate in hertz.

    WAV and AIFF of any usual depth, and whatever else libsndfile reads.

    Raises
    ------
    ValueError
        The file is not sound, or lasts longer than `longest_s`; the text says which.
    OSError
        The file cannot be opened.
    """
    if path.exists() and not path.is_file():
        raise ValueError("is not a file")  # opening a pipe or a device could wait for ever
    plain = _read_plain(path, longest_s)
    return plain if plain is not None else _read_any(path, longest_s)


def _read_plain(path: Path, longest_s: float) -> tuple[NDArray[np.float32], int] | None:
    """Read 16-bit WAV with the standard library: it is what engines write, and costs no start-up time."""
    try:
        with open_regular(path) as stream, wave.open(stream) as file:
            width, channels, rate, count = (
                file.getsampwidth(),
                file.getnchannels(),
                file.getframerate(),
                file.getnframes(),
            )
            if width != 2:
                return None
            _check_shape(count, rate, channels, longest_s)
            data = file.readframes(count)
    except (wave.Error, EOFError, RuntimeError):
        # A RuntimeError comes from a chunk that claims to end beyond the file.
        return None
    frames = np.frombuffer(data[: len(data) - len(data) % (2 * channels)], "<i2").reshape(-1, channels)
    return (frames.mean(axis=1, dtype=np.float32) / np.float32(32_768.0)), rate


def _read_any(path: Path, longest_s: float) -> tuple[NDArray[np.float32], int]:
    import soundfile  # noqa: PLC0415 - costs 70 ms; only a teacher's own tones need it

    try:
        with open_regular(path) as stream, soundfile.SoundFile(stream) as file:
            _check_shape(file.frames, file.samplerate, file.channels, longest_s)
            frames = file.read(dtype="float32", always_2d=True)
            rate = int(file.samplerate)
    except soundfile.SoundFileError as error:
        raise ValueError("is not a sound file that can be read") from error
    mono: NDArray[np.float32] = frames.mean(axis=1, dtype=np.float32)
    return mono, rate


def _check_shape(count: int, rate: int, channels: int, longest_s: float) -> None:
    """Bound what is read into memory by what the file says of itself."""
    if not LOWEST_HZ <= rate <= HIGHEST_HZ:
        raise ValueError(f"has a sample rate of {rate} Hz, which is not one for sound")
    if channels > MOST_CHANNELS:
        raise ValueError(f"has {channels} channels, and may have at most {MOST_CHANNELS}")
    if count > longest_s * rate:
        raise ValueError(f"lasts {count / rate:.1f} s, and may last at most {longest_s:g} s")


_KEPT: Final = 0.95
"""The share of the lower of the two bands that is left as it is; above, it fades out, so that an edge does
not ring on."""

_MANY: Final = 64  # where a sound is few units long, one more is much memory, and no length is quick
_SILENCE_S: Final = 0.1
"""Put behind the samples: a product of spectra would let the end ring into the beginning."""


def to_sample_rate(samples: NDArray[np.float32], rate: int) -> NDArray[np.float32]:
    """Return mono `samples` of `rate` hertz, shape (n,), at `SAMPLE_RATE`.

    The whole clip's spectrum is cut or lengthened to the exact ratio (22,050 Hz to 48,000 Hz is 147 : 320),
    so no drift is added, whatever the rate.
    """
    if rate == SAMPLE_RATE or not samples.size:
        return samples
    common = math.gcd(SAMPLE_RATE, rate)
    many, few = SAMPLE_RATE // common, rate // common
    units = -(-(samples.size + round(_SILENCE_S * rate)) // few)
    if units >= _MANY:
        units = spectrum_size(units)
    before, after = units * few, units * many
    kept = min(before, after) // 2 + 1
    spectrum = np.fft.rfft(samples, before)[:kept] * _faded_edge(kept)
    resampled = np.fft.irfft(spectrum, after) * (many / few)
    return resampled[: -(-samples.size * many // few)].astype(np.float32)


def _faded_edge(count: int) -> NDArray[np.float64]:
    """Return the gain at each of `count` frequencies: 1, and down to 0 over the last twentieth."""
    into_edge = (np.linspace(0.0, 1.0, count) - _KEPT) / (1.0 - _KEPT)
    return np.asarray(np.cos(0.5 * np.pi * into_edge.clip(0.0)) ** 2)
