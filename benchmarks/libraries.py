"""What a library for sound would bring: disk, time to load, and error, beside what numpy does alone.

Run `python -m benchmarks.libraries`; it needs `.[bench]`, and no device. pyebur128 has no wheel from
Python 3.13 on.
"""

from __future__ import annotations

import importlib.util
import subprocess
import sys
from collections.abc import Callable, Iterator
from fractions import Fraction
from importlib.metadata import files
from pathlib import Path
from statistics import median

import numpy as np
from numpy.typing import NDArray

from benchmarks.figures import Figure, table
from caller.hall.bands import OCTAVES_HZ, octave_bands
from caller.sound import SAMPLE_RATE
from caller.sound.audiofile import to_sample_rate
from caller.sound.loudness import integrated_lufs, true_peak_db

Samples = NDArray[np.float32]

SPEECH_RATE = 22_050
SHARES = (0.05, 0.3, 0.6, 0.8, 0.9, 0.94)
CLIPS = 40
LOADED = {"scipy": "scipy.signal, scipy.ndimage", "soxr": "soxr", "pyebur128": "pyebur128"}


def measure() -> Iterator[Figure]:
    """Yield size, time to load and error of each way of doing it."""
    for name, modules in LOADED.items():
        if importlib.util.find_spec(name):
            yield Figure(what=f"{name}: on disk", value=megabytes(name), unit="MB", beside="numpy alone: 0")
            yield Figure(
                what=f"{name}: to load it after numpy",
                value=load_ms(modules) - load_ms("numpy"),
                unit="ms",
                beside="numpy alone: 0",
            )
    for name, resample in resamplers():
        for highest in (0.6, 0.94):
            yield Figure(
                what=f"{name}: {SPEECH_RATE} to {SAMPLE_RATE} Hz, error of tones up to {highest} of the band",
                value=max(resampling_error_db(resample, share) for share in SHARES if share <= highest),
                unit="dB",
                beside="16-bit sound: -98 dB",
            )
    yield Figure(what="octave bands, ours from scipy's", value=octaves_apart(), unit="of full scale")
    if importlib.util.find_spec("pyebur128"):
        lufs, dbtp = meters_apart()
        yield Figure(
            what=f"integrated loudness, ours from libebur128's, {CLIPS} clips", value=lufs, unit="LU"
        )
        yield Figure(what=f"true peak, ours from libebur128's, {CLIPS} clips", value=dbtp, unit="dB")


def megabytes(name: str) -> float:
    """Return what an installed distribution takes on disk."""
    paths = [Path(path.locate()) for path in files(name) or ()]
    return sum(path.stat().st_size for path in paths if path.exists()) / 1e6


def load_ms(modules: str, *, runs: int = 5) -> float:
    """Return the median time of importing, each in a fresh process."""
    program = f"import time; t = time.perf_counter(); import numpy, {modules}; print(time.perf_counter() - t)"
    return 1e3 * median(
        float(
            subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True).stdout
        )
        for _ in range(runs)
    )


def resamplers() -> Iterator[tuple[str, Callable[[Samples], Samples]]]:
    """Yield each way of bringing speech to the program's rate."""
    yield "numpy (ours)", lambda samples: to_sample_rate(samples, SPEECH_RATE)
    if importlib.util.find_spec("soxr"):
        import soxr

        yield (
            "soxr, very high quality",
            lambda samples: soxr.resample(samples, SPEECH_RATE, SAMPLE_RATE, quality="VHQ"),
        )
    from scipy.signal import resample_poly

    ratio = Fraction(SAMPLE_RATE, SPEECH_RATE)
    yield "scipy, resample_poly", lambda samples: resample_poly(samples, ratio.numerator, ratio.denominator)


def resampling_error_db(resample: Callable[[Samples], Samples], share: float) -> float:
    """Return the error of a tone at a share of the band, against the tone itself, edges left out."""
    hz = share * SPEECH_RATE / 2
    tone = (0.5 * np.sin(2 * np.pi * hz * np.arange(3 * SPEECH_RATE) / SPEECH_RATE)).astype(np.float32)
    made = resample(tone)
    exact = 0.5 * np.sin(2 * np.pi * hz * np.arange(made.size) / SAMPLE_RATE)
    middle = slice(SAMPLE_RATE // 2, -SAMPLE_RATE // 2)
    return float(20 * np.log10(np.std((made - exact)[middle]) / np.std(exact[middle])))


def octaves_apart() -> float:
    """Return the largest difference between our octave bands and recursive filters of the same design."""
    from scipy.signal import butter, sosfilt

    noise = np.random.default_rng(0).standard_normal(4 * SAMPLE_RATE)
    noise /= np.abs(noise).max()
    theirs = [
        sosfilt(butter(6, (hz / 2**0.5, hz * 2**0.5), "bandpass", fs=SAMPLE_RATE, output="sos"), noise)
        for hz in OCTAVES_HZ
    ]
    return float(np.abs(octave_bands(noise, SAMPLE_RATE) - theirs).max())


def meters_apart() -> tuple[float, float]:
    """Return the largest differences in LU and dB between our meters and libebur128."""
    import pyebur128

    modes, lufs, dbtp = pyebur128.MeasurementMode, [0.0], [0.0]
    random = np.random.default_rng(1)
    for _ in range(CLIPS):
        count = round(random.uniform(0.5, 8.0) * SAMPLE_RATE)
        envelope = np.interp(np.arange(count), np.linspace(0, count, 20), random.uniform(0, 1, 20))
        # Silence behind: libebur128 keeps back what is still inside its interpolator.
        clip = np.pad((envelope * random.normal(scale=0.2, size=count)).astype(np.float32), (0, 64))
        meter = pyebur128.R128State(1, SAMPLE_RATE, modes.MODE_I | modes.MODE_TRUE_PEAK)
        meter.add_frames(clip, clip.size)
        lufs.append(abs(integrated_lufs(clip) - pyebur128.get_loudness_global(meter)))
        dbtp.append(abs(true_peak_db(clip) - 20 * np.log10(pyebur128.get_true_peak(meter, 0))))
    return max(lufs), max(dbtp)


if __name__ == "__main__":
    print(table(measure()))
