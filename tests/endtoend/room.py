"""A room between two null sinks: what one plays is heard by the other with the room's echo.

    python room.py RESPONSE.npy FROM_SINK TO_SINK

Reads the first sink's monitor with parec, convolves it block by block (overlap-add), and plays it into the
second sink with pacat.
"""

from __future__ import annotations

import os
import subprocess
import sys

import numpy as np
from scipy.fft import irfft, next_fast_len, rfft

RATE = 48_000
BLOCK = RATE // 10
NICE = ("nice", "-n", "-15") if os.geteuid() == 0 else ()
FORMAT = ("--format=float32le", f"--rate={RATE}", "--channels=1", "--raw")


def main(response_path: str, from_sink: str, to_sink: str) -> None:
    response = np.load(response_path).astype(np.float32)
    size = next_fast_len(BLOCK + response.size - 1)
    spectrum = rfft(response, size)
    overlap = np.zeros(size, np.float32)
    listener = subprocess.Popen(
        [*NICE, "parec", "-d", f"{from_sink}.monitor", "--latency-msec=50", *FORMAT], stdout=subprocess.PIPE
    )
    speaker = subprocess.Popen(
        [*NICE, "pacat", "-p", "-d", to_sink, "--latency-msec=1200", *FORMAT], stdin=subprocess.PIPE
    )
    assert listener.stdout is not None
    assert speaker.stdin is not None
    print("listening", flush=True)  # noqa: T201 - tells the test to begin
    while len(block := listener.stdout.read(4 * BLOCK)) == 4 * BLOCK:
        overlap += irfft(rfft(np.frombuffer(block, "<f4"), size) * spectrum, size)
        speaker.stdin.write(overlap[:BLOCK].astype("<f4").tobytes())
        speaker.stdin.flush()
        overlap[:-BLOCK] = overlap[BLOCK:]
        overlap[-BLOCK:] = 0.0


if __name__ == "__main__":
    main(*sys.argv[1:])
