"""How late a loudspeaker is, beyond what the sound system says of it.

A wireless loudspeaker, or one behind a mixer, sounds 100 to 300 ms after the computer believes. The teacher
sets by ear how much later the picture has to be; it is kept for that device in `loudspeakers.toml`.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Final

import tomlkit

from caller.file_reading import is_file
from caller.file_writing import make_folder, write_text
from caller.paths import user_data
from caller.scripts.kinds import TablesOf, Text, Whole
from caller.scripts.source import load
from caller.scripts.tables import finish, key, read_source

STEP_MS: Final = 20
"""One press: less than is noticed between a sound and its picture (45 ms, ITU-R BT.1359-1, from memory)."""

MOST_MS: Final = 500
_MOST_KEPT: Final = 50
_NAME_LETTERS: Final = 120


@dataclass(frozen=True, slots=True, kw_only=True)
class LateLoudspeaker:
    """One device."""

    name: str = key("", Text(_NAME_LETTERS), "as the system calls it")
    sound_delay_ms: int = key(0, Whole(0, MOST_MS, "milliseconds"), "so much later it sounds than it says")


@dataclass(frozen=True, slots=True, kw_only=True)
class LoudspeakersFile:
    """What may stand in `loudspeakers.toml`."""

    loudspeaker: tuple[LateLoudspeaker, ...] = key(
        (), TablesOf(LateLoudspeaker, _MOST_KEPT), "a device whose sound comes late"
    )


class Lateness:
    """How late each loudspeaker is, in milliseconds; every change is kept.

    Raises
    ------
    ScriptProblems
        If the file cannot be used; every problem found is in it.
    """

    def __init__(self, path: Path | None = None) -> None:
        self._path = user_data() / "loudspeakers.toml" if path is None else path
        self._ms: dict[str, int] = {}
        if is_file(self._path):
            written, place = read_source(LoudspeakersFile, load(self._path))
            finish(place)
            self._ms = {each.name: each.sound_delay_ms for each in written.loudspeaker}

    def of(self, name: str) -> int:
        """Return how late the device called `name` is."""
        return self._ms.get(_kept_as(name), 0)

    def change(self, name: str, by_ms: int) -> int:
        """Let the device be later by `by_ms`, keep that, and return how late it is now.

        Raises
        ------
        CallerError
            If it cannot be kept; it holds for this run of the program all the same.
        """
        now_ms = min(max(self.of(name) + by_ms, 0), MOST_MS)
        self._ms.pop(_kept_as(name), None)
        self._ms[_kept_as(name)] = now_ms  # the last one changed stands last, and is kept longest
        kept = list(self._ms.items())[-_MOST_KEPT:]
        devices = [{"name": name, "sound_delay_ms": ms} for name, ms in kept]
        make_folder(self._path.parent)
        write_text(self._path, tomlkit.dumps({"loudspeaker": devices}), replace=True, private=True)
        return now_ms


def _kept_as(name: str) -> str:
    """Return a device's name as it may stand in the file: systems put brackets and worse into names."""
    plain = "".join(letter if letter.isprintable() and letter not in "<>[]{}\\" else " " for letter in name)
    return " ".join(plain.split())[:_NAME_LETTERS].strip()
