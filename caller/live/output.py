"""The speaker in use, replaced when it is lost: the lesson keeps its time whatever the sound does.

A sound system that is in trouble may hang in any call, so a lost speaker is closed, and a new one opened,
in a thread of its own; meanwhile a silent one counts the samples, and the picture goes on.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable

from caller.errors import SoundError
from caller.live.player import Player
from caller.live.speaker import SilentSpeaker, Speaker, open_speaker

RETRY_S = 0.5
PICTURE_LEAD_S = 0.0145
"""A picture is seen after drawing (about 6 ms) and then for one sixtieth of a second: meet its middle."""

LOST_NOTICE = "No sound: read the words aloud. Trying to get it back."
_PATIENCE_S = 2.0  # for a sound system that hangs at the very end

Opener = Callable[[Player], Speaker]


def _tell_nobody(_event: str, _device: str) -> None:
    pass


class Output:
    """Empties the player through a speaker, and looks after that speaker.

    Parameters
    ----------
    opener
        Opens a speaker that is not started yet, or raises `SoundError`.
    tell
        Called with "sound lost" or "sound back" and the device's name.
    """

    def __init__(
        self,
        player: Player,
        *,
        opener: Opener = open_speaker,
        clock: Callable[[], float] = time.monotonic,
        tell: Callable[[str, str], None] = _tell_nobody,
    ) -> None:
        self._player = player
        self._opener = opener
        self._clock = clock
        self._tell = tell
        self._closed = threading.Event()
        self._rescue: threading.Thread | None = None
        self._speaker: Speaker = opener(player)
        self._speaker.start()

    @property
    def name(self) -> str:
        """The name of the device in use."""
        return self._speaker.name

    @property
    def underruns(self) -> int:
        """How often the device in use ran dry."""
        return self._speaker.underruns

    def heard(self) -> int:
        """Return the stream sample that is heard when a picture drawn now stands on the screen."""
        return self._speaker.heard(self._clock() + PICTURE_LEAD_S)

    def look_after(self) -> str:
        """Have a lost speaker replaced; return what the teacher should know, or an empty text."""
        if self._rescue is not None and self._rescue.is_alive():
            return LOST_NOTICE
        if not self._speaker.lost(self._clock()):
            return ""
        lost = self._speaker
        lost.retire()
        self._speaker = SilentSpeaker(self._player, clock=self._clock)
        self._speaker.start()
        self._tell("sound lost", lost.name)
        self._rescue = threading.Thread(
            target=self._replace, args=(lost, self._speaker), name="sound rescue", daemon=True
        )
        self._rescue.start()
        return LOST_NOTICE

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

    def _replace(self, lost: Speaker, silent: Speaker) -> None:
        lost.close()
        while not self._closed.is_set():
            try:
                found = self._opener(self._player)
            except SoundError:
                self._closed.wait(RETRY_S)
                continue
            silent.close()  # two speakers would empty the player twice as fast
            try:
                found.start()
            except SoundError:
                found.close()
                silent = SilentSpeaker(self._player, clock=self._clock)
                silent.start()
                self._speaker = silent
                self._closed.wait(RETRY_S)
                continue
            self._speaker = found
            self._tell("sound back", found.name)
            return
