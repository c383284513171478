"""A question kind is one object: its facts hold for what it decides."""

from __future__ import annotations

from random import Random

import pytest

from caller.clock import ClockTime, DayTime
from caller.clock.ladder import STEP_CODES, step, times_at
from caller.questions import KINDS_OF_QUESTION, QUESTION_CODES, question_kind
from caller.questions.kind import Asking, QuestionKind
from caller.questions.with_time import everyday


@pytest.mark.parametrize("kind", KINDS_OF_QUESTION, ids=lambda kind: kind.code)
@pytest.mark.parametrize("choices", [2, 3])
@pytest.mark.parametrize("code", STEP_CODES)
def test_every_kind_decides_as_many_choices_as_it_says(kind: QuestionKind, choices: int, code: str) -> None:
    for time in times_at(step(code))[::37]:
        asking = Asking(
            time=DayTime.from_minutes(time.minutes) if kind.day_time else time,
            choices=kind.choices_of(choices),
            step=step(code),
            manners=("analogue", "digital"),
            chance=Random(3),
        )
        question = kind.decide(asking)
        assert question.kind == kind.code
        assert question.choices == kind.choices_of(choices)
        assert len({each.time for each in question.wrong}) == len(question.wrong)


def test_what_teaches_a_kind_again_is_a_kind() -> None:
    assert {kind.again for kind in KINDS_OF_QUESTION} <= set(QUESTION_CODES)


def test_the_own_wrong_readings_come_first_and_a_true_claim_names_nothing_wrong() -> None:
    def asking(**given: object) -> Asking:
        return Asking(
            time=ClockTime(4, 45),
            step=step("quarters"),
            manners=("analogue",),
            chance=Random(1),
            **given,  # type: ignore[arg-type]
        )

    read = question_kind("read").decide(asking(wrong=(ClockTime(9, 20),), choices=3))
    assert read.wrong[0].time == ClockTime(9, 20)
    true = question_kind("is-it-so").decide(asking(claim=ClockTime(4, 45)))
    assert true.choices == 2
    assert true.told_wrong == ()


def test_a_documented_mistake_tempts_and_an_idle_time_does_not() -> None:
    later = question_kind("later")
    question = later.decide(
        Asking(
            time=ClockTime(8, 50),
            change_minutes=20,
            step=step("elapsed"),
            manners=("digital",),
            chance=Random(1),
        )
    )
    assert question.time == ClockTime(9, 10)
    assert later.tempting(question, ClockTime(8, 10), step("elapsed"))  # the hour is not carried
    assert not later.tempting(question, ClockTime(3, 37), step("elapsed"))


def test_what_is_done_every_day_tells_one_half_of_the_day_from_the_other() -> None:
    for minutes in range(720):
        morning = DayTime.from_minutes(minutes)
        assert everyday(morning) != everyday(morning.plus(720))


@pytest.mark.parametrize("code", ["later", "earlier", "how-long"])
def test_the_wrong_end_lies_before_and_after_the_right_one_about_equally_often(code: str) -> None:
    # A class that learnt "take the earlier one" would answer without reading: 400 fair draws give 40 to 60 %
    # but once in ten thousand times (binomial, four standard deviations).
    before = 0
    for seed in range(400):
        chance = Random(seed)
        start = chance.choice(times_at(step("elapsed")))
        question = question_kind(code).decide(
            Asking(
                time=start,
                change_minutes=chance.randrange(5, 180, 5),
                step=step("elapsed"),
                manners=("analogue",),
                chance=chance,
            )
        )
        (wrong,) = question.wrong
        assert wrong.time not in (question.time, start)
        before += 0 < (question.dial.minutes - wrong.dial.minutes) % 720 < 360
    assert 160 <= before <= 240
