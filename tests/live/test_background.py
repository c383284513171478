from __future__ import annotations

import os
import platform
import signal
import subprocess
import sys
import threading

import pytest

from caller.live.background import CallsBeside

unlike_windows = pytest.mark.skipif(sys.platform == "win32", reason="has one number for a console")

_OPENING = """
import contextlib, logging, os, sys
from caller.cli.printing import complain, printing
from caller.live.background import nothing_but_ours
"""


def told(program: str) -> str:
    """What a program that begins like ours leaves on the terminal."""
    words = [sys.executable, "-c", _OPENING + program]
    return subprocess.run(words, capture_output=True, text=True, check=True).stderr


@unlike_windows
def test_while_a_lesson_is_led_the_terminal_has_our_own_words_and_no_librarys() -> None:
    program = """
os.write(2, b"before ")
with printing():
    with nothing_but_ours():
        os.write(2, b"Expression failed")
        logging.getLogger("caller").warning("The log ends here.")
    complain("Choose another \\x1bname.")
os.write(2, b"after")
"""
    assert told(program) == "before The log ends here.\nhall-caller: Choose another \ufffdname.\nafter"


@unlike_windows
def test_an_error_passes_through_and_the_terminal_is_back() -> None:
    program = """
with printing():
    with contextlib.suppress(ZeroDivisionError), nothing_but_ours():
        1 / 0
    os.write(2, b"after")
"""
    assert told(program) == "after"


@unlike_windows
def test_two_that_hide_at_once_give_the_terminal_back_in_any_order() -> None:
    """As a window that opens while another thread opens the loudspeaker; a complaint gets out meanwhile."""
    program = """
with printing():
    window, loudspeaker = nothing_but_ours(), nothing_but_ours()
    window.__enter__()
    loudspeaker.__enter__()
    window.__exit__(None, None, None)
    os.write(2, b"grumble")
    complain("Not here.")
    loudspeaker.__exit__(None, None, None)
    os.write(2, b"after")
"""
    assert told(program) == "hall-caller: Not here.\nafter"


def test_where_our_words_go_the_same_way_nothing_is_hidden() -> None:
    program = """
with nothing_but_ours():
    print("complaint", file=sys.stderr)
"""
    assert told(program) == "complaint\n"


@pytest.mark.skipif(sys.platform == "win32", reason="closes its standard error by a shell")
def test_a_program_without_a_terminal_loses_nothing() -> None:
    program = "from caller.live.background import nothing_but_ours\nwith nothing_but_ours(): print('fine')"
    done = subprocess.run(
        ["sh", "-c", 'exec "$0" -c "$1" 2>&-', sys.executable, program],
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stdout == "fine\n"


_PIECES = """
import numpy as np, sys
if sys.argv[1] == "asked":
    from caller.live.background import return_large_pieces
    return_large_pieces()
else:
    import caller.live.background
def held_mb():
    with open("/proc/self/status") as told:
        return next(int(line.split()[1]) for line in told if line.startswith("RssAnon")) / 1e3
del_me = np.ones(2_000_000)  # 16 MB: once freed, the allocator would keep such pieces
del del_me
before = held_mb()
pieces, small = [], []
for _ in range(6):
    pieces.append(np.ones(1_000_000))
    small.append(bytearray(1000 * 100))
del pieces
print(held_mb() - before)
"""


@pytest.mark.skipif(platform.libc_ver()[0] != "glibc", reason="other C libraries give large pieces back")
def test_large_pieces_of_memory_go_back_when_they_are_freed() -> None:
    left_mb = {
        how: float(
            subprocess.run(
                [sys.executable, "-c", _PIECES, how], check=True, capture_output=True, text=True
            ).stdout.split()[-1]
        )
        for how in ("asked", "not asked")
    }
    assert left_mb["asked"] < 4 < left_mb["not asked"]


@pytest.mark.skipif(os.name != "posix", reason="Windows sends no such signal to itself")
def test_a_call_that_hangs_is_still_waited_for_after_ctrl_c() -> None:
    """Else the end of the program would take it for answered, and wait for it itself."""
    over = threading.Event()
    beside = CallsBeside(over.wait, trouble=OSError)
    threading.Timer(0.1, os.kill, (os.getpid(), signal.SIGINT)).start()
    with pytest.raises(KeyboardInterrupt):
        beside.waits(20)
    assert beside.waits()
    over.set()
    assert not beside.waits(20)


_BETWEEN = """
import sys
from caller.live.background import give_back_freed
def held_mb():
    with open("/proc/self/status") as told:
        return next(int(line.split()[1]) for line in told if line.startswith("RssAnon")) / 1e3
pieces = [bytearray(b"1" * 20_000) for _ in range(2_000)]
last = bytearray(b"1" * 20_000)  # behind which nothing is free
full = held_mb()
del pieces
if sys.argv[1] == "asked":
    give_back_freed()
print(full - held_mb())
"""


@pytest.mark.skipif(platform.libc_ver()[0] != "glibc", reason="other C libraries need not be asked")
def test_what_small_pieces_left_free_between_others_goes_back_when_asked() -> None:
    back_mb = {
        how: float(
            subprocess.run(
                [sys.executable, "-c", _BETWEEN, how], check=True, capture_output=True, text=True
            ).stdout.split()[-1]
        )
        for how in ("asked", "not asked")
    }
    assert back_mb["not asked"] < 4 < 30 < back_mb["asked"]
