"""How natural each voice sounds to two models of listeners, by language, on lines of ready lessons.

Run `python -m benchmarks.naturalness [--lines N] [--voices NAME...]`; it needs `pip install speechmos librosa
distillmos`, whose weights lie in their wheels, and for neural voices `hall-caller[voice]`. Nobody listened.
DNSMOS (C. Reddy et al., ICASSP 2021, 2022; Microsoft) judges speech in noise by OVRL, and on P.808's scale;
DistillMOS (B. Stahl and H. Gamper, ICASSP 2025; Microsoft) judges any speech. Both are from one house, taught
mostly with English adults; the figure of a single line is off by 0.3 to 0.5. What your own children say of it
is worth more: tell us.
"""

from __future__ import annotations

import argparse
import random
import tempfile
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.signal import resample_poly

from benchmarks.figures import Figure, table
from caller.lesson.library import read_lesson, ready_lessons
from caller.planning.staging import stage_of
from caller.sound import SAMPLE_RATE
from caller.sound.kept_voice import ClipCache
from caller.sound.speech import VoiceSettings
from caller.sound.voice import VoiceBox

VOICES: Final = {
    "plain": ("bundled", ("en-GB", "en-US", "es", "fr", "de")),
    "small neural": ("neural", ("en-US",)),
    "large neural": ("large", ("en-GB", "es", "fr")),
}
RATE_WPM: Final = 120
LINES: Final = 40
_MODEL_HZ: Final = 16_000
_DEADLINE_S: Final = 120.0
_LESSONS: Final = 8

Judge = Callable[[NDArray[np.float32]], float]


def lines_of(tongue: str, count: int) -> list[str]:
    """Return different lines of ready lessons as they are said in a language, drawn by one seed."""
    drawn = random.Random(1)
    found: dict[str, None] = {}
    for path in drawn.sample(sorted(ready_lessons().values()), _LESSONS):
        lesson = replace(read_lesson(path), language=tongue, second_language=None)
        sheet = stage_of("", path.parent).run_sheet(lesson)
        found |= {line.speech: None for call in sheet.calls for line in call.lines if len(line.speech) > 12}
    return drawn.sample(sorted(found), count)


def judges() -> dict[str, Judge]:
    """Return the models that are installed, each from 16 kHz samples to 1 (bad) to 5."""
    found: dict[str, Judge] = {}
    try:
        from speechmos import dnsmos
    except ImportError:
        pass
    else:
        for name, key in (("DNSMOS OVRL", "ovrl_mos"), ("DNSMOS P.808", "p808_mos")):
            found[name] = lambda sound, key=key: float(dnsmos.run(sound, _MODEL_HZ)[key])  # type: ignore[misc]
    try:
        import torch
        from distillmos import ConvTransformerSQAModel
    except ImportError:
        return found
    model = ConvTransformerSQAModel()
    model.eval()

    def distilled(sound: NDArray[np.float32]) -> float:
        with torch.no_grad():
            return float(model(torch.from_numpy(sound[None, :])).item())

    return found | {"DistillMOS": distilled}


def measure(count: int, voices: Sequence[str]) -> list[Figure]:
    models = judges()
    if not models:
        raise SystemExit("No model is installed: pip install speechmos librosa distillmos")
    figures = []
    for voice in voices:
        kind, tongues = VOICES[voice]
        for tongue in tongues:
            settings = VoiceSettings(language=tongue, rate_wpm=RATE_WPM)
            with (
                tempfile.TemporaryDirectory() as folder,
                VoiceBox(
                    ClipCache(Path(folder)),
                    engines=(kind,),
                    first_deadline_s=_DEADLINE_S,
                    deadline_s=_DEADLINE_S,
                ) as box,
            ):
                clips = [box.clip(text, settings) for text in lines_of(tongue, count)]
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
