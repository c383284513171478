"""The real program with a clock that runs faster, and a teacher who presses tally keys at random.

Run by the tests as a program of its own, with the words of `caller run`, so that it can be killed.
"""

from __future__ import annotations

import random
import sys
import threading
import time

FASTER = 20.0
_real = time.monotonic
time.monotonic = lambda: FASTER * _real()

import pygame  # noqa: E402 - the clock is changed before anything takes it

from caller.cli import main  # noqa: E402

KEYS = {"m": pygame.K_m, "a": pygame.K_a, "n": pygame.K_n, "7": pygame.K_7}


def press_now_and_then() -> None:
    chance = random.Random()
    while True:
        time.sleep(chance.uniform(0.05, 0.4))
        sign, key = chance.choice(sorted(KEYS.items()))
        if pygame.display.get_init():
            pygame.event.post(pygame.event.Event(pygame.KEYDOWN, key=key, unicode=sign))


if __name__ == "__main__":
    threading.Thread(target=press_now_and_then, daemon=True).start()
    sys.exit(main(["run", *sys.argv[1:]]))
