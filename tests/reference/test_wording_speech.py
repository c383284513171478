"""What espeak-ng makes of the words: its own phonemes, read in place of listening."""

from __future__ import annotations

import subprocess
import sys

import pytest

from caller.clock import ALL_TIMES, ClockTime, DayTime
from caller.languages import language

# A process of its own: the engine has one voice per process, and other tests use it too.
SPEAK = """
import ctypes, sys
import espeakng_loader
engine = ctypes.CDLL(espeakng_loader.get_library_path())
engine.espeak_Initialize(2, 0, espeakng_loader.get_data_path().encode(), 0)
quiet = ctypes.CFUNCTYPE(ctypes.c_int, ctypes.c_void_p, ctypes.c_int, ctypes.c_void_p)(lambda *_: 0)
engine.espeak_SetSynthCallback(quiet)
engine.espeak_SetPhonemeTrace(2, None)
assert engine.espeak_SetVoiceByName(sys.argv[1].encode()) == 0
text = sys.stdin.buffer.read()
engine.espeak_Synth(text, ctypes.c_size_t(len(text) + 1), 0, 1, 0, 1, None, None)
engine.espeak_Synchronize()
"""


def phonemes(text: str, voice: str) -> str:
    """Return espeak-ng's phonemes for a text, in the international alphabet without stress marks."""
    pytest.importorskip("espeakng_loader")
    done = subprocess.run(
        [sys.executable, "-c", SPEAK, voice], input=text.encode(), capture_output=True, check=True
    )
    return done.stderr.decode().strip().replace("ˈ", "").replace("ˌ", "")


@pytest.mark.parametrize(("code", "voice"), [("es", "es"), ("es-US", "es-419"), ("fr", "fr"), ("de", "de")])
def test_no_word_is_taken_for_english(code: str, voice: str) -> None:
    each = language(code)
    days = [DayTime.from_minutes(n) for n in range(1440)]
    spoken = [say(time).speech for time in ALL_TIMES for say in (each.digital, each.analogue)]
    spoken += [say(time).speech for time in days for say in (each.day_digital, each.day_part)]
    words = sorted({word for phrase in spoken for word in phrase.split()})
    heard = phonemes(" ".join(words), voice)
    # The engine marks a word that it takes from another language with that language's tag in brackets.
    assert heard
    assert "(" not in heard


def test_french_links_the_hour_to_its_number() -> None:
    each = language("fr")
    heard = {hour: phonemes(each.day_digital(DayTime(hour)).speech, "fr") for hour in (2, 6, 9, 20)}
    # The consonant before œʁ (heure), as in deux-z-heures, six, neuf-v-heures, vingt-t-heures.
    assert {hour: said.replace(" ", "")[-3:] for hour, said in heard.items()} == {
        2: "zœʁ",
        6: "zœʁ",
        9: "vœʁ",
        20: "tœʁ",
    }


def test_american_half_days_are_spelled_as_two_letters() -> None:
    each = language("en-US")
    assert phonemes(each.day_part(DayTime(9)).speech, "en-us").endswith("eɪɛm")
    assert phonemes(each.day_part(DayTime(16, 40)).speech, "en-us").endswith("piːɛm")


def test_english_zero_and_o_clock_are_words() -> None:
    each = language("en-US")
    assert phonemes(each.digital(ClockTime(4, 5)).speech, "en-us") == "fɔːɹ oʊ faɪv"
    assert phonemes(each.digital(ClockTime(4)).speech, "en-us").endswith("əklɑːk")
