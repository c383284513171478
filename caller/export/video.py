"""The lesson as a video: pictures, sound, captions and chapters in one file.

The GNU C library maps blocks above a limit on their own, gives them back when they are freed, and moves the
limit up to the largest block freed so far. Then parts of pictures land in the heap of each thread, between
small blocks that stay, and leave holes: 90 MB of them in an export at 1080p. A limit once set stays.
"""

from __future__ import annotations

import ctypes
import platform
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import groupby
from pathlib import Path
from typing import Final

import av
from av.container.output import OutputContainer
from av.stream import Disposition
from av.subtitles.stream import SubtitleStream
from av.video.stream import VideoStream

from caller.export.audio import AAC, OPUS, SoundFormat, SoundTrack, encoded_into
from caller.export.captions import Caption, captions
from caller.export.encoding import H264, VP9, VideoFormat, VideoLook, encoded_beside, set_up
from caller.export.formats import SIZES, Job
from caller.export.programme import Programme
from caller.export.subtitles import milliseconds, webvtt_text
from caller.export.units import Unit, UnitStore, units
from caller.languages.folders import table
from caller.screen.scene import Scene
from caller.screen.theme import THEMES
from caller.sound import SAMPLE_RATE
from caller.timeline import CallLayout


@dataclass(frozen=True, slots=True, kw_only=True)
class Chapter:
    """A chapter from sample `start` to sample `end`."""

    title: str
    start: int
    end: int


def chapters(layouts: Sequence[CallLayout], starts: Sequence[int]) -> tuple[Chapter, ...]:
    """Return the chapters of a lesson; each is called by the first words said in it.

    Those words are in the lesson's own language, and never give an answer away.
    """
    found = []
    places = zip(layouts, starts[:-1], starts[1:], strict=True)
    for _, grouped in groupby(places, key=lambda place: (place[0].call.part, place[0].call.round)):
        group = list(grouped)
        first = next(
            (line.written for layout, _, _ in group for line in layout.call.lines if line.written), ""
        )
        title = first.rstrip(".") or group[0][0].call.part
        found.append(Chapter(title=title, start=group[0][1], end=group[-1][2]))
    return tuple(found)


_MMAP_THRESHOLD_PARAMETER: Final = -3
"""M_MMAP_THRESHOLD of <malloc.h>; see mallopt(3)."""

_MMAP_THRESHOLD: Final = 1024 * 1024
"""Bytes. What changes at once in a 1080p picture is larger; what Python keeps is smaller, and so is a second
of sound: with a quarter of this the system spent a twentieth of an export's time on mapping."""


def keep_heap_small() -> None:
    """Have large blocks mapped on their own, in this process, from now on.

    Other C libraries have no such moving limit, and nothing is done there.
    """
    if platform.libc_ver()[0] == "glibc":
        ctypes.CDLL(None).mallopt(_MMAP_THRESHOLD_PARAMETER, _MMAP_THRESHOLD)


_CAPTION_STYLE: Final = b"""[V4+ Styles]
Format: Name, Fontname, Fontsize, PrimaryColour, BackColour, Bold, Italic, Underline, BorderStyle, Alignment
Style: Default,Arial,18,&H00FFFFFF,&H80000000,0,0,0,3,2
[Events]
Format: Layer, Start, End, Style, Name, MarginL, MarginR, MarginV, Effect, Text
"""
"""How players show captions unless the person watching chooses: white on black, in the middle at the foot."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Container:
    name: str
    video: VideoFormat
    sound: SoundFormat
    captions: str
    options: tuple[tuple[str, str], ...] = ()


_CONTAINERS: Final = {
    # The index goes to the front, so that a video starts before the whole file is read.
    ".mp4": _Container(
        name="mp4", video=H264, sound=AAC, captions="mov_text", options=(("movflags", "+faststart"),)
    ),
    ".webm": _Container(name="webm", video=VP9, sound=OPUS, captions="webvtt"),
}


def write(job: Job, path: Path) -> None:
    """Write the lesson to `path` as a video, in the container its ending names.

    Frame k shows what is seen at sample round(k * 48000 / fps) of the lesson. Units that an export cut short
    had finished are used again.

    Raises
    ------
    SoundError
        If sentences of the lesson could not be spoken.
    """
    job.programme.require_voice()
    kind = _CONTAINERS[path.suffix.lower()]
    look = VideoLook(
        size=SIZES[job.options.size],
        fps=job.options.fps,
        theme=THEMES[job.options.theme],
        format=kind.video,
    )
    keep_heap_small()
    frames = Frames(job.programme, look.fps, burn_captions=job.options.burn_captions)
    with UnitStore(job.fingerprint(look)) as store:
        kept = {unit for unit in frames.units if store.get(unit.start) is not None}
        try:
            with (
                encoded_into(path, kind.name, dict(kind.options)) as container,
                encoded_beside(
                    [each for each in frames.units if each not in kept], frames.scene, look
                ) as fresh,
            ):
                _Muxed(container, kind, job, look).write(_all_of(frames.units, kept, fresh, store))
        except KeyboardInterrupt:
            store.discard()
            raise
        store.discard()


class Frames:
    """The lesson in frames at a constant rate."""

    def __init__(self, programme: Programme, fps: int, *, burn_captions: bool) -> None:
        self._programme = programme
        self._burn_captions = burn_captions
        self.samples_per_frame = Fraction(SAMPLE_RATE, fps)
        self.count = -(-programme.length * fps // SAMPLE_RATE)
        starts = {-(-start * fps // SAMPLE_RATE) for start in programme.starts[:-1]}
        self.units = units(self.scene, self.count, fps, starts)

    def scene(self, number: int) -> Scene:
        """Return what frame `number` shows; captions not burnt in are left to the caption track."""
        scene = self._programme.scene(round(number * self.samples_per_frame))
        return scene if self._burn_captions else replace(scene, caption="")


def _all_of(
    units: Sequence[Unit],
    kept: Collection[Unit],
    fresh: Iterator[tuple[Unit, list[bytes]]],
    store: UnitStore,
) -> Iterator[tuple[Unit, list[bytes]]]:
    """Yield all units with their packets, in order; those that are not kept are from now on."""
    for unit in units:
        if unit in kept:
            packets = store.get(unit.start) or []
        else:
            _, packets = next(fresh)
            store.put(unit.start, packets)
        yield unit, packets


class _Muxed:
    """The streams of one video file, written side by side."""

    def __init__(self, container: OutputContainer, kind: _Container, job: Job, look: VideoLook) -> None:
        self._container = container
        self._job = job
        self._fps = look.fps
        programme = job.programme
        sheet = programme.run_sheet
        language = table(sheet.language, "language")["track"]  # MP4 wants three letters
        container.metadata["title"] = sheet.title
        video = container.add_stream(look.format.codec, rate=look.fps)
        assert isinstance(video, VideoStream)
        # This encoder writes nothing: it tells the container what the units' encoder, set up alike, writes.
        set_up(video.codec_context, look)
        video.metadata["language"] = language  # the clock's words stand in the picture
        self._video = video
        self._sounds = [SoundTrack(container, programme, kind.sound, language=language)]
        self._sounds[0].stream.disposition = Disposition.default
        cues = captions(programme.layouts, programme.starts, language=sheet.language)
        self._texts = [(self._text_stream(kind, language, Disposition.captions), cues)]
        if job.described is not None:
            described = SoundTrack(container, job.described, kind.sound, language=language)
            described.stream.disposition = Disposition.visual_impaired
            self._sounds.append(described)
            stream = self._text_stream(kind, language, Disposition.descriptions)
            self._texts.append((stream, job.described.cues))
        container.set_chapters(
            [
                {
                    "id": number,
                    "start": chapter.start,
                    "end": chapter.end,
                    "time_base": Fraction(1, SAMPLE_RATE),
                    "metadata": {"title": chapter.title},
                }
                for number, chapter in enumerate(chapters(programme.layouts, programme.starts), start=1)
            ]
        )

    def write(self, encoded: Iterator[tuple[Unit, list[bytes]]]) -> None:
        length = self._job.programme.length
        for stream, cues in self._texts:
            self._write_texts(stream, cues)
        for unit, packets in encoded:
            self._write_pictures(unit, packets)
            for sound in self._sounds:
                sound.write_until(unit.stop * SAMPLE_RATE // self._fps)
            self._job.progress(unit.stop * SAMPLE_RATE / self._fps / length)
        for sound in self._sounds:
            sound.write_until(length)
            sound.finish()

    def _text_stream(self, kind: _Container, language: str, disposition: Disposition) -> SubtitleStream:
        stream = self._container.add_stream(kind.captions)
        assert isinstance(stream, SubtitleStream)
        stream.codec_context.subtitle_header = _CAPTION_STYLE
        stream.metadata["language"] = language
        stream.disposition = disposition
        return stream

    def _write_pictures(self, unit: Unit, packets: list[bytes]) -> None:
        for number in range(unit.count):
            packet = av.Packet(packets[number % unit.drawn])
            packet.stream = self._video
            packet.time_base = Fraction(1, self._fps)
            packet.pts = packet.dts = unit.start + number
            packet.duration = 1
            packet.is_keyframe = unit.is_key(number, self._fps)
            self._container.mux_one(packet)

    def _write_texts(self, stream: SubtitleStream, cues: Sequence[Caption]) -> None:
        for cue in cues:
            if stream.codec_context.name == "mov_text":
                text = "\n".join(cue.lines).encode()
                content = len(text).to_bytes(2, "big") + text
            else:
                content = webvtt_text(cue, self._job.programme.run_sheet.language).encode()
            packet = av.Packet(content)
            packet.stream = stream
            packet.time_base = Fraction(1, 1000)
            packet.pts = packet.dts = milliseconds(cue.start_s)
            packet.duration = milliseconds(cue.end_s) - milliseconds(cue.start_s)
            self._container.mux_one(packet)
