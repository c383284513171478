"""The machine under the lesson: it sleeps, it is too busy, its clock is set, its display goes away."""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.endtoend.conftest import Screen, SoundServer
from tests.faults.conftest import StartLesson, sounding_s

pytestmark = pytest.mark.endtoend

STEPPED = r"""
#define _GNU_SOURCE
#include <dlfcn.h>
#include <time.h>
#include <unistd.h>
int clock_gettime(clockid_t which, struct timespec *now) {
    static int (*real)(clockid_t, struct timespec *);
    if (!real) real = (int (*)(clockid_t, struct timespec *))dlsym(RTLD_NEXT, "clock_gettime");
    int told = real(which, now);
    if (which == CLOCK_REALTIME && access(STEP, F_OK) == 0) now->tv_sec -= 3600;
    return told;
}
"""


@pytest.mark.parametrize(
    ("seconds", "fault", "lost"),
    [
        (1.2, "the machine is too busy for a second (under-run)", "nothing: a gap of silence"),
        (6.0, "the machine sleeps and wakes (suspend, resume)", "nothing: the lesson waits"),
    ],
)
def test_a_program_held_up_goes_on_where_it_was(
    start_lesson: StartLesson,
    sound: SoundServer,
    outcome: Callable[..., None],
    tmp_path: Path,
    seconds: float,
    fault: str,
    lost: str,
) -> None:
    lesson = start_lesson(environment=sound.environment)
    lesson.wait_for("call", number=2)
    with sound.recording(tmp_path / "hall.raw"):
        began_s = time.monotonic()
        time.sleep(0.5)
        lesson.process.send_signal(signal.SIGSTOP)
        time.sleep(seconds)
        lesson.process.send_signal(signal.SIGCONT)
        woken_s = time.monotonic() - began_s
        lesson.goes_on()
    # The recorder starts up to half a second before `began_s`, and its clock is not ours: take the later.
    again_s = [
        each - woken_s - 0.5 for each in sounding_s(tmp_path / "hall.raw") if each - 0.5 > woken_s - 0.2
    ]
    outcome(
        fault,
        f"the program is stopped for {seconds:g} s (SIGSTOP, SIGCONT)",
        "the picture stands and the voice is silent meanwhile; then the call goes on",
        max(again_s[0], 0.0),
        lost,
    )


def test_a_silent_lesson_that_slept_leaves_no_call_out(
    start_lesson: StartLesson, screen: Screen, outcome: Callable[..., None]
) -> None:
    lesson = start_lesson("--mute", environment=screen.environment)
    before = lesson.wait_for("call", number=2)
    lesson.process.send_signal(signal.SIGSTOP)
    time.sleep(20)
    lesson.process.send_signal(signal.SIGCONT)
    woken_s = time.monotonic()
    lesson.goes_on()
    after = next(each for each in lesson.events() if each["event"] == "call" and each["steady"] > woken_s)
    assert after["number"] == before["number"] + 1
    outcome(
        "the machine sleeps during a lesson without sound",
        "the program is stopped for 20 s (SIGSTOP, SIGCONT)",
        "the picture stands meanwhile; then the call goes on",
        None,
        "nothing",
    )


@pytest.mark.skipif(shutil.which("gcc") is None, reason="needs a C compiler")
def test_setting_the_machines_clock_moves_nothing(
    start_lesson: StartLesson, outcome: Callable[..., None], tmp_path: Path
) -> None:
    step, source, library = tmp_path / "step", tmp_path / "stepped.c", tmp_path / "stepped.so"
    source.write_text(STEPPED)
    command = ["gcc", "-shared", "-fPIC", f'-DSTEP="{step}"', "-o", str(library), str(source), "-ldl"]
    subprocess.run(command, check=True)
    lesson = start_lesson("--mute", environment={"LD_PRELOAD": str(library)})
    first = lesson.wait_for("call", number=2)
    step.touch()
    lesson.goes_on(3)
    last = [each for each in lesson.events() if each["event"] == "call"][-1]
    assert last["at"] - first["at"] < -3500, "the clock was set back for the program too"
    passed_s, played_s = last["steady"] - first["steady"], last["stream_s"] - first["stream_s"]
    assert passed_s == pytest.approx(played_s, abs=0.3)
    outcome(
        "the machine's clock is set back by an hour",
        "a library laid under the program steps its wall clock while the lesson runs",
        "nothing: the lesson counts samples, and the steady clock",
        None,
        "nothing",
    )


def test_the_display_goes_away(
    start_lesson: StartLesson, outcome: Callable[..., None], quiet_environment: dict[str, str], tmp_path: Path
) -> None:
    reader, writer = os.pipe()
    server = subprocess.Popen(
        ["Xvfb", "-noreset", "-displayfd", str(writer), "-screen", "0", "1280x720x24"],
        pass_fds=(writer,),
        stderr=subprocess.DEVNULL,
    )
    os.close(writer)
    with os.fdopen(reader) as answers:
        display = answers.readline().strip()
    lesson = start_lesson("--mute", environment={"DISPLAY": f":{display}", "SDL_VIDEODRIVER": "x11"})
    call = lesson.wait_for("call", number=2)
    server.kill()
    server.wait()
    killed_s = time.monotonic()
    noticed = lesson.wait_for("display lost", after_s=killed_s - 1)
    assert lesson.end(within_s=30) == 1
    ended_s = time.monotonic()
    assert ended_s - call["steady"] > 1.0, "the voice had time to finish its call"
    told = [line for line in lesson.said().splitlines() if line.startswith("hall-caller:")]
    assert told == [
        (
            "hall-caller: The display went away in the middle of the lesson: connect it again and start the "
            "caller again; it carries on from the call it had reached."
        )
    ]
    outcome(
        "the display is lost",
        "the X server is killed",
        "the voice finishes its call; then one sentence, and the next start carries on from there",
        max(noticed["steady"] - killed_s, 0.0),
        "the picture; no round",
    )


def test_the_window_is_resized_again_and_again(
    start_lesson: StartLesson, screen: Screen, outcome: Callable[..., None]
) -> None:
    lesson = start_lesson("--mute", environment=screen.environment)
    lesson.wait_for("call", number=2)
    environment = os.environ | screen.environment
    asked = ["xdotool", "getwindowfocus"]  # there is no window manager here that could be asked for its name
    window = subprocess.run(asked, env=environment, capture_output=True, text=True, check=True).stdout.strip()
    named = subprocess.run(
        ["xdotool", "getwindowname", window], env=environment, capture_output=True, text=True, check=True
    )
    assert named.stdout.strip() == "Lesson caller"
    for width, height in ((640, 480), (1, 1), (1280, 720), (200, 700), (900, 500)):
        subprocess.run(
            ["xdotool", "windowsize", window, str(width), str(height)], env=environment, check=True
        )
        time.sleep(0.4)
    if shutil.which("xrandr"):
        subprocess.run(["xrandr", "--size", "800x600"], env=environment, check=False, capture_output=True)
        time.sleep(0.5)
        subprocess.run(["xrandr", "--size", "1280x720"], env=environment, check=False, capture_output=True)
    lesson.goes_on()
    outcome(
        "the display or window changes its size",
        "the window is resized five times, once to a single pixel; the display twice",
        "the picture is drawn to fit",
        None,
        "nothing",
    )
