"""The loudspeaker goes away in the middle of a lesson."""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.endtoend.conftest import SoundServer, caller_command
from tests.faults.conftest import StartLesson, first_heard_s, sounding_s

pytestmark = pytest.mark.endtoend

# As a loudspeaker answers that runs at 44,100 Hz only.
OTHER_RATE = """
#define _GNU_SOURCE
#include <dlfcn.h>
typedef int (*Near)(void *, void *, unsigned *, int *);
int snd_pcm_hw_params_set_rate_near(void *pcm, void *params, unsigned *rate, int *direction) {
    static Near real;
    if (!real) real = (Near)dlvsym(dlopen("libasound.so.2", RTLD_LAZY), __func__, "ALSA_0.9.0rc4");
    *rate = 44100;
    return real(pcm, params, rate, direction);
}
"""

NOTICE = "the words stay on the screen, with “No sound: read the words aloud”"


def module_of(sound: SoundServer, sink: str) -> str:
    """Return the number of the module that makes a sink."""
    lines = sound.control("list", "short", "modules").splitlines()
    return next(line.split()[0] for line in lines if f"sink_name={sink}" in line)


def test_the_only_speaker_is_unplugged_and_plugged_in_again(
    start_lesson: StartLesson, sound: SoundServer, outcome: Callable[..., None], tmp_path: Path
) -> None:
    lesson = start_lesson(environment=sound.environment)
    lesson.wait_for("call", number=2)
    lost_s = time.monotonic()
    sound.control("unload-module", module_of(sound, "hall"))
    lesson.wait_for("sound lost", after_s=lost_s, within_s=4)
    time.sleep(3)
    sound.control("load-module", "module-null-sink", "sink_name=hall", "rate=48000")
    again_s = time.monotonic()
    back = lesson.wait_for("sound back", after_s=again_s, within_s=10)
    with sound.recording(tmp_path / "hall.raw"):
        lesson.goes_on()
    assert len(sounding_s(tmp_path / "hall.raw")) > 20, "and it is heard again"
    outcome(
        "only loudspeaker unplugged, plugged in again",
        "the sink is removed from the sound server, and put back after 3 s",
        NOTICE,
        back["steady"] - again_s,
        "the sound while there was no loudspeaker; no call",
    )


def test_the_speaker_is_unplugged_while_another_is_there(
    start_lesson: StartLesson, sound: SoundServer, outcome: Callable[..., None], tmp_path: Path
) -> None:
    sound.add_sink("spare")
    lesson = start_lesson(environment=sound.environment)
    lesson.wait_for("call", number=2)
    with sound.recording(tmp_path / "spare.raw", device="spare"):
        lost_s = time.monotonic()
        sound.control("unload-module", module_of(sound, "hall"))
        lesson.goes_on()
    back_s = first_heard_s(tmp_path / "spare.raw", ended_s=time.monotonic())
    outcome(
        "loudspeaker unplugged, another is there",
        "the sink in use is removed from the sound server",
        "the voice goes on from the other loudspeaker",
        back_s - lost_s,
        "nothing, or a part of a sentence",
    )


def test_the_sound_server_dies_and_comes_back(
    start_lesson: StartLesson, sound: SoundServer, outcome: Callable[..., None]
) -> None:
    lesson = start_lesson(environment=sound.environment)
    lesson.wait_for("call", number=2)
    died_s = time.monotonic()
    for process in sound._processes:
        process.kill()
        process.wait()
    sound._processes.clear()
    lesson.wait_for("sound lost", after_s=died_s, within_s=4)
    again_s = time.monotonic()
    sound.start()
    back = next((e for e in lesson.events() if e["event"] == "sound back"), None) or lesson.wait_for(
        "sound back"
    )
    lesson.goes_on()
    assert "Expression" not in lesson.said(), "what the sound system grumbles about is nothing to a teacher"
    outcome(
        "sound server crashed, and was started again",
        "the server is killed; a new one is started (its own start counts)",
        NOTICE,
        max(back["steady"] - again_s, 0.0),
        "the sound while there was no server; no call",
    )


def test_the_sound_server_hangs_and_comes_to_itself(
    start_lesson: StartLesson, sound: SoundServer, outcome: Callable[..., None]
) -> None:
    lesson = start_lesson(environment=sound.environment)
    lesson.wait_for("call", number=2)
    hung_s = time.monotonic()
    server = sound._processes[0].pid
    os.kill(server, signal.SIGSTOP)
    lesson.wait_for("sound lost", after_s=hung_s, within_s=4)
    time.sleep(2)
    os.kill(server, signal.SIGCONT)
    again_s = time.monotonic()
    back = lesson.wait_for("sound back", after_s=again_s, within_s=20)
    lesson.goes_on()
    outcome(
        "sound server hangs, and comes to itself",
        "the server is stopped for some seconds (SIGSTOP)",
        NOTICE,
        back["steady"] - again_s,
        "the sound while the server hung; no call",
    )


def test_a_suspended_loudspeaker_is_lost_once_and_comes_back_once(
    start_lesson: StartLesson, sound: SoundServer, outcome: Callable[..., None]
) -> None:
    """As a sound server does for another program, or a laptop to save power; and no call jumps back."""
    lesson = start_lesson(environment=sound.environment)
    lesson.wait_for("call", number=2)
    sound.control("suspend-sink", "hall", "1")
    suspended_s = time.monotonic()
    lesson.wait_for("sound lost", after_s=suspended_s, within_s=5)
    time.sleep(max(0.0, suspended_s + 5.0 - time.monotonic()))
    sound.control("suspend-sink", "hall", "0")
    again_s = time.monotonic()
    back = lesson.wait_for("sound back", after_s=again_s, within_s=15)
    lesson.goes_on()
    told = [event["event"] for event in lesson.events() if event["event"].startswith("sound ")]
    assert told == ["sound lost", "sound back"]
    outcome(
        "the loudspeaker is suspended for five seconds",
        "the sink is suspended in the sound server, and set going again",
        NOTICE,
        back["steady"] - again_s,
        "the sound meanwhile; no call",
    )


def test_another_speaker_becomes_the_default(
    start_lesson: StartLesson, sound: SoundServer, outcome: Callable[..., None], tmp_path: Path
) -> None:
    sound.add_sink("spare")
    sound.control("set-default-sink", "hall")
    lesson = start_lesson(environment=sound.environment)
    lesson.wait_for("call", number=2)
    with sound.recording(tmp_path / "spare.raw", device="spare"):
        changed_s = time.monotonic()
        sound.control("set-default-sink", "spare")
        lesson.goes_on()
    moved_s = first_heard_s(tmp_path / "spare.raw", ended_s=time.monotonic())
    assert len(sounding_s(tmp_path / "spare.raw")) > 20
    outcome(
        "another loudspeaker becomes the default",
        "the sound server's default sink is changed",
        "the voice moves to the new loudspeaker",
        moved_s - changed_s,
        "nothing",
    )


@pytest.mark.skipif(shutil.which("gcc") is None, reason="needs a C compiler")
def test_a_speaker_that_refuses_the_sample_rate(
    start_lesson: StartLesson, sound: SoundServer, outcome: Callable[..., None], tmp_path: Path
) -> None:
    source, library = tmp_path / "rate.c", tmp_path / "rate.so"
    source.write_text(OTHER_RATE)
    subprocess.run(["gcc", "-shared", "-fPIC", "-o", str(library), str(source), "-ldl"], check=True)
    with sound.recording(tmp_path / "hall.raw"):
        lesson = start_lesson(environment=sound.environment | {"LD_PRELOAD": str(library)})
        began = lesson.wait_for("start")
        spoke = lesson.wait_for("speaker")
        lesson.wait_for("call", number=2)
        lesson.goes_on()
    assert len(sounding_s(tmp_path / "hall.raw")) > 20
    assert not lesson.said(), "what the sound system grumbles about is nothing to a teacher"
    outcome(
        "the loudspeaker refuses the sample rate",
        "a library laid under the program makes every device one of 44,100 Hz",
        "nothing: SDL, which converts, takes the place of PortAudio",
        spoke["steady"] - began["steady"],
        "nothing",
    )


@pytest.mark.parametrize("when", ["before it is asked", "in the middle", "in the middle, then Ctrl-C"])
def test_a_sound_server_that_hangs_ends_a_measurement_in_one_sentence(
    sound: SoundServer, quiet_environment: dict[str, str], when: str
) -> None:
    server = sound._processes[0].pid
    if when == "before it is asked":
        os.kill(server, signal.SIGSTOP)
    process = subprocess.Popen(
        caller_command("hall", "measure", "gym"),
        env=quiet_environment | sound.environment,
        stderr=subprocess.PIPE,
        text=True,
    )
    try:
        if when != "before it is asked":
            assert process.stderr is not None
            while not process.stderr.readline().startswith("Sweep 1"):
                assert process.poll() is None
            time.sleep(3)
            os.kill(server, signal.SIGSTOP)
        if when.endswith("Ctrl-C"):
            time.sleep(2)
            process.send_signal(signal.SIGINT)
        told = process.communicate(timeout=60)[1]
    finally:
        os.kill(server, signal.SIGCONT)
        process.kill()
    assert process.returncode == (130 if when.endswith("Ctrl-C") else 1), told
    ours = [line for line in told.splitlines() if line.startswith("hall-caller: ")]
    assert len(ours) == (process.returncode == 1), told
    assert "Traceback" not in told
