"""The real program writes a lesson: stopped, killed, and whole; what it wrote is read by an outside tool."""

from __future__ import annotations

import json
import os
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from caller.paths import user_cache
from tests.endtoend.conftest import caller_command

pytestmark = pytest.mark.endtoend

LESSON = """
title = "One clock"
class = "Puffins"
step = "quarters"
seed = 5
think_seconds = 8
catch_up = { kind = "none" }
[opening]
safety = false
warm_up_seconds = 0
[worked_example]
skip = true
[practice]
skip = true
[[round]]
time = "4:45"
"""
DEADLINE_S = 240.0


@pytest.fixture(scope="module")
def script(tmp_path_factory: pytest.TempPathFactory) -> Path:
    script = tmp_path_factory.mktemp("lesson") / "one-clock.toml"
    script.write_text(LESSON, encoding="utf-8")
    return script


@pytest.fixture
def started(script: Path, tmp_path: Path) -> Iterator[subprocess.Popen[bytes]]:
    """An export of the lesson that has some of its pictures behind it."""
    began_s = time.time()
    process = subprocess.Popen(export_to(script, tmp_path / "lesson.mp4"), stderr=subprocess.DEVNULL)
    deadline = time.monotonic() + DEADLINE_S
    videos = user_cache() / "videos"
    while not any(
        each.stat().st_size > 200_000 and each.stat().st_mtime > began_s for each in videos.glob("*.units")
    ):
        assert process.poll() is None, "the export ended before it could be stopped"
        assert time.monotonic() < deadline, "the export did not get going"
        time.sleep(0.02)
    yield process
    process.kill()
    process.wait()


def export_to(script: Path, target: Path) -> list[str]:
    return caller_command("export", str(script), "--to", str(target), "--size", "720p")


def probe(path: Path) -> dict[str, Any]:
    """Read a file with ffprobe (Debian's ffmpeg), which must find nothing to complain about."""
    answered = subprocess.run(
        ["ffprobe", "-v", "error", "-of", "json", "-show_streams", "-show_chapters", str(path)],
        capture_output=True,
        text=True,
        check=True,
    )
    assert answered.stderr == ""
    found: dict[str, Any] = json.loads(answered.stdout)
    return found


def test_a_killed_export_leaves_no_file_under_the_name_and_the_next_one_goes_on(
    started: subprocess.Popen[bytes], script: Path, tmp_path: Path
) -> None:
    os.kill(started.pid, signal.SIGKILL)
    started.wait()
    assert not (tmp_path / "lesson.mp4").exists()
    subprocess.run(export_to(script, tmp_path / "lesson.mp4"), check=True, timeout=DEADLINE_S)
    assert [one.name for one in tmp_path.iterdir()] == ["lesson.mp4"]
    subprocess.run(export_to(script, tmp_path / "fresh.mp4"), check=True, timeout=DEADLINE_S)
    sizes = [(tmp_path / name).stat().st_size for name in ("lesson.mp4", "fresh.mp4")]
    assert sizes[0] == pytest.approx(sizes[1], rel=0.05)


def test_an_interrupted_export_cleans_up(started: subprocess.Popen[bytes], tmp_path: Path) -> None:
    started.send_signal(signal.SIGINT)
    assert started.wait(timeout=60) == 130
    assert list(tmp_path.iterdir()) == []


@pytest.mark.skipif(shutil.which("ffprobe") is None, reason="needs ffprobe (installed by .ci/run)")
def test_an_outside_tool_finds_everything_in_the_video(script: Path, tmp_path: Path) -> None:
    subprocess.run(export_to(script, tmp_path / "lesson.mp4"), check=True, timeout=DEADLINE_S)
    found = probe(tmp_path / "lesson.mp4")
    video, sound, captions = found["streams"][:3]
    assert (video["codec_name"], video["width"], video["height"]) == ("h264", 1280, 720)
    assert (video["r_frame_rate"], video["avg_frame_rate"]) == ("30/1", "30/1")
    assert (video["color_space"], video["color_range"]) == ("bt709", "tv")
    assert (sound["codec_name"], sound["channels"], sound["sample_rate"]) == ("aac", 1, "48000")
    assert captions["codec_name"] == "mov_text"
    assert abs(float(video["duration"]) - float(sound["duration"])) < 1 / 30
    assert video["start_time"] == sound["start_time"] == "0.000000"
    assert len(found["chapters"]) >= 3
    decoded = subprocess.run(
        ["ffmpeg", "-v", "error", "-i", str(tmp_path / "lesson.mp4"), "-f", "null", "-"],
        capture_output=True,
        text=True,
        check=True,
    )
    assert decoded.stderr == ""


@pytest.mark.skipif(sys.platform != "linux", reason="reads the most memory from /proc")
def test_a_full_size_video_stays_under_400_megabytes(script: Path, tmp_path: Path) -> None:
    words = ["export", str(script), "--to", str(tmp_path / "lesson.mp4"), "--size", "1080p"]
    program = (
        f"from caller.cli import main; assert main({words}) == 0; print(open('/proc/self/status').read())"
    )
    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=True, timeout=DEADLINE_S
    )
    peak = next(line for line in done.stdout.splitlines() if line.startswith("VmHWM:"))
    assert int(peak.split()[1]) * 1024 < 400e6
