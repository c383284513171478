"""Write the WAV files in this folder from `caller/sound/tone_recipes.py`:  python sounds/make.py."""

from __future__ import annotations

import sys
import wave
from pathlib import Path

import numpy as np

from caller.sound import SAMPLE_RATE
from caller.sound.tone_recipes import RECIPES, synthesise


def main(folder: Path) -> None:
    """Write one 16-bit mono WAV file for each recipe into `folder`."""
    for name, recipe in RECIPES.items():
        samples = np.rint(synthesise(recipe) * 32_767.0).astype("<i2")
        with wave.open(str(folder / f"{name}.wav"), "wb") as file:
            file.setnchannels(1)
            file.setsampwidth(2)
            file.setframerate(SAMPLE_RATE)
            file.writeframes(samples.tobytes())


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).parent)
