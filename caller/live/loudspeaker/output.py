"""The speaker in use, replaced when it is lost: the lesson keeps its time; and how late a speaker sounds.

A sound system that is in trouble may hang in any call, so a lost speaker is looked after in a thread of its
own; meanwhile a silent one counts the samples, and the picture goes on. What only stopped asking is waited
for: opening it anew would make a slow sound system slower. What takes its place has to show that it plays
before it gets the lesson's samples.

A wireless loudspeaker, or one behind a mixer, sounds 100 to 300 ms after the computer believes. The teacher
sets by ear how much later the picture has to be; it is kept for that device in `loudspeakers.toml`.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache, partial
from pathlib import Path
from types import TracebackType
from typing import Final, Self

from caller.errors import SoundError
from caller.file_reading import is_file
from caller.file_writing import make_folder, write_text
from caller.live.background import CallsBeside
from caller.live.loudspeaker import Speaker
from caller.live.loudspeaker.player import Player
from caller.live.loudspeaker.speakers import SilentSpeaker, open_speaker
from caller.live.words import NO_SPEAKER, said
from caller.paths import user_data
from caller.scripts.kinds import TablesOf, Text, Whole
from caller.scripts.source import load
from caller.scripts.tables import finish, key, read_source

RETRY_S = 0.5
LATER_RETRY_S = 4.0
"""Between two tries to open a loudspeaker, in the first half minute and later: each costs work."""

_LATER = 60  # tries

_OPENS_S = 5.0  # the sound of a whole computer that has just been started; then the lesson begins without
_PATIENCE_S = 2.0  # for a sound system that hangs at the very end
_COME_BACK_S = 4.0  # what fell silent, or was just opened, gets so long at first to play
_LOOK_S = 0.02
_HELD_UP_S = 0.15
_AFTER_HELD_UP_S = 1.0
"""A look that comes so late was held up itself, and the sound system with it: that first gets so long."""

Opener = Callable[[Player], Speaker]


def _tell_nobody(_event: str, _device: str) -> None:
    pass


class SpeakerBeingOpened:
    """The first loudspeaker for a player, opened beside whatever else a beginning asks for.

    Parameters
    ----------
    opener
        Opens a speaker that is not started yet, or raises `SoundError`; as `open_speaker` does if left out.
    """

    def __init__(self, player: Player, opener: Opener | None = None, *, mute: bool = False) -> None:
        self.player = player
        self.opener = opener = partial(open_speaker, mute=mute) if opener is None else opener
        self._opened: list[Speaker] = []
        self._opening = CallsBeside(lambda: self._opened.append(opener(player)), trouble=Exception)

    def waits(self, within_s: float) -> bool:
        """Return whether it is being opened still, after so long at most."""
        return self._opening.waits(within_s)

    @property
    def failed(self) -> Exception | None:
        """What kept it from being opened, if anything."""
        return self._opening.failed

    def take(self) -> Speaker | None:
        """Return the speaker that was opened, once; None where none was."""
        return self._opened.pop() if self._opened else None

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        """Give back what nobody took."""
        if self._opened:
            self._opened.pop().close()


class Output:
    """Empties the player through a speaker, and looks after that speaker.

    Without a loudspeaker it begins silent, and takes the first one that comes. It begins at once: what the
    player has by then is what the speaker's buffer is filled with first.

    Parameters
    ----------
    first
        The speaker to begin with; it is waited for.
    tell
        Called with "no speaker", "sound lost" or "sound back", and the device's name.
    late_ms
        How much later than it says a device of that name sounds, in milliseconds.
    """

    def __init__(
        self,
        first: SpeakerBeingOpened,
        *,
        clock: Callable[[], float] = time.monotonic,
        tell: Callable[[str, str], None] = _tell_nobody,
        late_ms: Callable[[str], int] = lambda _name: 0,
    ) -> None:
        self._player = first.player
        self._first = first
        self._clock = clock
        self._tell = tell
        self._late_ms = late_ms
        self._closed = threading.Event()
        self._rescue: threading.Thread | None = None
        self._searching = False
        self._looked_s = self._waits_until_s = clock()
        self._notice = said("machine.lost")
        opened: Speaker | None = None
        try:
            waits = first.waits(_OPENS_S)
            if first.failed is not None:
                raise first.failed
            opened = None if waits else first.take()
            if opened is None:
                raise SoundError(NO_SPEAKER)
            self._speaker = opened
            opened.start()
        except SoundError as none:
            if opened is not None:
                opened.rest()  # it may start late, and must not take the samples of the one in its place
            self._notice = said("machine.none")
            self._tell("no speaker", str(none))
            self._look_for_another(opened)

    @property
    def name(self) -> str:
        """The name of the device in use."""
        return self._speaker.name

    @property
    def searching(self) -> bool:
        """Whether there is no loudspeaker just now, and one is looked for."""
        return self._searching

    @property
    def underruns(self) -> int:
        """How often the device in use ran dry."""
        return self._speaker.underruns

    def heard(self, in_s: float = 0.0) -> int:
        """Return the stream sample that is heard in so many seconds, in the hall."""
        return self._speaker.heard(self._clock() + in_s - self._late_ms(self._speaker.name) / 1000)

    def look_after(self) -> str:
        """Have a lost speaker replaced; return what the teacher should know, or an empty text."""
        if self.searching:
            return self._notice
        now_s = self._clock()
        if now_s - self._looked_s > _HELD_UP_S:
            self._waits_until_s = now_s + _AFTER_HELD_UP_S
        self._looked_s = now_s
        if not self._speaker.lost(now_s) or (now_s < self._waits_until_s and not self._speaker.ended()):
            return ""
        lost = self._speaker
        lost.rest()
        self._notice = said("machine.lost")
        self._tell("sound lost", lost.name)
        self._look_for_another(lost)
        return said("machine.lost")

    def cut(self) -> None:
        """Stop the player and fall silent at once."""
        self._speaker.cut()

    def close(self) -> None:
        """Stop the speaker, and the search for one."""
        self._closed.set()
        closing = threading.Thread(target=self._speaker.close, daemon=True)
        closing.start()
        for thread in (closing, self._rescue):
            if thread is not None:
                thread.join(_PATIENCE_S)

    def _look_for_another(self, lost: Speaker | None) -> None:
        """Count on in silence, and find a speaker beside the lesson, the lost one if it comes to itself."""
        silent = SilentSpeaker(self._player, clock=self._clock)
        self._speaker = silent
        silent.start()
        self._searching = True
        self._rescue = threading.Thread(
            target=self._replace, args=(lost, silent), name="sound rescue", daemon=True
        )
        self._rescue.start()

    def _replace(self, lost: Speaker | None, silent: Speaker) -> None:
        found, come_back_s, tries = lost, _COME_BACK_S, 0
        while not self._closed.is_set():
            if found is not None:
                if self._comes_back(found, come_back_s):
                    silent.close()  # two speakers would empty the player twice as fast
                    found.take()
                    self._speaker = found
                    self._searching = False
                    self._tell("sound back", found.name)
                    return
                come_back_s = come_back_s if found.ended() else 2 * come_back_s
                found.close()
            waits = self._first.waits(RETRY_S)  # in the first try still
            found = None if waits or self._closed.is_set() else self._opened()
            if found is None:
                tries += 1
                self._closed.wait(RETRY_S if tries < _LATER else LATER_RETRY_S)
        if found is not None:
            found.close()

    def _opened(self) -> Speaker | None:
        """Return a started speaker that rests, or None where there is none."""
        try:
            found = self._first.take() or self._first.opener(self._player)
        except SoundError:
            return None
        found.rest()
        try:
            found.start()
        except SoundError:
            found.close()
            return None
        return found

    def _comes_back(self, speaker: Speaker, within_s: float) -> bool:
        give_up_s = self._clock() + within_s
        while not self._closed.wait(_LOOK_S):
            if speaker.ended() or self._clock() > give_up_s:
                return False
            if speaker.plays(self._clock()):
                return True
        return False


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
        import tomlkit  # noqa: PLC0415 - for a key that is hardly ever pressed

        make_folder(self._path.parent)
        write_text(self._path, tomlkit.dumps({"loudspeaker": devices}), replace=True, private=True)
        return now_ms


@lru_cache(maxsize=8)  # asked for with every picture
def _kept_as(name: str) -> str:
    """Return a device's name as it may stand in the file: systems put brackets and worse into names."""
    plain = "".join(letter if letter.isprintable() and letter not in "<>[]{}\\" else " " for letter in name)
    return " ".join(plain.split())[:_NAME_LETTERS].strip()
