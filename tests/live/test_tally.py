from __future__ import annotations

from dataclasses import replace

import pytest

from caller.clock import ClockTime
from caller.deciding import LessonPart
from caller.live.keeping import JOIN_S, TallyTaker, TallyTold, few_had_it, is_practice, noted
from caller.live.words import said
from caller.record import Tally
from caller.runsheet import CallKind, RoundFacts
from caller.screen.keytable import Action
from tests.live.conftest import make_call


def hear(taker: TallyTaker, *kinds: CallKind, in_round: int = 1) -> None:
    for number, kind in enumerate(kinds, start=1):
        taker.hear(make_call(number, 0.1, kind=kind, in_round=in_round))


FACTS = RoundFacts(
    round=1, part="round", question="read", step="quarters", time=ClockTime(9, 30), answer="left",
    wrong=(ClockTime(10, 30),), mixups=(frozenset({"hour-to-larger"}),), moves=("march", "hop"), think_s=20,
)  # fmt: skip


@pytest.mark.parametrize("kind", ["ready", "question", "choices", "decide", "move"])
def test_before_an_answer_there_is_nothing_to_tally(kind: CallKind) -> None:
    taker = TallyTaker()
    hear(taker, kind)
    assert taker.press(Action.MOST) is None
    assert taker.digit(3, 0.0) is None
    assert taker.take_back() is None


@pytest.mark.parametrize("later", [(), ("reason",), ("reason", "catch-up"), ("reason", "catch-up", "breath")])
def test_from_the_answer_to_the_breath_a_tally_is_about_that_round(later: tuple[CallKind, ...]) -> None:
    taker = TallyTaker()
    hear(taker, "answer", *later, in_round=4)
    assert taker.press(Action.FEW) == TallyTold((4, "round"), Tally(judgement="few"))


def test_a_late_press_while_eyes_turn_to_the_next_clock_is_still_about_the_last_one() -> None:
    taker = TallyTaker()
    hear(taker, "answer", "breath", in_round=4)
    hear(taker, "ready", in_round=5)
    assert taker.press(Action.HALF) == TallyTold((4, "round"), Tally(judgement="half"))
    hear(taker, "question", in_round=5)
    assert taker.press(Action.HALF) is None


def test_when_time_is_up_a_teacher_can_count_already() -> None:
    taker = TallyTaker()
    hear(taker, "move", "time-up", in_round=4)
    assert taker.digit(7, 0.0) == TallyTold((4, "round"), Tally(missed=7))


def test_the_practice_clock_can_be_counted_and_is_told_from_a_round() -> None:
    taker = TallyTaker()
    taker.hear(replace(make_call(1, 0.1, kind="answer"), part="practice"))
    told = taker.press(Action.FEW)
    assert told == TallyTold((0, "practice"), Tally(judgement="few"))
    assert is_practice(told.round)
    assert not is_practice((1, "round"))


def test_counts_are_taken_back_the_last_one_first_and_each_once() -> None:
    taker = TallyTaker()
    hear(taker, "answer", in_round=1)
    taker.press(Action.MOST)
    hear(taker, "ready", "question", "answer", in_round=2)
    taker.press(Action.FEW)
    taker.press(Action.HALF)
    assert [taker.take_back() for _ in range(3)] == [(2, "round"), (1, "round"), None]


def test_two_digits_in_a_row_are_one_number_and_a_late_one_begins_anew() -> None:
    taker = TallyTaker()
    hear(taker, "answer")

    def missed(digit: int, now_s: float) -> int | None:
        told = taker.digit(digit, now_s)
        assert told is not None
        return told.tally.missed

    assert missed(1, 10.0) == 1
    assert missed(2, 10.0 + JOIN_S) == 12
    assert missed(3, 20.0) == 3
    assert missed(9, 20.5) == 39
    assert missed(9, 21.0) == 9  # there is no class of 399


def test_a_sibling_clock_is_tallied_as_taught_again() -> None:
    taker = TallyTaker()
    part: LessonPart = "reteach"
    call = make_call(1, 0.1, kind="answer", in_round=2)
    taker.hear(replace(call, part=part))
    assert taker.press(Action.MOST) == TallyTold((2, "reteach"), Tally(judgement="most"))


def test_an_answer_that_the_window_missed_is_still_out_once_its_reason_is_heard() -> None:
    taker = TallyTaker()
    hear(taker, "time-up", "reason", in_round=4)
    assert taker.press(Action.MOST) == TallyTold((4, "round"), Tally(judgement="most"))


def test_reading_a_clock_slowly_again_asks_for_no_tally() -> None:
    taker = TallyTaker()
    hear(taker, "answer", "breath", in_round=4)
    taker.hear(replace(make_call(9, 0.1, kind="reason", in_round=4), part="reteach"))
    assert taker.press(Action.MOST) is None


def test_the_screen_answers_every_judgement_alike() -> None:
    assert {noted(Tally(judgement=judgement)) for judgement in ("most", "half", "few")} == {
        said("count.noted")
    }
    assert noted(Tally(missed=12)) == "Noted. 12"


def test_few_is_taught_again_and_so_is_no_more_than_guessing() -> None:
    assert few_had_it(Tally(judgement="few"), FACTS)
    assert not few_had_it(Tally(judgement="half"), FACTS)
    assert few_had_it(Tally(missed=13), FACTS)  # 12 of 25 right: half of two choices is guessing
    assert not few_had_it(Tally(missed=9), FACTS)
