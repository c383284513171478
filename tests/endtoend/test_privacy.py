"""A whole run, traced: no internet socket, no microphone's sound on the disk, nothing for others to read."""

from __future__ import annotations

import os
import re
import shutil
import signal
import stat
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.endtoend.conftest import Screen, SoundServer, caller_command

pytestmark = [
    pytest.mark.endtoend,
    pytest.mark.skipif(shutil.which("strace") is None, reason="needs strace (installed by .ci/run)"),
]

STRACE = ("strace", "-f", "-qq", "-e", "trace=network", "-o")
_SOCKET = re.compile(r"\bsocket\((AF_\w+)")


def test_a_run_opens_no_internet_socket_and_leaves_nothing_for_others_to_read(
    sound_server: SoundServer, screen: Screen, tmp_path: Path
) -> None:
    home = tmp_path / "home"
    environment = (
        dict(os.environ)
        | sound_server.environment
        | screen.environment
        | {"XDG_CACHE_HOME": str(home / "cache"), "XDG_DATA_HOME": str(home / "data")}
    )
    trace, log = tmp_path / "trace", tmp_path / "log"
    run = subprocess.Popen(
        [*STRACE, str(trace), *caller_command("run", "demo", "--window", "--replace", "--log", str(log))],
        env=environment,
        umask=0,  # the most careless setting there is
    )
    try:
        give_up_s = time.monotonic() + 120
        while not log.exists() or log.read_text(encoding="utf-8").count('"call"') < 3:
            assert run.poll() is None
            assert time.monotonic() < give_up_s
            time.sleep(0.2)
        children = subprocess.run(
            ["pgrep", "-P", str(run.pid)], capture_output=True, text=True, check=True
        ).stdout.split()
        os.kill(int(children[0]), signal.SIGINT)  # the program itself; strace ends with it
        run.wait(30)
    finally:
        run.kill()
        run.wait()
    families = set(_SOCKET.findall(trace.read_text(encoding="utf-8", errors="replace")))
    assert "AF_UNIX" in families, "the trace saw the sockets of screen and sound"
    assert families <= {"AF_UNIX", "AF_LOCAL", "AF_NETLINK"}
    written = [path for path in home.rglob("*") if "hall-caller" in path.parts]
    assert any(path.suffix == ".clip" for path in written)
    assert {str(path): oct(_others(path)) for path in [*written, log] if _others(path)} == {}


def test_the_tracing_would_see_an_internet_socket(tmp_path: Path) -> None:
    trace = tmp_path / "trace"
    program = "import socket; socket.socket(socket.AF_INET).close()"
    subprocess.run(
        ["strace", "-f", "-qq", "-e", "trace=network", "-o", str(trace), sys.executable, "-c", program],
        check=True,
    )
    assert "AF_INET" in _SOCKET.findall(trace.read_text(encoding="utf-8"))


def _others(path: Path) -> int:
    """Return what a file lets the group and everybody else do."""
    return stat.S_IMODE(path.stat().st_mode) & 0o077
