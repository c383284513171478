from __future__ import annotations

from pathlib import Path

import pytest

from caller.lesson import Lesson, Practice, Round
from caller.planning.lengths import RememberedLengths, SpokenLengths, total_s
from caller.runsheet import Gap
from caller.runsheet.sequence import make_run_sheet
from caller.sound import kept_voice
from caller.sound.speech import Speech, VoiceSettings, estimate_s
from caller.sound.tones import load_tones
from tests.planning.fakes import QuietVoice

SLOW, FAST = VoiceSettings(rate_wpm=100), VoiceSettings(rate_wpm=150)


def reckoned(text: str, settings: VoiceSettings) -> int:
    return round(estimate_s(text, settings.rate_wpm) * 48_000)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    speech = tmp_path / "speech"
    kept_voice.note(speech, "en-GB", "an engine, version 1")
    return speech


def test_a_length_is_remembered_for_its_sentence_and_voice(folder: Path) -> None:
    first = RememberedLengths(folder)
    first.put("It is ten past four.", SLOW, (), 48_000)
    first.save()
    second = RememberedLengths(folder)
    assert second.get("It is ten past four.", SLOW) == 48_000
    assert second.get("It is ten past four.", FAST) == reckoned("It is ten past four.", FAST)
    assert second.get("It is ten past five.", SLOW) == reckoned("It is ten past five.", SLOW)


def test_silences_inside_a_sentence_are_part_of_its_length(folder: Path) -> None:
    lengths = RememberedLengths(folder)
    lengths.put("It is ten past four.", SLOW, (Gap(at=6, seconds=0.3),), 60_000)
    lengths.save()
    assert lengths.get("It is ten past four.", SLOW, (Gap(at=6, seconds=0.3),)) == 60_000
    unheard = reckoned("It is ten past four.", SLOW)
    assert lengths.get("It is ten past four.", SLOW) == unheard
    assert lengths.get("It is ten past four.", SLOW, (Gap(at=6, seconds=0.5),)) == unheard + 24_000


def test_another_engine_is_timed_anew(folder: Path) -> None:
    first = RememberedLengths(folder)
    first.put("Hello.", SLOW, (), 10)
    first.save()
    kept_voice.note(folder, "en-GB", "an engine, version 2")
    assert RememberedLengths(folder).get("Hello.", SLOW) == reckoned("Hello.", SLOW)


def test_without_an_engine_nothing_is_remembered(tmp_path: Path) -> None:
    lengths = RememberedLengths(tmp_path / "speech")
    lengths.put("Hello.", SLOW, (), 10)
    lengths.save()
    assert lengths.get("Hello.", SLOW) is None
    assert list(tmp_path.iterdir()) == []


def test_two_programs_keep_what_both_have_heard(folder: Path) -> None:
    one, other = RememberedLengths(folder), RememberedLengths(folder)
    one.put("One.", SLOW, (), 1)
    other.put("Two.", SLOW, (), 2)
    one.save()
    other.save()
    kept = RememberedLengths(folder)
    assert (kept.get("One.", SLOW), kept.get("Two.", SLOW)) == (1, 2)


@pytest.mark.parametrize("content", [b"", b"[1]", b"\xff\xfe", b'{"a": "b", "c": -1}', b"[" * 100_000])
def test_a_damaged_file_costs_time_only(folder: Path, content: bytes) -> None:
    (folder.parent / "spoken-lengths.json").write_bytes(content)
    lengths = RememberedLengths(folder)
    assert lengths.get("Hello.", SLOW) == reckoned("Hello.", SLOW)
    lengths.put("Hello.", SLOW, (), 10)
    lengths.save()
    assert RememberedLengths(folder).get("Hello.", SLOW) == 10


class Newcomer(QuietVoice):
    """A voice that nobody has heard: it leaves its note with the first line of each language."""

    def __init__(self, folder: Path) -> None:
        super().__init__()
        self._folder = folder
        self.languages: list[str] = []

    def clip(self, text: str, settings: VoiceSettings) -> Speech:
        self.languages.append(settings.language)
        clip = super().clip(text, settings)
        kept_voice.note(self._folder, settings.language, "an engine, version 1")
        return clip


def test_one_line_of_each_language_is_heard_and_the_rest_reckoned(tmp_path: Path) -> None:
    lesson = Lesson(rounds=(Round(),), practice=Practice(skip=True), second_language="fr")
    folder = tmp_path / "speech"
    voice = Newcomer(folder)
    lengths = SpokenLengths(voice, load_tones(), RememberedLengths(folder))
    assert total_s(lengths.layouts(make_run_sheet(lesson))) > 60
    assert sorted(voice.languages) == ["en-GB", "fr"]


def test_a_lesson_is_timed_again_without_its_voice(tmp_path: Path) -> None:
    run_sheet = make_run_sheet(Lesson(rounds=(Round(),), practice=Practice(skip=True)))
    folder = tmp_path / "speech"
    remembered, tones = RememberedLengths(folder), load_tones()
    heard_s = total_s(SpokenLengths(Newcomer(folder), tones, remembered).layouts(run_sheet))
    remembered.save()
    silent = QuietVoice()
    again = SpokenLengths(silent, tones, RememberedLengths(folder))
    assert total_s(again.layouts(run_sheet)) == heard_s
    assert silent.asked == []


def test_a_sentence_that_could_not_be_said_is_never_remembered(tmp_path: Path) -> None:
    run_sheet = make_run_sheet(Lesson(rounds=(Round(),), practice=Practice(skip=True)))
    folder = tmp_path / "speech"
    remembered = RememberedLengths(folder)
    mute = SpokenLengths(QuietVoice(mute=frozenset({"en-GB"})), load_tones(), remembered)
    mute.layouts(run_sheet)
    assert len(mute.missing(run_sheet)) > 30
    remembered.save()
    assert not folder.with_name("spoken-lengths.json").exists()
