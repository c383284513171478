"""No stretch of a ready lesson is silent and still, no bout is silent, and no catch-up is three punches.

Read from the run sheet as JSON alone: which call has words, tones, a beat, ticks or breaths on their count.
And listened to: the loudness of a whole lesson's tones and beat, tenth of a second by tenth of a second.
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from caller.lesson.library import read_lesson, ready_lessons
from caller.planning.staging import stage_of
from caller.runsheet.forms import as_dict
from caller.sound import SAMPLE_RATE, VOICE_LUFS
from caller.sound.tones import load_tones
from caller.timeline import seconds_of
from caller.timeline.segment import Timeline
from tests.planning.fakes import QuietVoice, quiet_lengths
from tests.reference.run_sheet_sums import moved

LONGEST_QUIET_S = 20
EVERY = ready_lessons()
LENGTHS = quiet_lengths()

# How the catch-up used to count, in each language of the ready lessons.
COUNTED_OUT = re.compile(
    r"\b(three times|drei ?mal|trois fois|tres veces)\b|\b1\W+2\W+3\b|\bone\W+two\W+three\b", re.IGNORECASE
)


BLOCK = SAMPLE_RATE // 10
HEARD_DBFS = -60.0  # a beat is 30 dB louder (root mean square), and silence is none at all
LONGEST_SILENT_BOUT_S = 1.5  # no child of five keeps a time that is not heard for so long (see beats)


UNDER_WORDS_DBFS = VOICE_LUFS - 20.0
"""WCAG 2.2, success criterion 1.4.7: background at least 20 dB under the speech."""


def stretches_s(flags: NDArray[np.bool_]) -> float:
    """Return the longest stretch of tenths of a second for which something holds."""
    edges = np.flatnonzero(np.diff(np.concatenate(([0], flags.astype(int), [0]))))
    return float((edges[1::2] - edges[::2]).max(initial=0) / 10)


def dbfs(blocks: NDArray[np.floating]) -> NDArray[np.float64]:
    """Return the level of each block, root mean square."""
    return np.asarray(10.0 * np.log10((blocks**2).mean(axis=1) + 1e-12), dtype=np.float64)


def listened_to(path: Path) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
    """Return for each tenth of a second whether something is heard, and whether a bout goes on.

    On the way it is heard that the beat alone stays under every word.
    """
    lesson = read_lesson(path)
    run_sheet = stage_of(lesson.hall, path.parent).run_sheet(lesson)
    timeline = Timeline(run_sheet, voice=QuietVoice(), tones=load_tones())
    heard, moving = [], []
    for call, facts in zip(run_sheet.calls, as_dict(run_sheet)["calls"], strict=True):
        segment = timeline.segment(call)
        blocks = -(-segment.length // BLOCK)
        sound = segment.render(0, blocks * BLOCK).reshape(blocks, BLOCK).astype(float)
        sounds = dbfs(sound) > HEARD_DBFS
        alone = sound - segment.render(0, blocks * BLOCK, beat=False).reshape(blocks, BLOCK)
        for span in segment.layout.spans:
            if span.line.speech:
                words = slice(-(-span.speech_start // BLOCK), span.speech_end // BLOCK)
                assert (dbfs(alone[words]) <= UNDER_WORDS_DBFS).all(), span.line.written
        for span in segment.layout.spans:  # the quiet voice says nothing in the time that words take
            if span.line.speech:
                sounds[span.speech_start // BLOCK : span.speech_end // BLOCK + 1] = True
        heard.append(sounds)
        moving.append(np.full(blocks, sounding(facts) and moved(facts, lesson.age)[0] > 0))
    return np.concatenate(heard), np.concatenate(moving)


def sounding(call: dict[str, Any]) -> bool:
    """Tell whether something is heard or moves once the words of a call are over."""
    board = call["board"]
    moving = bool(board.get("lanes") or board.get("move")) and call["kind"] in ("warm-up", "move", "catch-up")
    countdown = call.get("countdown")
    ticked = countdown is not None and (countdown.get("tick") is not None or countdown.get("beeps", 0) > 0)
    return call.get("beat") is not None or ticked or moving


@pytest.mark.parametrize("path", EVERY.values(), ids=EVERY.keys())
def test_nothing_is_silent_and_still_for_twenty_seconds(path: Path) -> None:
    lesson = read_lesson(path)
    run_sheet = stage_of(lesson.hall, path.parent).run_sheet(lesson)
    quiet = longest = 0.0
    for call, layout in zip(as_dict(run_sheet)["calls"], LENGTHS.layouts(run_sheet), strict=True):
        said_s = sum(seconds_of(span.end - span.start) for span in layout.spans if span.line.speech)
        quiet = 0.0 if said_s or call["lines"] else quiet
        if not sounding(call):
            quiet += seconds_of(layout.length) - said_s
        else:
            quiet = 0.0
        longest = max(longest, quiet)
    assert longest <= LONGEST_QUIET_S


@pytest.mark.parametrize("path", EVERY.values(), ids=EVERY.keys())
def test_the_catch_up_is_a_bout_and_is_not_counted_out(path: Path) -> None:
    lesson = read_lesson(path)
    calls = as_dict(stage_of(lesson.hall, path.parent).run_sheet(lesson))["calls"]
    caught_up = [call for call in calls if call["kind"] == "catch-up"]
    assert caught_up
    for call in caught_up:
        assert not COUNTED_OUT.search(" ".join(line["written"] for line in call["lines"]))
    bouts = [call["hold_s"] for call in caught_up if call["board"].get("move")]
    assert min(bouts) >= (10 if lesson.seated else 12)  # a real bout of the whole class: 12 to 20 s
    assert max(bouts) <= 20


def listen_to(path: Path) -> None:
    heard, moving = listened_to(path)
    assert heard.mean() > 0.5
    assert stretches_s(~heard & ~moving) <= LONGEST_QUIET_S
    assert stretches_s(~heard & moving) <= LONGEST_SILENT_BOUT_S


def test_a_lesson_that_is_listened_to_has_no_silent_bout_and_no_beat_over_words() -> None:
    listen_to(EVERY["demo"])


@pytest.mark.nightly
@pytest.mark.parametrize("path", EVERY.values(), ids=EVERY.keys())
def test_every_lesson_that_is_listened_to_has_no_silent_bout_and_no_beat_over_words(path: Path) -> None:
    listen_to(path)
