"""How long a run sheet takes: every call laid out with its spoken clips, each asked for once, or reckoned."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager

from caller.planning.remembered import RememberedLengths
from caller.runsheet.model import Gap, Line, RunSheet
from caller.sound.speech import VoiceSettings
from caller.sound.tones import Tone, load_tones
from caller.sound.voice import VoiceBox
from caller.timeline.layout import CallLayout, lay_out, seconds_of
from caller.timeline.segment import VoiceSource, as_called, tones_of, voice_settings

_Words = tuple[str, VoiceSettings, tuple[Gap, ...]]


class SpokenLengths:
    """The lengths of calls by their spoken clips; reckoned for a voice that takes long to speak.

    Only the lengths of clips are kept, so that a whole term can be measured in little memory.

    Parameters
    ----------
    remembered
        Lengths heard before, and where new ones go; none if left out.
    """

    def __init__(
        self, voice: VoiceSource, tones: Mapping[str, Tone], remembered: RememberedLengths | None = None
    ) -> None:
        self._remembered = remembered
        self._voice = voice
        self._tones = tones
        self._samples: dict[_Words, int] = {}
        self._missing: set[_Words] = set()

    def layouts(self, run_sheet: RunSheet) -> tuple[CallLayout, ...]:
        """Return every call on the sample clock."""
        spoken = {
            _words(run_sheet, line): line for call in run_sheet.calls for line in call.lines if line.speech
        }
        unknown = [words for words in spoken if self._known(words) is None]
        if unknown and self._remembered is not None:
            # From the first line on it is known who speaks: of a voice that takes long no more is asked.
            first = unknown.pop(0)
            self._length(spoken[first], first)
        self._voice.speak_ahead(words[:2] for words in unknown if self._known(words) is None)
        tones = tones_of(run_sheet, self._tones)
        return tuple(
            lay_out(
                call,
                speech_length=lambda line: self._length(line, _words(run_sheet, line)),
                tone_length=lambda tone: len(tones[tone].samples),
            )
            for call in run_sheet.calls
        )

    def missing(self, run_sheet: RunSheet) -> tuple[Line, ...]:
        """Return the lines of a run sheet already laid out that no voice could say."""
        return tuple(
            line
            for call in run_sheet.calls
            for line in call.lines
            if _words(run_sheet, line) in self._missing
        )

    def _known(self, words: _Words) -> int | None:
        if words not in self._samples and self._remembered is not None:
            samples = self._remembered.get(*words)
            if samples is not None:
                self._samples[words] = samples
        return self._samples.get(words)

    def _length(self, line: Line, words: _Words) -> int:
        known = self._known(words)
        if known is not None:
            return known
        clip = as_called(line, self._voice.clip(*words[:2]))
        samples = self._samples[words] = len(clip.samples)
        if getattr(clip, "missing", False):
            self._missing.add(words)
        elif self._remembered is not None:
            self._remembered.put(*words, samples)
        return samples


@contextmanager
def lengths_by(voice: VoiceSource) -> Iterator[SpokenLengths]:
    """Return the lengths by an open voice; what is heard anew is remembered at the end."""
    remembered = RememberedLengths()
    try:
        yield SpokenLengths(voice, load_tones(), remembered)
    finally:
        remembered.save()


@contextmanager
def spoken_lengths() -> Iterator[SpokenLengths]:
    """Return the lengths by this computer's voice, opened for it."""
    with VoiceBox() as voice, lengths_by(voice) as lengths:
        yield lengths


def total_s(layouts: tuple[CallLayout, ...]) -> float:
    """Return how long the calls take one after another, in seconds."""
    return seconds_of(sum(layout.length for layout in layouts))


def _words(run_sheet: RunSheet, line: Line) -> _Words:
    return line.speech, voice_settings(run_sheet, line), line.gaps
