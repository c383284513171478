from __future__ import annotations

import subprocess
import sys
import time

import pytest

from caller.hall.claps import LevelReading
from caller.live.microphone.microphone import Microphone
from caller.live.words import said


def waited(condition: object, within_s: float = 10.0) -> bool:
    end_s = time.monotonic() + within_s
    while time.monotonic() < end_s:
        if condition():  # type: ignore[operator]
            return True
        time.sleep(0.02)
    return False


def test_levels_are_passed_on_and_the_end_is_told_once() -> None:
    heard: list[LevelReading] = []
    told = "print('-50.5 -60.0 -40.0'); print('-49.0 -59.0 -39.0')"
    microphone = Microphone(heard.append, command=[sys.executable, "-c", told])
    assert waited(lambda: len(heard) == 2)
    assert heard == [(-50.5, -60.0, -40.0), (-49.0, -59.0, -39.0)]
    assert waited(lambda: microphone.notice() == said("machine.no-microphone"))
    assert microphone.notice() == ""
    microphone.close()


@pytest.mark.parametrize("command", [["/no/such/program"], [sys.executable, "-c", "raise SystemExit(1)"]])
def test_without_a_microphone_there_is_one_notice(command: list[str]) -> None:
    microphone = Microphone(lambda _: None, command=command)
    assert waited(lambda: microphone.notice() == said("machine.no-microphone"))
    assert microphone.notice() == ""
    microphone.close()


def test_closing_ends_the_process_without_a_notice() -> None:
    microphone = Microphone(lambda _: None, command=[sys.executable, "-c", "import time; time.sleep(60)"])
    process = microphone._process
    assert process is not None
    microphone.close()
    assert process.poll() is not None
    time.sleep(0.1)
    assert microphone.notice() == ""


def test_the_worker_ends_without_a_microphone() -> None:
    """This machine's own devices are hidden, so that there is none."""
    done = subprocess.run(
        [sys.executable, "-m", "caller.live.microphone.level_worker"],
        env={"PATH": "/usr/bin:/bin", "HOME": "/nonexistent", "PULSE_SERVER": "unix:/nonexistent"},
        capture_output=True,
        timeout=60,
        check=False,
    )
    assert done.returncode == 1
    assert done.stdout == b""
