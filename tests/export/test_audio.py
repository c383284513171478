from __future__ import annotations

import io
import re
import shutil
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import av
import numpy as np
import pyloudnorm
import pytest
from numpy.typing import NDArray

from caller.deciding import Side
from caller.export.audio import FORMATS, write
from caller.export.describing import DescribedSound
from caller.export.formats import Job, Options
from caller.export.programme import PROGRAMME_LUFS, Measured, Programme, levelled, measure
from caller.export.video import write as write_video
from caller.export.web import lesson_sound
from caller.runsheet import Countdown, RunSheet
from caller.sound import CEILING_DBTP
from caller.sound.loudness import true_peak_db
from caller.sound.mixing import FAR_GAIN, to_mono

from .conftest import HummingVoice, short_lesson


def heard(path: Path) -> NDArray[np.float32]:
    with av.open(path) as container:
        resampler = av.AudioResampler(format="flt", layout="mono", rate=48_000)
        frames = [one for frame in container.decode(audio=0) for one in resampler.resample(frame)]
        assert "Twenty to" in container.metadata.values()
    return np.concatenate([frame.to_ndarray()[0] for frame in frames])


@pytest.mark.parametrize("suffix", FORMATS)
def test_a_sound_file_holds_the_lesson_at_its_level_in_time(
    programme: Programme, tmp_path: Path, suffix: str
) -> None:
    path = tmp_path / f"lesson{suffix}"
    shares: list[float] = []
    write(Job(programme=programme, progress=shares.append), path)
    sound = heard(path)
    # MP3 and AAC are made of frames of 1,152 and 1,024 samples.
    assert abs(sound.size - programme.length) <= (0 if suffix in {".wav", ".flac"} else 1_152)
    measured = measure([sound])
    assert measured.lufs == pytest.approx(PROGRAMME_LUFS, abs=0.5)
    assert measured.peak_dbtp <= CEILING_DBTP
    meant = np.concatenate(list(levelled(programme.blocks(), programme.measured)))
    count = min(sound.size, meant.size)
    spectrum = np.fft.rfft(sound[:count]) * np.conj(np.fft.rfft(meant[:count]))
    assert np.argmax(np.fft.irfft(spectrum)) == 0
    assert shares[-1] == 1.0
    assert shares == sorted(shares)


def test_descriptions_are_in_the_sound_where_they_are_asked_for(programme: Programme, tmp_path: Path) -> None:
    described = DescribedSound(programme, HummingVoice())
    write(Job(programme=programme, described=described), tmp_path / "lesson.flac")
    meant = np.concatenate(list(levelled(described.blocks(), described.measured)))
    np.testing.assert_allclose(heard(tmp_path / "lesson.flac"), meant, atol=1 / 32_768)


needs_strace = pytest.mark.skipif(
    shutil.which("strace") is None, reason="strace lets calls of the system fail"
)
_ENCODING = """
import sys
from fractions import Fraction
from pathlib import Path
import av, numpy
from caller.export.audio import encoded_into
path = Path(sys.argv[1])
with encoded_into(path, path.suffix[1:], {"movflags": "+faststart"}) as container:
    stream = container.add_stream(sys.argv[2], rate=48_000, layout="mono")
    for start in range(0, 480_000, 48_000):
        block = numpy.ones((1, 48_000), numpy.float32)
        frame = av.AudioFrame.from_ndarray(block, format="flt", layout="mono")
        frame.sample_rate, frame.pts, frame.time_base = 48_000, start, Fraction(1, 48_000)
        container.mux(stream.encode(frame))
    container.mux(stream.encode(None))
"""


def encoded_while(path: Path, codec: str, fails: str) -> tuple[subprocess.CompletedProcess[str], list[str]]:
    """Return what became of encoding ten seconds while calls for that file fail, and those calls."""
    call = fails.split(":", maxsplit=1)[0]
    strace = ["strace", "-f", "-o", f"{path}.calls", "-P", str(path), "-e", f"trace={call}"]
    encode = [sys.executable, "-c", _ENCODING, str(path), codec]
    done = subprocess.run(
        [*strace, "-e", f"inject={fails}", *encode], check=False, capture_output=True, text=True
    )
    return done, Path(f"{path}.calls").read_text().splitlines()


@needs_strace
def test_a_file_whose_opening_a_signal_interrupts_is_opened_all_the_same(tmp_path: Path) -> None:
    """As on a disk of the network: the encoders' library gives up where Python goes on."""
    path = tmp_path / "lesson.mp4"
    done, calls = encoded_while(path, "aac", "openat:error=EINTR:when=1+2")
    assert done.returncode == 0, done.stderr
    interrupted = [call for call in calls if "EINTR" in call]
    assert len(interrupted) == 3, calls  # it is made, written, and read again for its index
    with av.open(path) as container:
        samples = sum(frame.samples for frame in container.decode(audio=0))
    assert samples == pytest.approx(480_000, abs=1_024)


@needs_strace
@pytest.mark.parametrize(("name", "codec"), [("lesson.wav", "pcm_s16le"), ("lesson.mp4", "aac")])
@pytest.mark.parametrize("when", ["1", "2", "1+"])
def test_what_fails_as_it_is_written_is_told_by_its_own_name(
    tmp_path: Path, name: str, codec: str, when: str
) -> None:
    done, calls = encoded_while(tmp_path / name, codec, f"write:error=EIO:when={when}")
    assert "EIO" in "".join(calls)
    assert done.returncode == 1
    assert re.search(r"^\S*OSError: \[Errno 5\]", done.stderr.splitlines()[-1]), done.stderr


_SIDES: tuple[Side, ...] = ("left", "right")


def two_sides() -> RunSheet:
    """The short lesson for two loudspeakers; its question is said of the left, then of the right."""
    sheet = short_lesson()
    question = sheet.calls[1]
    lines = tuple(replace(line, point_to=side) for line, side in zip(question.lines, _SIDES, strict=True))
    calls = (sheet.calls[0], replace(question, lines=lines), *sheet.calls[2:])
    return replace(sheet, calls=calls, voice=replace(sheet.voice, two_loudspeakers=True))


def longer(sheet: RunSheet) -> RunSheet:
    """Return a lesson with time to describe a clock while the class thinks."""
    thinking = Countdown(seconds=40)
    calls = (replace(call, countdown=call.countdown and thinking) for call in sheet.calls)
    return replace(sheet, calls=tuple(calls))


@pytest.mark.parametrize("suffix", [*FORMATS, ".mp4"])
def test_two_loudspeakers_get_left_and_right_at_the_same_level(
    programme_of: Callable[[RunSheet], Programme], tmp_path: Path, suffix: str
) -> None:
    programme = programme_of(two_sides())
    path = tmp_path / f"lesson{suffix}"
    options = Options(size="720p", fps=5)
    (write_video if suffix == ".mp4" else write)(Job(programme=programme, options=options), path)
    with av.open(path) as container:
        assert container.streams.audio[0].channels == 2
        resampler = av.AudioResampler(format="fltp", layout="stereo", rate=48_000)
        frames = [one for frame in container.decode(audio=0) for one in resampler.resample(frame)]
    sound = np.concatenate([frame.to_ndarray() for frame in frames], axis=1)[:, : programme.length]
    # pyloudnorm is another implementation of BS.1770: 0.04 LU low, and lossy formats as above.
    assert pyloudnorm.Meter(48_000).integrated_loudness(sound.T) == pytest.approx(PROGRAMME_LUFS, abs=0.5)
    assert max(true_peak_db(channel) for channel in sound) <= CEILING_DBTP
    spans = programme.layouts[1].spans
    for span, near in zip(spans, (0, 1), strict=True):
        said = sound[:, programme.starts[1] + span.speech_start : programme.starts[1] + span.speech_end]
        lower_db = 20 * np.log10(np.std(said[near]) / np.std(said[1 - near]))
        assert lower_db == pytest.approx(-20 * np.log10(FAR_GAIN), abs=0.3)
    welcome = sound[:, : programme.starts[1]]
    assert np.std(welcome[0] - welcome[1]) < 0.01 * np.std(welcome)


def test_what_is_held_under_the_ceiling_stays_in_its_place() -> None:
    time_s = np.arange(48_000) / 48_000
    loud = np.sin(2 * np.pi * 440 * time_s).astype(np.float32)
    wide = np.stack((loud, 0.5 * loud), axis=1)
    blocks = [wide[:10_000], wide[10_000:10_300], wide[10_300:]]
    held = np.concatenate(list(levelled(blocks, Measured(lufs=-18.0, peak_dbtp=0.0))))
    assert held.shape == wide.shape
    assert max(true_peak_db(channel) for channel in held.T) <= CEILING_DBTP + 0.1
    np.testing.assert_allclose(held[:, 1], 0.5 * held[:, 0], atol=1e-6)


def test_a_page_is_mono_and_the_sum_of_left_and_right(programme_of: Callable[[RunSheet], Programme]) -> None:
    pages = [lesson_sound(programme_of(sheet)) for sheet in (two_sides(), short_lesson())]
    sounds = []
    for page in pages:
        with av.open(io.BytesIO(page), "r") as container:
            assert container.streams.audio[0].channels == 1
            sounds.append(np.concatenate([frame.to_ndarray()[0] for frame in container.decode(audio=0)]))
    summed, plain = sounds
    # What rounds differently at the last bit may be encoded differently: not to be heard at -40 dB.
    assert np.std(summed - plain) < 0.01 * np.std(plain)


def test_a_described_lesson_has_left_and_right_too(programme_of: Callable[[RunSheet], Programme]) -> None:
    described, plain = (
        DescribedSound(programme_of(longer(sheet)), HummingVoice()) for sheet in (two_sides(), short_lesson())
    )
    assert (described.channels, plain.channels) == (2, 1)
    assert described.spoken == plain.spoken > 0
    wide, one = (np.concatenate(list(each.blocks())) for each in (described, plain))
    np.testing.assert_allclose(to_mono(wide), one, atol=2e-6)
