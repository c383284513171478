"""A lesson as one file: from one computer to another, and what is refused of a file that is anybody's."""

from __future__ import annotations

import contextlib
import os
import stat
import subprocess
import sys
import wave
from collections.abc import Callable
from io import BytesIO
from pathlib import Path
from zipfile import ZIP_BZIP2, ZIP_DEFLATED, ZipFile, ZipInfo

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from caller.cli import main
from caller.errors import CallerError
from caller.export import lesson_pack
from caller.export.lesson_pack import sentences_of, unpacked
from caller.lesson.library import find_lesson, own_folder, own_lessons
from caller.sound import SAMPLE_RATE, VOICE_LUFS
from caller.sound.kept_voice import from_bytes, to_bytes
from caller.sound.loudness import integrated_lufs
from caller.sound.own_voice import OWN, OwnVoice
from caller.sound.speech import Speech
from caller.sound.tones import built_in_tone, load_tones, own_sounds, own_tones
from tests.sound.test_own_voice import spoken

GULLS = 'title = "Gulls"\nstep = "quarters"\nhall = "our-hall.toml"\n[[round]]\ntime = "4:45"\n'
LIST = '[beep]\nfile = "our bell.wav"\nlevel_lu = -3.0\nsays = "Our bell"\n'


def at_computer(name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for variable in ("XDG_DATA_HOME", "LOCALAPPDATA"):
        monkeypatch.setenv(variable, str(tmp_path / name))


def bell(hertz: float, rate: int = 44_100) -> bytes:
    time_s = np.arange(rate // 5) / rate
    samples = np.rint(9_000 * np.sin(2 * np.pi * hertz * time_s) * np.exp(-8 * time_s)).astype("<i2")
    content = BytesIO()
    with wave.open(content, "wb") as file:
        file.setparams((1, 2, rate, 0, "NONE", ""))
        file.writeframes(samples.tobytes())
    return content.getvalue()


@pytest.fixture
def packed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A lesson with a hall, a bell and two recordings, packed on one computer; we sit at another."""
    at_computer("mine", tmp_path, monkeypatch)
    script = tmp_path / "gulls.toml"
    script.write_text(GULLS, encoding="utf-8")
    (tmp_path / "our-hall.toml").write_text('like = "gym"\n', encoding="utf-8")
    own_sounds().mkdir(parents=True)
    (own_sounds() / "manifest.toml").write_text(LIST, encoding="utf-8")
    (own_sounds() / "our bell.wav").write_bytes(bell(700))
    own = OwnVoice()
    for said in sentences_of(script)[:2]:
        # Far too loud: whatever comes from elsewhere is brought to the loudness of every voice here.
        own.keep(said, Speech(samples=np.clip(8 * spoken(said[0], rate=SAMPLE_RATE), -0.9, 0.9), voice=OWN))
    to = tmp_path / "monday.zip"
    assert main(["lessons", "pack", str(script), "--to", str(to), "--own-voice"]) == 0
    at_computer("yours", tmp_path, monkeypatch)
    return to


def test_a_lesson_goes_to_another_computer_with_all_that_it_needs(
    packed: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    before = packed.read_bytes()
    at_computer("mine", tmp_path, monkeypatch)
    again = ["lessons", "pack", str(tmp_path / "gulls.toml"), "--to", str(packed), "--own-voice", "--replace"]
    assert main(again) == 0
    assert packed.read_bytes() == before
    at_computer("yours", tmp_path, monkeypatch)
    told = capsys.readouterr()
    assert told.out == (
        f"Wrote {packed}, with 1 tone of your own and 2 recordings. "
        "See that you may pass on what you did not make.\n"
    )
    assert "for an adult to decide" in told.err
    assert main(["lessons", "take", str(packed), "--tones", "--own-voice"]) == 0
    assert capsys.readouterr().out == (
        "The lesson monday is among your own, with 1 tone and 2 recordings. "
        "Lead it with `hall-caller run monday`.\n"
    )
    assert find_lesson("monday").read_text(encoding="utf-8") == GULLS
    assert list(own_lessons()) == ["monday"]  # its hall beside it is no lesson
    assert main(["show", "monday"]) == 0
    assert load_tones()["beep"].says == "Our bell"
    assert list(own_tones()) == ["beep"]
    own = OwnVoice()
    for said in sentences_of(find_lesson("monday"))[:2]:
        clip = own.get(said)
        assert clip is not None
        assert integrated_lufs(clip.samples) == pytest.approx(VOICE_LUFS, abs=0.2)
    # The same once more changes nothing, and is no mistake.
    assert main(["lessons", "take", str(packed), "--tones"]) == 0


def test_tones_and_voices_come_only_where_they_are_asked_for(
    packed: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    capsys.readouterr()
    assert main(["lessons", "take", str(packed)]) == 0
    assert (
        "left in the file: 1 tone (add --tones) and 2 recordings (add --own-voice)" in capsys.readouterr().out
    )
    assert not own_sounds().exists()
    assert len(OwnVoice()) == 0
    at_computer("mine", tmp_path, monkeypatch)
    assert main(["lessons", "pack", str(tmp_path / "gulls.toml"), "--to", str(tmp_path / "plain.zip")]) == 0
    with ZipFile(tmp_path / "plain.zip") as file:
        assert sorted(file.namelist()) == [
            "hall.toml",
            "lesson.toml",
            "sounds/beep.wav",
            "sounds/manifest.toml",
        ]
        assert b"gulls" not in b"".join(
            map(file.read, file.namelist())
        )  # no name of a file or folder of mine


def test_an_ordinary_reader_of_archives_finds_it_whole(packed: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "zipfile", "-t", str(packed)], check=True, capture_output=True, text=True
    )
    assert "Done testing" in done.stdout
    content = packed.read_bytes()
    assert lesson_pack.unpacked(packed).name == "monday"
    assert content[:4] == b"PK\x03\x04"  # APPNOTE.TXT 4.3.7: a local file header


def test_nothing_of_ones_own_is_written_over(packed: Path, capsys: pytest.CaptureFixture[str]) -> None:
    own_folder().mkdir(parents=True)
    (own_folder() / "monday.toml").write_text("mine", encoding="utf-8")
    assert main(["lessons", "take", str(packed)]) == 2
    assert "monday.toml" in (told := capsys.readouterr().err)
    assert "is there already" in told
    assert sorted(path.name for path in own_folder().iterdir()) == ["monday.toml"]
    (own_folder() / "monday.toml").unlink()
    own_sounds().mkdir(parents=True)
    (own_sounds() / "manifest.toml").write_text('# mine\n[tick]\nfile = "t.wav"\n' + LIST, encoding="utf-8")
    for name, hertz in (("t.wav", 300), ("our bell.wav", 400)):
        (own_sounds() / name).write_bytes(bell(hertz))
    assert main(["lessons", "take", str(packed), "--tones"]) == 2
    assert 'There is a tone "beep" of your own already' in capsys.readouterr().err
    OwnVoice().keep(("Hello.", "en-GB"), Speech(samples=spoken("Hello."), voice=OWN))
    assert main(["lessons", "take", str(packed), "--own-voice"]) == 2
    assert "There are recordings of a voice here already" in capsys.readouterr().err
    assert not own_lessons()
    assert main(["lessons", "take", str(packed), "--tones", "--own-voice", "--replace"]) == 0
    text = (own_sounds() / "manifest.toml").read_text(encoding="utf-8")
    assert text.startswith('# mine\n[tick]\nfile = "t.wav"\n')  # what is not replaced stays as it was written
    assert sorted(own_tones()) == ["beep", "tick"]
    assert len(OwnVoice()) == 3


def test_a_ready_lesson_is_not_hidden_by_a_packed_one(
    packed: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["lessons", "take", str(packed.rename(packed.with_name("demo.zip")))]) == 2
    assert 'There is a ready lesson "demo"' in capsys.readouterr().err


def entry(name: str, *, mode: int = stat.S_IFREG | 0o600, kind: int = ZIP_DEFLATED) -> ZipInfo:
    made = ZipInfo(name)
    made.external_attr, made.compress_type = mode << 16, kind
    return made


def _hostile(*more: tuple[ZipInfo | str, bytes]) -> Callable[[ZipFile], None]:
    def fill(file: ZipFile) -> None:
        file.writestr("lesson.toml", GULLS.replace("our-hall.toml", "gym"))
        for each, content in more:
            file.writestr(each, content)

    return fill


@pytest.mark.parametrize(
    ("fill", "told"),
    [
        (_hostile(("../../lesson.toml", b"")), "does not belong there"),
        (_hostile(("/etc/cron.d/x", b"")), "does not belong there"),
        (_hostile(("sounds\\..\\beep.wav", b"")), "does not belong there"),
        (_hostile(("own-voice/../lesson.toml", b"")), "does not belong there"),
        (_hostile(("sounds/", b"")), "does not belong there"),
        (_hostile(("start.exe", b"MZ")), "does not belong there"),
        (_hostile((entry("hall.toml", mode=stat.S_IFLNK | 0o777), b"/etc/passwd")), "does not belong there"),
        (_hostile((entry("hall.toml", mode=stat.S_IFIFO | 0o600), b"")), "does not belong there"),
        (_hostile((entry("hall.toml", kind=ZIP_BZIP2), b"")), "does not belong there"),
        (_hostile(("hall.toml", b"#" * 256_001)), "too large"),
        (_hostile(("hall.toml", b'like = "gym"')), "not the one that its lesson names"),
        (_hostile(*((f"own-voice/{n:064x}.clip", b"") for n in range(1_000))), "too much is in it"),
        (_hostile(("sounds/beep.wav", bytes(30_000_001))), "too large"),
        (_hostile(("sounds/manifest.toml", b'[beep]\nfile = "/etc/passwd"')), "its tones cannot be used"),
        (
            _hostile(("sounds/manifest.toml", b"[beep]\n"), ("sounds/beep.wav", b"RIFF")),
            "its tones cannot be used",
        ),
        (lambda file: file.writestr("hall.toml", b""), "there is no lesson in it"),
        (lambda file: file.writestr("lesson.toml", b"\xff\xfe"), "UTF-8"),
        (lambda file: file.writestr("lesson.toml", GULLS), 'its hall "our-hall.toml" is not in the file'),
    ],
)
def test_what_may_not_be_in_it_is_refused_and_nothing_is_written(
    fill: Callable[[ZipFile], None],
    told: str,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    at_computer("yours", tmp_path, monkeypatch)
    path = tmp_path / "friday.zip"
    with ZipFile(path, "w", ZIP_DEFLATED) as file:
        fill(file)
    assert main(["lessons", "take", str(path), "--tones", "--own-voice"]) == 2
    assert told in capsys.readouterr().err
    assert not (tmp_path / "yours").exists()


def test_the_same_name_twice_and_a_password_are_refused(
    packed: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    content = packed.read_bytes()
    with pytest.warns(UserWarning, match="Duplicate"), ZipFile(packed, "a") as file:
        file.writestr("lesson.toml", GULLS)
    assert main(["lessons", "take", str(packed)]) == 2
    assert "something is in it twice" in capsys.readouterr().err
    central = content.index(b"PK\x01\x02")
    packed.write_bytes(content[: central + 8] + b"\x01" + content[central + 9 :])  # 4.4.4: bit 0, encrypted
    assert main(["lessons", "take", str(packed)]) == 2
    assert "was not taken in" in capsys.readouterr().err


def test_a_recording_of_another_sentence_is_left_out(
    packed: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with ZipFile(packed) as file:
        clip = next(file.read(name) for name in file.namelist() if name.endswith(".clip"))
    assert to_bytes(from_bytes(clip)) == clip
    with ZipFile(packed, "a") as file:
        file.writestr(f"own-voice/{0:064x}.clip", clip)
    capsys.readouterr()
    assert main(["lessons", "take", str(packed), "--own-voice"]) == 0
    assert "with 2 recordings; left in the file: 1 tone (add --tones); 1 recording could not be used." in (
        capsys.readouterr().out
    )


@given(data=st.data())
def test_a_damaged_file_is_one_sentence(
    data: st.DataObject, tmp_path_factory: pytest.TempPathFactory
) -> None:
    whole = BytesIO()
    with ZipFile(whole, "w", ZIP_DEFLATED) as file:
        file.writestr("lesson.toml", GULLS.replace("our-hall.toml", "gym"))
    content = bytearray(whole.getvalue())
    for _ in range(data.draw(st.integers(1, 4))):
        content[data.draw(st.integers(0, len(content) - 1))] = data.draw(st.integers(0, 255))
    path = tmp_path_factory.getbasetemp() / "damaged.zip"
    path.write_bytes(bytes(content[: data.draw(st.integers(0, len(content)))]))
    with contextlib.suppress(CallerError):  # any other error fails
        assert unpacked(path).name == "damaged"


def test_a_tone_of_the_programs_own_is_nobodys(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    at_computer("mine", tmp_path, monkeypatch)
    assert own_tones() == {}
    assert load_tones()["beep"].says == built_in_tone("beep").says


@pytest.mark.skipif(os.name != "posix", reason="Windows has no such permissions")
def test_what_was_taken_in_is_for_this_user_alone(packed: Path) -> None:
    assert main(["lessons", "take", str(packed), "--tones", "--own-voice"]) == 0
    base = own_folder().parent
    assert {path.stat().st_mode & 0o077 for path in base.rglob("*")} == {0}
