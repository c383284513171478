"""The real program with a clock that runs faster, and a teacher who presses tally keys at random.

Run by the tests as a program of its own. Each line that it reads, the words of `hall-caller run` as a JSON
list, becomes a process of its own, forked with everything loaded so that many can be killed in a short time.
It answers with the number of the process, and with an empty line once that process is gone.
"""

from __future__ import annotations

import json
import os
import random
import sys
import threading
import time

FASTER = 40.0
_real = time.monotonic
time.monotonic = lambda: FASTER * _real()

os.environ["PYGAME_HIDE_SUPPORT_PROMPT"] = "1"  # only our own answers are read

import pygame  # noqa: E402 - the clock is changed before anything takes it

import caller.cli.run  # noqa: E402, F401 - loaded before the processes are forked
from caller.cli import main  # noqa: E402

KEYS = {"m": pygame.K_m, "a": pygame.K_a, "n": pygame.K_n, "7": pygame.K_7}


def press_now_and_then() -> None:
    chance = random.Random()
    while True:
        time.sleep(chance.uniform(0.05, 0.4))
        sign, key = chance.choice(sorted(KEYS.items()))
        if pygame.display.get_init():
            pygame.event.post(pygame.event.Event(pygame.KEYDOWN, key=key, unicode=sign))


def run(words: list[str]) -> int:
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    threading.Thread(target=press_now_and_then, daemon=True).start()
    return main(["run", *words])


if __name__ == "__main__":
    for line in sys.stdin:
        child = os.fork()
        if child == 0:
            os._exit(run(json.loads(line)))
        sys.stdout.write(f"{child}\n")
        sys.stdout.flush()
        os.waitpid(child, 0)
        sys.stdout.write("\n")
        sys.stdout.flush()
