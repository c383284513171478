from __future__ import annotations

import re
import shutil
import subprocess
import sys
from pathlib import Path

import av
import numpy as np
import pytest
from numpy.typing import NDArray

from caller.export.audio import FORMATS, write
from caller.export.describing import DescribedSound
from caller.export.formats import Job
from caller.export.programme import PROGRAMME_LUFS, Programme, levelled, measure
from caller.sound import CEILING_DBTP

from .conftest import HummingVoice


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
