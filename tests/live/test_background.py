from __future__ import annotations

import os
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
