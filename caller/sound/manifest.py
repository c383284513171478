"""The list of a lesson's tones, `manifest.toml`, in a folder that a teacher may change."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from caller.scripts.kinds import FileName, Number, TableOf, Text
from caller.scripts.source import load
from caller.scripts.tables import finish, key, keys_of, read_source
from caller.sound.levels import BEAT_LUFS, VOICE_LUFS
from caller.sound.tone_recipes import RECIPES

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
