"""How long a run sheet takes: laid out by the lengths of its sentences, remembered or reckoned.

Every voice says a line as long as it is asked to last, within a twentieth where it can (see
`caller.sound.speech.estimate_s`), so a plan need not hear its lines: a lesson of 20 minutes comes out within
a few seconds (`python -m benchmarks.planning` tells). What was heard is remembered: a length is a number.
"""

from __future__ import annotations

import contextlib
import json
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Final

from caller import paths
from caller.errors import CallerError
from caller.file_reading import read_bytes
from caller.file_writing import write_text
from caller.runsheet import Call, Gap, Line, RunSheet, VoicePlan
from caller.sound import SAMPLE_RATE, kept_voice
from caller.sound.kept_voice import clip_key
from caller.sound.own_voice import OwnVoice
from caller.sound.speech import VoiceSettings, estimate_s, is_sayable
from caller.sound.tones import Tone, load_tones
from caller.sound.voice import VoiceBox
from caller.timeline import CallLayout, lay_out, seconds_of
from caller.timeline.segment import VoiceSource, as_called, said_in, tones_of, voice_settings

_MOST: Final = 60_000
_LARGEST_BYTES: Final = 8_000_000


class RememberedLengths:
    """Lengths in samples, by sentence, voice, gaps and engine; a file that cannot be used costs time only.

    Parameters
    ----------
    folder : Path, optional
        The folder of spoken clips, whose note says which engine speaks; the user's own if left out.
    """

    def __init__(self, folder: Path | None = None) -> None:
        self._folder = folder if folder is not None else paths.user_cache() / kept_voice.SPEECH
        self._path = self._folder.with_name("spoken-lengths.json")
        self._known = _read(self._path)
        self._added: dict[str, int] = {}
        self._engines: dict[str, str] = {}

    def get(self, text: str, settings: VoiceSettings, gaps: tuple[Gap, ...] = ()) -> int | None:
        """Return the samples that a sentence lasts, heard or reckoned; None until it is known who speaks."""
        engine = self._engine(settings.language)
        if engine is None:
            return None
        known = self._known.get(_key(text, settings, gaps, engine))
        if known is not None or not is_sayable(text):
            return known
        seconds = estimate_s(text, settings.rate_wpm) + sum(gap.seconds for gap in gaps)
        return round(seconds * SAMPLE_RATE)

    def put(self, text: str, settings: VoiceSettings, gaps: tuple[Gap, ...], samples: int) -> None:
        """Remember a length that has just been heard."""
        engine = self._engine(settings.language)
        if engine is not None:
            self._added[_key(text, settings, gaps, engine)] = samples

    def _engine(self, language: str) -> str | None:
        """Return which engine speaks; as long as none has left its note, it may begin to at any time."""
        if language not in self._engines:
            engine = kept_voice.recall(self._folder, language)
            if engine is None:
                return None
            self._engines[language] = engine
        return self._engines[language]

    def save(self) -> None:
        """Write what is new to disk, beside what other programs have written meanwhile."""
        if not self._added:
            return
        known = {**_read(self._path), **self._added}
        content = json.dumps(dict(list(known.items())[-_MOST:]), separators=(",", ":"))
        with contextlib.suppress(OSError, CallerError):
            paths.private_folder(self._path.parent)
            write_text(self._path, content, replace=True, private=True)
        self._known, self._added = known, {}


def _key(text: str, settings: VoiceSettings, gaps: tuple[Gap, ...], engine: str) -> str:
    marked = text + "".join(f"\0{gap.at} {gap.seconds:g}" for gap in gaps)
    return clip_key(marked, settings, engine)[:24]  # 96 bits are enough to tell sentences apart


def _read(path: Path) -> dict[str, int]:
    with contextlib.suppress(CallerError, ValueError, RecursionError):
        content = json.loads(read_bytes(path, most_bytes=_LARGEST_BYTES))
        if isinstance(content, Mapping):
            return {key: length for key, length in content.items() if type(length) is int and length >= 0}
    return {}


_Words = tuple[str, VoiceSettings, tuple[Gap, ...]]


class SpokenLengths:
    """The lengths of calls: heard, or with `remembered` reckoned but for one line of each language.

    Only lengths are kept, so that a whole term can be measured in little memory.

    Parameters
    ----------
    remembered
        Lengths heard before, and where new ones go; if left out, every line is heard.
    own
        Recordings of a voice of one's own, in which whole calls are heard.
    """

    def __init__(
        self,
        voice: VoiceSource,
        tones: Mapping[str, Tone],
        remembered: RememberedLengths | None = None,
        own: OwnVoice | None = None,
    ) -> None:
        self._remembered = remembered
        self._own = own
        self._voice = voice
        self._tones = tones
        self._samples: dict[_Words, int] = {}
        self._missing: set[_Words] = set()
        self._tones_for: dict[VoicePlan, Mapping[str, Tone]] = {}  # as loud as a hall needs them

    def layouts(self, run_sheet: RunSheet) -> tuple[CallLayout, ...]:
        """Return every call on the sample clock."""
        recorded = {call.number: own for call in run_sheet.calls if (own := self._recorded(call)) is not None}
        spoken = {
            _words(run_sheet, line): line
            for call in run_sheet.calls
            for line in call.lines
            if line.speech and call.number not in recorded
        }
        unknown = [words for words in spoken if self._known(words) is None]
        if unknown and self._remembered is not None:
            # From a language's first line on it is known who speaks it: no more of it need be heard.
            for first in {words[1].language: words for words in reversed(unknown)}.values():
                self._length(spoken[first], first)
        self._voice.speak_ahead(words[:2] for words in unknown if self._known(words) is None)
        tones = self._tones_for.get(run_sheet.voice)
        if tones is None:
            tones = self._tones_for[run_sheet.voice] = tones_of(run_sheet, self._tones)
        return tuple(
            lay_out(
                call,
                speech_length=recorded.get(call.number)
                or (lambda line: self._length(line, _words(run_sheet, line))),
                tone_length=lambda tone: len(tones[tone].samples),
            )
            for call in run_sheet.calls
        )

    def _recorded(self, call: Call) -> Callable[[Line], int] | None:
        """Return how to tell the length of each line of a call that is wholly recorded."""
        clips = None if self._own is None else self._own.whole(said_in(call))
        if clips is None:
            return None
        lines = [line for line in call.lines if line.speech]
        return {line: len(clip.samples) for line, clip in zip(lines, clips, strict=True)}.__getitem__

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
        yield SpokenLengths(voice, load_tones(), remembered, OwnVoice())
    finally:
        remembered.save()


@contextmanager
def spoken_lengths(expected: str | None = None) -> Iterator[SpokenLengths]:
    """Return the lengths by this computer's voice, opened for it; an expected language's starts at once."""
    with VoiceBox() as voice, lengths_by(voice) as lengths:
        if expected is not None:
            voice.expect(expected)
        yield lengths


def total_s(layouts: tuple[CallLayout, ...]) -> float:
    """Return how long the calls take one after another, in seconds."""
    return seconds_of(sum(layout.length for layout in layouts))


def _words(run_sheet: RunSheet, line: Line) -> _Words:
    return line.speech, voice_settings(run_sheet, line), line.gaps
