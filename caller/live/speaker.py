"""Speakers: what takes samples from the player in real time.

Three kinds with one face: PortAudio, SDL where PortAudio is missing, and a silent one that keeps
time. Each counts the samples it took and can say which one is being heard.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from typing import Any, Protocol

import numpy as np

from caller.errors import SoundError
from caller.live.player import Player
from caller.live.stream_clock import StreamClock, plausible_delay_s
from caller.sound.levels import SAMPLE_RATE

LATENCY_S = 0.2
"""Asked of the sound system: bridges what a busy laptop does to us. A pause throws the buffer away."""

STALLED_S = 0.6
"""With no callback for this long the stream counts as lost."""

_SDL_BLOCK = 1024
_SILENT_BLOCK_S = 0.01

NO_SPEAKER = (
    "This computer has no working loudspeaker for the lesson: plug one in or choose one in the sound "
    "settings, or add --mute to run without sound."
)


class Speaker(Protocol):
    """A running stream that empties the player."""

    name: str

    def heard(self, now_s: float) -> int:
        """Return the stream sample being heard at `now_s` (steady clock, seconds)."""
        ...

    def lost(self, now_s: float) -> bool:
        """Return whether the device has stopped taking samples."""
        ...

    def cut(self) -> None:
        """Stop the player and fall silent at once, whatever is buffered; then take samples again."""
        ...

    def close(self) -> None:
        """Stop and give the device back."""
        ...


class _Counting:
    """What all speakers share: fill a block, and remember when it will be heard."""

    def __init__(self, player: Player, clock: Callable[[], float]) -> None:
        self._player = player
        self._now = clock
        self._clock = StreamClock(SAMPLE_RATE)
        self._last_call_s = clock()

    def _fill(self, out: Any, delay_s: float) -> None:
        called_s = self._now()
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


class PortAudioSpeaker(_Counting):
    """The system's default output through PortAudio."""

    def __init__(self, player: Player, *, clock: Callable[[], float] = time.monotonic) -> None:
        super().__init__(player, clock)
        try:
            import sounddevice  # noqa: PLC0415  (loads PortAudio: only when a speaker is wanted)
        except OSError as missing:
            raise SoundError("The PortAudio library is missing.") from missing
        self.underruns = 0
        try:
            self._stream = sounddevice.OutputStream(
                samplerate=SAMPLE_RATE,
                channels=1,
                dtype="float32",
                latency=LATENCY_S,
                callback=self._callback,
            )
            self._stream.start()
        except sounddevice.PortAudioError as refused:
            raise SoundError(NO_SPEAKER) from refused
        self.name = str(sounddevice.query_devices(self._stream.device)["name"])

    def _callback(self, out: Any, _frames: int, times: Any, status: Any) -> None:
        if status.output_underflow:
            self.underruns += 1
        delay_s = plausible_delay_s(
            times.currentTime, times.outputBufferDacTime, latency_s=self._stream.latency
        )
        self._fill(out[:, 0], delay_s)

    def lost(self, now_s: float) -> bool:
        """Return whether the stream ended or stalled."""
        return not self._stream.active or super().lost(now_s)

    def cut(self) -> None:
        """Throw the buffer away with the stream's own abort, and start it again, silent."""
        self._stream.abort()
        self._player.stop(faded=False)
        self._clock.forget()
        self._last_call_s = self._now()
        self._stream.start()

    def close(self) -> None:
        """Stop the stream at once."""
        self._stream.abort()
        self._stream.close()


class SdlSpeaker(_Counting):
    """The system's default output through SDL, which pygame always brings along."""

    def __init__(self, player: Player, *, clock: Callable[[], float] = time.monotonic) -> None:
        super().__init__(player, clock)
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
            self._device.pause(0)
        except (pygame.error, IndexError) as refused:
            raise SoundError(NO_SPEAKER) from refused

    def _callback(self, _device: Any, memory: memoryview) -> None:
        self._fill(np.frombuffer(memory, dtype=np.float32), self._delay_s)

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
        self._thread.start()

    def _run(self) -> None:
        origin_s = self._now() - self._player.written / SAMPLE_RATE
        while not self._stop.wait(_SILENT_BLOCK_S):
            due = int((self._now() - origin_s) * SAMPLE_RATE) - self._player.written
            while due > 0:
                block = np.zeros(min(due, SAMPLE_RATE), dtype=np.float32)
                self._fill(block, 0.0)
                due -= len(block)

    def close(self) -> None:
        """Stop the thread."""
        self._stop.set()
        self._thread.join()


def open_speaker(player: Player, *, mute: bool = False) -> Speaker:
    """Open the best speaker there is: PortAudio, else SDL.

    Raises
    ------
    SoundError
        When no device can be opened; its text says what to do.
    """
    if mute:
        return SilentSpeaker(player)
    try:
        return PortAudioSpeaker(player)
    except SoundError:
        return SdlSpeaker(player)
