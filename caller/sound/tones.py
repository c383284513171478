"""The tones of a lesson, read by their list `manifest.toml` from the packaged folder, then from one's own.

`manifest.toml` in the folder names a sound file for each tone.  A file that cannot be used costs a warning,
never a tone: the built-in one sounds instead.
"""

from __future__ import annotations

import dataclasses
import logging
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray

from caller import paths
from caller.errors import CallerError, NotFoundError, ScriptError
from caller.scripts.kinds import FileName, Number, TableOf, Text
from caller.scripts.source import load
from caller.scripts.tables import finish, key, keys_of, read_source
from caller.sound import BEAT_LUFS, SAMPLE_RATE, TONE_CEILING_DBTP, VOICE_LUFS, background_gain, to_gain
from caller.sound.audiofile import read_mono, to_sample_rate
from caller.sound.loudness import limit_true_peak, loudest_rms_db, true_peak_db
from caller.sound.speech import frozen
from caller.sound.tone_recipes import RECIPES, ramped, synthesise

MANIFEST: Final = "manifest.toml"
QUIETEST_LU, LOUDEST_LU = -30.0, 3.0
TEMPO_BPM = (50.0, 220.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class ToneEntry:
    """What the manifest says of one tone."""

    file: str = key("", FileName(), "The sound, a file in this folder.")
    level_lu: float = key(
        0.0,
        Number(QUIETEST_LU, LOUDEST_LU, "LU"),
        "Its loudness against the voice: 0 as loud, -6 clearly quieter.",
    )
    says: str = key("", Text(120), "What it tells the children.")


@dataclass(frozen=True, slots=True, kw_only=True)
class BeatEntry(ToneEntry):
    """What the manifest says of a loop that is played instead of the program's own beat."""

    bpm: float = key(
        120.0, Number(*TEMPO_BPM, "beats a minute"), "The loop's tempo; it begins on a beat and ends on one."
    )


BEAT: Final = "beat"
_OWN_BEAT: Final = BeatEntry(
    file=f"{BEAT}.wav", level_lu=BEAT_LUFS - VOICE_LUFS, says="Your own loop, played while the class moves"
)

SoundsFile: Final = dataclasses.make_dataclass(
    "SoundsFile",
    [
        (name.replace("-", "_"), ToneEntry, key(entry, TableOf(ToneEntry, entry), recipe.says, name=name))
        for name, recipe in RECIPES.items()
        for entry in [ToneEntry(file=f"{name}.wav", level_lu=recipe.level_lu, says=recipe.says)]
    ]
    + [(BEAT, BeatEntry, key(_OWN_BEAT, TableOf(BeatEntry, _OWN_BEAT), _OWN_BEAT.says))],
    frozen=True,
    kw_only=True,
)
"""The whole manifest: a table for each tone, which the built-in tones' values fill where it says nothing."""


def read_manifest(path: Path) -> dict[str, ToneEntry]:
    """Return the entries of a manifest by tone, and of its `BEAT`: those that it names.

    Raises
    ------
    NotFoundError
        There is no such file.
    ScriptError
        It is not a manifest; the text says where and how to mend it.
    """
    manifest: object
    manifest, place = read_source(SoundsFile, load(path))
    finish(place)
    return {
        each.name: getattr(manifest, each.field)
        for each in keys_of(SoundsFile)
        if each.name in place.source.data
    }


SHORTEST_S, LONGEST_S = 0.05, 5.0
SHORTEST_LOOP_S, LONGEST_LOOP_S = 1.0, 60.0

_SILENT_PEAK_DB: Final = -50.0
_ONSET_BELOW_PEAK_DB: Final = -60.0
_SMOOTHED_S: Final = 0.005
_ROUNDING: Final = 1e-4  # of full scale: three steps of 16 bits
_ALIKE: Final = 0.9999  # the correlation of a tone with itself, but for a file's rounding

_log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Tone:
    """A tone ready to be mixed.

    Attributes
    ----------
    samples : ndarray of float32, shape (n,)
        Mono at `SAMPLE_RATE`, at its level, beginning with its sound.  Read-only.
    level_db : float
        Loudness of its loudest 200 ms.
    peak : float
        Its true peak (1.0 is full scale).
    says : str
        What it tells the children.
    bpm : float or None
        The tempo of a loop that is played as the beat; None for a tone.
    """

    name: str
    samples: NDArray[np.float32]
    level_db: float
    peak: float
    says: str
    bpm: float | None = None

    @property
    def duration_s(self) -> float:
        """Length in seconds."""
        return self.samples.size / SAMPLE_RATE

    @property
    def gain_under_speech(self) -> float:
        """The gain at which it may sound while the voice speaks (WCAG 1.4.7: 20 dB below)."""
        return background_gain(self.level_db, self.peak)


def load_tones(
    folder: Path | None = None, *, warn: Callable[[str], None] = _log.warning
) -> Mapping[str, Tone]:
    """Return every tone of `RECIPES` by name, from `folder` where its file can be used, built in where not.

    A loop that the manifest names as the `BEAT` is there too.

    Parameters
    ----------
    folder : Path, optional
        Where they are; if left out, the packaged `sounds/`, and before it the user's `own_sounds()`.
    warn : callable
        Told in one sentence what could not be used, and how to mend it.
    """
    entries = _entries(folder, warn)
    tones = {}
    for name in RECIPES:
        try:
            tones[name] = (
                read_tone(entries[name][0], name, entries[name][1])
                if name in entries
                else built_in_tone(name)
            )
        except CallerError as error:
            warn(f"{error} The built-in tone sounds instead.")
            tones[name] = built_in_tone(name)
    beside, loop = entries.get(BEAT, (Path(), None))
    if isinstance(loop, BeatEntry):
        try:
            tones[BEAT] = read_loop(beside, loop)
        except CallerError as error:
            warn(f"{error} The program's own beat sounds instead.")
    return tones


def own_sounds() -> Path:
    """Return the folder in which a user's own tones are looked for first, by a list of its own."""
    return paths.user_data() / "sounds"


def own_tones() -> dict[str, tuple[Path, ToneEntry]]:
    """Return the tones that are not the program's and can be used, with the folders of their files."""
    found = {}
    for name, (folder, entry) in _entries(None, _log.debug).items():
        try:
            if isinstance(entry, BeatEntry):
                read_loop(folder, entry)
            elif _is_built_in(folder, name, entry):
                continue
            else:
                read_tone(folder, name, entry)
        except CallerError:
            continue
        found[name] = (folder, entry)
    return found


def _entries(folder: Path | None, warn: Callable[[str], None]) -> dict[str, tuple[Path, ToneEntry]]:
    """Return what the lists say of each tone, and the folder of its file."""
    entries: dict[str, tuple[Path, ToneEntry]] = {}
    for each in (paths.packaged("sounds"), own_sounds()) if folder is None else (folder,):
        try:
            entries |= {name: (each, entry) for name, entry in read_manifest(each / MANIFEST).items()}
        except NotFoundError as error:
            if folder is not None or each != own_sounds():  # most have none
                warn(f"{error} The built-in tones sound instead.")
        except CallerError as error:
            warn(f"{error} The built-in tones sound instead.")
    return entries


def _is_built_in(folder: Path, name: str, entry: ToneEntry) -> bool:
    """Tell whether a tone is what its recipe makes, but for the rounding of a file, and as loud."""
    recipe, samples = RECIPES[name], _read(folder / entry.file, SHORTEST_S, LONGEST_S)
    own = synthesise(recipe)
    same = samples.size == own.size and float(np.abs(samples - own).max()) < _ROUNDING
    return same and entry.level_lu == recipe.level_lu


def read_tone(folder: Path, name: str, entry: ToneEntry) -> Tone:
    """Return the tone that `entry` names, brought to mono, `SAMPLE_RATE` and its level.

    Raises
    ------
    ScriptError
        The file is missing, is not sound, is silent, or is too short or too long.
    """
    samples = _from_onset(_read(folder / entry.file, SHORTEST_S, LONGEST_S))
    return _levelled(
        name, _checked(samples, folder / entry.file, SHORTEST_S, LONGEST_S), entry.level_lu, entry.says
    )


def read_loop(folder: Path, entry: BeatEntry) -> Tone:
    """Return a teacher's own beat, mono at `SAMPLE_RATE`: whole, since it begins and ends on a beat.

    Raises
    ------
    ScriptError
        As `read_tone`.
    """
    path = folder / entry.file
    samples = _read(path, SHORTEST_LOOP_S, LONGEST_LOOP_S)
    _checked(_from_onset(samples), path, SHORTEST_LOOP_S, LONGEST_LOOP_S)
    return Tone(
        name=BEAT,
        samples=frozen(samples),
        level_db=VOICE_LUFS + entry.level_lu,
        peak=to_gain(true_peak_db(samples)),
        says=entry.says,
        bpm=entry.bpm,
    )


def _read(path: Path, shortest_s: float, longest_s: float) -> NDArray[np.float32]:
    try:
        raw, rate = read_mono(path, longest_s=longest_s)
    except OSError as error:
        raise ScriptError(
            f"{path}: cannot be read ({error.strerror}); put the file there, or name another in {MANIFEST}."
        ) from error
    except ValueError as error:
        raise ScriptError(f"{path}: {error}; use a WAV file of {shortest_s:g} to {longest_s:g} s.") from error
    return to_sample_rate(raw, rate)


def _checked(
    sounding: NDArray[np.float32], path: Path, shortest_s: float, longest_s: float
) -> NDArray[np.float32]:
    """Return what sounds of a file, if it is long enough to be of use."""
    if sounding.size < shortest_s * SAMPLE_RATE:
        heard = "is silent" if not sounding.size else f"sounds for only {sounding.size / SAMPLE_RATE:.3f} s"
        raise ScriptError(f"{path}: {heard}; use a WAV file of {shortest_s:g} to {longest_s:g} s.")
    return sounding


def built_in_tone(name: str) -> Tone:
    """Return the tone made from its recipe."""
    recipe = RECIPES[name]
    return _levelled(name, synthesise(recipe), recipe.level_lu, recipe.says)


@lru_cache(maxsize=16)
def for_hall(tone: Tone, *, length_s: float | None = None, louder_db: float = 0.0) -> Tone:
    """Return a tone as a hall needs it.

    Parameters
    ----------
    length_s
        How long it sounds; None, and any tone that is not the built-in one, keeps its own length.
    louder_db
        How much louder it is than by itself, as far as its peaks may rise.
    """
    samples = tone.samples
    recipe = RECIPES[tone.name]
    if length_s is not None and length_s != recipe.duration_s:
        own = _from_onset(synthesise(recipe))
        if abs(own.size - samples.size) < _SMOOTHED_S * SAMPLE_RATE and _alike(own, samples):
            samples = _from_onset(synthesise(recipe.lasting(length_s)))
    elif not louder_db:
        return tone
    return _at_level(tone.name, samples, tone.level_db + louder_db, tone.says)


def _alike(one: NDArray[np.float32], other: NDArray[np.float32]) -> bool:
    """Tell whether two tones are one but for their level and the rounding of a file."""
    size = min(one.size, other.size)
    a, b = one[:size].astype(np.float64), other[:size].astype(np.float64)
    # Sums of products: the product of two vectors would wake as many threads as there are cores.
    return float(np.sum(a * b)) > _ALIKE * float(np.sqrt(np.sum(a * a) * np.sum(b * b)))


def _levelled(name: str, samples: NDArray[np.float32], level_lu: float, says: str) -> Tone:
    return _at_level(name, samples, VOICE_LUFS + level_lu, says)


def _at_level(name: str, samples: NDArray[np.float32], level_db: float, says: str) -> Tone:
    gain = to_gain(level_db - loudest_rms_db(samples))
    levelled = (samples * np.float32(gain)).astype(np.float32)
    peak_db = true_peak_db(levelled)
    if peak_db > TONE_CEILING_DBTP:
        levelled = limit_true_peak(levelled, ceiling_dbtp=TONE_CEILING_DBTP)
        peak_db = true_peak_db(levelled)
    level_db = loudest_rms_db(levelled)
    return Tone(name=name, samples=frozen(levelled), level_db=level_db, peak=to_gain(peak_db), says=says)


def _from_onset(samples: NDArray[np.float32]) -> NDArray[np.float32]:
    """Return `samples` from their first sound on, so that a tone sounds where it is placed; none if mute."""
    if not np.isfinite(samples).all():
        return samples[:0]
    magnitude = np.abs(samples)
    peak = float(magnitude.max(initial=0.0))
    if peak < to_gain(_SILENT_PEAK_DB):
        return samples[:0]
    threshold = peak * to_gain(_ONSET_BELOW_PEAK_DB)
    sounding = np.flatnonzero(magnitude > threshold)
    heard = samples[max(0, sounding[0] - 1) : sounding[-1] + 1]
    # A recording cut in the middle of its sound would click; one that starts and ends in quiet is left as
    # it is.
    if max(abs(heard[0]), abs(heard[-1])) > 10.0 * threshold:
        return ramped(heard.astype(np.float64), _SMOOTHED_S).astype(np.float32)
    return heard
