from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from caller.clock import ClockTime, DayTime
from caller.hall.advice import report
from caller.hall.hallfile import preset
from caller.lesson import CatchUp, Close, Lesson, Opening, Practice, Round, Voice
from caller.moves import find
from caller.moves.pick_moves import WarmUpMove
from caller.planning.checks import CHECKS, Finding, look_over
from caller.planning.staging import Rehearsal, Stage, rehearse, stage_of
from tests.planning.fakes import quiet_lengths

LENGTHS = quiet_lengths()
STRETCHES = ("sky-reach", "forward-fold")
SOUND = Lesson(
    title="Quarters",
    class_name="Terns",
    step="quarters",
    seed=4,
    practice=Practice(skip=True),
    catch_up=CatchUp(seconds=20),
    opening=Opening(warm_up=("step-touch", "march", "knee-lifts"), warm_up_seconds=180),
    rounds=(
        Round(time=ClockTime(4, 15), moves=("squats", "standing-punches")),
        Round(time=ClockTime(8, 30), moves=("march", "sumo-squats")),
        Round(time=ClockTime(1, 45), moves=("squats", "standing-punches")),
        Round(time=ClockTime(6, 15), moves=("knee-lifts", "side-steps")),
        Round(time=ClockTime(11, 45), moves=("march", "sumo-squats")),
        Round(time=ClockTime(9, 45), moves=STRETCHES),
    ),
    close=Close(breaths=4),
)


def _rehearsed(lesson: Lesson, stage: Stage | None = None) -> Rehearsal:
    return rehearse(lesson, stage or Stage(), LENGTHS)


def _told(lesson: Lesson, stage: Stage | None = None) -> list[str]:
    return [f"{each.level} {each.sentence()}" for each in look_over(_rehearsed(lesson, stage))]


def _first_round(**keys: object) -> Lesson:
    return replace(SOUND, rounds=(replace(SOUND.rounds[0], **keys), *SOUND.rounds[1:]))  # type: ignore[arg-type]


def test_a_sound_lesson_gets_no_word() -> None:
    assert _told(SOUND) == []


def test_every_check_is_told_by_its_name() -> None:
    assert [check.__name__.removeprefix("check_") for check in CHECKS] == [
        "length", "precision", "readings", "safety", "space", "voice",
        "moves", "activity", "sides", "wording", "legibility",
    ]  # fmt: skip


def test_a_lesson_that_runs_over_is_an_error_and_one_that_ends_early_is_advice() -> None:
    lasts_s = _rehearsed(SOUND).length_s
    minutes = int(lasts_s // 60)
    (over,) = look_over(_rehearsed(replace(SOUND, minutes=minutes - 1)))
    assert (over.level, over.check) == ("error", "length")
    assert over.text.startswith(f"it lasts {minutes}:")
    assert over.text.endswith(" too long. Think a little shorter, or leave a round out.")
    (early,) = look_over(_rehearsed(replace(SOUND, minutes=minutes + 2)))
    assert (early.level, early.check) == ("advice", "length")
    assert early.text.endswith(" are left over. A longer warm-up would fill them.")


@pytest.mark.parametrize("more_s", range(-24, 25, 4))
def test_fifteen_seconds_are_near_enough(more_s: int) -> None:
    minutes = round(_rehearsed(SOUND).length_s / 60)
    warm_up_s = SOUND.opening.warm_up_seconds + round(minutes * 60 - _rehearsed(SOUND).length_s) + more_s
    lesson = replace(SOUND, minutes=minutes, opening=replace(SOUND.opening, warm_up_seconds=warm_up_s))
    off_s = _rehearsed(lesson).length_s - 60 * minutes
    assert any("it lasts" in each for each in _told(lesson)) is (abs(off_s) > 15)


def test_a_clock_finer_than_the_step_is_an_error() -> None:
    assert _told(_first_round(time=ClockTime(4, 17), wrong=(ClockTime(5, 17),)))[0] == (
        'error round 1: 4:17 needs the step "single minutes", and the class is at "quarter past and quarter '
        'to". Choose another clock, or write step = "minutes".'
    )


def test_a_clock_of_an_earlier_step_is_none() -> None:
    assert _told(_first_round(time=ClockTime(4), wrong=())) == []


def test_a_wrong_reading_that_is_right_as_well_is_an_error() -> None:
    lesson = _first_round(time=ClockTime(4, 20), wrong=(ClockTime(4, 15),))
    told = "error round 1: 4:15 is 4:20 as near as this step reads, so it is right too. Choose another time."
    assert told in _told(lesson)


def test_a_wrong_reading_that_the_last_row_cannot_tell_is_an_error() -> None:
    lesson = replace(_first_round(time=ClockTime(4, 14), wrong=(ClockTime(4, 15),)), step="near-the-hour")
    (told,) = _told(lesson, replace(Stage(), minimum_difference_deg=20.0))
    assert told == (
        "error round 1: from the last row 4:15 and 4:14 look alike: the dials differ by 6°, "
        "and 20.0° can be told apart. Choose another time."
    )


def test_a_wrong_reading_that_no_mix_up_gives_is_too_easy() -> None:
    assert _told(_first_round(wrong=(ClockTime(10, 30),))) == [
        (
            "advice round 1: 10:30 is too easy to rule out: no known mix-up gives it. "
            "Leave it out, and one is chosen."
        )
    ]


def test_the_practice_is_looked_at_too() -> None:
    practice = Practice(time=ClockTime(4, 15), wrong=(ClockTime(10, 30),))
    assert any("practice: 10:30 is too easy" in each for each in _told(replace(SOUND, practice=practice)))


def test_wrong_ends_and_wrong_times_of_day_are_judged_by_their_own_mistakes() -> None:
    later = Round(kind="later", time=ClockTime(2, 50), change_minutes=20, wrong=(ClockTime(7, 35),))
    day = Round(kind="day-part", time=DayTime(16, 40), wrong=(DayTime(9, 5),))
    likely = Round(kind="day-part", time=DayTime(16, 40), wrong=(DayTime(14, 40),))
    told = _told(replace(SOUND, step="day-parts", rounds=(later, day, likely, SOUND.rounds[1])))
    assert [each.partition(" is ")[0] for each in told if "too easy" in each] == [
        "advice round 1: 7:35",
        "advice round 2: 09:05",
    ]


def test_jumps_without_a_warm_up_are_an_error() -> None:
    lesson = replace(_first_round(moves=("star-jumps", "one-leg-hops")), opening=Opening(warm_up_seconds=0))
    assert _told(lesson)[0] == ("error warm-up: there is none before the jumps. Write warm_up_seconds = 120.")


def test_a_short_warm_up_is_advice() -> None:
    told = [
        each
        for each in _told(replace(SOUND, opening=replace(SOUND.opening, warm_up_seconds=10)))
        if "warm-up:" in each
    ]
    assert len(told) == 1
    assert told[0].startswith("advice warm-up: 10 s are short. Give it ")


def test_jumps_at_the_end_are_an_error() -> None:
    lesson = replace(
        SOUND, rounds=(SOUND.rounds[0], replace(SOUND.rounds[1], moves=("star-jumps", "scissor-steps")))
    )
    assert _told(lesson)[0] == (
        "error round 2: the lesson ends with jumps. Give the last round calm moves, such as sky-reach and "
        "forward-fold."
    )


def test_jumps_twice_running_are_advice() -> None:
    jumps = Round(time=ClockTime(4, 15), moves=("star-jumps", "one-leg-hops"))
    again = Round(time=ClockTime(7, 45), moves=("pogo-jumps", "side-to-side-jumps"))
    told = _told(replace(SOUND, rounds=(jumps, again, SOUND.rounds[1])))
    assert (
        "advice round 2: jumps again, right after the jumps of the round before. Put a gentler pair between."
        in told
    )


def test_jumps_on_a_damp_floor_are_an_error() -> None:
    told = _told(replace(_first_round(moves=("star-jumps", "one-leg-hops")), wet=True))
    assert "error round 1: Star jumps: no jumping or running on a wet floor. Choose another move." in told


def test_no_calm_at_the_end_and_no_safety_reminder_are_advice() -> None:
    lesson = replace(
        SOUND,
        calm_last_round=False,
        rounds=(SOUND.rounds[0],),
        close=Close(breaths=0),
        opening=replace(SOUND.opening, safety=False),
    )
    told = _told(lesson)
    assert "advice opening: the safety reminder is off. Say it yourself." in told
    assert any(each.startswith("advice close: ") and "s of calm are short" in each for each in told)


def test_moves_wider_than_a_childs_floor_are_an_error() -> None:
    told = _told(replace(_first_round(moves=("star-jumps", "one-leg-hops")), space_m=1.8))
    assert told[0] == (
        "error round 1: Star jumps: each child needs 1.0 m all round and has 0.9 m. "
        "Choose another move, or give more space_m."
    )


def test_a_hall_too_small_for_the_class_is_advice() -> None:
    told = _told(replace(SOUND, space_m=3.0), stage_of("classroom", Path()))
    assert any(
        each.startswith("advice ") and "people with 3 m each need" in each and "Write space_m = " in each
        for each in told
    )


def test_a_language_without_a_voice_is_an_error() -> None:
    mute = quiet_lengths(mute=frozenset({"es"}))
    bilingual = replace(SOUND, second_language="es")
    voices = [each for each in look_over(rehearse(bilingual, Stage(), mute)) if each.check == "voice"]
    assert [each.level for each in voices] == ["error"]
    assert voices[0].text.startswith("this computer could say none of the sentences in es, such as ")


def test_a_scripts_own_moves_are_warned_about_and_kept() -> None:
    lesson = _first_round(moves=("star-jumps", "standing-punches"))
    told = _told(lesson)
    assert len(told) == 1
    assert told[0].startswith("advice round 1: Punch the air: ")
    assert _rehearsed(lesson).run_sheet.rounds[0].moves == ("star-jumps", "standing-punches")


def test_long_efforts_are_advice() -> None:
    lesson = replace(SOUND, opening=Opening(warm_up=("march",), warm_up_seconds=200))
    decided = replace(_rehearsed(lesson).decided, warm_up=(WarmUpMove(move=find("march"), seconds=100.0),))
    rehearsal = replace(_rehearsed(SOUND), decided=decided)
    assert [each.sentence() for each in look_over(rehearsal)] == [
        "warm-up: March for 100 s is long. Name more moves, or give it fewer seconds."
    ]


def test_a_lesson_that_stands_too_much_is_told_where_the_time_goes() -> None:
    lesson = replace(SOUND, opening=replace(SOUND.opening, warm_up_seconds=40), catch_up=CatchUp(kind="none"))
    share, pace = (each.text for each in look_over(_rehearsed(lesson)) if each.check == "activity")
    assert "half is the goal. Most time goes to answers and reasons (" in share
    assert re.fullmatch(
        r"standing at a stretch \d\d s \(goal: 25\). No bout of all follows the answer.", pace
    )
    rounds = tuple(replace(each, moves=()) for each in SOUND.rounds)
    sitting = replace(SOUND, seated=True, rounds=rounds, opening=replace(SOUND.opening, warm_up=()))
    assert any("That is how it is for a class on chairs." in each for each in _told(sitting))
    narrow = replace(lesson, rounds=rounds, space_m=1.2, opening=replace(lesson.opening, warm_up=()))
    assert any("1.2 m of floor for each child leave few lively moves." in each for each in _told(narrow))


@pytest.mark.parametrize(
    ("keys", "why"),
    [
        ({"second_language": "es", "say_twice": True}, "Two languages take longer than one."),
        ({"say_twice": True}, "The choices are said twice."),
        ({"choices": 3}, "Three choices take longer to hear than two."),
        ({"voice": Voice(rate_wpm=90)}, "The voice is set slow."),
    ],
)
def test_clocks_that_take_long_are_told_with_what_makes_them_long(keys: dict[str, Any], why: str) -> None:
    lesson = replace(SOUND, **keys)
    if "choices" in keys:
        lesson = replace(lesson, rounds=tuple(replace(each, moves=()) for each in lesson.rounds))
    (told,) = (each.text for each in look_over(_rehearsed(lesson)) if " (goal: " in each.text)
    assert re.match(r"a clock takes \d\d s \(goal: 75\)", told)
    assert why in told


def test_the_echo_that_makes_clocks_long_is_told() -> None:
    (told,) = (each for each in _told(SOUND, stage_of("old-gym", Path())) if " (goal: " in each)
    assert told.endswith(". This hall's echo asks for slow words and long pauses.")


def test_sides_that_a_child_could_count_are_advice() -> None:
    rounds = tuple(Round(time=ClockTime(hour, 15), answer="left") for hour in range(1, 6))
    assert (
        "advice the right choice stands on the same side 5 times running. "
        "Take answer out of some rounds, or change the seed."
    ) in _told(replace(SOUND, rounds=(*rounds, SOUND.rounds[1])))


@pytest.mark.parametrize(
    ("keys", "told"),
    [
        (
            {"say": "Look " + "very " * 20 + "closely."},
            "advice round 1, say: a sentence of 22 words is hard to follow. Make two of it.",
        ),
        (
            {"reason": "This is long. " * 20},
            "advice round 1, reason: these words take ",
        ),
    ],
)
def test_own_words_that_are_too_long_are_advice(keys: dict[str, str], told: str) -> None:
    said = _told(_first_round(**{key: " ".join(words.split()) for key, words in keys.items()}))
    assert any(each.startswith(told) for each in said)


def test_a_long_title_is_advice() -> None:
    assert _told(replace(SOUND, title="A" * 50)) == [
        "advice title: 50 letters are small on the screen. Keep it to 40."
    ]


def test_a_step_too_fine_for_the_hall_is_advice(tmp_path: Path) -> None:
    (tmp_path / "barn.toml").write_text(
        'like = "sports-hall"\n[screen]\nimage_height_m = 0.4\nlast_row_m = 20.0\n', encoding="utf-8"
    )
    lesson = replace(SOUND, step="minutes", rounds=(Round(time=ClockTime(4, 32)), SOUND.rounds[1]))
    told = _told(lesson, stage_of("barn.toml", tmp_path))
    assert any(
        each.startswith("advice from 20 m a child tells ") and "minutes apart, and this step needs 1." in each
        for each in told
    )


def test_rounds_whose_dials_are_too_small_for_the_last_row_are_named_with_how_far_they_reach(
    tmp_path: Path,
) -> None:
    """As far as the hall's own page says of two dials, which knows nothing of what a lesson draws."""
    sports_hall = stage_of("sports-hall", Path())
    two_dials = Round(kind="later", time=ClockTime(2, 45))
    among_dials = Round(kind="find", time=ClockTime(7, 15))
    said = " ".join(each.text for each in report(preset("sports-hall")).advice)
    reach = re.search(r"(\d+) m with two dials", said)
    assert reach is not None
    lesson = replace(SOUND, rounds=(*SOUND.rounds, two_dials))
    (told,) = (each for each in _told(lesson, sports_hall) if "drawn smaller" in each)
    assert told.startswith("advice round 7: the dials are drawn smaller here")
    assert f"can be read to {reach[1]} m, and the last row is at 18 m" in told
    both = replace(SOUND, rounds=(*SOUND.rounds, two_dials, among_dials))
    assert any(each.startswith("advice rounds 7 and 8: the dials") for each in _told(both, sports_hall))
    near = tmp_path / "near.toml"
    near.write_text(f'like = "sports-hall"\n[screen]\nlast_row_m = {int(reach[1]) - 1}\n', encoding="utf-8")
    for which, stage in ((lesson, stage_of("near.toml", tmp_path)), (SOUND, sports_hall)):
        assert not any("drawn smaller" in each for each in _told(which, stage))


def test_errors_come_before_advice() -> None:
    levels = [each.level for each in look_over(_rehearsed(replace(SOUND, space_m=1.5, title="A" * 50)))]
    assert levels == sorted(levels, reverse=True)


def test_a_finding_without_a_place_is_its_text() -> None:
    assert Finding(level="advice", check="sides", text="Well.").sentence() == "Well."
