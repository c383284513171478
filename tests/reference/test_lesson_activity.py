"""How active the ready lessons are, summed by hand from the run sheet as JSON and the tables of moves and
efforts.

At least half of lesson time is the goal of the Institute of Medicine (2013, Educating the Student Body).
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pytest

from caller.lesson.library import read_lesson, ready_lessons
from caller.planning.dosage import lesson_dose
from caller.planning.lengths import RememberedLengths, SpokenLengths, total_s
from caller.planning.staging import stage_of
from caller.sound.kept_voice import ClipCache
from caller.sound.tones import load_tones
from caller.sound.voice import VoiceBox
from tests.planning.fakes import quiet_lengths
from tests.reference.run_sheet_sums import Summed, faults

EVERY = ready_lessons()
LENGTHS = quiet_lengths()
LIMITS_S = (75, 33, 25)
"""The longest median round, median standing in a round, and stretch of standing between two bouts."""


@pytest.mark.parametrize("path", EVERY.values(), ids=EVERY.keys())
def test_the_share_that_is_told_is_the_sum_of_what_the_calls_ask(path: Path) -> None:
    summed = Summed.of_file(path, LENGTHS)
    told = lesson_dose(summed.layouts, age_y=summed.lesson.age).mvpa_share
    assert told == pytest.approx(summed.share, abs=1e-9)


@pytest.mark.parametrize("path", EVERY.values(), ids=EVERY.keys())
def test_no_bout_hold_or_count_of_landings_is_too_much_for_a_child(path: Path) -> None:
    assert faults(Summed.of_file(path, LENGTHS)) == []


def _targets(name: str, lengths: SpokenLengths) -> Sequence[str]:
    """Return which targets a lesson misses, each with what it has instead."""
    summed = Summed.of_file(EVERY[name], lengths)
    known = Summed.of_file(EVERY[name], lengths, led_before=True)
    lesson, rounds = summed.lesson, list(summed.rounds())
    minutes = lesson.minutes or 0
    (median_s, stood_s), (round_s, standing_s, stretch_s) = summed.medians_s(), LIMITS_S
    found = {
        "round": (median_s, round_s),
        "standing in it": (stood_s, standing_s),
        "standing at a stretch": (summed.longest_standing_s(), stretch_s),
        "standing before the first clock": (summed.standing_first_s(), 90),
        "standing before it in a known class": (known.standing_first_s(), 45),
    }
    missed = [f"{what} {has:.1f} s" for what, (has, most) in found.items() if has > most]
    if not lesson.seated and summed.share < (0.5 if minutes >= 10 else 0.4):
        missed.append(f"share {summed.share:.3f}")
    if len(rounds) < {15: 8, 20: 11}.get(minutes, 0):
        missed.append(f"{len(rounds)} clocks")
    return missed


@pytest.mark.endtoend
@pytest.mark.timeout(900)
def test_by_the_real_voice_half_of_each_lesson_is_movement() -> None:
    with VoiceBox() as voice:
        heard = SpokenLengths(voice, load_tones())
        missed = {name: _targets(name, heard) for name in EVERY}
    assert {name: what for name, what in missed.items() if what} == {}


@pytest.mark.endtoend
@pytest.mark.timeout(900)
@pytest.mark.parametrize("name", ["demo", "past-hunt", "tide", "cuartos"])
def test_a_lesson_takes_as_long_as_it_was_reckoned_to(name: str, tmp_path: Path) -> None:
    """Within 5 s: by the real voice, every line heard, against one line heard and the rest reckoned."""
    lesson = read_lesson(EVERY[name])
    run_sheet = stage_of(lesson.hall, EVERY[name].parent, lesson.class_name).run_sheet(lesson)
    with VoiceBox(ClipCache(tmp_path / "speech")) as voice:
        reckoned = SpokenLengths(voice, load_tones(), RememberedLengths(tmp_path / "speech"))
        reckoned_s = total_s(reckoned.layouts(run_sheet))
        heard_s = total_s(SpokenLengths(voice, load_tones()).layouts(run_sheet))
    assert heard_s == pytest.approx(reckoned_s, abs=5)
