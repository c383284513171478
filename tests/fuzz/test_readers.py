"""Files from strangers: whatever they hold, the program reads them or says one clear thing."""

from __future__ import annotations

import hashlib
import json
import os
import re
import sys
from pathlib import Path

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from caller.clock import ClockTime
from caller.errors import MachineError
from caller.lesson import Lesson
from caller.lesson.writing import lesson_to_text
from caller.record import Offered, RoundKept
from caller.record.store import Store
from caller.screen.keytable import digit_of, label_of
from tests.fuzz.readers import READERS, try_reader
from tests.fuzz.seeds import seeds
from tests.lesson.strategies import tables
from tests.sampling import EXAMPLES

MANY = settings(max_examples=2 * EXAMPLES, deadline=None)
FEW = settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])


@st.composite
def changed(draw: st.DrawFn, content: bytes) -> bytes:
    """Draw `content` with pieces taken out, doubled, swapped for others, or overwritten."""
    for _ in range(draw(st.integers(1, 6))):
        start = draw(st.integers(0, len(content)))
        stop = min(start + draw(st.integers(0, 40)), len(content))
        piece = draw(
            st.one_of(
                st.binary(max_size=8),
                st.text(max_size=12).map(lambda text: text.encode("utf-8", "surrogatepass")),
                st.sampled_from((b"", b'"', b"[[", b"]]", b"=", b"\n", b"1e999", b"-1", b"nan", b"\\u001b")),
                st.just(content[start:stop] * 2),
            )
        )
        content = content[:start] + piece + content[stop:]
    return content


@pytest.mark.parametrize("reader", READERS)
@given(data=st.data())
@MANY
def test_a_good_file_with_changes_is_read_or_refused_in_clear_sentences(
    reader: str, data: st.DataObject
) -> None:
    try_reader(reader, data.draw(changed(data.draw(st.sampled_from(seeds(reader))))))


@pytest.mark.parametrize("reader", READERS)
@given(content=st.binary(max_size=300))
@MANY
def test_any_bytes_are_read_or_refused_in_clear_sentences(reader: str, content: bytes) -> None:
    try_reader(reader, content)


@pytest.mark.parametrize("reader", READERS)
def test_the_good_files_are_good(reader: str) -> None:
    assert [try_reader(reader, content) for content in seeds(reader)] == [None] * len(seeds(reader))


@given(lesson=tables(Lesson))
@settings(max_examples=60, deadline=None)
def test_any_lesson_that_can_be_written_becomes_a_run_sheet_or_says_why_not(lesson: Lesson) -> None:
    try_reader("lesson", lesson_to_text(lesson).encode())


@given(
    about=st.dictionaries(
        st.sampled_from(("format", "rate", "count", "onset", "voice", "words")),
        st.one_of(
            st.none(),
            st.booleans(),
            st.integers(),
            st.floats(),
            st.text(max_size=5),
            st.lists(st.integers(), max_size=3),
        ),
    ),
    data=st.binary(max_size=64),
)
@example(about={"onset": float("inf")}, data=b"")
@example(about={"onset": float("nan")}, data=b"")
@example(about={"onset": 10**400}, data=b"\0\0")
@example(about={"words": [[float("inf"), 0, 1]]}, data=b"\0\0")
@example(about={"words": [[0.0, float("inf"), 1]]}, data=b"\0\0")
@MANY
def test_a_clip_whose_checksum_fits_but_whose_facts_do_not_is_damaged_at_worst(
    about: dict[str, object], data: bytes
) -> None:
    about = {
        "format": 2,
        "rate": 48_000,
        "count": len(data) // 2,
        "onset": 0,
        "voice": "",
        "words": None,
    } | about
    checksum = hashlib.sha256(json.dumps(about, sort_keys=True).encode() + data).hexdigest()
    try_reader("clip", json.dumps(about | {"sha256": checksum}).encode() + b"\n" + data)


@given(data=st.data())
@FEW
def test_a_damaged_record_is_told_as_damaged_or_read(data: st.DataObject, tmp_path: Path) -> None:
    path = tmp_path / "record.sqlite3"
    for old in tmp_path.glob("record*"):
        old.unlink()
    offered = (Offered(time=ClockTime(3, 30), mixups=frozenset({"hands-swapped"})),)
    kept = RoundKept(
        number=1,
        part="round",
        at_s=2.0,
        question="read",
        step="quarters",
        time=ClockTime(4, 30),
        wrong=offered,
    )
    with Store(path) as store:
        number = store.begin(
            class_name="Terns",
            title="T",
            began_s=1.0,
            planned_s=60.0,
            stand_in=False,
            run_sheet="{}",
            branches="{}",
        )
        store.keep(number, kept)
    content = bytearray(path.read_bytes())
    for _ in range(data.draw(st.integers(1, 30))):
        start = data.draw(st.integers(0, len(content) - 1))
        piece = data.draw(st.binary(min_size=1, max_size=64))
        content[start : start + len(piece)] = piece
    path.write_bytes(content[: data.draw(st.integers(0, len(content)))])
    error = None
    try:
        with Store(path) as store:
            for name in store.classes():
                store.lessons(name)
            store.unfinished()
    except MachineError as told:
        error = told
    assert error is None or "\n" not in str(error)


@given(name=st.text(max_size=30))
@MANY
def test_any_key_means_something_or_nothing(name: str) -> None:
    assert isinstance(label_of(name), str)
    assert digit_of(name) is None or digit_of(name) in range(10)


@pytest.mark.skipif(sys.platform != "linux", reason="reads /proc")
def test_hostile_files_stay_within_the_memory_that_is_allowed(tmp_path: Path) -> None:
    """200 MB for the whole process, measured in a process of its own."""
    import subprocess

    program = (
        "import sys\n"
        "from pathlib import Path\n"
        "from caller.errors import CallerError\n"
        "from caller.lesson.library import read_lesson\n"
        "from caller.sound.tones import load_tones\n"
        "for path in sys.argv[2:]:\n"
        "    try:\n"
        "        read_lesson(Path(path))\n"
        "    except CallerError as error:\n"
        "        assert len(str(error)) < 20_000\n"
        "load_tones(Path(sys.argv[1]))\n"
        # Not ru_maxrss, which begins with what the process that started this one held.
        "status = Path('/proc/self/status').read_text()\n"
        "print(int(status.split('VmHWM:')[1].split()[0]) // 1024)\n"
    )
    huge = {
        "nested.toml": b"a = " + b"[" * 250_000,
        "tables.toml": b"[[round]]\n" * 25_000,
        "dots.toml": b"a" + b".a" * 120_000 + b" = 1",
        "keys.toml": b"".join(b"k%d = 1\n" % number for number in range(20_000)),
        "long.toml": b'title = "' + b"x" * 250_000 + b'"',
        "number.toml": b"seed = " + b"9" * 250_000,
        "too-long.toml": b"#" * 5_000_000,
    }
    for name, content in huge.items():
        (tmp_path / name).write_bytes(content)
    sounds = tmp_path / "sounds"
    sounds.mkdir()
    (sounds / "manifest.toml").write_text('[beep]\nfile = "beep.wav"\n')
    rate, channels = 191_999, 8
    frames = rate * 4
    header = (
        b"RIFF"
        + (36 + frames * channels * 2).to_bytes(4, "little")
        + b"WAVEfmt "
        + (16).to_bytes(4, "little")
    )
    header += (1).to_bytes(2, "little") + channels.to_bytes(2, "little") + rate.to_bytes(4, "little")
    header += (
        (rate * channels * 2).to_bytes(4, "little")
        + (channels * 2).to_bytes(2, "little")
        + (16).to_bytes(2, "little")
    )
    header += b"data" + (frames * channels * 2).to_bytes(4, "little")
    (sounds / "beep.wav").write_bytes(header + os.urandom(2) * (frames * channels))
    done = subprocess.run(
        [sys.executable, "-c", program, str(sounds), *(str(tmp_path / name) for name in huge)],
        capture_output=True,
        text=True,
        timeout=120,
        check=True,
    )
    assert int(done.stdout) <= 200


@pytest.mark.parametrize(
    "hall", ["/etc/passwd", "../hall.toml", "..", "hall/../../x", "C:\\x", "a\0b", "~/hall"]
)
def test_a_script_names_no_file_outside_its_folder(hall: str) -> None:
    error = try_reader("lesson", f'hall = {json.dumps(hall)}\n[[round]]\ntime = "4:30"\n'.encode())
    assert error is not None
    assert "is not a file's name" in str(error)


@pytest.mark.parametrize(
    "text", ["<audio src='x'/>", "[[rate 20]]", "a{b}", "back\\slash", "\u001b[2J", "\0"]
)
def test_a_script_holds_no_speech_markup_and_no_commands_to_a_terminal(text: str) -> None:
    error = try_reader("lesson", f'title = {json.dumps(text)}\n[[round]]\ntime = "4:30"\n'.encode())
    assert error is not None
    assert re.search(r"bracket, a backslash or an unseen letter", str(error))
