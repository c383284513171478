from __future__ import annotations

import os
import platform
import subprocess
import sys

import pytest

from caller.live.background import grumbles_hidden


def test_only_what_is_written_meanwhile_is_hidden(capfd: pytest.CaptureFixture[str]) -> None:
    os.write(2, b"before ")
    with grumbles_hidden():
        os.write(2, b"meanwhile ")
    os.write(2, b"after")
    assert capfd.readouterr().err == "before after"


def test_an_error_passes_through_and_the_terminal_is_back(capfd: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(ZeroDivisionError), grumbles_hidden():
        _ = 1 / 0
    os.write(2, b"after")
    assert capfd.readouterr().err == "after"


@pytest.mark.skipif(sys.platform == "win32", reason="closes its standard error by a shell")
def test_a_program_without_a_terminal_loses_nothing() -> None:
    program = "from caller.live.background import grumbles_hidden\nwith grumbles_hidden(): print('fine')"
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


@pytest.mark.skipif(sys.platform == "win32", reason="has one number for a console")
def test_while_a_lesson_is_led_the_terminal_has_our_own_words_and_no_librarys() -> None:
    program = (
        "import logging, os, sys\n"
        "from caller.cli.printing import complain, printing\n"
        "from caller.live.background import nothing_but_ours\n"
        "with printing():\n"
        "    with nothing_but_ours():\n"
        "        os.write(2, b'Expression failed')\n"
        "        logging.getLogger('caller').warning('The log ends here.')\n"
        "    complain('Choose another \\x1bname.')\n"
        "os.write(2, b'after')\n"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert done.stderr == "The log ends here.\nhall-caller: Choose another \ufffdname.\nafter"
