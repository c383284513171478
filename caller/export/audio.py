"""The lesson as a sound file, and its sound encoded as a stream in any container, fed block by block."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import BinaryIO, Final, Protocol

import av
import numpy as np
from av.audio.stream import AudioStream
from av.container.output import OutputContainer
from av.error import PyAVCallbackError
from numpy.typing import NDArray

from caller.export.formats import Job
from caller.export.programme import BLOCK, LOSSY_MARGIN_DB, Measured, levelled
from caller.file_reading import open_regular
from caller.file_writing import fill
from caller.sound import SAMPLE_RATE


@dataclass(frozen=True, slots=True, kw_only=True)
class SoundFormat:
    """What sound is encoded as. A lesson is mono, unless its hall has a loudspeaker on either side."""

    codec: str
    bit_rate: int | None = None
    """Bits per second of one channel; None for formats that lose nothing."""
    margin_db: float = 0.0
    """How far peaks stay below the ceiling before encoding, since encoding may add so much to them."""
    options: tuple[tuple[str, str], ...] = ()
    """What else the encoder is told, by its own names."""


WAV: Final = SoundFormat(codec="pcm_s16le")
FLAC: Final = SoundFormat(codec="flac")
MP3: Final = SoundFormat(codec="libmp3lame", bit_rate=128_000, margin_db=LOSSY_MARGIN_DB)
# At this rate the quick coder left an error 46.6 dB below a lesson's sound, the thorough one 32.4 dB (it puts
# noise of its own in the place of noise) in 2.3 times the processor time. To the peaks it added 0.54 dB, the
# other 1.16.
AAC: Final = SoundFormat(codec="aac", bit_rate=128_000, margin_db=1.2, options=(("aac_coder", "fast"),))
OPUS: Final = SoundFormat(codec="libopus", bit_rate=96_000, margin_db=LOSSY_MARGIN_DB)


class Source(Protocol):
    """Sound from start to end: the lesson's, or the lesson's with descriptions."""

    @property
    def channels(self) -> int:
        """One, or two for left and right."""

    def blocks(self) -> Iterator[NDArray[np.float32]]:
        """Yield the sound, float32, shape (n,) or (n, 2), block by block."""

    @property
    def measured(self) -> Measured:
        """How loud it is, before it is brought to its level."""


class SoundTrack:
    """One stream of a container, with the lesson's sound going into it.

    Parameters
    ----------
    container
        A container that has not begun; the stream is added to it.
    source
        The sound.
    kind
        What it is encoded as.
    """

    def __init__(
        self, container: OutputContainer, source: Source, kind: SoundFormat, *, language: str
    ) -> None:
        self._container = container
        self._blocks: Iterator[NDArray[np.float32]] = levelled(
            source.blocks(), source.measured, margin_db=kind.margin_db
        )
        self._layout = "mono" if source.channels == 1 else "stereo"
        stream = container.add_stream(
            kind.codec, rate=SAMPLE_RATE, options=dict(kind.options), layout=self._layout
        )
        assert isinstance(stream, AudioStream)
        if kind.bit_rate is not None:
            # Left and right have most in common, which encoders save.
            stream.codec_context.bit_rate = kind.bit_rate * (source.channels + 1) // 2
        stream.metadata["language"] = language
        self.stream = stream
        self.written = 0

    def write_until(self, sample: int) -> None:
        """Encode and write whole blocks until `sample` of the lesson is reached."""
        while self.written < sample:
            block = next(self._blocks, None)
            if block is None:
                return
            frame = av.AudioFrame.from_ndarray(block.reshape(1, -1), format="flt", layout=self._layout)
            frame.sample_rate = SAMPLE_RATE
            frame.pts, frame.time_base = self.written, Fraction(1, SAMPLE_RATE)
            self._container.mux(self.stream.encode(frame))
            self.written += len(block)

    def finish(self) -> None:
        """Write what the encoder still holds."""
        self._container.mux(self.stream.encode(None))


@contextlib.contextmanager
def encoded_into(
    path: Path, container_format: str, options: Mapping[str, str] | None = None
) -> Iterator[OutputContainer]:
    """Lend a container whose file Python opens, first and whenever the library opens it once more.

    What a signal interrupts, as on a disk of the network, is done again so (PEP 475); the library gives up.
    """

    def again(_url: str, _flags: int, _options: Mapping[str, str]) -> BinaryIO:
        return open_regular(path)  # only to read what it has written, and move it

    fill(path, b"")
    settings = dict(options or {})
    try:
        with (
            path.open("r+b") as file,
            av.open(file, "w", format=container_format, options=settings, io_open=again) as container,
        ):
            yield container
    except PyAVCallbackError as once_more:
        # As it closes the file, the library tells once more of what failed, and no longer what it was.
        raise once_more.__context__ or once_more from None


FORMATS: Final[dict[str, tuple[str, SoundFormat]]] = {
    ".wav": ("wav", WAV),
    ".flac": ("flac", FLAC),
    ".mp3": ("mp3", MP3),
    ".m4a": ("ipod", AAC),
}
"""The container and the encoding for each ending."""


def write(job: Job, path: Path) -> None:
    """Write the lesson's sound to `path`, in the format its ending names; with descriptions if there are any.

    Raises
    ------
    SoundError
        If sentences of the lesson could not be spoken.
    """
    programme = job.programme
    programme.require_voice()
    container_format, sound_format = FORMATS[path.suffix.lower()]
    with encoded_into(path, container_format) as container:
        container.metadata["title"] = programme.run_sheet.title
        track = SoundTrack(
            container, job.described or programme, sound_format, language=programme.run_sheet.language
        )
        while track.written < programme.length:
            track.write_until(track.written + BLOCK)
            job.progress(track.written / programme.length)
        track.finish()
