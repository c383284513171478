"""The speech engine dies, hangs, or is not there; a lesson with an empty cache depends on it."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.faults.conftest import Lesson, StartLesson

pytestmark = pytest.mark.endtoend  # each leads a lesson at its own speed

STRACE = ("strace", "-f", "-qq", "-e", "trace=open,openat,execve", "-o")
MISSING = "raise ImportError('taken away by a test')\n"


def clips(cache: Path) -> int:
    """Return how many sentences are kept; folders that the voice takes away meanwhile have none."""
    return sum(name.endswith(".clip") for _, _, names in os.walk(cache) for name in names)


def wait_until(true: Callable[[], bool], within_s: float) -> float:
    """Return when it became true."""
    give_up_s = time.monotonic() + within_s
    while not true():
        assert time.monotonic() < give_up_s
        time.sleep(0.01)
    return time.monotonic()


def speaking(lesson: Lesson, cache: Path) -> int:
    """Wait until the voice has spoken something, and return its process id."""
    wait_until(lambda: clips(cache) >= 1, 60)
    lesson.wait_for("call", number=1)
    return lesson.worker()


def run_a_long_lesson(start_lesson: StartLesson, cache: Path) -> Lesson:
    """Run a long lesson with nothing kept: the voice has many seconds of work."""
    times = (f"{hour}:{minute:02d}" for minute in (15, 30, 45) for hour in range(1, 13))
    rounds = "".join(f'[[round]]\ntime = "{time}"\n' for time in times)
    return start_lesson(
        "--mute", environment={"XDG_CACHE_HOME": str(cache)}, text=f'class = "Terns"\n{rounds}'
    )


@pytest.mark.skipif(os.name != "posix", reason="sends signals")
@pytest.mark.parametrize(
    ("how", "fault", "injected"),
    [
        (signal.SIGKILL, "the speech engine dies", "its process is killed (SIGKILL) while it speaks ahead"),
        (signal.SIGSTOP, "the speech engine hangs", "its process is stopped (SIGSTOP) while it speaks ahead"),
    ],
)
def test_an_engine_that_fails_is_replaced(
    start_lesson: StartLesson,
    outcome: Callable[..., None],
    tmp_path: Path,
    how: signal.Signals,
    fault: str,
    injected: str,
) -> None:
    cache = tmp_path / "cache"
    lesson = run_a_long_lesson(start_lesson, cache)
    worker = speaking(lesson, cache)
    os.kill(worker, how)
    had = clips(cache)
    wait_until(lambda: clips(cache) > had, 30)
    lesson.goes_on(3)
    calls = [event for event in lesson.events() if event["event"] == "call"]
    # A busy machine writes an event late now and then; a lesson that stood is late from there on.
    late_s = [event["steady"] - event["stream_s"] for event in calls]
    stood_s = max(min(late_s[at:]) - min(late_s[:at]) for at in range(1, len(late_s)))
    assert "Not spoken" not in lesson.said(), "every sentence was spoken in the end"
    outcome(
        fault,
        injected,
        "nothing: sentences are spoken well ahead, by a new engine now",
        max(stood_s, 0.0),
        "nothing",
    )


def test_without_any_speech_engine_the_words_are_shown_and_the_tones_go_on(
    start_lesson: StartLesson, outcome: Callable[..., None], tmp_path: Path
) -> None:
    stubs = tmp_path / "stubs"
    stubs.mkdir()
    (stubs / "pyttsx3.py").write_text(MISSING)
    (stubs / "espeakng_loader.py").write_text(MISSING)
    lesson = start_lesson(
        "--mute",
        environment={
            "XDG_CACHE_HOME": str(tmp_path / "cache"),
            "PYTHONPATH": os.pathsep.join([str(stubs), os.environ.get("PYTHONPATH", "")]),
        },
    )
    first = lesson.wait_for("first picture")
    sounded = lesson.wait_for("first sound")
    lesson.goes_on(3)
    assert "Not spoken" in lesson.said()
    assert clips(tmp_path / "cache") == 0
    outcome(
        "there is no speech engine",
        "pyttsx3 and the bundled engine are hidden from the program",
        "the words on the screen for as long as they would take, and the tones",
        sounded["steady"] - first["steady"],
        "the voice",
    )


def test_no_sentence_is_read_as_a_command_to_the_engine(tmp_path: Path) -> None:
    """What a script may say is spoken letter by letter or blanked; the engine opens no file named in it."""
    if subprocess.run(["which", "strace"], capture_output=True, check=False).returncode:
        pytest.skip("needs strace")
    secret = tmp_path / "secret.wav"
    secret.write_bytes(b"RIFF")
    program = (
        "from pathlib import Path; import sys\n"
        "from caller.sound.kept_voice import ClipCache\n"
        "from caller.sound.speech import VoiceSettings\n"
        "from caller.sound.voice import VoiceBox\n"
        "with VoiceBox(ClipCache(Path(sys.argv[1])), deadline_s=60, first_deadline_s=60) as box:\n"
        "    for text in sys.argv[2:]:\n"
        "        clip = box.clip(text, VoiceSettings())\n"
        "        assert not clip.missing, clip.why\n"
        "        print(round(clip.duration_s, 1))\n"
    )
    trace = tmp_path / "trace"
    texts = [f'<speak><audio src="{secret}"/>four</speak>', f"[[include {secret}]] four", "four"]
    done = subprocess.run(
        [*STRACE, str(trace), sys.executable, "-c", program, str(tmp_path / "cache"), *texts],
        capture_output=True,
        text=True,
        check=True,
    )
    # The program's own command line holds the name; no file of that name is opened, nothing of it is run.
    opened = [line for line in trace.read_text(errors="replace").splitlines() if "open" in line.split("(")[0]]
    assert opened
    assert not [line for line in opened if "secret.wav" in line]
    lengths = [float(line) for line in done.stdout.split() if line[0].isdigit()]
    assert len(lengths) == 3
