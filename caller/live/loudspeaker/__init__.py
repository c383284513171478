"""From segments to sound, and what happens when the loudspeaker is lost; and what is kept of each device.

A wireless loudspeaker, or one behind a mixer, sounds 100 to 300 ms after the computer believes. The teacher
sets by ear how much later the picture has to be; it is kept for that device in `loudspeakers.toml`. So is the
name of a second output, which gets the voice alone.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any, Final, Protocol

import numpy as np
from numpy.typing import NDArray

from caller.file_reading import is_file
from caller.file_writing import make_folder, write_text
from caller.paths import user_data
from caller.scripts.kinds import TablesOf, Text, Whole
from caller.scripts.source import load
from caller.scripts.tables import finish, key, read_source


class Supply(Protocol):
    """What a speaker empties: a player, or the words alone of one."""

    wide: bool
    """Whether left and right are wanted."""

    @property
    def written(self) -> int:
        """How many samples were taken so far."""

    def fill(self, out: NDArray[np.float32]) -> None:
        """Write the next `len(out)` samples into `out`, shape (n,) or (n, 2)."""

    def stop(self, *, faded: bool = True) -> None:
        """Fall silent, and forget what was to come."""


class Speaker(Protocol):
    """A running stream that empties the player."""

    name: str
    underruns: int  # how often the device ran dry

    def start(self) -> None:
        """Begin to take samples; called once."""
        ...

    def heard(self, now_s: float) -> int:
        """Return the stream sample being heard at `now_s` (steady clock, seconds)."""
        ...

    def lost(self, now_s: float) -> bool:
        """Return whether the device has stopped taking samples."""
        ...

    def cut(self) -> None:
        """Stop the player and fall silent at once, whatever is buffered; then take samples again."""
        ...

    def ended(self) -> bool:
        """Return whether the device is gone for good: no waiting brings it back."""
        ...

    def rest(self) -> None:
        """Give the device silence and take no samples, until `take`; does not wait for it."""
        ...

    def plays(self, now_s: float) -> bool:
        """Return whether the resting device plays what it is given, and does not only fill its buffer."""
        ...

    def take(self) -> None:
        """Take samples again."""
        ...

    def close(self) -> None:
        """Stop and give the device back."""
        ...


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

    voice_to: str = key(
        "", Text(_NAME_LETTERS), "the output that gets the voice alone, as for a hearing loop"
    )
    loudspeaker: tuple[LateLoudspeaker, ...] = key(
        (), TablesOf(LateLoudspeaker, _MOST_KEPT), "a device whose sound comes late"
    )


class Lateness:
    """How late each loudspeaker is, in milliseconds, and who gets the voice alone; every change is kept.

    Attributes
    ----------
    voice_to
        The name of the output that gets the voice alone, or a part of it; empty for none.

    Raises
    ------
    ScriptProblems
        If the file cannot be used; every problem found is in it.
    """

    def __init__(self, path: Path | None = None) -> None:
        self._path = user_data() / "loudspeakers.toml" if path is None else path
        self._ms: dict[str, int] = {}
        self.voice_to = ""
        if is_file(self._path):
            written, place = read_source(LoudspeakersFile, load(self._path))
            finish(place)
            self.voice_to = written.voice_to
            self._ms = {each.name: each.sound_delay_ms for each in written.loudspeaker}

    def of(self, name: str) -> int:
        """Return how late the device called `name` is."""
        return self._ms.get(kept_as(name), 0)

    def change(self, name: str, by_ms: int) -> int:
        """Let the device be later by `by_ms`, keep that, and return how late it is now.

        Raises
        ------
        CallerError
            If it cannot be kept; it holds for this run of the program all the same.
        """
        now_ms = min(max(self.of(name) + by_ms, 0), MOST_MS)
        self._ms.pop(kept_as(name), None)
        self._ms[kept_as(name)] = now_ms  # the last one changed stands last, and is kept longest
        self._keep()
        return now_ms

    def send_voice_to(self, name: str, *, keep: bool = True) -> None:
        """Let this output get the voice alone from now on, none for an empty name; errors as of `change`."""
        self.voice_to = kept_as(name)
        if keep:
            self._keep()

    def _keep(self) -> None:
        kept = list(self._ms.items())[-_MOST_KEPT:]
        devices = [{"name": name, "sound_delay_ms": ms} for name, ms in kept]
        voice: dict[str, Any] = {"voice_to": self.voice_to} if self.voice_to else {}
        import tomlkit  # noqa: PLC0415 - for a key that is hardly ever pressed

        make_folder(self._path.parent)
        write_text(self._path, tomlkit.dumps(voice | {"loudspeaker": devices}), replace=True, private=True)


@lru_cache(maxsize=8)  # asked for with every picture
def kept_as(name: str) -> str:
    """Return a device's name as it may stand in the file: systems put brackets and worse into names."""
    plain = "".join(letter if letter.isprintable() and letter not in "<>[]{}\\" else " " for letter in name)
    return " ".join(plain.split())[:_NAME_LETTERS].strip()
