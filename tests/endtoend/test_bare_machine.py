"""README's first command on a machine with Python and nothing else: a fresh Debian in a folder of its own.

Made by debootstrap (minimal, with python3 and python3-venv). What is not there: a desktop, a display, sound,
PortAudio, libEGL, libGL, a compiler. How pip reaches its index is taken along from this machine; the
lesson is shortened by `--from`.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest

from tests.endtoend.conftest import Screen, SoundServer, read_raw

pytestmark = [
    pytest.mark.endtoend,
    pytest.mark.timeout(900),  # packages and wheels come over the network
    pytest.mark.skipif(
        sys.platform != "linux" or os.geteuid() != 0 or shutil.which("debootstrap") is None,
        reason="needs Linux, root and debootstrap (installed by .ci/run)",
    ),
]

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
HOME = "home/teacher/hall-caller"
MIRROR = "http://deb.debian.org/debian"
# The mounts end with the process: they are its own.
ENTER = """
root=$1 shared=$2; shift 2
mount -t proc proc "$root/proc"
mount --rbind /dev "$root/dev"
if [ -n "$shared" ]; then mkdir -p "$root$shared"; mount --bind "$shared" "$root$shared"; fi
exec chroot "$root" "$@"
"""
SETTINGS_OF_PIP = ("/etc/pip.conf", "/etc/xdg/pip", "/root/.config/pip", "/etc/ssl/certs/ca-certificates.crt")


def first_command() -> tuple[str, str]:
    """Return the README's first command in its two parts: what installs, and what runs."""
    printed = re.search(r"<!-- run -->\n```\n(.+)\n```", README)
    assert printed is not None
    install, _, run = printed[1].rpartition(" && ")
    return install, run


@dataclass(frozen=True)
class Machine:
    """A file system with Python in it, entered by chroot."""

    root: Path

    def start(
        self, command: str, *, environment: dict[str, str] | None = None, shared: Path | None = None
    ) -> subprocess.Popen[str]:
        """Start a command where the project lies, as somebody who has just logged in."""
        settings = {
            name: value
            for name, value in os.environ.items()
            if name.startswith(("PIP_", "SSL_")) and name not in {"PIP_CONSTRAINT", "PIP_FIND_LINKS"}
        }
        clean = settings | {"PATH": "/usr/sbin:/usr/bin:/sbin:/bin", "HOME": "/root", "LANG": "C.UTF-8"}
        inside = ["sh", "-c", f"cd /{HOME} && {command}"]
        return subprocess.Popen(
            ["unshare", "--mount", "sh", "-ec", ENTER, "sh", str(self.root), str(shared or ""), *inside],
            env=clean | (environment or {}),
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
        )

    def run(self, command: str) -> str:
        """Run a command to its end, which is to be a good one."""
        process = self.start(command)
        told = process.communicate(timeout=600)[0]
        assert process.returncode == 0, told
        return told


def debian(root: Path, *packages: str) -> Machine:
    """Make a minimal Debian in a folder, with these packages."""
    include = [f"--include={','.join(packages)}"] if packages else []
    made = subprocess.run(
        ["debootstrap", "--variant=minbase", *include, "bookworm", str(root), MIRROR],
        capture_output=True,
        text=True,
        check=False,
    )
    if made.returncode != 0:
        pytest.skip(f"debootstrap cannot run here: {made.stdout.strip().splitlines()[-1]}")
    for name in ("/etc/resolv.conf", *SETTINGS_OF_PIP):
        source, place = Path(name), root / name[1:]
        if source.exists():
            place.parent.mkdir(parents=True, exist_ok=True)
            (shutil.copytree if source.is_dir() else shutil.copy)(source, place)
    (root / HOME).mkdir(parents=True)
    return Machine(root)


@pytest.fixture(scope="module")
def bare(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Machine]:
    """Python alone, with the README's command carried out as far as the installing."""
    root = tmp_path_factory.mktemp("bare") / "root"
    machine = debian(root, "python3", "python3-venv")
    for part in ("caller", "lessons", "sounds"):
        shutil.copytree(ROOT / part, root / HOME / part, ignore=shutil.ignore_patterns("__pycache__"))
    for part in ("pyproject.toml", "README.md", "LICENSE"):
        shutil.copy(ROOT / part, root / HOME / part)
    machine.run(f"{first_command()[0]} >pip.log 2>&1 || {{ tail -5 pip.log; false; }}")
    yield machine
    shutil.rmtree(root.parent, ignore_errors=True)


@pytest.fixture(scope="module")
def with_a_desktops_libraries(bare: Machine) -> Machine:
    """The same with what reaches a display and a sound server, as every desktop has; still no PortAudio."""
    root = bare.root.with_name("desktop")
    subprocess.run(["cp", "-a", str(bare.root), str(root)], check=True)
    machine = Machine(root)
    machine.run(
        "apt-get -qq update && apt-get -qq install --no-install-recommends libx11-6 libxext6 libpulse0"
    )
    return machine


def lesson() -> str:
    """The README's command for a lesson, shortened."""
    return f"{first_command()[1]} --from 2"


@pytest.fixture(scope="module")
def led(
    bare: Machine,
    with_a_desktops_libraries: Machine,
    screen: Screen,
    sound_server: SoundServer,
    tmp_path_factory: pytest.TempPathFactory,
) -> dict[str, str]:
    """What the three lessons print, led at the same time; `seen` and `heard` are of the outside."""
    recording = tmp_path_factory.mktemp("heard") / "sink.raw"
    told: dict[str, str] = {}
    with sound_server.recording(recording):
        # One user leads one lesson at a time: each has a home of its own.
        running = {
            "neither": bare.start(lesson()),
            "display": with_a_desktops_libraries.start(
                lesson(), environment={"HOME": "/home/seen", "DISPLAY": screen.display}
            ),
            "sound": with_a_desktops_libraries.start(
                lesson(),
                environment={"HOME": "/home/heard", "PULSE_SERVER": sound_server.environment["PULSE_SERVER"]},
                shared=sound_server.folder,
            ),
        }
        give_up_s = time.monotonic() + 60
        while "seen" not in told and time.monotonic() < give_up_s:
            time.sleep(1)
            windows = subprocess.run(
                ["xdotool", "search", "--onlyvisible", "--class", "."],
                env=os.environ | screen.environment,
                capture_output=True,
                text=True,
                check=False,
            ).stdout
            if windows:
                told["seen"] = windows
        for name, process in running.items():
            told[name] = process.communicate(timeout=400)[0]
            assert process.returncode == 0, f"{name}: {told[name]}"
    loudest = np.abs(read_raw(recording)).max(initial=0.0)
    return told | ({"heard": f"{loudest:.3f}"} if loudest > 0.05 else {})


def test_with_neither_a_display_nor_sound_each_call_is_printed_in_time(led: dict[str, str]) -> None:
    head, *calls = led["neither"].splitlines()
    assert head == "No display and no sound: each call is printed when it is due, for somebody to read aloud."
    # Lines further in carry on a call's words, which may begin with a time too.
    found = [re.match(r" {0,2}(\d+):(\d\d)  \S", line) for line in calls]
    times_s = [60 * int(each[1]) + int(each[2]) for each in found if each]
    assert len(times_s) > 8
    assert times_s == sorted(times_s)


def test_with_a_display_alone_the_lesson_is_seen(led: dict[str, str]) -> None:
    assert "seen" in led
    assert led["display"] == ""


def test_with_sound_alone_the_lesson_is_heard_and_printed(led: dict[str, str]) -> None:
    assert led["sound"].startswith("No display: the lesson is led by the voice alone")
    assert "heard" in led


def test_no_graphics_library_no_portaudio_and_no_compiler_was_there(bare: Machine) -> None:
    lacking = "libEGL.so.1 libGL.so.1 libportaudio.so.2 libX11.so.6"
    assert bare.run(f"ldconfig -p | grep -cE '{lacking.replace(' ', '|')}' || true").strip() == "0"
    assert bare.run("command -v cc gcc || true").strip() == ""
