"""The speaker in use, replaced when it is lost: the lesson keeps its time; and one for the voice.

A sound system that is in trouble may hang in any call, so a lost speaker is looked after in a thread of its
own; meanwhile a silent one counts the samples, and the picture goes on. What only stopped asking is waited
for: opening it anew would make a slow sound system slower. What takes its place has to show that it plays
before it gets the lesson's samples.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from functools import partial
from types import TracebackType
from typing import Self

from caller.errors import NotFoundError, SoundError
from caller.live.background import CallsBeside, nothing_but_ours
from caller.live.loudspeaker import Speaker, kept_as
from caller.live.loudspeaker.player import Player, VoiceAlone
from caller.live.loudspeaker.speakers import LISTING, SECONDS, PortAudioSpeaker, SilentSpeaker, open_speaker
from caller.live.words import NO_SPEAKER, said

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


def open_second(words: VoiceAlone, name: str) -> Speaker:
    """Open the output called `name`, or the first that has this in its name, not started yet.

    Raises
    ------
    NotFoundError
        When there is none.
    SoundError
        When it cannot be opened.
    """
    with LISTING:
        speaker = PortAudioSpeaker(words, second=output_called(name))
        SECONDS.add(speaker)
    return speaker


def output_called(name: str) -> int:
    """Return the number of the output called `name`; else of the first that has this in its name.

    Raises
    ------
    NotFoundError
        When there is none; its text says which there are.
    SoundError
        When that cannot be known.
    """
    try:
        import sounddevice  # noqa: PLC0415 - only where a second output is asked for
    except OSError as missing:
        raise SoundError("A second output needs the PortAudio library, which is missing here.") from missing
    try:
        with nothing_but_ours():
            devices = list(sounddevice.query_devices())
    except sounddevice.PortAudioError as refused:
        raise SoundError("The sound system does not say which outputs there are.") from refused
    names = {at: str(each["name"]) for at, each in enumerate(devices) if each["max_output_channels"] > 0}
    wanted = kept_as(name).casefold()
    alike = [at for at, each in names.items() if wanted in kept_as(each).casefold()]
    for at in sorted(alike, key=lambda at: kept_as(names[at]).casefold() != wanted):
        return at
    there = ", ".join(dict.fromkeys(names.values())) or "none"
    raise NotFoundError(
        f"There is no sound output called “{name}”. Choose one that this computer has: {there}."
    )


class SecondOutput:
    """A device beside the loudspeaker that plays the voice alone; told once if it cannot, and tried again.

    Parameters
    ----------
    heard
        The stream sample of the player that is heard in the hall in so many seconds.
    device
        The name of the device, or a part of it.
    tell
        Called with "voice to" or "voice lost", and the device's name.
    """

    def __init__(
        self,
        player: Player,
        heard: Callable[[float], int],
        device: str,
        *,
        late_ms: Callable[[str], int] = lambda _name: 0,
        tell: Callable[[str, str], None] = _tell_nobody,
        opener: Callable[[VoiceAlone, str], Speaker] = open_second,
    ) -> None:
        self._player = player
        self._heard = heard
        self._device = device
        self._late_ms = late_ms
        self._tell = tell
        self._opener = opener
        self._lost = False
        self._notice = ""
        self._closed = threading.Event()
        self._thread = threading.Thread(target=self._look_after, name="voice alone", daemon=True)
        self._thread.start()

    def notice(self) -> str:
        """Return what the teacher should know, once; an empty text otherwise."""
        notice, self._notice = self._notice, ""
        return notice

    def close(self) -> None:
        """Stop it; a device that hangs is left to itself."""
        self._closed.set()
        self._thread.join(_PATIENCE_S)

    def _look_after(self) -> None:
        while not self._closed.is_set():
            words = VoiceAlone(self._player)
            try:
                speaker = self._opener(words, self._device)
                words.follow(speaker.heard, partial(self._heard_in_hall, speaker.name), clock=time.monotonic)
                speaker.start()
            except (NotFoundError, SoundError):
                self._tell_lost()
                self._closed.wait(LATER_RETRY_S)
                continue
            self._tell("voice to", speaker.name)
            while not (speaker.ended() or speaker.lost(time.monotonic())):
                if self._closed.wait(_LOOK_S):
                    break
            speaker.close()
            self._closed.wait(RETRY_S)

    def _heard_in_hall(self, name: str) -> int:
        return self._heard(self._late_ms(name) / 1000)

    def _tell_lost(self) -> None:
        if not self._lost:
            self._lost = True
            self._notice = said("machine.voice-lost").format(name=self._device)
            self._tell("voice lost", self._device)
