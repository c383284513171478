"""How long a video takes: against its own encoder alone, and against a general video-composition library.

Run `python -m benchmarks.export [MINUTES [SIZE]]` (20 and 1080p if left out; half an hour on two cores).
The composition library is moviepy: `pip install moviepy`; without it, its row is left out.

Times are of the wall clock and of all processors together; on a machine that does other things meanwhile, the
second is the one to compare.
"""

from __future__ import annotations

import os
import resource
import subprocess
import sys
import tempfile
import time
from collections import deque
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path

import av
import numpy as np

from benchmarks.figures import Figure, table
from caller.export.encoding import H264, Painter, VideoLook, encoders_and_threads, open_encoder
from caller.export.formats import SIZES, Options
from caller.export.programme import Programme
from caller.export.video import Frames
from caller.lesson.library import lesson_from_text
from caller.runsheet import RunSheet
from caller.runsheet.sequence import make_run_sheet
from caller.screen.raster import Raster
from caller.screen.theme import LIGHT
from caller.sound import SAMPLE_RATE
from caller.sound.tones import load_tones
from caller.sound.voice import VoiceBox
from caller.timeline.segment import Timeline

HEAD = """
title = "A long look at the clock"
class = "Gannets"
step = "quarters"
seed = 11
"""
BATCH = 30  # frames drawn before they are encoded: a whole lesson would not fit in memory


@dataclass(slots=True)
class Spent:
    """Seconds of the wall clock, and of all processors."""

    wall_s: float = 0.0
    cpu_s: float = 0.0


def main(minutes: float = 20, size: str = "1080p") -> list[Figure]:
    script, run_sheet = lesson_of(minutes)
    look = VideoLook(size=SIZES[size], fps=Options().fps, theme=LIGHT, format=H264)
    with VoiceBox() as voice, tempfile.TemporaryDirectory() as folder:
        programme = Programme(Timeline(run_sheet, voice=voice, tones=load_tones()))
        frames = Frames(programme, look.fps, burn_captions=False)
        drawn = sum(unit.drawn for unit in frames.units)
        exported, peak_mb, written = export(Path(folder), script, size)
        encoded = encode_alone(frames, look)
        composed = compose(frames, look, Path(folder), script)
    figures = [
        Figure(
            what="lesson",
            value=programme.length / SAMPLE_RATE / 60,
            unit="min",
            beside=f"{frames.count} frames",
        ),
        Figure(what="frames drawn and encoded", value=drawn, unit="", beside="the others repeat a loop"),
        Figure(what="size of the video", value=written / 1e6, unit="MB"),
        Figure(what="peak memory of the export", value=peak_mb, unit="MB", beside="at most 400"),
        Figure(what="export, wall clock", value=exported.wall_s, unit="s"),
        Figure(what="export, processors", value=exported.cpu_s, unit="s"),
        Figure(what="encoding the same frames already drawn, wall clock", value=encoded.wall_s, unit="s"),
        Figure(what="encoding the same frames already drawn, processors", value=encoded.cpu_s, unit="s"),
        Figure(
            what="export / encoding, wall clock",
            value=exported.wall_s / encoded.wall_s,
            unit="",
            beside="at most 1.2",
        ),
        Figure(
            what="export / encoding, processors",
            value=exported.cpu_s / encoded.cpu_s,
            unit="",
            beside="at most 1.2",
        ),
    ]
    if composed is not None:
        wall, cpu = composed.wall_s / exported.wall_s, composed.cpu_s / exported.cpu_s
        figures += [
            Figure(what="composition library, wall clock", value=composed.wall_s, unit="s"),
            Figure(what="composition library, processors", value=composed.cpu_s, unit="s"),
            Figure(
                what="composition library / export, wall clock", value=wall, unit="", beside="at least 1.5"
            ),
            Figure(
                what="composition library / export, processors", value=cpu, unit="", beside="at least 1.5"
            ),
        ]
    return figures


def lesson_of(minutes: float) -> tuple[str, RunSheet]:
    """Return the script of a lesson at least so long, and its run sheet."""
    with VoiceBox() as voice:
        for rounds in range(1, 100):
            script = HEAD + "[[round]]\n" * rounds
            run_sheet = make_run_sheet(lesson_from_text(script))
            if (
                Programme(Timeline(run_sheet, voice=voice, tones=load_tones())).length
                >= minutes * 60 * SAMPLE_RATE
            ):
                break
    return script, run_sheet


def export(folder: Path, script: str, size: str) -> tuple[Spent, float, int]:
    """Run the real program; return what it took, its peak memory in MB, and the bytes it wrote."""
    lesson, target = folder / "lesson.toml", folder / "lesson.mp4"
    lesson.write_text(script, encoding="utf-8")
    command = [sys.executable, "-m", "caller", "export", str(lesson), "--size", size, "--to", str(target)]
    spent = Spent()
    with added_to(spent):
        subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
    peak_mb = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss * 1024 / 1e6
    return spent, peak_mb, target.stat().st_size


def encode_alone(frames: Frames, look: VideoLook) -> Spent:
    """Encode every frame of the lesson, already drawn and converted, with the same encoders and settings.

    There are as many as in the export, side by side, each in a thread of its own with a part of the lesson.
    """
    encoders, threads = encoders_and_threads()
    sequences = [_Sequence(frames, look, part, encoders, threads) for part in range(encoders)]
    with ThreadPoolExecutor(encoders) as pool:
        used_s = _cpu_s()
        drawing_s = 0.0
        while any(sequence.left for sequence in sequences):
            before_s = _cpu_s()
            list(pool.map(_Sequence.draw, sequences))
            drawing_s += _cpu_s() - before_s
            list(pool.map(_Sequence.encode, sequences))
        used_s = _cpu_s() - used_s - drawing_s
    return Spent(wall_s=max(sequence.spent_s for sequence in sequences), cpu_s=used_s)


class _Sequence:
    """One encoder with the part of the lesson that it encodes."""

    def __init__(self, frames: Frames, look: VideoLook, part: int, parts: int, threads: int) -> None:
        self._frames = frames
        self._encoder = open_encoder(look, threads=threads)
        self._painter = Painter(*look.size, look.theme)
        self._ready: list[av.VideoFrame | None] = []  # None has the encoder give what it still holds
        self.left = deque(range(part * frames.count // parts, (part + 1) * frames.count // parts))
        self.spent_s = 0.0

    def draw(self) -> None:
        """Draw the next frames, in frames of their own."""
        self._ready = []
        for _ in range(min(BATCH, len(self.left))):
            number = self.left.popleft()
            painted = self._painter.paint(self._frames.scene(number))
            frame = av.VideoFrame.from_ndarray(painted.to_ndarray(), format="yuv420p")
            frame.pts, frame.time_base = number, self._encoder.time_base
            self._ready.append(frame)
            if not self.left:
                self._ready.append(None)

    def encode(self) -> None:
        """Encode the frames that are ready."""
        begun_s = time.perf_counter()
        for frame in self._ready:
            self._encoder.encode(frame)
        self.spent_s += time.perf_counter() - begun_s


def compose(frames: Frames, look: VideoLook, folder: Path, script: str) -> Spent | None:
    """Make the same video with the composition library's own writer, same encoder, same settings.

    It gets the pixels as they are drawn, four bytes each, so that nothing is converted on its way (red and
    blue change places, which costs nothing), and a picture that stays is not drawn again. Its sound is ready.
    """
    try:
        composing = import_module("moviepy.video.io.ffmpeg_writer")
    except ImportError:
        return None
    lesson, sound = folder / "lesson.toml", folder / "lesson.wav"
    lesson.write_text(script, encoding="utf-8")
    command = [sys.executable, "-m", "caller", "export", str(lesson), "--to", str(sound)]
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
    options = dict(look.format.options)
    raster = Raster(*look.size)
    spent = Spent()
    with added_to(spent):
        writer = composing.FFMPEG_VideoWriter(
            str(folder / "composed.mp4"),
            look.size,
            look.fps,
            codec=look.format.codec,
            audiofile=str(sound),
            audio_codec="aac",
            preset=options["preset"],
            with_mask=True,
            threads=os.cpu_count(),
            ffmpeg_params=[
                "-crf",
                options["crf"],
                "-bf",
                options["bf"],
                "-rc-lookahead",
                options["rc-lookahead"],
            ],
        )
        shown, pixels = None, np.zeros(0, np.uint8)
        for number in range(frames.count):
            scene = frames.scene(number)
            if scene != shown:
                pixels, shown = raster.draw(scene, look.theme), scene
            writer.write_frame(pixels)
        writer.close()
    return spent


@contextmanager
def added_to(spent: Spent) -> Iterator[None]:
    """Add what is spent inside, by this process and those it has waited for."""
    wall_s, cpu_s = time.perf_counter(), _cpu_s()
    yield
    spent.wall_s += time.perf_counter() - wall_s
    spent.cpu_s += _cpu_s() - cpu_s


def _cpu_s() -> float:
    used = (resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    return sum(one.ru_utime + one.ru_stime for one in used)


if __name__ == "__main__":
    print(table(main(float((sys.argv[1:2] or ["20"])[0]), (sys.argv[2:3] or ["1080p"])[0])))
