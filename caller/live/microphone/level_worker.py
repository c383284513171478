"""The microphone as a level meter, in a process of its own: three levels a line, ten times a second.

    python -m caller.live.microphone.level_worker

Samples live in this process for one block and are gone; only its reading (`caller.hall.claps`), in dB of
full scale, leaves it, through the pipe to the process that started it. When that process ends, so does this
one.
"""

from __future__ import annotations

import sys
import threading
from typing import Any, Final

from caller.hall.claps import BLOCK_S, reading_of

_ALIVE_S: Final = 2.0  # a microphone that gives nothing for so long has gone


def main() -> int:
    """Tell readings until nobody listens or the microphone has gone; 1 without a microphone."""
    try:
        import sounddevice  # noqa: PLC0415  (a missing library is a missing microphone)

        rate_hz = int(sounddevice.query_devices(kind="input")["default_samplerate"])
    except (OSError, ValueError):
        return 1
    except Exception as refused:  # PortAudioError, whose class comes with the library
        sys.stderr.write(f"{refused}\n")
        return 1
    told = threading.Event()
    unheard = threading.Event()

    def hear(block: Any, _frames: int, _time: Any, _status: Any) -> None:
        try:
            sys.stdout.write(" ".join(f"{level:.1f}" for level in reading_of(block, rate_hz)) + "\n")
            sys.stdout.flush()
        except OSError:
            unheard.set()
        told.set()

    try:
        with sounddevice.InputStream(
            samplerate=rate_hz, channels=1, dtype="float32", blocksize=round(BLOCK_S * rate_hz), callback=hear
        ):
            while told.wait(_ALIVE_S) and not unheard.is_set():
                told.clear()
    except sounddevice.PortAudioError:
        return 1
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
