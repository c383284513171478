"""The speaker in use, replaced when it is lost: the lesson keeps its time whatever the sound does."""

from __future__ import annotations

import time
from collections.abc import Callable

from caller.errors import SoundError
from caller.live.player import Player
from caller.live.speaker import SilentSpeaker, Speaker, open_speaker

RETRY_S = 2.0
LOST_NOTICE = "No sound: read the words aloud. Trying to get it back."

Opener = Callable[[Player], Speaker]


class Output:
    """Empties the player through a speaker, and looks after that speaker."""

    def __init__(
        self, player: Player, *, opener: Opener = open_speaker, clock: Callable[[], float] = time.monotonic
    ) -> None:
        self._player = player
        self._opener = opener
        self._clock = clock
        self._speaker: Speaker = opener(player)
        self._silent_since_s: float | None = None

    @property
    def name(self) -> str:
        """The name of the device in use."""
        return self._speaker.name

    def heard(self) -> int:
        """Return the stream sample being heard now."""
        return self._speaker.heard(self._clock())

    def look_after(self) -> str:
        """Replace a lost speaker; return what the teacher should know, or an empty text."""
        now_s = self._clock()
        if self._silent_since_s is None:
            if not self._speaker.lost(now_s):
                return ""
            self._replace()
        elif now_s - self._silent_since_s >= RETRY_S:
            self._replace()
        return "" if self._silent_since_s is None else LOST_NOTICE

    def cut(self) -> None:
        """Stop the player and fall silent at once."""
        self._speaker.cut()

    def close(self) -> None:
        """Stop the speaker."""
        self._speaker.close()

    def _replace(self) -> None:
        self._speaker.close()
        try:
            self._speaker = self._opener(self._player)
            self._silent_since_s = None
        except SoundError:
            self._speaker = SilentSpeaker(self._player, clock=self._clock)
            self._silent_since_s = self._clock()
