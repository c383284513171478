"""The voice speaks, and goes on whatever happens to its worker.  These tests start the real engine."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from pathlib import Path
from typing import get_args

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.signal import resample_poly

from caller.languages import CODES, Tune
from caller.lesson.library import find_lesson, read_lesson
from caller.planning.staging import stage_of
from caller.runsheet.sequence import make_run_sheet
from caller.sound import SAMPLE_RATE, VOICE_CEILING_DBTP, VOICE_LUFS, kept_voice
from caller.sound.loudness import integrated_lufs, true_peak_db
from caller.sound.speech import VoiceSettings, estimate_s
from caller.sound.voice import VoiceBox
from caller.sound.voice_engine import equalised
from caller.sound.voice_process import VoiceProcess, WorkerLostError
from caller.timeline.segment import voice_settings

OpenBox = Callable[..., VoiceBox]
BRITISH = VoiceSettings(language="en-GB", rate_wpm=120)
SENTENCES = {
    "en-GB": "Half past four. Do star jumps.",
    "en-US": "Half past four. Do star jumps.",
    "es": "Son las cuatro y media. Haz saltos.",
    "es-US": "Son las cuatro y media. Haz saltos.",
    "fr": "Il est quatre heures et demie. Saute en étoile.",
    "de": "Es ist halb fünf. Mach Hampelmänner.",
}


def worker_of(box: VoiceBox) -> VoiceProcess:
    return next(iter(box._workers.values()))


def process_is_gone(pid: int) -> bool:
    """A zombie still has its pid: a reaped process has none."""
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return True
    return False


@pytest.mark.parametrize("language", CODES)
def test_every_language_is_spoken_at_the_voices_loudness_with_its_words_in_order(
    language: str, shared_box: VoiceBox
) -> None:
    text = SENTENCES[language]
    speech = shared_box.clip(text, VoiceSettings(language=language))
    assert not speech.missing, speech.why
    assert speech.samples.dtype == np.float32
    assert integrated_lufs(speech.samples) == pytest.approx(VOICE_LUFS, abs=0.3)
    assert true_peak_db(speech.samples) <= VOICE_CEILING_DBTP + 0.01
    assert speech.words is not None
    said = [text[start : start + length] for _, start, length in speech.words]
    # The engine may run two small words into one event; none is made up, and none out of order.
    written = iter(text.replace(".", "").split())
    assert all(word in written for word in said)
    assert len(said) >= len(text.split()) - 1
    offsets = [word.offset_s for word in speech.words]
    assert offsets == sorted(offsets)
    assert 0 <= offsets[0] <= offsets[-1] < speech.duration_s


def test_where_nothing_is_kept_yet_the_worker_starts_before_a_sentence_is_asked_for(tmp_path: Path) -> None:
    with VoiceBox(kept_voice.ClipCache(tmp_path)) as box:
        box.expect("en-GB")
        give_up_s = time.monotonic() + 30
        while not box._identities:
            assert time.monotonic() < give_up_s
            time.sleep(0.02)
        assert not box.clip("Go!", BRITISH).missing
    with VoiceBox(kept_voice.ClipCache(tmp_path)) as box:
        box.expect("en-GB")  # what is kept may be all that is wanted
        assert box._thread is None


def heights_hz(samples: NDArray[np.float32]) -> NDArray[np.float64]:
    """Return the voice's height in each voiced 40 ms: the lag at which the sound is most like itself."""
    rate, size = 12_000, 480
    sound = resample_poly(samples.astype(np.float64), 1, SAMPLE_RATE // rate)
    frames = np.lib.stride_tricks.sliding_window_view(sound, 2 * size)[::size]
    level = np.sqrt((frames**2).mean(axis=1))
    lags = np.arange(rate // 350, rate // 55)
    windows = np.lib.stride_tricks.sliding_window_view(frames[level > 0.2 * level.max()], size, axis=1)
    alike = np.einsum("fn,fln->fl", windows[:, 0], windows[:, lags])
    alike /= np.linalg.norm(windows[:, :1], axis=2) * np.linalg.norm(windows[:, lags], axis=2) + 1e-9
    # The first of the lags that are nearly as good: twice a period is as like, and half the height.
    first = (alike > 0.95 * alike.max(axis=1, keepdims=True)).argmax(axis=1)
    return np.asarray(rate / lags[first[alike.max(axis=1) > 0.8]])


@pytest.mark.parametrize("language", ["en-GB", "en-US", "de", "es", "fr"])
def test_what_a_sentence_is_for_can_be_heard_before_its_words_are_understood(
    language: str, shared_box: VoiceBox
) -> None:
    said = {
        "de": "Es ist halb acht, und der kleine Zeiger ist fast oben.",
        "es": "Son las siete y media, y la aguja larga apunta abajo.",
        "fr": "Il est sept heures et demie, et la grande aiguille descend.",
    }.get(language, "It is half past seven, and nearly morning.")
    height: dict[Tune, float] = {}
    moves: dict[Tune, float] = {}
    for tune in get_args(Tune):
        clip = shared_box.clip(said, VoiceSettings(language=language, tune=tune))
        semitones = 12 * np.log2(heights_hz(clip.samples))
        height[tune] = float(np.median(semitones))
        moves[tune] = float(np.percentile(semitones, 90) - np.percentile(semitones, 10))
        assert clip.duration_s == pytest.approx(estimate_s(said, 120), rel=0.1)
    assert height["call"] > height["tell"] + 0.8
    assert height["tell"] > height["calm"] + 0.5
    assert moves["praise"] > 1.2 * moves["count"]


def test_the_plain_voice_booms_less_is_clearer_and_nothing_of_it_is_moved() -> None:
    rate = 22_050
    click = np.zeros(rate, np.float32)
    click[rate // 2] = 1.0
    gain = np.abs(np.fft.rfft(equalised(click, rate)))  # one bin a hertz
    gain_db = 20 * np.log10(np.maximum(gain, 1e-9))
    assert gain_db[80] == pytest.approx(-7.0, abs=0.3)
    assert gain_db[800] == pytest.approx(4.0, abs=0.3)
    assert gain_db[3000] == pytest.approx(2.0, abs=0.3)
    assert np.abs(gain_db[8000:]).max() < 0.3  # a hiss stays as it is
    assert int(np.abs(equalised(click, rate)).argmax()) == rate // 2


NOBODY_SLEEPS = """
import sys, time
from pathlib import Path
from caller.sound.voice_engine import Engine
engine = Engine("bundled")
time.sleep = lambda _seconds: print("slept")
voice = engine.choose("en-GB")
for text in ("Go!", "Half past four."):
    print(engine.say(text, Path(sys.argv[1]), voice=voice, rate_wpm=120).samples.size > 5_000)
"""


def test_the_engine_is_heard_as_soon_as_it_has_spoken(tmp_path: Path) -> None:
    """Its driver looks for the end every hundredth of a second, which is longer than speaking takes."""
    command = [sys.executable, "-P", "-c", NOBODY_SLEEPS, str(tmp_path / "said.wav")]
    done = subprocess.run(command, capture_output=True, text=True, timeout=60, check=True)
    told = [line for line in done.stdout.splitlines() if not line.startswith("Audio saved")]
    assert told == ["True", "True"]


def test_all_choices_are_said_alike_and_a_call_as_a_call() -> None:
    run_sheet = make_run_sheet(read_lesson(find_lesson("demo")))
    said = {call.kind: {line.tune for line in call.lines if line.speech} for call in run_sheet.calls}
    assert (said["choices"], said["move"], said["question"]) == ({"offer"}, {"call"}, {"ask"})
    assert said["reason"] <= {"reason", "count"}
    assert {"calm", "praise"} <= {line.tune for call in run_sheet.calls for line in call.lines}


def test_a_clip_begins_and_ends_with_its_sound(shared_box: VoiceBox) -> None:
    speech = shared_box.clip("Go!", BRITISH)
    magnitude = np.abs(speech.samples)
    heard = np.flatnonzero(magnitude > magnitude.max() * 10 ** (-50 / 20))
    assert heard[0] == pytest.approx(speech.onset, abs=2)
    assert speech.onset <= 0.011 * SAMPLE_RATE
    assert speech.samples.size - heard[-1] <= 0.011 * SAMPLE_RATE
    assert not speech.samples.flags.writeable


def test_each_rate_is_kept_to_in_any_order_of_asking() -> None:
    worker = VoiceProcess("en-GB", engines=("bundled",))
    try:
        worker.greet(deadline_s=30)
        lengths: dict[int, list[float]] = {100: [], 120: [], 140: [], 175: []}
        for rate in np.random.default_rng(7).permutation(list(lengths) * 8):
            settings = VoiceSettings(rate_wpm=int(rate))
            clip = kept_voice.from_bytes(worker.speak("It is quarter past seven.", settings, deadline_s=30))
            lengths[int(rate)].append(clip.duration_s)
    finally:
        worker.end()
    for one_rate in lengths.values():
        assert max(one_rate) / min(one_rate) < 1.03
    assert lengths[100][0] / lengths[175][0] == pytest.approx(1.75, rel=0.15)
    assert lengths[100][0] > lengths[120][0] > lengths[140][0] > lengths[175][0]


@pytest.mark.parametrize("rate_wpm", [100, 120, 160])
def test_the_estimate_is_within_a_third_of_the_engine(rate_wpm: int, shared_box: VoiceBox) -> None:
    texts = (
        "Half past four.",
        "Which time does the clock show? Twenty to five, or twenty past four?",
        "The minute hand points at the nine, so it is forty-five minutes past.",
    )
    settings = VoiceSettings(rate_wpm=rate_wpm)
    for text in texts:
        assert estimate_s(text, rate_wpm) == pytest.approx(
            shared_box.clip(text, settings).duration_s, rel=1 / 3
        )


@pytest.mark.parametrize("rate_wpm", [115, 130])
def test_every_line_lasts_as_long_as_its_pace_says(rate_wpm: int, shared_box: VoiceBox) -> None:
    """Within a tenth: left to itself, the engine hurries a short question."""
    texts = (
        "What time is it?",
        "Do the move of the one you believe.",
        "Look at the long hand. It points at the six, so it is half past.",
        "The hour that has passed is seven, and the short hand is on its way to eight.",
    )
    for text in texts:
        lasts_s = shared_box.clip(text, VoiceSettings(rate_wpm=rate_wpm)).duration_s
        assert lasts_s == pytest.approx(estimate_s(text, rate_wpm), rel=0.10), text


@pytest.mark.nightly
@pytest.mark.parametrize("name", ["demo", "fives"])
def test_a_whole_lesson_is_spoken_at_the_pace_that_the_page_promises(name: str, shared_box: VoiceBox) -> None:
    """Each line by its letters, words and stops; and all its words in all its seconds, simply counted."""
    path = find_lesson(name)
    run_sheet = stage_of("", path.parent, "").run_sheet(read_lesson(path))
    rate_wpm = run_sheet.voice.rate_wpm
    lines = {line.speech: line for call in run_sheet.calls for line in call.lines if line.speech}
    lasts_s = {
        speech: shared_box.clip(speech, voice_settings(run_sheet, line)).duration_s
        for speech, line in lines.items()
    }
    for speech, seconds in lasts_s.items():
        assert seconds == pytest.approx(estimate_s(speech, rate_wpm), rel=0.10), speech
    words = sum(len(re.findall(r"[\w'’-]+", speech)) for speech in lasts_s)
    assert 60 * words / sum(lasts_s.values()) == pytest.approx(rate_wpm, rel=0.10)


def test_text_with_nothing_to_say_is_no_sound_and_needs_no_engine(open_box: OpenBox) -> None:
    box = open_box()
    for text in ("", "   ", "…", "?!"):
        speech = box.clip(text, BRITISH)
        assert speech.samples.size == 0
        assert not speech.missing
    assert box._thread is None


def test_markup_and_odd_characters_in_a_sentence_are_harmless(shared_box: VoiceBox) -> None:
    for text in (
        "<audio src='/etc/passwd'/> four",
        "[[rate 20]] four",
        "four \ud800 five",
        "four\0five\n",
        "🕓 four",
    ):
        speech = shared_box.clip(text, BRITISH)
        assert not speech.missing, (text, speech.why)
        assert speech.duration_s < 8


def test_a_sentence_that_is_too_long_is_not_spoken(open_box: OpenBox) -> None:
    speech = open_box().clip("four " * 300, BRITISH)
    assert (speech.missing, speech.why) == (True, "a sentence may have at most 1000 characters")
    assert not speech.samples.any()


def test_a_language_without_a_voice_is_missing_and_says_so(open_box: OpenBox) -> None:
    box = open_box(engines=("bundled",))
    speech = box.clip("Nothing speaks this.", VoiceSettings(language="xx"))
    assert (speech.missing, speech.why) == (True, "bundled: no voice of this machine speaks “xx”")
    assert speech.duration_s == pytest.approx(estimate_s("Nothing speaks this.", 120), abs=0.01)
    asked = time.perf_counter()
    assert box.clip("Nor this.", VoiceSettings(language="xx")).missing
    assert time.perf_counter() - asked < 0.2, "an engine given up on is not started again for each sentence"


def test_a_voice_can_be_chosen_by_part_of_its_name(shared_box: VoiceBox) -> None:
    assert shared_box.clip("Half past four.", VoiceSettings()).voice == "English (Received Pronunciation)"
    assert shared_box.clip("Half past four.", VoiceSettings(name="scotland")).voice == "English (Scotland)"
    assert (
        shared_box.clip("Half past four.", VoiceSettings(name="no such voice")).voice
        == "English (Received Pronunciation)"
    )
    assert shared_box.clip("Half past four.", VoiceSettings(language="en-US")).voice == "English (America)"


def test_a_kept_clip_is_the_same_and_starts_no_worker(open_box: OpenBox) -> None:
    first = open_box().clip("Quarter to nine.", BRITISH)
    box = open_box()
    box.speak_ahead([("Quarter to nine.", BRITISH)])
    again = box.clip("Quarter to nine.", BRITISH)
    np.testing.assert_array_equal(first.samples, again.samples)
    assert first.words == again.words
    assert not box._workers


def test_the_worker_killed_between_sentences_is_replaced(open_box: OpenBox) -> None:
    box = open_box()
    box.clip("One.", BRITISH)
    killed = worker_of(box).pid
    os.kill(killed, signal.SIGKILL)
    assert not box.clip("Two.", BRITISH).missing
    assert worker_of(box).pid != killed
    assert process_is_gone(killed)


def test_the_worker_killed_in_the_middle_of_a_lesson_costs_no_sentence(open_box: OpenBox) -> None:
    box = open_box()
    texts = [f"Number {number}." for number in range(30)]
    box.speak_ahead((text, BRITISH) for text in texts)
    box.clip(texts[3], BRITISH)
    os.kill(worker_of(box).pid, signal.SIGKILL)
    assert [text for text in texts if box.clip(text, BRITISH).missing] == []


@pytest.mark.skipif(sys.platform == "win32", reason="a process cannot be stopped there")
def test_a_worker_that_hangs_is_replaced_after_its_deadline(open_box: OpenBox) -> None:
    box = open_box(deadline_s=0.5)
    box.clip("One.", BRITISH)
    hung = worker_of(box).pid
    os.kill(hung, signal.SIGSTOP)
    asked = time.perf_counter()
    assert not box.clip("Two.", BRITISH).missing
    assert time.perf_counter() - asked < 8
    assert process_is_gone(hung)


@pytest.mark.skipif(sys.platform == "win32", reason="a process cannot be stopped there")
def test_who_cannot_wait_gets_silence_in_time_and_the_sentence_later(open_box: OpenBox) -> None:
    box = open_box(deadline_s=1.0)
    box.clip("One.", BRITISH)
    os.kill(worker_of(box).pid, signal.SIGSTOP)
    asked = time.perf_counter()
    speech = box.clip("Two is company.", BRITISH, within_s=0.2)
    assert time.perf_counter() - asked < 0.5
    assert (speech.missing, speech.why) == (True, "the voice was not ready in time")
    assert speech.duration_s > 0.5
    assert not box.clip("Two is company.", BRITISH).missing


def test_a_worker_that_never_starts_is_given_up_on(
    open_box: OpenBox, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys, "executable", "/no/such/python")
    speech = open_box().clip("One.", BRITISH)
    assert (speech.missing, speech.why) == (True, "the voice cannot start (No such file or directory)")


@pytest.mark.skipif(sys.platform == "win32", reason="uses a shell script")
def test_a_worker_that_hangs_at_its_start_is_given_up_on(
    open_box: OpenBox, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    script = tmp_path / "python"
    script.write_text("#!/bin/sh\nexec sleep 600\n")
    script.chmod(0o755)
    monkeypatch.setattr(sys, "executable", str(script))
    speech = open_box(first_deadline_s=0.2).clip("One.", BRITISH)
    assert speech.missing
    assert re.fullmatch(r"the voice did not answer for \d\.\d seconds", speech.why)


def test_closing_answers_everyone_and_leaves_no_process_or_thread(open_box: OpenBox) -> None:
    threads = threading.active_count()
    box = open_box()
    box.clip("One.", BRITISH)
    pid = worker_of(box).pid
    box.speak_ahead((f"Number {number}.", BRITISH) for number in range(200))
    started = time.perf_counter()
    box.close()
    assert time.perf_counter() - started < 3
    assert process_is_gone(pid)
    assert threading.active_count() == threads
    assert box.pending == 0
    assert box.clip("Never asked before.", BRITISH).why == "the voice was switched off"


def test_a_worker_ends_by_itself_and_cleans_up_when_the_program_is_gone(tmp_path: Path) -> None:
    folder = tmp_path / "worker"
    folder.mkdir()
    command = [sys.executable, "-P", "-m", "caller.sound.voice_worker", str(folder), "en-GB", "bundled"]
    done = subprocess.run(command, stdin=subprocess.DEVNULL, capture_output=True, timeout=60, check=True)
    assert done.stdout.startswith(b'{"engine": "bundled, espeak, ')
    assert not folder.exists()


def test_a_file_that_cannot_be_written_costs_its_sentence_and_not_the_worker(open_box: OpenBox) -> None:
    box = open_box()
    box.clip("One.", BRITISH)
    worker = worker_of(box)
    whole, worker._folder = worker._folder, worker._folder / "nowhere"
    try:
        request = (
            '{"id": 90, "text": "Two.", "rate_wpm": 120, "voice": null, "tune": "tell", '
            '"file": "no/such/folder.clip"}\n'
        )
        assert worker._process.stdin is not None
        worker._process.stdin.write(request)
        worker._process.stdin.flush()
        assert worker._next_answer(10) == {"id": 90, "error": "the speech engine wrote no sound"}
    finally:
        worker._folder = whole
    assert not box.clip("Three.", BRITISH).missing
    assert worker_of(box) is worker


def test_a_process_that_is_gone_says_so() -> None:
    worker = VoiceProcess("en-GB", engines=("bundled",))
    worker.greet(deadline_s=30)
    worker.end()
    with pytest.raises(WorkerLostError, match=r"^the voice has stopped$"):
        worker.speak("One.", BRITISH, deadline_s=1)


def test_opened_voices_leave_no_descriptors_behind(open_box: OpenBox) -> None:
    if not Path("/proc/self/fd").is_dir():
        pytest.skip("needs /proc")
    box = open_box()
    box.clip("One.", BRITISH)
    box.close()
    before = len(os.listdir("/proc/self/fd"))  # noqa: PTH208
    for number in range(2):
        box = open_box()
        box.clip(f"Number {number}.", BRITISH)
        box.close()
    assert len(os.listdir("/proc/self/fd")) == before  # noqa: PTH208


def test_settings_outside_their_range_are_refused() -> None:
    with pytest.raises(
        ValueError, match=r"^“not a language” is not a language; write one such as en-GB, es, fr or de$"
    ):
        VoiceSettings(language="not a language")
    with pytest.raises(ValueError, match=r"^a voice speaks 60 to 300 words a minute, not 20$"):
        VoiceSettings(rate_wpm=20)
