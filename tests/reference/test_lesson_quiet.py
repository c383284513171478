"""No stretch of a ready lesson is silent and still, and no catch-up is three punches.

Read from the run sheet as JSON alone: which call has words, tones, a beat, ticks or breaths on their count.
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

from caller.lesson.library import read_lesson, ready_lessons
from caller.planning.staging import stage_of
from caller.runsheet.forms import as_dict
from caller.timeline import seconds_of
from tests.planning.fakes import quiet_lengths

LONGEST_QUIET_S = 20
EVERY = ready_lessons()
LENGTHS = quiet_lengths()

# How the catch-up used to count, in each language of the ready lessons.
COUNTED_OUT = re.compile(
    r"\b(three times|drei ?mal|trois fois|tres veces)\b|\b1\W+2\W+3\b|\bone\W+two\W+three\b", re.IGNORECASE
)


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
