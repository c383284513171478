"""What fuzzing has found, each once more, so that it stays mended."""

from __future__ import annotations

import os
import wave
from pathlib import Path

import numpy as np
import pytest

from caller.errors import CallerError, NotFoundError
from caller.export.units import UnitStore
from caller.record.schema import DamagedError
from caller.record.store import Store
from caller.sound.audiofile import read_mono, to_sample_rate
from tests.fuzz.readers import FINGERPRINT, try_reader
from tests.fuzz.seeds import seeds


def test_a_tab_in_a_time_is_not_printed_as_it_stands() -> None:
    """Found by the coverage-guided fuzzer: an unprintable letter went from the script to the terminal."""
    error = try_reader("lesson", b'[worked_example]\ntime = "3\t30"\n[[round]]\ntime = "4:30"\n')
    assert str(error) == (
        'lesson.toml, line 2, column 8: worked_example, time: "3 30" has no colon. '
        'Write "3:30" if that is meant.'
    )


def test_a_command_to_the_terminal_is_not_passed_on() -> None:
    error = CallerError("lesson\x1b[2J.toml\x07\u202e, line 1\nand line 2")
    assert str(error) == "lesson\ufffd[2J.toml\ufffd\ufffd, line 1\nand line 2"
    assert "\x1b" not in str(NotFoundError("\x1b]0;x\x07"))


def test_a_sound_file_of_many_channels_is_refused_before_it_is_read(tmp_path: Path) -> None:
    with wave.open(str(tmp_path / "many.wav"), "wb") as file:
        file.setnchannels(9_000)
        file.setsampwidth(2)
        file.setframerate(48_000)
        file.writeframes(b"\0" * 18_000)
    with pytest.raises(ValueError, match=r"^has 9000 channels, and may have at most 8$"):
        read_mono(tmp_path / "many.wav", longest_s=5.0)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="has no named pipes")
@pytest.mark.timeout(10)
def test_a_pipe_in_place_of_a_sound_file_is_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.wav")
    with pytest.raises(ValueError, match=r"^is not a file$"):
        read_mono(tmp_path / "pipe.wav", longest_s=5.0)


@pytest.mark.timeout(60)
def test_an_odd_sample_rate_needs_no_gigabytes_and_keeps_its_length() -> None:
    """191,999 Hz is prime to 48,000: the exact ratio asked for a filter of 3.8 million taps."""
    samples = to_sample_rate(np.zeros(191_999, np.float32), 191_999)
    assert samples.size == pytest.approx(48_000, abs=2)


def test_a_record_in_whose_damage_sqlite_chokes_is_told_as_damaged(tmp_path: Path) -> None:
    """SQLite's own message quoted the damaged bytes, and could not be decoded."""
    path = tmp_path / "record.sqlite3"
    Store(path).close()
    content = path.read_bytes()
    path.write_bytes(content.replace(b"CREATE INDEX lesson_of_class", b"CREATE INDE\x80 lesson_of_class"))
    with pytest.raises(DamagedError, match=r"^The class record .* is damaged\.$"):
        Store(path)


def test_a_round_with_garbled_words_is_left_out(tmp_path: Path) -> None:
    """Found by reading: a time that is none came through as a traceback."""
    path = tmp_path / "record.sqlite3"
    path.write_bytes(seeds("record")[0])
    with Store(path) as store:
        assert len(store.lessons("Terns")[0].rounds) == 2
        store._connection.execute("UPDATE round SET time = '4:3' WHERE number = 2")
        assert [kept.number for kept in store.lessons("Terns")[0].rounds] == [1]
        for column in ("judgement = 'most of'", "wrong = '[[1, 2]]'", "at_s = 'noon'", "wrong = '{'"):
            store._connection.execute(f"UPDATE round SET {column} WHERE number = 1")
            assert store.lessons("Terns")[0].rounds == ()


def test_what_a_cut_export_left_is_made_again_where_it_is_damaged_inside(tmp_path: Path) -> None:
    """Found by the coverage-guided fuzzer: it opened, and then nothing could be put into it."""
    path = tmp_path / f"{FINGERPRINT}.units"
    content = bytearray(seeds("units")[0])
    content[8192:8194] = b"\xff\xff"  # what kind of page the third one is
    path.write_bytes(content)
    with UnitStore(FINGERPRINT, tmp_path) as store:
        store.put(60, [b"packet"])
        assert store.get(60) == [b"packet"]
