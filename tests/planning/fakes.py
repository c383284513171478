"""A voice for tests that takes as long as a sentence roughly takes, and says nothing."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from caller.planning.lengths import SpokenLengths
from caller.sound import SAMPLE_RATE
from caller.sound.speech import Speech, VoiceSettings, estimate_s
from caller.sound.tones import load_tones


class QuietVoice:
    """Clips of the right length within a third, without sound; `mute` languages are missing."""

    def __init__(self, *, mute: frozenset[str] = frozenset()) -> None:
        self._mute = mute
        self.asked: list[str] = []

    def clip(self, text: str, settings: VoiceSettings) -> Speech:
        self.asked.append(text)
        count = round(estimate_s(text, settings.rate_wpm) * SAMPLE_RATE)
        return Speech(
            samples=np.broadcast_to(np.float32(0.0), (count,)), missing=settings.language in self._mute
        )

    def speak_ahead(self, requests: Iterable[tuple[str, VoiceSettings]]) -> None:
        for _ in requests:
            pass


def quiet_lengths(*, mute: frozenset[str] = frozenset()) -> SpokenLengths:
    """Return lengths by the quiet voice and the real tones."""
    return SpokenLengths(QuietVoice(mute=mute), load_tones())
