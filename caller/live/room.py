"""The room: loudspeaker, window, microphone, tones and log, opened once for the whole run of the program."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Mapping
from concurrent.futures import Future, wait
from dataclasses import replace
from functools import cached_property
from types import TracebackType
from typing import Final, Self

from caller.hall.claps import LevelReading
from caller.live.background import Background, RunLog, return_large_pieces
from caller.live.keys import Controls
from caller.live.loudspeaker import Lateness
from caller.live.loudspeaker.output import Output, SecondOutput, SpeakerBeingOpened
from caller.live.loudspeaker.player import Player
from caller.live.microphone.microphone import Ear, Microphone, Opened, QuietGate
from caller.live.window import NoScreen, Screen
from caller.live.words import said
from caller.sound import STARTING_DB
from caller.sound.own_voice import OwnVoice
from caller.sound.tones import Tone, load_tones
from caller.sound.voice import VoiceBox

_FIRST_WORDS_S: Final = 2.0  # where nothing is kept, the voice has to speak them meanwhile
_TONE_FIRST_S: Final = 0.2  # a call whose words are kept is made in a tenth of that; no window waits for more
_SWITCH_S: Final = 0.001  # Python's threads take turns this often: the audio callback must not wait


class Room:
    """What every lesson of one run of the program is led with.

    The loudspeaker is opened by the first that asks for it, where it is not being opened already, and stays
    open; one that is lost is looked after by `sound`. Without a screen, what it would tell is given to
    `printed`.

    Parameters
    ----------
    screen
        The screen, or what opens it; what is opened here is closed here.
    speaker
        The loudspeaker, where it is being opened already.
    mute
        Whether one that is opened here makes no sound.
    clock
        The steady clock, in seconds, that the loudspeaker goes by.
    """

    def __init__(
        self,
        screen: Screen | Callable[[], Screen],
        voice: VoiceBox,
        *,
        controls: Controls | None = None,
        lateness: Lateness | None = None,
        log: RunLog | None = None,
        mute: bool = False,
        quiet_gate_s: int | None = None,
        printed: Callable[[str], None] = print,
        speaker: SpeakerBeingOpened | None = None,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        sys.setswitchinterval(_SWITCH_S)
        return_large_pieces()
        self._screen = screen
        self.voice = voice
        self.controls = Controls() if controls is None else controls
        self._usual = self.controls
        self._lateness = Lateness() if lateness is None else lateness
        self.log = RunLog(None) if log is None else log
        self.quiet_gate_s = quiet_gate_s
        self.background = Background(self.log)
        self._speaker = speaker
        self.player = Player(STARTING_DB) if speaker is None else speaker.player
        self._mute = mute
        self._clock = clock
        self._printed = printed
        self._told_unseen = False
        self._begun: Future[Output] | None = None
        self._second: SecondOutput | None = None
        self._microphone: Microphone | None = None
        self._gate: QuietGate | None = None
        self._ear: Ear | None = None

    @cached_property
    def screen(self) -> Screen:
        """What a lesson is shown on."""
        return self._screen() if callable(self._screen) else self._screen

    @cached_property
    def tones(self) -> Mapping[str, Tone]:
        """The tones, read once."""
        return load_tones()

    @cached_property
    def own_voice(self) -> OwnVoice:
        """What was recorded in a voice of one's own."""
        return OwnVoice()

    @cached_property
    def sound(self) -> Output:
        """The loudspeaker in use."""
        output = Output(
            self._speaker or SpeakerBeingOpened(self.player, mute=self._mute),
            clock=self._clock,
            tell=lambda event, device: self.log.event(event, device=device),
            late_ms=self._lateness.of,
        )
        self.log.event("speaker", device=output.name)
        if self._lateness.voice_to and not self._mute:
            self._second = SecondOutput(
                self.player,
                output.heard,
                self._lateness.voice_to,
                late_ms=self._lateness.of,
                tell=lambda event, device: self.log.event(event, device=device),
            )
        return output

    def play_wide(self, wide: bool) -> None:
        """Let the loudspeaker play left and right, or both alike; one that is open is opened anew for it."""
        if wide == self.player.wide:
            return
        self.player.wide = wide
        if "sound" in vars(self):
            self._close_sound()
            del self.sound
            self._speaker = None

    def _close_sound(self) -> None:
        if self._second is not None:
            self._second.close()
        self.sound.close()

    def begin_sound(self, supply: Callable[[float], None]) -> Future[Output]:
        """Start the loudspeaker beside what else there is to do, once `supply` has given it its first call.

        A loudspeaker fills its buffer first, half a second, and with silence where it has nothing yet.
        `supply` is told how long it may take. A screen that is not open yet waits a moment: opening it holds
        up everything else, and a class is called before it is shown anything.
        """

        def begin() -> Output:
            if "sound" not in vars(self):
                supply(_FIRST_WORDS_S)
            return self.sound

        self._begun = begun = self.background.submit("first sound", begin)
        if "screen" not in vars(self):
            wait([begun], _TONE_FIRST_S)
        return begun

    def sound_later(self, by_ms: int) -> int:
        """Let the picture wait so much longer for the loudspeaker in use; return how long it waits now."""
        now_ms = self._lateness.change(self.sound.name, by_ms)
        self.log.event("sound delay", device=self.sound.name, ms=now_ms)
        return now_ms

    def by_one_switch(self, holding: bool) -> None:
        """Let the space bar do everything, for somebody who uses no other button; or no longer."""
        usual = self._usual
        self.controls = replace(usual, single_switch=usual.single_switch or "space") if holding else usual

    @property
    def seen(self) -> bool:
        """Whether there is a screen."""
        return not isinstance(self.screen, NoScreen)

    def tell_how_it_is_led(self) -> None:
        """Print once what a lesson without a screen is led with."""
        if not self._told_unseen:
            self._told_unseen = True
            unheard = self._mute or self.sound.searching
            self.tell_unseen(said("lesson.unseen-unheard") if unheard else said("lesson.unseen"))

    def tell_unseen(self, text: str) -> None:
        """Print what there is no screen for."""
        if not self.seen and text:
            self._printed(text)

    def gate(self, longest_s: float) -> QuietGate:
        """Return a gate that waits for quiet so long at most; the microphone is opened by the first."""
        self._gate = QuietGate(longest_s, told=self._tell_opened)
        self._open_microphone()
        return self._gate

    def ear(self) -> Ear:
        """Return what remembers the last readings for counting claps; it too opens the microphone."""
        if self._ear is None:
            self._ear = Ear()
        self._open_microphone()
        return self._ear

    def _open_microphone(self) -> None:
        if self._microphone is None:
            self._microphone = Microphone(self._hear)

    def notice(self) -> str:
        """Return what the teacher should know of the room, each thing once; an empty text otherwise."""
        of_microphone = self._microphone.notice() if self._microphone is not None else ""
        of_second = self._second.notice() if self._second is not None else ""
        return of_microphone or of_second or self.background.notice()

    def close(self) -> None:
        """Give everything back but what was there before: the voice, and a screen."""
        if self._microphone is not None:
            self._microphone.close()
        self.background.close()
        if self._begun is not None:
            wait([self._begun], _FIRST_WORDS_S)
        if "sound" in vars(self):
            self._close_sound()
        if "screen" in vars(self) and callable(self._screen):
            self.screen.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def _hear(self, reading: LevelReading) -> None:
        if self._gate is not None:
            self._gate.hear(reading.level_db)
        if self._ear is not None:
            self._ear.hear(reading)

    def _tell_opened(self, why: Opened, held_s: float) -> None:
        self.log.event("let through", why=why.value, held_s=round(held_s, 2))
