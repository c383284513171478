from __future__ import annotations

import platform
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import av
import numpy as np
import pytest

from caller.export import encoding
from caller.export.describing import DescribedSound
from caller.export.formats import SIZES, Job, Options
from caller.export.programme import Programme
from caller.export.video import chapters, write

from .conftest import HummingVoice

SMALL = Options(size="small")


@pytest.fixture(autouse=True)
def small(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let these tests write small videos: the real sizes take a real while."""
    monkeypatch.setitem(SIZES, "small", (640, 360))


def shown_frames(path: Path) -> list[float]:
    with av.open(path) as container:
        return [frame.time or 0.0 for frame in container.decode(video=0)]


@pytest.mark.parametrize(("suffix", "fps"), [(".mp4", 30), (".mp4", 25), (".webm", 30)])
def test_a_video_has_pictures_at_a_constant_rate_sound_captions_and_chapters(
    programme: Programme, tmp_path: Path, suffix: str, fps: int
) -> None:
    path = tmp_path / f"lesson{suffix}"
    shares: list[float] = []
    write(Job(programme=programme, options=Options(size="small", fps=fps), progress=shares.append), path)
    times_s = shown_frames(path)
    # WebM stores whole milliseconds.
    assert np.abs(np.array(times_s) - np.arange(len(times_s)) / fps).max() < 0.0006
    assert len(times_s) == -(-programme.length * fps // 48_000)
    with av.open(path) as container:
        assert [stream.type for stream in container.streams][:3] == ["video", "audio", "subtitle"]
        assert [chapter["metadata"]["title"] for chapter in container.chapters()] == [
            "Hello, Terns!",
            "Clock 1 of 1",
        ]
        video = container.streams.video[0]
        assert (video.width, video.height) == (640, 360)
        assert video.codec_context.colorspace == 1  # BT.709
        texts = [bytes(packet) for packet in container.demux(subtitles=0) if packet.size > 2]
    assert b"Clock 1 of 1.\nWhat time is it?" in texts[1]
    assert shares == sorted(shares)
    assert shares[-1] >= 1.0
    assert [one.name for one in tmp_path.iterdir()] == [path.name]


def test_a_player_can_go_to_every_call_and_every_two_seconds(programme: Programme, tmp_path: Path) -> None:
    """By the container's own marks, as a television or ffmpeg's seeking takes them."""
    path = tmp_path / "lesson.mp4"
    write(Job(programme=programme, options=Options(size="small")), path)
    with av.open(path) as container:
        assert container.streams.video[0].metadata["language"] == "eng"
        packets = [packet for packet in container.demux(video=0) if packet.pts is not None]
        times = [float((packet.pts or 0) * packet.time_base) for packet in packets]
        keys = [at for at, packet in zip(times, packets, strict=True) if packet.is_keyframe]
    with av.open(path) as container:
        decoded = [frame.time for frame in container.decode(video=0) if frame.key_frame]
    assert decoded == pytest.approx(keys)
    assert max(b - a for a, b in zip(keys, [*keys[1:], times[-1]], strict=True)) <= 2.0 + 1e-6
    for start in programme.starts[:-1]:
        assert min(abs(key - start / 48_000) for key in keys) <= 1 / 30


def test_captions_are_in_the_picture_only_when_burnt_in(programme: Programme, tmp_path: Path) -> None:
    foot = []
    for burn in (False, True):
        path = tmp_path / f"{burn}.mp4"
        write(Job(programme=programme, options=Options(size="small", burn_captions=burn)), path)
        with av.open(path) as container:
            picture = next(frame for frame in container.decode(video=0) if frame.time == 0.5)
            foot.append(picture.to_ndarray(format="gray")[300:345].astype(float).std())
    assert foot[0] < 2
    assert foot[1] > 15


def test_descriptions_are_a_second_sound_and_a_second_text(programme: Programme, tmp_path: Path) -> None:
    path = tmp_path / "lesson.mp4"
    described = DescribedSound(programme, HummingVoice())
    write(Job(programme=programme, described=described, options=SMALL), path)
    with av.open(path) as container:
        kinds = [(stream.type, stream.disposition) for stream in container.streams]
        assert [kind for kind, _ in kinds[:5]] == ["video", "audio", "subtitle", "audio", "subtitle"]
        assert av.stream.Disposition.visual_impaired in kinds[3][1]
        assert av.stream.Disposition.descriptions in kinds[4][1]
        texts = b" ".join(bytes(packet) for packet in container.demux(subtitles=1))
    assert b"The short hand is between 4" in texts


def test_a_video_that_was_cut_short_goes_on_and_comes_out_the_same(
    programme: Programme, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    whole, resumed = tmp_path / "whole.mp4", tmp_path / "resumed.mp4"
    write(Job(programme=programme, options=SMALL), whole)

    def cut(share: float) -> None:
        if share > 0.5:
            raise RuntimeError("the power went")

    with pytest.raises(RuntimeError):
        write(Job(programme=programme, options=SMALL, progress=cut), resumed)
    resumed.unlink()  # as the room of its name goes away, with whoever wrote there
    drawn = counted_pictures(monkeypatch)
    write(Job(programme=programme, options=SMALL), resumed)
    in_all = shown_frames(whole)
    assert shown_frames(resumed) == in_all
    assert 0 < len(drawn) < 0.6 * len(in_all)
    assert sorted(one.name for one in tmp_path.iterdir()) == ["resumed.mp4", "whole.mp4"]


def test_a_stopped_export_leaves_no_units(programme: Programme, tmp_path: Path) -> None:
    def stop(share: float) -> None:
        if share > 0.3:
            raise KeyboardInterrupt

    path = tmp_path / "lesson.mp4"
    with pytest.raises(KeyboardInterrupt):
        write(Job(programme=programme, options=SMALL, progress=stop), path)
    assert [one.name for one in tmp_path.iterdir()] in ([], ["lesson.mp4"])


def counted_pictures(monkeypatch: pytest.MonkeyPatch) -> list[object]:
    drawn: list[object] = []
    paint: Callable[..., av.VideoFrame] = encoding.Painter.paint

    def counting(painter: encoding.Painter, scene: object) -> av.VideoFrame:
        drawn.append(scene)
        return paint(painter, scene)

    monkeypatch.setattr(encoding.Painter, "paint", counting)
    return drawn


def test_a_chapter_for_the_opening_and_for_each_round_named_by_its_first_words(programme: Programme) -> None:
    starts = programme.starts
    assert [(one.title, one.start, one.end) for one in chapters(programme.layouts, starts)] == [
        ("Hello, Terns!", 0, starts[1]),
        ("Clock 1 of 1", starts[1], starts[4]),
    ]


# mallinfo2(3): `hblkhd`, the fifth number, is how many bytes are in blocks mapped on their own.
MAPPED = """
import ctypes
from caller.export.video import keep_heap_small
libc = ctypes.CDLL(None)
libc.malloc.restype, libc.malloc.argtypes = ctypes.c_void_p, [ctypes.c_size_t]
libc.free.argtypes = [ctypes.c_void_p]
class Mallinfo(ctypes.Structure):
    _fields_ = [(str(number), ctypes.c_size_t) for number in range(10)]
libc.mallinfo2.restype = Mallinfo
mapped = lambda: getattr(libc.mallinfo2(), "4")
if {keep}:
    keep_heap_small()
libc.free(libc.malloc(8_000_000))
before = mapped()
block = libc.malloc(2_000_000)
print(mapped() - before)
"""


@pytest.mark.skipif(platform.libc_ver()[0] != "glibc", reason="only the GNU C library moves its limit")
@pytest.mark.parametrize("keep", [True, False])
def test_a_large_block_is_mapped_on_its_own_even_after_a_larger_one_was_freed(keep: bool) -> None:
    done = subprocess.run(
        [sys.executable, "-c", MAPPED.replace("{keep}", str(keep))],
        capture_output=True,
        text=True,
        check=True,
    )
    assert (int(done.stdout) >= 2_000_000) == keep
