"""Speakers: what takes samples from the player in real time.

Three kinds with one face: PortAudio, SDL where PortAudio is missing, and a silent one that keeps
time. Each counts the samples it took and can say which one is being heard.
"""

from __future__ import annotations

import atexit
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from typing import Any, Final

import numpy as np

from caller.errors import SoundError
from caller.live.background import CallsBeside, nothing_but_ours
from caller.live.loudspeaker import Speaker, Supply
from caller.live.loudspeaker.player import StreamClock, plausible_delay_s
from caller.live.words import NO_SPEAKER
from caller.sound import SAMPLE_RATE

LATENCY_S = 0.5
"""Asked of the sound system: bridges what a busy computer does to us. A pause throws the buffer away."""

PATIENCE_S = 1.4
"""A running stream that asks for nothing for so long, and for as long as it has sound in its buffer, is lost.

One that ends says so itself, and is noticed at once (0.12 s where a sink was taken away): this is for a sound
system that hangs."""

FIRST_PATIENCE_S = 3.0
"""As long as that after a start: the first callbacks fill the buffer, and the next come when the sound system
has played what it holds already (gaps up to 1.63 s on PulseAudio's null sink, which holds two seconds)."""

_ANSWER_S = 1.0  # a call of the sound system takes some milliseconds: so long at most the lesson waits for it

_SECOND_LATENCY_S = 0.3  # less than the first has: what that plays next is known when the second asks for it

_FILLED_S = 0.25  # callbacks over so long are more than the filling of a buffer: the device does play

_INVALID_SAMPLE_RATE = -9997  # paInvalidSampleRate of portaudio.h
_INVALID_CHANNEL_COUNT = -9998  # paInvalidChannelCount
_SDL_BLOCK = 1024
_SDL_TRIAL = "import pygame; pygame.mixer.init(48_000, -16, 1)"
_SDL_TRIAL_S = 5.0
_SDL_LEAVES_S, _SDL_RETURNS_S = 0.5, 0.1  # for a device's last callback to come, and to be over: 21 ms
_SILENT_BLOCK_S = 0.01


class NeedsAnother(SoundError):  # noqa: N818 - tells the way on
    """There may be a loudspeaker, but another kind of speaker has to open it."""


class _Counting:
    """What all speakers share: fill a block, and remember when it will be heard."""

    def __init__(self, player: Supply, clock: Callable[[], float]) -> None:
        self._player = player
        self._now = clock
        self.underruns = 0
        self.buffer_s = 0.0  # what the device holds, by its own account
        self._clock = StreamClock(SAMPLE_RATE)
        self._resting = False
        self._await_first()

    def _await_first(self) -> None:
        """Remember that the device begins now, or begins anew."""
        self._first_call_s: float | None = None
        self._last_call_s = self._now()

    def _fill(self, out: Any, delay_s: float) -> None:
        called_s = self._now()
        if self._first_call_s is None:
            self._first_call_s = called_s
        if called_s - self._last_call_s > PATIENCE_S:
            self._clock.forget()  # the machine slept, or the device: what came before tells nothing now
        self._last_call_s = called_s
        if self._resting:
            out[:] = 0.0
            return
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
        patience_s = PATIENCE_S if self._is_under_way() else FIRST_PATIENCE_S
        return now_s - self._last_call_s > patience_s + self.buffer_s

    def ended(self) -> bool:
        """Return False: most devices do not tell."""
        return False

    def cut(self) -> None:
        """Stop the player with a short fade: little is buffered here."""
        self._player.stop()

    def rest(self) -> None:
        """Take no more samples."""
        self._resting = True
        self._await_first()

    def plays(self, now_s: float) -> bool:
        """Return whether samples are asked for over some time, and lately."""
        return self._is_under_way() and now_s - self._last_call_s < PATIENCE_S

    def take(self) -> None:
        """Take samples from now on."""
        self._clock.forget()
        self._resting = False

    def _is_under_way(self) -> bool:
        return self._first_call_s is not None and self._last_call_s - self._first_call_s > _FILLED_S


SECONDS: Final[set[Speaker]] = set()
"""The streams that are open beside the first one; `LISTING` is held by who adds to them."""

LISTING: Final = threading.Lock()


def _list_anew(sounddevice: Any) -> None:
    """Have PortAudio see what was plugged in since; with its list of devices it ends every stream."""
    held = LISTING.acquire(timeout=_ANSWER_S)
    try:
        for each in list(SECONDS):
            each.close()
        sounddevice._terminate()
        sounddevice._initialize()
    finally:
        if held:
            LISTING.release()


class PortAudioSpeaker(_Counting):
    """An output through PortAudio: the system's default, or a second one, by its number."""

    def __init__(
        self, player: Supply, *, clock: Callable[[], float] = time.monotonic, second: int | None = None
    ) -> None:
        super().__init__(player, clock)
        known = "sounddevice" in sys.modules
        try:
            import sounddevice  # noqa: PLC0415  (loads PortAudio: only when a speaker is wanted)
        except OSError as missing:
            raise NeedsAnother("The PortAudio library is missing.") from missing
        self._farewell: Callable[[], None] = sounddevice._exit_handler
        atexit.unregister(self._farewell)  # where a call hangs, it would wait for ever at the program's end
        try:
            if known and second is None:
                _list_anew(sounddevice)
            with nothing_but_ours():
                self._stream = self._opened(sounddevice, second, channels=2 if player.wide else 1)
            self.name = str(sounddevice.query_devices(self._stream.device)["name"])
            self.buffer_s = min(float(self._stream.latency), LATENCY_S)
        except sounddevice.PortAudioError as refused:
            if _INVALID_SAMPLE_RATE in refused.args:
                raise NeedsAnother("The loudspeaker does not take the lesson's sample rate.") from refused
            raise SoundError(NO_SPEAKER) from refused
        finally:
            atexit.register(self._farewell)
        self._trouble: type[Exception] = sounddevice.PortAudioError
        self._asked: CallsBeside | None = None
        self._halted = False

    def _opened(self, sounddevice: Any, device: int | None, *, channels: int) -> Any:
        """Return the stream; with one channel where the device has no second."""
        try:
            return sounddevice.OutputStream(
                samplerate=SAMPLE_RATE,
                device=device,
                channels=channels,
                dtype="float32",
                latency=LATENCY_S if device is None else _SECOND_LATENCY_S,
                callback=self._callback,
            )
        except sounddevice.PortAudioError as refused:
            if channels == 1 or _INVALID_CHANNEL_COUNT not in refused.args:
                raise
            return self._opened(sounddevice, device, channels=1)

    def start(self) -> None:
        """Start the stream; one that takes long to begin is looked after as one that is slow to play."""
        self._await_first()
        if self._ask(self._begin).failed:
            raise SoundError(NO_SPEAKER)

    def _begin(self) -> None:
        self._await_first()
        self._halted = False
        self._stream.start()

    def _callback(self, out: Any, _frames: int, times: Any, status: Any) -> None:
        if status.output_underflow:
            self.underruns += 1
            self._clock.forget()  # the gap has moved all that follows
            self._await_first()  # the stream begins anew, and fills its buffer first
        if self._halted:
            out[:] = 0.0
            return
        delay_s = plausible_delay_s(
            times.currentTime, times.outputBufferDacTime, latency_s=self._stream.latency
        )
        self._fill(out[:, 0] if out.shape[1] == 1 else out, delay_s)

    def lost(self, now_s: float) -> bool:
        """Return whether the stream ended or stalled."""
        return self.ended() or super().lost(now_s)

    def ended(self) -> bool:
        """Return whether the stream came to an end by itself, as it does when its device is unplugged.

        One that is about to begin has not, unless that takes longer than a busy computer needs.
        """
        if self._asked is not None and self._asked.waits():
            return time.monotonic() - self._asked.since_s > FIRST_PATIENCE_S
        try:
            return (self._asked is not None and self._asked.failed is not None) or not self._stream.active
        except self._trouble:
            return True

    def cut(self) -> None:
        """Throw the buffer away with the stream's own abort, and start it again, silent."""
        silent, emptied = threading.Event(), threading.Event()

        def stop() -> None:
            try:
                self._stream.abort()
            finally:
                silent.set()
            emptied.wait()

        if self._asked is None or not self._asked.waits():  # else it is about to begin anew already
            self._halted = True
            self._asked = CallsBeside(stop, self._begin, trouble=self._trouble)
            silent.wait(_ANSWER_S)
        self._player.stop(faded=False)
        self._clock.forget()
        self._await_first()
        emptied.set()
        self._wait_for(self._asked, _ANSWER_S if silent.is_set() else 0.0)

    def close(self) -> None:
        """Stop the stream at once."""
        SECONDS.discard(self)
        self._ask(self._stream.abort)
        self._ask(self._stream.close)

    def _ask(self, call: Callable[[], object]) -> CallsBeside:
        self._asked = CallsBeside(call, trouble=self._trouble)
        self._wait_for(self._asked, _ANSWER_S)
        return self._asked

    def _wait_for(self, asked: CallsBeside, within_s: float) -> None:
        if asked.waits(within_s):
            atexit.unregister(self._farewell)


class SdlSpeaker(_Counting):
    """The system's default output through SDL, which pygame always brings along."""

    def __init__(self, player: Supply, *, clock: Callable[[], float] = time.monotonic) -> None:
        super().__init__(player, clock)
        self._leaving, self._left = False, threading.Event()
        self._wide = player.wide
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
        from pygame._sdl2 import audio, sdl2  # noqa: PLC0415

        self.buffer_s = 2 * _SDL_BLOCK / SAMPLE_RATE  # one block playing, one waiting
        try:
            # SDL's sound alone: pygame's own mixer would hold the device that we are about to open.
            sdl2.init_subsystem(sdl2.INIT_AUDIO)
            self.name = audio.get_audio_device_names(False)[0]
            self._device = audio.AudioDevice(
                self.name,
                False,
                SAMPLE_RATE,
                audio.AUDIO_F32,
                2 if self._wide else 1,
                _SDL_BLOCK,
                0,
                self._callback,
            )
        except (pygame.error, sdl2.error, IndexError) as refused:  # sdl2's error is not one of pygame's
            raise SoundError(NO_SPEAKER) from refused

    def _callback(self, _device: Any, memory: memoryview) -> None:
        samples = np.frombuffer(memory, dtype=np.float32)
        self._fill(samples.reshape(-1, 2) if self._wide else samples, self.buffer_s)
        if self._leaving:
            self._device.pause(1)
            self._left.set()

    def start(self) -> None:
        """Start the device."""
        self._await_first()
        self._device.pause(0)

    def close(self) -> None:
        """Stop the device."""
        # pygame closes it without letting go of the interpreter, and waits for a callback that waits for just
        # that. So the last callback ends the callbacks, and has the time to return.
        self._leaving = True
        self._left.wait(_SDL_LEAVES_S)
        time.sleep(_SDL_RETURNS_S)
        self._device.close()


class SilentSpeaker(_Counting):
    """No device: takes samples as fast as they would sound, so that the lesson keeps its time.

    A `clock` that runs fast makes the lesson run fast.
    """

    name = "no sound"

    def __init__(self, player: Supply, *, clock: Callable[[], float] = time.monotonic) -> None:
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

    def plays(self, now_s: float) -> bool:  # noqa: ARG002
        """Return True: it keeps time from the first moment."""
        return True

    def close(self) -> None:
        """Stop the thread."""
        self._stop.set()
        if self._thread.is_alive():
            self._thread.join()


def open_speaker(player: Supply, *, mute: bool = False) -> Speaker:
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
