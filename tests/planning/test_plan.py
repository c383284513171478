from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from caller.clock import ClockTime
from caller.clock.ladder import STEP_CODES, step
from caller.clock.mixups import MIXUPS
from caller.deciding.sides import fault_of
from caller.errors import UserError
from caller.hall.hallfile import preset_names
from caller.lesson.library import lesson_from_text
from caller.moves import catalogue, find
from caller.planning.checks import look_over
from caller.planning.classfile import SchoolClass
from caller.planning.fitting import NoFitError
from caller.planning.lengths import SpokenLengths
from caller.planning.notes import five_lines, script
from caller.planning.plan import Plan, plan_lesson
from caller.planning.staging import Stage, rehearse, stage_of
from caller.sound import SAMPLE_RATE
from caller.sound.kept_voice import ClipCache
from caller.sound.tones import load_tones
from caller.sound.voice import VoiceBox
from caller.timeline.segment import Timeline
from tests.planning.fakes import quiet_lengths

LENGTHS = quiet_lengths()
STAGES = {name: stage_of(name, Path()) for name in ("", *preset_names())}
TERNS = SchoolClass(name="Terns", age=(6, 7), step="quarters", minutes=20)


def _plan(school_class: SchoolClass = TERNS, **options: object) -> Plan:
    return plan_lesson(school_class, stage=STAGES[school_class.hall], lengths=LENGTHS, **options)  # type: ignore[arg-type]


def _languages() -> st.SearchStrategy[Mapping[str, str | None]]:
    return st.sampled_from(
        [
            {"language": "en-GB", "second_language": None},
            {"language": "en-US", "second_language": None},
            {"language": "es", "second_language": None},
            {"language": "fr", "second_language": "en-GB"},
            {"language": "de", "second_language": None},
            {"language": "en-GB", "second_language": "es"},
        ]
    )


@st.composite
def school_classes(draw: st.DrawFn) -> SchoolClass:
    """Return classes as they may be found; in an echoing hall two languages need more than ten minutes."""
    youngest = draw(st.integers(4, 11))
    seated = draw(st.integers(0, 9)) == 0
    return SchoolClass(
        name=draw(st.sampled_from(["Terns", "Puffins", "Gannets", "Little Auks", "Skuas"])),
        age=(youngest, youngest + draw(st.integers(0, 2))),
        step=draw(st.sampled_from(STEP_CODES)),
        minutes=draw(st.integers(10, 45)),
        hall=draw(st.sampled_from(sorted(STAGES))),
        # Between chairs that are closer no two seated moves may be left.
        space_m=draw(st.sampled_from([1.8, 2.0] if seated else [1.4, 1.8, 2.0, 2.5, 3.0])),
        shod=draw(st.booleans()),
        reading=draw(st.sampled_from(["none", "early", "fluent"])),
        avoid=tuple(draw(st.lists(st.sampled_from(sorted(catalogue())), max_size=5, unique=True))),
        seated_places=draw(st.sampled_from([0, 0, 0, 2])),
        seated=seated,
        **draw(_languages()),  # type: ignore[arg-type]
    )


def _passes(school_class: SchoolClass, seed: int) -> None:
    plan = _plan(school_class, seed=seed)
    assert abs(plan.length_s - 60 * school_class.minutes) <= 15
    sides = tuple(facts.answer for facts in plan.run_sheet.rounds if facts.moves)
    assert fault_of(sides) == ""
    findings = look_over(rehearse(plan.lesson, STAGES[school_class.hall], LENGTHS))
    assert [finding.sentence() for finding in findings if finding.level == "error"] == []


@settings(max_examples=15)
@given(school_class=school_classes(), seed=st.integers(0, 2**31 - 1))
def test_planned_lessons_pass_check_fit_their_minutes_and_balance_their_sides(
    school_class: SchoolClass, seed: int
) -> None:
    _passes(school_class, seed)


@pytest.mark.nightly
@settings(max_examples=1000)
@given(school_class=school_classes(), seed=st.integers(0, 2**31 - 1))
def test_a_thousand_planned_lessons_pass_check(school_class: SchoolClass, seed: int) -> None:
    _passes(school_class, seed)


@settings(max_examples=4)
@given(school_class=school_classes(), seed=st.integers(0, 1000))
def test_the_same_class_and_seed_give_the_same_lesson(school_class: SchoolClass, seed: int) -> None:
    assert script(_plan(school_class, seed=seed)) == script(_plan(school_class, seed=seed))


def test_another_seed_gives_another_lesson() -> None:
    assert _plan(seed=1).lesson != _plan(seed=2).lesson


def test_left_and_right_come_equally_often_over_many_lessons() -> None:
    """A fair coin would be further from the middle than 4 deviations once in 16,000 times."""
    sheets = [_plan(seed=seed).run_sheet for seed in range(24)]
    answers = [facts.answer for sheet in sheets for facts in sheet.rounds if facts.moves]
    n = len(answers)
    assert n > 200
    assert abs(answers.count("left") - n / 2) < 4 * (n / 4) ** 0.5


def test_a_lesson_has_all_its_parts() -> None:
    lesson = _plan(minutes=25).lesson
    assert lesson.worked_example.time is not None
    assert lesson.practice.skip  # the rules are told on the first clock
    assert lesson.opening.warm_up_seconds >= 120
    assert lesson.close.breaths >= 4
    assert not any(find(slug).high_impact for slug in lesson.rounds[-1].moves)


def test_new_clocks_rise_in_hardness_and_earlier_steps_come_back_between_them() -> None:
    clocks = _plan(minutes=30).clocks
    new = [clock.hardness for clock in clocks if clock.step == "quarters"]
    assert new == sorted(new)
    back = [clock.step for clock in clocks if clock.step != "quarters"]
    assert set(back) == {"half-past", "o-clock"}
    assert clocks[-1].step != "quarters"


def test_no_clock_is_shown_twice_in_a_lesson_while_the_step_has_others() -> None:
    shown = _plan(minutes=40).shown
    assert len(set(shown)) == len(shown)


def test_clocks_met_in_the_last_fortnight_are_left_out() -> None:
    recent = [(ClockTime(hour, minute), 3.0) for hour in range(1, 7) for minute in (15, 45)]
    plan = _plan(recent=recent, minutes=12)
    assert not {time for time, _ in recent} & set(plan.shown)
    assert plan.again == ()


def test_what_a_class_confuses_is_offered_and_written_into_the_script() -> None:
    for name in ("hands-swapped", "hour-to-larger"):
        assert name in {each.name for each in MIXUPS}
    plan = _plan(confused={"hour-to-larger": 1.0}, minutes=30)
    told = [
        (each.wrong, facts.mixups[0])
        for each, facts in zip(plan.lesson.rounds, plan.run_sheet.rounds, strict=True)
        if each.wrong
    ]
    assert told
    assert all("hour-to-larger" in mixups for _, mixups in told)


def test_the_least_known_step_comes_back_first() -> None:
    plan = _plan(known={"half-past": 0.9, "o-clock": 0.2})
    assert next(clock.step for clock in plan.clocks if clock.step != "quarters") == "o-clock"


def test_moves_to_avoid_stay_out_and_seated_versions_are_told_apart() -> None:
    lively = tuple(sorted(slug for slug, move in catalogue().items() if move.jumps))
    plan = _plan(SchoolClass(name="Terns", avoid=lively, seated_places=1))
    named = {slug for each in plan.lesson.rounds for slug in each.moves}
    assert not named & set(lively)
    for each in plan.lesson.rounds:
        seated = [find(slug).seated for slug in each.moves]
        assert len(set(seated)) == len(seated)


def test_a_class_that_is_counted_by_ear_is_so_in_its_lessons_and_within_their_minutes() -> None:
    plain, counted = _plan(), _plan(replace(TERNS, count_by_ear=True))
    assert not plain.lesson.count_by_ear
    assert counted.lesson.count_by_ear
    claps = [call.round for call in counted.run_sheet.calls if call.kind == "claps"]
    assert claps == [None, *range(1, len(counted.lesson.rounds) + 1)]
    assert counted.lesson.minutes == plain.lesson.minutes


def test_few_rounds_jump_and_no_two_in_a_row() -> None:
    for seed in range(6):
        rounds = _plan(seed=seed, minutes=30).lesson.rounds
        jumping = [any(find(slug).jumps for slug in each.moves) for each in rounds]
        assert sum(jumping) <= 2
        assert not any(a and b for a, b in pairwise(jumping))


def test_a_period_too_short_for_one_round_is_told() -> None:
    with pytest.raises(NoFitError) as told:
        _plan(minutes=2)
    assert str(told.value).startswith("No lesson fits 2 minutes here: one round would take ")
    assert str(told.value).endswith(" minutes. Give it other minutes.")


def test_a_class_for_which_no_moves_are_left_is_told() -> None:
    everything = tuple(sorted(catalogue()))
    with pytest.raises(UserError, match="No two moves fit this hall and class"):
        plan_lesson(SchoolClass(name="Terns", avoid=everything), stage=Stage(), lengths=LENGTHS)


def test_chairs_too_close_for_any_two_moves_are_told() -> None:
    with pytest.raises(UserError) as told:
        _plan(SchoolClass(name="Terns", seated=True, space_m=1.4, avoid=("seated-sky-reach",)))
    assert str(told.value) == (
        "No two moves fit this hall and class; allow more space, or name the moves in the lesson."
    )


@pytest.mark.parametrize("code", STEP_CODES)
def test_the_script_reads_back_as_the_lesson_and_tells_why_each_clock_is_there(code: str) -> None:
    plan = _plan(focus=code)
    text = script(plan)
    assert lesson_from_text(text) == plan.lesson
    lines = text.splitlines()
    above = [before for before, line in pairwise(lines) if line == "[[round]]"]
    assert len(above) == len(plan.clocks)
    assert all(line.startswith("# ") and line.endswith(".") for line in above)


def test_five_lines_say_what_was_chosen_and_why() -> None:
    lines = five_lines(_plan())
    assert [line.partition(":")[0] for line in lines] == ["Clocks", "Questions", "Time", "Moves", "Sides"]
    assert "the guideline is 50%" in lines[3]
    assert lines[4].endswith("Local rules, the school's policy and qualified staff decide.")


@pytest.mark.timeout(300)
def test_a_real_voice_is_timed_as_the_hall_will_hear_it(tmp_path: Path) -> None:
    """The timeline that plays a lesson is the measure of what the planner reckons."""
    with VoiceBox(ClipCache(tmp_path / "speech")) as voice:
        tones = load_tones()
        plan = plan_lesson(
            SchoolClass(name="Terns", minutes=5, step="o-clock"),
            stage=Stage(),
            lengths=SpokenLengths(voice, tones),
        )
        end = Timeline(plan.run_sheet, voice=voice, tones=tones).starts()[-1]
    assert plan.length_s == pytest.approx(end / SAMPLE_RATE, abs=1e-6)
    assert abs(plan.length_s - 300) <= 15
    assert step(plan.lesson.step).code == "o-clock"
