"""A voice for tests that takes as long as a sentence roughly takes, and says nothing."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from caller.sound.levels import SAMPLE_RATE
from caller.sound.speech import Speech, VoiceSettings, estimate_s


class QuietVoice:
    """Clips of the right length within a third, without sound and without memory."""

    def clip(self, text: str, settings: VoiceSettings) -> Speech:
        count = round(estimate_s(text, settings.rate_wpm) * SAMPLE_RATE)
        return Speech(samples=np.broadcast_to(np.float32(0.0), (count,)))

    def speak_ahead(self, requests: Iterable[tuple[str, VoiceSettings]]) -> None:
        for _ in requests:
            pass
