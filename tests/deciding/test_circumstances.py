from __future__ import annotations

import hashlib
from random import Random

from caller.deciding.circumstances import Streams


def test_a_stream_is_the_same_every_time_and_apart_from_the_others() -> None:
    def first(seed: int, decision: str, number: int) -> float:
        return Streams(seed).of(decision, number).random()

    assert first(1, "moves", 2) == first(1, "moves", 2)
    others = {first(1, "moves", 2), first(1, "moves", 3), first(1, "sides", 2), first(2, "moves", 2)}
    assert len(others) == 4


def test_a_stream_is_seeded_as_the_language_reference_says() -> None:
    # Python's documentation of random.seed, version 2: a string becomes an integer of all its bits, by
    # appending its SHA-512 (CPython's Lib/random.py); so no process's own hash takes part.
    text = b"7/moves/1"
    seed = int.from_bytes(text + hashlib.sha512(text).digest(), "big")
    assert Streams(7).of("moves", 1).random() == Random(seed).random()
