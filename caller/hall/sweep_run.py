"""Play a sweep through the loudspeaker and record it at the same time.

The recording stays in memory, and is dropped once the hall has been reckoned from it.

What is played and what is heard are two streams, each with its own word on when a sample reaches its
converter, both told on the one steady clock. What lies between the moment at which the middle of the sweep
was to be heard and the moment at which it was, is how late the loudspeaker sounds: a wireless link or a
mixer delays the sound without a word to the computer.
"""

from __future__ import annotations

import atexit
import contextlib
import sys
import threading
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from statistics import median
from typing import Any, Final, TypeVar

import numpy as np

from caller.errors import SoundError
from caller.hall.bands import FloatArray
from caller.hall.impulse import Sweep, exponential_sweep
from caller.hall.response import Measurement, measure

WARNING_S: Final = 3
SWEEP_S: Final = 8.0
TAIL_S: Final = 6.0
"""Recorded after the sweep: the echo, and what the sound system delays."""

_STEP_DB: Final = 10.0
OVER_VOICE_DB: Final = (5.0 - 2 * _STEP_DB, 5.0 - _STEP_DB, 5.0)
"""How loud the sweeps are, one after the other, against a lesson's voice at its starting volume."""

_SINE_PEAK_DB: Final = 3.0  # over its level
_TRIES: Final = 3  # for a recording that was interrupted
_ONCE_MORE: Final = 2  # of all sweeps, those that something passing disturbed: a door, a busy computer
_STARVED_S: Final = 10.0  # more than this without an end, and the device has stopped
_ANSWERS_S: Final = 10.0  # a call of the sound system takes milliseconds, on a busy computer a second or two
_ENDS_S: Final = 3.0
_LATENCY_S: Final = 0.5  # bridges what a busy computer does to us
_RATES_HZ: Final = (48_000, 44_100)
_LONGEST_DELAY_S: Final = 5.0  # between a callback and its converter; what is over that is no time at all
_AROUND_S: Final = 1.5  # the middle of the sweep: clocks of two devices part slowly, and single reports jump

NO_DEVICES = (
    "Measuring needs a loudspeaker and a microphone, and this computer does not have both: plug them in, or "
    "choose them in the sound settings."
)
UNTIMED = (
    "This sound system does not say when a sample is heard: set how late the loudspeaker sounds by ear, in"
    " the sound check of a lesson."
)
INTERRUPTED = "The recording was interrupted by a busy computer: close other programs, and measure again."
STOPPED = "The sound system stopped in the middle: check the cables, and measure again."
NO_ANSWER = "The sound system does not answer: start the computer again, and try once more."

T = TypeVar("T")


class InterruptedSweep(SoundError):  # noqa: N818 - told from other errors to try again
    """Samples were lost on the way."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SoundArrival:
    """How late a loudspeaker sounds, at the microphone, against what the sound system says of it."""

    loudspeaker: str
    late_s: float


def measure_hall(
    voice_db: float, *, told: Callable[[str], None] = lambda _: None
) -> tuple[Measurement, SoundArrival | None]:
    """Return what the hall does to a sweep: quietly first, louder while that is not enough and still safe.

    And how late it comes: that may be known though the hall could not be measured, and the other way round.

    Parameters
    ----------
    voice_db
        The level of a lesson's voice as it leaves the program, in dB of full scale.
    told
        Is given a sentence before each sweep.

    Raises
    ------
    SoundError
        Without a loudspeaker and a microphone, or when they fail.
    """
    found: Measurement | None = None
    arrival: SoundArrival | None = None
    once_more = _ONCE_MORE
    for number, over_db in enumerate(OVER_VOICE_DB):
        told(f"Sweep {number + 1} of at most {len(OVER_VOICE_DB)}: {over_db:+.0f} dB against the voice.")
        found, came, peak = _measured(voice_db + over_db)
        while found.passing and once_more:
            once_more -= 1
            told(f"{found.passing} Sweep {number + 1} once more.")
            found, came, peak = _measured(voice_db + over_db)
        arrival = came or arrival
        if found.good or peak * _gain(_STEP_DB) >= 1.0:  # louder would only be clipped
            break
    assert found is not None
    return found, arrival


def time_loudspeaker(voice_db: float, *, told: Callable[[str], None] = lambda _: None) -> SoundArrival:
    """Return how late the loudspeaker sounds: by one sweep, played softly, and louder if it is not heard.

    Raises
    ------
    SoundError
        As `measure_hall`; and where no sweep could be timed.
    """
    fault = UNTIMED
    for number, over_db in enumerate(OVER_VOICE_DB):
        told(f"Sweep {number + 1} of at most {len(OVER_VOICE_DB)}: {over_db:+.0f} dB against the voice.")
        found, arrival, _ = _measured(voice_db + over_db)
        if arrival is not None:
            return arrival
        fault = found.fault or UNTIMED
    raise SoundError(fault)


def _measured(level_db: float) -> tuple[Measurement, SoundArrival | None, float]:
    """Return what a sweep at a level tells, when it came, and its peak; the recording is dropped."""
    sweep, recording, run = _recorded(_gain(level_db + _SINE_PEAK_DB))
    found = measure(recording, sweep)
    came = None if found.arrives is None else run.arrival(found.arrives, sweep.rate_hz)
    return found, came, float(np.abs(recording).max(initial=0.0))


def _gain(db: float) -> float:
    return float(10.0 ** (db / 20.0))


def _recorded(amplitude: float) -> tuple[Sweep, FloatArray, _Run]:
    for _ in range(_TRIES - 1):
        with contextlib.suppress(InterruptedSweep):
            return _played(amplitude)
    return _played(amplitude)


def _played(amplitude: float) -> tuple[Sweep, FloatArray, _Run]:
    """Play one sweep and return what was recorded from shortly before its first sample on."""
    with sound_library("Measuring", failed=STOPPED) as sounddevice:
        for rate_hz in _RATES_HZ:
            sweep = exponential_sweep(rate_hz=rate_hz, length_s=SWEEP_S, amplitude=amplitude)
            run = _Run(sweep.samples, round((SWEEP_S + TAIL_S) * rate_hz))
            settings = {"samplerate": rate_hz, "channels": 1, "dtype": "float32", "latency": _LATENCY_S}
            streams: list[Any] = []
            try:
                streams.append(answered(partial(sounddevice.InputStream, callback=run.hear, **settings)))
                streams.append(answered(partial(sounddevice.OutputStream, callback=run.play, **settings)))
            except (sounddevice.PortAudioError, ValueError):
                for stream in streams:
                    answered(partial(stream.close, ignore_errors=True))
                continue
            run.loudspeaker = str(sounddevice.query_devices(streams[-1].device)["name"])
            return sweep, run.whole(streams), run
    raise SoundError(NO_DEVICES)


@contextlib.contextmanager
def sound_library(doing: str, *, failed: str) -> Iterator[Any]:
    """Lend the library that records, for `doing` what is named so; each call of it is to be `answered`.

    Raises
    ------
    SoundError
        Where it is missing or does not answer; and with the sentence `failed`, where what is done with it
        fails.
    """
    try:
        sounddevice = answered(_loaded)
    except OSError as missing:
        raise SoundError(
            f"{doing} needs the PortAudio library (on Linux the package libportaudio2): install it."
        ) from missing
    try:
        yield sounddevice
    except sounddevice.PortAudioError as error:
        raise SoundError(failed) from error


def _loaded() -> Any:
    import sounddevice  # noqa: PLC0415  (loads PortAudio, which asks the sound server for its devices)

    return sounddevice


def answered(call: Callable[[], T], within_s: float | None = None) -> T:
    """Return what a call of the sound library gives, made in a thread beside: Ctrl-C ends the waiting.

    Where the sound server hangs, the call never returns.

    Raises
    ------
    SoundError
        If there is no answer in time; what the call itself raises comes through.
    """
    given: list[T] = []
    raised: list[BaseException] = []
    over = threading.Event()  # a thread whose `join` Ctrl-C interrupts counts as ended in Python 3.11

    def make() -> None:
        try:
            given.append(call())
        except BaseException as error:
            raised.append(error)
        finally:
            over.set()

    threading.Thread(target=make, name="sound library", daemon=True).start()
    give_up_s = time.monotonic() + (_ANSWERS_S if within_s is None else within_s)
    try:
        while not over.wait(0.1) and time.monotonic() < give_up_s:
            pass  # in short pieces: Windows tells of Ctrl-C only between them
    finally:
        if not over.is_set():  # at its end the program would wait for the same server, for ever
            farewell: Any = getattr(sys.modules.get("sounddevice"), "_exit_handler", None)
            atexit.unregister(farewell)
    if not over.is_set():
        raise SoundError(NO_ANSWER)
    if raised:
        raise raised[0]
    return given[0]


class _Run:
    """Empties one array into an output while an input fills another.

    The two are streams of their own: one stream for both ran dry on a busy computer where these did not.
    What lies between their starts only delays the whole response.
    """

    loudspeaker = ""

    def __init__(self, played: FloatArray, length: int) -> None:
        self._out = played.astype(np.float32)
        self._in = np.zeros(length, np.float32)
        self._played = 0
        self._heard = 0
        self._interrupted = False
        self._done = threading.Event()
        # Of each block its first sample, and when that one is at its converter, on the steady clock.
        self._played_from: list[tuple[int, float]] = []
        self._heard_from: list[tuple[int, float]] = []

    def arrival(self, arrives: int, rate_hz: int) -> SoundArrival | None:
        """Return how much later than it was to be the sweep was heard; None where the streams do not tell."""
        middle = self._out.size // 2
        out_s = _origin_s(self._played_from, middle, rate_hz)
        in_s = _origin_s(self._heard_from, middle + arrives, rate_hz)
        if out_s is None or in_s is None:
            return None
        return SoundArrival(loudspeaker=self.loudspeaker, late_s=in_s + arrives / rate_hz - out_s)

    def play(self, out: Any, frames: int, times: Any, status: Any) -> None:
        """Give the next block; belongs to the sound system's thread."""
        delay_s = times.outputBufferDacTime - times.currentTime
        if 0.0 < delay_s <= _LONGEST_DELAY_S:
            self._played_from.append((self._played, time.monotonic() + delay_s))
        part = self._out[self._played : self._played + frames]
        out[: part.size, 0] = part
        out[part.size :] = 0.0
        # What is lost before the first block is only the filling of the buffers, after the last only silence.
        if status.output_underflow and 0 < self._played < self._out.size:
            self._interrupted = True
        self._played += part.size

    def hear(self, heard: Any, frames: int, times: Any, status: Any) -> None:
        """Take the next block; belongs to the sound system's thread."""
        ago_s = times.currentTime - times.inputBufferAdcTime
        if 0.0 < ago_s <= _LONGEST_DELAY_S:
            self._heard_from.append((self._heard, time.monotonic() - ago_s))
        count = min(frames, self._in.size - self._heard)
        self._in[self._heard : self._heard + count] = heard[:count, 0]
        if status.input_overflow and self._heard > 0:
            self._interrupted = True
        self._heard += count
        if self._heard >= self._in.size:
            self._done.set()

    def whole(self, streams: Sequence[Any]) -> FloatArray:
        """Start the streams, the input first, wait, and stop them at once, whatever ends the waiting."""
        give_up_s = time.monotonic() + _STARVED_S + SWEEP_S + TAIL_S
        try:
            for stream in streams:
                answered(stream.start)
            while not self._done.wait(0.1):
                if time.monotonic() > give_up_s:
                    raise SoundError(STOPPED)
        finally:
            for stream in reversed(streams):  # the sound ends first
                with contextlib.suppress(SoundError):  # what ended the waiting is told, not this
                    answered(partial(_ended, stream), _ENDS_S)
        if self._interrupted:
            raise InterruptedSweep(INTERRUPTED)
        return self._in.astype(np.float64)


def _ended(stream: Any) -> None:
    stream.abort(ignore_errors=True)
    stream.close(ignore_errors=True)


def _origin_s(blocks: Sequence[tuple[int, float]], sample: int, rate_hz: int) -> float | None:
    """Return when sample 0 would have been, by the blocks around `sample`; None without any."""
    reach = _AROUND_S * rate_hz
    near = [at_s - first / rate_hz for first, at_s in blocks if abs(first - sample) <= reach]
    return median(near) if near else None
