"""Speakers: what takes samples from the player in real time.

Three kinds with one face: PortAudio, SDL where PortAudio is missing, and a silent one that keeps
time. Each counts the samples it took and can say which one is being heard.
"""

from __future__ import annotations

import contextlib
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from typing import Any, Protocol

import numpy as np

from caller.errors import SoundError
from caller.live.grumbles import grumbles_hidden
from caller.live.player import Player
from caller.live.stream_clock import StreamClock, plausible_delay_s
from caller.sound.levels import SAMPLE_RATE

LATENCY_S = 0.5
"""Asked of the sound system: bridges what a busy computer does to us. A pause throws the buffer away."""

STALLED_S = 0.6
"""With no callback for this long the stream counts as lost."""

_INVALID_SAMPLE_RATE = -9997  # paInvalidSampleRate of portaudio.h
_SDL_BLOCK = 1024
_SDL_TRIAL = "import pygame; pygame.mixer.init(48_000, -16, 1)"
_SDL_TRIAL_S = 5.0
_SILENT_BLOCK_S = 0.01

NO_SPEAKER = (
    "This computer has no working loudspeaker for the lesson: plug one in or choose one in the sound "
    "settings, or add --mute to run without sound."
)


class NeedsAnother(SoundError):  # noqa: N818 - tells the way on
    """There may be a loudspeaker, but another kind of speaker has to open it."""


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

    def retire(self) -> None:
        """Take no more samples, even if the device comes to itself again; does not wait for it."""
        ...

    def close(self) -> None:
        """Stop and give the device back."""
        ...


class _Counting:
    """What all speakers share: fill a block, and remember when it will be heard."""

    def __init__(self, player: Player, clock: Callable[[], float]) -> None:
        self._player = player
        self._now = clock
        self.underruns = 0
        self._clock = StreamClock(SAMPLE_RATE)
        self._last_call_s = clock()
        self._retired = False

    def _fill(self, out: Any, delay_s: float) -> None:
        if self._retired:
            out[:] = 0.0
            return
        called_s = self._now()
        if called_s - self._last_call_s > STALLED_S:
            self._clock.forget()  # the machine slept, or the device: what came before tells nothing now
        self._last_call_s = called_s
        sample = self._player.written
        self._player.fill(out)
        self._clock.note(sample, called_s=called_s, delay_s=delay_s)

    def heard(self, now_s: float) -> int:
        """Return the stream sample being heard at `now_s`; never one that was not yet played."""
        heard = self._clock.heard(now_s)
        written = self._player.written
        return written if heard is None else max(min(heard, written), 0)

    def lost(self, now_s: float) -> bool:
        """Return whether no samples were asked for lately."""
        return now_s - self._last_call_s > STALLED_S

    def cut(self) -> None:
        """Stop the player with a short fade: little is buffered here."""
        self._player.stop()

    def retire(self) -> None:
        """Take no more samples."""
        self._retired = True


class PortAudioSpeaker(_Counting):
    """The system's default output through PortAudio."""

    def __init__(self, player: Player, *, clock: Callable[[], float] = time.monotonic) -> None:
        super().__init__(player, clock)
        known = "sounddevice" in sys.modules
        try:
            import sounddevice  # noqa: PLC0415  (loads PortAudio: only when a speaker is wanted)
        except OSError as missing:
            raise NeedsAnother("The PortAudio library is missing.") from missing
        try:
            if known:  # PortAudio lists the devices once: what was plugged in since then needs a new list
                sounddevice._terminate()
                sounddevice._initialize()
            with grumbles_hidden():
                self._stream = sounddevice.OutputStream(
                    samplerate=SAMPLE_RATE,
                    channels=1,
                    dtype="float32",
                    latency=LATENCY_S,
                    callback=self._callback,
                )
            self.name = str(sounddevice.query_devices(self._stream.device)["name"])
        except sounddevice.PortAudioError as refused:
            if _INVALID_SAMPLE_RATE in refused.args:
                raise NeedsAnother("The loudspeaker does not take the lesson's sample rate.") from refused
            raise SoundError(NO_SPEAKER) from refused
        self._trouble: type[Exception] = sounddevice.PortAudioError
        self._broken = False

    def start(self) -> None:
        """Start the stream."""
        self._last_call_s = self._now()
        try:
            self._stream.start()
        except self._trouble as refused:
            raise SoundError(NO_SPEAKER) from refused

    def _callback(self, out: Any, _frames: int, times: Any, status: Any) -> None:
        if status.output_underflow:
            self.underruns += 1
            self._clock.forget()  # the gap has moved all that follows
        delay_s = plausible_delay_s(
            times.currentTime, times.outputBufferDacTime, latency_s=self._stream.latency
        )
        self._fill(out[:, 0], delay_s)

    def lost(self, now_s: float) -> bool:
        """Return whether the stream ended or stalled."""
        try:
            return self._broken or not self._stream.active or super().lost(now_s)
        except self._trouble:
            return True

    def cut(self) -> None:
        """Throw the buffer away with the stream's own abort, and start it again, silent."""
        try:
            self._stream.abort()
            self._player.stop(faded=False)
            self._clock.forget()
            self._last_call_s = self._now()
            self._stream.start()
        except self._trouble:  # the device is going away: `lost` says so, and another is opened
            self._player.stop(faded=False)
            self._broken = True

    def close(self) -> None:
        """Stop the stream at once."""
        with contextlib.suppress(self._trouble):
            self._stream.abort()
        with contextlib.suppress(self._trouble):
            self._stream.close()


class SdlSpeaker(_Counting):
    """The system's default output through SDL, which pygame always brings along."""

    def __init__(self, player: Player, *, clock: Callable[[], float] = time.monotonic) -> None:
        super().__init__(player, clock)
        # A sound server without any loudspeaker ends the process inside SDL: let it be another process.
        try:
            subprocess.run(
                [sys.executable, "-P", "-c", _SDL_TRIAL],
                check=True,
                timeout=_SDL_TRIAL_S,
                stdin=subprocess.DEVNULL,
                stdout=subprocess.DEVNULL,
                stderr=subprocess.DEVNULL,
                creationflags=getattr(subprocess, "CREATE_NO_WINDOW", 0),
            )
        except (OSError, subprocess.SubprocessError) as refused:
            raise SoundError(NO_SPEAKER) from refused
        import pygame  # noqa: PLC0415  (opens nothing until a speaker is wanted)
        from pygame._sdl2 import audio  # noqa: PLC0415

        self._delay_s = 2 * _SDL_BLOCK / SAMPLE_RATE  # one block playing, one waiting
        try:
            pygame.mixer.init(
                SAMPLE_RATE, -16, 1, _SDL_BLOCK
            )  # starts SDL's audio; AudioDevice does the rest
            names = audio.get_audio_device_names(False)
            pygame.mixer.quit()
            pygame.init()
            self.name = names[0]
            self._device = audio.AudioDevice(
                self.name, False, SAMPLE_RATE, audio.AUDIO_F32, 1, _SDL_BLOCK, 0, self._callback
            )
        except (pygame.error, IndexError) as refused:
            raise SoundError(NO_SPEAKER) from refused

    def _callback(self, _device: Any, memory: memoryview) -> None:
        self._fill(np.frombuffer(memory, dtype=np.float32), self._delay_s)

    def start(self) -> None:
        """Start the device."""
        self._last_call_s = self._now()
        self._device.pause(0)

    def close(self) -> None:
        """Stop the device."""
        self._device.close()


class SilentSpeaker(_Counting):
    """No device: takes samples as fast as they would sound, so that the lesson keeps its time.

    A `clock` that runs fast makes the lesson run fast.
    """

    name = "no sound"

    def __init__(self, player: Player, *, clock: Callable[[], float] = time.monotonic) -> None:
        super().__init__(player, clock)
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._run, name="silent speaker", daemon=True)

    def start(self) -> None:
        """Start the thread that takes samples."""
        self._thread.start()

    def _run(self) -> None:
        origin_s = self._now() - self._player.written / SAMPLE_RATE
        while not self._stop.wait(_SILENT_BLOCK_S):
            due = int((self._now() - origin_s) * SAMPLE_RATE) - self._player.written
            if due > SAMPLE_RATE:  # the machine slept: a lesson goes on from where it was
                origin_s += (due - SAMPLE_RATE) / SAMPLE_RATE
                due = SAMPLE_RATE
            if due > 0:
                self._fill(np.zeros(due, dtype=np.float32), 0.0)

    def lost(self, now_s: float) -> bool:  # noqa: ARG002 - a busy machine may hold its thread up
        """Return False: there is no device to lose."""
        return False

    def close(self) -> None:
        """Stop the thread."""
        self._stop.set()
        if self._thread.is_alive():
            self._thread.join()


def open_speaker(player: Player, *, mute: bool = False) -> Speaker:
    """Open the best speaker there is, not started yet: PortAudio, else SDL.

    Raises
    ------
    SoundError
        When no device can be opened; its text says what to do.
    """
    if mute:
        return SilentSpeaker(player)
    try:
        return PortAudioSpeaker(player)
    except NeedsAnother:
        return SdlSpeaker(player)
