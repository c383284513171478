"""The tones carry in a hall, and a teacher's own files are taken or kindly refused."""

from __future__ import annotations

import importlib.util
import wave
from pathlib import Path

import numpy as np
import pytest
import soundfile
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from caller import paths
from caller.errors import CallerError, NotFoundError, ScriptError
from caller.sound import SAMPLE_RATE, TONE_CEILING_DBTP, VOICE_LUFS, to_gain
from caller.sound.loudness import loudest_rms_db, true_peak_db
from caller.sound.tone_recipes import RECIPES, Note, synthesise
from caller.sound.tones import BEAT, ToneEntry, built_in_tone, load_tones, read_manifest, read_tone


def write_tone(
    path: Path,
    *,
    rate: int = 48_000,
    subtype: str = "PCM_16",
    channels: int = 1,
    hz: float = 750.0,
    seconds: float = 0.3,
) -> None:
    time_s = np.arange(round(seconds * rate)) / rate
    sound = 0.4 * np.sin(2 * np.pi * hz * time_s) * np.hanning(time_s.size)
    soundfile.write(path, np.repeat(sound[:, None], channels, axis=1), rate, subtype=subtype)


def strongest_hz(samples: NDArray[np.float32]) -> float:
    size = 1 << 18
    spectrum = np.abs(np.fft.rfft(samples * np.hanning(samples.size), size))
    return float(np.argmax(spectrum)) * SAMPLE_RATE / size


def test_the_packaged_folder_is_used_whole_and_without_a_warning() -> None:
    warned: list[str] = []
    tones = load_tones(warn=warned.append)
    assert warned == []
    assert list(tones) == list(RECIPES)
    for name, tone in tones.items():
        assert tone.level_db == pytest.approx(VOICE_LUFS + RECIPES[name].level_lu, abs=0.01)
        assert true_peak_db(tone.samples) <= TONE_CEILING_DBTP
        assert tone.peak == pytest.approx(to_gain(true_peak_db(tone.samples)))
        assert tone.duration_s == pytest.approx(built_in_tone(name).duration_s, abs=0.003)
        assert not tone.samples.flags.writeable


def test_the_packaged_files_are_what_the_script_writes(tmp_path: Path) -> None:
    script = paths.packaged("sounds") / "make.py"
    spec = importlib.util.spec_from_file_location("make_sounds", script)
    assert spec is not None
    assert spec.loader is not None
    make = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(make)
    make.main(tmp_path)
    for name in RECIPES:
        with (
            wave.open(str(tmp_path / f"{name}.wav")) as made,
            wave.open(str(script.with_name(f"{name}.wav"))) as kept,
        ):
            assert made.getparams() == kept.getparams()
            ours, theirs = (
                np.frombuffer(f.readframes(f.getnframes()), "<i2").astype(int) for f in (made, kept)
            )
            assert np.abs(ours - theirs).max() <= 1, "one step of 16 bits, for another machine's sine"


def test_the_manifest_says_what_the_recipes_say() -> None:
    entries = read_manifest(paths.packaged("sounds") / "manifest.toml")
    assert {name: (entry.level_lu, entry.says) for name, entry in entries.items()} == {
        name: (recipe.level_lu, recipe.says) for name, recipe in RECIPES.items()
    }


@pytest.mark.parametrize("name", [name for name in RECIPES if name != "sound-check"])
def test_every_tone_has_the_pitch_harmonics_ramps_and_length_that_carry_in_a_hall(name: str) -> None:
    notes = [part for part in RECIPES[name].parts if isinstance(part, Note)]
    for note in notes:
        # "Time's up" is the octave of the beep, still under the 1500 Hz of ISO 7731 for protected or
        # impaired hearing.
        assert 600 <= note.fundamental_hz <= (1_500 if name == "time-up" else 1_000)
        assert len(note.harmonics_db) >= 3
        assert 0.005 <= note.ramp_s <= 0.020
        assert note.duration_s >= 0.2


def test_the_last_cue_is_an_octave_up_and_longer() -> None:
    beep, time_up = built_in_tone("beep"), built_in_tone("time-up")
    assert strongest_hz(time_up.samples) / strongest_hz(beep.samples) == pytest.approx(2.0, rel=0.005)
    assert time_up.duration_s >= 0.6
    assert time_up.level_db > beep.level_db


def test_a_beep_does_not_click() -> None:
    # hall.md's own computation: with ramps of 5 ms or more, a 200 ms tone has under -100 dB of its energy
    # above 4 kHz.  Ours has harmonics, so only what lies above the highest of them may be compared.
    beep = synthesise(RECIPES["beep"]).astype(np.float64)
    energy = np.abs(np.fft.rfft(beep)) ** 2
    hertz = np.fft.rfftfreq(beep.size, 1 / SAMPLE_RATE)
    assert 10 * np.log10(energy[hertz > 8_000].sum() / energy.sum()) < -100


@pytest.mark.parametrize("subtype", ["PCM_16", "PCM_24", "PCM_32", "FLOAT", "DOUBLE", "PCM_U8"])
@pytest.mark.parametrize(
    ("rate", "channels"), [(48_000, 1), (44_100, 2), (22_050, 1), (96_000, 2), (8_000, 1)]
)
def test_a_teachers_file_of_any_usual_kind_is_brought_to_pitch_and_level(
    subtype: str, rate: int, channels: int, tmp_path: Path
) -> None:
    write_tone(tmp_path / "bell.wav", rate=rate, subtype=subtype, channels=channels)
    tone = read_tone(tmp_path, "beep", ToneEntry(file="bell.wav", level_lu=-6.0, says="Ding"))
    assert strongest_hz(tone.samples) == pytest.approx(750.0, abs=1.0)
    assert loudest_rms_db(tone.samples) == pytest.approx(VOICE_LUFS - 6.0, abs=0.01)
    assert (tone.name, tone.says) == ("beep", "Ding")


def test_silence_before_a_teachers_tone_is_cut_so_that_it_sounds_on_time(tmp_path: Path) -> None:
    late = np.concatenate((np.zeros(24_000), 0.5 * np.sin(2 * np.pi * 800 * np.arange(14_400) / 48_000)))
    soundfile.write(tmp_path / "late.wav", late, 48_000)
    tone = read_tone(tmp_path, "beep", ToneEntry(file="late.wav", level_lu=-3.0, says=""))
    assert tone.duration_s == pytest.approx(0.3, abs=0.001)
    assert abs(float(tone.samples[0])) < 0.001, "cut in the middle of a sound, it is faded in"


def test_a_spiky_tone_is_held_under_the_ceiling(tmp_path: Path) -> None:
    clicks = np.zeros(24_000)
    clicks[100:24_000:2_400] = 0.9
    soundfile.write(tmp_path / "clicks.wav", clicks, 48_000)
    tone = read_tone(tmp_path, "tick", ToneEntry(file="clicks.wav", level_lu=3.0, says=""))
    assert true_peak_db(tone.samples) <= TONE_CEILING_DBTP + 0.001


def test_what_cannot_be_used_is_told_in_one_sentence(tmp_path: Path) -> None:
    files = {
        "text.wav": b"not sound at all",
        "empty.wav": b"",
        "cut.wav": (paths.packaged("sounds") / "beep.wav").read_bytes()[:50],
    }
    for name, content in files.items():
        (tmp_path / name).write_bytes(content)
    soundfile.write(tmp_path / "silent.wav", np.zeros(48_000), 48_000)
    soundfile.write(tmp_path / "nan.wav", np.full(48_000, np.nan, np.float32), 48_000, subtype="FLOAT")
    soundfile.write(tmp_path / "click.wav", np.r_[np.zeros(100), 0.5, np.zeros(100)], 48_000)
    write_tone(tmp_path / "long.wav", seconds=6.0)
    write_tone(tmp_path / "many.wav", channels=12, subtype="PCM_24")
    mending = "use a WAV file of 0.05 to 5 s."
    expected = {
        "text.wav": f"is not a sound file that can be read; {mending}",
        "empty.wav": f"is not a sound file that can be read; {mending}",
        "cut.wav": f"is silent; {mending}",
        "silent.wav": f"is silent; {mending}",
        "nan.wav": f"is silent; {mending}",
        "click.wav": f"sounds for only 0.000 s; {mending}",
        "long.wav": f"lasts 6.0 s, and may last at most 5 s; {mending}",
        "many.wav": f"has 12 channels, and may have at most 8; {mending}",
        "gone.wav": "cannot be read (No such file or directory); "
        "put the file there, or name another in manifest.toml.",
    }
    told = {}
    for name in expected:
        with pytest.raises(ScriptError) as caught:
            read_tone(tmp_path, "beep", ToneEntry(file=name, level_lu=0.0, says=""))
        told[name] = str(caught.value).removeprefix(f"{tmp_path / name}: ")
    assert told == expected


FILE_MENDING = 'is not a file\'s name. Name a file in the same folder, like "hall.toml".'


@pytest.mark.parametrize(
    ("written", "told"),
    [
        ("[bep]", "line 1, column 1: bep: there is no such key. Did you mean beep?"),
        (
            "beep = 3",
            (
                "line 1, column 8: beep: this needs named values. "
                "Write it as a heading, [beep], with keys below."
            ),
        ),
        (
            "[beep]\nvolume = 3",
            (
                "line 2, column 1: beep, volume: there is no such key. "
                "Take it out, or use one of file, level_lu, says."
            ),
        ),
        ("[beep]\nfile = '../secret.wav'", f'line 2, column 8: beep, file: "../secret.wav" {FILE_MENDING}'),
        ("[beep]\nfile = '/etc/passwd'", f'line 2, column 8: beep, file: "/etc/passwd" {FILE_MENDING}'),
        ("[beep]\nfile = '..'", f'line 2, column 8: beep, file: ".." {FILE_MENDING}'),
        ("[beep]\nfile = 7", f"line 2, column 8: beep, file: 7 {FILE_MENDING}"),
        (
            "[beep]\nlevel_lu = 40",
            "line 2, column 12: beep, level_lu: 40 is outside what this may be. Choose from -30 to 3 LU.",
        ),
        (
            "[beep]\nlevel_lu = nan",
            "line 2, column 12: beep, level_lu: nan is outside what this may be. Choose from -30 to 3 LU.",
        ),
        (
            "[beep]\nlevel_lu = true",
            (
                "line 2, column 12: beep, level_lu: this needs a number, and has true. "
                "Write a number like -30, without quotes."
            ),
        ),
        (
            "[beep]\nsays = 1",
            (
                "line 2, column 8: beep, says: this needs words, and has 1. "
                'Put it in straight quotes, like "Terns".'
            ),
        ),
        ("[beep", "line 1, column 1: this heading is not closed. Write it like [voice]."),
    ],
)
def test_a_mistake_in_the_manifest_is_told_with_its_mending_and_no_tone_is_lost(
    written: str, told: str, tmp_path: Path
) -> None:
    path = tmp_path / "manifest.toml"
    path.write_text(written)
    with pytest.raises(ScriptError) as caught:
        read_manifest(path)
    assert str(caught.value) == f"{path.name}, {told}"
    warned: list[str] = []
    tones = load_tones(tmp_path, warn=warned.append)
    assert warned == [f"{path.name}, {told} The built-in tones sound instead."]
    assert list(tones) == list(RECIPES)


def test_a_missing_folder_costs_a_warning_and_no_tone(tmp_path: Path) -> None:
    warned: list[str] = []
    tones = load_tones(tmp_path / "gone", warn=warned.append)
    path = tmp_path / "gone" / "manifest.toml"
    assert warned == [
        (f"There is no file {path}. Check its name and its folder. The built-in tones sound instead.")
    ]
    assert all(tone.samples.any() for tone in tones.values())
    with pytest.raises(NotFoundError):
        read_manifest(path)


def test_one_bad_file_costs_its_own_tone_only(tmp_path: Path) -> None:
    write_tone(tmp_path / "bell.wav")
    (tmp_path / "manifest.toml").write_text('[beep]\nfile = "bell.wav"\n[tick]\nfile = "gone.wav"\n')
    warned: list[str] = []
    tones = load_tones(tmp_path, warn=warned.append)
    assert len(warned) == 1
    assert strongest_hz(tones["beep"].samples) == pytest.approx(750.0, abs=1.0)
    np.testing.assert_array_equal(tones["tick"].samples, built_in_tone("tick").samples)


@given(content=st.binary(max_size=200) | st.text(max_size=100).map(lambda text: f"[beep]\n{text}".encode()))
def test_any_manifest_is_read_or_told(content: bytes, tmp_path_factory: pytest.TempPathFactory) -> None:
    path = tmp_path_factory.getbasetemp() / "manifest.toml"
    path.write_bytes(content)
    try:
        read_manifest(path)
    except CallerError as error:
        told = str(error)
        assert told.startswith(f"{path.name}, line ")


@given(
    cut=st.integers(0, 300), spoilt=st.lists(st.tuples(st.integers(0, 299), st.integers(0, 255)), max_size=6)
)
def test_any_damaged_wav_is_read_or_told(
    cut: int, spoilt: list[tuple[int, int]], tmp_path_factory: pytest.TempPathFactory
) -> None:
    folder = tmp_path_factory.getbasetemp()
    content = bytearray((paths.packaged("sounds") / "beep.wav").read_bytes()[: 300 if cut else None])
    for place, value in spoilt:
        content[place] = value
    (folder / "spoilt.wav").write_bytes(content[: len(content) - cut] if cut else content)
    try:
        tone = read_tone(folder, "beep", ToneEntry(file="spoilt.wav", level_lu=0.0, says=""))
    except ScriptError as error:
        told = str(error)
        assert told.startswith(f"{folder / 'spoilt.wav'}: ")
    else:
        assert np.isfinite(tone.samples).all()


def test_a_teachers_own_loop_is_the_beat_and_one_that_cannot_be_used_is_told(tmp_path: Path) -> None:
    assert BEAT not in load_tones()
    told: list[str] = []
    manifest = tmp_path / "manifest.toml"
    manifest.write_text('[beat]\nfile = "own.wav"\nbpm = 124\nlevel_lu = -9.0\n', encoding="utf-8")
    assert BEAT not in load_tones(tmp_path, warn=told.append)
    assert len(told) == 1
    assert "own.wav" in told[0]
    assert "The program's own beat sounds instead." in told[0]
    time_s = np.arange(4 * 22_050) / 22_050
    with wave.open(str(tmp_path / "own.wav"), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(22_050)
        file.writeframes((9_000 * np.sin(2 * np.pi * 220 * time_s)).astype("<i2").tobytes())
    loop = load_tones(tmp_path, warn=told.append)[BEAT]
    assert len(told) == 1
    assert (loop.bpm, loop.level_db, loop.samples.size) == (124.0, VOICE_LUFS - 9.0, 4 * SAMPLE_RATE)
