"""How long a video takes: against its own encoders alone, and against a general video-composition library.

Run `python -m benchmarks.export [MINUTES [SIZE]]` (20 and 1080p if left out; half an hour on two cores).
The composition library is moviepy: `pip install moviepy`; without it, its row is left out.

With `--of four`, four lessons at once against the same four one after another; with `--of handover`, a folder
to hand over with its video, against that video's encoder alone. A new user makes each: nothing is kept yet.

Times are of the wall clock and of all processors together; on a machine that does other things meanwhile, the
second is the one to compare.
"""

from __future__ import annotations

import argparse
import os
import resource
import subprocess
import sys
import tempfile
import time
from abc import ABC, abstractmethod
from collections import deque
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path
from typing import Any

import av
import numpy as np
from av.audio.codeccontext import AudioCodecContext

from benchmarks.figures import Figure, table
from benchmarks.usage import as_installed
from caller.export.audio import AAC
from caller.export.encoding import H264, Painter, VideoLook, encoders_and_threads, open_encoder
from caller.export.formats import SIZES, Options
from caller.export.programme import Programme, levelled
from caller.export.video import Frames
from caller.lesson.library import lesson_from_text, read_lesson
from caller.planning.staging import stage_of
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
seed = {seed}
"""
SEED = 11
SIDE_BY_SIDE = 4
BATCH = 30  # frames drawn before they are encoded: a whole lesson would not fit in memory


@dataclass(slots=True)
class Spent:
    """Seconds of the wall clock, and of all processors."""

    wall_s: float = 0.0
    cpu_s: float = 0.0


def main(words: list[str] | None = None) -> list[Figure]:
    parser = argparse.ArgumentParser(prog="python -m benchmarks.export", description=__doc__)
    parser.add_argument("minutes", nargs="?", type=float, default=20)
    parser.add_argument("size", nargs="?", choices=SIZES, default="1080p")
    parser.add_argument("--of", choices=("one", "four", "handover"), default="one")
    asked = parser.parse_args(words)
    match asked.of:
        case "four":
            return four(asked.minutes, asked.size)
        case "handover":
            return handover(round(asked.minutes))
    return one(asked.minutes, asked.size)


def one(minutes: float, size: str) -> list[Figure]:
    """One video, against its encoders alone, of pictures and sound, and another library."""
    script, run_sheet = lesson_of(minutes)
    look = VideoLook(size=SIZES[size], fps=Options().fps, theme=LIGHT, format=H264)
    with VoiceBox() as voice, tempfile.TemporaryDirectory() as folder:
        programme = Programme(Timeline(run_sheet, voice=voice, tones=load_tones()))
        frames = Frames(programme, look.fps, burn_captions=False)
        drawn = sum(unit.drawn for unit in frames.units)
        exported, peak_mb, written = export(Path(folder), script, size)
        encoded = encode_alone(frames, look, programme)
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
            beside="at most 1.1",
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


def four(minutes: float, size: str) -> list[Figure]:
    """Four lessons' videos made at once, against one after another."""
    scripts = [lesson_of(minutes, seed=SEED + number)[0] for number in range(SIDE_BY_SIDE)]
    with tempfile.TemporaryDirectory() as folder:
        turn = [
            _video(Path(folder) / f"turn-{number}", script, size) for number, script in enumerate(scripts)
        ]
        in_turn, at_once = Spent(), Spent()
        with added_to(in_turn):
            for command, home in turn:
                subprocess.run(command, check=True, stdout=subprocess.DEVNULL, env=as_installed(home))
        beside = [
            _video(Path(folder) / f"once-{number}", script, size) for number, script in enumerate(scripts)
        ]
        with added_to(at_once):
            running = [
                subprocess.Popen(command, stdout=subprocess.DEVNULL, env=as_installed(home))
                for command, home in beside
            ]
            ended = [process.wait() for process in running]
            if any(ended):
                raise SystemExit("an export failed")
        alike = all(
            Path(one[0][-1]).read_bytes() == Path(other[0][-1]).read_bytes()
            for one, other in zip(turn, beside, strict=True)
        )
    return [
        Figure(what="lessons", value=SIDE_BY_SIDE, unit="", beside=f"of {minutes:g} min each, {size}"),
        Figure(what="one after another, wall clock", value=in_turn.wall_s, unit="s"),
        Figure(what="one after another, processors", value=in_turn.cpu_s, unit="s"),
        Figure(what="all at once, wall clock", value=at_once.wall_s, unit="s"),
        Figure(what="all at once, processors", value=at_once.cpu_s, unit="s"),
        Figure(
            what="all at once / one after another, wall clock",
            value=at_once.wall_s / in_turn.wall_s,
            unit="",
            beside="at most 1.05",
        ),
        Figure(what="the same bytes either way", value=float(alike), unit="", beside="1: yes"),
    ]


def _video(place: Path, script: str, size: str) -> tuple[list[str], Path]:
    """Return the command that makes a lesson's video in a folder of its own, and its user's home."""
    place.mkdir()
    lesson = place / "lesson.toml"
    lesson.write_text(script, encoding="utf-8")
    words = ["export", str(lesson), "--size", size, "--to", str(place / "lesson.mp4")]
    return [sys.executable, "-m", "caller", *words], place / "home"


def handover(minutes: int) -> list[Figure]:
    """A folder to hand over, by a new user, against its video's encoder alone."""
    made = Spent()
    with tempfile.TemporaryDirectory() as folder, VoiceBox() as voice:
        class_file, target = Path(folder) / "gannets.toml", Path(folder) / "handed-over"
        class_file.write_text('name = "Gannets"\nage = "6-7"\nstep = "quarters"\n', encoding="utf-8")
        words = ["handover", str(class_file), "--minutes", str(minutes), "--video", "--to", str(target)]
        with added_to(made):
            subprocess.run(
                [sys.executable, "-m", "caller", *words],
                check=True,
                stdout=subprocess.DEVNULL,
                env=as_installed(Path(folder) / "home"),
            )
        lesson = read_lesson(target / "lesson.toml")
        run_sheet = stage_of(lesson.hall, target, lesson.class_name).run_sheet(lesson)
        programme = Programme(Timeline(run_sheet, voice=voice, tones=load_tones()))
        look = VideoLook(size=SIZES["720p"], fps=Options().fps, theme=LIGHT, format=H264)
        frames = Frames(programme, look.fps, burn_captions=True)
        encoded = encode_alone(frames, look)
        length_s = programme.length / SAMPLE_RATE
    return [
        Figure(what="lesson", value=length_s / 60, unit="min", beside=f"{frames.count} frames"),
        Figure(what="folder to hand over, wall clock", value=made.wall_s, unit="s"),
        Figure(what="folder to hand over, processors", value=made.cpu_s, unit="s"),
        Figure(what="encoding its video's frames, wall clock", value=encoded.wall_s, unit="s"),
        Figure(what="encoding its video's frames, processors", value=encoded.cpu_s, unit="s"),
        Figure(
            what="folder / encoding, wall clock",
            value=made.wall_s / encoded.wall_s,
            unit="",
            beside="at most 1.3",
        ),
        Figure(
            what="folder / encoding, processors",
            value=made.cpu_s / encoded.cpu_s,
            unit="",
            beside="at most 1.3",
        ),
    ]


def lesson_of(minutes: float, *, seed: int = SEED) -> tuple[str, RunSheet]:
    """Return the script of a lesson at least so long, and its run sheet."""
    with VoiceBox() as voice:
        for rounds in range(1, 100):
            script = HEAD.format(seed=seed) + "[[round]]\n" * rounds
            run_sheet = make_run_sheet(lesson_from_text(script))
            if (
                Programme(Timeline(run_sheet, voice=voice, tones=load_tones())).length
                >= minutes * 60 * SAMPLE_RATE
            ):
                break
    return script, run_sheet


def export(folder: Path, script: str, size: str) -> tuple[Spent, float, int]:
    """Run the real program; return what it took, its peak memory in MB, and the bytes it wrote.

    Its user has heard the lesson, and left no video half made.
    """
    lesson, target = folder / "lesson.toml", folder / "lesson.mp4"
    lesson.write_text(script, encoding="utf-8")
    command = [sys.executable, "-m", "caller", "export", str(lesson)]
    user = as_installed(folder / "home")
    heard = [*command, "--to", str(folder / "lesson.mp3")]
    subprocess.run(heard, check=True, stdout=subprocess.DEVNULL, env=user)
    spent = Spent()
    with added_to(spent):
        made = [*command, "--size", size, "--to", str(target)]
        subprocess.run(made, check=True, stdout=subprocess.DEVNULL, env=user)
    peak_mb = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss * 1024 / 1e6
    return spent, peak_mb, target.stat().st_size


def encode_alone(frames: Frames, look: VideoLook, programme: Programme | None = None) -> Spent:
    """Encode every frame of the lesson, already drawn and converted, with the same encoders and settings.

    There are as many as in the export, side by side, each in a thread of its own with a part of the lesson;
    and one for the sound of `programme`, mixed already and at its level.
    """
    encoders, threads = encoders_and_threads()
    sequences: list[_Apart] = [_Sequence(frames, look, part, encoders, threads) for part in range(encoders)]
    if programme is not None:
        sequences.append(_Sound(programme, batches=-(-frames.count // (encoders * BATCH))))
    with ThreadPoolExecutor(len(sequences)) as pool:
        used_s = _cpu_s()
        drawing_s = 0.0
        while any(sequence.left for sequence in sequences):
            before_s = _cpu_s()
            list(pool.map(lambda one: one.draw(), sequences))
            drawing_s += _cpu_s() - before_s
            list(pool.map(_Apart.encode, sequences))
        used_s = _cpu_s() - used_s - drawing_s
    return Spent(wall_s=max(sequence.spent_s for sequence in sequences), cpu_s=used_s)


class _Apart(ABC):
    """An encoder that is timed alone: what it encodes next is made ready before."""

    spent_s = 0.0
    left: deque[Any]

    def __init__(self, encoder: Any) -> None:
        self._encoder = encoder
        self._ready: list[Any] = []  # frames; None has the encoder give what it still holds

    @abstractmethod
    def draw(self) -> None:
        """Make the next frames ready."""

    def encode(self) -> None:
        """Encode the frames that are ready."""
        begun_s = time.perf_counter()
        for frame in self._ready:
            self._encoder.encode(frame)
        self.spent_s += time.perf_counter() - begun_s


class _Sequence(_Apart):
    """One encoder with the part of the lesson's pictures that it encodes."""

    def __init__(self, frames: Frames, look: VideoLook, part: int, parts: int, threads: int) -> None:
        super().__init__(open_encoder(look, threads=threads))
        self._frames = frames
        self._painter = Painter(*look.size, look.theme)
        self.left = deque(range(part * frames.count // parts, (part + 1) * frames.count // parts))

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


class _Sound(_Apart):
    """The sound's encoder, and its share of blocks for each batch of frames."""

    def __init__(self, programme: Programme, *, batches: int) -> None:
        self.left = deque(levelled(programme.blocks(), programme.measured, margin_db=AAC.margin_db))
        self._each = -(-len(self.left) // batches)
        encoder = av.CodecContext.create(AAC.codec, "w")
        assert isinstance(encoder, AudioCodecContext)
        encoder.sample_rate, encoder.layout, encoder.format = SAMPLE_RATE, "mono", "fltp"
        encoder.bit_rate, encoder.options = AAC.bit_rate, dict(AAC.options)
        super().__init__(encoder)
        self._given = 0

    def draw(self) -> None:
        """Put the next blocks into frames."""
        self._ready = []
        for _ in range(min(self._each, len(self.left))):
            block = self.left.popleft()
            frame = av.AudioFrame.from_ndarray(block.reshape(1, -1), format="flt", layout="mono")
            frame.sample_rate, frame.pts = SAMPLE_RATE, self._given
            self._given += len(block)
            self._ready.append(frame)


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
    print(table(main()))
